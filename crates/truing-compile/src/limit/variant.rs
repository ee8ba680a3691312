//! Gaps and overlaps of a limit by variants: every machine that its conditions can tell apart is
//! tried.

use truing_model::Relation;
use truing_syntax::Span;
use truing_syntax::tree::LimitExpr;
use truing_units::{Floor, Kind, Ty};

use super::ArmIr;
use crate::context::{Context, PropertyKind};
use crate::lint;
use crate::typing::{Every, Logic, Num, NumKind, Value};

/// More machines than these are not tried: the limit is taken as it stands.
const MAX_MACHINES: usize = 20_000;

/// What a property is on a machine that is tried.
#[derive(Copy, Clone, Debug, PartialEq)]
enum Trial {
    Word(u16),
    Figure(f64),
}

/// A property with the values that the conditions tell apart.
struct Axis {
    property: usize,
    trials: Vec<Trial>,
}

/// Findings for machines that no arm, or two arms, are about.
pub(super) fn analyse(cx: &Context<'_>, arms: &[(ArmIr, Span)], value: &LimitExpr) {
    let conditions: Vec<(&Logic, Span)> =
        arms.iter().filter_map(|(arm, span)| Some((arm.condition.as_ref()?, *span))).collect();
    let covered = conditions.len() < arms.len();
    let mut axes = Vec::new();
    for (condition, _) in &conditions {
        collect(cx, condition, &mut axes);
    }
    let machines = axes.iter().try_fold(1usize, |n, axis: &Axis| n.checked_mul(axis.trials.len()));
    let Some(machines) = machines.filter(|machines| *machines <= MAX_MACHINES) else { return };
    let mut overlaps: Vec<(usize, usize)> = Vec::new();
    let mut gap = false;
    for number in 0..machines {
        let machine = machine(&axes, number);
        let holds: Vec<usize> = conditions
            .iter()
            .enumerate()
            .filter(|(_, (condition, _))| truth(condition, &machine) == Some(true))
            .map(|(arm, _)| arm)
            .collect();
        if let [first, second, ..] = holds.as_slice()
            && !overlaps.contains(&(*first, *second))
            && let (Some((_, one)), Some((_, other))) =
                (conditions.get(*first), conditions.get(*second))
        {
            overlaps.push((*first, *second));
            let named = named(cx, &machine);
            cx.findings.push(lint::variant_overlap::finding(*other, *one, &named));
        }
        if holds.is_empty() && !covered && !gap {
            gap = true;
            cx.findings.push(lint::variant_gap::finding(value.span, &named(cx, &machine)));
        }
    }
}

fn machine(axes: &[Axis], mut number: usize) -> Vec<(usize, Trial)> {
    let mut out = Vec::new();
    for axis in axes {
        let size = axis.trials.len().max(1);
        if let Some(trial) = axis.trials.get(number % size) {
            out.push((axis.property, *trial));
        }
        number /= size;
    }
    out
}

/// "serial 4100", "market eu and serial 4100".
fn named(cx: &Context<'_>, machine: &[(usize, Trial)]) -> String {
    let parts = machine.iter().filter_map(|(property, trial)| {
        let item = cx.properties.get(*property)?;
        let name = &item.decl.name.node;
        Some(match (trial, item.domain.as_ref()?) {
            (Trial::Word(word), PropertyKind::Words(words)) => {
                format!("{name} `{}`", words.get(usize::from(*word))?.node)
            }
            (Trial::Figure(figure), PropertyKind::Quantity(kind)) => {
                let unit = cx.catalogue.coherent_unit(*kind);
                let place = cx.catalogue.place(Ty::Kind(*kind));
                let shown = truing_units::from_coherent(*figure, &unit, place);
                match unit.symbol() {
                    "1" => format!("{name} {shown}"),
                    symbol => format!("{name} {shown} {symbol}"),
                }
            }
            _ => return None,
        })
    });
    parts.collect::<Vec<_>>().join(" and ")
}

/// The values of properties that a condition tells apart.
fn collect(cx: &Context<'_>, logic: &Logic, axes: &mut Vec<Axis>) {
    match logic {
        Logic::PropertyIs { index, .. } => {
            let Some(PropertyKind::Words(words)) =
                cx.properties.get(*index).and_then(|item| item.domain.as_ref())
            else {
                return;
            };
            if !axes.iter().any(|axis| axis.property == *index) {
                let trials = (0..words.len()).map(|word| Trial::Word(word as u16)).collect();
                axes.push(Axis { property: *index, trials });
            }
        }
        Logic::Compare(_, left, right) => match (&left.kind, &right.kind) {
            (NumKind::Property(index), NumKind::Constant(value))
            | (NumKind::Constant(value), NumKind::Property(index)) => {
                around(cx, *index, *value, axes);
            }
            _ => {}
        },
        Logic::Not(inner) => collect(cx, inner, axes),
        Logic::All(parts) | Logic::Any(parts) => {
            parts.iter().for_each(|part| collect(cx, &part.body, axes));
        }
        _ => {}
    }
}

/// A figure below, at and above a value; for a count the whole numbers beside it.
fn around(cx: &Context<'_>, property: usize, at: Value, axes: &mut Vec<Axis>) {
    let Some(PropertyKind::Quantity(kind)) =
        cx.properties.get(property).and_then(|item| item.domain.as_ref())
    else {
        return;
    };
    let step = if *kind == Kind::COUNT { 1.0 } else { (at.value.abs() * 1e-6).max(1e-9) };
    let signed = cx.catalogue.kind(*kind).floor == Floor::None;
    let candidates = [at.value - step, at.value, at.value + step];
    let trials = candidates.into_iter().filter(|value| signed || *value >= 0.0).map(Trial::Figure);
    match axes.iter_mut().find(|axis| axis.property == property) {
        Some(axis) => {
            for trial in trials {
                if !axis.trials.contains(&trial) {
                    axis.trials.push(trial);
                }
            }
        }
        None => axes.push(Axis { property, trials: trials.collect() }),
    }
}

/// Whether a condition holds of a machine; `None` where it asks for more than is known.
fn truth(logic: &Logic, machine: &[(usize, Trial)]) -> Option<bool> {
    let of = |property: usize| {
        machine.iter().find(|(index, _)| *index == property).map(|(_, trial)| *trial)
    };
    match logic {
        Logic::Constant(value) => Some(*value),
        Logic::PropertyIs { index, words } => match of(*index)? {
            Trial::Word(word) => Some(words.contains(&word)),
            Trial::Figure(_) => None,
        },
        Logic::Compare(relation, left, right) => {
            let value = |num: &Num| match &num.kind {
                NumKind::Constant(value) => Some(value.value),
                NumKind::Property(index) => match of(*index)? {
                    Trial::Figure(figure) => Some(figure),
                    Trial::Word(_) => None,
                },
                _ => None,
            };
            Some(compare(*relation, value(left)?, value(right)?))
        }
        Logic::Not(inner) => truth(inner, machine).map(|value| !value),
        Logic::All(parts) => kleene(parts, machine, false),
        Logic::Any(parts) => kleene(parts, machine, true),
        _ => None,
    }
}

/// Kleene's and (`decides` false) or or (`decides` true).
fn kleene(parts: &[Every<Logic>], machine: &[(usize, Trial)], decides: bool) -> Option<bool> {
    let values: Vec<Option<bool>> = parts.iter().map(|part| truth(&part.body, machine)).collect();
    if values.contains(&Some(decides)) {
        return Some(decides);
    }
    (!values.contains(&None)).then_some(!decides)
}

#[expect(
    clippy::float_cmp,
    reason = "trial values are compared with the very values they were made of"
)]
fn compare(relation: Relation, left: f64, right: f64) -> bool {
    match relation {
        Relation::Less => left < right,
        Relation::LessOrEqual => left <= right,
        Relation::Greater => left > right,
        Relation::GreaterOrEqual => left >= right,
        Relation::Equal => left == right,
        Relation::NotEqual => left != right,
    }
}
