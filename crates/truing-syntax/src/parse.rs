//! The entries for files: tolerant and strict.

use std::sync::Arc;

use pest::Parser as _;

use crate::build::Builder;
use crate::diagnostic::{Diagnostic, Severity};
use crate::grammar::{Rule, TruingParser, item_rule};
use crate::hints::{nearest, other_commas};
use crate::lex::{Token, TokenKind, lex};
use crate::limits::{self, Limits};
use crate::names::Names;
use crate::recover::{Body, Recovery};
use crate::scanner::{Comment, Cut, DEEPEST_NESTING, Scan, scan, word_at};
use crate::slugs;
use crate::span::{FileId, Span, Spanned};
use crate::stumble::{Stretch, Stumble};
use crate::tree::{File, Item, ItemKind, Name, Text};
use crate::words::ITEM_WORDS;

/// What was read from a file.
#[derive(Clone, Debug)]
pub struct Parsed {
    /// What could be read.
    pub tree: File,
    /// What could not, in the order of the text.
    pub findings: Vec<Diagnostic>,
    /// All comments in order.
    pub comments: Vec<Comment>,
    /// Names of items that could not be read: they exist, though the tree does not have them.
    pub unread: Vec<Name>,
}

/// Reads a file as far as it can be read.
#[must_use]
pub fn parse(file: FileId, text: &str) -> Parsed {
    parse_within(file, text, &Limits::default())
}

/// Reads a file as far as it can be read, within limits of one's own.
#[must_use]
pub fn parse_within(file: FileId, text: &str, limits: &Limits) -> Parsed {
    if let Some(finding) = limits::refuse_file(file, text, limits) {
        let tree = File { items: Vec::new() };
        return Parsed { tree, findings: vec![finding], comments: Vec::new(), unread: Vec::new() };
    }
    let Scan { cuts, comments, slashes } = scan(file, text);
    let masked;
    let text = if slashes.is_empty() {
        text
    } else {
        masked = as_comments(text, &slashes);
        masked.as_str()
    };
    let mut reader = Reader {
        file,
        text,
        limits,
        comments: &comments,
        names: Names::default(),
        findings: slashes.iter().take(limits.findings).map(|place| slash_comment(*place)).collect(),
        items: Vec::with_capacity(cuts.len()),
        unread: Vec::new(),
    };
    for cut in &cuts {
        if reader.findings.len() > limits.findings {
            reader.enough(cut);
            break;
        }
        reader.read(cut);
    }
    let Reader { mut findings, items, unread, .. } = reader;
    findings.sort_by_key(|finding| finding.primary().span);
    Parsed { tree: File { items }, findings, comments, unread }
}

/// Reads a file that must have no errors.
///
/// # Errors
/// All findings, where one of them is an error.
pub fn parse_strict(file: FileId, text: &str) -> Result<File, Vec<Diagnostic>> {
    let parsed = parse(file, text);
    if parsed.findings.iter().any(|finding| finding.severity() == Severity::Error) {
        Err(parsed.findings)
    } else {
        Ok(parsed.tree)
    }
}

struct Reader<'t> {
    file: FileId,
    text: &'t str,
    limits: &'t Limits,
    comments: &'t [Comment],
    names: Names,
    findings: Vec<Diagnostic>,
    items: Vec<Item>,
    unread: Vec<Name>,
}

impl<'t> Reader<'t> {
    fn read(&mut self, cut: &Cut) {
        let slice = self.text.get(cut.start..cut.end).unwrap_or("");
        let Some(keyword) = cut.keyword else { return self.unknown(cut, slice) };
        if let Some(place) = cut.too_deep {
            self.unread_name(cut, slice);
            self.findings.push(limits::too_deep(self.span(place, place + 1), DEEPEST_NESTING));
            return;
        }
        if slice.len() > self.limits.item_bytes {
            self.unread_name(cut, slice);
            let place = self.span(cut.start, cut.start + keyword.len());
            self.findings.push(limits::item_too_long(place, slice.len(), self.limits));
            return;
        }
        // An item with an open bracket cannot parse: it is not tried.
        let read = match cut.unclosed {
            Some(_) => Err(None),
            None => TruingParser::parse(item_rule(keyword), slice).map_err(Some),
        };
        let kind = match read {
            Ok(mut pairs) => {
                let mut builder = self.builder(cut.start);
                pairs.next().and_then(|pair| builder.item(pair).ok())
            }
            Err(error) => self.recover(cut, keyword, slice, error.as_ref()),
        };
        match kind {
            Some(kind) => {
                let span = self.span(cut.start, cut.end);
                let doc = self.doc(cut);
                self.items.push(Item { doc, kind, span });
            }
            None => self.unread_name(cut, slice),
        }
    }

    fn recover(
        &mut self,
        cut: &Cut,
        keyword: &str,
        slice: &'t str,
        error: Option<&pest::error::Error<Rule>>,
    ) -> Option<ItemKind> {
        let tokens: Vec<Token> =
            lex(slice).into_iter().filter(|token| token.kind != TokenKind::Comment).collect();
        let stretch = Stretch { file: self.file, text: slice, base: cut.start, tokens: &tokens };
        let stumble = error.map(|error| Stumble::new(stretch, 0, slice.len(), error));
        let bad = stumble.as_ref().map(|stumble| stumble.at);
        let before = self.findings.len();
        let mut recovery = Recovery {
            stretch,
            comments: self.comments,
            names: &mut self.names,
            findings: &mut self.findings,
            most: self.limits.findings,
            said: Vec::new(),
        };
        let kind = match Body::of(keyword) {
            Some(body) => recovery.item(body, bad),
            None if keyword == "limit" => recovery.curve(bad),
            None => None,
        };
        let said = self.findings.len() > before;
        if let Some(place) = cut.unclosed {
            // A missing brace is always told; a missing `)` most often is the mistake already told.
            let bracket = self.text.get(place..place + 1);
            if bracket == Some("{") || !said {
                self.findings.push(unclosed(self.span(place, place + 1), bracket));
            }
        }
        // Whatever recovery made of it, the item is broken, and one finding must say so.
        if self.findings.len() == before
            && let Some(stumble) = stumble
        {
            self.findings.push(stumble.finding());
        }
        self.other_commas(stretch, before);
        kind
    }

    /// Where one of an item's findings is a decimal comma, tells the item's others too.
    fn other_commas(&mut self, stretch: Stretch<'_>, before: usize) {
        let told: Vec<Span> = self
            .findings
            .iter()
            .skip(before)
            .filter(|finding| finding.slug() == slugs::DECIMAL_COMMA)
            .map(|finding| finding.primary().span)
            .collect();
        if !told.is_empty() {
            let most = (self.limits.findings + 1).saturating_sub(self.findings.len());
            self.findings.extend(other_commas(stretch, &told, most));
        }
    }

    /// A line that begins with a word that begins no item.
    fn unknown(&mut self, cut: &Cut, slice: &str) {
        let word = match word_at(slice, 0) {
            "" => slice.chars().next().map_or("", |c| slice.get(..c.len_utf8()).unwrap_or("")),
            word => word,
        };
        let place = self.span(cut.start, cut.start + word.len());
        let finding = Diagnostic::error(
            slugs::UNKNOWN_ITEM,
            place,
            format!("no item begins with `{}`", word.escape_debug()),
        );
        let near = nearest(&word.to_lowercase(), ITEM_WORDS.iter().copied());
        self.findings.push(match near {
            Some(near) => {
                finding.mend_by(format!("did you mean `{near}`?"), vec![(place, near.to_owned())])
            }
            None => finding.note(format!("items begin with {}", ITEM_WORDS.join(", "))),
        });
        self.unread_name(cut, slice);
    }

    /// Says that there is more than anyone reads.
    fn enough(&mut self, cut: &Cut) {
        let place = self.span(cut.start, cut.end);
        let text =
            format!("more than {} findings: the file was read no further", self.limits.findings);
        self.findings.push(Diagnostic::error(slugs::TOO_MANY_FINDINGS, place, text));
    }

    /// The word behind the keyword is the item's name, whatever else is wrong.
    fn unread_name(&mut self, cut: &Cut, slice: &str) {
        let keyword = word_at(slice, 0);
        let rest = slice.get(keyword.len()..).unwrap_or("");
        let start = slice.len() - rest.trim_start().len();
        let name = word_at(slice, start);
        if !name.is_empty() && name.len() <= crate::names::LONGEST_NAME {
            let span = self.span(cut.start + start, cut.start + start + name.len());
            self.unread.push(Spanned { node: self.names.shared(name), span });
        }
    }

    fn builder(&mut self, base: usize) -> Builder<'_> {
        Builder::new(self.file, base as u32, self.comments, &mut self.names, &mut self.findings)
    }

    fn span(&self, start: usize, end: usize) -> Span {
        // Files are shorter than u32 can count: `limits` has seen to that.
        Span::new(self.file, start as u32, end as u32)
    }

    /// The lines of a doc comment without their `##` and one blank.
    fn doc(&self, cut: &Cut) -> Vec<Text> {
        let lines = self.comments.get(cut.doc.clone()).unwrap_or(&[]);
        lines
            .iter()
            .map(|comment| {
                let span = comment.span;
                let line = self.text.get(span.start as usize..span.end as usize).unwrap_or("");
                let line = line.trim_start_matches('#');
                Spanned { node: Arc::from(line.strip_prefix(' ').unwrap_or(line)), span }
            })
            .collect()
    }
}

/// The text with a `#` for the slashes that stand in its place, so that nothing else is lost.
fn as_comments(text: &str, slashes: &[Span]) -> String {
    let mut masked = String::with_capacity(text.len());
    let mut from = 0;
    for place in slashes {
        let (start, end) = (place.start as usize, place.end as usize);
        masked.push_str(text.get(from..start).unwrap_or(""));
        masked.push('#');
        // Places stay what they are.
        masked.extend(std::iter::repeat_n(' ', end.saturating_sub(start + 1)));
        from = end;
    }
    masked.push_str(text.get(from..).unwrap_or(""));
    masked
}

/// `// …`
fn slash_comment(place: Span) -> Diagnostic {
    Diagnostic::error(slugs::FOREIGN_SIGN, place, "a comment begins with `#`")
        .mend_by("write `#`", vec![(place, "#".to_owned())])
}

fn unclosed(place: Span, bracket: Option<&str>) -> Diagnostic {
    let (bracket, closing) = match bracket {
        Some("(") => ("(", ")"),
        Some("[") => ("[", "]"),
        _ => ("{", "}"),
    };
    Diagnostic::error(slugs::UNCLOSED, place, format!("this `{bracket}` is never closed"))
        .mend(format!("write `{closing}` where it ends"))
}
