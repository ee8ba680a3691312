//! All that is known of one check: the items by sort, the catalogue, the findings so far.

use std::cell::{Cell, OnceCell, RefCell};
use std::collections::{BTreeSet, HashMap};
use std::sync::Arc;

use truing_syntax::tree::{
    CaseDecl, CautionDecl, CheckDecl, ConstantDecl, DerivedDecl, FaultDecl, FixDecl,
    InstrumentDecl, KindName, LearnedDecl, LimitDecl, Name, ObservationDecl, ProcedureDecl,
    PropertyDecl, ReadingDecl, ReadingMember, SourceDecl, SpecDecl, StateDecl, Text, UnitText,
};
use truing_syntax::{Diagnostic, Severity, Span};
use truing_units::{Catalogue, Kind, Unit};

use crate::body::Bodies;
use crate::family::{Family, FamilyRef};
use crate::files::Files;
use crate::limit::LimitIr;
use crate::lint;
use crate::names::{Entry, Scope, Wanted};
use crate::typing::{Logic, Num};

/// What was found so far.
#[derive(Debug, Default)]
pub(crate) struct Findings(RefCell<Vec<Diagnostic>>);

impl Findings {
    pub(crate) fn push(&self, finding: Diagnostic) {
        self.0.borrow_mut().push(finding);
    }

    pub(crate) fn extend(&self, findings: impl IntoIterator<Item = Diagnostic>) {
        self.0.borrow_mut().extend(findings);
    }

    pub(crate) fn take(&self) -> Vec<Diagnostic> {
        std::mem::take(&mut self.0.borrow_mut())
    }

    pub(crate) fn has_errors(&self) -> bool {
        self.0.borrow().iter().any(|finding| finding.severity() == Severity::Error)
    }
}

/// A property with its domain resolved; `None` where the kind is unknown.
#[derive(Debug)]
pub(crate) struct PropertyItem<'a> {
    pub decl: &'a PropertyDecl,
    pub domain: Option<PropertyKind<'a>>,
}

/// What a property can be.
#[derive(Debug)]
pub(crate) enum PropertyKind<'a> {
    Words(&'a [Name]),
    Quantity(Kind),
}

/// A reading or an observation.
#[derive(Debug)]
pub(crate) struct Measured<'a> {
    pub what: MeasuredDecl<'a>,
    pub family: FamilyRef,
    /// Of a reading; `None` where the kind is unknown.
    pub kind: Option<Kind>,
    /// The slot of its first member.
    pub first_slot: u32,
    /// The frequency that it is read at, once it is typed.
    pub frequency: OnceCell<Option<Num>>,
}

/// The two sorts of thing that are read.
#[derive(Copy, Clone, Debug)]
pub(crate) enum MeasuredDecl<'a> {
    Reading(&'a ReadingDecl),
    Observation(&'a ObservationDecl),
}

impl<'a> Measured<'a> {
    pub(crate) fn name(&self) -> &'a Name {
        match self.what {
            MeasuredDecl::Reading(decl) => &decl.name,
            MeasuredDecl::Observation(decl) => &decl.name,
        }
    }

    pub(crate) fn title(&self) -> &'a Text {
        match self.what {
            MeasuredDecl::Reading(decl) => &decl.title,
            MeasuredDecl::Observation(decl) => &decl.title,
        }
    }

    pub(crate) fn members(&self) -> &'a [ReadingMember] {
        match self.what {
            MeasuredDecl::Reading(decl) => &decl.members,
            MeasuredDecl::Observation(decl) => &decl.members,
        }
    }

    pub(crate) fn words(&self) -> Option<&'a [Name]> {
        match self.what {
            MeasuredDecl::Reading(_) => None,
            MeasuredDecl::Observation(decl) => Some(&decl.words),
        }
    }
}

/// A limit: where it was declared first, and what a later file fills it with.
#[derive(Debug)]
pub(crate) struct LimitItem<'a> {
    pub first: &'a LimitDecl,
    /// What a file that uses the first one's says of it.
    pub fill: Option<&'a LimitDecl>,
    pub kind: OnceCell<Option<Kind>>,
    pub checked: OnceCell<Option<LimitIr>>,
    pub asking: Cell<bool>,
}

impl<'a> LimitItem<'a> {
    /// The declaration whose value counts.
    pub(crate) fn valued(&self) -> &'a LimitDecl {
        match self.fill {
            Some(fill) if fill.value.is_some() => fill,
            _ => self.first,
        }
    }
}

/// A constant, likewise.
#[derive(Debug)]
pub(crate) struct ConstantItem<'a> {
    pub first: &'a ConstantDecl,
    pub fill: Option<&'a ConstantDecl>,
    pub checked: OnceCell<Option<Num>>,
    pub asking: Cell<bool>,
}

impl<'a> ConstantItem<'a> {
    /// The declaration whose value counts.
    pub(crate) fn valued(&self) -> &'a ConstantDecl {
        match self.fill {
            Some(fill) if fill.value.is_some() => fill,
            _ => self.first,
        }
    }
}

/// A derived quantity.
#[derive(Debug)]
pub(crate) struct DerivedItem<'a> {
    pub decl: &'a DerivedDecl,
    pub family: FamilyRef,
    pub checked: OnceCell<Option<Num>>,
    pub asking: Cell<bool>,
    /// The unit of the limit that it is judged by, or that a case expects it in.
    pub shown_in: RefCell<Option<Unit>>,
}

/// A check with its parts once they are typed.
#[derive(Debug)]
pub(crate) struct CheckItem<'a> {
    pub decl: &'a CheckDecl,
    pub family: FamilyRef,
    /// The id of its first member.
    pub first_check: u32,
    pub rule: OnceCell<Option<Logic>>,
    pub when: RefCell<Vec<Logic>>,
    pub applies: RefCell<Vec<Logic>>,
}

/// All that is known.
#[derive(Debug)]
pub(crate) struct Context<'a> {
    pub files: &'a Files,
    pub catalogue: Catalogue,
    pub own_kinds: Vec<truing_model::OwnKind>,
    pub own_units: Vec<truing_model::OwnUnit>,
    pub findings: Findings,
    pub is_library: bool,
    pub spec: Option<&'a SpecDecl>,
    pub scope: Scope<'a>,
    pub sources: Vec<&'a SourceDecl>,
    pub families: Vec<Family<'a>>,
    pub properties: Vec<PropertyItem<'a>>,
    pub cautions: Vec<&'a CautionDecl>,
    pub states: Vec<&'a StateDecl>,
    pub measured: Vec<Measured<'a>>,
    pub constants: Vec<ConstantItem<'a>>,
    pub limits: Vec<LimitItem<'a>>,
    /// Limits written inside checks, in the order in which they were met.
    pub inline: RefCell<Vec<LimitIr>>,
    pub derived: Vec<DerivedItem<'a>>,
    pub checks: Vec<CheckItem<'a>>,
    pub faults: Vec<(&'a FaultDecl, FamilyRef)>,
    pub fixes: Vec<&'a FixDecl>,
    /// What was learned, of all files.
    pub learned: Vec<&'a LearnedDecl>,
    pub procedures: Vec<&'a ProcedureDecl>,
    /// What the bodies of checks, faults, fixes and procedures say, once it is known.
    pub bodies: Bodies,
    pub instruments: Vec<&'a InstrumentDecl>,
    /// The cases of the main file.
    pub cases: Vec<&'a CaseDecl>,
    pub units: RefCell<HashMap<Arc<str>, Unit>>,
    /// How many definitions are being worked out, each for the one before it.
    pub depth: Cell<u32>,
    /// Kinds and units that are declared with a mistake: their use says nothing more.
    pub broken_kinds: BTreeSet<Arc<str>>,
    pub broken_units: BTreeSet<Arc<str>>,
}

impl<'a> Context<'a> {
    /// The entry of a name of a wanted sort; else a finding.
    pub(crate) fn find(&self, name: &Name, wanted: Wanted) -> Option<&Entry<'a>> {
        self.scope.find(name, wanted, &self.findings)
    }

    /// The unit that is written here; else a finding.
    pub(crate) fn unit(&self, text: &UnitText) -> Option<Unit> {
        if let Some(unit) = self.units.borrow().get(&text.node) {
            return Some(unit.clone());
        }
        match self.catalogue.unit(&text.node) {
            Ok(unit) => {
                self.units.borrow_mut().insert(text.node.clone(), unit.clone());
                Some(unit)
            }
            Err(_) if self.broken_units.contains(&text.node) => None,
            Err(error) => {
                self.findings.push(lint::unknown_unit::finding(text, &error));
                None
            }
        }
    }

    /// The kind that is named here; else a finding.
    pub(crate) fn kind(&self, name: &KindName) -> Option<Kind> {
        let kind = self.catalogue.kind_named(&name.node);
        if kind.is_none() && !self.broken_kinds.contains(&name.node) {
            let nearest = self.catalogue.nearest_kind(&name.node);
            self.findings.push(lint::unknown_kind::finding(name, nearest.as_deref()));
        }
        kind
    }

    /// Whether part of the item around the span could not be read: what is missing from it may
    /// stand there.
    pub(crate) fn is_torn(&self, span: Span) -> bool {
        self.files.of(span.file).is_some_and(|file| {
            file.parsed.torn.iter().any(|item| item.start <= span.start && span.end <= item.end)
        })
    }

    /// Whether the span stands in the file that is checked.
    pub(crate) fn is_main(&self, span: Span) -> bool {
        self.files.main().is_some_and(|main| main.parsed.id == span.file)
    }
}
