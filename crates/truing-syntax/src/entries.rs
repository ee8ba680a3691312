//! The entries for less than a file: an expression, a reading, a conversion, a path; and bytes.

use std::borrow::Cow;

use pest::Parser as _;
use pest::iterators::Pairs;

use crate::build::{Builder, Built};
use crate::diagnostic::Diagnostic;
use crate::grammar::{Rule, TruingParser};
use crate::lex::{Token, TokenKind, lex};
use crate::limits;
use crate::names::Names;
use crate::scanner::{DEEPEST_NESTING, scan};
use crate::slugs;
use crate::span::{FileId, Span};
use crate::stumble::{Stretch, Stumble};
use crate::tree::{Expr, Path, ReadingValue, UnitText};

/// The longest text that these entries read, in bytes.
pub const LONGEST_LINE: usize = 64 << 10;

/// `34 N.m in lbf.ft`
#[derive(Clone, Debug, PartialEq)]
pub struct CalcLine {
    /// What is worked out.
    pub expr: Expr,
    /// The unit that it is wanted in.
    pub to: Option<UnitText>,
}

/// Reads one expression.
///
/// # Errors
/// What keeps it from being one.
pub fn parse_expression(file: FileId, text: &str) -> Result<Expr, Vec<Diagnostic>> {
    entry(file, text, Rule::one_expression, |builder, mut pairs| match pairs.next() {
        Some(pair) => builder.whole_expression(pair),
        None => builder.mismatch(Span::new(file, 0, 0), Rule::expr),
    })
}

/// Reads what an instrument showed, as it stands on a job sheet: `12.71 V`, `OL on 60 Mohm`,
/// `> 20 Mohm`, `0.13 .. 0.15 mm`, `3.52, 3.50, 3.55 mm`, `burnt`, `not taken "no access"`.
///
/// # Errors
/// What keeps it from being a reading.
pub fn parse_reading(file: FileId, text: &str) -> Result<ReadingValue, Vec<Diagnostic>> {
    entry(file, text, Rule::one_reading, |builder, mut pairs| match pairs.next() {
        Some(pair) => builder.reading_value(pair),
        None => builder.mismatch(Span::new(file, 0, 0), Rule::reading_value),
    })
}

/// Reads a name with its index: `to_ground[U]`.
///
/// # Errors
/// What keeps it from being one.
pub fn parse_path(text: &str) -> Result<Path, Vec<Diagnostic>> {
    entry(FileId(0), text, Rule::one_path, |builder, mut pairs| match pairs.next() {
        Some(pair) => builder.path(pair),
        None => builder.mismatch(Span::new(FileId(0), 0, 0), Rule::path),
    })
}

/// Reads a line of the calculator: an expression, and the unit it is wanted in.
///
/// # Errors
/// What keeps it from being one.
pub fn parse_calc(text: &str) -> Result<CalcLine, Vec<Diagnostic>> {
    entry(FileId(0), text, Rule::one_calc, |builder, pairs| {
        let (mut expr, mut to) = (None, None);
        for pair in pairs {
            match pair.as_rule() {
                Rule::expr => expr = Some(builder.whole_expression(pair)?),
                Rule::unit => to = Some(builder.unit(&pair)?),
                _ => {}
            }
        }
        match expr {
            Some(expr) => Ok(CalcLine { expr, to }),
            None => builder.mismatch(Span::new(FileId(0), 0, 0), Rule::expr),
        }
    })
}

/// Text from the bytes of a file: UTF-8, a byte order mark at the beginning stepped over.
///
/// Places in what follows count from behind that mark.
///
/// # Errors
/// `not-utf8` with the first byte that is none.
pub fn decode(file: FileId, bytes: &[u8]) -> Result<Cow<'_, str>, Box<Diagnostic>> {
    let bytes = bytes.strip_prefix(b"\xef\xbb\xbf").unwrap_or(bytes);
    if bytes.starts_with(&[0xff, 0xfe]) || bytes.starts_with(&[0xfe, 0xff]) {
        let place = Span::new(file, 0, 2);
        return Err(Box::new(
            Diagnostic::error(slugs::NOT_UTF8, place, "this file is UTF-16; it must be UTF-8")
                .mend("save it as UTF-8"),
        ));
    }
    match std::str::from_utf8(bytes) {
        Ok(text) => Ok(Cow::Borrowed(text)),
        Err(why) => {
            let at = why.valid_up_to();
            let before = bytes.get(..at).unwrap_or(&[]);
            let line = before.iter().filter(|byte| **byte == b'\n').count() + 1;
            let byte = bytes.get(at).copied().unwrap_or(0);
            let start = u32::try_from(at).unwrap_or(u32::MAX - 1);
            Err(Box::new(
                Diagnostic::error(
                    slugs::NOT_UTF8,
                    Span::new(file, start, start + 1),
                    format!("byte {at} (0x{byte:02X}, line {line}) is no UTF-8"),
                )
                .mend("save the file as UTF-8"),
            ))
        }
    }
}

/// Caps, grammar, tree: the same way for all entries.
fn entry<T>(
    file: FileId,
    text: &str,
    rule: Rule,
    build: impl FnOnce(&mut Builder<'_>, Pairs<'_, Rule>) -> Built<T>,
) -> Result<T, Vec<Diagnostic>> {
    let caps = limits::Limits { file_bytes: LONGEST_LINE, ..limits::Limits::default() };
    if let Some(finding) = limits::refuse_file(file, text, &caps) {
        return Err(vec![finding]);
    }
    let scan = scan(file, text);
    if let Some(place) = scan.cuts.iter().find_map(|cut| cut.too_deep) {
        let place = Span::new(file, place as u32, place as u32 + 1);
        return Err(vec![limits::too_deep(place, DEEPEST_NESTING)]);
    }
    // Blanks and comments at the end belong to nothing.
    let trimmed = text.get(..scan.cuts.last().map_or(0, |cut| cut.end)).unwrap_or(text);
    let comments = scan.comments;
    let (mut names, mut findings) = (Names::default(), Vec::new());
    let mut builder = Builder::new(file, 0, &comments, &mut names, &mut findings);
    match TruingParser::parse(rule, trimmed) {
        Ok(pairs) => match build(&mut builder, pairs) {
            Ok(built) if findings.is_empty() => Ok(built),
            _ => Err(findings),
        },
        Err(error) => {
            let tokens: Vec<Token> =
                lex(trimmed).into_iter().filter(|token| token.kind != TokenKind::Comment).collect();
            let stretch = Stretch { file, text: trimmed, base: 0, tokens: &tokens };
            Err(vec![Stumble::new(stretch, 0, trimmed.len(), &error).finding()])
        }
    }
}
