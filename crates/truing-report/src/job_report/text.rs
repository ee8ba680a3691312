//! Text of a sheet or a spec as it may stand in a document.

use std::fmt;

use serde::Serialize;

use crate::layout::shown;

/// Text without control characters and without marks that turn what stands around them: what a file
/// can hold to drive a reader's terminal, or to make one limit read as another, shows as `U+FFFD`.
/// Markup is no matter here: whatever writes a document escapes it.
#[derive(Clone, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(transparent)]
pub struct Text(String);

impl Text {
    /// On one line.
    #[must_use]
    pub fn line(text: &str) -> Self {
        Self(shown(text))
    }

    /// With its line breaks; of several blank lines one is kept.
    #[must_use]
    pub fn lines(text: &str) -> Self {
        let text = text.replace("\r\n", "\n").replace(['\r', '\u{2028}', '\u{2029}'], "\n");
        let mut kept: Vec<String> = Vec::new();
        for line in text.split('\n').map(shown) {
            if !line.is_empty() || kept.last().is_some_and(|last| !last.is_empty()) {
                kept.push(line);
            }
        }
        while kept.last().is_some_and(String::is_empty) {
            kept.pop();
        }
        Self(kept.join("\n"))
    }

    /// What stands there.
    #[must_use]
    pub fn as_str(&self) -> &str {
        &self.0
    }

    /// Whether nothing stands there.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.0.is_empty()
    }

    /// The beginning, cut between words where it is longer than `most` characters.
    #[must_use]
    pub fn beginning(&self, most: usize) -> Option<Self> {
        let (cut, _) = self.0.char_indices().nth(most)?;
        let head = self.0.get(..cut)?;
        let head = head.rsplit_once(char::is_whitespace).map_or(head, |(words, _)| words);
        Some(Self(format!("{} …", head.trim_end())))
    }
}

impl From<&str> for Text {
    fn from(text: &str) -> Self {
        Self::line(text)
    }
}

impl From<String> for Text {
    fn from(text: String) -> Self {
        Self::line(&text)
    }
}

impl From<&String> for Text {
    fn from(text: &String) -> Self {
        Self::line(text)
    }
}

impl fmt::Display for Text {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.0)
    }
}

#[cfg(test)]
mod tests {
    use super::Text;

    #[test]
    fn what_drives_a_terminal_or_turns_a_line_is_shown_as_such() {
        let text = Text::line("a\u{1b}[2J\u{202E}b\0c\u{9b}d\u{061C}e");
        assert_eq!(text.as_str(), "a\u{FFFD}[2J\u{FFFD}b\u{FFFD}c\u{FFFD}d\u{FFFD}e");
    }

    #[test]
    fn lines_stay_lines_and_blanks_are_not_piled_up() {
        let text = Text::lines("\n one\r\n\n\n\ntwo\u{2028}three \n\n");
        assert_eq!(text.as_str(), "one\n\ntwo\nthree");
    }

    #[test]
    fn a_long_text_is_cut_between_words_and_a_short_one_is_not_cut() {
        assert_eq!(Text::line("one two three").beginning(9).unwrap().as_str(), "one two …");
        assert_eq!(Text::line("ααα βββ").beginning(5).unwrap().as_str(), "ααα …");
        assert_eq!(Text::line("one two").beginning(7), None);
    }
}
