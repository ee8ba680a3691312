//! What is kept of a job.

use std::path::PathBuf;

use truing::job::{JobSheet, read_sheet_file, write_toml};
use truing::report::Problem;
use truing_work::{Event, NotKept, Record};

use super::files::JobFiles;

pub struct Kept {
    sheet: PathBuf,
}

impl Kept {
    pub fn open(files: &JobFiles) -> Result<(Box<dyn Record>, Vec<Event>), Vec<Problem>> {
        let mut events = Vec::new();
        if files.sheet.exists() {
            let sheet = read_sheet_file(&files.sheet)
                .map_err(|errors| errors.iter().map(Problem::from).collect::<Vec<_>>())?;
            events.push(Event::Opened(Box::new(sheet)));
        }
        Ok((Box::new(Self { sheet: files.sheet.clone() }), events))
    }
}

impl Record for Kept {
    fn keep(&mut self, _: &Event) -> Result<(), NotKept> {
        Ok(())
    }

    fn settle(&mut self, sheet: &JobSheet) -> Result<(), NotKept> {
        std::fs::write(&self.sheet, write_toml(sheet)).map_err(|error| NotKept(error.to_string()))
    }
}
