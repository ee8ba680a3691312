//! Columns: items of one kind that follow each other line by line have their titles, kinds, values
//! and citations below each other, and so have the ranges of a meter.

use super::WIDEST_LINE;
use super::lines::{Line, length};
use super::pieces::{Piece, Role};
use crate::lex::TokenKind;

/// Columns further apart than this are left ragged.
const WIDEST_SPREAD: usize = 30;

/// What begins a column, in order.
#[derive(Copy, Clone, PartialEq, Eq)]
enum Column {
    Title,
    Sign(&'static str),
    Word(&'static str),
}

const OF_ITEMS: &[Column] =
    &[Column::Title, Column::Sign(":"), Column::Sign("="), Column::Word("cite")];
const OF_RANGES: &[Column] =
    &[Column::Word("step"), Column::Word("accuracy"), Column::Word("band")];

/// Aligns what belongs together.
pub(crate) fn align(lines: &mut [Line], pieces: &[Piece]) {
    let mut group: Vec<usize> = Vec::new();
    let mut keyword = "";
    let mut columns = OF_ITEMS;
    for at in 0..lines.len() {
        let Some(line) = lines.get(at) else { break };
        let Some(first) = line.first(pieces) else { continue };
        let begins = match first.role {
            Role::Item => Some(OF_ITEMS),
            Role::Member if first.text == "range" => Some(OF_RANGES),
            _ => None,
        };
        match begins {
            Some(_) if first.text == keyword && !line.spaced => group.push(at),
            Some(wanted) => {
                level(lines, &group, pieces, columns);
                (group, keyword, columns) = (vec![at], &first.text, wanted);
            }
            // The points of a curve do not part one limit from the next; other lines do.
            None if keyword == "limit" && first.kind != TokenKind::Comment => {}
            None => {
                level(lines, &group, pieces, columns);
                (group, keyword) = (Vec::new(), "");
            }
        }
    }
    level(lines, &group, pieces, columns);
}

/// Puts the columns of these lines below each other.
fn level(lines: &mut [Line], group: &[usize], pieces: &[Piece], columns: &[Column]) {
    for (rank, column) in columns.iter().enumerate() {
        let later = columns.get(rank + 1..).unwrap_or(&[]);
        let places: Vec<(usize, usize, usize)> = group
            .iter()
            .filter_map(|at| {
                let line = lines.get(*at)?;
                let cell = find(line, pieces, *column, later)?;
                Some((*at, cell, width_before(line, pieces, cell)))
            })
            .collect();
        let most = places.iter().map(|place| place.2).max().unwrap_or(0);
        let least = places.iter().map(|place| place.2).min().unwrap_or(0);
        let fits = places.iter().all(|(at, _, width)| {
            lines.get(*at).is_some_and(|line| line.width(pieces) + most - width <= WIDEST_LINE)
        });
        if !fits || most - least > WIDEST_SPREAD {
            continue;
        }
        for (at, cell, width) in places {
            if let Some((_, gap)) = lines.get_mut(at).and_then(|line| line.cells.get_mut(cell)) {
                *gap += most - width;
            }
        }
    }
}

fn width_before(line: &Line, pieces: &[Piece], cell: usize) -> usize {
    let before = line.cells.iter().take(cell);
    line.indent + before.map(|(piece, gap)| gap + length(pieces, *piece)).sum::<usize>()
}

/// The cell that begins a column, unless a later column has begun before it.
fn find(line: &Line, pieces: &[Piece], column: Column, later: &[Column]) -> Option<usize> {
    for (cell, (at, _)) in line.cells.iter().enumerate().skip(1) {
        let piece = pieces.get(*at)?;
        if is(piece, column) {
            return Some(cell);
        }
        let past = later.iter().any(|later| is(piece, *later));
        if past || matches!(piece.role, Role::Open(_)) || piece.kind == TokenKind::Comment {
            return None;
        }
    }
    None
}

fn is(piece: &Piece, column: Column) -> bool {
    match column {
        Column::Title => piece.kind == TokenKind::Text,
        Column::Sign(sign) => piece.kind == TokenKind::Sign && piece.text == sign,
        Column::Word(word) => piece.kind == TokenKind::Word && piece.text == word,
    }
}
