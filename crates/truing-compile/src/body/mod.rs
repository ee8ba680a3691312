//! The bodies of faults, fixes, what was learned and procedures, and what checks say for diagnosis: names resolved,
//! kinds checked. The lowering reads what is kept here.

mod bands;
mod fault;
mod fix;
mod learned;
mod procedure;

use std::cell::RefCell;
use std::collections::HashMap;

pub(crate) use bands::{BandsIr, LeakIr, bands};
pub(crate) use fault::{FaultIr, Makes, driven, faults};
pub(crate) use fix::{FixIr, fixes};
pub(crate) use learned::{FaultAt, LearnedIr, ShownIr, learned};
pub(crate) use procedure::procedures;

use truing_syntax::Span;
use truing_syntax::tree::{Name, Path};

use crate::context::Context;
use crate::family::{At, FamilyId};
use crate::names::{Sort, Wanted};
use crate::typing::Logic;

/// What bodies say, in the order of their items.
#[derive(Debug, Default)]
pub(crate) struct Bodies {
    pub checks: RefCell<Vec<BandsIr>>,
    pub faults: RefCell<Vec<FaultIr>>,
    pub fixes: RefCell<Vec<FixIr>>,
    /// Where all that was learned can be counted.
    pub learned: RefCell<Option<LearnedIr>>,
    /// The conditions of procedures, by where they stand.
    pub conditions: RefCell<HashMap<Span, Logic>>,
}

/// A check that is named: which, and of which member; without an index the member at hand where
/// both run over one family, else all of them.
#[derive(Copy, Clone, Debug, PartialEq, Eq, Hash)]
pub(crate) struct CheckAt {
    pub check: usize,
    pub at: Option<At>,
}

const CAUTION: Wanted = Wanted::new(&[Sort::Caution], "a caution");

/// The caution that each name stands for.
pub(crate) fn cautions(cx: &Context<'_>, names: &[Name]) -> Vec<truing_model::CautionId> {
    let ids = names.iter().filter_map(|name| cx.find(name, CAUTION));
    ids.map(|entry| truing_model::CautionId(entry.index as u32)).collect()
}

/// A check by its path.
pub(crate) fn check(cx: &Context<'_>, path: &Path, current: Option<FamilyId>) -> Option<CheckAt> {
    const CHECK: Wanted = Wanted::new(&[Sort::Check], "a check");
    let entry = cx.find(&path.name, CHECK)?;
    let family = cx.checks.get(entry.index)?.family;
    let at = cx.written_index(path, family, current).ok()?;
    let same = current.is_some() && family == Ok(current);
    let at = if at.is_none() && same { Some(At::Current) } else { at };
    Some(CheckAt { check: entry.index, at })
}
