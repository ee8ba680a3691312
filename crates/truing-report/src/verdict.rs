//! What the outcomes of a round come to, in words.

use truing_engine::{Summary, Verdict};

use crate::layout::{counted, listed};

/// The exit status by which a command says a verdict: 0 all pass, 1 something is outside, 3 nothing
/// is outside but something is not settled. (2 is a spec, sheet or call in error.)
#[must_use]
pub const fn exit_status(verdict: Verdict) -> u8 {
    match verdict {
        Verdict::Conforms => 0,
        Verdict::DoesNotConform => 1,
        Verdict::Open => 3,
    }
}

/// A verdict in words.
#[must_use]
pub const fn verdict_words(verdict: Verdict) -> &'static str {
    match verdict {
        Verdict::Conforms => "everything passes",
        Verdict::DoesNotConform => "something is outside its limit",
        Verdict::Open => "nothing is outside, but something is undecided, blocked or not taken",
    }
}

/// "43 checks: 2 outside, 1 blocked and 40 within"
pub(crate) fn summary_words(summary: &Summary) -> String {
    let parts = [
        (summary.outside, "outside"),
        (summary.undecided, "undecided"),
        (summary.blocked, "blocked"),
        (summary.not_taken, "not taken"),
        (summary.worn, "worn"),
        (summary.within, "within"),
        (summary.not_applicable, "not applicable"),
    ];
    let all = parts.iter().map(|(n, _)| n).sum();
    let told: Vec<String> =
        parts.iter().filter(|(n, _)| *n > 0).map(|(n, word)| format!("{n} {word}")).collect();
    match told.as_slice() {
        [] => "no checks".to_owned(),
        _ => format!("{}: {}", counted(all, "check", "checks"), listed(&told)),
    }
}

#[cfg(test)]
mod tests {
    use truing_engine::{Summary, Verdict};

    use super::{exit_status, summary_words};

    #[test]
    fn the_summary_tells_only_what_there_is() {
        let summary = Summary { outside: 2, within: 40, blocked: 1, ..Summary::default() };
        assert_eq!(summary_words(&summary), "43 checks: 2 outside, 1 blocked and 40 within");
        assert_eq!(summary_words(&Summary::default()), "no checks");
        assert_eq!(summary_words(&Summary { worn: 1, ..Summary::default() }), "1 check: 1 worn");
    }

    #[test]
    fn each_verdict_has_an_exit_status_of_its_own_and_none_is_that_of_an_error() {
        let all = [Verdict::Conforms, Verdict::DoesNotConform, Verdict::Open].map(exit_status);
        assert_eq!(all, [0, 1, 3]);
    }
}
