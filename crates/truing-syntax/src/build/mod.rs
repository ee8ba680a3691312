//! From pest's pairs to the typed tree.
//!
//! Read in this order: this file (the builder and its walk over children), [`words`] (names, texts,
//! paths), [`figures`], [`limits`], [`expressions`], [`precedence`], [`readings`], then [`items`],
//! [`bodies`] and [`meters`].

mod bodies;
mod diagnosis;
mod expressions;
mod figures;
mod items;
mod limits;
mod meters;
mod precedence;
mod readings;
mod words;

use pest::iterators::{Pair, Pairs};

pub(crate) use bodies::MOST_BRANCHES;

use crate::diagnostic::{Diagnostic, Slug};
use crate::grammar::Rule;
use crate::names::Names;
use crate::scanner::Comment;
use crate::slugs;
use crate::span::{FileId, Span};

/// The finding has been written down; there is nothing to build.
#[derive(Debug)]
pub(crate) struct Refused;

/// What a builder function gives.
pub(crate) type Built<T> = Result<T, Refused>;

/// Builds the tree of one stretch of a file.
pub(crate) struct Builder<'a> {
    /// The file.
    pub(crate) file: FileId,
    /// Where in the file the stretch that pest saw begins.
    pub(crate) base: u32,
    /// The file's comments, in order.
    pub(crate) comments: &'a [Comment],
    /// The file's names.
    pub(crate) names: &'a mut Names,
    /// What was found on the way.
    pub(crate) findings: &'a mut Vec<Diagnostic>,
    /// Operators counted in the expression at hand.
    operators: u32,
    /// Whether there is one.
    in_expression: bool,
    /// The lines of the body at hand that may stand once, and where they stand.
    pub(crate) said: Vec<(Rule, Span)>,
}

impl<'a> Builder<'a> {
    /// A builder for a stretch that begins at `base`.
    pub(crate) fn new(
        file: FileId,
        base: u32,
        comments: &'a [Comment],
        names: &'a mut Names,
        findings: &'a mut Vec<Diagnostic>,
    ) -> Self {
        Self {
            file,
            base,
            comments,
            names,
            findings,
            operators: 0,
            in_expression: false,
            said: Vec::new(),
        }
    }

    /// Where a pair stands in the file.
    pub(crate) fn span(&self, pair: &Pair<'_, Rule>) -> Span {
        let span = pair.as_span();
        let start = self.base + span.start() as u32;
        // Where the last part of a rule may be missing, pest has stepped over the blanks and the
        // comments before it: the span ends with what was written, not with those.
        let mut text = span.as_str();
        while text.ends_with([' ', '\n', '\t', '\r']) {
            text = text.trim_end_matches([' ', '\n', '\t', '\r']);
            let end = start + text.len() as u32;
            let after = self.comments.partition_point(|comment| comment.span.end < end);
            if let Some(comment) = self.comments.get(after)
                && comment.span.end == end
                && comment.span.start >= start
            {
                text = text.get(..(comment.span.start - start) as usize).unwrap_or(text);
            }
        }
        Span::new(self.file, start, start + text.len() as u32)
    }

    /// Writes a finding down.
    pub(crate) fn refuse<T>(&mut self, finding: Diagnostic) -> Built<T> {
        self.findings.push(finding);
        Err(Refused)
    }

    /// Writes an error down.
    pub(crate) fn error<T>(
        &mut self,
        slug: Slug,
        span: Span,
        message: impl Into<String>,
    ) -> Built<T> {
        self.refuse(Diagnostic::error(slug, span, message))
    }

    /// The children of a pair.
    pub(crate) fn children<'i>(&self, pair: Pair<'i, Rule>) -> Children<'i> {
        let whole = self.span(&pair);
        Children { pairs: pair.into_inner(), whole }
    }

    /// The next child, which the grammar says is a `rule`.
    pub(crate) fn need<'i>(
        &mut self,
        children: &mut Children<'i>,
        rule: Rule,
    ) -> Built<Pair<'i, Rule>> {
        match children.take(rule) {
            Some(pair) => Ok(pair),
            None => self.mismatch(children.whole, rule),
        }
    }

    /// The next child that is no keyword and no sign.
    pub(crate) fn need_any<'i>(&mut self, children: &mut Children<'i>) -> Built<Pair<'i, Rule>> {
        match children.take_any() {
            Some(pair) => Ok(pair),
            None => self.mismatch(children.whole, Rule::EOI),
        }
    }

    /// The grammar allowed what the builder does not know. No text leads here as long as the two
    /// agree; should they not, the reader gets a finding and no crash.
    pub(crate) fn mismatch<T>(&mut self, span: Span, rule: Rule) -> Built<T> {
        self.error(
            slugs::SYNTAX,
            span,
            format!("this reads as the grammar allows, but has no meaning (no {rule:?} here)"),
        )
    }
}

/// A walk over the children of a pair in the order of the grammar, stepping over keywords and signs.
pub(crate) struct Children<'i> {
    pairs: Pairs<'i, Rule>,
    /// Where the parent stands.
    pub(crate) whole: Span,
}

impl<'i> Children<'i> {
    /// The next child if it is a `rule`; keywords and signs before it are stepped over.
    pub(crate) fn take(&mut self, rule: Rule) -> Option<Pair<'i, Rule>> {
        while let Some(next) = self.pairs.peek() {
            if next.as_rule() == rule {
                return self.pairs.next();
            }
            if !next.as_rule().is_mark() {
                return None;
            }
            self.pairs.next();
        }
        None
    }

    /// Whether the next child is a `rule`; takes it then.
    pub(crate) fn has(&mut self, rule: Rule) -> bool {
        self.take(rule).is_some()
    }

    /// The next child that is no keyword and no sign.
    pub(crate) fn take_any(&mut self) -> Option<Pair<'i, Rule>> {
        self.pairs.by_ref().find(|pair| !pair.as_rule().is_mark())
    }

    /// The very next child, whatever it is.
    pub(crate) fn next_raw(&mut self) -> Option<Pair<'i, Rule>> {
        self.pairs.next()
    }

    /// The rule of the very next child.
    pub(crate) fn peek_raw(&self) -> Option<Rule> {
        self.pairs.peek().map(|pair| pair.as_rule())
    }
}
