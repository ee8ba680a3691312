//! How a report is drawn: with colour or without, and how wide.

/// How a report is drawn.
#[derive(Copy, Clone, Debug, PartialEq, Eq)]
pub struct Style {
    /// Whether words may be coloured. Meaning never hangs on it: every colour repeats a word.
    pub color: bool,
    /// The width to fit into, in columns. Below [`Style::NARROWEST`] it is taken as that.
    pub width: usize,
}

impl Style {
    /// The narrowest width that text is fitted into.
    pub const NARROWEST: usize = 40;

    /// No colour, 80 columns.
    pub const PLAIN: Style = Style { color: false, width: 80 };

    /// The width to fit into, never below [`Style::NARROWEST`].
    #[must_use]
    pub(crate) fn columns(self) -> usize {
        self.width.max(Self::NARROWEST)
    }

    /// `text` in the look of `tone`, or as it is where there is no colour.
    #[must_use]
    pub(crate) fn paint(self, tone: Tone, text: &str) -> String {
        match tone.code() {
            Some(code) if self.color && !text.is_empty() => format!("\x1b[{code}m{text}\x1b[0m"),
            _ => text.to_owned(),
        }
    }
}

impl Default for Style {
    fn default() -> Self {
        Self::PLAIN
    }
}

/// What a stretch of text is, from which its colour follows.
#[derive(Copy, Clone, Debug, PartialEq, Eq)]
pub(crate) enum Tone {
    /// A heading.
    Heading,
    /// Something is outside or has failed.
    Bad,
    /// Something is not settled.
    Open,
    /// Something is in order, but not as new.
    Worn,
    /// Something is in order.
    Good,
    /// Ordinary text.
    Plain,
}

impl Tone {
    // SGR parameters of ECMA-48, 8.3.117; the eight plain colours, so that the reader's own
    // palette decides what they look like.
    const fn code(self) -> Option<&'static str> {
        match self {
            Self::Heading => Some("1"),
            Self::Bad => Some("1;31"),
            Self::Open => Some("1;33"),
            Self::Worn => Some("36"),
            Self::Good => Some("32"),
            Self::Plain => None,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::{Style, Tone};

    #[test]
    fn without_colour_text_stays_as_it_is() {
        assert_eq!(Style::PLAIN.paint(Tone::Bad, "outside"), "outside");
    }

    #[test]
    fn colour_is_closed_behind_the_word() {
        let style = Style { color: true, width: 80 };
        assert_eq!(style.paint(Tone::Bad, "outside"), "\x1b[1;31moutside\x1b[0m");
        assert_eq!(style.paint(Tone::Plain, "outside"), "outside");
        assert_eq!(style.paint(Tone::Bad, ""), "");
    }

    #[test]
    fn a_width_of_nothing_is_taken_as_the_narrowest() {
        assert_eq!(Style { color: false, width: 0 }.columns(), Style::NARROWEST);
    }
}
