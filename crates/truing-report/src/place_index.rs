//! Lines and columns of many places in one file, without counting from the top each time.

use truing_syntax::{SourceFile, Span};

/// Where the lines of one file begin.
pub(crate) struct PlaceIndex<'a> {
    file: &'a SourceFile,
    starts: Vec<usize>,
}

/// A place as people count it.
#[derive(Copy, Clone, Debug, PartialEq, Eq)]
pub(crate) struct Place {
    /// From 1.
    pub line: usize,
    /// From 1, in characters.
    pub column: usize,
    /// From 0, on a character's border.
    pub byte: usize,
}

impl<'a> PlaceIndex<'a> {
    /// Looks through `file` once.
    pub(crate) fn new(file: &'a SourceFile) -> Self {
        let breaks = file.text().bytes().enumerate().filter(|(_, b)| *b == b'\n');
        let starts = std::iter::once(0).chain(breaks.map(|(i, _)| i + 1)).collect();
        Self { file, starts }
    }

    /// The file.
    pub(crate) fn file(&self) -> &'a SourceFile {
        self.file
    }

    /// The place of a byte; beyond the end it is the end, inside a character its first byte.
    pub(crate) fn place(&self, byte: u32) -> Place {
        let byte = self.border(byte);
        let line = self.starts.partition_point(|start| *start <= byte).max(1);
        let start = self.starts.get(line - 1).copied().unwrap_or(0);
        let before = self.file.text().get(start..byte).unwrap_or("");
        Place { line, column: before.chars().count() + 1, byte }
    }

    /// A span's bytes, inside the text and on characters' borders, never upside down.
    pub(crate) fn range(&self, span: Span) -> std::ops::Range<usize> {
        let start = self.border(span.start);
        start..self.border(span.end).max(start)
    }

    /// The byte at which the line of `byte` begins, and that line's number.
    pub(crate) fn line_start(&self, byte: usize) -> (usize, usize) {
        let line = self.starts.partition_point(|start| *start <= byte).max(1);
        (self.starts.get(line - 1).copied().unwrap_or(0), line)
    }

    /// The byte behind the line of `byte`, its line break included.
    pub(crate) fn line_end(&self, byte: usize) -> usize {
        let line = self.starts.partition_point(|start| *start <= byte).max(1);
        self.starts.get(line).copied().unwrap_or(self.file.text().len())
    }

    fn border(&self, byte: u32) -> usize {
        let text = self.file.text();
        let mut byte = (byte as usize).min(text.len());
        while !text.is_char_boundary(byte) {
            byte -= 1;
        }
        byte
    }
}

#[cfg(test)]
mod tests {
    use truing_syntax::{FileId, Sources, Span};

    use super::{Place, PlaceIndex};

    #[test]
    fn counts_lines_from_one_and_columns_in_characters() {
        let mut sources = Sources::new();
        let id = sources.add("a.truing", "µV\nΩ x\r\n");
        let index = PlaceIndex::new(sources.get(id).unwrap());
        assert_eq!(index.place(0), Place { line: 1, column: 1, byte: 0 });
        assert_eq!(index.place(1), Place { line: 1, column: 1, byte: 0 }, "inside a character");
        assert_eq!(index.place(2), Place { line: 1, column: 2, byte: 2 });
        assert_eq!(index.place(7), Place { line: 2, column: 3, byte: 7 });
        assert_eq!(index.place(999), Place { line: 3, column: 1, byte: 10 });
    }

    #[test]
    fn agrees_with_the_place_that_a_source_file_counts() {
        let text = "limit a = 1 V\n\n  µ\r\nx";
        let mut sources = Sources::new();
        let id = sources.add("a.truing", text);
        let file = sources.get(id).unwrap();
        let index = PlaceIndex::new(file);
        for (byte, _) in text.char_indices() {
            let place = index.place(byte as u32);
            assert_eq!((place.line, place.column), file.line_column(byte as u32));
        }
    }

    #[test]
    fn a_span_outside_the_text_becomes_one_inside() {
        let mut sources = Sources::new();
        let id = sources.add("a.truing", "abc");
        let index = PlaceIndex::new(sources.get(id).unwrap());
        assert_eq!(index.range(Span::new(FileId(0), 9, 4)), 3..3);
        assert_eq!(index.range(Span::new(FileId(0), 2, 1)), 2..2);
    }
}
