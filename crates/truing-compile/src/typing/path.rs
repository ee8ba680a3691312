//! Names in expressions: what they stand for, and which member of a family is meant.

use truing_syntax::Span;
use truing_syntax::tree::Path;
use truing_units::Ty;

use super::{Allowed, Num, NumKind, Typer};
use crate::context::PropertyKind;
use crate::family::{At, FamilyRef, Reported};
use crate::lint;
use crate::names::{Entry, Sort, Wanted};

const NUMBERS: Wanted = Wanted::new(
    &[
        Sort::Reading,
        Sort::Derived,
        Sort::Constant,
        Sort::Property,
        Sort::Observation,
        Sort::Limit,
        Sort::Check,
    ],
    "a reading, a derived quantity or a constant",
);
const CONSTANTS: Wanted =
    Wanted::new(&[Sort::Constant, Sort::Reading, Sort::Derived, Sort::Property], "a constant");

impl<'a> Typer<'_, 'a> {
    /// A name where a number is wanted.
    pub(crate) fn named_number(&self, path: &Path, span: Span) -> Option<Num> {
        let entry = self.number_entry(path)?;
        let num = |kind, ty| Some(Num { kind, ty, span, shown: None });
        match entry.sort {
            Sort::Reading => {
                let measured = self.cx.measured.get(entry.index)?;
                let at = self.at(path, measured.family).ok()?;
                num(NumKind::Measured { index: entry.index, at }, Ty::Kind(measured.kind?))
            }
            Sort::Derived => {
                let family = self.cx.derived.get(entry.index)?.family;
                let at = self.at(path, family);
                let of = self.cx.derived_num(entry.index, path.name.span)?;
                let kind = NumKind::Derived { index: entry.index, at: at.ok()? };
                Some(Num { kind, ty: of.ty, span, shown: of.shown.clone() })
            }
            Sort::Constant => {
                if path.index.is_some() {
                    self.cx.findings.push(lint::wrong_index::no_family(path));
                    return None;
                }
                let of = self.cx.constant_num(entry.index, path.name.span)?;
                Some(Num { span, ..of.clone() })
            }
            _ => {
                let property = self.cx.properties.get(entry.index)?;
                match property.domain.as_ref()? {
                    PropertyKind::Quantity(kind) => {
                        num(NumKind::Property(entry.index), Ty::Kind(*kind))
                    }
                    PropertyKind::Words(_) => {
                        self.cx.findings.push(lint::wrong_sort::words(&path.name, entry));
                        None
                    }
                }
            }
        }
    }

    /// The entry of a name that can be a number here.
    fn number_entry(&self, path: &Path) -> Option<&Entry<'a>> {
        let cx = self.cx;
        let wanted = if self.allowed == Allowed::Constants { CONSTANTS } else { NUMBERS };
        let entry = cx.find(&path.name, wanted)?;
        match entry.sort {
            Sort::Reading | Sort::Derived | Sort::Property
                if self.allowed == Allowed::Constants =>
            {
                cx.findings.push(lint::not_constant::name(&path.name, entry.sort));
                return None;
            }
            Sort::Observation => {
                cx.findings.push(lint::wrong_sort::words(&path.name, entry));
                return None;
            }
            Sort::Limit | Sort::Check => {
                cx.findings.push(lint::wrong_sort::finding(&path.name, entry, NUMBERS.words));
                return None;
            }
            Sort::Reading | Sort::Derived if self.allowed == Allowed::Properties => {
                cx.findings.push(lint::wrong_sort::in_variant(&path.name, entry.sort));
                return None;
            }
            _ => {}
        }
        Some(entry)
    }

    /// Which member is meant, where a name stands without an index too.
    pub(super) fn at(&self, path: &Path, of: FamilyRef) -> Result<At, Reported> {
        if let Some(at) = self.cx.written_index(path, of, self.current)? {
            return Ok(at);
        }
        let Ok(Some(of)) = of else { return Err(Reported) };
        let mut each = self.each.borrow_mut();
        if let Some(running) = each.last_mut() {
            match running {
                None => {
                    *running = Some(of);
                    return Ok(At::Each);
                }
                Some(running) if *running == of => return Ok(At::Each),
                Some(running) => {
                    let (running, of) = (self.cx.family_name(*running), self.cx.family_name(of));
                    self.cx.findings.push(lint::wrong_index::two_families(path, running, of));
                    return Err(Reported);
                }
            }
        }
        if self.current == Some(of) {
            return Ok(At::Current);
        }
        self.cx.findings.push(lint::wrong_index::missing(path, self.cx.family(of)));
        Err(Reported)
    }

    /// Runs `inside` as the argument of a fold or the body of a quantifier; gives what it made and
    /// the family that ran.
    pub(super) fn every<T>(&self, inside: impl FnOnce() -> Option<T>) -> Option<super::Every<T>> {
        self.each.borrow_mut().push(None);
        let body = inside();
        let over = self.each.borrow_mut().pop().flatten();
        Some(super::Every { over, body: body? })
    }
}
