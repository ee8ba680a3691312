//! The bodies of faults, fixes and procedures: names resolved, kinds checked.
//!
//! Nothing of them enters the checked spec yet; what ranks faults and walks procedures will read
//! them from here.

mod fault;
mod procedure;

pub(crate) use fault::{faults, fixes};
pub(crate) use procedure::procedures;

use truing_syntax::tree::{Name, Path};

use crate::context::Context;
use crate::family::FamilyId;
use crate::names::{Sort, Wanted};

const CAUTION: Wanted = Wanted::new(&[Sort::Caution], "a caution");

/// The caution that each name stands for.
pub(crate) fn cautions(cx: &Context<'_>, names: &[Name]) -> Vec<truing_model::CautionId> {
    let ids = names.iter().filter_map(|name| cx.find(name, CAUTION));
    ids.map(|entry| truing_model::CautionId(entry.index as u32)).collect()
}

/// A check by its path, where a name without an index means all its members.
fn check(cx: &Context<'_>, path: &Path, current: Option<FamilyId>) -> Option<usize> {
    const CHECK: Wanted = Wanted::new(&[Sort::Check], "a check");
    let entry = cx.find(&path.name, CHECK)?;
    let family = cx.checks.get(entry.index)?.family;
    cx.written_index(path, family, current).ok()?;
    Some(entry.index)
}
