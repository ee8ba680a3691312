//! Which line a byte stands on.

use crate::sheet::Place;

/// The starts of a text's lines.
pub(super) struct Lines(Vec<usize>);

impl Lines {
    pub(super) fn new(text: &str) -> Self {
        let behind_breaks =
            text.bytes().enumerate().filter(|(_, b)| *b == b'\n').map(|(i, _)| i + 1);
        Self(std::iter::once(0).chain(behind_breaks).collect())
    }

    pub(super) fn place(&self, byte: usize) -> Place {
        Place::line(self.0.partition_point(|start| *start <= byte))
    }
}
