//! How uncertain a value is, for programs.

use serde_json::{Value, json};
use truing_engine::{BudgetLine, Conformance, Uncertainty};
use truing_metrology::uncertainty::Shape;
use truing_model::SlotId;
use truing_units::{Place, from_coherent};

use crate::budget_text::slope_figure;
use crate::reading_json;
use crate::teller::{Scale, Teller};

/// The standard and the expanded uncertainty, in the unit of the value.
pub(crate) fn uncertainty(uncertainty: Option<Uncertainty>, scale: Option<&Scale>) -> Value {
    let (Some(uncertainty), Some(scale)) = (uncertainty, scale) else { return Value::Null };
    json!({
        "standard": amount(uncertainty.standard, scale),
        "degrees_of_freedom": uncertainty.dof,
        "coverage": uncertainty.coverage,
        "coverage_factor": uncertainty.coverage_factor,
        "expanded": amount(uncertainty.expanded, scale),
    })
}

/// The probabilities of the parts that a limit makes.
pub(crate) fn conformance(conformance: Option<Conformance>) -> Value {
    conformance.map_or(
        Value::Null,
        |of| json!({ "within": of.within, "passes": of.passes, "low": of.low, "high": of.high }),
    )
}

fn amount(coherent: f64, scale: &Scale) -> f64 {
    from_coherent(coherent, &scale.unit, Place::Amount)
}

impl Teller<'_> {
    /// The lines of a budget, each amount in the unit beside it.
    pub(crate) fn budget_json(&self, lines: &[BudgetLine], judged: Option<&Scale>) -> Vec<Value> {
        let Some(judged) = judged else { return Vec::new() };
        lines.iter().map(|line| self.line(line, judged)).collect()
    }

    fn line(&self, line: &BudgetLine, judged: &Scale) -> Value {
        let own = line.slot.and_then(|slot| self.scale_of_slot(slot));
        let of_error = match (&own, line.sensitivity) {
            (Some(own), Some(_)) => own,
            _ => judged,
        };
        json!({
            "part": line.part,
            "reading": line.slot.map(|slot| self.slot_label(slot)),
            "readings": line.readings,
            "distribution": distribution(line.shape),
            "standard_uncertainty": amount(line.standard_uncertainty, of_error),
            "unit": reading_json::unit(&of_error.unit, &self.catalogue),
            "sensitivity": line.sensitivity.zip(own).map(|(c, own)| slope_figure(c, judged, &own)),
            "contribution": amount(line.contribution, judged),
            "share": line.share,
            "degrees_of_freedom": line.dof,
        })
    }

    /// With what a reading was taken.
    pub(crate) fn meter_json(&self, slot: SlotId) -> Value {
        self.sheet.meter(slot).map_or(Value::Null, |meter| {
            json!({
                "name": meter.meter,
                "instrument": meter.instrument.name,
                "zeroed": meter.zeroed,
            })
        })
    }
}

const fn distribution(shape: Shape) -> &'static str {
    match shape {
        Shape::Normal => "normal",
        Shape::Rectangular => "rectangular",
        Shape::Triangular => "triangular",
        Shape::Trapezoidal { .. } => "trapezoidal",
        Shape::Arcsine => "arcsine",
        Shape::Student { .. } => "student",
    }
}
