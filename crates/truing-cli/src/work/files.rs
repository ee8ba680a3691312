//! Where a job lies: its sheet and its journal side by side, under the work order's name.

use std::path::{Path, PathBuf};

/// The files of a job.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct JobFiles {
    /// The work order, for the sheet.
    pub order: String,
    /// `PL-0702.toml`
    pub sheet: PathBuf,
    /// `PL-0702.journal`
    pub journal: PathBuf,
}

impl JobFiles {
    /// Of a job as it was named on the command line: a work order, or the path of its sheet or
    /// journal.
    pub fn named(job: &Path) -> Option<Self> {
        let stem = match job.extension().and_then(|end| end.to_str()) {
            Some("toml" | "journal") => job.with_extension(""),
            _ => job.to_owned(),
        };
        let order = stem.file_name()?.to_str()?.to_owned();
        let with = |end: &str| stem.with_file_name(format!("{order}.{end}"));
        Some(Self { sheet: with("toml"), journal: with("journal"), order })
    }

    /// Of a new job under a work order, in the current folder. What can't stand in a file's name is
    /// left out of it.
    pub fn of_order(order: &str) -> Self {
        let plain = |c: char| if c.is_alphanumeric() || "-_.".contains(c) { c } else { '-' };
        let name: String = order.trim().chars().take(80).map(plain).collect();
        let name = name.trim_matches(['-', '.']).to_owned();
        let name = if name.is_empty() { "job".to_owned() } else { name };
        Self {
            order: order.trim().to_owned(),
            sheet: format!("{name}.toml").into(),
            journal: format!("{name}.journal").into(),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_job_is_named_by_its_order_or_by_one_of_its_files() {
        for name in ["jobs/PL-0702", "jobs/PL-0702.toml", "jobs/PL-0702.journal"] {
            let files = JobFiles::named(Path::new(name)).unwrap();
            assert_eq!(files.order, "PL-0702");
            assert_eq!(files.sheet, Path::new("jobs/PL-0702.toml"));
            assert_eq!(files.journal, Path::new("jobs/PL-0702.journal"));
        }
        assert_eq!(JobFiles::named(Path::new("/")), None);
        assert_eq!(JobFiles::named(Path::new("a.b")).unwrap().sheet, Path::new("a.b.toml"));
    }

    #[test]
    fn an_order_makes_a_plain_file_name() {
        assert_eq!(JobFiles::of_order("PL-0702").sheet, Path::new("PL-0702.toml"));
        assert_eq!(JobFiles::of_order("../etc/x").sheet, Path::new("etc-x.toml"));
        assert_eq!(JobFiles::of_order("a\u{1b}[2J b").sheet, Path::new("a--2J-b.toml"));
        assert_eq!(JobFiles::of_order(" .. ").sheet, Path::new("job.toml"));
    }
}
