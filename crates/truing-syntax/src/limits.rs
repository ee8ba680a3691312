//! How much is read: caps that hold before the grammar sees the text.

use crate::diagnostic::Diagnostic;
use crate::slugs;
use crate::span::{FileId, Span};

/// The largest sizes that are read.
#[derive(Clone, Debug)]
pub struct Limits {
    /// A file, in bytes. More than 4 GB is never read.
    pub file_bytes: usize,
    /// One item, in bytes.
    pub item_bytes: usize,
    /// Findings in one file, after which it is read no further.
    pub findings: usize,
}

impl Default for Limits {
    /// 16 MB, 256 kB, 500 findings.
    fn default() -> Self {
        Self { file_bytes: 16 << 20, item_bytes: 256 << 10, findings: 500 }
    }
}

/// Why a file is not read at all.
pub(crate) fn refuse_file(file: FileId, text: &str, limits: &Limits) -> Option<Diagnostic> {
    let most = limits.file_bytes.min(u32::MAX as usize - 1);
    if text.len() > most {
        let finding = Diagnostic::error(
            slugs::FILE_TOO_LARGE,
            Span::new(file, 0, 0),
            format!("this file has {} bytes; at most {most} are read", text.len()),
        );
        return Some(finding.mend("split it into libraries and bring them together with `use`"));
    }
    let nul = text.find('\0')? as u32;
    Some(Diagnostic::error(
        slugs::NOT_UTF8,
        Span::new(file, nul, nul + 1),
        format!("byte {nul} is a NUL: this is no text"),
    ))
}

/// An item whose brackets nest too deep.
pub(crate) fn too_deep(place: Span, deepest: usize) -> Diagnostic {
    Diagnostic::error(
        slugs::NESTED_TOO_DEEP,
        place,
        format!("more than {deepest} brackets inside each other"),
    )
    .mend("give parts of it names of their own")
}

/// An item that is too long.
pub(crate) fn item_too_long(place: Span, length: usize, limits: &Limits) -> Diagnostic {
    Diagnostic::error(
        slugs::ITEM_TOO_LONG,
        place,
        format!("this item has {length} bytes; at most {} are read", limits.item_bytes),
    )
    .mend("split it into several items")
}
