//! A good spec cut into items and tokens, so that a mistake can be put at a known place.
//!
//! This is not the parser and shares nothing with it: it reads formatted specs in which every item
//! begins at the left margin, and only those.

use std::ops::Range;

/// What a token is.
#[derive(Copy, Clone, Debug, PartialEq, Eq)]
pub enum TokenKind {
    /// A keyword or a name.
    Word,
    /// Digits, with a decimal point perhaps.
    Number,
    /// What stands right behind a number on its line and is no keyword.
    Unit,
    /// A text in quotes, with them.
    Text,
    /// Anything else: one sign, or `..`, `<=`, `>=`, `==`, `!=`.
    Sign,
}

/// A token of an item.
#[derive(Clone, Debug)]
pub struct Token<'t> {
    /// What it is.
    pub kind: TokenKind,
    /// Its text.
    pub text: &'t str,
    /// Where in the whole file it stands.
    pub at: Range<usize>,
}

/// An item of a good spec.
#[derive(Clone, Debug)]
pub struct Piece<'t> {
    /// Its tokens.
    pub tokens: Vec<Token<'t>>,
    /// Where in the whole file it stands, without blank lines behind it.
    pub at: Range<usize>,
}

impl<'t> Piece<'t> {
    /// The word that it begins with.
    #[must_use]
    pub fn keyword(&self) -> &'t str {
        self.tokens.first().map_or("", |token| token.text)
    }

    /// Its name; empty where it has none (`use`).
    #[must_use]
    pub fn name(&self) -> &'t str {
        let second = self.tokens.get(1).filter(|token| token.kind == TokenKind::Word);
        second.map_or("", |token| token.text)
    }

    /// Whether `name` stands anywhere in it as a word of its own.
    #[must_use]
    pub fn mentions(&self, name: &str) -> bool {
        !name.is_empty()
            && self.tokens.iter().any(|token| match token.kind {
                TokenKind::Word => token.text == name,
                TokenKind::Text => token.text.contains(&format!("{{{name}")),
                _ => false,
            })
    }
}

/// Words that may stand behind a number and are no unit.
const NO_UNITS: [&str; 22] = [
    "of",
    "cite",
    "when",
    "otherwise",
    "typical",
    "step",
    "accuracy",
    "counts",
    "at",
    "unsteady",
    "and",
    "or",
    "service",
    "expect",
    "takes",
    "during",
    "makes",
    "note",
    "fix",
    "range",
    "band",
    "first",
];

/// The items of a formatted spec.
#[must_use]
pub fn pieces(text: &str) -> Vec<Piece<'_>> {
    let mut starts: Vec<usize> = Vec::new();
    let mut offset = 0;
    for line in text.split_inclusive('\n') {
        if line.starts_with(|c: char| c.is_ascii_lowercase()) {
            starts.push(offset);
        }
        offset += line.len();
    }
    let ends = starts.iter().skip(1).copied().chain([text.len()]);
    starts.iter().zip(ends).map(|(&start, end)| piece(text, start, end)).collect()
}

fn piece(text: &str, start: usize, end: usize) -> Piece<'_> {
    let tokens = tokens(text, start, end);
    let end = tokens.last().map_or(start, |token| token.at.end);
    Piece { tokens, at: start..end }
}

fn tokens(text: &str, start: usize, end: usize) -> Vec<Token<'_>> {
    let mut tokens: Vec<Token<'_>> = Vec::new();
    let mut at = start;
    while let Some(rest) = text.get(at..end).filter(|rest| !rest.is_empty()) {
        let blank = rest.len() - rest.trim_start().len();
        if blank > 0 {
            at += blank;
            continue;
        }
        if rest.starts_with('#') {
            at += rest.find('\n').unwrap_or(rest.len());
            continue;
        }
        let (mut kind, length) = first_token(rest);
        let token = rest.get(..length).unwrap_or(rest);
        if kind == TokenKind::Word
            && follows_number(&tokens, text, at)
            && !NO_UNITS.contains(&token)
        {
            kind = TokenKind::Unit;
        }
        let length = if kind == TokenKind::Unit { unit_length(rest) } else { length };
        let token = rest.get(..length).unwrap_or(rest);
        if token == "%" {
            kind = TokenKind::Unit;
        }
        tokens.push(Token { kind, text: token, at: at..at + length });
        at += length;
    }
    tokens
}

fn follows_number(tokens: &[Token<'_>], text: &str, at: usize) -> bool {
    tokens.last().is_some_and(|last| {
        let between = text.get(last.at.end..at).unwrap_or("\n");
        last.kind == TokenKind::Number && !between.contains('\n')
    })
}

fn unit_length(rest: &str) -> usize {
    rest.find(|c: char| !(c.is_ascii_alphanumeric() || "./^_%".contains(c))).unwrap_or(rest.len())
}

/// Kind and length of the token that `rest` begins with.
fn first_token(rest: &str) -> (TokenKind, usize) {
    let run = |test: fn(char) -> bool| rest.find(|c| !test(c)).unwrap_or(rest.len());
    let first = rest.chars().next().unwrap_or(' ');
    if first == '"' {
        let close = rest.get(1..).and_then(|tail| tail.find('"')).map_or(rest.len(), |n| n + 2);
        return (TokenKind::Text, close);
    }
    if first.is_ascii_digit() {
        let whole = run(|c| c.is_ascii_digit());
        let tail = rest.get(whole..).unwrap_or("");
        let fraction = tail.strip_prefix('.').map_or(0, |decimals| {
            decimals.find(|c: char| !c.is_ascii_digit()).unwrap_or(decimals.len())
        });
        return (TokenKind::Number, if fraction > 0 { whole + 1 + fraction } else { whole });
    }
    if first.is_ascii_alphabetic() || first == '_' {
        return (TokenKind::Word, run(|c| c.is_ascii_alphanumeric() || c == '_'));
    }
    let double = ["..", "<=", ">=", "==", "!="].iter().any(|sign| rest.starts_with(sign));
    (TokenKind::Sign, if double { 2 } else { first.len_utf8() })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_item_is_cut_into_tokens() {
        let text =
            "limit nut : torque = 60 .. 70.5 N.m (44 .. 52 lbf.ft) # as printed\nsource s \"S\"\n";
        let pieces = pieces(text);
        let limit: Vec<_> = pieces[0].tokens.iter().map(|token| token.text).collect();
        let wanted = "limit nut : torque = 60 .. 70.5 N.m ( 44 .. 52 lbf.ft )";
        assert_eq!(limit, wanted.split(' ').collect::<Vec<_>>());
        let units = pieces[0].tokens.iter().filter(|token| token.kind == TokenKind::Unit).count();
        assert_eq!(units, 2);
        assert_eq!((pieces[1].keyword(), pieces[1].name()), ("source", "s"));
    }
}
