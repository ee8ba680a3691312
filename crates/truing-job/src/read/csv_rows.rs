//! CSV: a line of column names, then a row for each reading or property. What was `fitted` before a
//! round stands in a column of its own, on any of its rows or on a row that says nothing else.

use std::collections::BTreeMap;

use csv::{ReaderBuilder, StringRecord, Trim};

use super::instruments::flag_of_text;
use super::lines::Lines;
use crate::error::{Mistakes, SheetError, quoted};
use crate::nearest::nearest;
use crate::sheet::{Entry, JobSheet, Place, Round};
use crate::slugs;

/// The columns, each once: what it is to the code, and its name on the first line.
macro_rules! columns {
    ($($column:ident = $name:literal),* $(,)?) => {
        #[derive(Copy, Clone)]
        enum Column { $($column),* }

        const COLUMNS: &[&str] = &[$($name),*];
    };
}

columns! {
    Reading = "reading",
    Value = "value",
    Round = "round",
    Fitted = "fitted",
    State = "state",
    Range = "range",
    Ucum = "ucum",
    Note = "note",
    Meter = "meter",
    Zeroed = "zeroed",
    Frequency = "frequency",
    Uncertainty = "uncertainty",
    DegreesOfFreedom = "degrees_of_freedom",
}

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
            Some(columns) => match columns.row(&record, place, delimiter) {
                Ok(row) => rounds.take(row),
                Err(error) => mistakes.add(error),
            },
        }
    }
    Some(rounds.sheet(mistakes))
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

/// Where each column stands.
struct Columns {
    width: usize,
    at: Vec<Option<usize>>,
}

/// What a row says.
struct Row {
    round: Option<String>,
    /// Nothing on a row that only says what was fitted.
    entry: Option<Entry>,
    fitted: Vec<String>,
    place: Place,
}

impl Columns {
    fn read(head: &StringRecord, place: Place, mistakes: &mut Mistakes) -> Option<Self> {
        let mut found = Self { width: head.len(), at: vec![None; COLUMNS.len()] };
        let mut sound = true;
        for (at, name) in head.iter().enumerate() {
            let known = COLUMNS.iter().position(|column| name.eq_ignore_ascii_case(column));
            let Some(slot) = known.and_then(|column| found.at.get_mut(column)) else {
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
        for (column, name) in [(Column::Reading, "reading"), (Column::Value, "value")] {
            if found.place(column).is_none() && sound {
                let message = format!("there is no column `{name}`");
                mistakes.add(
                    SheetError::new(slugs::SHEET_SHAPE, message)
                        .at(place)
                        .mend("name the columns on the first line: reading,value"),
                );
                return None;
            }
        }
        sound.then_some(found)
    }

    fn place(&self, column: Column) -> Option<usize> {
        self.at.get(column as usize).copied().flatten()
    }

    /// What a row says, and the round that it belongs to.
    fn row(&self, record: &StringRecord, place: Place, delimiter: u8) -> Result<Row, SheetError> {
        let text = |column| {
            let text = self.place(column).and_then(|at| record.get(at));
            text.filter(|text| !text.is_empty()).map(str::to_owned)
        };
        let path = text(Column::Reading).unwrap_or_default();
        if record.iter().skip(self.width).any(|text| !text.is_empty()) {
            return Err(too_wide(self.width, record, delimiter).at(place).of(path));
        }
        let fitted: Vec<String> = text(Column::Fitted).map_or(Vec::new(), |text| {
            let names = text.split(|c: char| c.is_whitespace() || c == ',' || c == ';');
            names.filter(|name| !name.is_empty()).map(str::to_owned).collect()
        });
        let round = text(Column::Round);
        if path.is_empty() && !fitted.is_empty() && text(Column::Value).is_none() {
            return Ok(Row { round, entry: None, fitted, place });
        }
        if path.is_empty() {
            let error =
                SheetError::new(slugs::SHEET_SHAPE, "the row does not say which reading it is");
            return Err(error.at(place));
        }
        let zeroed = text(Column::Zeroed).map(|text| flag_of_text(&text)).transpose();
        let entry = Entry {
            zeroed: zeroed.map_err(|error| error.at(place).of(path.as_str()))?,
            path,
            value: text(Column::Value).unwrap_or_default(),
            state: text(Column::State),
            range: text(Column::Range),
            meter: text(Column::Meter),
            frequency: text(Column::Frequency),
            uncertainty: text(Column::Uncertainty),
            degrees_of_freedom: text(Column::DegreesOfFreedom),
            ucum: text(Column::Ucum),
            note: text(Column::Note),
            time: None,
            place,
        };
        Ok(Row { round, entry: Some(entry), fitted, place })
    }
}

/// Rows by round. Rounds stand in the order in which they first come.
#[derive(Default)]
struct Rounds {
    rounds: Vec<Round>,
    by_name: BTreeMap<String, usize>,
    /// Rows that name no round.
    without: Round,
}

impl Rounds {
    fn take(&mut self, row: Row) {
        let round = match row.round {
            None => &mut self.without,
            Some(name) => {
                let next = self.rounds.len();
                let place = *self.by_name.entry(name.clone()).or_insert(next);
                if place == next {
                    self.rounds.push(Round { name, ..Round::default() });
                }
                match self.rounds.get_mut(place) {
                    Some(round) => round,
                    None => &mut self.without,
                }
            }
        };
        round.readings.extend(row.entry);
        if round.fitted.fixes.is_empty() && !row.fitted.is_empty() {
            round.fitted.place = row.place;
        }
        for fix in row.fitted {
            if !round.fitted.fixes.contains(&fix) {
                round.fitted.fixes.push(fix);
            }
        }
    }

    /// Rows without a round are about the machine, unless no row has one.
    fn sheet(mut self, mistakes: &mut Mistakes) -> JobSheet {
        if self.rounds.is_empty() {
            self.without.name = ONLY_ROUND.to_owned();
            return JobSheet { rounds: vec![self.without], ..JobSheet::default() };
        }
        if !self.without.fitted.fixes.is_empty() {
            let message = "the row says what was fitted, and not before which round";
            mistakes.add(
                SheetError::new(slugs::SHEET_SHAPE, message)
                    .at(self.without.fitted.place)
                    .of("fitted")
                    .mend("name the round that came after the repair"),
            );
        }
        JobSheet { rounds: self.rounds, machine: self.without.readings, ..JobSheet::default() }
    }
}

fn unknown_column(name: &str) -> SheetError {
    let mend = match nearest(name, COLUMNS.iter().copied()) {
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
