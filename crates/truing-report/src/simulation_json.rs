//! What a simulation came to, for programs.

use serde_json::{Value, json};
use truing_engine::{Difference, LinearAgreement, NotSimulated, SimulationFinding};
use truing_units::{Place, from_coherent};

use crate::budget_json;
use crate::teller::Scale;

/// The simulation of what a check judges, in the unit of its value.
pub(crate) fn monte_carlo(
    simulation: Option<&Result<SimulationFinding, NotSimulated>>,
    scale: Option<&Scale>,
) -> Value {
    let (Some(Ok(found)), Some(scale)) = (simulation, scale) else { return Value::Null };
    let figure = |coherent: f64| from_coherent(coherent, &scale.unit, scale.place);
    let ends = |(low, high): (f64, f64)| json!({ "low": figure(low), "high": figure(high) });
    let (linear, difference) = match found.agreement {
        LinearAgreement::Agrees(by) => ("agrees", Some(by)),
        LinearAgreement::Unsettled(by) => ("unsettled", Some(by)),
        LinearAgreement::Differs(by) => ("differs", Some(by)),
        LinearAgreement::NotLinear => ("not-linear", None),
    };
    json!({
        "trials": found.trials,
        "seed": found.seed,
        "mean": figure(found.mean),
        "standard_uncertainty": amount(found.standard, scale),
        "coverage": found.coverage,
        "symmetric": ends(found.symmetric),
        "shortest": ends(found.shortest),
        "conformance": budget_json::conformance(found.conformance),
        "linear": linear,
        "difference": difference.map(|by| difference_json(&by, scale)),
    })
}

fn difference_json(by: &Difference, scale: &Scale) -> Value {
    json!({
        "low": amount(by.low, scale),
        "high": amount(by.high, scale),
        "tolerance": amount(by.tolerance, scale),
        "sampling": amount(by.sampling, scale),
    })
}

fn amount(coherent: f64, scale: &Scale) -> f64 {
    from_coherent(coherent, &scale.unit, Place::Amount)
}
