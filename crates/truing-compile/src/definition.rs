//! Constants and derived quantities, each typed when it is first asked for.

use truing_syntax::Span;
use truing_syntax::tree::Name;
use truing_units::Ty;

use crate::context::Context;
use crate::lint;
use crate::typing::{Allowed, Num, NumKind, Typer, Value, kind_place};

/// So long a chain of definitions may be, each resting on the next; the walk of one is recursive.
const MAX_DEPTH: u32 = 100;

impl Context<'_> {
    /// Works out a definition, unless it rests on too long a chain of others.
    pub(crate) fn deeper<T>(&self, name: &Name, work: impl FnOnce() -> Option<T>) -> Option<T> {
        if self.depth.get() >= MAX_DEPTH {
            self.findings.push(lint::check_cycle::too_long(name, MAX_DEPTH));
            return None;
        }
        self.depth.set(self.depth.get() + 1);
        let worked_out = work();
        self.depth.set(self.depth.get() - 1);
        worked_out
    }

    /// A constant's number: a value, or one of its kind that a library leaves open.
    pub(crate) fn constant_num(&self, index: usize, asked_at: Span) -> Option<&Num> {
        let item = self.constants.get(index)?;
        if let Some(known) = item.checked.get() {
            return known.as_ref();
        }
        if item.asking.replace(true) {
            self.findings.push(lint::check_cycle::definition(&item.first.name, asked_at));
            return None;
        }
        let checked = self.deeper(&item.first.name, || self.checked_constant(index));
        item.asking.set(false);
        item.checked.get_or_init(|| checked).as_ref()
    }

    fn checked_constant(&self, index: usize) -> Option<Num> {
        let item = self.constants.get(index)?;
        let decl = item.valued();
        self.cites(&decl.cites);
        let again = item.fill.and_then(|fill| fill.kind.as_ref());
        let written = item.first.kind.as_ref().or(again);
        let kind = match written {
            Some(name) => Some(self.kind(name)?),
            None => None,
        };
        let typer = Typer::new(self, None, Allowed::Constants);
        let Some(value) = &decl.value else {
            let Some(kind) = kind else {
                self.findings.push(lint::kind_missing::constant(&decl.name));
                return None;
            };
            // What a library leaves open counts as one of its unit until a spec fills it: good
            // enough to find mistakes of kind, and never part of a spec.
            let span = decl.name.span;
            let kind = NumKind::Constant(Value::integer(1)).typed(Ty::Kind(kind), span);
            return Some(kind);
        };
        match (kind, written) {
            (Some(kind), Some(written)) => {
                let what = format!("`{}` is declared as", decl.name.node);
                typer.constant_in(value, &kind_place(kind, written.span, what))
            }
            _ => {
                let num = typer.number(value, None)?;
                if num.constant().is_none() {
                    self.findings.push(lint::not_constant::finding(value.span));
                    return None;
                }
                Some(num)
            }
        }
    }

    /// A derived quantity's number, over the members of its family.
    pub(crate) fn derived_num(&self, index: usize, asked_at: Span) -> Option<&Num> {
        let item = self.derived.get(index)?;
        if let Some(known) = item.checked.get() {
            return known.as_ref();
        }
        if item.asking.replace(true) {
            self.findings.push(lint::check_cycle::definition(&item.decl.name, asked_at));
            return None;
        }
        let checked = self.deeper(&item.decl.name, || self.checked_derived(index));
        item.asking.set(false);
        item.checked.get_or_init(|| checked).as_ref()
    }

    fn checked_derived(&self, index: usize) -> Option<Num> {
        let item = self.derived.get(index)?;
        self.cites(&item.decl.cites);
        if let Some(title) = &item.decl.title {
            self.check_placeholders(title, item.family);
        }
        let current = item.family.ok().flatten();
        let typer = Typer::new(self, current, Allowed::All);
        match &item.decl.kind {
            Some(name) => {
                let kind = self.kind(name);
                let Some(kind) = kind else {
                    typer.number(&item.decl.value, None);
                    return None;
                };
                let what = format!("`{}` is declared as", item.decl.name.node);
                typer.number_in(&item.decl.value, &kind_place(kind, name.span, what))
            }
            None => typer.number(&item.decl.value, None),
        }
    }
}

impl NumKind {
    fn typed(self, ty: Ty, span: Span) -> Num {
        Num { kind: self, ty, span, shown: None }
    }
}
