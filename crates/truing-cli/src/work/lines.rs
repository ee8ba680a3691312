//! Where the lines come from: a terminal with line editing, a pipe, a script of answers.

use std::fs::File;
use std::io::{self, BufRead, BufReader, IsTerminal, Read};
use std::path::Path;

use rustyline::completion::Completer;
use rustyline::error::ReadlineError;
use rustyline::highlight::Highlighter;
use rustyline::hint::Hinter;
use rustyline::history::MemHistory;
use rustyline::validate::Validator;
use rustyline::{Config, Context, Editor, Helper};

/// Longer lines are read to their end and cut.
const LONGEST: u64 = 1024 * 1024;

/// What came of asking for a line.
pub enum Answer {
    /// A line.
    Line(String),
    /// Ctrl-C: the line is dropped.
    Dropped,
    /// There are no more.
    End,
}

/// Where the lines come from.
pub enum Lines {
    /// A terminal, with line editing.
    Terminal(Box<Editor<Words, MemHistory>>),
    /// A pipe or a script; its answers are shown behind their prompts.
    Plain {
        /// What is read.
        from: Box<dyn BufRead>,
        /// Lines that begin with `#` are remarks.
        script: bool,
        /// The answers are shown: no terminal shows them.
        echo: bool,
    },
}

impl Lines {
    /// From a script, or from standard input.
    ///
    /// # Errors
    /// Where the script cannot be opened, or the terminal cannot be set up.
    pub fn open(script: Option<&Path>, plain: bool) -> io::Result<Self> {
        if let Some(path) = script {
            let from = Box::new(BufReader::new(File::open(path)?));
            return Ok(Self::Plain { from, script: true, echo: true });
        }
        let terminal = io::stdin().is_terminal();
        if terminal && !plain {
            return Self::terminal();
        }
        let from = Box::new(BufReader::new(io::stdin()));
        Ok(Self::Plain { from, script: false, echo: !terminal })
    }

    fn terminal() -> io::Result<Self> {
        let fail = |error: ReadlineError| io::Error::other(error.to_string());
        let config = Config::builder().auto_add_history(true).build();
        let history = MemHistory::with_config(&config);
        let mut editor = Editor::with_history(config, history).map_err(fail)?;
        editor.set_helper(Some(Words(Vec::new())));
        Ok(Self::Terminal(Box::new(editor)))
    }

    /// The words that a line may begin with, for completing them.
    pub fn complete_with(&mut self, words: Vec<String>) {
        if let Self::Terminal(editor) = self {
            editor.set_helper(Some(Words(words)));
        }
    }

    /// Whether the answers have to be shown behind their prompts.
    pub const fn echo(&self) -> bool {
        matches!(self, Self::Plain { echo: true, .. })
    }

    /// Whether the prompt is shown by what reads the line.
    pub const fn prompts(&self) -> bool {
        matches!(self, Self::Terminal(_))
    }

    /// The next line.
    ///
    /// # Errors
    /// Where none can be read.
    pub fn next(&mut self, prompt: &str) -> io::Result<Answer> {
        match self {
            Self::Terminal(editor) => match editor.readline(prompt) {
                Ok(line) => Ok(Answer::Line(line)),
                Err(ReadlineError::Interrupted) => Ok(Answer::Dropped),
                Err(ReadlineError::Eof) => Ok(Answer::End),
                Err(error) => Err(io::Error::other(error.to_string())),
            },
            Self::Plain { from, script, .. } => loop {
                let Some(line) = plain_line(from)? else { return Ok(Answer::End) };
                if !(*script && line.starts_with('#')) {
                    return Ok(Answer::Line(line));
                }
            },
        }
    }
}

/// One line without its end, whatever bytes are in it.
fn plain_line(from: &mut impl BufRead) -> io::Result<Option<String>> {
    let mut bytes = Vec::new();
    let read = from.take(LONGEST).read_until(b'\n', &mut bytes)?;
    if read == 0 {
        return Ok(None);
    }
    if bytes.last() != Some(&b'\n') && read as u64 == LONGEST {
        from.skip_until(b'\n')?;
    }
    let line = String::from_utf8_lossy(&bytes);
    Ok(Some(line.trim_end_matches(['\r', '\n']).to_owned()))
}

/// Completes the first words of a line.
pub struct Words(Vec<String>);

impl Completer for Words {
    type Candidate = String;

    fn complete(
        &self,
        line: &str,
        at: usize,
        _: &Context<'_>,
    ) -> rustyline::Result<(usize, Vec<String>)> {
        let begun = line.get(..at).unwrap_or(line);
        let fits = self.0.iter().filter(|word| word.starts_with(begun));
        Ok((0, fits.cloned().collect()))
    }
}

impl Hinter for Words {
    type Hint = String;
}
impl Highlighter for Words {}
impl Validator for Words {}
impl Helper for Words {}

#[cfg(test)]
mod tests {
    use super::*;

    fn lines(bytes: &[u8], script: bool) -> Vec<String> {
        let from = Box::new(BufReader::new(io::Cursor::new(bytes.to_vec())));
        let mut lines = Lines::Plain { from, script, echo: true };
        let mut all = Vec::new();
        while let Ok(Answer::Line(line)) = lines.next("") {
            all.push(line);
        }
        all
    }

    #[test]
    fn lines_end_as_on_any_system_and_hold_any_bytes() {
        assert_eq!(lines(b"12.71\r\nOL\n\nlast", false), ["12.71", "OL", "", "last"]);
        assert_eq!(lines(b"\xff\xfe\n", false).len(), 1);
        let long = vec![b'x'; LONGEST as usize + 10];
        let cut = lines(&[long.as_slice(), b"\nnext\n"].concat(), false);
        assert_eq!(cut.get(1).map(String::as_str), Some("next"));
    }

    #[test]
    fn remarks_are_passed_over_in_a_script_alone() {
        assert_eq!(lines(b"# remark\n1\n", true), ["1"]);
        assert_eq!(lines(b"# complaint\n1\n", false), ["# complaint", "1"]);
    }
}
