//! JSON to the tree of values, with lines, digits as written, and keys that are given twice.

use std::fmt;

use serde::de::{Deserialize, Deserializer, MapAccess, Visitor};
use serde_json::value::RawValue;

use super::lines::Lines;
use super::value::{DEEPEST, Field, Node, Value};
use crate::error::{Mistakes, SheetError, quoted};
use crate::sheet::Place;
use crate::slugs;

/// The top object, or what is wrong with it.
pub(super) fn parse(text: &str, mistakes: &mut Mistakes) -> Option<Vec<Field>> {
    let mut reader = Reader { text, lines: Lines::new(text), mistakes };
    let top: &RawValue = match serde_json::from_str(text) {
        Ok(top) => top,
        Err(error) => {
            reader.syntax(&error, 0);
            return None;
        }
    };
    match reader.node(top, 0)?.value {
        Value::Table(fields) => Some(fields),
        other => {
            let message = format!("a sheet is an object, and this is {}", other.words());
            let example = "write {\"readings\": {\"battery_rest\": \"12.71 V\"}}";
            reader
                .mistakes
                .add(SheetError::new(slugs::SHEET_SHAPE, message).at(Place::line(1)).mend(example));
            None
        }
    }
}

struct Reader<'t, 'm> {
    text: &'t str,
    lines: Lines<'t>,
    mistakes: &'m mut Mistakes,
}

impl<'t> Reader<'t, '_> {
    /// `None` where something was wrong, which is then among the mistakes.
    fn node(&mut self, raw: &'t RawValue, depth: usize) -> Option<Node> {
        let source = raw.get();
        let start = self.offset(source);
        let value = match source.as_bytes().first() {
            Some(b'{' | b'[') if depth >= DEEPEST => Value::TooDeep,
            Some(b'{') => {
                let object: Object<'t> = self.decode(source, start)?;
                Value::Table(self.fields(object, depth)?)
            }
            Some(b'[') => {
                let list: Vec<&'t RawValue> = self.decode(source, start)?;
                // Every item is looked at before the first mistake ends it.
                let nodes: Vec<_> =
                    list.into_iter().map(|item| self.node(item, depth + 1)).collect();
                Value::List(nodes.into_iter().collect::<Option<_>>()?)
            }
            Some(b'"') => Value::Text(self.decode(source, start)?),
            Some(b't') => Value::Flag(true),
            Some(b'f') => Value::Flag(false),
            Some(b'n') => Value::Nothing,
            _ => Value::Number(source.to_owned()),
        };
        Some(Node { place: self.lines.place(start), value })
    }

    fn fields(&mut self, object: Object<'t>, depth: usize) -> Option<Vec<Field>> {
        let mut fields: Vec<Field> = Vec::new();
        let mut seen = std::collections::BTreeMap::new();
        let mut sound = true;
        for (key, raw) in object.0 {
            let Some(node) = self.node(raw, depth + 1) else {
                sound = false;
                continue;
            };
            let place = node.place;
            if let Some(first) = seen.insert(key.clone(), place) {
                let message = format!("{} is given twice, first on {first}", quoted(&key));
                self.mistakes.add(
                    SheetError::new(slugs::KEY_TWICE, message).at(place).mend("keep one of them"),
                );
                sound = false;
            }
            fields.push(Field { key, place, node });
        }
        sound.then_some(fields)
    }

    fn decode<T: Deserialize<'t>>(&mut self, source: &'t str, start: usize) -> Option<T> {
        match serde_json::from_str(source) {
            Ok(value) => Some(value),
            Err(error) => {
                self.syntax(&error, start);
                None
            }
        }
    }

    fn syntax(&mut self, error: &serde_json::Error, start: usize) {
        let before = self.lines.place(start).line.unwrap_or(1);
        let line = before + error.line().max(1) - 1;
        // serde_json's own "at line 1 column 5" counts from the value's start.
        let said = error.to_string();
        let said = said.rsplit_once(" at line ").map_or(said.as_str(), |(what, _)| what);
        let message = format!("this is not JSON: {said}");
        self.mistakes.add(SheetError::new(slugs::SHEET_SYNTAX, message).at(Place::line(line)));
    }

    /// Where a borrowed value begins in the text: both lie in the same buffer.
    fn offset(&self, part: &str) -> usize {
        (part.as_ptr() as usize).saturating_sub(self.text.as_ptr() as usize)
    }
}

/// An object with its keys in order, doubled ones as well.
struct Object<'t>(Vec<(String, &'t RawValue)>);

impl<'de: 't, 't> Deserialize<'de> for Object<'t> {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        deserializer.deserialize_map(Keys)
    }
}

struct Keys;

impl<'de> Visitor<'de> for Keys {
    type Value = Object<'de>;

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("an object")
    }

    fn visit_map<A: MapAccess<'de>>(self, mut map: A) -> Result<Object<'de>, A::Error> {
        let mut entries = Vec::new();
        while let Some(entry) = map.next_entry::<String, &'de RawValue>()? {
            entries.push(entry);
        }
        Ok(Object(entries))
    }
}
