//! What came of a spec's cases, for people.

use crate::case_result::{CaseResult, ExpectationResult};
use crate::layout::{counted, hanging, shown};
use crate::style::{Style, Tone};

/// What came of the cases: those that failed with what was expected and what came, and with
/// `verbose` all of them.
#[must_use]
pub fn render_cases(results: &[CaseResult], verbose: bool, style: Style) -> String {
    let told = results.iter().filter(|case| verbose || !case.passed);
    told.map(|case| render_case(case, verbose, style)).collect()
}

/// "43 cases: 43 passed", "3 cases: 2 passed, 1 failed".
#[must_use]
pub fn cases_summary(results: &[CaseResult]) -> String {
    let passed = results.iter().filter(|case| case.passed).count();
    let failed = results.len() - passed;
    let cases = counted(results.len(), "case", "cases");
    match failed {
        0 => format!("{cases}: {passed} passed"),
        _ => format!("{cases}: {passed} passed, {failed} failed"),
    }
}

fn render_case(case: &CaseResult, verbose: bool, style: Style) -> String {
    let (word, tone) = mark(case.passed);
    let title =
        if case.title.is_empty() { String::new() } else { format!("  {}", shown(&case.title)) };
    let mut out = format!("{}  {}{title}\n", style.paint(tone, word), case.name);
    out.push_str(&format!("        {}\n", shown(&case.place)));
    for expectation in case.expectations.iter().filter(|e| verbose || !e.passed) {
        out.push_str(&render_expectation(expectation, verbose, style));
    }
    out.push('\n');
    out
}

fn render_expectation(expectation: &ExpectationResult, verbose: bool, style: Style) -> String {
    let ExpectationResult { subject, expected, came, passed, why, .. } = expectation;
    let subject = shown(subject);
    let (word, _) = mark(*passed);
    // In the list of everything each line says for itself how it went.
    let lead = if verbose { format!("        {word}  ") } else { "        ".to_owned() };
    let text = if *passed {
        format!("{subject}: {}", shown(came))
    } else {
        format!("{subject}: expected {}, came {}", shown(expected), shown(came))
    };
    let mut out = hanging(&lead, &text, style.columns());
    if let (false, Some(why)) = (*passed, why) {
        let below = format!("{}because ", " ".repeat(lead.len()));
        out.push_str(&hanging(&below, &shown(why), style.columns()));
    }
    out
}

const fn mark(passed: bool) -> (&'static str, Tone) {
    if passed { ("passed", Tone::Good) } else { ("failed", Tone::Bad) }
}

#[cfg(test)]
mod tests {
    use super::{cases_summary, render_cases};
    use crate::case_result::{CaseResult, ExpectationResult};
    use crate::style::Style;

    fn expectation(passed: bool) -> ExpectationResult {
        ExpectationResult {
            subject: "insulated[V]".to_owned(),
            expected: "outside low".to_owned(),
            came: if passed { "outside low" } else { "within" }.to_owned(),
            passed,
            check: None,
            why: (!passed).then(|| "2.1 Mohm is not below min 1 Mohm.".to_owned()),
        }
    }

    fn case(passed: bool) -> CaseResult {
        CaseResult {
            name: "grounded_winding".to_owned(),
            title: "Winding V rubs on the core".to_owned(),
            place: "trike.truing:70".to_owned(),
            passed,
            expectations: vec![expectation(true), expectation(passed)],
        }
    }

    #[test]
    fn a_failed_case_says_what_came_and_why() {
        insta::assert_snapshot!(render_cases(&[case(true), case(false)], false, Style::PLAIN), @r"
        failed  grounded_winding  Winding V rubs on the core
                trike.truing:70
                insulated[V]: expected outside low, came within
                because 2.1 Mohm is not below min 1 Mohm.
        ");
    }

    #[test]
    fn verbose_tells_all() {
        insta::assert_snapshot!(render_cases(&[case(true), case(false)], true, Style::PLAIN), @r"
        passed  grounded_winding  Winding V rubs on the core
                trike.truing:70
                passed  insulated[V]: outside low
                passed  insulated[V]: outside low

        failed  grounded_winding  Winding V rubs on the core
                trike.truing:70
                passed  insulated[V]: outside low
                failed  insulated[V]: expected outside low, came within
                        because 2.1 Mohm is not below min 1 Mohm.
        ");
    }

    #[test]
    fn the_summary_counts() {
        assert_eq!(cases_summary(&[case(true)]), "1 case: 1 passed");
        assert_eq!(cases_summary(&[case(true), case(false)]), "2 cases: 1 passed, 1 failed");
        assert_eq!(cases_summary(&[]), "0 cases: 0 passed");
    }
}
