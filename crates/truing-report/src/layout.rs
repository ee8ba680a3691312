//! Text in columns: widths as a terminal counts them, wrapping with a hanging indent, tables.

use unicode_width::{UnicodeWidthChar, UnicodeWidthStr};

/// How many columns `text` takes.
pub(crate) fn width(text: &str) -> usize {
    UnicodeWidthStr::width(text)
}

/// `text` with spaces behind it up to `columns`.
pub(crate) fn pad(text: &str, columns: usize) -> String {
    let missing = columns.saturating_sub(width(text));
    format!("{text}{}", " ".repeat(missing))
}

/// Text of a spec or a sheet as it may go to a terminal: no control characters, on one line.
///
/// A file can hold escape sequences; printed raw they would drive the reader's terminal.
pub fn shown(text: &str) -> String {
    let safe = text.chars().map(|c| match c {
        c if c.is_whitespace() => ' ',
        c if c.is_control() || is_direction_mark(c) => char::REPLACEMENT_CHARACTER,
        c => c,
    });
    let safe: String = safe.collect();
    safe.split(' ').filter(|word| !word.is_empty()).collect::<Vec<_>>().join(" ")
}

// Marks that reorder what stands around them: a limit could be made to read as another one.
fn is_direction_mark(c: char) -> bool {
    matches!(
        c,
        '\u{061C}' | '\u{200E}' | '\u{200F}' | '\u{202A}'..='\u{202E}' | '\u{2066}'..='\u{2069}'
    )
}

/// The lines of `text`, broken between words so that none is wider than `columns`; a word wider
/// than that is cut.
pub(crate) fn wrap(text: &str, columns: usize) -> Vec<String> {
    let columns = columns.max(1);
    let mut lines = Vec::new();
    let mut line = String::new();
    for word in text.split_whitespace() {
        for piece in pieces(word, columns) {
            if !line.is_empty() && width(&line) + 1 + width(&piece) > columns {
                lines.push(std::mem::take(&mut line));
            }
            if !line.is_empty() {
                line.push(' ');
            }
            line.push_str(&piece);
        }
    }
    if !line.is_empty() {
        lines.push(line);
    }
    lines
}

fn pieces(word: &str, columns: usize) -> Vec<String> {
    let mut pieces = vec![String::new()];
    let mut taken = 0;
    for c in word.chars() {
        let wide = c.width().unwrap_or(0);
        if taken + wide > columns && taken > 0 {
            pieces.push(String::new());
            taken = 0;
        }
        taken += wide;
        if let Some(piece) = pieces.last_mut() {
            piece.push(c);
        }
    }
    pieces
}

/// `lead` and then `text`, wrapped into `columns`, its further lines below its first.
pub fn hanging(lead: &str, text: &str, columns: usize) -> String {
    let indent = width(lead);
    let room = columns.saturating_sub(indent).max(16);
    let mut out = String::new();
    for (i, line) in wrap(text, room).iter().enumerate() {
        if i == 0 {
            out.push_str(lead);
        } else {
            out.push_str(&" ".repeat(indent));
        }
        out.push_str(line);
        out.push('\n');
    }
    out
}

/// Rows of cells as aligned columns, two spaces between them, `indent` before them. Cells that do
/// not fit are wrapped: the widest column gives way first.
pub(crate) fn table(rows: &[Vec<String>], indent: usize, columns: usize) -> String {
    let count = rows.iter().map(Vec::len).max().unwrap_or(0);
    let mut widths = vec![0usize; count];
    for row in rows {
        for (w, cell) in widths.iter_mut().zip(row) {
            *w = (*w).max(width(cell));
        }
    }
    shrink(&mut widths, columns.saturating_sub(indent + 2 * count.saturating_sub(1)));
    rows.iter().map(|row| table_row(row, &widths, indent)).collect()
}

/// Takes from the widest column until all fit into `room`, leaving each at least eight.
fn shrink(widths: &mut [usize], room: usize) {
    const LEAST: usize = 8;
    while widths.iter().sum::<usize>() > room {
        match widths.iter_mut().max() {
            Some(widest) if *widest > LEAST => *widest -= 1,
            _ => return,
        }
    }
}

fn table_row(row: &[String], widths: &[usize], indent: usize) -> String {
    let cells: Vec<Vec<String>> = row.iter().zip(widths).map(|(c, w)| wrap(c, *w)).collect();
    let height = cells.iter().map(Vec::len).max().unwrap_or(0).max(1);
    let mut out = String::new();
    for i in 0..height {
        let mut line = " ".repeat(indent);
        for (cell, w) in cells.iter().zip(widths) {
            line.push_str(&pad(cell.get(i).map_or("", String::as_str), w + 2));
        }
        out.push_str(line.trim_end());
        out.push('\n');
    }
    out
}

/// "1 check", "2 checks".
#[must_use]
pub fn counted(n: usize, one: &str, many: &str) -> String {
    format!("{n} {}", if n == 1 { one } else { many })
}

/// "a", "a and b", "a, b and c".
pub(crate) fn listed(words: &[String]) -> String {
    match words {
        [] => String::new(),
        [only] => only.clone(),
        [front @ .., last] => format!("{} and {last}", front.join(", ")),
    }
}

#[cfg(test)]
mod tests {
    use super::{hanging, listed, shown, table, width, wrap};

    #[test]
    fn wraps_between_words_and_cuts_what_is_too_long() {
        assert_eq!(wrap("one two three", 7), ["one two", "three"]);
        assert_eq!(wrap("abcdefgh ij", 4), ["abcd", "efgh", "ij"]);
        assert!(wrap("", 10).is_empty());
    }

    #[test]
    fn further_lines_hang_below_the_first() {
        assert_eq!(
            hanging("why  ", "one two three four five six", 21),
            "why  one two three\n     four five six\n"
        );
    }

    #[test]
    fn columns_are_aligned_by_what_a_terminal_shows() {
        let rows = [
            vec!["0.18 ± 0.04 Ω".to_owned(), "x".to_owned()],
            vec!["電圧".to_owned(), "y".to_owned()],
        ];
        let text = table(&rows, 2, 80);
        let starts: Vec<usize> =
            text.lines().map(|line| width(line.trim_end_matches(['x', 'y']))).collect();
        assert_eq!(starts, [17, 17]);
    }

    #[test]
    fn a_table_fits_into_its_columns() {
        let long = "word ".repeat(30);
        let rows = [vec!["first".to_owned(), long.clone(), long]];
        assert!(table(&rows, 2, 60).lines().all(|line| width(line) <= 60));
    }

    #[test]
    fn control_characters_never_reach_the_terminal() {
        assert_eq!(shown("a\x1b[31mb\tc\u{202E}"), "a\u{FFFD}[31mb c\u{FFFD}");
    }

    #[test]
    fn lists_read_as_people_write_them() {
        let words = ["a".to_owned(), "b".to_owned(), "c".to_owned()];
        assert_eq!(listed(&words), "a, b and c");
        assert_eq!(listed(&words[..2]), "a and b");
        assert_eq!(listed(&words[..1]), "a");
    }
}
