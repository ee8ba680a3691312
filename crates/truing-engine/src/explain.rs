//! From what decided to a finding with its reasons. Allocates; the outcomes are made without it.

use truing_model::{
    Band, CheckId, DecideRule, DerivedId, LimitId, LimitRule, NumberId, Outcome, PropertyId,
    Reading, Side, SlotId, Spec,
};

use crate::arithmetic::{Arithmetic, Cause, Known, Lack, Mode, Stand, Truth, Width};
use crate::budget::BudgetLine;
use crate::evaluator::Detail;
use crate::finding::{AppliedLimit, Because, DerivedFinding, Finding, Reason, Value};
use crate::flat::{FlatReading, implausible};
use crate::full::{Full, Number};
use crate::judge::{Judged, Why, mode};
use crate::plan::one_sided;
use crate::program::{
    FlatBand, FlatCheck, FlatCheckRule, FlatRule, LogicOp, NumberOp, Root, Step, Stretch,
};
use crate::run::Runner;
use crate::sheet::place;
use crate::stand::Stood;
use crate::values::{best, half_width, interval, nearest_end, value};
use crate::weigh::Weighed;

/// Turns what decided into findings.
pub(crate) struct Explainer<'a> {
    pub spec: &'a Spec,
    pub runner: Runner<'a, Full>,
}

impl Explainer<'_> {
    /// The finding of a check.
    pub fn finding(
        mut self,
        id: CheckId,
        check: &FlatCheck,
        judged: &Judged<Number>,
        rule: DecideRule,
        detail: Detail,
    ) -> Finding {
        // First what the registers still hold; the best value works them out anew.
        let mut because = self.because(check, judged);
        let limit = self.applied(check, judged);
        let weighed = self.runner.weigh(check, judged, rule, detail);
        let budget = self.budget(weighed.as_ref());
        let weighed = weighed.unwrap_or_default();
        let value = match (&judged.stood, weighed.value) {
            (_, Some(value)) => Some(value),
            (Some(stood), None) => self.judged_value(check, stood, rule),
            (None, None) => None,
        };
        if let (Because::Spans { probability, settles, repeats, .. }, Some(stood)) =
            (&mut because, &judged.stood)
        {
            *settles = match weighed.uncertainty.filter(|_| rule != DecideRule::Simple) {
                Some(_) => weighed.settles,
                None => value.and_then(|value| nearest_end(value.best?, stood)),
            };
            *repeats = weighed.repeats;
            *probability = weighed.conformance.map(|of| of.passes);
        }
        let doubt = match (rule, weighed.uncertainty) {
            (DecideRule::Simple, _) => None,
            (_, Some(uncertainty)) => Some(uncertainty.expanded),
            (_, None) => value.and_then(half_width),
        };
        Finding {
            check: id,
            outcome: judged.outcome.unwrap_or(Outcome::Blocked),
            reason: Reason {
                used: self.taken(check.root.slots),
                value,
                limit,
                rule,
                doubt,
                because,
                conformance: weighed.conformance,
                uncertainty: weighed.uncertainty,
                budget,
            },
        }
    }

    /// The budget of what was weighed last.
    fn budget(&self, weighed: Option<&Weighed>) -> Vec<BudgetLine> {
        weighed.map_or_else(Vec::new, |_| self.runner.budget())
    }

    /// The finding of a check that is a reading against fixed ends and decided at once.
    pub fn direct_finding(
        &mut self,
        id: CheckId,
        check: &FlatCheck,
        slot: u32,
        outcome: Outcome,
        rule: DecideRule,
    ) -> Finding {
        let judged = !matches!(outcome, Outcome::NotTaken | Outcome::Blocked);
        let weighed = self.runner.weigh_clear(slot, outcome, rule);
        let budget = self.budget(weighed.as_ref());
        let weighed = weighed.unwrap_or_default();
        let value = match weighed.value {
            None if judged => self.reading_value(slot, rule),
            value => value,
        };
        let because = match outcome {
            Outcome::NotTaken => Because::Missing { slots: vec![SlotId(slot)] },
            Outcome::Blocked => self.doubted(slot),
            Outcome::Worn => Because::InsideServiceOnly,
            Outcome::Outside(Some(Side::Low)) => Because::Below,
            Outcome::Outside(Some(Side::High)) => Because::Above,
            _ => Because::Inside,
        };
        let limit = match check.rule {
            FlatCheckRule::Within { limit, .. } => self.fixed_limit(limit),
            FlatCheckRule::Against { side, edge, .. } => {
                let standard = interval(&self.runner.ends(&one_sided(side, edge)));
                let band = Band { standard, service: None };
                Some(AppliedLimit { limit: None, variant: None, band, at: None })
            }
            FlatCheckRule::Compare { .. } | FlatCheckRule::Logic(_) => None,
        };
        let doubt = match (rule, weighed.uncertainty) {
            (DecideRule::Simple, _) => None,
            (_, Some(uncertainty)) => Some(uncertainty.expanded),
            (_, None) => value.and_then(half_width),
        };
        let used = self.taken(check.root.slots);
        let reason = Reason {
            used,
            value,
            limit,
            rule,
            doubt,
            because,
            conformance: weighed.conformance,
            uncertainty: weighed.uncertainty,
            budget,
        };
        Finding { check: id, outcome, reason }
    }

    /// A limit that is one band, as the spec has it.
    fn fixed_limit(&self, limit: u32) -> Option<AppliedLimit> {
        let id = LimitId(limit);
        match &self.spec.limit(id)?.rule {
            LimitRule::Band(band) => {
                Some(AppliedLimit { limit: Some(id), variant: None, band: band.clone(), at: None })
            }
            _ => None,
        }
    }

    /// What is known of a reading.
    fn reading_value(&self, slot: u32, rule: DecideRule) -> Option<Value> {
        let flat = self.flat(slot);
        let reading = self.runner.sheet.judged(slot)?;
        if let (DecideRule::Simple, Reading::Figure(figure)) = (rule, reading) {
            return Some(Value::point(figure.value));
        }
        let facts = self.runner.sheet.facts(slot)?;
        let single = flat.has(FlatReading::POINT);
        let best = match reading {
            Reading::Figure(figure) => Some(figure.value),
            _ => best(Full::reading(facts, flat, reading, Mode::Simple, Width::NONE), single),
        };
        Some(match (rule, best) {
            (DecideRule::Simple, Some(best)) => Value::point(best),
            _ => {
                let width = self.runner.width(slot, flat, mode(rule));
                value(Full::reading(facts, flat, reading, mode(rule), width), best)
            }
        })
    }

    /// What every derived quantity comes to.
    pub fn derived(mut self, rule: DecideRule, detail: Detail) -> Vec<DerivedFinding> {
        let program = self.runner.program;
        let mut findings = Vec::with_capacity(program.derived.len());
        for ((number, root), id) in program.derived.iter().zip(0_u32..) {
            let used = self.taken(root.slots);
            let derived = DerivedId(id);
            findings.push(match self.number_weighed(*number, *root, rule, detail) {
                Ok((value, uncertainty, budget)) => DerivedFinding {
                    derived,
                    value: Some(value),
                    because: None,
                    used,
                    uncertainty,
                    budget,
                },
                Err(lack) => DerivedFinding {
                    derived,
                    value: None,
                    because: Some(self.lacking(lack, *root)),
                    used,
                    uncertainty: None,
                    budget: Vec::new(),
                },
            });
        }
        findings
    }

    /// What is known of a number.
    pub fn value_of(self, number: NumberId, rule: DecideRule) -> Option<Value> {
        let nodes =
            truing_model::node::walk(self.spec, [truing_model::node::Node::Number(number)]).ok()?;
        // The plan has no root for any number: a program of its own for this one.
        let mut program = self.runner.program.clone();
        let root = program.root_of(&nodes)?;
        let mut explainer = Explainer {
            spec: self.spec,
            runner: Runner {
                program: &program,
                sheet: self.runner.sheet,
                outcomes: self.runner.outcomes,
                numbers: &mut *self.runner.numbers,
                truths: &mut *self.runner.truths,
                banded: self.runner.banded,
                scratch: &mut *self.runner.scratch,
            },
        };
        let known = explainer.number_weighed(number.0, root, rule, Detail::Reasons);
        known.ok().map(|(value, ..)| value)
    }

    fn flat(&self, slot: u32) -> &FlatReading {
        self.runner.sheet.flat(slot)
    }

    /// The slots of these that have readings.
    fn taken(&self, slots: Stretch) -> Vec<SlotId> {
        self.slots(slots, |flat| flat.has(FlatReading::TAKEN))
    }

    fn missing(&self, slots: Stretch) -> Vec<SlotId> {
        self.slots(slots, |flat| !flat.has(FlatReading::TAKEN))
    }

    fn slots(&self, slots: Stretch, wanted: impl Fn(&FlatReading) -> bool) -> Vec<SlotId> {
        let slots = slots.of(&self.runner.program.slots).iter();
        slots.copied().filter(|slot| wanted(self.flat(*slot))).map(SlotId).collect()
    }

    /// The checks that the steps to something ask about and that did not come out as asked.
    fn checks(&self, root: Root) -> Vec<CheckId> {
        let mut checks = Vec::new();
        for op in self.logic(root) {
            let came_out = |check: u32, how: fn(Outcome) -> bool| {
                self.runner.outcomes.get(place(check)).is_some_and(|outcome| how(*outcome))
            };
            match op {
                LogicOp::Passes(check) if !came_out(check, Outcome::passes) => {
                    checks.push(CheckId(check));
                }
                LogicOp::Fails(check) if !came_out(check, Outcome::fails) => {
                    checks.push(CheckId(check));
                }
                _ => {}
            }
        }
        checks.sort_unstable();
        checks.dedup();
        checks
    }

    /// The properties that the steps to something ask about and that are not known.
    fn properties(&self, root: Root) -> Vec<PropertyId> {
        let mut properties: Vec<PropertyId> = self
            .logic(root)
            .filter_map(|op| match op {
                LogicOp::PropertyIs { property, .. } => Some(PropertyId(property)),
                _ => None,
            })
            .filter(|property| self.runner.sheet.property(*property).is_none())
            .collect();
        properties.sort_unstable();
        properties.dedup();
        properties
    }

    fn logic(&self, root: Root) -> impl Iterator<Item = LogicOp> {
        let program = self.runner.program;
        root.steps.of(&program.steps).iter().filter_map(|step| match step {
            Step::Logic(id) => program.logic.get(place(*id)).copied(),
            Step::Number(_) => None,
        })
    }

    fn because(&self, check: &FlatCheck, judged: &Judged<Number>) -> Because {
        match judged.why {
            Why::Stands(stand) => self.stands(check, stand, judged.stood.as_ref()),
            Why::Rule(truth) => self.rule(check, truth),
            Why::Doubted(slot) => self.doubted(slot),
            Why::Unfit(slot, unfit) => Because::Unfit { slot: SlotId(slot), unfit },
            Why::When { unmet } => {
                let root = check.when.map(|(_, root)| root).unwrap_or_default();
                Because::Precondition {
                    unmet,
                    checks: self.checks(root),
                    missing: self.missing(root.slots),
                    properties: self.properties(root),
                }
            }
            Why::Applies(Cause::Property(property)) | Why::Property(property) => {
                Because::PropertyUnknown { property: PropertyId(property) }
            }
            Why::Applies(_) => {
                let root = check.applies.map(|(_, root)| root).unwrap_or_default();
                Because::Applicability {
                    checks: self.checks(root),
                    missing: self.missing(root.slots),
                }
            }
            Why::Condition { condition, unmet } => self.condition(check, condition, unmet),
            Why::Missing => self.lacking(Lack::Missing, check.root),
            Why::NotThisVariant => Because::NotThisVariant,
            Why::NotSpecified => Because::NotSpecified,
            Why::Curve(limit) => self.outside_curve(limit, self.place_on_curve(check)),
            Why::NoNumber(cause) => self.lacking(Lack::NoNumber(cause), check.root),
            Why::Blocked => self.lacking(Lack::Blocked, check.root),
        }
    }

    fn stands(&self, check: &FlatCheck, stand: Stand, stood: Option<&Stood<Number>>) -> Because {
        match stand {
            Stand::Within => Because::Inside,
            Stand::Worn => Because::InsideServiceOnly,
            Stand::Outside(Some(Side::Low)) => Because::Below,
            Stand::Outside(Some(Side::High)) => Because::Above,
            Stand::Outside(None) => Because::Beside,
            Stand::NotSpecified => Because::NotSpecified,
            Stand::NotThisVariant => Because::NotThisVariant,
            Stand::Spans { ends, passes } => {
                if let (Some(stood), FlatCheckRule::Within { limit, .. }) = (stood, check.rule)
                    && stood.standard.is_none()
                {
                    return self.outside_curve(limit, stood.at.map(|at| value(at, None)));
                }
                if let Some(because) = self.overload(check.root) {
                    return because;
                }
                Because::Spans { ends, passes, probability: None, settles: None, repeats: None }
            }
        }
    }

    /// The first overload among the readings, where there is one.
    fn overload(&self, root: Root) -> Option<Because> {
        let mut slots = root.slots.of(&self.runner.program.slots).iter().copied();
        let slot = slots.find(|slot| self.flat(*slot).has(FlatReading::OVERLOAD))?;
        let slot = SlotId(slot);
        let range = match self.runner.sheet.judged(slot.0)? {
            Reading::Overload { range } => range.as_ref().map(|range| range.value),
            _ => None,
        };
        Some(Because::Overload { slot, range })
    }

    fn rule(&self, check: &FlatCheck, truth: Truth) -> Because {
        let FlatCheckRule::Logic(logic) = check.rule else {
            return Because::Rule { holds: None, checks: self.checks(check.root) };
        };
        if let Some(LogicOp::Is { slot, .. }) = self.runner.program.logic.get(place(logic))
            && self.flat(*slot).has(FlatReading::WORD)
        {
            return Because::WordSeen { slot: SlotId(*slot), word: self.flat(*slot).word };
        }
        let holds = match truth {
            Truth::True => Some(true),
            Truth::False => Some(false),
            Truth::Unknown(_) | Truth::Unclear => None,
        };
        if truth == Truth::Unknown(Cause::Undecided)
            && let Some(because) = self.overload(check.root)
        {
            return because;
        }
        Because::Rule { holds, checks: self.checks(check.root) }
    }

    fn doubted(&self, slot: u32) -> Because {
        let id = SlotId(slot);
        let (facts, sheet) = (self.runner.sheet.facts(slot), self.runner.sheet);
        let wanted = facts.and_then(|facts| facts.during);
        match (wanted, sheet.state(id)) {
            (Some(wanted), Some(taken)) if wanted != taken => {
                Because::StateOther { slot: id, wanted, taken }
            }
            _ if !self.flat(slot).has(FlatReading::IMPLAUSIBLE)
                && let Some(unfit) = self.runner.unfit(slot) =>
            {
                Because::Unfit { slot: id, unfit }
            }
            _ => {
                let slip =
                    facts.zip(sheet.get(id)).and_then(|(of, reading)| implausible(of, reading));
                Because::Implausible { slot: id, slip: slip.flatten() }
            }
        }
    }

    fn condition(&self, check: &FlatCheck, condition: u32, unmet: bool) -> Because {
        let FlatCheckRule::Within { limit, .. } = check.rule else {
            return self.lacking(Lack::Blocked, check.root);
        };
        let program = self.runner.program;
        let conditions = program.limits.get(place(limit)).map(|limit| limit.conditions);
        let conditions = conditions.unwrap_or_default().of(&program.conditions);
        let subject = conditions.get(place(condition)).map(|condition| condition.subject);
        let known = subject.and_then(|subject| self.runner.number(subject).ok());
        Because::Condition {
            limit: LimitId(limit),
            condition: place(condition),
            unmet,
            value: known.map(|known| value(known, best(known, true))),
            missing: self.missing(check.conditions.slots),
        }
    }

    /// Why something cannot be worked out.
    fn lacking(&self, lack: Lack, root: Root) -> Because {
        match lack {
            Lack::NoNumber(cause) => Because::NoNumber { cause },
            Lack::Curve(limit) => self.outside_curve(limit, None),
            Lack::Property(property) => Because::PropertyUnknown { property: PropertyId(property) },
            Lack::Missing => {
                let slots = self.missing(root.slots);
                if slots.is_empty() {
                    Because::Rule { holds: None, checks: self.checks(root) }
                } else {
                    Because::Missing { slots }
                }
            }
            Lack::Blocked | Lack::Unclear | Lack::Rough => {
                Because::Rule { holds: None, checks: self.checks(root) }
            }
        }
    }

    /// Where on its curve a check asked; the registers hold it.
    fn place_on_curve(&self, check: &FlatCheck) -> Option<Value> {
        match check.rule {
            FlatCheckRule::Within { at: Some(at), .. } => {
                self.runner.number(at).ok().map(|at| value(at, best(at, false)))
            }
            _ => None,
        }
    }

    fn outside_curve(&self, limit: u32, at: Option<Value>) -> Because {
        let program = self.runner.program;
        let resolved =
            program.limits.get(place(limit)).map(|limit| self.runner.resolve(limit.rule));
        let points = match resolved {
            Some(Ok(resolved)) => match resolved.rule {
                Some(FlatRule::Curve(curve)) => {
                    program.curves.get(place(curve)).map(|curve| curve.points.of(&program.points))
                }
                _ => None,
            },
            _ => None,
        };
        let x = |point: Option<&crate::program::FlatPoint>| {
            point.map(|point| point.x).and_then(|x| x.exact.map(|x| x.to_f64()).or(x.near.middle()))
        };
        let points = points.unwrap_or_default();
        Because::OutsideCurve {
            limit: LimitId(limit),
            at,
            first: x(points.first()).unwrap_or_default(),
            last: x(points.last()).unwrap_or_default(),
        }
    }

    /// The limit with its ends, where an arm of it is about this machine.
    fn applied(&self, check: &FlatCheck, judged: &Judged<Number>) -> Option<AppliedLimit> {
        let program = self.runner.program;
        let ends = |band: &FlatBand| {
            let service = band.service.as_ref().map(|service| self.runner.ends(service));
            (self.runner.ends(&band.standard), service)
        };
        let (limit, flat) = match check.rule {
            FlatCheckRule::Within { limit, .. } => {
                let band = match judged.resolved.and_then(|resolved| resolved.rule) {
                    Some(FlatRule::Band(band)) => program.bands.get(place(band)).map(ends),
                    _ => None,
                };
                (Some(LimitId(limit)), band)
            }
            FlatCheckRule::Against { side, edge, .. } => {
                let standard = one_sided(side, edge);
                (None, Some(ends(&FlatBand { standard, service: None })))
            }
            FlatCheckRule::Compare { .. } | FlatCheckRule::Logic(_) => (None, None),
        };
        let stood = judged.stood.as_ref();
        let from_stood = stood.and_then(|stood| Some((stood.standard?, stood.service)));
        let (standard, service) = from_stood.or(flat)?;
        let at = stood.and_then(|stood| stood.at).and_then(|at| best(at, true));
        Some(AppliedLimit {
            limit,
            variant: judged.resolved.and_then(|resolved| resolved.arm).map(place),
            band: Band { standard: interval(&standard), service: service.as_ref().map(interval) },
            at,
        })
    }

    /// What is known of the value that was judged.
    fn judged_value(
        &mut self,
        check: &FlatCheck,
        stood: &Stood<Number>,
        rule: DecideRule,
    ) -> Option<Value> {
        let known = stood.value?;
        let subject = match check.rule {
            FlatCheckRule::Within { subject, .. }
            | FlatCheckRule::Against { subject, .. }
            | FlatCheckRule::Compare { subject, .. } => subject,
            FlatCheckRule::Logic(_) => return None,
        };
        if let Some(point) = stood.point {
            let Some(NumberOp::Slot(slot)) = self.runner.program.numbers.get(place(subject)) else {
                return None;
            };
            let figure = match self.runner.sheet.judged(*slot)? {
                Reading::Sweep(points) => points.get(point).map(|(_, figure)| figure)?,
                _ => return None,
            };
            let by_itself = Full::indication(figure, Mode::Simple, Width::NONE);
            return Some(value(known, best(by_itself, true)));
        }
        Some(self.with_best(known, subject, check.root, rule))
    }

    /// A value with the best value that the readings give by themselves.
    pub fn with_best(
        &mut self,
        known: Number,
        subject: u32,
        root: Root,
        rule: DecideRule,
    ) -> Value {
        let single = root
            .slots
            .of(&self.runner.program.slots)
            .iter()
            .all(|slot| self.flat(*slot).has(FlatReading::POINT | FlatReading::WORD));
        let by_itself: Known<Number> = if mode(rule) == Mode::Simple {
            Ok(known)
        } else {
            self.runner.run(root, Mode::Simple);
            self.runner.number(subject)
        };
        let best = by_itself.ok().and_then(|by_itself| best(by_itself, single));
        match (mode(rule), best) {
            (Mode::Simple, Some(best)) => Value::point(best),
            _ => value(known, best),
        }
    }
}
