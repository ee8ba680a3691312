//! From a sheet to text: to one tree of values in the order in which people read a sheet
//! (`sheet_tree`), and from that to TOML or JSON (`tree`).

mod sheet_tree;
mod tree;

use crate::sheet::JobSheet;

/// The sheet as TOML, in today's version. Read back it says the same ([`JobSheet::content`]).
///
/// A reading that stands twice in a round is written twice, and refused when it is read: which of
/// them counts nobody knows.
#[must_use]
pub fn write_toml(sheet: &JobSheet) -> String {
    tree::toml(&sheet_tree::of(sheet))
}

/// The sheet as JSON, in today's version; otherwise as [`write_toml`].
#[must_use]
pub fn write_json(sheet: &JobSheet) -> String {
    tree::json(&sheet_tree::of(sheet))
}
