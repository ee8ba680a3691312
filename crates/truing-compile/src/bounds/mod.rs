//! What values a number can have, and so which checks say nothing.
//!
//! Each number has a range: that of a slot follows from its kind (a resistance is never below zero)
//! and its plausible band (outside it the reading is doubted, not judged); the rest by interval
//! arithmetic. The ranges only ever err to the wide side, so what is reported is certain.

mod range;
mod reason;

use truing_model::{
    Band, CheckRule, Fold, Function, LimitRule, LogicId, LogicNode, NumberId, NumberNode, Relation,
    SlotKind, SpecParts,
};
use truing_units::Floor;

use range::{Range, before};

use crate::check::bare;
use crate::context::Context;
use crate::lint;
use crate::lower::Lowered;

/// The ranges of all numbers, children before parents.
struct Ranges<'p> {
    parts: &'p SpecParts,
    of: Vec<Range>,
}

impl<'p> Ranges<'p> {
    fn new(cx: &Context<'_>, parts: &'p SpecParts) -> Self {
        let mut ranges = Self { parts, of: Vec::with_capacity(parts.numbers.len()) };
        for node in &parts.numbers {
            let range = ranges.node(cx, node);
            ranges.of.push(range);
        }
        ranges
    }

    fn get(&self, id: NumberId) -> Range {
        self.of.get(id.0 as usize).copied().unwrap_or(Range::ALL)
    }

    fn node(&self, cx: &Context<'_>, node: &NumberNode) -> Range {
        match node {
            NumberNode::Constant { value, .. } => Range::point(*value),
            NumberNode::Slot(slot) => {
                match self.parts.slots.get(slot.0 as usize).map(|s| &s.kind) {
                    Some(SlotKind::Quantity { kind, plausible, .. }) => {
                        let natural = match cx.catalogue.kind(*kind).floor {
                            Floor::Zero => Range { low: 0.0, low_open: false, ..Range::ALL },
                            Floor::None => Range::ALL,
                        };
                        plausible
                            .as_ref()
                            .map_or(natural, |band| natural.intersection(Range::of(band)))
                    }
                    _ => Range::ALL,
                }
            }
            NumberNode::Negate(of) => {
                let of = self.get(*of);
                Range {
                    low: -of.high,
                    high: -of.low,
                    low_open: of.high_open,
                    high_open: of.low_open,
                }
            }
            NumberNode::Add(a, b) => self.get(*a).corners(self.get(*b), |a, b| a + b),
            NumberNode::Subtract(a, b) if a == b => Range::point(0.0),
            NumberNode::Subtract(a, b) => self.get(*a).corners(self.get(*b), |a, b| a - b),
            NumberNode::Multiply(a, b) => self.get(*a).corners(self.get(*b), |a, b| a * b),
            NumberNode::Divide(a, b) => {
                let by = self.get(*b);
                if by.low <= 0.0 && by.high >= 0.0 {
                    // By nought or near it anything comes, but a sign that both share stays.
                    let (of, positive) = (self.get(*a), by.low >= 0.0);
                    return match positive && of.low >= 0.0 {
                        true => Range { low: 0.0, low_open: false, ..Range::ALL },
                        false => Range::ALL,
                    };
                }
                self.get(*a).corners(by, |a, b| a / b)
            }
            NumberNode::Power(of, n) if n % 2 == 0 && *n > 0 => {
                let of = self.get(*of);
                let high = of.low.abs().max(of.high.abs()).powi(i32::from(*n));
                let low = if of.low <= 0.0 && of.high >= 0.0 {
                    0.0
                } else {
                    of.low.abs().min(of.high.abs()).powi(i32::from(*n))
                };
                Range::closed(low, high)
            }
            NumberNode::Apply(Function::Abs, of) => {
                let of = self.get(*of);
                let low = if of.low <= 0.0 && of.high >= 0.0 {
                    0.0
                } else {
                    of.low.abs().min(of.high.abs())
                };
                Range::closed(low, of.low.abs().max(of.high.abs()))
            }
            NumberNode::Apply(Function::Sqrt | Function::Exp, _) => {
                Range { low: 0.0, low_open: false, ..Range::ALL }
            }
            NumberNode::Fold(fold, members) => self.fold(*fold, members),
            NumberNode::Choose { then, otherwise, .. } => {
                self.get(*then).union(self.get(*otherwise))
            }
            // Temperatures in kelvins and pressures above vacuum.
            NumberNode::Refer { .. } | NumberNode::Law { .. } => {
                Range { low: 0.0, low_open: false, ..Range::ALL }
            }
            NumberNode::Property(_)
            | NumberNode::Power(..)
            | NumberNode::Apply(..)
            | NumberNode::CurveAt { .. } => Range::ALL,
        }
    }

    fn fold(&self, fold: Fold, members: &[NumberId]) -> Range {
        let ranges = || members.iter().map(|id| self.get(*id));
        let hull = ranges().reduce(Range::union).unwrap_or(Range::ALL);
        match fold {
            Fold::Min | Fold::Max | Fold::Mean => hull,
            Fold::Sum => ranges().reduce(|a, b| a.corners(b, |a, b| a + b)).unwrap_or(Range::ALL),
            Fold::Spread => Range::closed(0.0, (hull.high - hull.low).max(0.0)),
            Fold::Count => Range::point(members.len() as f64),
            Fold::SequenceUnbalance => Range::closed(0.0, 1.0),
            Fold::Unbalance if hull.low >= 0.0 => Range { low: 0.0, low_open: false, ..Range::ALL },
            Fold::Unbalance => Range::ALL,
        }
    }
}

/// Whether something can be true, and whether it can be false.
#[derive(Copy, Clone, Debug, PartialEq, Eq)]
struct Can {
    hold: bool,
    fail: bool,
}

const EITHER: Can = Can { hold: true, fail: true };

/// Findings for checks of the main file that cannot fail or cannot pass.
pub(crate) fn checks(cx: &Context<'_>, lowered: &Lowered) {
    let parts = &lowered.parts;
    let ranges = Ranges::new(cx, parts);
    for item in &cx.checks {
        let members = cx.size(item.family);
        let first = item.first_check as usize;
        let all: Vec<Can> = (first..first + members)
            .map(|id| match parts.checks.get(id).filter(|_| lowered.is_sound(id)) {
                Some(check) => ranges.rule(&check.rule),
                None => EITHER,
            })
            .collect();
        let why = |passes: bool| {
            let member = all.iter().position(|can| if passes { !can.fail } else { !can.hold })?;
            ranges.reason(cx, &parts.checks.get(first + member)?.rule, passes)
        };
        let span = bare(&item.decl.rule).span;
        if !all.is_empty() && all.iter().all(|can| !can.fail) {
            cx.findings.push(lint::check_cannot_fail::finding(span, why(true)));
        } else if all.iter().any(|can| !can.hold) {
            cx.findings.push(lint::check_cannot_pass::finding(span, why(false)));
        }
    }
}

impl Ranges<'_> {
    fn rule(&self, rule: &CheckRule) -> Can {
        match rule {
            CheckRule::Within { subject, limit, .. } => self.within(self.get(*subject), limit.0),
            CheckRule::Compare { subject, relation, against, .. } => {
                self.compare(*relation, *subject, *against)
            }
            CheckRule::Logic { logic, .. } => self.logic(*logic),
        }
    }

    fn within(&self, subject: Range, limit: u32) -> Can {
        let Some(limit) = self.parts.limits.get(limit as usize) else { return EITHER };
        let mut bands = Vec::new();
        if !collect(&limit.rule, &mut bands) {
            return EITHER;
        }
        let bands: Vec<Range> = bands
            .into_iter()
            .map(|band| Range::of(band.service.as_ref().unwrap_or(&band.standard)))
            .collect();
        Can {
            hold: bands.iter().any(|band| subject.meets(*band)),
            fail: bands.iter().any(|band| !subject.is_within(*band)),
        }
    }

    fn compare(&self, relation: Relation, left: NumberId, right: NumberId) -> Can {
        let (a, b) = (self.get(left), self.get(right));
        if left == right {
            let holds = matches!(
                relation,
                Relation::LessOrEqual | Relation::GreaterOrEqual | Relation::Equal
            );
            return Can { hold: holds, fail: !holds };
        }
        // All of a at or below all of b, and strictly below.
        let at_most = |a: Range, b: Range| a.high <= b.low;
        match relation {
            Relation::Less => Can { hold: !at_most(b, a), fail: !before(a, b) },
            Relation::LessOrEqual => Can { hold: !before(b, a), fail: !at_most(a, b) },
            Relation::Greater => Can { hold: !at_most(a, b), fail: !before(b, a) },
            Relation::GreaterOrEqual => Can { hold: !before(a, b), fail: !at_most(b, a) },
            Relation::Equal => Can { hold: a.meets(b), fail: true },
            Relation::NotEqual => Can { hold: true, fail: a.meets(b) },
        }
    }

    fn logic(&self, id: LogicId) -> Can {
        let Some(node) = self.parts.logic.get(id.0 as usize) else { return EITHER };
        match node {
            LogicNode::Constant(value) => Can { hold: *value, fail: !*value },
            LogicNode::Compare { relation, left, right } => self.compare(*relation, *left, *right),
            LogicNode::Within { subject, limit, .. } => self.within(self.get(*subject), limit.0),
            LogicNode::Is { slot, words } => {
                let known = match self.parts.slots.get(slot.0 as usize).map(|slot| &slot.kind) {
                    Some(SlotKind::Words(known)) => known.len(),
                    _ => return EITHER,
                };
                Can { hold: !words.is_empty(), fail: words.len() < known }
            }
            LogicNode::PropertyIs { .. } | LogicNode::Passes(_) | LogicNode::Fails(_) => EITHER,
            LogicNode::Not(inner) => {
                let can = self.logic(*inner);
                Can { hold: can.fail, fail: can.hold }
            }
            LogicNode::All(members) => Can {
                hold: members.iter().all(|id| self.logic(*id).hold) && self.together(members, true),
                fail: members.iter().any(|id| self.logic(*id).fail),
            },
            LogicNode::Any(members) => Can {
                hold: members.iter().any(|id| self.logic(*id).hold),
                fail: members.iter().all(|id| self.logic(*id).fail)
                    && self.together(members, false),
            },
        }
    }

    /// Whether comparisons of one number with fixed figures can all hold (or all fail) at once.
    fn together(&self, members: &[LogicId], hold: bool) -> bool {
        let mut flat = Vec::new();
        self.flatten(members, hold, &mut flat);
        let mut of: Vec<(NumberId, Range)> = Vec::new();
        for (relation, number, value) in flat {
            let Some(range) = allowed(if hold { relation } else { inverse(relation) }, value)
            else {
                continue;
            };
            match of.iter_mut().find(|(other, _)| *other == number) {
                Some((_, so_far)) => *so_far = so_far.intersection(range),
                None => of.push((number, self.get(number).intersection(range))),
            }
        }
        of.iter().all(|(_, range)| !range.is_empty())
    }

    fn flatten(&self, members: &[LogicId], all: bool, out: &mut Vec<(Relation, NumberId, f64)>) {
        for id in members {
            match self.parts.logic.get(id.0 as usize) {
                Some(LogicNode::All(inner)) if all => self.flatten(inner, all, out),
                Some(LogicNode::Any(inner)) if !all => self.flatten(inner, all, out),
                Some(LogicNode::Compare { relation, left, right }) => {
                    let fixed = |id: NumberId| match self.parts.numbers.get(id.0 as usize) {
                        Some(NumberNode::Constant { value, .. }) => Some(*value),
                        _ => None,
                    };
                    match (fixed(*left), fixed(*right)) {
                        (None, Some(value)) => out.push((*relation, *left, value)),
                        (Some(value), None) => {
                            out.push((crate::check::turned(*relation), *right, value));
                        }
                        _ => {}
                    }
                }
                _ => {}
            }
        }
    }
}

/// The values that stand in this relation to `value`.
fn allowed(relation: Relation, value: f64) -> Option<Range> {
    Some(match relation {
        Relation::Less => Range { high: value, high_open: true, ..Range::ALL },
        Relation::LessOrEqual => Range { high: value, high_open: false, ..Range::ALL },
        Relation::Greater => Range { low: value, low_open: true, ..Range::ALL },
        Relation::GreaterOrEqual => Range { low: value, low_open: false, ..Range::ALL },
        Relation::Equal => Range::point(value),
        Relation::NotEqual => return None,
    })
}

const fn inverse(relation: Relation) -> Relation {
    match relation {
        Relation::Less => Relation::GreaterOrEqual,
        Relation::LessOrEqual => Relation::Greater,
        Relation::Greater => Relation::LessOrEqual,
        Relation::GreaterOrEqual => Relation::Less,
        Relation::Equal => Relation::NotEqual,
        Relation::NotEqual => Relation::Equal,
    }
}

/// The bands of a limit; false where it may permit anything.
fn collect<'l>(rule: &'l LimitRule, out: &mut Vec<&'l Band>) -> bool {
    match rule {
        LimitRule::NotSpecified => false,
        LimitRule::Band(band) => {
            out.push(band);
            true
        }
        LimitRule::Curve(curve) => {
            out.extend(curve.points.iter().map(|point| &point.band));
            true
        }
        LimitRule::Variants(arms) => arms.iter().all(|arm| collect(&arm.rule, out)),
    }
}
