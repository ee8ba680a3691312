//! From the tree of values to a sheet: which keys there are, and what each takes.

use super::value::{Field, Node, Value};
use crate::decide::parse_decide;
use crate::error::{Mistakes, SheetError, quoted};
use crate::nearest::nearest;
use crate::sheet::{Entry, Fitted, JobSheet, Place, Round};
use crate::slugs;

const TOP_KEYS: [&str; 19] = [
    "version",
    "job",
    "spec",
    "edition",
    "spec_hash",
    "date",
    "technician",
    "complaint",
    "shows",
    "decide",
    "note",
    "machine",
    "instrument",
    "meter",
    "ambient",
    "round",
    "readings",
    "judged",
    "closed",
];
const ROUND_KEYS: [&str; 13] = [
    "name",
    "time",
    "meter",
    "ambient",
    "correlation",
    "fitted",
    "parts",
    "cautions",
    "skipped",
    "remarks",
    "photos",
    "bypasses",
    "readings",
];
const LONG_KEYS: [&str; 11] = [
    "value",
    "state",
    "range",
    "meter",
    "zeroed",
    "frequency",
    "uncertainty",
    "degrees_of_freedom",
    "ucum",
    "time",
    "note",
];

/// The name of the round of a sheet that has only one and does not name it.
const ONLY_ROUND: &str = "readings";

/// Reads the top table.
pub(super) fn sheet(top: Vec<Field>, mistakes: &mut Mistakes) -> JobSheet {
    let mut walk = Walk { mistakes };
    let mut sheet = JobSheet::default();
    let mut loose: Option<(Place, Round)> = None;
    for Field { key, place, node } in top {
        sheet.places.insert(key.clone(), place);
        match key.as_str() {
            "job" => sheet.job = walk.text(&key, node),
            "spec" => sheet.spec = walk.text(&key, node),
            "edition" => sheet.edition = walk.text(&key, node),
            "spec_hash" => sheet.spec_hash = walk.spec_hash(&key, node),
            "date" => sheet.date = walk.day(&key, node),
            "technician" => sheet.technician = walk.text(&key, node),
            "complaint" => sheet.complaint = walk.text(&key, node),
            "shows" => sheet.shows = walk.text(&key, node),
            "note" => sheet.note = walk.text(&key, node),
            "decide" => {
                let written = walk.text(&key, node);
                sheet.decide = written.and_then(|text| match parse_decide(&text) {
                    Ok(rule) => Some(rule),
                    Err(error) => {
                        walk.mistakes.add(error.at(place).of("decide"));
                        None
                    }
                });
            }
            "machine" => walk.machine(&mut sheet, node),
            "instrument" => sheet.instruments = walk.instruments(node),
            "meter" => sheet.conditions.meters(walk.names(&key, node), place),
            "ambient" => sheet.conditions.ambient = walk.text(&key, node),
            "round" => sheet.rounds = walk.rounds(node),
            "judged" => sheet.judged = walk.judged(node),
            "closed" => sheet.closed = walk.closed(node),
            "readings" => {
                let readings = walk.entries(&key, node);
                let name = ONLY_ROUND.to_owned();
                loose = Some((place, Round { name, readings, ..Round::default() }));
            }
            _ => walk.unknown(&key, place, &TOP_KEYS, "a sheet"),
        }
    }
    walk.join(&mut sheet, loose);
    sheet
}

pub(super) struct Walk<'m> {
    pub(super) mistakes: &'m mut Mistakes,
}

impl Walk<'_> {
    /// Rounds, or readings at the top, but not both and not neither.
    fn join(&mut self, sheet: &mut JobSheet, loose: Option<(Place, Round)>) {
        let written = sheet.places.contains_key("round");
        match loose {
            Some((place, _)) if written => self.mistakes.add(
                SheetError::new(
                    slugs::SHEET_SHAPE,
                    "`readings` stand at the top and in rounds: which round these belong to is not said",
                )
                .at(place)
                .mend("write them in a `[[round]]` of their own"),
            ),
            Some((_, round)) => sheet.rounds = vec![round],
            None if !written => self.mistakes.add(
                SheetError::new(slugs::EMPTY_SHEET, "the sheet has no readings and no rounds")
                    .mend("write `[readings]` and below it a line for each: battery_rest = \"12.71 V\""),
            ),
            None => {}
        }
    }

    fn rounds(&mut self, node: Node) -> Vec<Round> {
        let nodes = match node.value {
            Value::List(nodes) => nodes,
            // `[round]` for `[[round]]`: there is only one, and what is meant is plain.
            Value::Table(fields) => vec![Node { place: node.place, value: Value::Table(fields) }],
            other => {
                self.shape("round", node.place, "tables, `[[round]]`", &other);
                return Vec::new();
            }
        };
        nodes.into_iter().enumerate().map(|(i, node)| self.round(i, node)).collect()
    }

    fn round(&mut self, index: usize, node: Node) -> Round {
        let mut round = Round { name: format!("round {}", index + 1), ..Round::default() };
        let Value::Table(fields) = node.value else {
            self.shape("round", node.place, "tables, `[[round]]`", &node.value);
            return round;
        };
        for Field { key, place, node } in fields {
            match key.as_str() {
                "name" => {
                    if let Some(name) = self.text(&key, node) {
                        round.name = name;
                    }
                }
                "time" => round.time = self.time(&key, node),
                "meter" => round.conditions.meters(self.names(&key, node), place),
                "ambient" => round.conditions.ambient = self.text(&key, node),
                "correlation" => round.correlations = self.correlations(node),
                "fitted" => round.fitted = Fitted { fixes: self.names(&key, node), place },
                "parts" => round.parts = self.parts(node),
                "cautions" => {
                    round.cautions = self.names(&key, node);
                    round.cautions_place = place;
                }
                "skipped" => round.skipped = self.skipped(node),
                "remarks" => round.remarks = self.remarks(node),
                "photos" => round.photos = self.photos(node),
                "bypasses" => round.bypasses = self.bypasses(node),
                "readings" => round.readings = self.entries(&key, node),
                _ => self.unknown(&key, place, &ROUND_KEYS, "a round"),
            }
        }
        round
    }

    /// What the machine is. Its model and its year may be said where the spec asks for neither.
    fn machine(&mut self, sheet: &mut JobSheet, node: Node) {
        let Node { place, value } = node;
        let Value::Table(fields) = value else {
            return self.shape("machine", place, "a table", &value);
        };
        let mut others = Vec::new();
        for field in fields {
            let plain = !matches!(field.node.value, Value::Table(_) | Value::List(_));
            let kept = match field.key.as_str() {
                "model" if plain => &mut sheet.model,
                "year" if plain => &mut sheet.year,
                _ => {
                    others.push(field);
                    continue;
                }
            };
            sheet.places.insert(format!("machine.{}", field.key), field.place);
            *kept = self.text(&field.key, field.node);
        }
        sheet.machine = self.entries("machine", Node { place, value: Value::Table(others) });
    }

    /// A table of readings or properties.
    fn entries(&mut self, key: &str, node: Node) -> Vec<Entry> {
        let Value::Table(fields) = node.value else {
            self.shape(key, node.place, "a table", &node.value);
            return Vec::new();
        };
        let mut entries = Vec::new();
        for Field { key, place, node } in fields {
            match node.value {
                Value::Table(members) if !is_long_form(&members) => {
                    for member in members {
                        let path = format!("{key}[{}]", member.key);
                        entries.extend(self.entry(path, member.place, member.node));
                    }
                }
                _ => entries.extend(self.entry(key, place, node)),
            }
        }
        entries
    }

    /// One entry, in its short form or its long one.
    fn entry(&mut self, path: String, place: Place, node: Node) -> Option<Entry> {
        match node.value {
            Value::Table(fields) => self.long_form(path, place, fields),
            value => {
                let value = self.reading_text(&path, node.place, value)?;
                Some(Entry { path, value, place, ..Entry::default() })
            }
        }
    }

    fn long_form(&mut self, path: String, place: Place, fields: Vec<Field>) -> Option<Entry> {
        let mut entry = Entry { path, place, ..Entry::default() };
        let mut value = None;
        let mut sound = true;
        for Field { key, place, node } in fields {
            let slot = match key.as_str() {
                "value" => {
                    value = self.reading_text(&entry.path, node.place, node.value);
                    sound &= value.is_some();
                    continue;
                }
                "state" => &mut entry.state,
                "range" => &mut entry.range,
                "meter" => &mut entry.meter,
                "frequency" => &mut entry.frequency,
                "uncertainty" => &mut entry.uncertainty,
                "degrees_of_freedom" => &mut entry.degrees_of_freedom,
                "time" => {
                    entry.time = self.time(&key, node);
                    continue;
                }
                "zeroed" => {
                    entry.zeroed = self.flag(&key, node);
                    continue;
                }
                "ucum" => &mut entry.ucum,
                "note" => &mut entry.note,
                _ => {
                    self.unknown(&key, place, &LONG_KEYS, "a reading's long form");
                    sound = false;
                    continue;
                }
            };
            *slot = self.text(&key, node);
        }
        if !sound {
            return None;
        }
        match value {
            Some(value) => Some(Entry { value, ..entry }),
            None => {
                let error = SheetError::new(slugs::SHEET_SHAPE, "there is no `value` here");
                self.mistakes
                    .add(error.at(place).of(entry.path).mend("write { value = \"12.71 V\" }"));
                None
            }
        }
    }

    /// A reading's text. A list is repeats.
    fn reading_text(&mut self, path: &str, place: Place, value: Value) -> Option<String> {
        match value {
            Value::Text(text) | Value::Number(text) => Some(text),
            Value::Nothing => Some(String::new()),
            Value::List(nodes) => {
                let texts: Vec<_> = nodes
                    .into_iter()
                    .map(|node| match node.value {
                        Value::Text(text) | Value::Number(text) => Some(text),
                        other => {
                            self.shape(path, node.place, "texts", &other);
                            None
                        }
                    })
                    .collect();
                texts.into_iter().collect::<Option<Vec<_>>>().map(|texts| texts.join(", "))
            }
            other => {
                self.shape(path, place, "a text, \"12.71 V\"", &other);
                None
            }
        }
    }

    /// A text; a number or a date is taken as the text that it is written as.
    pub(super) fn text(&mut self, key: &str, node: Node) -> Option<String> {
        match node.value {
            Value::Text(text) | Value::Number(text) | Value::Date(text) => Some(text),
            Value::Nothing => None,
            other => {
                self.shape(key, node.place, "a text", &other);
                None
            }
        }
    }

    pub(super) fn shape(&mut self, key: &str, place: Place, wanted: &str, found: &Value) {
        let message = format!("{} takes {wanted}, and this is {}", quoted(key), found.words());
        self.mistakes.add(SheetError::new(slugs::SHEET_SHAPE, message).at(place).of(key));
    }

    pub(super) fn unknown(&mut self, key: &str, place: Place, known: &[&str], of: &str) {
        let message = format!("{} is no key of {of}", quoted(key));
        let mend = match nearest(key, known.iter().copied()) {
            Some(name) => format!("did you mean `{name}`?"),
            None => format!("the keys are {}", known.join(", ")),
        };
        self.mistakes.add(SheetError::new(slugs::UNKNOWN_KEY, message).at(place).mend(mend));
    }
}

/// `{ value = …, note = … }` is one reading; any other table is a family with its members. A family
/// whose members have such names is written with a path for each.
fn is_long_form(fields: &[Field]) -> bool {
    let long = |field: &Field| LONG_KEYS.contains(&field.key.as_str());
    fields.iter().any(|field| field.key == "value")
        || (!fields.is_empty() && fields.iter().all(long))
}
