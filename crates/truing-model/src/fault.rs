//! What can be wrong, what it upsets, and what mends it.
//!
//! A check comes out in one of a few *bands*: in order, or out of order in one of the ways that
//! its rule knows ([`Bands`]). A fault drives checks into bands, each with a chance ([`Effect`]).
//! Probabilities are plain numbers from 0 to 1 here, times are seconds.

use serde::{Deserialize, Serialize};

use crate::expression::Relation;
use crate::id::id;
use crate::limit::{Band, LimitRule};
use crate::measurement::{CautionId, CheckId, CheckRule};
use crate::outcome::{Outcome, Side};
use crate::spec::SpecParts;

id! {
    /// A fault of one member, by its place in the spec.
    FaultId
    /// A fix, by its place in the spec.
    FixId
    /// A part that a fix replaces, by its place in the spec.
    PartId
}

/// One of the ways in which a check can come out.
#[derive(Copy, Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum CheckBand {
    /// In order.
    Ok,
    /// Inside the service limit, outside the standard one.
    Worn,
    /// Outside above the limit.
    High,
    /// Outside below the limit.
    Low,
    /// Out of order, by a rule that has no sides.
    Fail,
}

impl CheckBand {
    /// The band that an outcome lies in; of an outcome that says nothing, none.
    #[must_use]
    pub const fn of(outcome: Outcome) -> Option<Self> {
        match outcome {
            Outcome::Within => Some(Self::Ok),
            Outcome::Worn => Some(Self::Worn),
            Outcome::Outside(Some(Side::High)) => Some(Self::High),
            Outcome::Outside(Some(Side::Low)) => Some(Self::Low),
            Outcome::Outside(None) => Some(Self::Fail),
            _ => None,
        }
    }

    /// Whether a check that comes out so passes.
    #[must_use]
    pub const fn passes(self) -> bool {
        matches!(self, Self::Ok | Self::Worn)
    }

    /// The word that an author writes.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Ok => "ok",
            Self::Worn => "worn",
            Self::High => "high",
            Self::Low => "low",
            Self::Fail => "fail",
        }
    }
}

/// The bands of one check, and how far its readings are to be trusted.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Bands {
    /// [`CheckBand::Ok`] first; of two causes that drive the check into different bands, the later
    /// one shows. A check that only records has no other.
    pub order: Vec<CheckBand>,
    /// The chance that it comes out in each band behind the first without any listed fault.
    pub leak: Vec<f64>,
    /// The chance that a reading of it is read wrongly.
    pub slip: f64,
}

impl Bands {
    /// The leak of a check that says none.
    pub const LEAK: f64 = 0.02;
    /// The slip of a check that says none.
    pub const SLIP: f64 = 0.02;

    /// The bands of a rule in their usual order: ok, worn, high, low; ok, fail for a rule without
    /// sides; with the usual leak and slip.
    #[must_use]
    pub fn usual(spec: &SpecParts, rule: &CheckRule) -> Self {
        let mut order = vec![CheckBand::Ok];
        order.extend(failing(spec, rule));
        let leak = Self::even(Self::LEAK, order.len() - 1);
        Self { order, leak, slip: Self::SLIP }
    }

    /// A leak that so many bands share.
    #[must_use]
    pub fn even(leak: f64, bands: usize) -> Vec<f64> {
        // No rule has more bands than fit in a u32.
        vec![leak / f64::from(u32::try_from(bands.max(1)).unwrap_or(1)); bands]
    }

    /// The chance that it comes out of order without any listed fault.
    #[must_use]
    pub fn leaks(&self) -> f64 {
        self.leak.iter().sum()
    }

    /// Where a band stands in the order.
    #[must_use]
    pub fn place(&self, band: CheckBand) -> Option<usize> {
        self.order.iter().position(|other| *other == band)
    }
}

/// The bands besides ok in which a rule can come out, in their usual order.
pub(crate) fn failing(spec: &SpecParts, rule: &CheckRule) -> Vec<CheckBand> {
    match rule {
        CheckRule::Within { limit, .. } => {
            let mut found = [false; 3];
            if let Some(limit) = spec.limits.get(limit.0 as usize) {
                of_limit(&limit.rule, &mut found);
            }
            let bands = [CheckBand::Worn, CheckBand::High, CheckBand::Low];
            bands.into_iter().zip(found).filter_map(|(band, found)| found.then_some(band)).collect()
        }
        CheckRule::Compare { relation, .. } => vec![match relation {
            Relation::Less | Relation::LessOrEqual => CheckBand::High,
            Relation::Greater | Relation::GreaterOrEqual => CheckBand::Low,
            Relation::Equal | Relation::NotEqual => CheckBand::Fail,
        }],
        CheckRule::Logic { .. } => vec![CheckBand::Fail],
    }
}

/// Worn, high and low, as far as a limit knows them.
fn of_limit(rule: &LimitRule, found: &mut [bool; 3]) {
    let mut band = |band: &Band| {
        let outer = band.service.as_ref().unwrap_or(&band.standard);
        let here = [band.service.is_some(), outer.high.is_some(), outer.low.is_some()];
        for (found, here) in found.iter_mut().zip(here) {
            *found |= here;
        }
    };
    match rule {
        LimitRule::NotSpecified => {}
        LimitRule::Band(one) => band(one),
        // A curve has the same ends at all its points.
        LimitRule::Curve(curve) => curve.points.first().into_iter().for_each(|p| band(&p.band)),
        LimitRule::Variants(arms) => arms.iter().for_each(|arm| of_limit(&arm.rule, found)),
    }
}

/// What can be wrong, of one member.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Fault {
    /// `diode_open[U]`
    pub label: String,
    /// `diode_open`
    pub name: String,
    /// `U`
    pub member: Option<String>,
    /// For people, with the member in its place.
    pub title: String,
    /// How often it is the cause among jobs of this sort: above 0, below 1.
    pub prior: f64,
    /// What it upsets: each band of a check once, the chances of one check at most 1 together.
    pub effects: Vec<Effect>,
    /// What mends it, the first one written first.
    pub fixes: Vec<FixId>,
    /// What can hurt.
    pub cautions: Vec<CautionId>,
    /// Notes for people.
    pub notes: Vec<String>,
}

impl Fault {
    /// The prior of a fault without odds.
    pub const PRIOR: f64 = 0.01;
}

/// A check that a fault drives into a band.
#[derive(Copy, Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Effect {
    /// The check.
    pub check: CheckId,
    /// The band, one behind the first of the check's.
    pub band: CheckBand,
    /// How often it comes out so where this fault alone is there, with what it does without any:
    /// above 0, at most 1. All chances of one fault and one check are together how often the check
    /// is out of order then; below its leak they change nothing.
    pub chance: f64,
}

/// What mends a fault.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Fix {
    /// Its name.
    pub name: String,
    /// What is done.
    pub title: String,
    /// The parts that it replaces, in the order written, each once.
    pub parts: Vec<PartId>,
    /// How long it takes, in seconds, where that is said.
    pub seconds: Option<f64>,
    /// How long it takes to prove it, in seconds: as said, else what the readings of the checks
    /// that prove it take.
    pub verify_seconds: f64,
    /// What it costs, in whatever the author counts in.
    pub price: Option<f64>,
    /// Taken again after the repair, in the order written, each once.
    pub proves: Vec<CheckId>,
    /// What can hurt.
    pub cautions: Vec<CautionId>,
    /// Notes for people.
    pub notes: Vec<String>,
}

/// A part that is replaced; fixes that name it alike replace the same.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Part {
    /// What people order.
    pub name: String,
}

/// A band of a check that makes a state unnecessary.
#[derive(Copy, Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Waiver {
    /// The check.
    pub check: CheckId,
    /// Its band.
    pub band: CheckBand,
}
