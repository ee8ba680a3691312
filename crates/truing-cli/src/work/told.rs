//! How the session's paragraphs are shown: as lines of a terminal, or as one JSON object each.

use std::io::{self, Write};

use serde_json::json;
use truing::report::{Style, hanging, shown};
use truing_work::{Said, Sort};

/// Shows paragraphs as they come.
pub struct Told<W> {
    to: W,
    style: Style,
    json: bool,
}

impl<W: Write> Told<W> {
    /// Shows them on this.
    pub const fn new(to: W, style: Style, json: bool) -> Self {
        Self { to, style, json }
    }

    /// Shows paragraphs.
    ///
    /// # Errors
    /// Where they cannot be written.
    pub fn all(&mut self, said: &[Said]) -> io::Result<()> {
        for one in said {
            let text = if self.json { line_of(word(one.sort), &one.text) } else { self.text(one) };
            self.to.write_all(text.as_bytes())?;
        }
        self.to.flush()
    }

    /// Shows a prompt, and behind it the answer where no terminal shows that.
    ///
    /// # Errors
    /// Where it cannot be written.
    pub fn prompt(&mut self, prompt: &str) -> io::Result<()> {
        let text = if self.json { line_of("prompt", prompt.trim_end()) } else { prompt.to_owned() };
        self.to.write_all(text.as_bytes())?;
        self.to.flush()
    }

    /// Shows an answer that no terminal shows.
    ///
    /// # Errors
    /// Where it cannot be written.
    pub fn answer(&mut self, answer: &str) -> io::Result<()> {
        let answer = shown(answer);
        let text = if self.json { line_of("answer", &answer) } else { format!("{answer}\n") };
        self.to.write_all(text.as_bytes())?;
        self.to.flush()
    }

    fn text(&self, said: &Said) -> String {
        let before = if said.sort == Sort::Title { "\n" } else { "" };
        let text = hanging("", &said.text, self.style.width);
        let text = match (self.style.color, said.sort) {
            // Weight alone: the words say what it is.
            (true, Sort::Title | Sort::Caution | Sort::Outcome) => {
                format!("\u{1b}[1m{}\u{1b}[0m\n", text.trim_end())
            }
            _ => text,
        };
        format!("{before}{text}")
    }
}

fn line_of(sort: &str, text: &str) -> String {
    let line = json!({ "format": "truing-work", "version": 1, "sort": sort, "text": text });
    format!("{line}\n")
}

const fn word(sort: Sort) -> &'static str {
    match sort {
        Sort::Title => "title",
        Sort::Text => "text",
        Sort::Caution => "caution",
        Sort::Recorded => "recorded",
        Sort::Outcome => "outcome",
        Sort::Asked => "asked",
        Sort::Refused => "refused",
    }
}
