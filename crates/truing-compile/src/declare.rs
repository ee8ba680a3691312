//! The items of all files by sort, their names in one namespace.

use std::cell::{Cell, OnceCell, RefCell};
use std::collections::{BTreeSet, HashMap};

use truing_syntax::tree::{
    ConstantDecl, FamilyMembers, File, ItemKind, LimitDecl, Name, PropertyDecl, PropertyDomain,
};
use truing_units::Catalogue;

use crate::body::Bodies;
use crate::context::{
    CheckItem, ConstantItem, Context, DerivedItem, Findings, LimitItem, Measured, MeasuredDecl,
    PropertyItem, PropertyKind,
};
use crate::family::{self, Family, FamilyId, FamilyRef, Reported};
use crate::files::Files;
use crate::names::{Entry, Scope, Sort};
use crate::{lint, own};

/// Collects everything that is declared.
pub(crate) fn declare(files: &Files) -> Context<'_> {
    let mut declare = Declare { cx: empty(files), file: 0, slots: 0, check_ids: 0 };
    for member in &files.members {
        for name in &member.parsed.unread {
            declare.cx.scope.unread(name);
        }
    }
    if files.incomplete {
        declare.cx.scope.incomplete();
    }
    own::add(&mut declare.cx);
    for pass in [Declare::families, Declare::pairs, Declare::items] {
        for (index, member) in files.members.iter().enumerate() {
            declare.file = index;
            pass(&mut declare, &member.parsed.tree);
        }
    }
    header(&mut declare.cx);
    declare.cx
}

fn empty(files: &Files) -> Context<'_> {
    Context {
        files,
        catalogue: Catalogue::standard(),
        own_kinds: Vec::new(),
        own_units: Vec::new(),
        findings: Findings::default(),
        is_library: false,
        spec: None,
        scope: Scope::default(),
        sources: Vec::new(),
        families: Vec::new(),
        properties: Vec::new(),
        cautions: Vec::new(),
        states: Vec::new(),
        measured: Vec::new(),
        constants: Vec::new(),
        limits: Vec::new(),
        inline: RefCell::new(Vec::new()),
        derived: Vec::new(),
        checks: Vec::new(),
        faults: Vec::new(),
        fixes: Vec::new(),
        learned: Vec::new(),
        procedures: Vec::new(),
        bodies: Bodies::default(),
        instruments: Vec::new(),
        cases: Vec::new(),
        units: RefCell::new(HashMap::new()),
        depth: Cell::new(0),
        broken_kinds: BTreeSet::new(),
        broken_units: BTreeSet::new(),
    }
}

/// Every file has one header; a used file's is a library's.
fn header(cx: &mut Context<'_>) {
    let main = cx.files.main_index();
    for (index, member) in cx.files.members.iter().enumerate() {
        let mut first = None;
        for item in &member.parsed.tree.items {
            let name = match &item.kind {
                ItemKind::Spec(decl) => &decl.name,
                ItemKind::Library(decl) => &decl.name,
                _ => continue,
            };
            if let Some(first) = first {
                cx.findings.push(lint::header_twice::finding(name.span, first));
                continue;
            }
            first = Some(name.span);
            match &item.kind {
                ItemKind::Spec(decl) if index == main => cx.spec = Some(decl),
                ItemKind::Spec(_) => {
                    cx.findings.push(lint::library_not_found::a_spec(name, member.brought_by));
                }
                _ => cx.is_library |= index == main,
            }
        }
        if first.is_none() && member.parsed.findings.is_empty() {
            cx.findings.push(lint::header_missing::finding(&member.parsed));
        }
    }
}

struct Declare<'a> {
    cx: Context<'a>,
    file: usize,
    slots: u32,
    check_ids: u32,
}

impl<'a> Declare<'a> {
    fn families(&mut self, tree: &'a File) {
        for item in &tree.items {
            if let ItemKind::Family(decl) = &item.kind {
                let family = match &decl.members {
                    FamilyMembers::Listed(names) => family::listed(decl, names, &self.cx.findings),
                    // INVARIANT: filled by the next pass, which sees every listed family.
                    FamilyMembers::PairsOf(_) => {
                        Family { name: &decl.name, members: Vec::new(), base: None, broken: true }
                    }
                };
                if self.name(Sort::Family, self.cx.families.len(), &decl.name) {
                    self.cx.families.push(family);
                }
            }
        }
    }

    fn pairs(&mut self, tree: &'a File) {
        for item in &tree.items {
            let ItemKind::Family(decl) = &item.kind else { continue };
            let Some(base_name) = family::resolve_base(decl) else { continue };
            let own =
                self.cx.families.iter().position(|family| std::ptr::eq(family.name, &decl.name));
            let Some(own) = own else { continue };
            let Ok(Some(base)) = self.family(Some(base_name)) else { continue };
            let Some(of) = self.cx.family(base) else { continue };
            if of.broken || of.members.iter().any(|member| member.parts.is_some()) {
                self.cx.findings.push(lint::wrong_index::pairs_of_pairs(base_name));
                continue;
            }
            let family = family::pairs(decl, base, of, &self.cx.findings);
            if let Some(place) = self.cx.families.get_mut(own) {
                *place = family;
            }
        }
    }

    fn items(&mut self, tree: &'a File) {
        for item in &tree.items {
            self.item(&item.kind);
        }
    }

    fn item(&mut self, item: &'a ItemKind) {
        match item {
            ItemKind::Source(decl) => {
                if self.name(Sort::Source, self.cx.sources.len(), &decl.name) {
                    self.cx.sources.push(decl);
                }
            }
            ItemKind::Property(decl) => self.property(decl),
            ItemKind::Limit(decl) => self.limit(decl),
            ItemKind::Constant(decl) => self.constant(decl),
            ItemKind::Instrument(decl) => {
                if self.name(Sort::Instrument, self.cx.instruments.len(), &decl.name) {
                    self.cx.instruments.push(decl);
                }
            }
            ItemKind::Caution(decl) => {
                if self.name(Sort::Caution, self.cx.cautions.len(), &decl.name) {
                    self.cx.cautions.push(decl);
                }
            }
            ItemKind::State(decl) => {
                if self.name(Sort::State, self.cx.states.len(), &decl.name) {
                    self.cx.states.push(decl);
                }
            }
            ItemKind::Reading(decl) => {
                let kind = self.cx.kind(&decl.kind);
                let what = MeasuredDecl::Reading(decl);
                self.measured(Sort::Reading, &decl.name, decl.family.as_ref(), kind, what);
            }
            ItemKind::Observation(decl) => {
                let what = MeasuredDecl::Observation(decl);
                self.measured(Sort::Observation, &decl.name, decl.family.as_ref(), None, what);
            }
            ItemKind::Derived(decl) => {
                if self.name(Sort::Derived, self.cx.derived.len(), &decl.name) {
                    let family = self.family(decl.family.as_ref());
                    self.cx.derived.push(DerivedItem {
                        decl,
                        family,
                        checked: OnceCell::new(),
                        asking: Cell::new(false),
                        shown_in: RefCell::new(None),
                    });
                }
            }
            ItemKind::Check(decl) => {
                if self.name(Sort::Check, self.cx.checks.len(), &decl.name) {
                    let family = self.family(decl.family.as_ref());
                    let first_check = self.check_ids;
                    self.check_ids += self.cx.size(family) as u32;
                    self.cx.checks.push(CheckItem {
                        decl,
                        family,
                        first_check,
                        rule: OnceCell::new(),
                        when: RefCell::new(Vec::new()),
                        applies: RefCell::new(Vec::new()),
                    });
                }
            }
            ItemKind::Fault(decl) => {
                if self.name(Sort::Fault, self.cx.faults.len(), &decl.name) {
                    let family = self.family(decl.family.as_ref());
                    self.cx.faults.push((decl, family));
                }
            }
            ItemKind::Fix(decl) => {
                if self.name(Sort::Fix, self.cx.fixes.len(), &decl.name) {
                    self.cx.fixes.push(decl);
                }
            }
            ItemKind::Learned(decl) => self.cx.learned.push(decl),
            ItemKind::Procedure(decl) => {
                if self.name(Sort::Procedure, self.cx.procedures.len(), &decl.name) {
                    self.cx.procedures.push(decl);
                }
            }
            ItemKind::Case(decl) if self.file == self.cx.files.main_index() => {
                self.cx.cases.push(decl);
            }
            ItemKind::Case(_)
            | ItemKind::Spec(_)
            | ItemKind::Library(_)
            | ItemKind::Use(_)
            | ItemKind::Family(_)
            | ItemKind::Kind(_)
            | ItemKind::Unit(_) => {}
        }
    }

    fn property(&mut self, decl: &'a PropertyDecl) {
        if !self.name(Sort::Property, self.cx.properties.len(), &decl.name) {
            return;
        }
        let domain = match &decl.domain {
            PropertyDomain::Words(words) => {
                lint::family_repeats::words(words, &self.cx.findings);
                Some(PropertyKind::Words(words))
            }
            PropertyDomain::Kind(kind) => self.cx.kind(kind).map(PropertyKind::Quantity),
        };
        self.cx.properties.push(PropertyItem { decl, domain });
    }

    fn measured(
        &mut self,
        sort: Sort,
        name: &'a Name,
        family: Option<&'a Name>,
        kind: Option<truing_units::Kind>,
        what: MeasuredDecl<'a>,
    ) {
        if !self.name(sort, self.cx.measured.len(), name) {
            return;
        }
        if let MeasuredDecl::Observation(decl) = what {
            lint::family_repeats::words(&decl.words, &self.cx.findings);
        }
        let family = self.family(family);
        let first_slot = self.slots;
        self.slots += self.cx.size(family) as u32;
        self.cx.measured.push(Measured {
            what,
            family,
            kind,
            first_slot,
            frequency: OnceCell::new(),
        });
    }

    fn limit(&mut self, decl: &'a LimitDecl) {
        if let Some(index) = self.filled(Sort::Limit, &decl.name) {
            if let Some(item) = self.cx.limits.get_mut(index) {
                item.fill = Some(decl);
            }
            return;
        }
        if self.name(Sort::Limit, self.cx.limits.len(), &decl.name) {
            self.cx.limits.push(LimitItem {
                first: decl,
                fill: None,
                kind: OnceCell::new(),
                checked: OnceCell::new(),
                asking: Cell::new(false),
            });
        }
    }

    fn constant(&mut self, decl: &'a ConstantDecl) {
        if let Some(index) = self.filled(Sort::Constant, &decl.name) {
            if let Some(item) = self.cx.constants.get_mut(index) {
                item.fill = Some(decl);
            }
            return;
        }
        if self.name(Sort::Constant, self.cx.constants.len(), &decl.name) {
            self.cx.constants.push(ConstantItem {
                first: decl,
                fill: None,
                checked: OnceCell::new(),
                asking: Cell::new(false),
            });
        }
    }

    /// The item of a library that a declaration in this file fills or replaces: one of the same
    /// sort, from a file that this one uses.
    fn filled(&self, sort: Sort, name: &Name) -> Option<usize> {
        let entry = self.cx.scope.get(&name.node)?;
        let uses = &self.cx.files.members.get(self.file)?.uses;
        let here = self.cx.files.members.get(self.file)?.parsed.id;
        let filled_here = match sort {
            Sort::Limit => self.cx.limits.get(entry.index)?.fill.map(|decl| decl.name.span.file),
            _ => self.cx.constants.get(entry.index)?.fill.map(|decl| decl.name.span.file),
        };
        let fills = entry.sort == sort && uses.contains(&entry.file) && filled_here != Some(here);
        fills.then_some(entry.index)
    }

    /// Enters a name; false, with a finding, where it stands for something already.
    fn name(&mut self, sort: Sort, index: usize, name: &'a Name) -> bool {
        if let Some(entry) = self.cx.scope.get(&name.node) {
            let filled = match entry.sort {
                Sort::Limit => {
                    self.cx.limits.get(entry.index).and_then(|l| l.fill).map(|d| &d.name)
                }
                Sort::Constant => {
                    self.cx.constants.get(entry.index).and_then(|c| c.fill).map(|d| &d.name)
                }
                _ => None,
            };
            let first = filled.unwrap_or(entry.name);
            let elsewhere = match first.span.file == name.span.file {
                true => None,
                false => self.cx.files.of(first.span.file).map(|file| file.parsed.name.clone()),
            };
            let finding = match filled {
                Some(first) if sort == entry.sort => {
                    lint::defined_twice::filled(name, first, elsewhere)
                }
                _ => lint::defined_twice::finding(name, first, entry.sort, elsewhere),
            };
            self.cx.findings.push(finding);
            return false;
        }
        let used = Cell::new(false);
        self.cx.scope.insert(Entry { sort, index, name, file: self.file, used });
        true
    }

    fn family(&self, name: Option<&Name>) -> FamilyRef {
        const FAMILY: crate::names::Wanted = crate::names::Wanted::new(&[Sort::Family], "a family");
        match name {
            None => Ok(None),
            Some(name) => match self.cx.find(name, FAMILY) {
                Some(entry) => Ok(Some(FamilyId(entry.index))),
                None => Err(Reported),
            },
        }
    }
}
