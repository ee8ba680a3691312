//! From the place where the grammar stumbled to a finding that says what to write.

use pest::error::{Error, ErrorVariant, InputLocation};

use crate::diagnostic::Diagnostic;
use crate::expected;
use crate::grammar::Rule;
use crate::hints;
use crate::lex::{Token, TokenKind, breaks_line};
use crate::slugs;
use crate::span::{FileId, Span};

/// A stretch of a file with its tokens.
#[derive(Copy, Clone)]
pub(crate) struct Stretch<'t> {
    pub(crate) file: FileId,
    pub(crate) text: &'t str,
    /// Where in the file the stretch begins.
    pub(crate) base: usize,
    /// Tokens of the stretch without its comments; places count from the stretch's beginning.
    pub(crate) tokens: &'t [Token],
}

impl Stretch<'_> {
    pub(crate) fn span(&self, start: usize, end: usize) -> Span {
        // Files are shorter than u32 can count.
        Span::new(self.file, (self.base + start) as u32, (self.base + end) as u32)
    }
}

/// Where the grammar stumbled, and what it would have taken there.
pub(crate) struct Stumble<'t> {
    stretch: Stretch<'t>,
    /// The byte.
    pub(crate) at: usize,
    /// The token there, by its place in the list; the list's length at the end.
    index: usize,
    expected: Vec<Rule>,
    /// The token behind what pest saw, if the stretch goes on.
    beyond: Option<Token>,
}

impl<'t> Stumble<'t> {
    /// pest saw the bytes `from .. until` of the stretch.
    pub(crate) fn new(
        stretch: Stretch<'t>,
        from: usize,
        until: usize,
        error: &Error<Rule>,
    ) -> Self {
        let at = from + error_place(error);
        let seen = stretch.tokens.partition_point(|token| token.end <= until);
        let beyond = stretch.tokens.get(seen).copied();
        let stretch = Stretch { tokens: stretch.tokens.get(..seen).unwrap_or(&[]), ..stretch };
        let expected = match &error.variant {
            ErrorVariant::ParsingError { positives, .. } => positives.clone(),
            ErrorVariant::CustomError { .. } => Vec::new(),
        };
        let index = stretch.tokens.partition_point(|token| token.end <= at);
        Self { stretch, at, index, expected, beyond }
    }

    /// The token at the place, or as many before or after it as `offset` says.
    pub(crate) fn token(&self, offset: isize) -> Option<Token> {
        self.stretch.tokens.get(self.index.checked_add_signed(offset)?).copied()
    }

    /// What that token says; empty where there is none.
    pub(crate) fn word(&self, offset: isize) -> &'t str {
        self.token(offset).map_or("", |token| token.of(self.stretch.text))
    }

    /// What kind of token that is.
    pub(crate) fn kind(&self, offset: isize) -> Option<TokenKind> {
        self.token(offset).map(|token| token.kind)
    }

    /// Where that token stands; at the end, right behind the last one.
    pub(crate) fn span(&self, offset: isize) -> Span {
        match self.token(offset) {
            Some(token) => self.stretch.span(token.start, token.end),
            None => {
                let end = self.stretch.tokens.last().map_or(self.at, |last| last.end);
                self.stretch.span(end, end)
            }
        }
    }

    /// A stretch of the same text.
    pub(crate) fn place(&self, start: usize, end: usize) -> Span {
        self.stretch.span(start, end)
    }

    /// The text that the tokens are of.
    pub(crate) fn text(&self) -> &'t str {
        self.stretch.text
    }

    /// Whether a token touches the next one.
    pub(crate) fn touches(&self, offset: isize) -> bool {
        match (self.token(offset), self.token(offset + 1)) {
            (Some(first), Some(second)) => first.end == second.start,
            _ => false,
        }
    }

    /// Whether the grammar would have taken `rule`.
    pub(crate) fn expects(&self, rule: Rule) -> bool {
        self.expected.contains(&rule)
    }

    /// The rules that the grammar would have taken.
    pub(crate) fn rules(&self) -> &[Rule] {
        &self.expected
    }

    /// The finding.
    pub(crate) fn finding(&self) -> Diagnostic {
        hints::find(self).unwrap_or_else(|| self.plain())
    }

    fn plain(&self) -> Diagnostic {
        let mut place = self.span(0);
        let found = match (self.token(0), self.beyond) {
            (Some(token), _) if token.kind == TokenKind::Text => "a text".to_owned(),
            (Some(_), _) => format!("`{}`", shortened(self.word(0))),
            (None, None) => "the end of the item".to_owned(),
            (None, Some(next)) if self.on_this_line(next) => {
                place = self.stretch.span(next.start, next.end);
                format!("`{}`", shortened(next.of(self.stretch.text)))
            }
            (None, Some(_)) => "the end of the line".to_owned(),
        };
        let expected = expected::list(&self.expected);
        let finding =
            Diagnostic::error(slugs::SYNTAX, place, format!("expected {expected}, found {found}"));
        match self.missing_sign() {
            Some(sign) => {
                let at = self.span(0);
                let before = Span::new(at.file, at.start, at.start);
                finding.mend_by(
                    format!("write `{sign}` before it"),
                    vec![(before, format!("{sign} "))],
                )
            }
            None => finding,
        }
    }

    fn on_this_line(&self, next: Token) -> bool {
        let last = self.stretch.tokens.last().map_or(0, |last| last.end);
        !breaks_line(self.stretch.text, last, next.start)
    }

    /// The one sign that could stand here, where there is only one and something follows it.
    fn missing_sign(&self) -> Option<&'static str> {
        let sign = match self.expected.as_slice() {
            [Rule::colon] => ":",
            [Rule::equals] => "=",
            _ => return None,
        };
        matches!(self.kind(0), Some(TokenKind::Word | TokenKind::Number)).then_some(sign)
    }
}

/// The byte at which pest stopped.
pub(crate) fn error_place(error: &Error<Rule>) -> usize {
    match error.location {
        InputLocation::Pos(at) | InputLocation::Span((at, _)) => at,
    }
}

/// At most forty characters.
fn shortened(text: &str) -> String {
    match text.char_indices().nth(40) {
        Some((end, _)) => format!("{}…", text.get(..end).unwrap_or("")),
        None => text.to_owned(),
    }
}
