//! Cases: readings, and what must come of them.

use std::collections::BTreeMap;

use truing_model::{
    Case, CheckId, Expectation, Outcome, OutcomePattern, PropertyId, Reading, Side, SlotId,
    SlotKind,
};
use truing_syntax::tree::{self, CaseDecl, CaseMember, Figure, OutcomeWord, Path, ReadingValue};
use truing_syntax::{Span, Spanned};
use truing_units::{Measure, Ty};

use super::checks::{coherent, labelled};
use super::{Lowering, decide};
use crate::family::{At, FamilyRef};
use crate::limit::holds;
use crate::lint;
use crate::names::{Entry, Sort, Wanted};
use crate::reading;
use crate::typing::{Allowed, Place, Typer, Value};

const GIVEN: Wanted =
    Wanted::new(&[Sort::Reading, Sort::Observation, Sort::Property], "a reading or a property");
const CHECK: Wanted = Wanted::new(&[Sort::Check], "a check");
const VALUE: Wanted =
    Wanted::new(&[Sort::Derived, Sort::Reading], "a derived quantity or a reading");
const FAULT: Wanted = Wanted::new(&[Sort::Fault], "a fault");
const METER: Wanted = Wanted::new(&[Sort::Instrument], "an instrument");

impl<'a> Lowering<'_, 'a> {
    pub(super) fn cases(&mut self) {
        let mut names: BTreeMap<&str, Span> = BTreeMap::new();
        for decl in &self.cx.cases {
            if let Some(first) = names.insert(&decl.name.node, decl.name.span) {
                let finding = lint::defined_twice::given(decl.name.span, first, &decl.name.node);
                self.cx.findings.push(finding);
            }
            let case = self.case(decl);
            self.parts.cases.push(case);
        }
    }

    fn case(&mut self, decl: &CaseDecl) -> Case {
        let cx = self.cx;
        let mut case = Case {
            name: decl.name.node.to_string(),
            title: decl.title.node.to_string(),
            place: self.place(decl.name.span),
            readings: Vec::new(),
            properties: Vec::new(),
            decide: None,
            meter: None,
            expectations: Vec::new(),
        };
        let mut given: BTreeMap<(bool, u32), Span> = BTreeMap::new();
        let mut expects = false;
        for member in &decl.members {
            match member {
                CaseMember::Meter(name) => {
                    if cx.find(name, METER).is_some() {
                        case.meter = Some(name.node.to_string());
                    }
                }
                CaseMember::Decide(rule) => {
                    cx.decide(rule);
                    case.decide = decide(cx, &rule.node);
                }
                CaseMember::Given { path, value } => {
                    let blocked = expects_blocked(decl);
                    self.given(&mut case, path, value, &mut given, blocked);
                }
                CaseMember::Expect(expectation) => {
                    expects = true;
                    let lowered = self.expectation(expectation);
                    case.expectations.extend(lowered);
                }
                CaseMember::Note(_) => {}
            }
        }
        if !expects && !cx.is_torn(decl.name.span) {
            cx.findings.push(lint::case_expects_nothing::finding(&decl.name));
        }
        case
    }

    /// "file:line", for people.
    ///
    /// Cases stand in one file and come in its order: the lines are counted from case to case.
    fn place(&mut self, span: Span) -> String {
        let Some(member) = self.cx.files.of(span.file) else { return String::new() };
        let at = span.start as usize;
        let (from, breaks) = if self.counted.0 <= at { self.counted } else { (0, 0) };
        let between = member.parsed.text.get(from..at).unwrap_or("");
        let breaks = breaks + between.bytes().filter(|byte| *byte == b'\n').count();
        self.counted = (at, breaks);
        format!("{}:{}", member.parsed.name, breaks + 1)
    }

    /// The entry of a name, which a case does not count as a use.
    fn peek(&self, path: &Path, wanted: Wanted) -> Option<&Entry<'a>> {
        let before = self.cx.scope.get(&path.name.node).map(|entry| entry.used.get());
        let entry = self.cx.find(&path.name, wanted);
        if let (Some(entry), Some(before)) = (self.cx.scope.get(&path.name.node), before) {
            entry.used.set(before);
        }
        entry
    }

    fn given(
        &self,
        case: &mut Case,
        path: &Path,
        value: &ReadingValue,
        given: &mut BTreeMap<(bool, u32), Span>,
        blocked: bool,
    ) {
        let cx = self.cx;
        let Some(entry) = self.peek(path, GIVEN) else { return };
        if entry.sort == Sort::Property {
            if path.index.is_some() {
                cx.findings.push(lint::wrong_index::no_family(path));
            }
            let Some(property) = self.parts.properties.get(entry.index) else { return };
            // A property whose kind is unknown has its finding.
            if cx.properties.get(entry.index).is_none_or(|item| item.domain.is_none()) {
                return;
            }
            let id = entry.index as u32;
            self.once(given, (true, id), path, &property.name);
            match reading::property_value(&cx.catalogue, &property.name, &property.domain, value) {
                Ok(value) => case.properties.push((PropertyId(id), value)),
                Err(finding) => cx.findings.push(finding),
            }
            return;
        }
        let Some(measured) = cx.measured.get(entry.index) else { return };
        if entry.sort == Sort::Reading && measured.kind.is_none() {
            return;
        }
        let Some(members) = self.members(path, measured.family) else { return };
        let mut reported = false;
        for member in members {
            let id = measured.first_slot + member as u32;
            let Some(slot) = self.parts.slots.get(id as usize) else { continue };
            self.once(given, (false, id), path, &slot.label);
            match reading::reading(&cx.catalogue, slot, value) {
                Ok(reading) => {
                    if !reported && !blocked && implausible(&slot.kind, &reading) {
                        reported = true;
                        let printed = match &slot.kind {
                            SlotKind::Quantity { plausible_printed, .. } => {
                                plausible_printed.as_deref()
                            }
                            SlotKind::Words(_) => None,
                        };
                        let finding = lint::case_implausible::finding(
                            value.span,
                            &slot.label,
                            printed.unwrap_or_default(),
                        );
                        cx.findings.push(finding);
                    }
                    case.readings.push((SlotId(id), reading));
                }
                Err(finding) if !reported => {
                    reported = true;
                    cx.findings.push(finding);
                }
                Err(_) => {}
            }
        }
    }

    fn once(
        &self,
        given: &mut BTreeMap<(bool, u32), Span>,
        key: (bool, u32),
        path: &Path,
        label: &str,
    ) {
        if let Some(first) = given.insert(key, path.span) {
            self.cx.findings.push(lint::defined_twice::given(path.span, first, label));
        }
    }

    /// The members that a path means: one, or all where no index is written.
    fn members(&self, path: &Path, family: FamilyRef) -> Option<Vec<usize>> {
        match self.cx.written_index(path, family, None).ok()? {
            Some(At::Fixed(member)) => Some(vec![member]),
            Some(At::Whole) => Some(vec![0]),
            Some(_) => None,
            None => Some((0..self.cx.size(family)).collect()),
        }
    }

    fn expectation(&mut self, expectation: &Spanned<tree::Expectation>) -> Vec<Expectation> {
        match &expectation.node {
            tree::Expectation::Outcome { check, outcome } => self.outcome(check, outcome),
            tree::Expectation::Value { path, value } => self.value(path, value),
            tree::Expectation::Suspect { fault, first, at_least } => {
                let cx = self.cx;
                let entry = self.peek(fault, FAULT);
                let share = at_least.as_ref().map(|figure| (cx.ratio(figure), figure.span));
                if let Some((Some(share), span)) = share
                    && !(share > 0.0 && share <= 1.0)
                {
                    cx.findings.push(lint::chance_outside::chance(span));
                }
                let Some(entry) = entry else { return Vec::new() };
                let Some((_, family)) = cx.faults.get(entry.index) else { return Vec::new() };
                if cx.written_index(fault, *family, None).is_err() {
                    return Vec::new();
                }
                let index = entry.index;
                vec![Expectation::Suspect {
                    fault: cx.files.printed(fault.span),
                    faults: self.fault_ids(fault, index),
                    first: *first,
                    at_least: share.and_then(|(share, _)| share),
                }]
            }
        }
    }

    fn outcome(&self, path: &Path, outcome: &Spanned<OutcomeWord>) -> Vec<Expectation> {
        let cx = self.cx;
        let Some(entry) = self.peek(path, CHECK) else { return Vec::new() };
        let Some(item) = cx.checks.get(entry.index) else { return Vec::new() };
        let Some(members) = self.members(path, item.family) else { return Vec::new() };
        if let Some(rule) = item.rule.get().and_then(Option::as_ref) {
            let possible = cx.possible(rule);
            let why = match outcome.node {
                OutcomeWord::OutsideLow if !possible.low => Some("it has no lower end"),
                OutcomeWord::OutsideHigh if !possible.high => Some("it has no upper end"),
                OutcomeWord::Worn if !possible.worn => Some("it has no service limit"),
                _ => None,
            };
            if let Some(why) = why {
                let span = path.span.to(outcome.span);
                let outside = |word: &'static str| match word {
                    "low" => "outside low",
                    "high" => "outside high",
                    "fail" => "outside",
                    other => other,
                };
                let can = possible.words().into_iter().map(outside);
                let can: Vec<&str> = std::iter::once("within").chain(can).collect();
                let finding =
                    lint::expectation_impossible::finding(span, &path.name.node, why, &can);
                cx.findings.push(finding);
            }
        }
        let expected = pattern(outcome.node);
        let id = |member: usize| CheckId(item.first_check + member as u32);
        members
            .into_iter()
            .map(|member| Expectation::Outcome { check: id(member), expected })
            .collect()
    }

    fn value(&mut self, path: &Path, figure: &Figure) -> Vec<Expectation> {
        let cx = self.cx;
        let Some(entry) = self.peek(path, VALUE) else { return Vec::new() };
        let (index, derived) = (entry.index, entry.sort == Sort::Derived);
        let (family, ty) = if derived {
            let Some(item) = cx.derived.get(index) else { return Vec::new() };
            let Some(num) = item.checked.get().and_then(Option::as_ref) else { return Vec::new() };
            (item.family, num.ty)
        } else {
            let Some(item) = cx.measured.get(index) else { return Vec::new() };
            let Some(kind) = item.kind else { return Vec::new() };
            (item.family, Ty::Kind(kind))
        };
        let what = format!("`{}` is", path.name.node);
        let said = lint::Said::named(path.span, what, ty);
        let typer = Typer::new(cx, None, Allowed::Constants);
        let typed = typer.literal(figure, Some(&Place { ty, said, soft: false }));
        let Some(members) = self.members(path, family) else { return Vec::new() };
        let Some(typed) = typed else { return Vec::new() };
        let unit = typed.shown.clone().unwrap_or_else(|| coherent(cx, ty));
        if let (true, Some(item)) = (derived, cx.derived.get(index)) {
            item.shown_in.borrow_mut().get_or_insert_with(|| unit.clone());
        }
        let expected = Measure { figure: figure.number, unit };
        let value = typed.constant().map_or(f64::NAN, |value| value.value);
        let mut out = Vec::new();
        for member in members {
            let number = if derived {
                self.derived_node(index, member)
            } else {
                cx.measured.get(index).map(|item| self.slot_node(item.first_slot + member as u32))
            };
            let Some(number) = number else { continue };
            out.push(Expectation::Value {
                label: labelled(&path.name.node, cx.member_label(family, member)),
                number,
                half_step: expected.half_step(),
                expected: expected.clone(),
                value,
            });
        }
        out
    }
}

fn expects_blocked(decl: &CaseDecl) -> bool {
    decl.members.iter().any(|member| match member {
        CaseMember::Expect(expectation) => matches!(
            &expectation.node,
            tree::Expectation::Outcome { outcome, .. } if outcome.node == OutcomeWord::Blocked
        ),
        _ => false,
    })
}

/// Whether a single figure lies outside the plausible band.
fn implausible(kind: &SlotKind, reading: &Reading) -> bool {
    match (kind, reading) {
        (SlotKind::Quantity { plausible: Some(band), .. }, Reading::Figure(shown)) => {
            !holds(band, Value { value: shown.value, exact: shown.exact })
        }
        _ => false,
    }
}

const fn pattern(word: OutcomeWord) -> OutcomePattern {
    match word {
        OutcomeWord::Within => OutcomePattern::Exactly(Outcome::Within),
        OutcomeWord::Worn => OutcomePattern::Exactly(Outcome::Worn),
        OutcomeWord::Outside | OutcomeWord::Fails => OutcomePattern::Outside,
        OutcomeWord::OutsideLow => OutcomePattern::Exactly(Outcome::Outside(Some(Side::Low))),
        OutcomeWord::OutsideHigh => OutcomePattern::Exactly(Outcome::Outside(Some(Side::High))),
        OutcomeWord::Undecided => OutcomePattern::Exactly(Outcome::Undecided),
        OutcomeWord::Blocked => OutcomePattern::Exactly(Outcome::Blocked),
        OutcomeWord::NotTaken => OutcomePattern::Exactly(Outcome::NotTaken),
        OutcomeWord::NotApplicable => OutcomePattern::Exactly(Outcome::NotApplicable),
        OutcomeWord::Passes => OutcomePattern::Passes,
    }
}
