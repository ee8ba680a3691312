//! What is to be done next: the step, the way there, where the leads go, and what is asked for.

use truing::engine::procedure::{Passed, What};
use truing::engine::suspects::NextCheck;
use truing::model::{
    CheckRule, LimitRule, Procedure, Slot, SlotId, SlotKind, Spec, State, StateId, Step,
};
use truing::report::{chance, minutes};
use truing::units::{Measure, Place};

use super::{listed, sentence};
use crate::bench::Bench;
use crate::meters::{AtHand, Meters, function_words};
use crate::said::Said;
use crate::scale::{Gauge, Scale};
use crate::task::{Aim, Task};
use crate::tell::suspects::remedy;

/// The step, how long it takes, its limit, and what its outcomes would point to.
pub(crate) fn task(bench: &Bench, task: &Task, why: Option<&NextCheck>) -> Vec<Said> {
    let spec = bench.spec();
    let takes = task.minutes.map_or(String::new(), |of| format!(", about {}", minutes(of)));
    let (title, label) = (task.title(spec), task.label(spec));
    let mut said = vec![Said::title(format!("Next: {title} ({label}){takes}."))];
    if let Some(limit) = limit(spec, task) {
        said.push(Said::text(format!("Limit: {}", sentence(&limit))));
    }
    if let Some(text) = why.map(|next| pointers(spec, next)).filter(|text| !text.is_empty()) {
        said.push(Said::text(format!("Why: {text}")));
    }
    said
}

fn limit(spec: &Spec, task: &Task) -> Option<String> {
    let Aim::Check(id) = task.aim else { return None };
    let CheckRule::Within { limit, .. } = &spec.check(id)?.rule else { return None };
    let limit = spec.limit(*limit)?;
    // Of several variants it may not be known yet which is this machine's.
    (limit.rule != LimitRule::NotSpecified).then(|| limit.printed.replace(" when ", "; when "))
}

/// "outside high (38 %) would point to …; in order (62 %) to …"
fn pointers(spec: &Spec, next: &NextCheck) -> String {
    let told = next.outcomes.iter().filter(|of| of.probability >= 0.005).filter_map(|of| {
        let (cure, p) = of.cures.first()?;
        let band = super::outcome::band_words(of.band);
        let (p, to) = (chance(*p), remedy(spec, *cure));
        Some(format!("{band} ({}) points to: {to}, {p}", chance(of.probability)))
    });
    let told: Vec<String> = told.collect();
    let then = next.then.iter().filter_map(|id| Some(spec.check(*id)?.title.clone()));
    let then: Vec<String> = then.collect();
    let then = if then.is_empty() {
        String::new()
    } else {
        format!(" It comes before: {}.", listed(&then))
    };
    if told.is_empty() { then.trim().to_owned() } else { format!("{}.{then}", told.join("; ")) }
}

/// What a written procedure says at a step that was come through.
pub(crate) fn passed(bench: &Bench, procedure: &Procedure, passed: &Passed) -> Vec<Said> {
    let spec = bench.spec();
    match (&passed.what, procedure.step(passed.step)) {
        (What::Advised, Some(Step::Advise(text))) => {
            vec![Said::title(format!("Advice: {}", sentence(text)))]
        }
        (What::Suspected(faults), _) => {
            let titles = faults.iter().map(|fault| super::suspects::fault_title(spec, *fault));
            vec![Said::title(format!(
                "The procedure suspects: {}.",
                listed(&titles.collect::<Vec<_>>())
            ))]
        }
        (What::Cautioned(ids), _) => {
            let known = ids.iter().filter_map(|id| spec.cautions.get(id.0 as usize));
            known.map(|caution| Said::caution(&caution.text)).collect()
        }
        _ => Vec::new(),
    }
}

/// How the machine has to be brought there.
pub(crate) fn way(bench: &Bench, way: &[StateId]) -> Vec<Said> {
    let spec = bench.spec();
    let mut said = Vec::new();
    let Some((last, before)) = way.split_last() else { return said };
    let states: Vec<&State> = before.iter().filter_map(|id| spec.state(*id)).collect();
    if !states.is_empty() {
        let told: Vec<String> = states.iter().map(|state| with_time(state)).collect();
        said.push(Said::text(format!("First: {}.", told.join("; then: "))));
    }
    if let Some(state) = spec.state(*last) {
        said.push(Said::text(format!("Machine: {}.", with_time(state))));
    }
    let notes = states.into_iter().chain(spec.state(*last)).flat_map(|state| &state.notes);
    said.extend(notes.map(|note| Said::text(format!("Note: {}", sentence(note)))));
    said
}

fn with_time(state: &State) -> String {
    match &state.takes {
        Some(takes) => format!("{} (takes {})", state.title, minutes(in_minutes(takes))),
        None => state.title.clone(),
    }
}

fn in_minutes(time: &Measure) -> f64 {
    time.coherent(Place::Amount) / 60.0
}

/// What is read, with what, and where the leads go; its title where the step has another.
pub(crate) fn slot(bench: &Bench, meters: &Meters, id: SlotId, titled: bool) -> Vec<Said> {
    let Some(slot) = bench.slot(id) else { return Vec::new() };
    let mut said = Vec::new();
    if titled {
        said.push(Said::text(sentence(&slot.title)));
    }
    said.extend(meter_line(bench, meters, id, slot).map(Said::text));
    if !slot.tools.is_empty() {
        said.push(Said::text(format!("Tool: {}.", listed(&slot.tools))));
    }
    let lead = |colour: &str, at: &Option<String>| {
        at.as_ref().map(|at| format!("{colour} on {}.", at.trim_end_matches('.')))
    };
    let leads: Vec<String> =
        [lead("Red", &slot.red), lead("Black", &slot.black)].into_iter().flatten().collect();
    if !leads.is_empty() {
        said.push(Said::text(leads.join(" ")));
    }
    said.extend(slot.notes.iter().map(|note| Said::text(format!("Note: {}", sentence(note)))));
    said
}

fn meter_line(bench: &Bench, meters: &Meters, id: SlotId, slot: &Slot) -> Option<String> {
    let SlotKind::Quantity { kind, .. } = &slot.kind else { return None };
    let words = function_words(*kind);
    let range = |meter: &AtHand| {
        let range = meter.range_for(bench.spec(), id);
        range.map_or(String::new(), |range| format!(", range {range}"))
    };
    match (meters.for_slot(bench.spec(), id), words) {
        (Some(meter), Some(words)) => {
            Some(format!("Meter: {} on {words}{}.", meter.name, range(meter)))
        }
        (Some(meter), None) => Some(format!("Instrument: {}{}.", meter.name, range(meter))),
        (None, Some(words)) if slot.tools.is_empty() => Some(format!("Meter on {words}.")),
        (None, _) => None,
    }
}

/// What is asked for: the reading and its unit, or the words that can be seen.
pub(crate) fn prompt(bench: &Bench, id: SlotId) -> String {
    let Some(slot) = bench.slot(id) else { return String::new() };
    let what = match (&slot.kind, Gauge::of(bench.spec(), id).map(|gauge| gauge.scale)) {
        (SlotKind::Words(words), _) => format!(" ({})", words.join(", ")),
        (_, Some(Scale::Sure(unit))) => format!(" in {unit}"),
        (_, Some(Scale::Doubtful(units))) => format!(" with its unit, {}", units.join(" or ")),
        _ => String::new(),
    };
    format!("{}{what}: ", slot.label)
}
