//! What is known of the jobs of a folder: plain data, for the table and the JSON of `truing history`.

use std::collections::BTreeMap;

use serde::Serialize;
use truing_job::closing::Conclusion;

/// The jobs of a folder.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct History {
    /// The jobs, in order of day and number.
    pub jobs: Vec<PastJob>,
    /// The files that could not be read as job sheets.
    pub unreadable: Vec<Unreadable>,
}

/// One job.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct PastJob {
    /// The file that it was read from.
    pub file: String,
    /// Its number.
    pub job: Option<String>,
    /// Its day.
    pub date: Option<String>,
    /// The spec that it names.
    pub spec: Option<String>,
    /// The sort of machine: `Ostrevik Hauler 680`.
    pub machine: Option<String>,
    /// The machine's own number.
    pub serial: Option<String>,
    /// What the customer said.
    pub complaint: Option<String>,
    /// What came of it; or why it was not judged.
    pub outcome: JobOutcome,
    /// The parts that were fitted, in order.
    pub parts: Vec<PastPart>,
    /// Whether it is closed.
    pub closed: bool,
}

/// What came of a job, or why it was not judged.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(tag = "judged", rename_all = "kebab-case")]
pub enum JobOutcome {
    /// It was judged.
    Yes {
        /// What it comes to.
        conclusion: Conclusion,
        /// How many things stand in the way of closing it.
        obstacles: usize,
        /// The fault that was found: of those that the last repair mends the likeliest before it.
        fault: Option<FoundFault>,
    },
    /// It was not.
    No {
        /// Why, in one sentence without its full stop.
        why: String,
    },
}

impl Default for JobOutcome {
    fn default() -> Self {
        Self::No { why: String::new() }
    }
}

/// A fault that was found.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct FoundFault {
    /// Its name in the spec without a member: `diode_open`.
    pub name: String,
    /// With its member: `diode_open[V]`.
    pub label: String,
    /// For people.
    pub title: String,
}

/// A part that was fitted.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct PastPart {
    /// What it is.
    pub name: String,
    /// The number that it is ordered by.
    pub number: Option<String>,
    /// How many.
    pub quantity: u32,
    /// The price of one, as written.
    pub price: Option<String>,
}

/// A file that is no job sheet, or one with mistakes.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Unreadable {
    /// The file.
    pub file: String,
    /// The first thing that is wrong, with its line.
    pub why: String,
}

/// How many jobs came to what.
#[derive(Copy, Clone, Debug, Default, PartialEq, Eq, Serialize)]
pub struct Counts {
    /// All.
    pub jobs: usize,
    /// The repair is proven.
    pub proven: usize,
    /// It is not.
    pub not_proven: usize,
    /// Nothing was repaired.
    pub nothing_repaired: usize,
    /// Not judged.
    pub not_judged: usize,
}

impl Counts {
    /// Counts jobs.
    pub fn of<'a>(jobs: impl IntoIterator<Item = &'a PastJob>) -> Self {
        let mut counts = Self::default();
        for job in jobs {
            counts.jobs += 1;
            let place = match &job.outcome {
                JobOutcome::No { .. } => &mut counts.not_judged,
                JobOutcome::Yes { conclusion, .. } => match conclusion {
                    Conclusion::Proven => &mut counts.proven,
                    Conclusion::NotProven => &mut counts.not_proven,
                    Conclusion::NothingRepaired => &mut counts.nothing_repaired,
                },
            };
            *place += 1;
        }
        counts
    }
}

impl PastJob {
    /// The fault that was found.
    #[must_use]
    pub fn fault(&self) -> Option<&FoundFault> {
        match &self.outcome {
            JobOutcome::Yes { fault, .. } => fault.as_ref(),
            JobOutcome::No { .. } => None,
        }
    }
}

impl History {
    /// The jobs by sort of machine; those of which it is not known under nothing.
    #[must_use]
    pub fn by_machine(&self) -> BTreeMap<Option<&str>, Vec<&PastJob>> {
        self.grouped(|job| job.machine.as_deref())
    }

    /// The jobs by the fault that was found, whichever its member; those without one under nothing.
    #[must_use]
    pub fn by_fault(&self) -> BTreeMap<Option<&str>, Vec<&PastJob>> {
        self.grouped(|job| job.fault().map(|fault| fault.name.as_str()))
    }

    fn grouped<'a>(
        &'a self,
        key: impl Fn(&'a PastJob) -> Option<&'a str>,
    ) -> BTreeMap<Option<&'a str>, Vec<&'a PastJob>> {
        let mut groups: BTreeMap<Option<&str>, Vec<&PastJob>> = BTreeMap::new();
        for job in &self.jobs {
            groups.entry(key(job)).or_default().push(job);
        }
        groups
    }
}
