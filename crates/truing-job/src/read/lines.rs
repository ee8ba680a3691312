//! Which line a byte stands on.

use crate::sheet::Place;

/// The starts of a text's lines.
pub(super) struct Lines<'t> {
    text: &'t str,
    starts: Vec<usize>,
}

impl<'t> Lines<'t> {
    pub(super) fn new(text: &'t str) -> Self {
        let behind_breaks =
            text.bytes().enumerate().filter(|(_, b)| *b == b'\n').map(|(i, _)| i + 1);
        Self { text, starts: std::iter::once(0).chain(behind_breaks).collect() }
    }

    pub(super) fn place(&self, byte: usize) -> Place {
        Place::line(self.starts.partition_point(|start| *start <= byte))
    }

    /// The text of a line, without its break.
    pub(super) fn text(&self, place: Place) -> &'t str {
        let line = place.line.unwrap_or(0);
        let start = self.starts.get(line.wrapping_sub(1)).copied();
        let end = self.starts.get(line).copied().unwrap_or(self.text.len());
        let whole = start.and_then(|start| self.text.get(start..end)).unwrap_or("");
        whole.trim_end_matches(['\r', '\n'])
    }
}
