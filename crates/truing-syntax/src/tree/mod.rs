//! The typed tree: what was written, with its digits and its places.
//!
//! Read in this order: this file (a file and its items), [`quantity`] (figures, limits, readings
//! as written), [`expression`], then [`measurement`] (states, readings, checks) and [`diagnosis`]
//! (faults, fixes, what was learned, procedures, cases), last [`instrument`].
//!
//! Equality of trees ignores places ([`Spanned`], and the hand-written `PartialEq` of the nodes
//! that carry a bare span), so that the formatter can compare what it read with what it would print.

pub mod diagnosis;
pub mod expression;
pub mod instrument;
pub mod measurement;
pub mod quantity;

use std::sync::Arc;

pub use diagnosis::{
    CaseDecl, CaseMember, Chance, Effect, Expectation, FaultDecl, FaultMember, FixDecl, FixMember,
    LearnedDecl, LearnedMember, Likelihood, OutcomeWord, ProcedureDecl, Step, StepKind,
};
pub use expression::{
    Argument, BinaryOperator, Expr, ExprKind, Index, Path, Quantifier, UnaryOperator, WithinLimit,
};
pub use instrument::{
    Accuracy, AccuracyBasis, AccuracyTerm, ErrorSum, FunctionMember, InstrumentDecl,
    InstrumentMember, RangeLine,
};
pub use measurement::{
    BandLeak, CautionDecl, CheckDecl, CheckMember, DerivedDecl, Extreme, Leak, ObservationDecl,
    ReadingDecl, ReadingMember, Reduction, StateDecl, StateMember,
};
pub use quantity::{
    Bound, Cite, Condition, ConditionBand, ConstantDecl, DecideRule, Figure, Interpolation, Joint,
    LimitDecl, LimitExpr, LimitForm, ReadingValue, ReadingValueKind, Tolerance,
};

use crate::span::{Span, Spanned};

/// A name as written: an identifier, or a family member such as `U` or `1`.
pub type Name = Spanned<Arc<str>>;
/// A quoted text, unescaped, without its quotes.
pub type Text = Spanned<Arc<str>>;
/// A unit as written, `N.m`; what it means is the catalogue's business.
pub type UnitText = Spanned<Arc<str>>;
/// The name of a kind of quantity as written, `dc_voltage`.
pub type KindName = Spanned<Arc<str>>;

/// One file: a spec or a library.
#[derive(Clone, Debug, PartialEq)]
pub struct File {
    /// The items in the order in which they stand; the header (`spec` or `library`) is one of them,
    /// normally the first.
    pub items: Vec<Item>,
}

/// One item with the doc comment (`##` lines) that stands right above it.
#[derive(Clone, Debug)]
pub struct Item {
    /// The lines of the doc comment, without `##`.
    pub doc: Vec<Text>,
    /// What it says.
    pub kind: ItemKind,
    /// From its keyword to its end.
    pub span: Span,
}

impl PartialEq for Item {
    fn eq(&self, other: &Self) -> bool {
        self.doc == other.doc && self.kind == other.kind
    }
}

/// The kinds of item.
#[derive(Clone, Debug, PartialEq)]
#[expect(clippy::large_enum_variant, reason = "limits are the largest and by far the most")]
pub enum ItemKind {
    /// `spec NAME "title" { edition … machine … decide … }`
    Spec(SpecDecl),
    /// `library NAME "title"`
    Library(LibraryDecl),
    /// `source NAME "title"`
    Source(SourceDecl),
    /// `use "std/pm-charging"`
    Use(UseDecl),
    /// `family phase = U, V, W` · `family pair = pairs of phase`
    Family(FamilyDecl),
    /// `property serial "Serial number" : count` · `property rotor "Rotor" : magnet, wound`
    Property(PropertyDecl),
    /// `kind lean_angle "Lean angle" : angle` · `kind spring_rate "…" = N/mm`
    Kind(KindDecl),
    /// `unit click "Click of the adjuster" : angle = 15 deg`
    Unit(UnitDecl),
    /// `limit …`
    Limit(LimitDecl),
    /// `constant …`
    Constant(ConstantDecl),
    /// `instrument …`
    Instrument(InstrumentDecl),
    /// `caution …`
    Caution(CautionDecl),
    /// `state …`
    State(StateDecl),
    /// `reading …`
    Reading(ReadingDecl),
    /// `observation …`
    Observation(ObservationDecl),
    /// `derived …`
    Derived(DerivedDecl),
    /// `check …`
    Check(CheckDecl),
    /// `fault …`
    Fault(FaultDecl),
    /// `fix …`
    Fix(FixDecl),
    /// `learned …`
    Learned(LearnedDecl),
    /// `procedure …`
    Procedure(ProcedureDecl),
    /// `case …`
    Case(CaseDecl),
}

/// `spec NAME "title" { … }`
#[derive(Clone, Debug, PartialEq)]
pub struct SpecDecl {
    /// The spec's name.
    pub name: Name,
    /// Its title for people.
    pub title: Text,
    /// The lines of its body.
    pub members: Vec<SpecMember>,
}

/// A line of a spec's body.
#[derive(Clone, Debug, PartialEq)]
pub enum SpecMember {
    /// `edition "2026-11"`
    Edition(Text),
    /// `machine "Lowmoor" "420 orchard trike" 2019 .. 2024` (years optional, an open end allowed:
    /// `2019 ..`)
    Machine {
        /// Who makes it.
        maker: Text,
        /// Which model.
        model: Text,
        /// First and last model year, each may be left out.
        years: Option<Years>,
    },
    /// `decide at 95 %` · `decide guarded 2` · `decide simple`
    Decide(Spanned<DecideRule>),
    /// `meter handheld_6000, milliohm_meter`: what its limits are meant to be decided with.
    Meter(Vec<Name>),
    /// `odds none 10 of 100`: what "no fault" weighs beside the odds of the faults.
    OddsNone {
        /// So many …
        count: Figure,
        /// … of so many.
        of: Figure,
    },
    /// `odds other 1 of 100`: what a fault that is not listed weighs.
    OddsOther {
        /// So many …
        count: Figure,
        /// … of so many.
        of: Figure,
    },
}

/// The first and the last model year.
pub type Years = (Option<Spanned<u16>>, Option<Spanned<u16>>);

/// `library NAME "title"`
#[derive(Clone, Debug, PartialEq)]
pub struct LibraryDecl {
    /// The library's name.
    pub name: Name,
    /// Its title for people.
    pub title: Text,
}

/// `source NAME "title"`
#[derive(Clone, Debug, PartialEq)]
pub struct SourceDecl {
    /// The name that a `cite` uses.
    pub name: Name,
    /// The document: title, issue, date.
    pub title: Text,
}

/// `use "std/pm-charging"`
#[derive(Clone, Debug, PartialEq)]
pub struct UseDecl {
    /// The library's path as written, without `.truing`.
    pub path: Text,
}

/// `family NAME = …`
#[derive(Clone, Debug, PartialEq)]
pub struct FamilyDecl {
    /// The family's name.
    pub name: Name,
    /// Its members.
    pub members: FamilyMembers,
}

/// What a family consists of.
#[derive(Clone, Debug, PartialEq)]
pub enum FamilyMembers {
    /// `U, V, W` · `1, 2, 3`
    Listed(Vec<Name>),
    /// `pairs of phase`: every unordered pair of different members, in order of declaration.
    PairsOf(Name),
}

/// `property NAME "title" : …` — what the machine is: variant, market, year, serial number.
#[derive(Clone, Debug, PartialEq)]
pub struct PropertyDecl {
    /// The property's name.
    pub name: Name,
    /// Its title for people.
    pub title: Text,
    /// What it can be.
    pub domain: PropertyDomain,
}

/// What a property can be.
#[derive(Clone, Debug, PartialEq)]
pub enum PropertyDomain {
    /// One of these words.
    Words(Vec<Name>),
    /// A figure of this kind (`count` for a serial number or a year).
    Kind(KindName),
}

/// `kind NAME "title" : LIKE` or `kind NAME "title" = UNIT`
#[derive(Clone, Debug, PartialEq)]
pub struct KindDecl {
    /// The new kind's name.
    pub name: Name,
    /// In words.
    pub title: Text,
    /// The kind that it is a sort of: same dimension and units, but never mixed with it.
    pub like: Option<KindName>,
    /// Or the unit whose dimension it has.
    pub unit: Option<UnitText>,
}

/// `unit NAME "title" : KIND = FIGURE`
#[derive(Clone, Debug, PartialEq)]
pub struct UnitDecl {
    /// The new unit's symbol.
    pub name: Name,
    /// In words.
    pub title: Text,
    /// The kind that it measures.
    pub kind: KindName,
    /// One of it, in a known unit.
    pub value: Figure,
}

crate::packed::packed! {
    struct File { items }
    struct Item { doc, kind, span }
    enum ItemKind {
        Spec(a), Library(a), Source(a), Use(a), Family(a), Property(a), Kind(a), Unit(a), Limit(a),
        Constant(a), Instrument(a), Caution(a), State(a), Reading(a), Observation(a), Derived(a),
        Check(a), Fault(a), Fix(a), Learned(a), Procedure(a), Case(a)
    }
    struct SpecDecl { name, title, members }
    enum SpecMember {
        Edition(a), Machine { maker, model, years }, Decide(a), Meter(a), OddsNone { count, of },
        OddsOther { count, of }
    }
    struct LibraryDecl { name, title }
    struct SourceDecl { name, title }
    struct UseDecl { path }
    struct FamilyDecl { name, members }
    enum FamilyMembers { Listed(a), PairsOf(a) }
    struct PropertyDecl { name, title, domain }
    enum PropertyDomain { Words(a), Kind(a) }
    struct KindDecl { name, title, like, unit }
    struct UnitDecl { name, title, kind, value }
}
