//! What the command writes, and what happens when nobody reads it.

use std::io::{ErrorKind, Write};
use std::process::ExitCode;

use truing::report::Style;

use crate::arguments::{Format, Global};
use crate::status::Status;
use crate::terminal;

/// What a shell reports of a command that a closed pipe has ended: 128 and the number of SIGPIPE.
const CLOSED_PIPE: u8 = 141;

/// What the command writes. Text is kept until the command is done, so that a failure leaves no
/// half of a document.
pub struct Output {
    /// Text for people, or a JSON document.
    pub format: Format,
    /// How text on standard output is drawn.
    pub style: Style,
    /// How text on standard error is drawn.
    pub error_style: Style,
    text: String,
    errors: String,
}

impl Output {
    /// Nothing written yet.
    pub fn new(global: &Global) -> Self {
        Self {
            format: global.format,
            style: terminal::style_of_output(global.color),
            error_style: terminal::style_of_errors(global.color),
            text: String::new(),
            errors: String::new(),
        }
    }

    /// Whether a JSON document is asked for.
    pub fn json(&self) -> bool {
        self.format == Format::Json
    }

    /// Adds text to standard output.
    pub fn say(&mut self, text: &str) {
        self.text.push_str(text);
    }

    /// Adds a line to standard output.
    pub fn line(&mut self, text: &str) {
        self.text.push_str(text);
        self.text.push('\n');
    }

    /// Adds text to standard error.
    pub fn complain(&mut self, text: &str) {
        self.errors.push_str(text);
    }

    /// Writes one JSON document to standard output.
    pub fn document(&mut self, value: &serde_json::Value) {
        // `{:#}` of a Value is its pretty form; it cannot fail as serialising a type of one's own
        // could.
        self.line(&format!("{value:#}"));
    }

    /// Writes everything and gives the exit status.
    pub fn finish(self, status: Status) -> ExitCode {
        let written = write_all(&mut std::io::stdout().lock(), &self.text);
        // Nobody can be told that telling failed.
        let _ = write_all(&mut std::io::stderr().lock(), &self.errors);
        match written {
            Ok(()) => status.into(),
            Err(error) => status_of_broken_output(&error),
        }
    }
}

fn write_all(to: &mut impl Write, text: &str) -> std::io::Result<()> {
    to.write_all(text.as_bytes())?;
    to.flush()
}

/// A closed pipe ends the command quietly, as it ends other tools; a full disk does not.
pub fn status_of_broken_output(error: &std::io::Error) -> ExitCode {
    if error.kind() == ErrorKind::BrokenPipe {
        return CLOSED_PIPE.into();
    }
    let message = format!("error: the output cannot be written: {error}\n");
    let _ = write_all(&mut std::io::stderr().lock(), &message);
    Status::Error.into()
}
