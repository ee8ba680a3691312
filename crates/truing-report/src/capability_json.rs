//! What meters can decide before anyone measures, for programs: `truing-capability`, version 1.

use serde_json::{Value, json};
use truing_engine::{AtEnd, Capability};
use truing_model::Check;
use truing_units::{Catalogue, Place, from_coherent};

use crate::capability_text::{CapabilityReport, unit_of};
use crate::reading_json;
use crate::unfit_text::unfit_words;

/// What was found, as JSON; `schema/truing-capability.schema.json` describes it.
#[must_use]
pub fn capability_json(report: &CapabilityReport<'_>) -> Value {
    let catalogue = report.spec.catalogue();
    json!({
        "format": "truing-capability",
        "version": 1,
        "spec": report.spec.name,
        "instruments": report.meters,
        "checks": report
            .asked()
            .map(|(check, found)| one(report, check, found, &catalogue))
            .collect::<Vec<_>>(),
    })
}

fn one(
    report: &CapabilityReport<'_>,
    check: &Check,
    found: &Capability,
    catalogue: &Catalogue,
) -> Value {
    let scale = unit_of(report.spec, check);
    let ends = |end: &AtEnd| {
        let (unit, ty) = scale.as_ref()?;
        let amount = |coherent: f64| from_coherent(coherent, unit, Place::Amount);
        Some(json!({
            "side": end.side,
            "at": from_coherent(end.at, unit, catalogue.place(*ty)),
            "standard_uncertainty": amount(end.uncertainty.standard),
            "coverage_factor": end.uncertainty.coverage_factor,
            "coverage": end.uncertainty.coverage,
            "expanded_uncertainty": amount(end.uncertainty.expanded),
            "guard_band": amount(end.guard),
        }))
    };
    json!({
        "check": check.label,
        "title": check.title,
        "instrument": report.meters.get(found.meter),
        "verdict": found.ability,
        "index": found.index,
        "ends": found.ends.iter().filter_map(ends).collect::<Vec<_>>(),
        "unit": scale.as_ref().map(|(unit, _)| reading_json::unit(unit, catalogue)),
        "why_not": found.unfit.map(unfit_words),
        "alternatives": report.alternatives(found),
    })
}
