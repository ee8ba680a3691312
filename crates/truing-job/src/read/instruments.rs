//! With what readings were taken: the instruments of a sheet, and what names them.

use super::structure::Walk;
use super::value::{Field, Node, Value};
use crate::error::{SheetError, quoted};
use crate::sheet::{Conditions, Correlation, Instrument, Place};
use crate::slugs;

const INSTRUMENT_KEYS: [&str; 4] = ["name", "profile", "zeroed", "calibrated"];
const CORRELATION_KEYS: [&str; 2] = ["readings", "coefficient"];

impl Conditions {
    pub(super) fn meters(&mut self, meters: Vec<String>, place: Place) {
        self.meters = meters;
        self.place = place;
    }
}

impl Walk<'_> {
    /// `[[instrument]]`
    pub(super) fn instruments(&mut self, node: Node) -> Vec<Instrument> {
        let tables = self.tables("instrument", node);
        tables.into_iter().filter_map(|(place, fields)| self.instrument(place, fields)).collect()
    }

    fn instrument(&mut self, place: Place, fields: Vec<Field>) -> Option<Instrument> {
        let mut instrument = Instrument { place, ..Instrument::default() };
        let (mut name, mut profile) = (None, None);
        for Field { key, place, node } in fields {
            match key.as_str() {
                "name" => name = self.text(&key, node),
                "profile" => profile = self.text(&key, node),
                "zeroed" => instrument.zeroed = self.flag(&key, node).unwrap_or(false),
                "calibrated" => instrument.calibrated = self.text(&key, node),
                _ => self.unknown(&key, place, &INSTRUMENT_KEYS, "an instrument"),
            }
        }
        let Some(profile) = profile else {
            let message = "the instrument does not say which profile it has";
            self.mistakes.add(
                SheetError::new(slugs::SHEET_SHAPE, message)
                    .at(place)
                    .of("instrument")
                    .mend("write name = \"M-B\" and profile = \"handheld_6000\""),
            );
            return None;
        };
        instrument.name = name.unwrap_or_else(|| profile.clone());
        instrument.profile = profile;
        Some(instrument)
    }

    /// `[[round.correlation]]`
    pub(super) fn correlations(&mut self, node: Node) -> Vec<Correlation> {
        let tables = self.tables("correlation", node);
        tables.into_iter().filter_map(|(place, fields)| self.correlation(place, fields)).collect()
    }

    fn correlation(&mut self, place: Place, fields: Vec<Field>) -> Option<Correlation> {
        let mut correlation = Correlation { place, ..Correlation::default() };
        let mut coefficient = None;
        for Field { key, place, node } in fields {
            match key.as_str() {
                "readings" => correlation.readings = self.names(&key, node),
                "coefficient" => coefficient = self.text(&key, node),
                _ => self.unknown(&key, place, &CORRELATION_KEYS, "a correlation"),
            }
        }
        if let (Some(coefficient), 2..) = (coefficient, correlation.readings.len()) {
            return Some(Correlation { coefficient, ..correlation });
        }
        let message = "a correlation is between two readings or more, and has a coefficient";
        self.mistakes.add(
            SheetError::new(slugs::SHEET_SHAPE, message)
                .at(place)
                .of("correlation")
                .mend("write readings = [\"a\", \"b\"] and coefficient = 0.9"),
        );
        None
    }

    /// Tables of a list, `[[key]]`; of a single table, that one.
    pub(super) fn tables(&mut self, key: &str, node: Node) -> Vec<(Place, Vec<Field>)> {
        let nodes = match node.value {
            Value::List(nodes) => nodes,
            Value::Table(_) => vec![node],
            other => {
                self.shape(key, node.place, &format!("tables, `[[{key}]]`"), &other);
                return Vec::new();
            }
        };
        let mut tables = Vec::new();
        for Node { place, value } in nodes {
            match value {
                Value::Table(fields) => tables.push((place, fields)),
                other => self.shape(key, place, &format!("tables, `[[{key}]]`"), &other),
            }
        }
        tables
    }

    /// One name, or a list of them.
    pub(super) fn names(&mut self, key: &str, node: Node) -> Vec<String> {
        match node.value {
            Value::List(nodes) => {
                nodes.into_iter().filter_map(|node| self.text(key, node)).collect()
            }
            _ => self.text(key, node).into_iter().collect(),
        }
    }

    /// Yes or no.
    pub(super) fn flag(&mut self, key: &str, node: Node) -> Option<bool> {
        match node.value {
            Value::Flag(flag) => Some(flag),
            Value::Nothing => None,
            other => {
                self.shape(key, node.place, "`true` or `false`", &other);
                None
            }
        }
    }
}

/// Yes or no as a row of a spreadsheet has it.
pub(super) fn flag_of_text(text: &str) -> Result<bool, SheetError> {
    match text.trim().to_ascii_lowercase().as_str() {
        "true" | "yes" | "y" | "x" | "1" => Ok(true),
        "false" | "no" | "n" | "0" => Ok(false),
        _ => {
            let message = format!("{} is neither yes nor no", quoted(text));
            Err(SheetError::new(slugs::SHEET_SHAPE, message).mend("write `yes` or `no`"))
        }
    }
}
