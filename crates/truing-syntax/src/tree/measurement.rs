//! States, cautions, readings, observations, derived quantities and checks.

use super::Effect;
use super::{Cite, DecideRule, Expr, Figure, KindName, LimitForm, Name, Path, Text};
use crate::span::Spanned;

/// `caution NAME "text"`
#[derive(Clone, Debug, PartialEq)]
pub struct CautionDecl {
    /// The caution's name.
    pub name: Name,
    /// What is shown before the step.
    pub text: Text,
}

/// `state NAME "title" { from … takes … caution … }`
#[derive(Clone, Debug, PartialEq)]
pub struct StateDecl {
    /// The state's name.
    pub name: Name,
    /// How the machine stands.
    pub title: Text,
    /// The lines of its body.
    pub members: Vec<StateMember>,
}

/// A line of a state's body.
#[derive(Clone, Debug, PartialEq)]
pub enum StateMember {
    /// `from at_rest`: the states that it is reached from.
    From(Vec<Name>),
    /// `takes 5 min`
    Takes(Figure),
    /// `stays`: once reached, it costs nothing to be there again.
    Stays,
    /// `brings faults`: some faults come with this state and go with it.
    Brings,
    /// `waived by insulated passes`: what makes it unnecessary.
    Waived {
        /// The check.
        check: Path,
        /// Whether it must pass; else it must fail.
        passes: bool,
    },
    /// `caution exhaust, belts`
    Caution(Vec<Name>),
    /// `note "text"`
    Note(Text),
}

/// `reading NAME[family] "title" : KIND { … }`
#[derive(Clone, Debug, PartialEq)]
pub struct ReadingDecl {
    /// The reading's name.
    pub name: Name,
    /// The family that it runs over.
    pub family: Option<Name>,
    /// Its title; `{pair}` stands for the member.
    pub title: Text,
    /// What it is a quantity of.
    pub kind: KindName,
    /// The lines of its body.
    pub members: Vec<ReadingMember>,
}

/// A line of a reading's or an observation's body.
#[derive(Clone, Debug, PartialEq)]
pub enum ReadingMember {
    /// `during at_rest`
    During(Name),
    /// `red on "battery positive post"`
    Red(Text),
    /// `black on "battery negative post"`
    Black(Text),
    /// `with engine_speed`: taken together, in the same state.
    With(Vec<Path>),
    /// `takes 1 min`
    Takes(Figure),
    /// `plausible 0 .. 18 V`: outside it the reading is doubted before the machine is.
    Plausible(Box<LimitForm>),
    /// `reduce min`: how repeats become one value.
    Reduce(Spanned<Reduction>),
    /// `capture min`: the instrument itself holds the least value.
    Capture(Spanned<Extreme>),
    /// `over rotational_speed`: what a sweep runs over.
    Over(KindName),
    /// `frequency frequency_of(engine_speed, poles: 12)`: what it is read at.
    Frequency(Box<Expr>),
    /// `circuit 100 kohm ± 10 kohm`: the resistance of the circuit as the probes see it.
    Circuit {
        /// How much.
        resistance: Figure,
        /// How well it is known.
        doubt: Option<Figure>,
    },
    /// `tool "feeler gauge"`
    Tool(Text),
    /// `caution exhaust`
    Caution(Vec<Name>),
    /// `note "text"`
    Note(Text),
}

/// How repeats become one value.
#[derive(Copy, Clone, Debug, PartialEq, Eq)]
pub enum Reduction {
    /// The least.
    Min,
    /// The greatest.
    Max,
    /// The arithmetic mean; the default.
    Mean,
}

/// What an instrument holds of a value that changes.
#[derive(Copy, Clone, Debug, PartialEq, Eq)]
pub enum Extreme {
    /// The least.
    Min,
    /// The greatest.
    Max,
}

/// `observation NAME[family] "title" : clean, corroded, burnt { … }`
#[derive(Clone, Debug, PartialEq)]
pub struct ObservationDecl {
    /// The observation's name.
    pub name: Name,
    /// The family that it runs over.
    pub family: Option<Name>,
    /// Its title.
    pub title: Text,
    /// What can be seen.
    pub words: Vec<Name>,
    /// The lines of its body.
    pub members: Vec<ReadingMember>,
}

/// `derived NAME[family] ["title"] [: KIND] = EXPR [cite …]`
#[derive(Clone, Debug, PartialEq)]
pub struct DerivedDecl {
    /// The quantity's name.
    pub name: Name,
    /// The family that it runs over.
    pub family: Option<Name>,
    /// Its title.
    pub title: Option<Text>,
    /// Its kind, where the expression leaves it open.
    pub kind: Option<KindName>,
    /// How it is worked out.
    pub value: Expr,
    /// Where the formula was printed.
    pub cites: Vec<Cite>,
}

/// `check NAME[family] "title" : EXPR { when … }`
#[derive(Clone, Debug, PartialEq)]
pub struct CheckDecl {
    /// The check's name.
    pub name: Name,
    /// The family that it runs over.
    pub family: Option<Name>,
    /// What holds when the machine is in order.
    pub title: Text,
    /// The rule.
    pub rule: Expr,
    /// The lines of its body.
    pub members: Vec<CheckMember>,
}

/// A line of a check's body.
#[derive(Clone, Debug, PartialEq)]
pub enum CheckMember {
    /// `when battery_charged passes`: otherwise it is blocked.
    When(Expr),
    /// `applies if regulator is shunt`: otherwise it is not applicable.
    AppliesIf(Expr),
    /// `decide simple`
    Decide(Spanned<DecideRule>),
    /// `leak 2 %`: how often it comes out of order without any listed fault.
    Leak(Leak),
    /// `slip 2 %`: how often a reading of it is read wrongly.
    Slip(Figure),
    /// `bands high, low`: the later of two shows where causes meet.
    Bands(Vec<Spanned<Effect>>),
    /// `advise "text"`
    Advise(Text),
    /// `cite …`
    Cite(Cite),
    /// `note "text"`
    Note(Text),
}

/// How often a check comes out of order without any listed fault.
#[derive(Clone, Debug, PartialEq)]
pub enum Leak {
    /// `leak 2 %`: shared evenly by the bands that it can come out in.
    Even(Figure),
    /// `leak high 1 %, low 2 %`: never in one that is not named.
    By(Vec<BandLeak>),
}

/// `high 1 %`
#[derive(Clone, Debug, PartialEq)]
pub struct BandLeak {
    /// The band.
    pub band: Spanned<Effect>,
    /// How often.
    pub chance: Figure,
}

crate::packed::packed! {
    struct CautionDecl { name, text }
    struct StateDecl { name, title, members }
    enum StateMember {
        From(a), Takes(a), Stays, Brings, Waived { check, passes }, Caution(a), Note(a)
    }
    struct ReadingDecl { name, family, title, kind, members }
    enum ReadingMember {
        During(a), Red(a), Black(a), With(a), Takes(a), Plausible(a), Reduce(a), Capture(a), Over(a),
        Frequency(a), Circuit { resistance, doubt }, Tool(a), Caution(a), Note(a)
    }
    enum Reduction { Min, Max, Mean }
    enum Extreme { Min, Max }
    struct ObservationDecl { name, family, title, words, members }
    struct DerivedDecl { name, family, title, kind, value, cites }
    struct CheckDecl { name, family, title, rule, members }
    enum CheckMember {
        When(a), AppliesIf(a), Decide(a), Leak(a), Slip(a), Bands(a), Advise(a), Cite(a), Note(a)
    }
    enum Leak { Even(a), By(a) }
    struct BandLeak { band, chance }
}
