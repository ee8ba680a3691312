//! What a job report is made from.

use truing_job::closing::Obstacle;

use super::photo::Picture;
use super::text::Text;
use crate::report::Report;

/// What a job report is made from. Its findings are best made with their budgets, so that every
/// reading has its uncertainty.
#[derive(Clone, Debug)]
pub struct JobReport<'a> {
    /// The spec, the job and its rounds with their findings.
    pub report: Report<'a>,
    /// What the spec's text and its libraries are: `sha256:…`.
    pub spec_hash: Option<&'a str>,
    /// What stands in the way of closing the job.
    pub obstacles: &'a [Obstacle],
    /// For each photo of the sheet, in order of its rounds, the picture, or why it is left out. Of
    /// those that are not given it is said that they were not looked for.
    pub pictures: &'a [Result<Picture, Text>],
}

impl<'a> JobReport<'a> {
    /// Without the spec's hash, without pictures, and with nothing in the way.
    #[must_use]
    pub fn new(report: Report<'a>) -> Self {
        Self { report, spec_hash: None, obstacles: &[], pictures: &[] }
    }
}
