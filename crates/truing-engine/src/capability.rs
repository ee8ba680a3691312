//! What meters can decide before anyone measures.
//!
//! A check is studied with each meter at the ends of its limit: a reading right there, on the
//! range that the instrument would choose, has an uncertainty; how that compares with the limit says what
//! the meter is good for. Nothing of the machine is known yet, so this is a forecast.

use serde::Serialize;
use truing_model::{
    Check, CheckId, CheckRule, Circuit, DecideRule, Indication, MeterFunction, MeterRange,
    NumberNode, Reading, Relation, Side, SlotId, SlotKind, Spec,
};
use truing_units::{Catalogue, Decimal, Measure};

use crate::budget::Uncertainty;
use crate::doubt::{factor, test_voltage};
use crate::evaluator::Evaluator;
use crate::expected::{Bounds, Expected, bounds_of};
use crate::fitness::Unfit;
use crate::meter::MeterUse;
use crate::plan::Plan;
use crate::sheet::Sheet;

/// What a meter can make of a check.
#[derive(Copy, Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Ability {
    /// Of a limit with two ends: the measurement capability index is four or more (the 4:1 of the
    /// trade; common practice, no source). Of a limit with one end: four times the expanded
    /// uncertainty is no more than the distance of the typical value from the limit; where there is
    /// no typical value, the expanded uncertainty is no more than a tenth of the limit (common
    /// practice, no source).
    DecidesWell,
    /// It decides, but for readings that come near an end. So it does of two quantities that are
    /// held against each other: how far apart they usually are nobody says.
    DecidesExceptNearEdges,
    /// Of a limit with two ends: no reading at all can come out within, since the guard bands at
    /// both ends take up the tolerance, or the expanded uncertainty is more than half of it. Of a
    /// limit with one end: the expanded uncertainty is the distance of the typical value from the
    /// limit, or the limit itself, or more. Also where the meter is not fit for a reading there.
    CannotDecide,
    /// It measures no kind of quantity that the check reads.
    NotMeasured,
    /// The check judges no quantity, or what it would be worked out from is not known beforehand.
    NotStudied,
}

/// What a meter can make of one check.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Capability {
    /// The check.
    pub check: CheckId,
    /// The meter, by its place among those that were asked about.
    pub meter: usize,
    /// What it can make of it.
    pub ability: Ability,
    /// At each end of the limit (of a graded one of its service limit).
    pub ends: Vec<AtEnd>,
    /// The measurement capability index C_m = T/(4u) (JCGM 106:2012, 7.6.3) of a limit with two
    /// ends, by the greater of the uncertainties at them.
    pub index: Option<f64>,
    /// Why the meter is not fit for a reading at the limit, where it is not.
    pub unfit: Option<Unfit>,
}

/// How uncertain a value would be at an end of a limit.
#[derive(Copy, Clone, Debug, PartialEq, Serialize)]
pub struct AtEnd {
    /// Which end.
    pub side: Side,
    /// Where it is; of two quantities held against each other, where the second is expected.
    pub at: f64,
    /// How uncertain a value there would be, or the difference of the two: at 95 %, unless the check's decision rule says another
    /// probability or factor.
    pub uncertainty: Uncertainty,
    /// How far inside the limit a value has to lie to come out within (JCGM 106:2012, 8.3).
    pub guard: f64,
}

/// Where nothing is asked for, uncertainty is told at 95 %.
const USUAL: DecideRule = DecideRule::At { probability: 0.95 };

/// What each of the meters can make of each check: for each check, in the order of the spec, one for
/// each meter, in the order given. Readings of a kind that a meter does not measure are taken with
/// the first of the others that does.
#[must_use]
pub fn study(spec: &Spec, meters: &[MeterUse]) -> Vec<Capability> {
    let mut capabilities = Vec::with_capacity(spec.checks.len() * meters.len());
    with_study(spec, meters, |study| {
        for (id, check) in spec.check_ids() {
            capabilities.extend((0..meters.len()).map(|meter| study.check(id, check, meter)));
        }
    });
    capabilities
}

/// As [`study`], of these checks alone, and of each only up to the first meter that decides it, if
/// only away from the edges.
#[must_use]
pub fn study_until_decided(
    spec: &Spec,
    meters: &[MeterUse],
    checks: impl IntoIterator<Item = CheckId>,
) -> Vec<Capability> {
    let mut capabilities = Vec::new();
    with_study(spec, meters, |study| {
        for id in checks {
            let Some(check) = spec.check(id) else { continue };
            for meter in 0..meters.len() {
                let found = study.check(id, check, meter);
                let decided = found.ability < Ability::CannotDecide;
                capabilities.push(found);
                if decided {
                    break;
                }
            }
        }
    });
    capabilities
}

fn with_study(spec: &Spec, meters: &[MeterUse], of: impl FnOnce(&mut Study<'_, '_>)) {
    let plan = Plan::new(spec);
    let mut evaluator = plan.evaluator();
    let expected = Expected::of(spec);
    let (catalogue, base) = (spec.catalogue(), Sheet::new(spec));
    let mut study =
        Study { spec, catalogue, meters, expected: &expected, evaluator: &mut evaluator, base };
    for (slot, value) in expected.values() {
        if let Some(indication) = study.indication(slot, value, None) {
            // What cannot stand there is not expected there.
            let _ = study.base.set(slot, Reading::Figure(indication));
        }
    }
    of(&mut study);
}

struct Study<'a, 'p> {
    spec: &'a Spec,
    catalogue: Catalogue,
    meters: &'a [MeterUse],
    expected: &'a Expected,
    evaluator: &'a mut Evaluator<'p>,
    /// What is expected, without any meter.
    base: Sheet,
}

/// Something, or why there is no forecast.
type Forecast<T> = Result<T, (Ability, Option<Unfit>)>;

impl Study<'_, '_> {
    fn check(&mut self, id: CheckId, check: &Check, meter: usize) -> Capability {
        let (ends, ability, unfit) = match self.forecast(id, check, meter) {
            Ok((ends, ability)) => (ends, ability, None),
            Err((ability, unfit)) => (Vec::new(), ability, unfit),
        };
        let index = index(&ends);
        Capability { check: id, meter, ability, ends, index, unfit }
    }

    fn forecast(
        &mut self,
        id: CheckId,
        check: &Check,
        meter: usize,
    ) -> Forecast<(Vec<AtEnd>, Ability)> {
        let rule = match check.decide.unwrap_or(self.spec.decide) {
            DecideRule::Simple | DecideRule::Guarded { k: 0.0 } => USUAL,
            rule => rule,
        };
        let not_studied = || (Ability::NotStudied, None);
        let subject = match &check.rule {
            CheckRule::Within { subject, .. } | CheckRule::Compare { subject, .. } => *subject,
            CheckRule::Logic { .. } => return Err(not_studied()),
        };
        let slots = self.slots_of(id);
        let direct = match self.spec.numbers.get(subject.0 as usize) {
            Some(NumberNode::Slot(slot)) => Some(*slot),
            _ => None,
        };
        let taking = self.meters_for(&slots, meter)?;
        let Some(bounds) = bounds_of(self.spec, check, self.expected) else {
            return self.of_two(id, check, (&slots, &taking), direct, rule);
        };
        let mut worst: Option<(Vec<AtEnd>, Ability)> = None;
        for bound in &bounds {
            let mut ends = Vec::new();
            for (side, at) in bound.ends() {
                let sheet = self.sheet(&slots, &taking, direct.map(|slot| (slot, at)))?;
                if let Some(slot) = direct {
                    self.reaches(&taking, slot, bound)?;
                }
                let found = self.evaluator.forecast(&sheet, id, rule);
                let (uncertainty, guard, _) = found.map_err(not_forecast)?;
                ends.push(AtEnd { side, at, uncertainty, guard });
            }
            let ability = ability(bound, &ends);
            // The arm of a limit by variants that is hardest to decide counts.
            if worst.as_ref().is_none_or(|(_, other)| ability > *other) {
                worst = Some((ends, ability));
            }
        }
        worst.ok_or_else(not_studied)
    }

    /// Two quantities that are held against each other, where they are equal.
    fn of_two(
        &mut self,
        id: CheckId,
        check: &Check,
        (slots, taking): (&[SlotId], &[(SlotId, usize)]),
        direct: Option<SlotId>,
        rule: DecideRule,
    ) -> Forecast<(Vec<AtEnd>, Ability)> {
        let not_studied = || (Ability::NotStudied, None);
        let CheckRule::Compare { relation, against, .. } = check.rule else {
            return Err(not_studied());
        };
        let side = match relation {
            Relation::Less | Relation::LessOrEqual => Side::High,
            Relation::Greater | Relation::GreaterOrEqual => Side::Low,
            Relation::Equal | Relation::NotEqual => return Err(not_studied()),
        };
        // Nothing need be expected of the first by itself: it is taken to be where the second is.
        let second = match self.spec.numbers.get(against.0 as usize) {
            Some(NumberNode::Slot(slot)) => self.expected.value(*slot),
            _ => None,
        };
        let mut forecast = |judged| {
            let sheet = self.sheet(slots, taking, judged)?;
            self.evaluator.forecast(&sheet, id, rule).map_err(not_forecast)
        };
        let (mut uncertainty, mut guard, at) = forecast(direct.zip(second))?;
        let at = at.ok_or_else(not_studied)?;
        if let (Some(slot), None) = (direct, second) {
            (uncertainty, guard, _) = forecast(Some((slot, at)))?;
        }
        Ok((vec![AtEnd { side, at, uncertainty, guard }], Ability::DecidesExceptNearEdges))
    }

    /// The slots of quantities that a check's rule reads.
    fn slots_of(&self, id: CheckId) -> Vec<SlotId> {
        let program = &self.evaluator.plan().program;
        let slots = program.checks.get(id.0 as usize).map(|check| check.root.slots);
        slots.unwrap_or_default().of(&program.slots).iter().copied().map(SlotId).collect()
    }

    /// For each slot the meter that it would be read with.
    fn meters_for(&self, slots: &[SlotId], meter: usize) -> Forecast<Vec<(SlotId, usize)>> {
        let measures = |place: usize, slot: SlotId| {
            let kind = match self.spec.slot(slot).map(|slot| &slot.kind) {
                Some(SlotKind::Quantity { kind, .. }) => *kind,
                _ => return false,
            };
            self.meters.get(place).is_some_and(|meter| meter.instrument.function(kind).is_some())
        };
        if !slots.iter().any(|slot| measures(meter, *slot)) {
            return Err((Ability::NotMeasured, None));
        }
        // What none of them measures is taken as known.
        let taken = slots.iter().filter_map(|slot| {
            let others = (0..self.meters.len()).filter(|other| *other != meter);
            let place = std::iter::once(meter).chain(others).find(|at| measures(*at, *slot))?;
            Some((*slot, place))
        });
        Ok(taken.collect())
    }

    /// A sheet with what is expected, and the judged slot at an end of its limit.
    fn sheet(
        &self,
        slots: &[SlotId],
        taking: &[(SlotId, usize)],
        judged: Option<(SlotId, f64)>,
    ) -> Forecast<Sheet> {
        let mut sheet = self.base.clone();
        for slot in slots {
            let value = match judged {
                Some((at, value)) if at == *slot => Some(value),
                _ => self.expected.value(*slot),
            };
            let value = value.ok_or((Ability::NotStudied, None))?;
            let meter = taking.iter().find(|(of, _)| of == slot);
            let meter = meter.and_then(|(_, place)| self.meters.get(*place));
            let indication =
                self.indication(*slot, value, meter).ok_or((Ability::NotStudied, None))?;
            let set = sheet.set(*slot, Reading::Figure(indication));
            let measured = match meter {
                Some(meter) => sheet.measure_with(*slot, meter.clone()),
                None => Ok(()),
            };
            set.and(measured).map_err(|_| (Ability::NotStudied, None))?;
        }
        Ok(sheet)
    }

    /// A figure as the meter would show it.
    fn indication(&self, slot: SlotId, value: f64, meter: Option<&MeterUse>) -> Option<Indication> {
        let of = self.spec.slot(slot)?;
        let SlotKind::Quantity { kind, .. } = of.kind else { return None };
        let unit = self.catalogue.unit(&self.catalogue.kind(kind).unit).ok()?;
        let shown = Measure { figure: Decimal::parse(&format!("{value}")).ok()?, unit };
        let function = meter.and_then(|meter| Some((meter, meter.instrument.function(kind)?)));
        Some(as_shown(&shown, value, of.circuit, function))
    }

    /// Whether a diode function reaches beyond the limit.
    fn reaches(&self, taking: &[(SlotId, usize)], slot: SlotId, bound: &Bounds) -> Forecast<()> {
        let Some(SlotKind::Quantity { kind, .. }) = self.spec.slot(slot).map(|slot| &slot.kind)
        else {
            return Ok(());
        };
        let meter = taking.iter().find(|(of, _)| *of == slot);
        let meter = meter.and_then(|(_, place)| self.meters.get(*place));
        let function = meter.and_then(|meter| meter.instrument.function(*kind));
        match (function.and_then(test_voltage), bound.high) {
            (Some(test), Some(needed)) if needed >= test => {
                Err((Ability::CannotDecide, Some(Unfit::TestVoltage { test, needed })))
            }
            _ => Ok(()),
        }
    }
}

const fn not_forecast(unfit: Option<Unfit>) -> (Ability, Option<Unfit>) {
    match unfit {
        Some(unfit) => (Ability::CannotDecide, Some(unfit)),
        None => (Ability::NotStudied, None),
    }
}

/// A value as a meter shows it on the lowest range that holds it: before it is corrected, and with
/// the last digit of that range. Without a meter, exactly.
pub(crate) fn as_shown(
    shown: &Measure,
    value: f64,
    circuit: Option<Circuit>,
    meter: Option<(&MeterUse, &MeterFunction)>,
) -> Indication {
    let function = meter.map(|(_, function)| function);
    let leads = match meter {
        Some((meter, function)) if !meter.zeroed => function.leads.map_or(0.0, |leads| leads.value),
        _ => 0.0,
    };
    let raw = value / factor(circuit, function) + leads;
    let stated = meter.and_then(|(meter, _)| meter.range);
    let holds = |range: &&MeterRange| {
        let chosen = stated.is_none_or(|stated| (stated - range.top).abs() <= 1e-9 * stated.abs());
        range.bottom <= raw && raw <= range.top && chosen
    };
    let range = function.and_then(|function| function.ranges.iter().find(holds));
    let half_step = range.and_then(|range| range.step).map_or(0.0, |step| step / 2.0);
    Indication { shown: shown.clone(), value: raw, exact: None, half_step }
}

/// The measurement capability index of a limit with two ends.
fn index(ends: &[AtEnd]) -> Option<f64> {
    let [low, high] = ends else { return None };
    let standard = low.uncertainty.standard.max(high.uncertainty.standard);
    let index = (high.at - low.at) / (4.0 * standard);
    index.is_finite().then_some(index)
}

fn ability(bound: &Bounds, ends: &[AtEnd]) -> Ability {
    match ends {
        [low, high] => {
            let tolerance = high.at - low.at;
            let expanded = low.uncertainty.expanded.max(high.uncertainty.expanded);
            if tolerance <= low.guard + high.guard || expanded > tolerance / 2.0 {
                Ability::CannotDecide
            } else if index(ends).is_none_or(|index| index >= 4.0) {
                Ability::DecidesWell
            } else {
                Ability::DecidesExceptNearEdges
            }
        }
        [end] => {
            let expanded = end.uncertainty.expanded;
            let (well, room) = match bound.typical {
                Some(typical) => {
                    let room = (typical - end.at).abs();
                    (4.0 * expanded <= room, room)
                }
                None => (expanded <= 0.1 * end.at.abs(), end.at.abs()),
            };
            // A limit at nought says nothing of how far from it readings usually are.
            if room == 0.0 {
                Ability::DecidesExceptNearEdges
            } else if expanded >= room && expanded > 0.0 {
                Ability::CannotDecide
            } else if well {
                Ability::DecidesWell
            } else {
                Ability::DecidesExceptNearEdges
            }
        }
        _ => Ability::NotStudied,
    }
}
