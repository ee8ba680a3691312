//! Where something stands: a file and two byte offsets, and nothing of the text itself.

use serde::{Deserialize, Serialize};

/// A file among those given to one run, by its place in [`crate::Sources`].
#[derive(Copy, Clone, Debug, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize)]
pub struct FileId(pub u32);

/// A stretch of a file's text, in bytes, end excluded.
#[derive(Copy, Clone, Debug, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize)]
pub struct Span {
    /// The file.
    pub file: FileId,
    /// First byte.
    pub start: u32,
    /// The byte after the last one.
    pub end: u32,
}

impl Span {
    /// The stretch `start .. end` of `file`.
    #[must_use]
    pub const fn new(file: FileId, start: u32, end: u32) -> Self {
        Self { file, start, end }
    }

    /// The shortest stretch that holds both.
    #[must_use]
    pub fn to(self, other: Span) -> Span {
        Span { file: self.file, start: self.start.min(other.start), end: self.end.max(other.end) }
    }
}

/// Something with the place where it was written.
///
/// Two spanned things are equal when what was written is equal: the place does not count, so that
/// a formatted file compares equal to the one it was made from.
#[derive(Clone, Debug, Serialize, Deserialize)]
pub struct Spanned<T> {
    /// What was written.
    pub node: T,
    /// Where.
    pub span: Span,
}

impl<T: PartialEq> PartialEq for Spanned<T> {
    fn eq(&self, other: &Self) -> bool {
        self.node == other.node
    }
}

impl<T: Eq> Eq for Spanned<T> {}
