//! From text to a sheet: each format to one tree of values with their lines ([`value`]), and from
//! that, brought up to today's version ([`migrations`]), to a sheet ([`structure`], [`record`]). CSV
//! has no tree: its rows are entries.

mod csv_rows;
mod instruments;
mod json_tree;
mod lines;
mod migrations;
mod record;
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
    let sheet = match format {
        SheetFormat::Csv => csv_rows::sheet(text, &mut mistakes),
        SheetFormat::Toml => {
            toml_tree::parse(text, &mut mistakes).and_then(|top| of_tree(top, &mut mistakes))
        }
        SheetFormat::Json => {
            json_tree::parse(text, &mut mistakes).and_then(|top| of_tree(top, &mut mistakes))
        }
    };
    let mut sheet = sheet.unwrap_or_default();
    name.clone_into(&mut sheet.file);
    mistakes.or(name, sheet)
}

fn of_tree(top: Vec<value::Field>, mistakes: &mut Mistakes) -> Option<JobSheet> {
    let (top, migrated_from) = migrations::to_current(top, mistakes)?;
    Some(JobSheet { migrated_from, ..structure::sheet(top, mistakes) })
}
