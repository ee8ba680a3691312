//! What stands in the way of closing a job, in words.

use truing_engine::suspects::RepairVerdict;
use truing_job::JobSheet;
use truing_job::closing::{Conclusion, Obstacle};
use truing_model::{CheckId, Spec};

use crate::layout::shown;
use crate::limit_text::percent;

/// One sentence for what stands in the way, without its full stop, and what removes it.
#[must_use]
pub fn obstacle_text(spec: &Spec, sheet: &JobSheet, obstacle: &Obstacle) -> String {
    let round = |place: usize| {
        let named = sheet.rounds.get(place).map(|round| shown(&round.name));
        named.filter(|name| !name.is_empty()).unwrap_or_else(|| format!("round {}", place + 1))
    };
    match obstacle {
        Obstacle::StillFails { check, round: failed } => {
            format!(
                "{} failed ({}), and nothing was done about it",
                named(spec, *check),
                round(*failed)
            )
        }
        Obstacle::NotTakenAgain { check, failed, repaired } => format!(
            "{} failed ({}) and was not taken again after the repair ({})",
            named(spec, *check),
            round(*failed),
            round(*repaired)
        ),
        Obstacle::Unclear { check, round: taken } => format!(
            "{} had failed, and does not pass clearly since the repair ({})",
            named(spec, *check),
            round(*taken)
        ),
        Obstacle::OtherCondition { shows } => {
            let state = spec.state(*shows).map_or(String::new(), |state| shown(&state.title));
            format!(
                "the complaint shows under another condition: nothing that passes was read with the \
                 machine in this state since the last repair: {state}"
            )
        }
        Obstacle::BypassLeft { what, round: set } => {
            format!("a bypass is not noted as removed: {} ({})", shown(what), round(*set))
        }
        Obstacle::CautionUnread { caution, round: taken } => {
            let caution = spec.cautions.get(caution.0 as usize);
            let text = caution.map_or(String::new(), |it| format!("{}: {}", it.name, it.text));
            let text = shown(&text);
            let text = text.trim_end_matches('.');
            format!("a caution was not acknowledged ({}): {text}", round(*taken))
        }
        Obstacle::RepairNotProven { verdict, none, residual } => {
            let mut text = match verdict {
                Some(RepairVerdict::StillFaulty) => "the machine is still faulty".to_owned(),
                None => "no fault and no slip allows these readings together".to_owned(),
                Some(_) => "the repair is not proven".to_owned(),
            };
            if let Some(none) = none {
                text.push_str(&format!("; that nothing is wrong any more: {}", percent(*none)));
            }
            if let Some(fault) =
                residual.and_then(|it| Some((spec.fault(it.fault)?, it.probability)))
            {
                let (fault, probability) = fault;
                text.push_str(&format!("; {}: {}", shown(&fault.title), percent(probability)));
            }
            text
        }
    }
}

/// What a job comes to, in a word or two.
#[must_use]
pub const fn conclusion_words(conclusion: Conclusion) -> &'static str {
    match conclusion {
        Conclusion::Proven => "proven",
        Conclusion::NotProven => "not proven",
        Conclusion::NothingRepaired => "nothing repaired",
    }
}

fn named(spec: &Spec, check: CheckId) -> String {
    let check = spec.check(check);
    check.map_or(String::new(), |check| format!("{} ({})", shown(&check.title), check.label))
}
