//! What a simulation came to, beneath the budget that it is held against.

use truing_engine::{Difference, LinearAgreement, NotSimulated, SimulationFinding};

use crate::layout::hanging;
use crate::limit_text::percent;
use crate::style::{Style, Tone};
use crate::teller::Scale;
use crate::value_text::Fineness;

/// A line of what it came to, and one of whether linear propagation says the same.
pub(crate) fn render(
    scale: &Scale,
    simulation: &Result<SimulationFinding, NotSimulated>,
    style: Style,
) -> String {
    let line = |text: &str| hanging("    ", text, style.columns());
    match simulation {
        Err(why) => line(&format!("Monte Carlo: not simulated, {why}.")),
        Ok(found) => {
            let (tone, words) = agreement_words(scale, found.agreement);
            let told = line(&words);
            let told: String = match tone {
                Tone::Plain => told,
                tone => told.lines().map(|of| format!("{}\n", style.paint(tone, of))).collect(),
            };
            format!("{}{told}", line(&finding_words(scale, found)))
        }
    }
}

/// "Monte Carlo: mean 12.053 V, u = 0.048 V, 95 % from 11.97 V to 12.13 V (200000 trials, seed 1)"
fn finding_words(scale: &Scale, found: &SimulationFinding) -> String {
    let value = |value: f64| scale.value(value, Fineness::Doubt(found.standard / 10.0));
    let (low, high) = found.symmetric;
    let conforms = found
        .conformance
        .map_or(String::new(), |of| format!("; conforms in {} of the trials", percent(of.passes)));
    format!(
        "Monte Carlo: mean {}, u = {}, {} from {} to {} ({} trials, seed {}){conforms}.",
        value(found.mean),
        scale.amount(found.standard),
        percent(found.coverage),
        value(low),
        value(high),
        found.trials,
        found.seed,
    )
}

fn agreement_words(scale: &Scale, agreement: LinearAgreement) -> (Tone, String) {
    let ends = |by: &Difference| {
        format!(
            "its ends differ by {} and {}, the tolerance is {}",
            scale.amount(by.low),
            scale.amount(by.high),
            scale.amount(by.tolerance)
        )
    };
    match agreement {
        LinearAgreement::Agrees(by) => {
            (Tone::Plain, format!("Linear propagation agrees: {}.", ends(&by)))
        }
        LinearAgreement::Unsettled(by) => (
            Tone::Plain,
            format!(
                "Linear propagation agrees as far as so many trials tell: {}; the trials may be off \
                 by {}. More trials would tell.",
                ends(&by),
                scale.amount(by.sampling)
            ),
        ),
        LinearAgreement::Differs(by) => (
            Tone::Bad,
            format!(
                "LINEAR PROPAGATION DOES NOT HOLD HERE: {}. Trust the Monte Carlo, not the budget.",
                ends(&by)
            ),
        ),
        LinearAgreement::NotLinear => (
            Tone::Open,
            "NO LINEAR PROPAGATION HERE: which way the value changes with a reading is open, so the \
             check goes by intervals. Trust the Monte Carlo."
                .to_owned(),
        ),
    }
}
