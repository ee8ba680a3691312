//! The flat program: what a spec says about judging, without a word of its text.
//!
//! Nodes keep their numbers from the spec, so registers are indexed by them. Lists of anything are
//! ranges of a pool.

use truing_model::node::Node;
use truing_model::{DecideRule, Fold, Function, Interpolation, Law, Relation, Side};
use truing_units::Kind;

use crate::enclosure::Fixed;

/// A stretch of a pool.
#[derive(Copy, Clone, Debug, Default, PartialEq, Eq)]
pub(crate) struct Stretch {
    pub start: u32,
    pub end: u32,
}

impl Stretch {
    pub const fn is_empty(self) -> bool {
        self.start >= self.end
    }

    pub fn of<T>(self, pool: &[T]) -> &[T] {
        pool.get(self.start as usize..self.end as usize).unwrap_or_default()
    }
}

/// How a number comes about; operands are numbers of nodes.
#[derive(Copy, Clone, Debug)]
pub(crate) enum NumberOp {
    Constant(u32),
    Slot(u32),
    Property(u32),
    Negate(u32),
    Add(u32, u32),
    Subtract(u32, u32),
    Multiply(u32, u32),
    Divide(u32, u32),
    Power(u32, i8),
    Apply(Function, u32),
    Law { law: u32, of: u32 },
    Fold(Fold, Stretch),
    Refer { resistance: u32, from: u32, to: u32, offset: u32 },
    CurveAt { limit: u32, at: u32 },
    Choose { condition: u32, then: u32, otherwise: u32 },
}

/// How a truth value comes about.
#[derive(Copy, Clone, Debug)]
pub(crate) enum LogicOp {
    Constant(bool),
    Compare(Relation, u32, u32),
    Within { subject: u32, limit: u32, at: Option<u32> },
    Is { slot: u32, words: Stretch },
    PropertyIs { property: u32, words: Stretch },
    Passes(u32),
    Fails(u32),
    Not(u32),
    All(Stretch),
    Any(Stretch),
}

/// One node to be worked out.
#[derive(Copy, Clone, Debug)]
pub(crate) enum Step {
    Number(u32),
    Logic(u32),
}

/// Something that a check asks for: the steps to it, and the slots that they may read, rising.
#[derive(Copy, Clone, Debug, Default)]
pub(crate) struct Root {
    pub steps: Stretch,
    pub slots: Stretch,
    /// Something in it rounds, or asks whether two quantities are equal: errors cannot be carried
    /// along.
    pub rough: bool,
}

/// One end of a limit.
#[derive(Copy, Clone, Debug)]
pub(crate) struct FlatEdge {
    pub at: Fixed,
    pub open: bool,
}

/// Two ends.
#[derive(Copy, Clone, Debug, Default)]
pub(crate) struct FlatInterval {
    pub low: Option<FlatEdge>,
    pub high: Option<FlatEdge>,
}

/// The ends of a band: standard, and service where there is one.
#[derive(Copy, Clone, Debug, Default)]
pub(crate) struct FlatBand {
    pub standard: FlatInterval,
    pub service: Option<FlatInterval>,
}

/// One point of a curve.
#[derive(Copy, Clone, Debug)]
pub(crate) struct FlatPoint {
    pub x: Fixed,
    pub band: FlatBand,
}

/// A curve.
#[derive(Copy, Clone, Debug)]
pub(crate) struct FlatCurve {
    pub by: Kind,
    pub interpolation: Interpolation,
    pub points: Stretch,
    /// Which ends are open at any point, and so at all: the ends of an example band say it.
    pub ends: FlatBand,
}

/// What a limit says.
#[derive(Copy, Clone, Debug)]
pub(crate) enum FlatRule {
    NotSpecified,
    Band(u32),
    Curve(u32),
    Variants(Stretch),
}

/// One arm of a limit by variants.
#[derive(Copy, Clone, Debug)]
pub(crate) struct FlatArm {
    pub condition: Option<u32>,
    pub rule: FlatRule,
}

/// A condition of a limit.
#[derive(Copy, Clone, Debug)]
pub(crate) struct FlatCondition {
    pub subject: u32,
    pub band: FlatInterval,
}

/// A limit.
#[derive(Copy, Clone, Debug)]
pub(crate) struct FlatLimit {
    pub rule: FlatRule,
    pub conditions: Stretch,
}

/// The rule of a check.
#[derive(Copy, Clone, Debug)]
pub(crate) enum FlatCheckRule {
    Within {
        subject: u32,
        limit: u32,
        at: Option<u32>,
    },
    /// A comparison with a constant is a limit with one end.
    Against {
        subject: u32,
        side: Side,
        edge: FlatEdge,
    },
    Compare {
        subject: u32,
        relation: Relation,
        against: u32,
    },
    Logic(u32),
}

impl FlatCheckRule {
    /// The number that is held against a limit.
    pub const fn subject(&self) -> Option<u32> {
        match self {
            Self::Within { subject, .. } | Self::Against { subject, .. } => Some(*subject),
            Self::Compare { .. } | Self::Logic(_) => None,
        }
    }
}

/// A check.
#[derive(Copy, Clone, Debug)]
pub(crate) struct FlatCheck {
    pub rule: FlatCheckRule,
    pub decide: Option<DecideRule>,
    pub applies: Option<(u32, Root)>,
    pub when: Option<(u32, Root)>,
    /// The rule's own nodes.
    pub root: Root,
    /// The conditions of the arms of its limit.
    pub arms: Root,
    /// The conditions of its limit.
    pub conditions: Root,
    /// Every slot whose doubt blocks the check: of rule, conditions and `when`, rising.
    pub doubtable: Stretch,
    /// The short way: a reading against a band, and nothing else to ask.
    pub direct: Option<Direct>,
}

impl FlatCheck {
    /// A check with this logical rule, and nothing else to ask.
    pub fn of_logic(logic: u32, root: Root) -> Self {
        Self {
            rule: FlatCheckRule::Logic(logic),
            decide: None,
            applies: None,
            when: None,
            root,
            arms: Root::default(),
            conditions: Root::default(),
            doubtable: root.slots,
            direct: None,
        }
    }
}

/// A reading against fixed ends, ready for comparing doubles.
#[derive(Copy, Clone, Debug)]
pub(crate) struct Direct {
    pub slot: u32,
    pub standard: Thresholds,
    pub service: Option<Thresholds>,
}

/// Doubles beyond which an enclosure is surely inside or outside an interval.
#[derive(Copy, Clone, Debug)]
pub(crate) struct Thresholds {
    /// All from here up is surely above the lower end.
    pub in_low: f64,
    /// All from here down is surely below the upper end.
    pub in_high: f64,
    /// All from here down is surely below the interval.
    pub out_low: f64,
    /// All from here up is surely above the interval.
    pub out_high: f64,
}

impl Thresholds {
    pub fn new(interval: &FlatInterval) -> Self {
        let mut all = Self {
            in_low: f64::NEG_INFINITY,
            in_high: f64::INFINITY,
            out_low: f64::NEG_INFINITY,
            out_high: f64::INFINITY,
        };
        if let Some(low) = interval.low {
            let near = low.at.near;
            all.in_low = if low.open { near.hi.next_up() } else { near.hi };
            all.out_low = if low.open { near.lo } else { near.lo.next_down() };
        }
        if let Some(high) = interval.high {
            let near = high.at.near;
            all.in_high = if high.open { near.lo.next_down() } else { near.lo };
            all.out_high = if high.open { near.hi } else { near.hi.next_up() };
        }
        all
    }
}

/// Everything together.
#[derive(Clone, Debug, Default)]
pub(crate) struct Program {
    pub numbers: Vec<NumberOp>,
    pub logic: Vec<LogicOp>,
    pub limits: Vec<FlatLimit>,
    pub checks: Vec<FlatCheck>,
    pub order: Vec<u32>,
    pub derived: Vec<(u32, Root)>,
    /// The slots that say at which frequency they are read, with its number.
    pub frequencies: Vec<(u32, u32, Root)>,
    pub slot_count: usize,
    pub rule: DecideRule,
    // Pools.
    pub fixed: Vec<Fixed>,
    pub laws: Vec<Law>,
    pub members: Vec<u32>,
    pub words: Vec<u16>,
    pub steps: Vec<Step>,
    pub slots: Vec<u32>,
    pub bands: Vec<FlatBand>,
    pub curves: Vec<FlatCurve>,
    pub points: Vec<FlatPoint>,
    pub arms: Vec<FlatArm>,
    pub conditions: Vec<FlatCondition>,
}

impl Program {
    /// A root for nodes that the plan has none for, parts before wholes.
    pub fn root_of(&mut self, nodes: &[Node]) -> Option<Root> {
        let start = u32::try_from(self.steps.len()).ok()?;
        let slot_start = u32::try_from(self.slots.len()).ok()?;
        let mut slots = Vec::new();
        let mut rough = false;
        for node in nodes {
            match node {
                Node::Number(id) => {
                    self.steps.push(Step::Number(id.0));
                    match self.numbers.get(id.0 as usize) {
                        Some(NumberOp::Slot(slot)) => slots.push(*slot),
                        Some(NumberOp::Apply(Function::Round, _)) => rough = true,
                        _ => {}
                    }
                }
                Node::Logic(id) => {
                    self.steps.push(Step::Logic(id.0));
                    match self.logic.get(id.0 as usize) {
                        Some(LogicOp::Is { slot, .. }) => slots.push(*slot),
                        Some(LogicOp::Compare(Relation::Equal | Relation::NotEqual, ..)) => {
                            rough = true;
                        }
                        _ => {}
                    }
                }
                Node::Limit(_) => {}
            }
        }
        slots.sort_unstable();
        slots.dedup();
        self.slots.extend(slots);
        let steps = Stretch { start, end: u32::try_from(self.steps.len()).ok()? };
        let slots = Stretch { start: slot_start, end: u32::try_from(self.slots.len()).ok()? };
        Some(Root { steps, slots, rough })
    }
}
