//! A tree of values, and how TOML and JSON write it.

use std::fmt::Write as _;

use serde::ser::{Serialize, SerializeMap, Serializer};
use serde_json::value::RawValue;
use toml_writer::{ToTomlKey, ToTomlValue, TomlKeyBuilder, TomlStringBuilder};

/// Keys with their values, in order.
pub(super) type Table = Vec<(String, Tree)>;

/// A value to be written.
pub(super) enum Tree {
    Text(String),
    /// A number that TOML and JSON write alike.
    Number(String),
    /// A date or time as TOML writes it; JSON has it as a text.
    Date(String),
    Flag(bool),
    List(Vec<Tree>),
    /// On one line.
    Inline(Table),
    /// Under a heading of its own: `[machine]`.
    Section(Table),
    /// Each under a heading of its own: `[[round]]`.
    Sections(Vec<Table>),
}

impl Tree {
    /// A text as the date or time that it is, where TOML writes it in the same letters.
    pub(super) fn date(text: &str) -> Self {
        let same = |date: &toml::value::Datetime| date.to_string() == text;
        let bare = text.parse().ok().filter(same).is_some();
        if bare { Self::Date(text.to_owned()) } else { Self::Text(text.to_owned()) }
    }

    /// A text as the number that it is, where both formats write it in the same letters: up to
    /// fifteen digits without leading zeros, and perhaps a point among them.
    pub(super) fn number(text: &str) -> Self {
        let (whole, decimals) = text.split_once('.').unwrap_or((text, "0"));
        let digits = |part: &str| !part.is_empty() && part.bytes().all(|b| b.is_ascii_digit());
        let plain = digits(whole) && digits(decimals) && (whole == "0" || !whole.starts_with('0'));
        let bare = plain && text.len() <= 15;
        if bare { Self::Number(text.to_owned()) } else { Self::Text(text.to_owned()) }
    }

    fn is_heading(&self) -> bool {
        matches!(self, Self::Section(_) | Self::Sections(_))
    }
}

/// The tree as TOML.
pub(super) fn toml(top: &Table) -> String {
    let mut out = String::new();
    table(&mut out, "", top);
    out
}

/// What stands on lines of its own goes before what stands under headings, as TOML asks.
fn table(out: &mut String, under: &str, fields: &Table) {
    for (name, value) in fields.iter().filter(|(_, value)| !value.is_heading()) {
        out.push_str(&key(name));
        out.push_str(" = ");
        match value {
            Tree::List(items) if items.iter().any(|item| matches!(item, Tree::Inline(_))) => {
                out.push_str("[\n");
                for item in items {
                    out.push_str("    ");
                    inline(out, item);
                    out.push_str(",\n");
                }
                out.push(']');
            }
            value => inline(out, value),
        }
        out.push('\n');
    }
    for (name, value) in fields {
        let path = if under.is_empty() { key(name) } else { format!("{under}.{}", key(name)) };
        match value {
            Tree::Section(fields) => heading(out, &format!("[{path}]"), &path, fields),
            Tree::Sections(tables) => {
                for fields in tables {
                    out.push('\n');
                    heading(out, &format!("[[{path}]]"), &path, fields);
                }
            }
            _ => {}
        }
    }
}

fn heading(out: &mut String, title: &str, path: &str, fields: &Table) {
    // A round's readings stand close under it, other tables apart.
    if !title.starts_with("[[") && !path.contains('.') {
        out.push('\n');
    }
    out.push_str(title);
    out.push('\n');
    table(out, path, fields);
}

fn inline(out: &mut String, value: &Tree) {
    match value {
        Tree::Text(text) => out.push_str(&quoted(text)),
        Tree::Number(text) | Tree::Date(text) => out.push_str(text),
        Tree::Flag(flag) => out.push_str(if *flag { "true" } else { "false" }),
        Tree::List(items) => {
            out.push('[');
            for (place, item) in items.iter().enumerate() {
                out.push_str(if place == 0 { "" } else { ", " });
                inline(out, item);
            }
            out.push(']');
        }
        Tree::Inline(fields) | Tree::Section(fields) => {
            out.push('{');
            for (place, (name, value)) in fields.iter().enumerate() {
                out.push_str(if place == 0 { " " } else { ", " });
                let _ = write!(out, "{} = ", key(name));
                inline(out, value);
            }
            out.push_str(" }");
        }
        // Only at the top and in a heading's table, where `table` writes it.
        Tree::Sections(_) => out.push_str("[]"),
    }
}

fn key(name: &str) -> String {
    TomlKeyBuilder::new(name).as_default().to_toml_key()
}

/// On one line, whatever stands in it.
fn quoted(text: &str) -> String {
    let builder = TomlStringBuilder::new(text);
    builder
        .as_basic_pretty()
        .or_else(|| builder.as_literal())
        .unwrap_or_else(|| builder.as_basic())
        .to_toml_value()
}

/// The tree as JSON.
pub(super) fn json(top: &Table) -> String {
    // Texts, flags and numbers in a buffer in memory: there is nothing in it that can fail.
    let mut text = serde_json::to_string_pretty(&Object(top)).unwrap_or_default();
    text.push('\n');
    text
}

struct Object<'t>(&'t Table);

impl Serialize for Object<'_> {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        let mut map = serializer.serialize_map(Some(self.0.len()))?;
        for (key, value) in self.0 {
            map.serialize_entry(key, value)?;
        }
        map.end()
    }
}

impl Serialize for Tree {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        match self {
            Self::Text(text) | Self::Date(text) => serializer.serialize_str(text),
            Self::Number(text) => match RawValue::from_string(text.clone()) {
                Ok(number) => number.serialize(serializer),
                Err(_) => serializer.serialize_str(text),
            },
            Self::Flag(flag) => serializer.serialize_bool(*flag),
            Self::List(items) => serializer.collect_seq(items),
            Self::Inline(fields) | Self::Section(fields) => Object(fields).serialize(serializer),
            Self::Sections(tables) => serializer.collect_seq(tables.iter().map(Object)),
        }
    }
}
