//! What comes of a sheet, with its reasons: plain data, no words.
//!
//! Every number is a finite `f64` in the coherent unit of what it is a quantity of; an end that is
//! not there is `None`. Whatever turns these into sentences has the spec beside it.

use serde::Serialize;
use truing_model::{
    Band, CheckId, DecideRule, DerivedId, LimitId, Outcome, PropertyId, Side, SlotId, StateId,
};

use crate::budget::{BudgetLine, Conformance, Uncertainty};
use crate::fitness::Unfit;

/// Everything that comes of a sheet.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct Findings {
    /// One for each check, in the order of the spec.
    pub findings: Vec<Finding>,
    /// One for each derived quantity, in the order of the spec.
    pub derived: Vec<DerivedFinding>,
}

impl Findings {
    /// The finding of a check.
    #[must_use]
    pub fn of(&self, check: CheckId) -> Option<&Finding> {
        self.findings.get(usize::try_from(check.0).ok()?)
    }

    /// How many checks came out which way.
    #[must_use]
    pub fn summary(&self) -> Summary {
        let mut summary = Summary::default();
        for finding in &self.findings {
            summary.count(finding.outcome);
        }
        summary
    }

    /// What the whole sheet comes to.
    #[must_use]
    pub fn verdict(&self) -> Verdict {
        self.summary().verdict()
    }
}

/// How many checks came out which way.
#[derive(Copy, Clone, Debug, Default, PartialEq, Eq, Serialize)]
pub struct Summary {
    /// Inside the limit.
    pub within: usize,
    /// Inside the service limit only.
    pub worn: usize,
    /// Outside the limit.
    pub outside: usize,
    /// Not to be decided with what is known.
    pub undecided: usize,
    /// Not judged, since something else comes first.
    pub blocked: usize,
    /// Readings are missing.
    pub not_taken: usize,
    /// Not about this machine.
    pub not_applicable: usize,
}

impl Summary {
    /// Adds one outcome.
    pub fn count(&mut self, outcome: Outcome) {
        let place = match outcome {
            Outcome::Within => &mut self.within,
            Outcome::Worn => &mut self.worn,
            Outcome::Outside(_) => &mut self.outside,
            Outcome::Undecided => &mut self.undecided,
            Outcome::Blocked => &mut self.blocked,
            Outcome::NotTaken => &mut self.not_taken,
            Outcome::NotApplicable => &mut self.not_applicable,
        };
        *place += 1;
    }

    /// What they come to together.
    #[must_use]
    pub const fn verdict(&self) -> Verdict {
        if self.outside > 0 {
            Verdict::DoesNotConform
        } else if self.undecided + self.blocked + self.not_taken > 0 {
            Verdict::Open
        } else {
            Verdict::Conforms
        }
    }
}

/// What a sheet comes to: one check outside is enough, and nothing open passes for done.
#[derive(Copy, Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Verdict {
    /// Every check that is about this machine is within or worn.
    Conforms,
    /// No check is outside, and some are undecided, blocked or not taken.
    Open,
    /// A check is outside.
    DoesNotConform,
}

/// What comes of one check.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Finding {
    /// The check.
    pub check: CheckId,
    /// What comes of it.
    pub outcome: Outcome,
    /// Why.
    pub reason: Reason,
}

/// What a derived quantity comes to, by the sheet's decision rule.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct DerivedFinding {
    /// The quantity.
    pub derived: DerivedId,
    /// What is known of it; `None` where it cannot be worked out.
    pub value: Option<Value>,
    /// Why it cannot be worked out.
    pub because: Option<Because>,
    /// The readings that it was worked out from, rising.
    pub used: Vec<SlotId>,
    /// How uncertain it is, where that is known and asked for.
    pub uncertainty: Option<Uncertainty>,
    /// What makes it uncertain, the greatest contribution first.
    pub budget: Vec<BudgetLine>,
}

/// Why a check came out as it did.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Reason {
    /// The readings on the sheet that the rule may read (not its preconditions), rising.
    pub used: Vec<SlotId>,
    /// What is known of the quantity that was judged, under the decision rule. Of a sweep judged
    /// point by point, the point that decided.
    pub value: Option<Value>,
    /// The limit that it was held against.
    pub limit: Option<AppliedLimit>,
    /// The decision rule.
    pub rule: DecideRule,
    /// Half the width of the doubt that the decision rule took into account, where the value has
    /// one; nothing under the simple rule.
    pub doubt: Option<f64>,
    /// What decided.
    pub because: Because,
    /// The probability that the true value conforms, where it is known.
    pub conformance: Option<Conformance>,
    /// How uncertain the value is, where that is known and asked for.
    pub uncertainty: Option<Uncertainty>,
    /// What makes it uncertain, the greatest contribution first.
    pub budget: Vec<BudgetLine>,
}

/// What is known of a quantity: it lies between the ends.
#[derive(Copy, Clone, Debug, PartialEq, Serialize)]
pub struct Value {
    /// The value that the readings give by themselves; `None` for a censored value, an interval or
    /// an unsteady reading.
    pub best: Option<f64>,
    /// Lower end; `None` where there is none.
    pub low: Option<Bound>,
    /// Upper end; `None` where there is none.
    pub high: Option<Bound>,
}

impl Value {
    /// A single value without doubt.
    #[must_use]
    pub const fn point(value: f64) -> Self {
        let end = Some(Bound { value, open: false });
        Self { best: Some(value), low: end, high: end }
    }
}

/// One end of what is known.
#[derive(Copy, Clone, Debug, PartialEq, Serialize)]
pub struct Bound {
    /// Where.
    pub value: f64,
    /// Whether the end itself is impossible.
    pub open: bool,
}

/// The limit that a value was held against.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct AppliedLimit {
    /// The limit; `None` where the rule compares two quantities.
    pub limit: Option<LimitId>,
    /// The arm of a limit by variants, by its place among the arms.
    pub variant: Option<usize>,
    /// The ends that were applied, of a curve those at `at`. Where it is not known exactly where
    /// on the curve, those inside which a value lies within the limit wherever it is.
    pub band: Band,
    /// Where on the curve.
    pub at: Option<f64>,
}

/// What decided.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case", tag = "why")]
pub enum Because {
    /// All that is possible lies inside the limit.
    Inside,
    /// All that is possible lies inside the service limit and outside the standard one.
    InsideServiceOnly,
    /// All that is possible lies below the limit.
    Below,
    /// All that is possible lies above the limit.
    Above,
    /// All that is possible lies outside a limit narrower than the doubt: on which side is not
    /// known. Also an unequal pair that had to be equal.
    Beside,
    /// What is possible spans an end of the limit.
    Spans {
        /// The ends that it spans.
        ends: Spanned,
        /// Whether all that is possible passes: only the border between within and worn is spanned.
        passes: bool,
        /// The probability that the value conforms, where it is known (JCGM 106:2012, clause 7).
        probability: Option<f64>,
        /// The largest expanded uncertainty that would have decided it, had the best value been
        /// the same. Nothing where there is no best value.
        settles: Option<f64>,
        /// So many repeats, reduced to their mean, would have decided it, where only what is own
        /// to each reading has to shrink for that.
        repeats: Option<u32>,
    },
    /// The meter that a reading was taken with is not fit for it.
    Unfit {
        /// The reading.
        slot: SlotId,
        /// Why it is not.
        unfit: Unfit,
    },
    /// Its precondition is not met, or is not known to be.
    Precondition {
        /// Whether it is known not to be met.
        unmet: bool,
        /// The checks it asks about that did not come out as it asks.
        checks: Vec<CheckId>,
        /// Readings it asks about that were not taken.
        missing: Vec<SlotId>,
        /// Properties it asks about that are not known.
        properties: Vec<PropertyId>,
    },
    /// It is not known whether the check is about this machine, though by no property alone.
    Applicability {
        /// The checks asked about that did not come out as asked.
        checks: Vec<CheckId>,
        /// Readings asked about that were not taken.
        missing: Vec<SlotId>,
    },
    /// The limit holds under a condition that is not met, or is not known to be.
    Condition {
        /// The limit.
        limit: LimitId,
        /// Which of its conditions, by place.
        condition: usize,
        /// Whether it is known not to be met.
        unmet: bool,
        /// What is known of the quantity that has to lie in the condition's band.
        value: Option<Value>,
        /// Readings it asks about that were not taken.
        missing: Vec<SlotId>,
    },
    /// A reading was taken in another state than it must be.
    StateOther {
        /// The reading.
        slot: SlotId,
        /// The state that it must be taken in.
        wanted: StateId,
        /// The state that it was taken in.
        taken: StateId,
    },
    /// A reading lies outside what is plausible: it is doubted before the machine is.
    Implausible {
        /// The reading.
        slot: SlotId,
        /// The slip that would explain it.
        slip: Option<Slip>,
    },
    /// The curve says nothing there.
    OutsideCurve {
        /// The limit.
        limit: LimitId,
        /// Where it was asked.
        at: Option<Value>,
        /// Where its points begin.
        first: f64,
        /// Where its points end.
        last: f64,
    },
    /// A display showed overload, and the top of its range is not known or lies where it decides
    /// nothing.
    Overload {
        /// The reading.
        slot: SlotId,
        /// The top of the range in use, where it is known.
        range: Option<f64>,
    },
    /// Readings were not taken.
    Missing {
        /// Which.
        slots: Vec<SlotId>,
    },
    /// The maker gives no limit.
    NotSpecified,
    /// This variant has no such part, or no arm of the limit is about it.
    NotThisVariant,
    /// A property of the machine is not known.
    PropertyUnknown {
        /// Which.
        property: PropertyId,
    },
    /// The rule works out to no number.
    NoNumber {
        /// Why.
        cause: NoNumber,
    },
    /// The word that was seen decided.
    WordSeen {
        /// The observation.
        slot: SlotId,
        /// The word, by place.
        word: u16,
    },
    /// A logical rule came out so.
    Rule {
        /// `None` where it is unknown.
        holds: Option<bool>,
        /// The checks it asks about that did not come out as it asks.
        checks: Vec<CheckId>,
    },
}

/// The ends of a limit that a value spans.
#[derive(Copy, Clone, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Spanned {
    /// The lower end.
    Low,
    /// The upper end.
    High,
    /// Both, or on a rule without sides either.
    Both,
}

impl From<Side> for Spanned {
    fn from(side: Side) -> Self {
        match side {
            Side::Low => Self::Low,
            Side::High => Self::High,
        }
    }
}

/// A slip of the hand that makes an implausible reading plausible.
#[derive(Copy, Clone, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Slip {
    /// The sign: the leads are the wrong way round.
    Sign,
    /// A thousand times too much: `V` written for `mV`.
    ThousandTimesTooMuch,
    /// A thousand times too little: `mV` written for `V`.
    ThousandTimesTooLittle,
}

/// Why a rule works out to no number.
#[derive(Copy, Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum NoNumber {
    /// The divisor is or may be zero.
    DivisionByZero,
    /// The square root of what is or may be negative.
    RootOfNegative,
    /// The logarithm of what is or may be zero or less.
    LogarithmOfNothing,
    /// Larger than any number that is reckoned with.
    TooLarge,
    /// A law of the trade outside the range that it covers.
    OutsideLaw,
    /// A curve whose points are not single values.
    NoSingleValue,
}
