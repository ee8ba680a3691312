//! TOML to the tree of values.

use std::borrow::Cow;

use toml::Spanned;
use toml::de::{DeTable, DeValue};

use super::lines::Lines;
use super::value::{DEEPEST, Field, Node, Value};
use crate::error::{Mistakes, SheetError, quoted};
use crate::slugs;

/// The top table, or every mistake of its syntax.
pub(super) fn parse(text: &str, mistakes: &mut Mistakes) -> Option<Vec<Field>> {
    let lines = Lines::new(text);
    let (table, errors) = DeTable::parse_recoverable(text);
    if errors.is_empty() {
        return Some(fields(table.get_ref(), &lines, 0));
    }
    let mut last = None;
    for error in errors {
        let byte = error.span().map_or(0, |span| span.start);
        let place = lines.place(byte);
        if mistakes.full() {
            break;
        }
        // What follows on the same line is mostly the echo of the first mistake.
        if last.replace(place) == Some(place) {
            continue;
        }
        let written = lines.text(place);
        let message = format!("this is not TOML: {}", one_line(error.message()));
        mistakes.add(
            SheetError::new(slugs::SHEET_SYNTAX, message)
                .at(place)
                .mend_if(quotes_missing(written)),
        );
    }
    None
}

fn one_line(message: &str) -> String {
    message.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// The commonest slip by far: `battery_rest = 12.71 V` without quotes.
fn quotes_missing(line: &str) -> Option<String> {
    let (key, value) = line.split_once('=')?;
    let (key, value) = (key.trim(), value.trim());
    let first = value.chars().next()?;
    if key.is_empty() || matches!(first, '"' | '\'' | '{' | '[' | '#' | '=') {
        return None;
    }
    let shown = quoted(&format!("{key} = \"{}\"", value.replace(['"', '\''], "")));
    Some(format!("write the value in quotes: {shown}"))
}

fn fields(table: &DeTable<'_>, lines: &Lines<'_>, depth: usize) -> Vec<Field> {
    let mut entries: Vec<_> = table.iter().collect();
    // The map is in the order of the alphabet; the sheet's order is that of the places.
    entries.sort_by_key(|(key, _)| key.span().start);
    let field = |(key, value): (&Spanned<Cow<'_, str>>, &Spanned<DeValue<'_>>)| Field {
        key: key.get_ref().to_string(),
        place: lines.place(key.span().start),
        node: node(value, lines, depth + 1),
    };
    entries.into_iter().map(field).collect()
}

fn node(value: &Spanned<DeValue<'_>>, lines: &Lines<'_>, depth: usize) -> Node {
    let place = lines.place(value.span().start);
    let value = match value.get_ref() {
        DeValue::String(text) => Value::Text(text.to_string()),
        DeValue::Integer(number) => Value::Number(number.to_string()),
        DeValue::Float(number) => Value::Number(number.as_str().to_owned()),
        DeValue::Boolean(flag) => Value::Flag(*flag),
        DeValue::Datetime(date) => Value::Date(date.to_string()),
        _ if depth >= DEEPEST => Value::TooDeep,
        DeValue::Array(list) => {
            Value::List(list.iter().map(|item| node(item, lines, depth + 1)).collect())
        }
        DeValue::Table(table) => Value::Table(fields(table, lines, depth)),
    };
    Node { place, value }
}
