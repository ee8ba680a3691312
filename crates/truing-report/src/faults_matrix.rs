//! The matrix of faults and checks: what each fault does to each check, drawn in letters.
//!
//! A wide matrix is cut into blocks of columns; in each block stand only the faults that do something
//! in it.

use truing_engine::suspects::{FaultWorth, Mark, Worth};
use truing_model::{CheckBand, CheckId};

use crate::layout::{pad, table, width};
use crate::suspects_words::Words;

/// A cell, and the number of its column.
const COLUMN: usize = 3;
/// Blanks before a row, and between its name and its cells.
const MARGIN: usize = 2;

/// Some columns of the matrix, with the rows that have something in them.
pub(crate) struct Block<'a> {
    /// The number of the first column, from 1.
    pub first: usize,
    /// The checks.
    pub checks: &'a [CheckId],
    /// The faults that act on one of them.
    pub rows: Vec<Row<'a>>,
}

/// A fault, and what it does to each check of a block.
pub(crate) struct Row<'a> {
    pub fault: &'a FaultWorth,
    pub marks: Vec<Option<&'a Mark>>,
}

/// The matrix in blocks of at most so many columns.
pub(crate) fn blocks(worth: &Worth, columns: usize) -> Vec<Block<'_>> {
    let mut first = 1;
    let mut out = Vec::new();
    for checks in worth.checks.chunks(columns.max(1)) {
        let row = |fault: &'_ FaultWorth| -> Vec<Option<usize>> {
            let place = |id: &CheckId| fault.marks.iter().position(|mark| mark.check == *id);
            checks.iter().map(place).collect()
        };
        let rows = worth.faults.iter().filter_map(|fault| {
            let marks: Vec<Option<&Mark>> =
                row(fault).into_iter().map(|at| at.and_then(|at| fault.marks.get(at))).collect();
            marks.iter().any(Option::is_some).then_some(Row { fault, marks })
        });
        out.push(Block { first, checks, rows: rows.collect() });
        first += checks.len();
    }
    out
}

/// The letter of a band: a capital where the check is most probably so.
pub(crate) fn letter(band: CheckBand, mostly: bool) -> char {
    let letter = match band {
        CheckBand::Ok => 'o',
        CheckBand::Worn => 'w',
        CheckBand::High => 'h',
        CheckBand::Low => 'l',
        CheckBand::Fail => 'x',
    };
    if mostly { letter.to_ascii_uppercase() } else { letter }
}

/// `L9`: low in at least nine of ten, and so most probably; `.` where the fault does nothing.
fn cell(mark: Option<&Mark>) -> String {
    let Some((mark, band)) = mark.and_then(|mark| Some((mark, mark.band()?))) else {
        return ".".to_owned();
    };
    // 0.7 is a little less than seven tenths in binary.
    let tenths = (mark.chance() * 10.0 + 1e-9).floor().min(9.0);
    format!("{}{tenths}", letter(band, mark.mostly.is_some()))
}

/// The matrix as text that is no wider than so many columns.
pub(crate) fn render(words: &Words<'_>, worth: &Worth, columns: usize) -> String {
    let label = |of: &FaultWorth| {
        words.spec.fault(of.fault).map_or(String::new(), |fault| fault.label.clone())
    };
    let names = worth.faults.iter().map(label);
    let name = names.map(|name| width(&name)).max().unwrap_or(0).min(columns / 2);
    let column = COLUMN.max(worth.checks.len().to_string().len() + 1);
    let room = columns.saturating_sub(2 * MARGIN + name) / column;
    let mut out = String::new();
    for block in blocks(worth, room) {
        out.push_str(&block_text(words, &block, [name, column], columns, &label));
    }
    out
}

fn block_text(
    words: &Words<'_>,
    block: &Block<'_>,
    [name, column]: [usize; 2],
    columns: usize,
    label: &impl Fn(&FaultWorth) -> String,
) -> String {
    let margin = " ".repeat(MARGIN);
    let numbers = (block.first..).take(block.checks.len());
    let head: String = numbers.clone().map(|at| format!("{at:>column$}")).collect();
    let mut out = format!("{margin}{}{head}\n", " ".repeat(name + 1));
    for row in &block.rows {
        let cells: String = row
            .marks
            .iter()
            .map(|mark| {
                let cell = cell(*mark);
                // A lone point stands below the letters.
                let cell = if cell == "." { ". ".to_owned() } else { cell };
                format!("{cell:>column$}")
            })
            .collect();
        let name_of = cut(&label(row.fault), name);
        out.push_str(format!("{margin}{}{cells}", pad(&name_of, name + 1)).trim_end());
        out.push('\n');
    }
    let named: Vec<String> =
        numbers.zip(block.checks).map(|(at, id)| format!("{at} {}", words.check(*id))).collect();
    out.push_str(&side_by_side(&named, columns));
    out.push('\n');
    out
}

/// Names below each other, in as many columns as there is room for.
fn side_by_side(names: &[String], columns: usize) -> String {
    let widest = names.iter().map(|name| width(name)).max().unwrap_or(0);
    let beside = (columns.saturating_sub(MARGIN) / (widest + MARGIN)).max(1);
    let down = names.len().div_ceil(beside);
    let rows: Vec<Vec<String>> = (0..down)
        .map(|row| names.iter().skip(row).step_by(down.max(1)).cloned().collect())
        .collect();
    table(&rows, MARGIN, columns)
}

/// A name that is too long for its column ends in `~`.
fn cut(name: &str, columns: usize) -> String {
    if width(name) <= columns {
        return name.to_owned();
    }
    let mut out = String::new();
    for c in name.chars() {
        if width(&out) + 2 > columns {
            break;
        }
        out.push(c);
    }
    out.push('~');
    out
}
