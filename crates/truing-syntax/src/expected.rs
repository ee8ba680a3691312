//! What the grammar would have taken, in plain words.

use crate::grammar::Rule;

/// Words for a rule, and how early they stand in a list of several.
fn phrase(rule: Rule) -> Option<(u8, String)> {
    use Rule as R;
    let said = match rule {
        R::limit_value
        | R::arm_value
        | R::inline_limit
        | R::variant_limit
        | R::arm_limit
        | R::plain_limit
        | R::at_least
        | R::at_most
        | R::around
        | R::graded
        | R::not_specified
        | R::low_word
        | R::high_word
        | R::curve
        | R::curve_head
        | R::variants
        | R::arm => (0, "a limit such as `min 12.4 V` or `13.6 .. 14.8 V`"),
        R::reading_value
        | R::figures
        | R::overload
        | R::over_mark
        | R::compared
        | R::compare
        | R::not_taken => (0, "a reading such as `12.71 V`, `OL` or `not taken`"),
        R::condition | R::band_least | R::band_most | R::band_figure | R::band_name => {
            (0, "a condition such as `20 degC` or `engine_speed 1400 ± 100 rpm`")
        }
        R::outcome => (0, "an outcome such as `within`, `outside low` or `not taken`"),
        R::expr
        | R::plain_expr
        | R::prefix
        | R::quantity
        | R::plain_number
        | R::parens
        | R::r#ref
        | R::ref_name
        | R::bare
        | R::quantifier
        | R::if_head
        | R::sum
        | R::minus
        | R::argument
        | R::label
        | R::label_name => (1, "a value"),
        R::name | R::path | R::names | R::paths => (2, "a name"),
        R::word | R::words => (2, "a word"),
        R::member => (2, "a member of a family"),
        R::string => (3, "a text in quotes"),
        R::figure | R::number | R::digits => (3, "a number"),
        R::deviation => (4, "deviations such as `+5 -0`"),
        R::unit => (4, "a unit"),
        R::year | R::years => (4, "model years such as `2019 .. 2024`"),
        R::infix
        | R::sum_infix
        | R::within_tail
        | R::is_tail
        | R::k_passes
        | R::k_fails
        | R::k_is
        | R::k_within => (5, "an operator"),
        R::index | R::over_family => (7, "`[`"),
        R::arguments | R::also | R::bound_expr => (7, "`(`"),
        R::step => (6, "a step such as `take`, `if` or `advise`"),
        R::block => (7, "`{`"),
        R::effect => (6, "an effect (`low`, `high`, `fail`, `worn`)"),
        R::likelihood => {
            (6, "a chance such as `90 %` or `usually` (`always`, `sometimes`, `rarely`)")
        }
        R::side => (6, "a side (`low`, `high`)"),
        R::joint => (6, "one of `less`, `greater`, `first`"),
        R::extreme => (6, "`min` or `max`"),
        R::reduction => (6, "one of `min`, `max`, `mean`"),
        R::interpolation => (6, "an interpolation (`step`, `log`)"),
        R::basis => (6, "one of `span`, `reading`"),
        R::common_part | R::k_nothing => (6, "one of `gain`, `offset`, `nothing`"),
        R::decide_simple | R::decide_guarded | R::decide_at => {
            (6, "a rule such as `at 95 %`, `guarded 2` or `simple`")
        }
        R::colon => (6, "`:`"),
        R::equals => (6, "`=`"),
        R::dots => (6, "`..`"),
        R::pm => (6, "`±`"),
        R::comma => (7, "`,`"),
        R::open => (7, "`{`"),
        R::close => (8, "`}`"),
        R::closing => (8, "`)`"),
        R::bracket => (8, "`]`"),
        R::EOI => (9, ""),
        _ => return keyword(rule).map(|word| (6, format!("`{word}`"))),
    };
    Some((said.0, said.1.to_owned()))
}

/// The word that a rule begins with, where it is one: `during`, `k_during`, `fixes`.
pub(crate) fn keyword(rule: Rule) -> Option<String> {
    let name = format!("{rule:?}");
    let name = name.trim_start_matches("r#");
    let word = match name {
        "fixes" => "fix",
        "cautions" => "caution",
        "captured" => "capture",
        "band_line" => "band",
        "unit_item" => "unit",
        "applies" => "applies if",
        "range_step" => "step",
        "valid_widens" => "widens",
        "meters" => "meter",
        "odds_none" => "odds none",
        "odds_other" => "odds other",
        "band_leak" => "leak",
        "range_accuracy" => "accuracy",
        "cite_mend" => "mend",
        "cite_was" => "was",
        "branch" | "branch_head" => "if",
        "joined" => "or",
        "within_at" => "at",
        "any_words" => "any of",
        "expect_suspect" => "suspect",
        "given" | "expect_check" => return Some("a name".to_owned()),
        _ => match name.strip_prefix("k_") {
            Some(word) => word,
            None if name.contains('_') => return None,
            None => name,
        },
    };
    Some(word.to_owned())
}

/// The words that a rule of several words takes, for the nearest word.
pub(crate) fn choices(rule: Rule) -> &'static [&'static str] {
    match rule {
        Rule::step => &["take", "if", "advise", "suspect", "caution", "stop"],
        Rule::effect => &["low", "high", "fail", "fails", "worn"],
        Rule::likelihood => &["always", "usually", "sometimes", "rarely"],
        Rule::side => &["low", "high"],
        Rule::joint => &["less", "greater", "first"],
        Rule::extreme => &["min", "max"],
        Rule::reduction => &["min", "max", "mean"],
        Rule::interpolation => &["step", "log", "linear"],
        Rule::basis => &["span", "reading"],
        Rule::decide_simple | Rule::decide_guarded => &["simple", "guarded"],
        Rule::outcome => &[
            "within",
            "worn",
            "outside",
            "undecided",
            "blocked",
            "passes",
            "fails",
            "not taken",
            "not applicable",
        ],
        Rule::within_tail | Rule::is_tail => &["within", "is"],
        Rule::infix => &["and", "or"],
        _ => &[],
    }
}

/// `a number, `:` or `=``: each once, the telling ones first.
pub(crate) fn list(rules: &[Rule]) -> String {
    // Behind a check's name alone: `waived by CHECK passes`.
    if rules.contains(&Rule::k_passes) && !rules.contains(&Rule::within_tail) {
        return "`passes` or `fails`".to_owned();
    }
    let mut phrases: Vec<(u8, String)> = rules.iter().filter_map(|rule| phrase(*rule)).collect();
    phrases.sort();
    phrases.dedup();
    // Besides anything else, the end of the item tells nothing, nor does a bracket that may follow
    // any name.
    if phrases.iter().any(|(_, words)| !matches!(words.as_str(), "" | "`[`" | "`(`")) {
        phrases.retain(|(_, words)| !matches!(words.as_str(), "" | "`[`" | "`(`"));
    }
    let mut words: Vec<String> = phrases.into_iter().map(|(_, words)| words).collect();
    if words.len() > 8 {
        words.truncate(7);
        words.push("the like".to_owned());
    }
    match (words.pop(), words.is_empty()) {
        (None, _) => "something else".to_owned(),
        (Some(last), true) if last.is_empty() => "the end of the item".to_owned(),
        (Some(last), true) => last,
        (Some(last), false) => format!("{} or {last}", words.join(", ")),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn phrases_are_sorted_and_said_once() {
        let rules = [Rule::equals, Rule::colon, Rule::string, Rule::colon, Rule::EOI];
        assert_eq!(list(&rules), "a text in quotes, `:` or `=`");
        assert_eq!(list(&[Rule::EOI]), "the end of the item");
    }
}
