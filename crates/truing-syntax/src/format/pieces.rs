//! The pieces that the formatter moves: tokens and comments, with what the grammar says of them.

use std::collections::{HashMap, HashSet};

use pest::Parser as _;
use pest::iterators::Pair;

use crate::grammar::{Rule, TruingParser, item_rule};
use crate::lex::{TokenKind, lex};
use crate::scanner::scan;
use crate::span::FileId;

/// One piece.
pub(crate) struct Piece {
    /// What is printed.
    pub(crate) text: String,
    /// What it is.
    pub(crate) kind: TokenKind,
    /// How many line breaks stand before it in the text.
    pub(crate) breaks: usize,
    /// Its part in the layout.
    pub(crate) role: Role,
    /// No blank before it.
    pub(crate) tight: bool,
    /// No blank behind it.
    pub(crate) sticky: bool,
}

/// The part of a piece in the layout.
#[derive(Copy, Clone, Debug, PartialEq, Eq)]
pub(crate) enum Role {
    /// Begins an item.
    Item,
    /// Begins a line of a body.
    Member,
    /// Opens the body that ends with the piece of this number.
    Open(usize),
    /// Closes the body that begins with the piece of this number.
    Close(usize),
    /// Anything else.
    Inner,
}

/// What the grammar says of places in the text.
#[derive(Default)]
struct Marks {
    /// Stretches that are one piece: numbers with their sign, units, indices, labels.
    glued: Vec<(usize, usize)>,
    items: HashSet<usize>,
    members: HashSet<usize>,
    /// Opening to closing brace.
    bodies: Vec<(usize, usize)>,
    tight: HashSet<usize>,
    sticky: HashSet<usize>,
}

impl Marks {
    fn note(&mut self, base: usize, pair: &Pair<'_, Rule>) {
        let span = pair.as_span();
        let (start, end) =
            (base + span.start(), base + span.start() + pair.as_str().trim_end().len());
        match pair.as_rule() {
            Rule::number | Rule::plain_number | Rule::unit | Rule::label | Rule::over_mark => {
                self.glued.push((start, end));
            }
            Rule::index | Rule::over_family => {
                self.tight.insert(start);
                // A comment between the brackets would be lost: then they stay in pieces.
                if !pair.as_str().contains(['\n', '#']) {
                    self.glued.push((start, end));
                }
            }
            Rule::arguments => {
                self.tight.insert(start);
            }
            Rule::prefix | Rule::minus if pair.as_str().starts_with(['-', '−']) => {
                self.sticky.insert(start);
            }
            Rule::spec_body
            | Rule::state_body
            | Rule::reading_body
            | Rule::check_body
            | Rule::fault_body
            | Rule::fix_body
            | Rule::learned_body
            | Rule::procedure_body
            | Rule::case_body
            | Rule::instrument_body
            | Rule::measures_body
            | Rule::block
            | Rule::curve => self.body(base, pair),
            _ => {}
        }
    }

    fn body(&mut self, base: usize, pair: &Pair<'_, Rule>) {
        let mut open = None;
        for child in pair.clone().into_inner() {
            let start = base + child.as_span().start();
            match child.as_rule() {
                Rule::open => open = Some(start),
                Rule::close => self.bodies.extend(open.map(|open| (open, start))),
                rule if !rule.is_mark() && open.is_some() => {
                    self.members.insert(start);
                    self.band_of_its_own(base, &child);
                }
                _ => {}
            }
        }
    }

    /// A `band` that begins a line behind a range is a member of its own.
    fn band_of_its_own(&mut self, base: usize, range: &Pair<'_, Rule>) {
        let Some(band) = range.clone().into_inner().find(|p| p.as_rule() == Rule::band_line) else {
            return;
        };
        let at = band.as_span().start() - range.as_span().start();
        let before = range.as_str().get(..at).unwrap_or("");
        let line = before.rsplit('\n').next().unwrap_or("");
        if before.contains('\n') && line.trim().is_empty() {
            self.members.insert(base + band.as_span().start());
        }
    }
}

/// The pieces of a text that parses.
pub(crate) fn of(text: &str) -> Vec<Piece> {
    let mut marks = Marks::default();
    for cut in scan(FileId(0), text).cuts {
        marks.items.insert(cut.start);
        let slice = text.get(cut.start..cut.end).unwrap_or("");
        if let Ok(pairs) = TruingParser::parse(item_rule(cut.keyword.unwrap_or("")), slice) {
            pairs.flatten().for_each(|pair| marks.note(cut.start, &pair));
        }
    }
    marks.glued.sort_unstable();
    let tokens = glue(text, &marks.glued);
    let places: HashMap<usize, usize> =
        tokens.iter().enumerate().map(|(index, (_, start, _))| (*start, index)).collect();
    let mut roles: HashMap<usize, Role> = HashMap::new();
    for (open, close) in &marks.bodies {
        if let (Some(open), Some(close)) = (places.get(open), places.get(close)) {
            roles.insert(*open, Role::Open(*close));
            roles.insert(*close, Role::Close(*open));
        }
    }
    let mut last_end = 0;
    tokens
        .into_iter()
        .enumerate()
        .map(|(index, (kind, start, end))| {
            let between = text.get(last_end..start).unwrap_or("");
            last_end = end;
            let role = if marks.items.contains(&start) {
                Role::Item
            } else if marks.members.contains(&start) {
                Role::Member
            } else {
                roles.get(&index).copied().unwrap_or(Role::Inner)
            };
            Piece {
                text: said(text.get(start..end).unwrap_or(""), kind),
                kind,
                breaks: between.matches('\n').count(),
                role,
                tight: marks.tight.contains(&start),
                sticky: marks.sticky.contains(&start),
            }
        })
        .collect()
}

/// Tokens, those that lie in one glued stretch as one.
fn glue(text: &str, glued: &[(usize, usize)]) -> Vec<(TokenKind, usize, usize)> {
    let mut stretches = glued.iter().copied().peekable();
    let mut tokens: Vec<(TokenKind, usize, usize)> = Vec::new();
    let mut until = 0;
    for token in lex(text) {
        if token.start < until {
            continue;
        }
        // Stretches inside a longer one have been passed with it.
        while stretches.next_if(|(start, _)| *start < token.start).is_some() {}
        match stretches.next_if(|(start, _)| *start == token.start) {
            Some((start, end)) => {
                until = end;
                tokens.push((TokenKind::Number, start, end));
            }
            None => tokens.push((token.kind, token.start, token.end)),
        }
    }
    tokens
}

/// What is printed for a token: indices and labels without the blanks in them.
fn said(text: &str, kind: TokenKind) -> String {
    if kind == TokenKind::Number { text.split_whitespace().collect() } else { text.to_owned() }
}
