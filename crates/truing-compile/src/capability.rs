//! Whether the meters that a spec names can decide its limits: the engine's own forecast.

use std::sync::Arc;

use truing_engine::{Ability, Capability, MeterUse, study_until_decided};
use truing_model::{CheckId, CheckRule, Spec};
use truing_units::Unit;

use crate::context::Context;
use crate::lint;

/// A finding for each check that a meter of the spec measures and none can decide, at the check's
/// name, once for all its members.
pub(crate) fn check(cx: &Context<'_>, spec: &Spec) {
    let named = spec.meters.iter().filter_map(|id| spec.instrument(*id));
    let meters: Vec<MeterUse> = named
        .map(|instrument| MeterUse {
            // Whoever decides a limit finer than the leads takes them off the reading.
            zeroed: true,
            ..MeterUse::new(instrument.name.as_str(), Arc::new(instrument.clone()))
        })
        .collect();
    if meters.is_empty() {
        return;
    }
    let names: Vec<String> = meters.iter().map(|meter| meter.meter.clone()).collect();
    let checks = cx.checks.iter().map(|item| CheckId(item.first_check));
    let capabilities = study_until_decided(spec, &meters, checks);
    for item in &cx.checks {
        let of_first = |capability: &&Capability| capability.check.0 == item.first_check;
        let measured: Vec<&Capability> = capabilities
            .iter()
            .filter(of_first)
            .filter(|capability| capability.ability != Ability::NotMeasured)
            .collect();
        let best = measured.iter().min_by_key(|capability| capability.ability);
        let Some(best) = best.filter(|best| best.ability == Ability::CannotDecide) else {
            continue;
        };
        let check = spec.check(best.check);
        if let Some((check, unit)) = check.and_then(|check| Some((check, unit_of(spec, check)?))) {
            let tried: Vec<String> = measured
                .iter()
                .filter(|capability| capability.ability == Ability::CannotDecide)
                .filter_map(|capability| names.get(capability.meter).cloned())
                .collect();
            let span = item.decl.name.span;
            cx.findings.push(lint::limit_finer_than_meter::finding(
                span, spec, check, best, &tried, &unit,
            ));
        }
    }
}

fn unit_of(spec: &Spec, check: &truing_model::Check) -> Option<Unit> {
    match &check.rule {
        CheckRule::Within { limit, .. } => Some(spec.limit(*limit)?.unit.clone()),
        CheckRule::Compare { unit, .. } => Some(unit.clone()),
        CheckRule::Logic { .. } => None,
    }
}
