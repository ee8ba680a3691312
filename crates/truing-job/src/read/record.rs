//! What a sheet says besides readings: parts, cautions, what was skipped, remarks, photos, bypasses,
//! the limits it was judged by, how it was closed.

use super::structure::Walk;
use super::value::{Field, Node, Value};
use crate::error::{SheetError, quoted};
use crate::record::{
    Bypass, Closed, Judged, Part, Photo, Remark, Skipped, check_photo_path, check_price, parse_day,
    parse_time,
};
use crate::sheet::Place;
use crate::slugs;

const PART_KEYS: [&str; 4] = ["name", "number", "quantity", "price"];
const SKIPPED_KEYS: [&str; 2] = ["check", "why"];
const REMARK_KEYS: [&str; 3] = ["text", "time", "of"];
const PHOTO_KEYS: [&str; 3] = ["path", "of", "note"];
const BYPASS_KEYS: [&str; 2] = ["what", "removed"];
const JUDGED_KEYS: [&str; 3] = ["check", "limit", "source"];
const CLOSED_KEYS: [&str; 2] = ["date", "reason"];

impl Walk<'_> {
    pub(super) fn parts(&mut self, node: Node) -> Vec<Part> {
        self.each("parts", node, |walk, place, fields| {
            let mut part = Part { place, ..Part::default() };
            let mut name = None;
            for Field { key, place, node } in fields {
                match key.as_str() {
                    "name" => name = walk.text(&key, node),
                    "number" => part.number = walk.text(&key, node),
                    "quantity" => part.quantity = walk.quantity(&key, node)?,
                    "price" => part.price = walk.checked(&key, node, check_price),
                    _ => walk.unknown(&key, place, &PART_KEYS, "a part"),
                }
            }
            part.name =
                walk.needed(name, place, ["part", "name", "name = \"regulator-rectifier\""])?;
            Some(part)
        })
    }

    pub(super) fn skipped(&mut self, node: Node) -> Vec<Skipped> {
        self.each("skipped", node, |walk, place, fields| {
            let (mut check, mut why) = (None, None);
            for Field { key, place, node } in fields {
                match key.as_str() {
                    "check" => check = walk.text(&key, node),
                    "why" => why = walk.text(&key, node),
                    _ => walk.unknown(&key, place, &SKIPPED_KEYS, "what was skipped"),
                }
            }
            let check =
                walk.needed(check, place, ["skipped", "check", "check = \"winding_level[U-V]\""])?;
            let why =
                walk.needed(why, place, ["skipped", "why", "why = \"no four-wire meter\""])?;
            Some(Skipped { check, why, place })
        })
    }

    pub(super) fn remarks(&mut self, node: Node) -> Vec<Remark> {
        self.each("remarks", node, |walk, place, fields| {
            let mut remark = Remark { place, ..Remark::default() };
            let mut text = None;
            for Field { key, place, node } in fields {
                match key.as_str() {
                    "text" => text = walk.text(&key, node),
                    "time" => remark.time = walk.time(&key, node),
                    "of" => remark.of = walk.text(&key, node),
                    _ => walk.unknown(&key, place, &REMARK_KEYS, "a remark"),
                }
            }
            remark.text =
                walk.needed(text, place, ["remark", "text", "text = \"one pin loose\""])?;
            Some(remark)
        })
    }

    pub(super) fn photos(&mut self, node: Node) -> Vec<Photo> {
        self.each("photos", node, |walk, place, fields| {
            let mut photo = Photo { place, ..Photo::default() };
            let (mut path, mut said) = (None, false);
            for Field { key, place, node } in fields {
                match key.as_str() {
                    "path" => {
                        said = true;
                        path = walk.checked(&key, node, check_photo_path);
                    }
                    "of" => photo.of = walk.text(&key, node),
                    "note" => photo.note = walk.text(&key, node),
                    _ => walk.unknown(&key, place, &PHOTO_KEYS, "a photo"),
                }
            }
            if !said {
                walk.needed(None, place, ["photo", "path", "path = \"photos/connector.jpg\""])?;
            }
            photo.path = path?;
            Some(photo)
        })
    }

    pub(super) fn bypasses(&mut self, node: Node) -> Vec<Bypass> {
        self.each("bypasses", node, |walk, place, fields| {
            let mut bypass = Bypass { place, ..Bypass::default() };
            let mut what = None;
            for Field { key, place, node } in fields {
                match key.as_str() {
                    "what" => what = walk.text(&key, node),
                    "removed" => bypass.removed = walk.flag(&key, node).unwrap_or(false),
                    _ => walk.unknown(&key, place, &BYPASS_KEYS, "a bypass"),
                }
            }
            bypass.what =
                walk.needed(what, place, ["bypass", "what", "what = \"seat switch bridged\""])?;
            Some(bypass)
        })
    }

    pub(super) fn judged(&mut self, node: Node) -> Vec<Judged> {
        self.each("judged", node, |walk, place, fields| {
            let mut judged = Judged { place, ..Judged::default() };
            let (mut check, mut limit) = (None, None);
            for Field { key, place, node } in fields {
                match key.as_str() {
                    "check" => check = walk.text(&key, node),
                    "limit" => limit = walk.text(&key, node),
                    "source" => judged.source = walk.text(&key, node),
                    _ => walk.unknown(&key, place, &JUDGED_KEYS, "a limit judged by"),
                }
            }
            judged.check =
                walk.needed(check, place, ["judged", "check", "check = \"insulated[U]\""])?;
            judged.limit =
                walk.needed(limit, place, ["judged", "limit", "limit = \"min 1 Mohm\""])?;
            Some(judged)
        })
    }

    /// `[closed]`
    pub(super) fn closed(&mut self, node: Node) -> Option<Closed> {
        let Value::Table(fields) = node.value else {
            self.shape("closed", node.place, "a table, `[closed]`", &node.value);
            return None;
        };
        let mut closed = Closed { place: node.place, ..Closed::default() };
        for Field { key, place, node } in fields {
            match key.as_str() {
                "date" => closed.date = self.day(&key, node),
                "reason" => closed.reason = self.text(&key, node),
                _ => self.unknown(&key, place, &CLOSED_KEYS, "how a job was closed"),
            }
        }
        Some(closed)
    }

    pub(super) fn day(&mut self, key: &str, node: Node) -> Option<String> {
        self.checked(key, node, |text| parse_day(text).map(|_| ()))
    }

    pub(super) fn time(&mut self, key: &str, node: Node) -> Option<String> {
        self.checked(key, node, |text| parse_time(text).map(|_| ()))
    }

    /// `sha256:` and 64 digits.
    pub(super) fn spec_hash(&mut self, key: &str, node: Node) -> Option<String> {
        self.checked(key, node, |text| {
            let digits = text.strip_prefix("sha256:").unwrap_or("");
            let hexadecimal = |c: char| matches!(c, '0'..='9' | 'a'..='f');
            if digits.len() == 64 && digits.chars().all(hexadecimal) {
                return Ok(());
            }
            let message = format!("{} is no hash of a spec", quoted(text));
            Err(SheetError::new(slugs::SPEC_HASH, message).mend(
                "it is `sha256:` and 64 digits from 0 to f; leave it out where it is not known",
            ))
        })
    }

    /// A text that a test finds nothing wrong with.
    fn checked(
        &mut self,
        key: &str,
        node: Node,
        test: impl Fn(&str) -> Result<(), SheetError>,
    ) -> Option<String> {
        let place = node.place;
        let text = self.text(key, node)?;
        match test(&text) {
            Ok(()) => Some(text),
            Err(error) => {
                self.mistakes.add(error.at(place).of(key));
                None
            }
        }
    }

    fn quantity(&mut self, key: &str, node: Node) -> Option<u32> {
        let place = node.place;
        let text = self.text(key, node)?;
        let quantity = text.parse().ok().filter(|quantity| *quantity > 0);
        if quantity.is_none() {
            let message = format!("{} is no number of pieces", quoted(&text));
            self.mistakes.add(
                SheetError::new(slugs::PART_AMOUNT, message)
                    .at(place)
                    .of(key)
                    .mend("write a whole number from 1 on"),
            );
        }
        quantity
    }

    /// Each table of a list; what is wrong in one takes nothing from the others.
    fn each<T>(
        &mut self,
        key: &str,
        node: Node,
        read: impl Fn(&mut Self, Place, Vec<Field>) -> Option<T>,
    ) -> Vec<T> {
        let tables = self.tables(key, node);
        tables.into_iter().filter_map(|(place, fields)| read(self, place, fields)).collect()
    }

    /// What may not be missing nor blank: whose, its key, how it is written.
    fn needed(
        &mut self,
        text: Option<String>,
        place: Place,
        [whose, key, example]: [&str; 3],
    ) -> Option<String> {
        let text = text.filter(|text| !text.trim().is_empty());
        if text.is_none() {
            let message = format!("there is no `{key}` here");
            let error = SheetError::new(slugs::SHEET_SHAPE, message);
            self.mistakes.add(error.at(place).of(whose).mend(format!("write {example}")));
        }
        text
    }
}
