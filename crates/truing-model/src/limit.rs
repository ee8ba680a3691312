//! What is permitted.

use serde::{Deserialize, Serialize};
use truing_units::{Exact, Kind, Measure, Unit};

use crate::expression::{LogicId, NumberId};
use crate::id::id;
use crate::spec::SourceId;

id! {
    /// A limit, by its place in [`crate::Spec`].
    LimitId
}

/// One end of an interval.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Edge {
    /// In the coherent unit, correctly rounded.
    pub value: f64,
    /// The same exactly; `None` where exact arithmetic does not reach (an expression with `sqrt`).
    pub exact: Option<Exact>,
    /// Whether the end itself lies outside: the author wrote `above` or `below`.
    pub open: bool,
}

/// The values between two ends; a missing end is unbounded.
///
/// INVARIANT (kept by the compiler): not empty.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Interval {
    /// Lower end.
    pub low: Option<Edge>,
    /// Upper end.
    pub high: Option<Edge>,
}

/// An interval for new parts and, for parts that wear, one that is still serviceable.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Band {
    /// The limit; of a graded limit its standard part.
    pub standard: Interval,
    /// The service limit, where there is one. Inside it and outside `standard` is *worn*.
    pub service: Option<Interval>,
}

/// What a limit says.
#[expect(clippy::large_enum_variant, reason = "most limits are bands")]
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum LimitRule {
    /// The maker gives none: checks against it are *not applicable* and only record.
    NotSpecified,
    /// One band.
    Band(Band),
    /// A band that goes by another quantity.
    Curve(Curve),
    /// One of several by what the machine is. The first arm that holds is the limit. An arm whose
    /// condition is unknown makes the check *blocked*; none that holds makes it *not applicable*.
    Variants(Vec<Variant>),
}

/// One arm of a limit by variants.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Variant {
    /// A condition over properties; `None` is `otherwise`.
    pub condition: Option<LogicId>,
    /// The limit where it holds.
    pub rule: LimitRule,
    /// The arm as printed, without its condition.
    pub printed: String,
}

/// A band by another quantity. Outside its points nothing is decided.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Curve {
    /// The kind of the quantity that it goes by.
    pub by: Kind,
    /// What holds between the points.
    pub interpolation: Interpolation,
    /// At least two points, rising strictly in `x`; every band has the same ends.
    pub points: Vec<CurvePoint>,
}

/// One point of a curve.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct CurvePoint {
    /// Where, in the coherent unit of [`Curve::by`].
    pub x: f64,
    /// The same exactly.
    pub exact: Option<Exact>,
    /// The band there.
    pub band: Band,
}

/// What holds between the points of a curve.
#[derive(Copy, Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Interpolation {
    /// Each end on a straight line.
    Linear,
    /// The band of the point at or below.
    Step,
    /// The logarithm of each end on a straight line; every end is positive.
    Log,
}

/// What must hold for a limit to be the right one: `at engine_speed 1400 ± 100 rpm`.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Condition {
    /// The quantity that must lie in the band.
    pub subject: NumberId,
    /// Its name, for people.
    pub subject_label: String,
    /// The band.
    pub band: Interval,
    /// As printed.
    pub printed: String,
}

/// Where a limit was printed.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Cite {
    /// The source.
    pub source: SourceId,
    /// Where in it.
    pub place: Option<String>,
    /// The erratum that gives this figure in place of an older one.
    pub mend: Option<SourceId>,
    /// The older figure as printed.
    pub was: Option<String>,
}

/// A limit with its name and its origin.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Limit {
    /// Its name; inline limits have none.
    pub name: Option<String>,
    /// Its title for people.
    pub title: Option<String>,
    /// What it limits.
    pub kind: Kind,
    /// The unit that it was printed in, for showing values beside it.
    pub unit: Unit,
    /// As printed, in the author's words.
    pub printed: String,
    /// What it says.
    pub rule: LimitRule,
    /// What must hold for it to be the right one. Unknown or unmet: *blocked*.
    pub conditions: Vec<Condition>,
    /// `at 20 degC`: the values it holds for, that readings are referred to.
    pub reference: Vec<Measure>,
    /// A typical value, which is no limit.
    pub typical: Option<Measure>,
    /// Where it was printed.
    pub cites: Vec<Cite>,
}

/// The decision rule. Where nobody says one, `at 95 %`: nothing that is only probably bad is called
/// bad, and nothing that the meter cannot resolve is called good.
#[derive(Copy, Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum DecideRule {
    /// The reading alone (simple acceptance, JCGM 106:2012, 8.2.1).
    Simple,
    /// A guard band of `k` standard uncertainties on both sides (JCGM 106:2012, 8.3; both ways as
    /// ISO 14253-1 asks).
    Guarded {
        /// The factor by which the standard uncertainty is multiplied.
        k: f64,
    },
    /// By conformance probability on both sides (JCGM 106:2012, 8.3).
    At {
        /// The probability that is asked for, above 0.5 and below 1.
        probability: f64,
    },
}

impl Default for DecideRule {
    fn default() -> Self {
        Self::At { probability: 0.95 }
    }
}
