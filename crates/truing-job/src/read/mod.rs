//! From text to a sheet: each format to one tree of values with their lines ([`value`]), and from
//! that to a sheet ([`structure`]). CSV has no tree: its rows are entries.

mod csv_rows;
mod instruments;
mod json_tree;
mod lines;
mod structure;
mod toml_tree;
mod value;

use crate::error::{Mistakes, SheetError};
use crate::format::SheetFormat;
use crate::sheet::JobSheet;

/// Reads a text that is neither blank nor too large.
pub(crate) fn read(
    name: &str,
    text: &str,
    format: SheetFormat,
) -> Result<JobSheet, Vec<SheetError>> {
    let mut mistakes = Mistakes::default();
    let sheet =
        match format {
            SheetFormat::Csv => csv_rows::sheet(text, &mut mistakes),
            SheetFormat::Toml => toml_tree::parse(text, &mut mistakes)
                .map(|top| structure::sheet(top, &mut mistakes)),
            SheetFormat::Json => json_tree::parse(text, &mut mistakes)
                .map(|top| structure::sheet(top, &mut mistakes)),
        };
    let mut sheet = sheet.unwrap_or_default();
    name.clone_into(&mut sheet.file);
    mistakes.or(name, sheet)
}
