//! Sheets of older versions, brought up to today's as they are read: one step for each version, on
//! the tree of values, so that what reads the tree knows today's version only.

use super::value::{Field, Node, Value};
use crate::error::{Mistakes, SheetError, quoted};
use crate::record::parse_day;
use crate::sheet::VERSION;
use crate::slugs;

/// The steps, by the version that they start from: the first brings version 1 up to 2.
const STEPS: [fn(&mut Vec<Field>); VERSION as usize - 1] = [from_1];

/// The tree in today's version, and the version that it was written in where that is an older one.
/// A sheet that says no version is of the first. None where the version is none that is known: what
/// a newer one means cannot be guessed, so that nothing else of it is looked at.
pub(super) fn to_current(
    mut top: Vec<Field>,
    mistakes: &mut Mistakes,
) -> Option<(Vec<Field>, Option<u32>)> {
    let written = match top.iter().position(|field| field.key == "version") {
        None => 1,
        Some(at) => {
            let field = top.remove(at);
            match version(&field) {
                Ok(version) => version,
                Err(error) => {
                    mistakes.add(error.at(field.place).of("version"));
                    return None;
                }
            }
        }
    };
    let passed = usize::try_from(written).unwrap_or(usize::MAX).saturating_sub(1);
    STEPS.iter().skip(passed).for_each(|step| step(&mut top));
    Some((top, (written < VERSION).then_some(written)))
}

fn version(field: &Field) -> Result<u32, SheetError> {
    let none = |what: &str| {
        SheetError::new(slugs::SHEET_VERSION, format!("{what} is no version of a sheet"))
            .mend(format!("write a whole number: version = {VERSION}"))
    };
    let Value::Number(text) = &field.node.value else {
        return Err(none(field.node.value.words()));
    };
    match text.parse::<u32>() {
        Ok(version @ 1..=VERSION) => Ok(version),
        Ok(0) | Err(_) => Err(none(&quoted(text))),
        Ok(version) => {
            let message = format!(
                "the sheet is of version {version}, and this program reads versions 1 to {VERSION}"
            );
            Err(SheetError::new(slugs::SHEET_VERSION, message)
                .mend("open it with the version of Truing that wrote it, or a newer one"))
        }
    }
}

/// In version 1 the date was any text for people. Since version 2 it is a day; what is none goes
/// into the note, so that nothing is lost.
fn from_1(top: &mut Vec<Field>) {
    let Some(at) = top.iter().position(|field| field.key == "date") else { return };
    let Some(Field { node: Node { value: Value::Text(text), .. }, .. }) = top.get(at) else {
        return;
    };
    if parse_day(text).is_ok() {
        return;
    }
    let said = format!("Date as written: {text}");
    let mut date = top.remove(at);
    match top.iter_mut().find(|field| field.key == "note") {
        Some(Field { node: Node { value: Value::Text(note), .. }, .. }) => {
            *note = format!("{}\n{said}", note.trim_end());
        }
        // A note that is no text is told where it is read; the date is told there, too.
        Some(_) => top.push(date),
        None => {
            date.key = "note".to_owned();
            date.node.value = Value::Text(said);
            top.push(date);
        }
    }
}
