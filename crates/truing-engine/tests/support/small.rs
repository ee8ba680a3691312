//! Specs of one idea each, written out by hand.

use truing_engine::{Because, Finding, Sheet, assess};
use truing_model::*;
use truing_units::{Catalogue, Decimal, Kind, Measure, Place, Ty};

pub fn measure(figure: &str, unit: &str) -> Measure {
    Measure {
        figure: Decimal::parse(figure).unwrap(),
        unit: Catalogue::standard().unit(unit).unwrap(),
    }
}

/// `"12.71 V"` as a display showed it.
pub fn shown(text: &str) -> Indication {
    let (figure, unit) = text.split_once(' ').unwrap();
    let shown = measure(figure, unit);
    let (value, exact) = (shown.coherent(Place::Amount), shown.exact(Place::Amount));
    let half_step = shown.half_step();
    Indication { shown, value, exact, half_step }
}

pub fn figure(text: &str) -> Reading {
    Reading::Figure(shown(text))
}

pub fn edge(text: &str) -> Option<Edge> {
    let shown = shown(text);
    Some(Edge { value: shown.value, exact: shown.exact, open: false })
}

pub fn open(text: &str) -> Option<Edge> {
    edge(text).map(|edge| Edge { open: true, ..edge })
}

pub fn band(low: Option<Edge>, high: Option<Edge>) -> LimitRule {
    LimitRule::Band(Band { standard: Interval { low, high }, service: None })
}

pub fn constant(text: &str) -> NumberNode {
    let shown = shown(text);
    NumberNode::Constant { value: shown.value, exact: shown.exact }
}

/// A spec in the making. Numbers 0 .. are its slots.
pub struct Small {
    pub parts: SpecParts,
}

impl Small {
    /// With so many slots of one kind.
    pub fn new(kind: Kind, slots: u32) -> Self {
        let mut parts = SpecParts { decide: DecideRule::Simple, ..SpecParts::default() };
        for id in 0..slots {
            let kind = SlotKind::Quantity {
                kind,
                plausible: None,
                plausible_printed: None,
                reduce: Reduction::Mean,
                capture: None,
                over: None,
            };
            parts.slots.push(super::slot(&format!("s{id}"), kind, None));
            parts.numbers.push(NumberNode::Slot(SlotId(id)));
        }
        Self { parts }
    }

    pub fn number(&mut self, node: NumberNode) -> NumberId {
        self.parts.numbers.push(node);
        NumberId(self.parts.numbers.len() as u32 - 1)
    }

    pub fn logic(&mut self, node: LogicNode) -> LogicId {
        self.parts.logic.push(node);
        LogicId(self.parts.logic.len() as u32 - 1)
    }

    pub fn limit(&mut self, rule: LimitRule) -> LimitId {
        self.parts.limits.push(Limit {
            name: None,
            title: None,
            kind: Kind::DC_VOLTAGE,
            unit: Catalogue::standard().unit("V").unwrap(),
            printed: String::new(),
            rule,
            conditions: Vec::new(),
            reference: Vec::new(),
            typical: None,
            cites: Vec::new(),
        });
        LimitId(self.parts.limits.len() as u32 - 1)
    }

    pub fn check(&mut self, rule: CheckRule) -> CheckId {
        let id = self.parts.checks.len() as u32;
        self.parts.checks.push(Check {
            label: format!("c{id}"),
            name: format!("c{id}"),
            member: None,
            title: String::new(),
            rule,
            when: None,
            applies: None,
            decide: None,
            advise: Vec::new(),
            notes: Vec::new(),
            cites: Vec::new(),
            slots: Vec::new(),
        });
        self.parts.order.push(CheckId(id));
        CheckId(id)
    }

    pub fn within(&mut self, subject: NumberId, limit: LimitId, at: Option<NumberId>) -> CheckId {
        self.check(CheckRule::Within { subject, subject_label: String::new(), limit, at })
    }

    pub fn compare(&mut self, subject: NumberId, relation: Relation, against: NumberId) -> CheckId {
        self.check(CheckRule::Compare {
            subject,
            subject_label: String::new(),
            relation,
            against,
            against_label: String::new(),
            unit: Catalogue::standard().unit("V").unwrap(),
            ty: Ty::Kind(Kind::DC_VOLTAGE),
        })
    }

    pub fn seal(self) -> Spec {
        Spec::seal(self.parts).unwrap()
    }
}

/// One reading against one limit.
pub fn one(kind: Kind, rule: LimitRule) -> Spec {
    let mut small = Small::new(kind, 1);
    let limit = small.limit(rule);
    small.within(NumberId(0), limit, None);
    small.seal()
}

/// The findings of a sheet, which the reference agrees with.
pub fn findings(spec: &Spec, sheet: &Sheet) -> Vec<Finding> {
    let findings = assess(spec, sheet).findings;
    let outcomes: Vec<Outcome> = findings.iter().map(|finding| finding.outcome).collect();
    assert_eq!(outcomes, truing_engine::reference::outcomes(spec, sheet));
    assert_eq!(outcomes, truing_engine::Plan::new(spec).evaluator().outcomes(sheet));
    findings
}

/// The first finding, with these readings in slots 0, 1, …
pub fn first(spec: &Spec, rule: DecideRule, readings: &[Reading]) -> Finding {
    let mut sheet = Sheet::new(spec);
    sheet.decide(rule).unwrap();
    for (id, reading) in (0..).zip(readings) {
        sheet.set(SlotId(id), reading.clone()).unwrap();
    }
    findings(spec, &sheet).swap_remove(0)
}

pub fn simply(spec: &Spec, readings: &[Reading]) -> Outcome {
    first(spec, DecideRule::Simple, readings).outcome
}

pub fn probability(finding: &Finding) -> Option<f64> {
    match finding.reason.because {
        Because::Spans { probability, .. } => probability,
        _ => None,
    }
}
