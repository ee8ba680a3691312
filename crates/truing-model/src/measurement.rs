//! Properties, states, slots (one per reading and member), derived quantities and checks.

use serde::{Deserialize, Serialize};
use truing_units::{Kind, Measure, Ty, Unit};

use crate::expression::{LogicId, NumberId, Relation};
use crate::fault::Waiver;
use crate::id::id;
use crate::limit::{Cite, DecideRule, Interval, LimitId};

id! {
    /// A property of the machine, by its place in the spec.
    PropertyId
    /// A caution, by its place in the spec.
    CautionId
    /// A state, by its place in the spec.
    StateId
    /// What is read of one member of one reading or observation, by its place in the spec.
    SlotId
    /// A derived quantity of one member, by its place in the spec.
    DerivedId
    /// A check of one member, by its place in the spec.
    CheckId
}

/// What the machine is: variant, market, year, serial number.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Property {
    /// Its name.
    pub name: String,
    /// Its title for people.
    pub title: String,
    /// What it can be.
    pub domain: Domain,
}

/// What a property can be.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Domain {
    /// One of these words.
    Words(Vec<String>),
    /// A figure of this kind.
    Quantity(Kind),
}

/// What can hurt.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Caution {
    /// Its name.
    pub name: String,
    /// What is shown before the step.
    pub text: String,
}

/// How the machine must stand for a reading.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct State {
    /// Its name.
    pub name: String,
    /// In words.
    pub title: String,
    /// The states that it is reached from.
    pub from: Vec<StateId>,
    /// How long it takes to get there.
    pub takes: Option<Measure>,
    /// Once reached it stays: getting there again costs nothing (unplugged, cover off).
    #[serde(default)]
    pub stays: bool,
    /// Some faults come with it and go with it: heat, water, a bumpy road. What is in order before it
    /// is reached says nothing of them.
    #[serde(default)]
    pub brings: bool,
    /// What makes it unnecessary, any one of these.
    #[serde(default)]
    pub waived: Vec<Waiver>,
    /// What can hurt there.
    pub cautions: Vec<CautionId>,
    /// Notes for people.
    pub notes: Vec<String>,
}

/// What is read or seen of one member of one reading or observation.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Slot {
    /// `to_ground[U]`
    pub label: String,
    /// `to_ground`
    pub name: String,
    /// `U`
    pub member: Option<String>,
    /// For people, with the member in its place.
    pub title: String,
    /// What can stand here.
    pub kind: SlotKind,
    /// The state that it is taken in.
    pub during: Option<StateId>,
    /// Taken together with these.
    pub with: Vec<SlotId>,
    /// Where the red lead goes.
    pub red: Option<String>,
    /// Where the black lead goes.
    pub black: Option<String>,
    /// How long it takes.
    pub takes: Option<Measure>,
    /// The frequency that it is read at, as a number of kind frequency: some instruments are
    /// good for a band only.
    pub frequency: Option<NumberId>,
    /// The resistance of the circuit as the probes see it, which the meter loads.
    pub circuit: Option<Circuit>,
    /// What can hurt.
    pub cautions: Vec<CautionId>,
    /// Tools.
    pub tools: Vec<String>,
    /// Notes for people.
    pub notes: Vec<String>,
}

/// The resistance of a circuit as the probes of a meter see it.
#[derive(Copy, Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Circuit {
    /// In ohms.
    pub resistance: f64,
    /// The half-width of what it may be besides, in ohms (rectangular).
    pub doubt: f64,
}

/// What can stand in a slot.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum SlotKind {
    /// A quantity of this kind.
    Quantity {
        /// The kind.
        kind: Kind,
        /// Outside this the reading is doubted before the machine is: *blocked*.
        plausible: Option<Interval>,
        /// The plausible band as printed.
        plausible_printed: Option<String>,
        /// How repeats become one value.
        reduce: Reduction,
        /// What the instrument itself has to hold, where a value passes too fast to be read.
        #[serde(default)]
        capture: Option<Extreme>,
        /// What a sweep runs over.
        over: Option<Kind>,
    },
    /// One of these words.
    Words(Vec<String>),
}

/// How repeats become one value.
#[derive(Copy, Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Reduction {
    /// The least.
    Min,
    /// The greatest.
    Max,
    /// The arithmetic mean.
    #[default]
    Mean,
}

/// What an instrument holds of a value that changes.
#[derive(Copy, Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Extreme {
    /// The least.
    Min,
    /// The greatest.
    Max,
}

/// A derived quantity of one member.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Derived {
    /// `imbalance` or `drop[U]`
    pub label: String,
    /// `drop`
    pub name: String,
    /// `U`
    pub member: Option<String>,
    /// For people.
    pub title: Option<String>,
    /// How it is worked out.
    pub number: NumberId,
    /// What it is a quantity of.
    pub ty: Ty,
    /// The unit to show it in.
    pub unit: Unit,
    /// Every slot that it may read, rising.
    pub slots: Vec<SlotId>,
    /// Where the formula was printed.
    pub cites: Vec<Cite>,
}

/// A rule that a machine in order obeys, of one member.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Check {
    /// `insulated[V]`
    pub label: String,
    /// `insulated`
    pub name: String,
    /// `V`
    pub member: Option<String>,
    /// What holds when the machine is in order.
    pub title: String,
    /// The rule.
    pub rule: CheckRule,
    /// Must hold for the check to be judged; false or unknown: *blocked*.
    pub when: Option<LogicId>,
    /// Must hold for the check to be about this machine; false: *not applicable*, unknown:
    /// *blocked*.
    pub applies: Option<LogicId>,
    /// Its own decision rule; without one the sheet's, and without that the spec's.
    pub decide: Option<DecideRule>,
    /// What to do when it fails.
    pub advise: Vec<String>,
    /// Notes for people.
    pub notes: Vec<String>,
    /// Where the rule was printed.
    pub cites: Vec<Cite>,
    /// Every slot that its rule may read (not its `when`), rising.
    pub slots: Vec<SlotId>,
}

/// The forms of a check's rule.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum CheckRule {
    /// `x within limit at y`
    Within {
        /// What is judged.
        subject: NumberId,
        /// The subject as written, for people.
        subject_label: String,
        /// Against this.
        limit: LimitId,
        /// Where on its curve.
        at: Option<NumberId>,
    },
    /// `x <= y`: the left side is judged, the right side is the limit. `<` and `<=` fail *high*,
    /// `>` and `>=` fail *low*, `==` and `!=` fail on no side.
    Compare {
        /// What is judged.
        subject: NumberId,
        /// The subject as written, for people.
        subject_label: String,
        /// How it must stand.
        relation: Relation,
        /// To this.
        against: NumberId,
        /// The right side as written, for people.
        against_label: String,
        /// The unit to show both in.
        unit: Unit,
        /// What both are quantities of.
        ty: Ty,
    },
    /// Any other rule; it fails on no side.
    Logic {
        /// The rule.
        logic: LogicId,
        /// As written, for people.
        label: String,
    },
}
