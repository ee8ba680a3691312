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

/// The rule of a whole item with this keyword, which must be one of those that begin items.
pub(crate) fn item_rule(keyword: &str) -> Rule {
    match keyword {
        "limit" => Rule::item_limit,
        "constant" => Rule::item_constant,
        "reading" => Rule::item_reading,
        "observation" => Rule::item_observation,
        "derived" => Rule::item_derived,
        "check" => Rule::item_check,
        "state" => Rule::item_state,
        "caution" => Rule::item_caution,
        "fault" => Rule::item_fault,
        "fix" => Rule::item_fix,
        "learned" => Rule::item_learned,
        "procedure" => Rule::item_procedure,
        "case" => Rule::item_case,
        "instrument" => Rule::item_instrument,
        "spec" => Rule::item_spec,
        "library" => Rule::item_library,
        "source" => Rule::item_source,
        "use" => Rule::item_use,
        "family" => Rule::item_family,
        "property" => Rule::item_property,
        "kind" => Rule::item_kind,
        _ => Rule::item_unit,
    }
}

#[cfg(test)]
mod tests {
    use pest::Parser as _;

    use super::{Rule, TruingParser, item_rule};
    use crate::words::{ITEM_WORDS, JOINING_WORDS};

    /// The scanner's cuts are for recovery: on sound files the grammar alone finds the same items.
    #[test]
    fn the_grammar_reads_whole_files_alone() {
        for text in [
            include_str!("../tests/fixtures/spec.truing"),
            include_str!("../tests/fixtures/library.truing"),
            include_str!("../tests/fixtures/instrument.truing"),
        ] {
            let items = TruingParser::parse(Rule::file, text).unwrap();
            let items = items.filter(|pair| pair.as_rule() != Rule::EOI).count();
            assert_eq!(items, crate::parse(crate::FileId(0), text).tree.items.len());
        }
    }

    /// The lists in `words.rs` are those of the grammar.
    #[test]
    fn reserved_words_are_the_same_everywhere() {
        for word in ITEM_WORDS.iter().chain(JOINING_WORDS) {
            assert!(TruingParser::parse(Rule::name, word).is_err(), "{word}");
            assert!(TruingParser::parse(Rule::name, &format!("{word}s_")).is_ok(), "{word}s_");
        }
        for word in ["of", "first", "service", "note", "range", "step", "worn", "counts", "in"] {
            assert!(TruingParser::parse(Rule::name, word).is_ok(), "{word}");
        }
    }

    #[test]
    fn every_item_word_has_its_rule() {
        for word in ITEM_WORDS {
            assert_eq!(format!("{:?}", item_rule(word)), format!("item_{word}"));
        }
    }

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
