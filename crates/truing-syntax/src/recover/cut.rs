//! Where the lines of a body begin, in a body that does not parse.

use super::{Body, Range, Recovery};
use crate::grammar::Rule;
use crate::lex::{Token, TokenKind, breaks_line};
use crate::words::may_continue;

impl Recovery<'_> {
    /// Cuts a body where a line begins a new member.
    pub(super) fn chunks(&self, body: Body, range: Range) -> Vec<Range> {
        let points = body.lines == Rule::curve_lines;
        self.cut(range, |before, token, word| {
            let begins = match token.kind {
                TokenKind::Word => !points && (body.words.contains(&word) || !may_continue(word)),
                TokenKind::Number => points,
                _ => points && (word == "-" || word == "+" || word == "−"),
            };
            let joined = matches!(before.of(self.stretch.text), "," | "=" | ":" | "..");
            begins && !joined && breaks_line(self.stretch.text, before.end, token.start)
        })
    }

    /// Cuts at every word that can begin a member: for several members on one line.
    pub(super) fn pieces(&self, body: Body, range: Range) -> Vec<Range> {
        self.cut(range, |before, token, word| {
            token.kind == TokenKind::Word
                && body.words.contains(&word)
                && before.of(self.stretch.text) != "else"
        })
    }

    fn cut(&self, range: Range, begins: impl Fn(&Token, &Token, &str) -> bool) -> Vec<Range> {
        let text = self.stretch.text;
        let mut cuts = Vec::new();
        let (mut start, mut depth) = (range.start, 0_usize);
        for at in range.clone() {
            let Some(token) = self.stretch.tokens.get(at) else { break };
            let word = token.of(text);
            if at > start
                && depth == 0
                && let Some(before) = self.stretch.tokens.get(at - 1)
                && begins(before, token, word)
            {
                cuts.push(start..at);
                start = at;
            }
            match word {
                "{" | "(" | "[" => depth += 1,
                "}" | ")" | "]" => depth = depth.saturating_sub(1),
                _ => {}
            }
        }
        if start < range.end {
            cuts.push(start..range.end);
        }
        cuts
    }

    pub(super) fn bytes(&self, range: &Range) -> (usize, usize) {
        let start =
            self.stretch.tokens.get(range.start).map_or(self.stretch.text.len(), |t| t.start);
        let end = range
            .end
            .checked_sub(1)
            .and_then(|last| self.stretch.tokens.get(last))
            .map_or(start, |t| t.end);
        (start, end.max(start))
    }
}
