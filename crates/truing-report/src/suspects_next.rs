//! What to do next on a job, in words: measure this, act, try in turn.

use truing_engine::suspects::{NextCheck, Ranking, Recommended, Remedy};

use crate::layout::listed;
use crate::suspects_words::{Words, chance, minutes};

/// So many repairs are named in turn.
const IN_TURN: usize = 3;

/// What to do next, with its reason.
pub(crate) fn next_text(words: &Words<'_>, ranking: &Ranking) -> String {
    match &ranking.recommended {
        Recommended::Act(Remedy::Nothing) => {
            "nothing has to be renewed by what was measured.".to_owned()
        }
        Recommended::Act(remedy) => format!("enough is known: {}.", words.remedy(*remedy)),
        Recommended::FitsNothing(strangest) => {
            let strangest = strangest.map_or(String::new(), |check| {
                format!(" {} speaks most against all of them: take it again.", words.counted(check))
            });
            format!("the readings fit no listed fault.{strangest}")
        }
        Recommended::CannotBeToldApart(among) => {
            let among: Vec<String> = among.iter().map(|remedy| words.remedy(*remedy)).collect();
            format!("nothing that is left to measure tells more. Try in turn: {}.", listed(&among))
        }
        Recommended::RepairFirst(steps) => {
            let settle = ranking.next.as_ref().map_or(String::new(), |next| {
                format!(" What would settle it all the same: {}.", words.counted(next.check))
            });
            format!(
                "by the times and prices of the spec measuring on costs more than it saves. {}{settle}",
                in_turn(words, steps)
            )
        }
        Recommended::Measure(_) => {
            ranking.next.as_ref().map_or(String::new(), |next| measure(words, next))
        }
    }
}

/// Repairs in turn. Where handing the machine back comes first, that is said for itself.
fn in_turn(words: &Words<'_>, steps: &[Remedy]) -> String {
    let (lead, steps) = match steps {
        [Remedy::Nothing, rest @ ..] => (
            "Nothing has to be renewed by what was measured. If it comes back, try in turn: ",
            rest,
        ),
        steps => ("Try in turn: ", steps),
    };
    let steps = steps.iter().filter(|remedy| **remedy != Remedy::Nothing);
    let mut told: Vec<String> = steps.map(|remedy| words.remedy(*remedy)).collect();
    let more = told.len().saturating_sub(IN_TURN);
    told.truncate(IN_TURN);
    if more > 0 {
        told.push(format!("{more} more"));
    }
    if told.is_empty() { String::new() } else { format!("{lead}{}.", listed(&told)) }
}

fn measure(words: &Words<'_>, next: &NextCheck) -> String {
    let title = words.title(next.check);
    let then = if next.then.is_empty() {
        String::new()
    } else {
        format!(" It comes before {}.", words.checks(&next.then))
    };
    let outcomes: Vec<String> = next
        .outcomes
        .iter()
        .filter(|of| of.probability >= 0.005)
        .filter_map(|of| {
            let (remedy, p) = of.cures.first()?;
            let band = words.band(of.band);
            let to = words.short(*remedy);
            Some(format!("{band} ({}) points to {to} ({})", chance(of.probability), chance(*p)))
        })
        .collect();
    let others: Vec<String> = next
        .others
        .iter()
        .map(|of| format!("{} ({})", words.counted(of.check), minutes(of.minutes)))
        .collect();
    let others = if others.is_empty() {
        String::new()
    } else {
        format!(" After that: {}.", listed(&others))
    };
    format!(
        "measure {} ({title}), about {}. It splits the suspects: {}.{then}{others}",
        words.counted(next.check),
        minutes(next.minutes),
        outcomes.join("; ")
    )
}
