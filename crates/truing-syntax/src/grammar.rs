//! The parser that pest makes from `grammar/truing.pest`, and how its rules are told apart.

use pest_derive::Parser;

/// The generated parser.
#[derive(Parser)]
#[grammar = "../../../grammar/truing.pest"]
pub(crate) struct TruingParser;

impl Rule {
    /// Whether the rule is a keyword or a sign, which the tree has no use for once it has matched.
    ///
    /// INVARIANT: rules are ordered as they stand in the grammar: the signs from `colon` to
    /// `bracket`, the keywords last, from `k_accuracy` on.
    pub(crate) fn is_mark(self) -> bool {
        self >= Rule::k_accuracy || (Rule::colon..=Rule::bracket).contains(&self)
    }
}

#[cfg(test)]
mod tests {
    use super::Rule;

    #[test]
    fn marks_are_keywords_and_signs_and_nothing_else() {
        for rule in Rule::all_rules() {
            let name = format!("{rule:?}");
            let sign =
                ["colon", "equals", "dots", "pm", "comma", "open", "close", "closing", "bracket"]
                    .contains(&name.as_str());
            assert_eq!(rule.is_mark(), sign || name.starts_with("k_"), "{name}");
        }
    }
}
