//! Names, texts, paths and their lists.

use std::borrow::Cow;
use std::sync::Arc;

use pest::iterators::Pair;

use super::{Builder, Built};
use crate::grammar::Rule;
use crate::names::LONGEST_NAME;
use crate::slugs;
use crate::span::Spanned;
use crate::tree::{Index, Name, Path, Text};

impl Builder<'_> {
    /// A name, a word, a label or a member, at most 64 bytes long.
    pub(crate) fn name(&mut self, pair: &Pair<'_, Rule>) -> Built<Name> {
        let text = pair.as_str();
        let span = self.span(pair);
        if text.len() > LONGEST_NAME {
            return self.error(
                slugs::NAME_TOO_LONG,
                span,
                format!(
                    "this name has {} letters; the longest may have {LONGEST_NAME}",
                    text.len()
                ),
            );
        }
        Ok(Spanned { node: self.names.shared(text), span })
    }

    /// A quoted text without its quotes.
    pub(crate) fn text(&mut self, pair: &Pair<'_, Rule>) -> Text {
        let quoted = pair.as_str();
        let inner = quoted.get(1..quoted.len().saturating_sub(1)).unwrap_or("");
        Spanned { node: Arc::from(unescape(inner).as_ref()), span: self.span(pair) }
    }

    /// A unit as written.
    pub(crate) fn unit(&mut self, pair: &Pair<'_, Rule>) -> Built<Name> {
        self.name(pair)
    }

    /// The names in a list.
    pub(crate) fn name_list(&mut self, pair: Pair<'_, Rule>) -> Built<Vec<Name>> {
        let mut children = self.children(pair);
        let mut names = Vec::new();
        while let Some(name) = children.take_any() {
            names.push(self.name(&name)?);
        }
        Ok(names)
    }

    /// The paths in a list.
    pub(crate) fn path_list(&mut self, pair: Pair<'_, Rule>) -> Built<Vec<Path>> {
        let mut children = self.children(pair);
        let mut paths = Vec::new();
        while let Some(path) = children.take_any() {
            paths.push(self.path(path)?);
        }
        Ok(paths)
    }

    /// A name with its index; `pair` is a `path`, or a `ref` that is no call.
    pub(crate) fn path(&mut self, pair: Pair<'_, Rule>) -> Built<Path> {
        let span = self.span(&pair);
        let mut children = self.children(pair);
        let name = self.need_any(&mut children)?;
        let name = self.name(&name)?;
        let index = match children.take(Rule::index) {
            Some(index) => Some(self.index(index)?),
            None => None,
        };
        Ok(Path { name, index, span })
    }

    /// What stands between the brackets.
    pub(crate) fn index(&mut self, pair: Pair<'_, Rule>) -> Built<Index> {
        let mut children = self.children(pair);
        let first = self.need(&mut children, Rule::member)?;
        let first = self.name(&first)?;
        let Some(second) = children.take_any() else { return Ok(Index::One(first)) };
        let rule = second.as_rule();
        let mut inner = self.children(second);
        let member = self.need(&mut inner, Rule::member)?;
        let member = self.name(&member)?;
        Ok(match rule {
            Rule::index_pair => Index::Pair(first, member),
            _ => Index::Part(first, member),
        })
    }
}

/// Undoes `\"`, `\\` and `\n`; the grammar lets no other escape through.
fn unescape(text: &str) -> Cow<'_, str> {
    if !text.contains('\\') {
        return Cow::Borrowed(text);
    }
    let mut plain = String::with_capacity(text.len());
    let mut characters = text.chars();
    while let Some(character) = characters.next() {
        match character {
            '\\' => plain.push(match characters.next() {
                Some('n') => '\n',
                Some(other) => other,
                None => '\\',
            }),
            other => plain.push(other),
        }
    }
    Cow::Owned(plain)
}
