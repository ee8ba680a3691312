//! Figures, limits and readings, as written.

use truing_units::Decimal;

use super::{Expr, KindName, Name, Path, Text, UnitText};
use crate::span::Span;

/// A number with its digits and, where one was written, its unit: `12.50 V`, `10 %`, `4101`.
#[derive(Clone, Debug)]
pub struct Figure {
    /// The digits as written.
    pub number: Decimal,
    /// The unit that stands right behind it on the same line.
    pub unit: Option<UnitText>,
    /// Both.
    pub span: Span,
}

impl PartialEq for Figure {
    fn eq(&self, other: &Self) -> bool {
        self.number == other.number && self.unit == other.unit
    }
}

/// One end of a limit: a figure, a constant's name, or a constant expression in parentheses.
#[derive(Clone, Debug, PartialEq)]
pub enum Bound {
    /// `12.4 V`
    Figure(Figure),
    /// `nominal_voltage`
    Name(Path),
    /// `(0.9 * nominal_voltage)`
    Expr(Box<Expr>),
}

/// A limit with all that may stand behind it.
#[derive(Clone, Debug)]
pub struct LimitExpr {
    /// The limit itself.
    pub form: LimitForm,
    /// The same printed in other units: `(44 .. 52 lbf.ft)`.
    pub also_printed: Vec<LimitExpr>,
    /// `typical 70 V`: kept beside a limit, and no limit.
    pub typical: Option<Figure>,
    /// `at 20 degC`, `at engine_speed 1400 ± 100 rpm`: what it was given for.
    pub conditions: Vec<Condition>,
    /// All of it.
    pub span: Span,
}

impl PartialEq for LimitExpr {
    fn eq(&self, other: &Self) -> bool {
        self.form == other.form
            && self.also_printed == other.also_printed
            && self.typical == other.typical
            && self.conditions == other.conditions
    }
}

/// The forms of a limit.
#[derive(Clone, Debug, PartialEq)]
pub enum LimitForm {
    /// `not specified`: the maker gives none; the check only records.
    NotSpecified,
    /// `min 12.4 V` (bound included) · `above 12.4 V` (bound excluded)
    AtLeast {
        /// The bound.
        bound: Bound,
        /// Whether the bound itself lies outside.
        exclusive: bool,
    },
    /// `max 0.2 V` (bound included) · `below 0.2 V` (bound excluded)
    AtMost {
        /// The bound.
        bound: Bound,
        /// Whether the bound itself lies outside.
        exclusive: bool,
    },
    /// `13.6 .. 14.8 V`, `above 13.6 .. below 14.8 V`; a unit written once serves both ends.
    Range {
        /// The lower end.
        low: Bound,
        /// Whether the lower end itself lies outside.
        low_exclusive: bool,
        /// The upper end.
        high: Bound,
        /// Whether the upper end itself lies outside.
        high_exclusive: bool,
    },
    /// `0.18 ± 0.04 ohm` (also `+-`), `14.2 V ± 2 %` (of the nominal value)
    PlusMinus {
        /// The nominal value.
        nominal: Bound,
        /// The permitted deviation to either side.
        tolerance: Tolerance,
    },
    /// `20 V +5 -0`: the sign touches its digits. The limits are nominal + plus and nominal - minus;
    /// in `20 mm -0.007 -0.020` plus is -0.007 mm and minus 0.020 mm.
    Asymmetric {
        /// The nominal value.
        nominal: Bound,
        /// The upper deviation, with its sign.
        plus: Tolerance,
        /// The lower deviation, with its sign turned: what is taken off.
        minus: Tolerance,
    },
    /// `standard 0.15 .. 0.30 mm, service max 0.60 mm`
    Graded {
        /// For new parts.
        standard: Box<LimitExpr>,
        /// The wear limit.
        service: Box<LimitExpr>,
    },
    /// `by rotational_speed { 1200 rpm : 17 .. 23 V … }`
    Curve {
        /// The kind of quantity that it goes by.
        by: KindName,
        /// Between the points.
        interpolation: Interpolation,
        /// The points in the order in which they stand.
        points: Vec<(Figure, LimitExpr)>,
    },
    /// `when serial <= 4100 : … when … : … otherwise : …`
    Variants {
        /// The conditions, expressions over properties, and their limits.
        arms: Vec<(Expr, LimitExpr)>,
        /// What holds where no arm does.
        otherwise: Option<Box<LimitExpr>>,
    },
    /// `max 5 V or max 6 V whichever is less`
    Joined {
        /// The first limit.
        left: Box<LimitExpr>,
        /// The second limit.
        right: Box<LimitExpr>,
        /// Which of them holds.
        joint: Joint,
    },
}

/// A permitted deviation from a nominal value.
#[derive(Clone, Debug, PartialEq)]
pub enum Tolerance {
    /// In a unit (a missing unit is the nominal's), or a constant.
    Amount(Bound),
    /// In per cent of the nominal value.
    Percent(Figure),
}

/// What holds between the points of a curve.
#[derive(Copy, Clone, Debug, PartialEq, Eq)]
pub enum Interpolation {
    /// A straight line; the default.
    Linear,
    /// The value of the point below holds up to the next point.
    Step,
    /// A straight line in the logarithm of the limit.
    Log,
}

/// Which of two joined limits holds.
#[derive(Copy, Clone, Debug, PartialEq, Eq)]
pub enum Joint {
    /// `whichever is less`: the lesser of each bound.
    Less,
    /// `whichever is greater`: the greater of each bound.
    Greater,
    /// `whichever is first`: both must be kept.
    First,
}

/// `at [READING] BAND`
#[derive(Clone, Debug)]
pub struct Condition {
    /// The reading or derived quantity that must lie in the band; without one, the reference value
    /// of a kind (`at 20 degC`).
    pub subject: Option<Path>,
    /// The band, or a single figure.
    pub band: ConditionBand,
    /// All of it.
    pub span: Span,
}

impl PartialEq for Condition {
    fn eq(&self, other: &Self) -> bool {
        self.subject == other.subject && self.band == other.band
    }
}

/// What a condition asks for.
#[derive(Clone, Debug, PartialEq)]
pub enum ConditionBand {
    /// `20 degC`
    Exactly(Figure),
    /// `1400 ± 100 rpm`, `min 4000 rpm`, `10 .. 30 degC`
    Band(Box<LimitForm>),
}

/// `cite sheet "6-2" mend sheet_e3 was min 50 V`
#[derive(Clone, Debug)]
pub struct Cite {
    /// The source.
    pub source: Name,
    /// Where in it.
    pub place: Option<Text>,
    /// The erratum that gives this figure in place of an older one.
    pub mend: Option<Name>,
    /// The older limit, kept to be read.
    pub was: Option<Box<LimitExpr>>,
    /// The older figure, where it was a bare one: `was 50 V`.
    pub was_figure: Option<Figure>,
    /// All of it.
    pub span: Span,
}

impl PartialEq for Cite {
    fn eq(&self, other: &Self) -> bool {
        self.source == other.source
            && self.place == other.place
            && self.mend == other.mend
            && self.was == other.was
            && self.was_figure == other.was_figure
    }
}

/// `limit NAME ["title"] [: KIND [by KIND]] [= LIMIT] [cite …]`
#[derive(Clone, Debug, PartialEq)]
pub struct LimitDecl {
    /// The limit's name.
    pub name: Name,
    /// Its title for people.
    pub title: Option<Text>,
    /// The kind of quantity that it limits; needed where it is declared first.
    pub kind: Option<KindName>,
    /// The kind of quantity that it goes by, for an open curve.
    pub by: Option<KindName>,
    /// The limit; without one it is left open, for a spec to fill.
    pub value: Option<LimitExpr>,
    /// Where it was printed.
    pub cites: Vec<Cite>,
}

/// `constant NAME ["title"] [: KIND] [= EXPR] [cite …]`
#[derive(Clone, Debug, PartialEq)]
pub struct ConstantDecl {
    /// The constant's name.
    pub name: Name,
    /// Its title for people.
    pub title: Option<Text>,
    /// Its kind; needed where it is left open.
    pub kind: Option<KindName>,
    /// Its value, an expression over constants; without one it is left open.
    pub value: Option<Expr>,
    /// Where it was printed.
    pub cites: Vec<Cite>,
}

/// The decision rule, JCGM 106:2012.
#[derive(Clone, Debug, PartialEq)]
pub enum DecideRule {
    /// `simple`: the reading alone (simple acceptance, JCGM 106:2012, 8.2.1).
    Simple,
    /// `guarded 2`: a guard band of k standard uncertainties on both sides (JCGM 106:2012, 8.3).
    Guarded(Figure),
    /// `at 95 %`: by conformance probability.
    At(Figure),
}

/// What an instrument showed, as written in a case or a job sheet.
#[derive(Clone, Debug)]
pub struct ReadingValue {
    /// What.
    pub kind: ReadingValueKind,
    /// All of it.
    pub span: Span,
}

impl PartialEq for ReadingValue {
    fn eq(&self, other: &Self) -> bool {
        self.kind == other.kind
    }
}

/// The forms of a reading.
#[derive(Clone, Debug, PartialEq)]
pub enum ReadingValueKind {
    /// `12.71 V`
    Figure(Figure),
    /// `OL` · `OL on 60 Mohm` (the range in use)
    Overload {
        /// The top of the range in use.
        range: Option<Figure>,
    },
    /// `> 20 Mohm` · `>= 20 Mohm`
    Above {
        /// The bound.
        bound: Figure,
        /// Whether the bound itself is possible.
        inclusive: bool,
    },
    /// `< 0.1 ohm` · `<= 0.1 ohm`
    Below {
        /// The bound.
        bound: Figure,
        /// Whether the bound itself is possible.
        inclusive: bool,
    },
    /// `0.13 .. 0.15 mm`: the 0.13 blade goes, the 0.15 does not.
    Between {
        /// The blade that goes; possible itself.
        low: Figure,
        /// The blade that does not; not possible itself.
        high: Figure,
    },
    /// `12 ohm .. 0.9 Mohm unsteady "when tapped"`
    Unsteady {
        /// The least seen.
        low: Figure,
        /// The most seen.
        high: Figure,
        /// What moved it.
        moved_by: Option<Text>,
    },
    /// `3.52, 3.50, 3.55 mm`; a unit written once, at the end, serves all.
    Repeats(Vec<Figure>),
    /// `1200 rpm : 18.1 V, 5000 rpm : 69.5 V`
    Sweep(Vec<(Figure, Figure)>),
    /// `burnt`
    Word(Name),
    /// `not taken "no access"`
    NotTaken(Option<Text>),
}

crate::packed::packed! {
    struct Figure { number, unit, span }
    enum Bound { Figure(a), Name(a), Expr(a) }
    struct LimitExpr { form, also_printed, typical, conditions, span }
    enum LimitForm {
        NotSpecified, AtLeast { bound, exclusive }, AtMost { bound, exclusive },
        Range { low, low_exclusive, high, high_exclusive }, PlusMinus { nominal, tolerance },
        Asymmetric { nominal, plus, minus }, Graded { standard, service },
        Curve { by, interpolation, points }, Variants { arms, otherwise },
        Joined { left, right, joint }
    }
    enum Tolerance { Amount(a), Percent(a) }
    enum Interpolation { Linear, Step, Log }
    enum Joint { Less, Greater, First }
    struct Condition { subject, band, span }
    enum ConditionBand { Exactly(a), Band(a) }
    struct Cite { source, place, mend, was, was_figure, span }
    struct LimitDecl { name, title, kind, by, value, cites }
    struct ConstantDecl { name, title, kind, value, cites }
    enum DecideRule { Simple, Guarded(a), At(a) }
    struct ReadingValue { kind, span }
    enum ReadingValueKind {
        Figure(a), Overload { range }, Above { bound, inclusive }, Below { bound, inclusive },
        Between { low, high }, Unsteady { low, high, moved_by }, Repeats(a), Sweep(a), Word(a),
        NotTaken(a)
    }
}
