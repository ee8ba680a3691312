//! What readings are expected to be before they are taken, from what the spec says of them.

use truing_model::{
    Band, Check, CheckRule, Curve, Interpolation, Interval, LimitRule, NumberId, NumberNode,
    Relation, Side, SlotId, SlotKind, Spec,
};
use truing_units::{Kind, Measure, Nature, Place, Ty};

/// For each slot the value that is expected.
#[derive(Clone, Debug)]
pub(crate) struct Expected {
    values: Vec<Option<f64>>,
}

/// The ends that decide whether something passes, and a value that is typical.
#[derive(Copy, Clone, Debug, PartialEq)]
pub(crate) struct Bounds {
    pub low: Option<f64>,
    pub high: Option<f64>,
    pub typical: Option<f64>,
}

impl Bounds {
    pub fn ends(&self) -> impl Iterator<Item = (Side, f64)> {
        let low = self.low.map(|at| (Side::Low, at));
        low.into_iter().chain(self.high.map(|at| (Side::High, at)))
    }

    /// Somewhere at it.
    fn any(&self) -> Option<f64> {
        self.middle().or(self.low).or(self.high)
    }

    /// The middle of two ends.
    fn middle(&self) -> Option<f64> {
        Some(self.low? / 2.0 + self.high? / 2.0)
    }
}

impl Expected {
    /// By the typical value of a limit that a reading is held against, else the middle of that
    /// limit, else the middle of the band that a condition wants it in, else the middle of what is
    /// plausible, else the middle of the curve that goes by it, else the end of a limit that it is
    /// held against, else, of the same kind, of one that something worked out from it is. A
    /// temperature that nothing is known of is that at which sizes are given, 20 °C (ISO 1).
    pub fn of(spec: &Spec) -> Self {
        let mut expected = Self { values: vec![None; spec.slots.len()] };
        expected.fill(spec, |expected, slot| expected.of_checks(spec, slot, |of| of.typical));
        expected.fill(spec, |expected, slot| expected.of_checks(spec, slot, Bounds::middle));
        expected.fill(spec, |_, slot| wanted(spec, slot));
        expected.fill(spec, |_, slot| plausible(spec, slot).or_else(|| on_curve(spec, slot)));
        expected.fill(spec, |expected, slot| expected.of_checks(spec, slot, Bounds::any));
        expected.fill(spec, |expected, slot| expected.of_derived(spec, slot));
        expected
            .fill(spec, |_, slot| (kind_of(spec, slot)? == Kind::TEMPERATURE).then_some(293.15));
        expected
    }

    /// Fills in what is still missing.
    fn fill(&mut self, spec: &Spec, of: impl Fn(&Self, SlotId) -> Option<f64>) {
        for (slot, _) in spec.slot_ids() {
            if self.value(slot).is_none() {
                let value = of(self, slot);
                if let Some(kept) = self.values.get_mut(slot.0 as usize) {
                    *kept = value;
                }
            }
        }
    }

    pub fn value(&self, slot: SlotId) -> Option<f64> {
        self.values.get(slot.0 as usize).copied().flatten()
    }

    pub fn values(&self) -> impl Iterator<Item = (SlotId, f64)> + '_ {
        (0_u32..).zip(&self.values).filter_map(|(id, value)| Some((SlotId(id), (*value)?)))
    }

    fn of_checks(
        &self,
        spec: &Spec,
        slot: SlotId,
        of: impl Fn(&Bounds) -> Option<f64>,
    ) -> Option<f64> {
        let direct = |number: NumberId| matches!(spec.numbers.get(number.0 as usize), Some(NumberNode::Slot(of)) if *of == slot);
        spec.checks
            .iter()
            .filter(|check| match &check.rule {
                CheckRule::Within { subject, .. } | CheckRule::Compare { subject, .. } => {
                    direct(*subject)
                }
                CheckRule::Logic { .. } => false,
            })
            .filter_map(|check| bounds_of(spec, check, self))
            .flatten()
            .find_map(|bounds| of(&bounds))
    }

    /// At the limit of something of the same kind that is worked out from it.
    fn of_derived(&self, spec: &Spec, slot: SlotId) -> Option<f64> {
        let kind = kind_of(spec, slot)?;
        let judged_as = |check: &&Check| match &check.rule {
            CheckRule::Within { limit, .. } => {
                spec.limit(*limit).is_some_and(|limit| limit.kind == kind)
            }
            CheckRule::Compare { ty, .. } => *ty == Ty::Kind(kind),
            CheckRule::Logic { .. } => false,
        };
        spec.checks
            .iter()
            .filter(|check| check.slots.contains(&slot))
            .filter(judged_as)
            .filter_map(|check| bounds_of(spec, check, self))
            .flatten()
            .find_map(|bounds| bounds.typical.or_else(|| bounds.any()))
    }

    /// Where on its curve a limit is expected to be asked.
    fn place(&self, spec: &Spec, at: NumberId, curve: &Curve) -> Option<f64> {
        match spec.numbers.get(at.0 as usize)? {
            NumberNode::Slot(slot) => self.value(*slot).or_else(|| middle_of(curve)),
            NumberNode::Constant { value, .. } => Some(*value),
            _ => middle_of(curve),
        }
    }
}

fn middle_of(curve: &Curve) -> Option<f64> {
    Some(curve.points.first()?.x / 2.0 + curve.points.last()?.x / 2.0)
}

fn plausible(spec: &Spec, slot: SlotId) -> Option<f64> {
    let SlotKind::Quantity { plausible: Some(plausible), .. } = &spec.slot(slot)?.kind else {
        return None;
    };
    interval(plausible, None).middle()
}

fn kind_of(spec: &Spec, slot: SlotId) -> Option<Kind> {
    match spec.slot(slot)?.kind {
        SlotKind::Quantity { kind, .. } => Some(kind),
        SlotKind::Words(_) => None,
    }
}

/// The middle of the first band that a condition wants a slot in.
fn wanted(spec: &Spec, slot: SlotId) -> Option<f64> {
    let conditions = spec.limits.iter().flat_map(|limit| &limit.conditions);
    conditions
        .filter(|condition| {
            let subject = spec.numbers.get(condition.subject.0 as usize);
            matches!(subject, Some(NumberNode::Slot(of)) if *of == slot)
        })
        .find_map(|condition| interval(&condition.band, None).any())
}

/// The middle of the first curve that goes by a slot.
fn on_curve(spec: &Spec, slot: SlotId) -> Option<f64> {
    spec.checks.iter().find_map(|check| {
        let CheckRule::Within { limit, at: Some(at), .. } = check.rule else { return None };
        match spec.numbers.get(at.0 as usize)? {
            NumberNode::Slot(of) if *of == slot => {}
            _ => return None,
        }
        match &spec.limit(limit)?.rule {
            LimitRule::Curve(curve) => middle_of(curve),
            _ => None,
        }
    })
}

/// The ends that a check holds a quantity against, one pair for each arm of its limit; `None` where
/// it has no fixed ones.
pub(crate) fn bounds_of(spec: &Spec, check: &Check, expected: &Expected) -> Option<Vec<Bounds>> {
    let mut all = Vec::new();
    match &check.rule {
        CheckRule::Within { limit, at, .. } => {
            let limit = spec.limit(*limit)?;
            let typical = limit.typical.as_ref().map(|typical| coherent(spec, typical, limit.kind));
            of_rule(spec, &limit.rule, *at, typical, expected, &mut all);
        }
        CheckRule::Compare { relation, against, .. } => {
            let NumberNode::Constant { value, .. } = spec.numbers.get(against.0 as usize)? else {
                return None;
            };
            let (low, high) = match relation {
                Relation::Less | Relation::LessOrEqual => (None, Some(*value)),
                Relation::Greater | Relation::GreaterOrEqual => (Some(*value), None),
                Relation::Equal | Relation::NotEqual => return None,
            };
            all.push(Bounds { low, high, typical: None });
        }
        CheckRule::Logic { .. } => return None,
    }
    Some(all).filter(|all| !all.is_empty())
}

fn of_rule(
    spec: &Spec,
    rule: &LimitRule,
    at: Option<NumberId>,
    typical: Option<f64>,
    expected: &Expected,
    all: &mut Vec<Bounds>,
) {
    match rule {
        LimitRule::NotSpecified => {}
        LimitRule::Band(band) => all.push(deciding(band, typical)),
        LimitRule::Curve(curve) => {
            let place = at.and_then(|at| expected.place(spec, at, curve));
            all.extend(place.and_then(|place| on(curve, place, typical)));
        }
        LimitRule::Variants(arms) => {
            arms.iter().for_each(|arm| of_rule(spec, &arm.rule, at, typical, expected, all));
        }
    }
}

/// What decides whether something passes: the service limit, where there is one.
fn deciding(band: &Band, typical: Option<f64>) -> Bounds {
    interval(band.service.as_ref().unwrap_or(&band.standard), typical)
}

fn interval(of: &Interval, typical: Option<f64>) -> Bounds {
    Bounds {
        low: of.low.as_ref().map(|edge| edge.value),
        high: of.high.as_ref().map(|edge| edge.value),
        typical,
    }
}

/// A curve at a place; outside its points nothing.
fn on(curve: &Curve, x: f64, typical: Option<f64>) -> Option<Bounds> {
    let below = curve.points.iter().filter(|point| point.x <= x).count();
    let from = curve.points.get(below.checked_sub(1)?)?;
    let low = deciding(&from.band, typical);
    let Some(to) = curve.points.get(below) else {
        return (from.x == x).then_some(low);
    };
    if curve.interpolation == Interpolation::Step {
        return Some(low);
    }
    let high = deciding(&to.band, typical);
    let part = (x - from.x) / (to.x - from.x);
    let between = |a: Option<f64>, b: Option<f64>| {
        let (a, b) = (a?, b?);
        Some(match curve.interpolation {
            Interpolation::Log => libm::exp(libm::log(a) + (libm::log(b) - libm::log(a)) * part),
            Interpolation::Linear | Interpolation::Step => a + (b - a) * part,
        })
    };
    Some(Bounds { low: between(low.low, high.low), high: between(low.high, high.high), typical })
}

fn coherent(spec: &Spec, measure: &Measure, kind: Kind) -> f64 {
    let place = match spec.catalogue().kind(kind).nature {
        Nature::Point { .. } => Place::Point,
        Nature::Amount | Nature::Difference { .. } => Place::Amount,
    };
    measure.coherent(place)
}
