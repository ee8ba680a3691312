//! Cuts a file into items before the grammar sees it.
//!
//! One pass over the bytes. It knows strings, comments, brackets and the words that begin an item,
//! and nothing else. One bad item so never hides the others, and the depth of brackets is known
//! before a parser recurses.

use crate::hints::nearest;
use crate::names::LONGEST_NAME;
use crate::span::{FileId, Span};
use crate::words::{ITEM_WORDS, going_on, may_continue};

/// The deepest nesting of brackets.
pub const DEEPEST_NESTING: usize = 128;

/// A comment: from its `#` to the end of its line.
#[derive(Copy, Clone, Debug, PartialEq, Eq)]
pub struct Comment {
    /// Where.
    pub span: Span,
    /// Whether it begins with `##` on a line of its own.
    pub doc: bool,
}

/// One item's stretch of the text, in bytes.
#[derive(Clone, Debug)]
pub(crate) struct Cut {
    /// Its first byte.
    pub(crate) start: usize,
    /// The byte after its last token.
    pub(crate) end: usize,
    /// Its keyword; without one it is no item that the language knows.
    pub(crate) keyword: Option<&'static str>,
    /// The doc comment above it, as indices into the comments.
    pub(crate) doc: std::ops::Range<usize>,
    /// The first bracket that is never closed.
    pub(crate) unclosed: Option<usize>,
    /// The bracket that is one too deep.
    pub(crate) too_deep: Option<usize>,
}

/// What the scanner found.
#[derive(Default)]
pub(crate) struct Scan {
    /// The items in order.
    pub(crate) cuts: Vec<Cut>,
    /// All comments in order.
    pub(crate) comments: Vec<Comment>,
    /// The slashes of lines that begin with `//`: those lines are comments that nobody spelt right.
    pub(crate) slashes: Vec<Span>,
}

/// Cuts `text`.
pub(crate) fn scan(file: FileId, text: &str) -> Scan {
    let mut scanner = Scanner {
        file,
        text,
        bytes: text.as_bytes(),
        at: 0,
        line: 0,
        fresh: true,
        line_start: 0,
        open: Vec::new(),
        beyond: 0,
        last_end: 0,
        doc: 0..0,
        doc_line: None,
        scan: Scan::default(),
    };
    scanner.run();
    scanner.scan
}

struct Scanner<'t> {
    file: FileId,
    text: &'t str,
    bytes: &'t [u8],
    at: usize,
    line: usize,
    /// Nothing but blanks on this line so far.
    fresh: bool,
    line_start: usize,
    /// Open brackets, at most [`DEEPEST_NESTING`] of them …
    open: Vec<(u8, usize)>,
    /// … and how many more.
    beyond: usize,
    last_end: usize,
    doc: std::ops::Range<usize>,
    doc_line: Option<usize>,
    scan: Scan,
}

impl Scanner<'_> {
    fn run(&mut self) {
        while let Some(&byte) = self.bytes.get(self.at) {
            match byte {
                b'\n' => {
                    self.at += 1;
                    self.line += 1;
                    self.fresh = true;
                    self.line_start = self.at;
                }
                b' ' | b'\t' | b'\r' => self.at += 1,
                b'#' => self.comment(),
                b'/' if self.fresh && self.bytes.get(self.at + 1) == Some(&b'/') => self.slashes(),
                _ => self.token(byte),
            }
        }
        self.close_item();
    }

    fn comment(&mut self) {
        let start = self.at;
        let rest = self.text.get(start..).unwrap_or("");
        let length = rest.find('\n').unwrap_or(rest.len());
        let shown = rest.get(..length).unwrap_or(rest).trim_end();
        let doc = self.fresh && shown.starts_with("##");
        let index = self.scan.comments.len();
        if doc {
            let extends = self.doc_line.is_some_and(|line| line + 1 == self.line);
            self.doc = if extends { self.doc.start..index + 1 } else { index..index + 1 };
            self.doc_line = Some(self.line);
        }
        // The file is no longer than u32 can count: checked before the scan.
        let span = Span::new(self.file, start as u32, (start + shown.len()) as u32);
        self.scan.comments.push(Comment { span, doc });
        self.at = start + length;
    }

    /// A line that begins with `//` says nothing that belongs to the item around it.
    fn slashes(&mut self) {
        let rest = self.bytes.get(self.at..).unwrap_or(&[]);
        let length = rest.iter().take_while(|byte| **byte == b'/').count();
        let place = Span::new(self.file, self.at as u32, (self.at + length) as u32);
        self.scan.slashes.push(place);
        self.comment();
    }

    fn token(&mut self, byte: u8) {
        if self.fresh {
            self.begin_line(byte);
            self.fresh = false;
        }
        match byte {
            b'"' => self.string(),
            b'{' | b'(' | b'[' => self.open_bracket(byte),
            b'}' | b')' | b']' => self.close_bracket(byte),
            _ => {
                self.at += 1;
                while let Some(next) = self.bytes.get(self.at) {
                    if !next.is_ascii_alphanumeric() && *next != b'_' && next.is_ascii() {
                        break;
                    }
                    self.at += 1;
                }
            }
        }
        self.last_end = self.at;
    }

    /// A string ends with its quote, or with its line.
    fn string(&mut self) {
        self.at += 1;
        while let Some(&byte) = self.bytes.get(self.at) {
            match byte {
                b'"' => {
                    self.at += 1;
                    return;
                }
                b'\n' => return,
                b'\\' if self.bytes.get(self.at + 1).is_some_and(|next| *next != b'\n') => {
                    self.at += 2;
                }
                _ => self.at += 1,
            }
        }
        // An escape may have stepped over the end.
        self.at = self.at.min(self.bytes.len());
    }

    fn open_bracket(&mut self, byte: u8) {
        if self.open.len() < DEEPEST_NESTING {
            self.open.push((byte, self.at));
        } else {
            self.beyond += 1;
            if let Some(item) = self.scan.cuts.last_mut() {
                item.too_deep.get_or_insert(self.at);
            }
        }
        self.at += 1;
    }

    fn close_bracket(&mut self, byte: u8) {
        self.at += 1;
        if self.beyond > 0 {
            self.beyond -= 1;
            return;
        }
        let wanted = match byte {
            b'}' => b'{',
            b')' => b'(',
            _ => b'[',
        };
        // A closing bracket without an opening one is left to the grammar, which says so.
        let Some(found) = self.open.iter().rposition(|(opened, _)| *opened == wanted) else {
            return;
        };
        if let Some((_, inner)) = self.open.get(found + 1)
            && let Some(item) = self.scan.cuts.last_mut()
        {
            item.unclosed.get_or_insert(*inner);
        }
        self.open.truncate(found);
    }

    /// The first token of a line: does an item begin here?
    fn begin_line(&mut self, byte: u8) {
        let word = if byte.is_ascii_alphabetic() { word_at(self.text, self.at) } else { "" };
        let column_zero = self.at == self.line_start;
        let keyword = ITEM_WORDS.iter().find(|known| **known == word).copied();
        let begins = if self.scan.cuts.is_empty() {
            true
        } else if self.open.is_empty() && self.beyond == 0 {
            keyword.is_some() || (column_zero && self.unknown_item(word))
        } else {
            // Inside brackets only a heading at the very left tells that a bracket was forgotten.
            keyword.is_some() && column_zero && self.heading(word)
        };
        if begins {
            self.close_item();
            self.open_item(keyword);
        }
    }

    /// `limmit rest_voltage = …`: a word that nothing could go on with, and a name or text behind it.
    fn unknown_item(&self, word: &str) -> bool {
        if word.is_empty() || may_continue(word) {
            return false;
        }
        if self.stray(word) {
            return true;
        }
        let next = self.text.get(self.at + word.len()..).unwrap_or("");
        let blank = next.len() - next.trim_start_matches([' ', '\t']).len();
        let next = next.get(blank..).unwrap_or("");
        if blank == 0 {
            return false;
        }
        next.starts_with('"')
            || (next.starts_with(|c: char| c.is_ascii_alphabetic())
                && !may_continue(word_at(next, 0)))
    }

    /// `asdf`: a word that no item goes on with, behind an item that may end there.
    ///
    /// A row of such lines is one stretch. What looks like a word of the language is left to the
    /// grammar, which knows what could stand there.
    fn stray(&self, word: &str) -> bool {
        let known = self.scan.cuts.last().is_some_and(|item| item.keyword.is_some());
        known && self.complete() && !goes_on(word) && !misspelt(word)
    }

    /// Whether no name could follow the last token: then a name that follows is no part of the item.
    fn complete(&self) -> bool {
        let before = self.text.get(..self.last_end).unwrap_or("");
        let Some(last) = before.chars().next_back() else { return false };
        if !last.is_alphanumeric() && last != '_' {
            return matches!(last, '"' | '}' | ')' | ']' | '%' | '‰' | '°');
        }
        let start = before
            .rfind(|c: char| !c.is_alphanumeric() && c != '_')
            .map_or(0, |at| at + before.get(at..).map_or(1, first_length));
        let word = before.get(start..).unwrap_or("");
        // Behind a number a unit may have been meant.
        !word.starts_with(|c: char| c.is_ascii_digit())
            && (matches!(word, "passes" | "fails" | "specified") || !goes_on(word))
    }

    /// `fix` and `caution` begin lines of bodies too; as items they have a text on the same line.
    fn heading(&self, word: &str) -> bool {
        if word != "fix" && word != "caution" {
            return true;
        }
        let rest = self.text.get(self.at + word.len()..).unwrap_or("");
        let line = rest.split('\n').next().unwrap_or("").trim_start();
        line.get(word_at(line, 0).len()..).is_some_and(|tail| tail.trim_start().starts_with('"'))
    }

    fn open_item(&mut self, keyword: Option<&'static str>) {
        let above = self.doc_line.is_some_and(|line| line + 1 == self.line);
        self.scan.cuts.push(Cut {
            start: self.at,
            end: self.at,
            keyword,
            doc: if above { self.doc.clone() } else { 0..0 },
            unclosed: None,
            too_deep: None,
        });
        self.doc_line = None;
    }

    fn close_item(&mut self) {
        if let Some(item) = self.scan.cuts.last_mut() {
            item.end = self.last_end.max(item.start);
            if let Some((_, first)) = self.open.first() {
                item.unclosed = Some(*first);
            }
        }
        self.open.clear();
        self.beyond = 0;
    }
}

/// Whether a word joins what stands before it, or what stands behind it, to its item.
fn goes_on(word: &str) -> bool {
    may_continue(word) || matches!(word, "step" | "log" | "linear")
}

/// Whether a word is most likely a misspelt one that goes on with an item.
fn misspelt(word: &str) -> bool {
    // Hostile files have many words: only those that begin alike are looked at.
    word.len() <= LONGEST_NAME
        && going_on().any(|known| {
            known.get(..1).is_some_and(|first| word.to_lowercase().starts_with(first))
                && nearest(&word.to_lowercase(), std::iter::once(known)).is_some()
        })
}

fn first_length(rest: &str) -> usize {
    rest.chars().next().map_or(1, char::len_utf8)
}

/// The word that begins at `at`; empty where none does.
pub(crate) fn word_at(text: &str, at: usize) -> &str {
    let rest = text.get(at..).unwrap_or("");
    let length =
        rest.bytes().take_while(|byte| byte.is_ascii_alphanumeric() || *byte == b'_').count();
    rest.get(..length).unwrap_or("")
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::words::is_item_word;

    fn cut(text: &str) -> Vec<&str> {
        scan(FileId(0), text).cuts.iter().map(|c| &text[c.start..c.end]).collect()
    }

    #[test]
    fn items_end_with_their_last_token() {
        let text = "# head\nlimit a = min 5 V # why\n\n## doc\nlimit b\n";
        assert_eq!(cut(text), ["limit a = min 5 V", "limit b"]);
        let scan = scan(FileId(0), text);
        assert_eq!(scan.comments.len(), 3);
        assert_eq!(scan.cuts[1].doc, 2..3);
    }

    #[test]
    fn a_doc_comment_stands_right_above() {
        let text = "## one\n## two\nlimit a\n## far\n\nlimit b\n";
        let scan = scan(FileId(0), text);
        assert_eq!(scan.cuts[0].doc, 0..2);
        assert!(scan.cuts[1].doc.is_empty());
    }

    #[test]
    fn a_forgotten_brace_ends_with_the_next_heading_at_the_left() {
        let text = "state a \"A\" {\n  caution b\nlimit c = min 1 V\ncaution d \"D\"\n";
        assert_eq!(
            cut(text),
            ["state a \"A\" {\n  caution b", "limit c = min 1 V", "caution d \"D\""]
        );
        assert_eq!(scan(FileId(0), text).cuts[0].unclosed, Some(12));
    }

    #[test]
    fn lines_of_a_body_at_the_left_are_no_items() {
        let text = "fault a \"A\" {\nodds 1 of 10\nfix b\ncaution c\n}\n";
        assert_eq!(cut(text).len(), 1);
    }

    #[test]
    fn brackets_in_strings_and_comments_do_not_count() {
        let text = "caution a \"{ \\\" {\" # {\nlimit b\n";
        assert_eq!(cut(text), ["caution a \"{ \\\" {\"", "limit b"]);
    }

    #[test]
    fn a_misspelt_item_is_cut_off() {
        let text = "limit a = min 5 V\nlimmit b = min 5 V\nlimit c = min 1 V\n";
        assert_eq!(cut(text).len(), 3);
    }

    #[test]
    fn a_stray_word_is_cut_off_and_a_name_that_goes_on_is_not() {
        let items = "limit a = min 5 V cite b \"1\"\nasdf\nqwer\nlimit c = min 1 V\n";
        assert_eq!(
            cut(items),
            ["limit a = min 5 V cite b \"1\"", "asdf\nqwer", "limit c = min 1 V"]
        );
        for whole in [
            "check a \"A\" :\nrest within\nlimit_a and\nb passes\nor c passes\n",
            "limit a : b\nby\nspeed\nstep { 1 rpm : min 5 V }\ntypical\n5 V\ncite s\nmend t\nwas 4 V\n",
            "family a = b,\nc\n",
            "derived a =\nb +\nc /\nd\n",
            "limit a = min 5\nV\n",
            "limit a = min 5 V\ntypcal\n6 V\n",
        ] {
            assert_eq!(cut(whole).len(), 1, "{whole}");
        }
    }

    #[test]
    fn lines_with_slashes_are_comments_that_are_told() {
        let scan = scan(FileId(0), "limit a\n// b {\n  /// c\n= min 5 V // d\n");
        let places: Vec<_> = scan.slashes.iter().map(|place| (place.start, place.end)).collect();
        assert_eq!(places, [(8, 10), (17, 20)]);
        assert_eq!((scan.cuts.len(), scan.comments.len()), (1, 2));
    }

    #[test]
    fn an_item_word_is_known() {
        assert!(is_item_word("limit") && !is_item_word("limits"));
    }
}
