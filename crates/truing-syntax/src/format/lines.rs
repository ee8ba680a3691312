//! Where lines begin and how far in.
//!
//! A body with a line break in it is written one member a line; one without stays on its line if
//! that is short enough. Elsewhere the author's line breaks are kept, indented once more.

use super::WIDEST_LINE;
use super::pieces::{Piece, Role};
use crate::lex::TokenKind;
use crate::words::is_item_word;

const STEP: usize = 4;

/// One line of the result.
pub(crate) struct Line {
    /// Blanks before it.
    pub(crate) indent: usize,
    /// How far in what it belongs to begins.
    base: usize,
    /// A blank line stands before it.
    pub(crate) spaced: bool,
    /// Its pieces, each with the blanks before it.
    pub(crate) cells: Vec<(usize, usize)>,
}

impl Line {
    /// Its width in characters, a comment at its end left out: no line is broken for a comment.
    pub(crate) fn width(&self, pieces: &[Piece]) -> usize {
        let comment =
            |at: usize| pieces.get(at).is_some_and(|piece| piece.kind == TokenKind::Comment);
        let cells = self.cells.iter().filter(|(at, _)| !comment(*at));
        self.indent + cells.map(|(piece, gap)| gap + length(pieces, *piece)).sum::<usize>()
    }

    /// Its first piece.
    pub(crate) fn first<'p>(&self, pieces: &'p [Piece]) -> Option<&'p Piece> {
        self.cells.first().and_then(|(piece, _)| pieces.get(*piece))
    }
}

/// Characters of a piece.
pub(crate) fn length(pieces: &[Piece], at: usize) -> usize {
    pieces.get(at).map_or(0, |piece| piece.text.chars().count())
}

/// Lays the pieces out in lines.
pub(crate) fn lay_out(pieces: &[Piece]) -> Vec<Line> {
    let mut broken = bodies_with_breaks(pieces);
    // Each turn breaks at least one body, and bodies nest 128 deep at most.
    loop {
        let lines = break_into_lines(pieces, &broken);
        let mut again = false;
        for line in lines.iter().filter(|line| line.width(pieces) > WIDEST_LINE) {
            let mut inside = 0;
            for (at, _) in &line.cells {
                match pieces.get(*at).map(|piece| piece.role) {
                    Some(Role::Open(close)) if *at >= inside && close > at + 1 => {
                        inside = close;
                        if let Some(flag @ false) = broken.get_mut(*at) {
                            *flag = true;
                            again = true;
                        }
                    }
                    _ => {}
                }
            }
        }
        if !again {
            return lines.into_iter().flat_map(|line| wrap(line, pieces)).collect();
        }
    }
}

/// For each piece, whether it opens a body with a line break in it.
fn bodies_with_breaks(pieces: &[Piece]) -> Vec<bool> {
    let mut broken = vec![false; pieces.len()];
    // INVARIANT: a body's line breaks count for the bodies around it too, so the stack's top may be
    // marked alone and handed outward when it closes.
    let mut open: Vec<(usize, bool)> = Vec::new();
    for (at, piece) in pieces.iter().enumerate() {
        if piece.breaks > 0
            && let Some((_, breaks)) = open.last_mut()
        {
            *breaks = true;
        }
        match piece.role {
            Role::Open(_) => open.push((at, false)),
            Role::Close(begin) => {
                if let Some((opened, breaks)) = open.pop() {
                    if let Some(flag) = broken.get_mut(opened) {
                        // An empty body has nothing to put on lines.
                        *flag = breaks && at > begin + 1;
                    }
                    if let Some((_, outer)) = open.last_mut() {
                        *outer |= breaks && at > begin + 1;
                    }
                }
            }
            _ => {}
        }
    }
    broken
}

fn break_into_lines(pieces: &[Piece], broken: &[bool]) -> Vec<Line> {
    let is_broken = |open: usize| broken.get(open).copied().unwrap_or(false);
    let mut lines: Vec<Line> = Vec::new();
    // How far in the lines of the body at hand are, and the member at hand.
    let (mut body, mut member) = (0, 0);
    let mut outer: Vec<(usize, usize)> = Vec::new();
    // For each body that is open, whether it is written one member a line.
    let mut open: Vec<bool> = Vec::new();
    for (at, piece) in pieces.iter().enumerate() {
        let before = at.checked_sub(1).and_then(|before| pieces.get(before));
        let opened = before.is_some_and(|b| matches!(b.role, Role::Open(_)));
        let begins = match piece.role {
            Role::Item => {
                (body, member) = (0, 0);
                outer.clear();
                open.clear();
                Some(0)
            }
            Role::Member if open.last() == Some(&true) => {
                member = body;
                Some(body)
            }
            Role::Close(open) if is_broken(open) => {
                (body, member) = outer.pop().unwrap_or((0, 0));
                Some(member)
            }
            _ => inner_break(pieces, broken, at, body, member),
        };
        match begins {
            Some(indent) => {
                let apart = piece.breaks > 1 && !opened && !matches!(piece.role, Role::Close(_));
                let own = piece.kind == TokenKind::Comment
                    || matches!(piece.role, Role::Item | Role::Member);
                lines.push(Line {
                    indent,
                    base: if piece.kind == TokenKind::Comment { indent } else { member },
                    spaced: apart && own && !lines.is_empty(),
                    cells: vec![(at, 0)],
                });
            }
            None => {
                let gap = gap(before, piece);
                if let Some(line) = lines.last_mut() {
                    line.cells.push((at, gap));
                }
            }
        }
        match piece.role {
            Role::Open(_) => {
                open.push(is_broken(at));
                if is_broken(at) {
                    outer.push((body, member));
                    body = member + STEP;
                }
            }
            Role::Close(_) => {
                open.pop();
            }
            _ => {}
        }
    }
    lines
}

/// A line break before a piece that begins nothing: how far in, if there is one.
fn inner_break(
    pieces: &[Piece],
    broken: &[bool],
    at: usize,
    body: usize,
    member: usize,
) -> Option<usize> {
    let piece = pieces.get(at)?;
    let Some(before) = at.checked_sub(1).and_then(|before| pieces.get(before)) else {
        return Some(0);
    };
    if piece.kind == TokenKind::Comment {
        // A comment behind something stays there; one on its own line goes with what follows.
        return (piece.breaks > 0).then(|| {
            let next = pieces.iter().skip(at).find(|next| next.kind != TokenKind::Comment);
            match next.map(|next| next.role) {
                Some(Role::Item) | None => 0,
                Some(Role::Member) => body,
                Some(Role::Close(open)) if broken.get(open).copied().unwrap_or(false) => body,
                _ => member + STEP,
            }
        });
    }
    if before.kind == TokenKind::Comment {
        return Some(member + STEP);
    }
    let joined = matches!(piece.role, Role::Open(_) | Role::Close(_)) || piece.text == "else";
    if piece.breaks == 0 || joined {
        return None;
    }
    Some(if matches!(piece.text.as_str(), ")" | "]") { member } else { member + STEP })
}

/// The blanks between two pieces of a line.
fn gap(before: Option<&Piece>, piece: &Piece) -> usize {
    let Some(before) = before else { return 0 };
    if piece.kind == TokenKind::Comment {
        return 2;
    }
    let touching = piece.tight
        || before.sticky
        || matches!(piece.text.as_str(), ")" | "]" | ",")
        || matches!(before.text.as_str(), "(" | "[")
        || (before.text == "{" && piece.text == "}");
    match piece.role {
        _ if touching => 0,
        // Two members on one line stand apart.
        Role::Member if !matches!(before.role, Role::Open(_)) => 2,
        _ => 1,
    }
}

/// Words before which a long line is broken.
const BREAKABLE: &[&str] =
    &["cite", "mend", "was", "typical", "when", "otherwise", "whichever", "and", "or"];

/// Breaks a line that is too long, where that is simple.
fn wrap(line: Line, pieces: &[Piece]) -> Vec<Line> {
    if line.width(pieces) <= WIDEST_LINE {
        return vec![line];
    }
    let further = line.base + STEP;
    let Line { indent, base, spaced, cells } = line;
    let mut lines = vec![Line { indent, base, spaced, cells: Vec::new() }];
    let mut width = indent;
    // The last place in the line at hand where it may be broken.
    let mut place: Option<usize> = None;
    let mut comma = false;
    for (at, gap) in cells {
        let Some(piece) = pieces.get(at) else { continue };
        let Some(line) = lines.last_mut() else { break };
        let may = BREAKABLE.contains(&piece.text.as_str()) || comma;
        if may && !line.cells.is_empty() && !is_item_word(&piece.text) {
            place = Some(line.cells.len());
        }
        comma = piece.text == ",";
        line.cells.push((at, gap));
        if piece.kind != TokenKind::Comment {
            width += gap + length(pieces, at);
        }
        if width > WIDEST_LINE
            && let Some(cut) = place.take()
        {
            let mut rest = line.cells.split_off(cut);
            if let Some((_, gap)) = rest.first_mut() {
                *gap = 0;
            }
            let next = Line { indent: further, base, spaced: false, cells: rest };
            width = next.width(pieces);
            lines.push(next);
        }
    }
    lines
}

/// The text of the lines.
pub(crate) fn print(lines: &[Line], pieces: &[Piece]) -> String {
    let mut text = String::new();
    for line in lines {
        if line.spaced {
            text.push('\n');
        }
        text.extend(std::iter::repeat_n(' ', line.indent));
        for (at, gap) in &line.cells {
            text.extend(std::iter::repeat_n(' ', *gap));
            text.push_str(pieces.get(*at).map_or("", |piece| &piece.text));
        }
        text.push('\n');
    }
    text
}
