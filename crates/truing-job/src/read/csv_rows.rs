//! CSV: a line of column names, then a row for each reading or property.

use std::collections::BTreeMap;

use csv::{ReaderBuilder, StringRecord, Trim};

use super::instruments::flag_of_text;
use super::lines::Lines;
use crate::error::{Mistakes, SheetError, quoted};
use crate::nearest::nearest;
use crate::sheet::{Entry, JobSheet, Place, Round};
use crate::slugs;

const COLUMNS: [&str; 12] = [
    "reading",
    "value",
    "round",
    "state",
    "range",
    "ucum",
    "note",
    "meter",
    "zeroed",
    "frequency",
    "uncertainty",
    "degrees_of_freedom",
];

/// The name of the round of a sheet without a `round` column.
const ONLY_ROUND: &str = "readings";

/// Reads the rows.
pub(super) fn sheet(text: &str, mistakes: &mut Mistakes) -> Option<JobSheet> {
    let delimiter = delimiter(text);
    let lines = Lines::new(text);
    let mut reader = ReaderBuilder::new()
        .has_headers(false)
        .flexible(true)
        .delimiter(delimiter)
        .comment(Some(b'#'))
        .trim(Trim::All)
        .from_reader(text.as_bytes());
    let mut columns: Option<Columns> = None;
    let mut rounds = Rounds::default();
    for record in reader.records() {
        let record = match record {
            Ok(record) => record,
            Err(error) => {
                let message = format!("this is not CSV: {error}");
                mistakes.add(SheetError::new(slugs::SHEET_SYNTAX, message));
                return None;
            }
        };
        let place = place(text, &lines, &record);
        if record.iter().all(str::is_empty) {
            continue;
        }
        match &columns {
            None => columns = Some(Columns::read(&record, place, mistakes)?),
            Some(columns) => match columns.entry(&record, place, delimiter) {
                Ok((round, entry)) => rounds.take(round, entry),
                Err(error) => mistakes.add(error),
            },
        }
    }
    Some(rounds.sheet())
}

/// Spreadsheets of countries with a decimal comma part the columns by semicolons.
fn delimiter(text: &str) -> u8 {
    let head = text.lines().map(str::trim).find(|line| !line.is_empty() && !line.starts_with('#'));
    let head = head.unwrap_or("");
    [b',', b';', b'\t'].into_iter().find(|mark| head.contains(char::from(*mark))).unwrap_or(b',')
}

/// The reader counts a row from where the last one ended: blank lines and comments before it are
/// passed over here.
fn place(text: &str, lines: &Lines<'_>, record: &StringRecord) -> Place {
    let Some(position) = record.position() else { return Place::default() };
    let mut byte = usize::try_from(position.byte()).unwrap_or(usize::MAX);
    for line in text.get(byte..).unwrap_or("").split_inclusive('\n') {
        let shown = line.trim_end_matches(['\r', '\n']);
        if !shown.is_empty() && !shown.starts_with('#') {
            break;
        }
        byte += line.len();
    }
    lines.place(byte)
}

/// Which column holds what.
struct Columns {
    width: usize,
    reading: usize,
    value: usize,
    round: Option<usize>,
    state: Option<usize>,
    range: Option<usize>,
    ucum: Option<usize>,
    note: Option<usize>,
    meter: Option<usize>,
    zeroed: Option<usize>,
    frequency: Option<usize>,
    uncertainty: Option<usize>,
    degrees_of_freedom: Option<usize>,
}

impl Columns {
    fn read(head: &StringRecord, place: Place, mistakes: &mut Mistakes) -> Option<Self> {
        let mut found = [None; COLUMNS.len()];
        let mut sound = true;
        for (at, name) in head.iter().enumerate() {
            let known = COLUMNS.iter().position(|column| name.eq_ignore_ascii_case(column));
            let Some(slot) = known.and_then(|column| found.get_mut(column)) else {
                if !name.is_empty() {
                    mistakes.add(unknown_column(name).at(place));
                    sound = false;
                }
                continue;
            };
            if slot.replace(at).is_some() {
                let message = format!("the column {} is there twice", quoted(name));
                mistakes.add(SheetError::new(slugs::KEY_TWICE, message).at(place));
                sound = false;
            }
        }
        let [
            reading,
            value,
            round,
            state,
            range,
            ucum,
            note,
            meter,
            zeroed,
            frequency,
            uncertainty,
            degrees_of_freedom,
        ] = found;
        for (column, name) in [(reading, "reading"), (value, "value")] {
            if column.is_none() && sound {
                let message = format!("there is no column `{name}`");
                mistakes.add(
                    SheetError::new(slugs::SHEET_SHAPE, message)
                        .at(place)
                        .mend("name the columns on the first line: reading,value"),
                );
            }
        }
        if !sound {
            return None;
        }
        Some(Self {
            width: head.len(),
            reading: reading?,
            value: value?,
            round,
            state,
            range,
            ucum,
            note,
            meter,
            zeroed,
            frequency,
            uncertainty,
            degrees_of_freedom,
        })
    }

    /// The entry of a row, and the round that it belongs to.
    fn entry(
        &self,
        record: &StringRecord,
        place: Place,
        delimiter: u8,
    ) -> Result<(Option<String>, Entry), SheetError> {
        let field = |at: usize| record.get(at).unwrap_or("").to_owned();
        let filled = |at: Option<usize>| at.map(field).filter(|text| !text.is_empty());
        let path = field(self.reading);
        if record.iter().skip(self.width).any(|text| !text.is_empty()) {
            return Err(too_wide(self.width, record, delimiter).at(place).of(path));
        }
        if path.is_empty() {
            let error =
                SheetError::new(slugs::SHEET_SHAPE, "the row does not say which reading it is");
            return Err(error.at(place));
        }
        let zeroed = filled(self.zeroed).map(|text| flag_of_text(&text)).transpose();
        let entry = Entry {
            zeroed: zeroed.map_err(|error| error.at(place).of(path.as_str()))?,
            path,
            value: field(self.value),
            state: filled(self.state),
            range: filled(self.range),
            meter: filled(self.meter),
            frequency: filled(self.frequency),
            uncertainty: filled(self.uncertainty),
            degrees_of_freedom: filled(self.degrees_of_freedom),
            ucum: filled(self.ucum),
            note: filled(self.note),
            time: None,
            place,
        };
        Ok((filled(self.round), entry))
    }
}

/// Entries by round. Rounds stand in the order in which they first come.
#[derive(Default)]
struct Rounds {
    rounds: Vec<Round>,
    by_name: BTreeMap<String, usize>,
    /// Rows that name no round.
    without: Vec<Entry>,
}

impl Rounds {
    fn take(&mut self, name: Option<String>, entry: Entry) {
        let Some(name) = name else { return self.without.push(entry) };
        let next = self.rounds.len();
        let place = *self.by_name.entry(name.clone()).or_insert(next);
        match self.rounds.get_mut(place) {
            Some(round) => round.readings.push(entry),
            None => self.rounds.push(Round { name, readings: vec![entry], ..Round::default() }),
        }
    }

    /// Rows without a round are about the machine, unless no row has one.
    fn sheet(self) -> JobSheet {
        let mut sheet =
            JobSheet { rounds: self.rounds, machine: self.without, ..JobSheet::default() };
        if sheet.rounds.is_empty() {
            let readings = std::mem::take(&mut sheet.machine);
            let name = ONLY_ROUND.to_owned();
            sheet.rounds.push(Round { name, readings, ..Round::default() });
        }
        sheet
    }
}

fn unknown_column(name: &str) -> SheetError {
    let mend = match nearest(name, COLUMNS) {
        Some(column) => format!("did you mean `{column}`?"),
        None => format!("the columns are {}", COLUMNS.join(", ")),
    };
    let message = format!("{} is no column of a sheet", quoted(name));
    SheetError::new(slugs::UNKNOWN_KEY, message).mend(mend)
}

fn too_wide(width: usize, record: &StringRecord, delimiter: u8) -> SheetError {
    let message = format!("the row has {} fields, and the first line names {width}", record.len());
    let mend = if delimiter == b',' {
        "put a value that holds a comma in quotes; a decimal comma is written as a point"
    } else {
        "put a value that holds the sign between columns in quotes"
    };
    SheetError::new(slugs::SHEET_SHAPE, message).mend(mend)
}
