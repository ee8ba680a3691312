//! The names in a job's record, looked up in a spec: states, cautions, checks.

use truing_model::{CautionId, CheckId, Spec, StateId};

use crate::error::{SheetError, quoted};
use crate::names::{Names, parts};
use crate::nearest::nearest;
use crate::sheet::{JobSheet, Round};
use crate::slugs;

/// Every name of the record that the spec does not have. Which round is bound is no matter: the
/// record is one.
pub(crate) fn mistakes(sheet: &JobSheet, names: &Names<'_>) -> Vec<SheetError> {
    let mut found = Vec::new();
    if let Some(shows) = &sheet.shows
        && let Err(error) = names.state(shows)
    {
        found.push(error.at(sheet.place_of("shows")).of("shows"));
    }
    sheet.rounds.iter().for_each(|round| of_round(round, names, &mut found));
    found
}

fn of_round(round: &Round, names: &Names<'_>, found: &mut Vec<SheetError>) {
    for name in &round.cautions {
        if let Err(error) = find_caution(names.spec, name) {
            found.push(error.at(round.cautions_place).of("cautions"));
        }
    }
    let skipped = round.skipped.iter().map(|it| (it.place, "skipped", Some(&it.check)));
    let remarks = round.remarks.iter().map(|it| (it.place, "remarks", it.of.as_ref()));
    let photos = round.photos.iter().map(|it| (it.place, "photos", it.of.as_ref()));
    for (place, key, of) in skipped.chain(remarks).chain(photos) {
        if let Some(path) = of
            && let Err(error) = check_or_reading(path, names)
        {
            found.push(error.at(place).of(key));
        }
    }
}

/// A check by its path, or a reading; of a family all, where no member is named.
fn check_or_reading(path: &str, names: &Names<'_>) -> Result<(), SheetError> {
    find_checks(names.spec, path).map(|_| ()).or_else(|error| {
        // A reading's own mistake, a wrong member say, tells more than that it is no check.
        match names.find(path) {
            Ok(_) => Ok(()),
            Err(of_reading) if of_reading.slug == slugs::UNKNOWN_READING => Err(error),
            Err(of_reading) => Err(of_reading),
        }
    })
}

/// The checks that a path means: `insulated[V]` one, `insulated` all of its family.
///
/// # Errors
/// Where the spec has no such check.
pub fn find_checks(spec: &Spec, path: &str) -> Result<Vec<CheckId>, SheetError> {
    let (name, member) = parts(path);
    let is_it = |check: &truing_model::Check| {
        check.name == name && member.as_ref().is_none_or(|it| check.member.as_ref() == Some(it))
    };
    let places = (0..).zip(&spec.checks).filter(|(_, check)| is_it(check));
    let found: Vec<CheckId> = places.map(|(place, _)| CheckId(place)).collect();
    if found.is_empty() { Err(unknown_check(spec, path)) } else { Ok(found) }
}

fn unknown_check(spec: &Spec, path: &str) -> SheetError {
    let message = format!("{} is no check and no reading of this spec", quoted(path));
    let checks = spec.checks.iter().flat_map(|check| [check.label.as_str(), check.name.as_str()]);
    let slots = spec.slots.iter().flat_map(|slot| [slot.label.as_str(), slot.name.as_str()]);
    let mend = nearest(path.trim(), checks.chain(slots));
    SheetError::new(slugs::UNKNOWN_CHECK, message)
        .mend_if(mend.map(|near| format!("did you mean `{near}`?")))
}

/// A caution of the spec by its name.
///
/// # Errors
/// Where the spec has no such caution.
pub fn find_caution(spec: &Spec, name: &str) -> Result<CautionId, SheetError> {
    let name = name.trim();
    let found = (0..).zip(&spec.cautions).find(|(_, caution)| caution.name == name);
    found.map(|(place, _)| CautionId(place)).ok_or_else(|| {
        let known = || spec.cautions.iter().map(|caution| caution.name.as_str());
        let mend = match nearest(name, known()) {
            Some(near) => format!("did you mean `{near}`?"),
            None if spec.cautions.is_empty() => "this spec has no cautions".to_owned(),
            None => format!("its cautions are {}", known().collect::<Vec<_>>().join(", ")),
        };
        let message = format!("{} is no caution of this spec", quoted(name));
        SheetError::new(slugs::UNKNOWN_CAUTION, message).mend(mend)
    })
}

/// A state of the spec by its name.
///
/// # Errors
/// Where the spec has no such state.
pub fn find_state(spec: &Spec, name: &str) -> Result<StateId, SheetError> {
    Names::new(spec).state(name)
}
