//! The repairs between two rounds, by the names of the spec's fixes.

use truing_model::{FixId, Spec};

use crate::error::{SheetError, quoted};
use crate::nearest::nearest;
use crate::sheet::{Fitted, JobSheet};
use crate::slugs;

/// The fixes that were done before a round, by its place, each once.
///
/// # Errors
/// Every name that the spec does not have.
pub fn fitted(sheet: &JobSheet, round: usize, spec: &Spec) -> Result<Vec<FixId>, Vec<SheetError>> {
    let Some(round) = sheet.rounds.get(round) else { return Ok(Vec::new()) };
    let (found, mut errors) = fixes(&round.fitted, spec);
    for error in &mut errors {
        error.file.clone_from(&sheet.file);
    }
    if errors.is_empty() { Ok(found) } else { Err(errors) }
}

/// The fixes named, and what is wrong with the other names.
pub(crate) fn fixes(named: &Fitted, spec: &Spec) -> (Vec<FixId>, Vec<SheetError>) {
    let (mut found, mut errors) = (Vec::new(), Vec::new());
    for name in &named.fixes {
        match spec.fix_named(name) {
            Some(fix) if found.contains(&fix) => {}
            Some(fix) => found.push(fix),
            None => errors.push(unknown(name, spec).at(named.place).of("fitted")),
        }
    }
    (found, errors)
}

fn unknown(name: &str, spec: &Spec) -> SheetError {
    let message = format!("the spec has no fix {}", quoted(name));
    let known = || spec.fixes.iter().map(|fix| fix.name.as_str());
    let mend = match nearest(name, known()) {
        Some(near) => format!("did you mean `{near}`?"),
        None if spec.fixes.is_empty() => "this spec lists no fixes: say it in a note".to_owned(),
        None => format!("its fixes are {}", known().collect::<Vec<_>>().join(", ")),
    };
    SheetError::new(slugs::UNKNOWN_FIX, message).mend(mend)
}
