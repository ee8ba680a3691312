//! The three formats of a sheet.

use std::fmt;
use std::path::Path;

/// How a sheet is written.
#[derive(Copy, Clone, Debug, PartialEq, Eq)]
pub enum SheetFormat {
    /// Tables, for people.
    Toml,
    /// The same structure, for programs.
    Json,
    /// One row for each reading, for spreadsheets.
    Csv,
}

impl SheetFormat {
    /// By the end of the file's name, where it is one of `.toml`, `.json`, `.csv`, `.tsv`.
    #[must_use]
    pub fn of_path(path: &Path) -> Option<Self> {
        let extension = path.extension()?.to_str()?.to_ascii_lowercase();
        match extension.as_str() {
            "toml" => Some(Self::Toml),
            "json" => Some(Self::Json),
            "csv" | "tsv" => Some(Self::Csv),
            _ => None,
        }
    }

    /// By the look of the text: JSON begins with a brace, CSV with a line of column names; anything
    /// else is TOML.
    #[must_use]
    pub fn guess(text: &str) -> Self {
        let first = text
            .trim_start_matches('\u{FEFF}')
            .lines()
            .map(str::trim)
            .find(|line| !line.is_empty() && !line.starts_with('#'))
            .unwrap_or("");
        if first.starts_with('{') {
            return Self::Json;
        }
        let head = first.split([',', ';', '\t']).next().unwrap_or("").trim().trim_matches('"');
        if head.eq_ignore_ascii_case("reading") || head.eq_ignore_ascii_case("round") {
            Self::Csv
        } else {
            Self::Toml
        }
    }

    /// Its name.
    #[must_use]
    pub const fn words(self) -> &'static str {
        match self {
            Self::Toml => "TOML",
            Self::Json => "JSON",
            Self::Csv => "CSV",
        }
    }
}

impl fmt::Display for SheetFormat {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.words())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_path_tells_the_format_whatever_its_case() {
        assert_eq!(SheetFormat::of_path(Path::new("a/b.TOML")), Some(SheetFormat::Toml));
        assert_eq!(SheetFormat::of_path(Path::new("b.csv")), Some(SheetFormat::Csv));
        assert_eq!(SheetFormat::of_path(Path::new("b.txt")), None);
        assert_eq!(SheetFormat::of_path(Path::new("json")), None);
    }

    #[test]
    fn a_text_without_a_name_is_told_by_its_look() {
        assert_eq!(SheetFormat::guess("\u{FEFF}\n {\"job\": 1}"), SheetFormat::Json);
        assert_eq!(SheetFormat::guess("# from the bench\nReading;Value\n"), SheetFormat::Csv);
        assert_eq!(SheetFormat::guess("round,reading,value\n"), SheetFormat::Csv);
        assert_eq!(SheetFormat::guess("[readings]\nround = \"1\"\n"), SheetFormat::Toml);
        assert_eq!(SheetFormat::guess(""), SheetFormat::Toml);
    }
}
