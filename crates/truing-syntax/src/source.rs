//! The files of one run: names and texts, and where a byte stands in lines and columns.

use std::sync::Arc;

use crate::span::{FileId, Span};

/// One file's name and text.
#[derive(Clone, Debug)]
pub struct SourceFile {
    name: Arc<str>,
    text: Arc<str>,
}

impl SourceFile {
    /// The name that findings show.
    #[must_use]
    pub fn name(&self) -> &str {
        &self.name
    }

    /// The whole text.
    #[must_use]
    pub fn text(&self) -> &str {
        &self.text
    }

    /// Line and column of a byte, both from 1; the column counts characters. Bytes beyond the end
    /// stand at the end.
    #[must_use]
    pub fn line_column(&self, byte: u32) -> (usize, usize) {
        let before = self.text.get(..byte as usize).unwrap_or(&self.text);
        let line = before.matches('\n').count() + 1;
        let column = before.rsplit('\n').next().map_or(0, |tail| tail.chars().count()) + 1;
        (line, column)
    }
}

/// The files of one run.
#[derive(Clone, Debug, Default)]
pub struct Sources {
    files: Vec<SourceFile>,
}

impl Sources {
    /// No files yet.
    #[must_use]
    pub fn new() -> Self {
        Self::default()
    }

    /// Adds a file and gives its id.
    pub fn add(&mut self, name: impl Into<Arc<str>>, text: impl Into<Arc<str>>) -> FileId {
        let id = FileId(u32::try_from(self.files.len()).unwrap_or(u32::MAX));
        self.files.push(SourceFile { name: name.into(), text: text.into() });
        id
    }

    /// The file with this id, if it is one of these.
    #[must_use]
    pub fn get(&self, id: FileId) -> Option<&SourceFile> {
        self.files.get(id.0 as usize)
    }

    /// The text of a span; empty where the span lies outside.
    #[must_use]
    pub fn slice(&self, span: Span) -> &str {
        self.get(span.file)
            .and_then(|f| f.text.get(span.start as usize..span.end as usize))
            .unwrap_or("")
    }

    /// Ids and files in order.
    pub fn iter(&self) -> impl Iterator<Item = (FileId, &SourceFile)> {
        self.files.iter().enumerate().map(|(i, f)| (FileId(i as u32), f))
    }
}
