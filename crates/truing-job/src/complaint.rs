//! What a sheet says of the complaint, for the ranking of faults.

use truing_engine::suspects::Complaint;
use truing_model::Spec;

use crate::record_names::find_state;
use crate::sheet::JobSheet;

/// Whether anyone complained of the machine, and in which state of it that shows. A state that the
/// spec does not have is told where the sheet is bound; here the complaint shows in none.
#[must_use]
pub fn complaint(sheet: &JobSheet, spec: &Spec) -> Complaint {
    let shows = sheet.shows.as_deref().and_then(|name| find_state(spec, name).ok());
    match (shows, &sheet.complaint) {
        (Some(state), _) => Complaint::Shows(state),
        (None, Some(_)) => Complaint::Told,
        (None, None) => Complaint::None,
    }
}
