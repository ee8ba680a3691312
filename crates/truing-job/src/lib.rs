//! The job sheet: what the technician wrote down, from TOML, JSON, CSV or the command line, bound to
//! a checked spec. Every mistake of a sheet is reported at once, with its line and what mends it.
//!
//! Read in this order: [`sheet`] and [`record`] (a sheet as written), [`error`] and [`slugs`](mod@slugs) (what can
//! be wrong with it), [`format`](mod@format), `decide`, [`intake`] (bytes to text) and `read` (text to
//! sheet), then `names`, `record_names`, `display`, `reading_text`, [`profiles`], `measured` `fitted`, `complaint` and [`bind`](mod@bind) (from the sheet to what the
//! engine takes), and [`write`](mod@write) (from the sheet to text). [`edition`] says
//! whether a sheet was judged by the limits at hand. [`journal`] keeps a job while it is done,
//! and [`closing`] says what stands in the way of its end.

pub mod bind;
pub mod closing;
mod complaint;
mod decide;
mod display;
pub mod edition;
pub mod error;
mod fitted;
pub mod format;
pub mod intake;
pub mod journal;
mod measured;
mod names;
mod nearest;
pub mod profiles;
mod read;
mod reading_text;
pub mod record;
mod record_names;
pub mod sheet;
mod slug_docs;
pub mod slugs;
pub mod write;

pub use bind::{bind, bind_with, find_slot, round_named, set_entry, set_entry_with, set_one};
pub use complaint::complaint;
pub use decide::{decide_text, parse_decide};
pub use error::SheetError;
pub use fitted::fitted;
pub use format::SheetFormat;
pub use intake::{MAX_SHEET_BYTES, read_sheet, read_sheet_bytes, read_sheet_file};
pub use nearest::nearest;
pub use profiles::Profiles;
pub use record_names::{find_caution, find_checks, find_state};
pub use sheet::{
    Bypass, Closed, Conditions, Correlation, Entry, Fitted, Instrument, JobSheet, Judged, Part,
    Photo, Place, Remark, Round, Skipped, VERSION,
};
pub use slug_docs::slugs;
pub use write::{write_json, write_toml};

/// The published JSON Schema of the job sheet; of a sheet in TOML, once it is read as data.
pub const SHEET_SCHEMA: &str = include_str!("../schema/truing-job-sheet.schema.json");
