//! Faults, fixes, what was learned of them, procedures and cases.

use super::{DecideRule, Expr, Figure, Name, Path, ReadingValue, Text};
use crate::span::{Span, Spanned};

/// `fault NAME[family] "title" { … }`
#[derive(Clone, Debug, PartialEq)]
pub struct FaultDecl {
    /// The fault's name.
    pub name: Name,
    /// The family that it runs over.
    pub family: Option<Name>,
    /// Its title.
    pub title: Text,
    /// The lines of its body.
    pub members: Vec<FaultMember>,
}

/// A line of a fault's body.
#[derive(Clone, Debug, PartialEq)]
pub enum FaultMember {
    /// `odds 8 of 1000`
    Odds {
        /// So many …
        count: Figure,
        /// … of so many.
        of: Figure,
    },
    /// `makes charges low 90 %`
    Makes {
        /// The check that it upsets.
        check: Path,
        /// How.
        effect: Spanned<Effect>,
        /// How often; always where nothing is said.
        chance: Option<Chance>,
    },
    /// `fix replace_regulator`
    Fix(Vec<Name>),
    /// `caution …`
    Caution(Vec<Name>),
    /// `note "text"`
    Note(Text),
}

/// How often a fault upsets a check.
#[derive(Clone, Debug, PartialEq)]
pub enum Chance {
    /// `90 %`
    Figure(Figure),
    /// A word for one.
    Word(Spanned<Likelihood>),
}

/// A word for a chance.
#[derive(Copy, Clone, Debug, PartialEq, Eq)]
pub enum Likelihood {
    /// `always`
    Always,
    /// `usually`
    Usually,
    /// `sometimes`
    Sometimes,
    /// `rarely`
    Rarely,
}

/// What a fault does to a check.
#[derive(Copy, Clone, Debug, PartialEq, Eq)]
pub enum Effect {
    /// Outside low.
    Low,
    /// Outside high.
    High,
    /// Fails, on either side or by the word seen.
    Fail,
    /// Inside the service limit, outside standard.
    Worn,
}

/// `fix NAME "title" { … }`
#[derive(Clone, Debug, PartialEq)]
pub struct FixDecl {
    /// The fix's name.
    pub name: Name,
    /// What is done.
    pub title: Text,
    /// The lines of its body.
    pub members: Vec<FixMember>,
}

/// A line of a fix's body.
#[derive(Clone, Debug, PartialEq)]
pub enum FixMember {
    /// `part "regulator-rectifier"`
    Part(Text),
    /// `takes 30 min`
    Takes(Figure),
    /// `verify 10 min`: how long it takes to prove it.
    Verify(Figure),
    /// `price 120`
    Price(Figure),
    /// `proves charges, conducts`: taken again after the repair.
    Proves(Vec<Path>),
    /// `caution …`
    Caution(Vec<Name>),
    /// `note "text"`
    Note(Text),
}

/// `learned SPEC { … }`: what proven jobs teach.
#[derive(Clone, Debug, PartialEq)]
pub struct LearnedDecl {
    /// The spec that it was learned of.
    pub of: Name,
    /// The lines of its body.
    pub members: Vec<LearnedMember>,
}

/// A line of what was learned.
#[derive(Clone, Debug, PartialEq)]
#[expect(
    clippy::large_enum_variant,
    reason = "the largest, what checks showed, are by far the most"
)]
pub enum LearnedMember {
    /// `edition "2026-11"`: of the spec, when the jobs were read.
    Edition(Text),
    /// `author 20`: the author's word counts as so many jobs.
    Author(Figure),
    /// `cause stator_grounded 2`: it was the fault in so many jobs.
    Cause {
        /// The fault.
        fault: Path,
        /// In so many jobs; a job may be shared out among faults.
        jobs: Figure,
    },
    /// `shows stator_grounded insulated[U] low 2 of 3`
    Shows {
        /// The fault.
        fault: Path,
        /// The check.
        check: Path,
        /// The band that it was in …
        effect: Spanned<Effect>,
        /// … in so many jobs …
        seen: Figure,
        /// … of so many with that fault in which it was judged.
        judged: Figure,
    },
}

/// `procedure NAME "title" { … }`
#[derive(Clone, Debug, PartialEq)]
pub struct ProcedureDecl {
    /// The procedure's name.
    pub name: Name,
    /// The complaint, or what it finds out.
    pub title: Text,
    /// The steps in order.
    pub steps: Vec<Step>,
}

/// One step.
#[derive(Clone, Debug)]
pub struct Step {
    /// What.
    pub kind: StepKind,
    /// All of it.
    pub span: Span,
}

impl PartialEq for Step {
    fn eq(&self, other: &Self) -> bool {
        self.kind == other.kind
    }
}

/// The forms of a step.
#[derive(Clone, Debug, PartialEq)]
pub enum StepKind {
    /// `take insulated, output`: checks, readings or observations.
    Take(Vec<Path>),
    /// `if … { … } else { … }` (`else if` is an `otherwise` of one step)
    If {
        /// The condition.
        condition: Expr,
        /// Where it holds.
        then: Vec<Step>,
        /// Where it does not.
        otherwise: Option<Vec<Step>>,
    },
    /// `advise "text"`
    Advise(Text),
    /// `suspect stator_grounded, stator_open`
    Suspect(Vec<Path>),
    /// `caution exhaust`
    Caution(Vec<Name>),
    /// `stop`
    Stop,
}

/// `case NAME "title" { … }`
#[derive(Clone, Debug, PartialEq)]
pub struct CaseDecl {
    /// The case's name.
    pub name: Name,
    /// What it shows.
    pub title: Text,
    /// The lines of its body.
    pub members: Vec<CaseMember>,
}

/// A line of a case's body.
#[derive(Clone, Debug, PartialEq)]
pub enum CaseMember {
    /// `meter handheld_6000`
    Meter(Name),
    /// `decide simple`
    Decide(Spanned<DecideRule>),
    /// `battery_rest = 12.71 V`, `serial = 4188`, `connector = burnt`
    Given {
        /// A reading, observation or property.
        path: Path,
        /// What it is.
        value: ReadingValue,
    },
    /// `expect …`
    Expect(Spanned<Expectation>),
    /// `note "text"`
    Note(Text),
}

/// What must come of a case.
#[derive(Clone, Debug, PartialEq)]
pub enum Expectation {
    /// `expect insulated[V] outside low`, `expect insulated within` (every member)
    Outcome {
        /// The check.
        check: Path,
        /// Its outcome.
        outcome: Spanned<OutcomeWord>,
    },
    /// `expect imbalance = 2.1 %`: agrees to the digits written.
    Value {
        /// A derived quantity or reading.
        path: Path,
        /// The value.
        value: Figure,
    },
    /// `expect suspect stator_grounded first, at least 90 %`
    Suspect {
        /// The fault.
        fault: Path,
        /// Whether it must lead.
        first: bool,
        /// With at least this probability.
        at_least: Option<Figure>,
    },
}

/// An outcome as an author writes it.
#[derive(Copy, Clone, Debug, PartialEq, Eq)]
pub enum OutcomeWord {
    /// `within`
    Within,
    /// `worn`
    Worn,
    /// `outside`, on whichever side
    Outside,
    /// `outside low`
    OutsideLow,
    /// `outside high`
    OutsideHigh,
    /// `undecided`
    Undecided,
    /// `blocked`
    Blocked,
    /// `not taken`
    NotTaken,
    /// `not applicable`
    NotApplicable,
    /// `passes`: within or worn
    Passes,
    /// `fails`: outside
    Fails,
}

crate::packed::packed! {
    struct FaultDecl { name, family, title, members }
    enum FaultMember {
        Odds { count, of }, Makes { check, effect, chance }, Fix(a), Caution(a), Note(a)
    }
    enum Chance { Figure(a), Word(a) }
    enum Likelihood { Always, Usually, Sometimes, Rarely }
    enum Effect { Low, High, Fail, Worn }
    struct FixDecl { name, title, members }
    enum FixMember {
        Part(a), Takes(a), Verify(a), Price(a), Proves(a), Caution(a), Note(a)
    }
    struct LearnedDecl { of, members }
    enum LearnedMember {
        Edition(a), Author(a), Cause { fault, jobs }, Shows { fault, check, effect, seen, judged }
    }
    struct ProcedureDecl { name, title, steps }
    struct Step { kind, span }
    enum StepKind {
        Take(a), If { condition, then, otherwise }, Advise(a), Suspect(a), Caution(a), Stop
    }
    struct CaseDecl { name, title, members }
    enum CaseMember { Meter(a), Decide(a), Given { path, value }, Expect(a), Note(a) }
    enum Expectation {
        Outcome { check, outcome }, Value { path, value }, Suspect { fault, first, at_least }
    }
    enum OutcomeWord {
        Within, Worn, Outside, OutsideLow, OutsideHigh, Undecided, Blocked, NotTaken, NotApplicable,
        Passes, Fails
    }
}
