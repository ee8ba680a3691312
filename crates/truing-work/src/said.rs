//! What the session says: short paragraphs, each understandable when it is read aloud.

use truing::job::SheetError;
use truing::report::shown;

use crate::tell::{capital, sentence};

/// What a paragraph is for. Its words say the same: nothing hangs on how it is drawn.
#[derive(Copy, Clone, Debug, PartialEq, Eq)]
pub enum Sort {
    /// A new step, a new round: what a reader looks for.
    Title,
    /// Anything else that is told.
    Text,
    /// What can hurt.
    Caution,
    /// What was recorded, as it was understood.
    Recorded,
    /// What comes of a check.
    Outcome,
    /// Something is asked back, and nothing is recorded until it is answered.
    Asked,
    /// What was typed cannot be used.
    Refused,
}

/// One paragraph.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Said {
    /// What it is for.
    pub sort: Sort,
    /// Its text, on one line, without control characters.
    pub text: String,
}

impl Said {
    /// A paragraph. Whatever the text holds, it drives no terminal and turns no line around.
    #[must_use]
    pub fn new(sort: Sort, text: impl AsRef<str>) -> Self {
        Self { sort, text: shown(text.as_ref()) }
    }

    pub(crate) fn title(text: impl AsRef<str>) -> Self {
        Self::new(Sort::Title, text)
    }

    pub(crate) fn text(text: impl AsRef<str>) -> Self {
        Self::new(Sort::Text, text)
    }

    pub(crate) fn caution(text: &str) -> Self {
        Self::new(Sort::Caution, format!("Caution: {text}"))
    }

    pub(crate) fn recorded(text: impl AsRef<str>) -> Self {
        Self::new(Sort::Recorded, text)
    }

    pub(crate) fn outcome(text: impl AsRef<str>) -> Self {
        Self::new(Sort::Outcome, text)
    }

    pub(crate) fn asked(text: impl AsRef<str>) -> Self {
        Self::new(Sort::Asked, text)
    }

    pub(crate) fn refused(text: impl AsRef<str>) -> Self {
        Self::new(Sort::Refused, text)
    }

    /// What is wrong by the sheet's own word, and what mends it, as two sentences.
    pub(crate) fn mistake(lead: &str, error: &SheetError) -> Self {
        let mend = error
            .mend
            .as_deref()
            .map_or(String::new(), |mend| format!(" {}", sentence(&capital(mend))));
        let message = if lead.is_empty() { capital(&error.message) } else { error.message.clone() };
        Self::refused(format!("{lead}{}{mend}", sentence(&message)))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_said_drives_no_terminal() {
        let said = Said::text("a\u{1b}[2Jb\u{7}\nc \u{202e}d");
        assert!(!said.text.chars().any(char::is_control), "{said:?}");
        assert!(!said.text.contains('\u{202e}'), "{said:?}");
    }
}
