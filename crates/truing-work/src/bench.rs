//! The spec and what the job's sheet comes to under it.

use std::collections::BTreeSet;

use truing::engine::suspects::{Ranking, Stage};
use truing::engine::{Detail, Findings, Sheet};
use truing::job::{Entry, JobSheet, Round, SheetError, complaint, fitted};
use truing::model::{CheckId, FixId, Outcome, Slot, SlotId, Spec};
use truing::report::obstacle_text;
use truing::{Compiled, Profiles, SuspectRound};

/// A spec, with the instruments that a sheet of it may name.
pub struct Bench {
    compiled: Compiled,
    profiles: Profiles,
}

/// One round with what comes of it.
#[derive(Clone, Debug)]
pub struct Judged {
    /// What was read.
    pub sheet: Sheet,
    /// What comes of it.
    pub findings: Findings,
    /// What was done before it.
    pub fitted: Vec<FixId>,
}

/// A whole job with what comes of it.
#[derive(Clone, Debug, Default)]
pub struct Standing {
    /// Its rounds.
    pub rounds: Vec<Judged>,
    /// Which fault explains them; nothing where the spec lists none.
    pub stages: Vec<Stage>,
    /// The readings that were skipped in the last round.
    pub skipped: BTreeSet<SlotId>,
}

impl Standing {
    /// The round that is being worked on.
    #[must_use]
    pub fn now(&self) -> Option<&Judged> {
        self.rounds.last()
    }

    /// What the last stage comes to; nothing where its results contradict each other.
    #[must_use]
    pub fn ranking(&self) -> Option<&Ranking> {
        self.stages.last()?.ranking.as_ref().ok()
    }

    /// What comes of a check in this round.
    #[must_use]
    pub fn outcome(&self, check: CheckId) -> Option<Outcome> {
        Some(self.now()?.findings.of(check)?.outcome)
    }

    /// Whether nothing more is asked for in a slot in this round: there is a reading, or the reason why
    /// there is none.
    #[must_use]
    pub fn filled(&self, slot: SlotId) -> bool {
        self.skipped.contains(&slot)
            || self.now().is_some_and(|round| round.sheet.get(slot).is_some())
    }
}

impl Bench {
    /// A bench for jobs of this spec.
    #[must_use]
    pub fn new(compiled: Compiled) -> Self {
        let profiles = compiled.profiles();
        Self { compiled, profiles }
    }

    /// The spec with its plan.
    #[must_use]
    pub const fn compiled(&self) -> &Compiled {
        &self.compiled
    }

    /// The spec as data.
    #[must_use]
    pub fn spec(&self) -> &Spec {
        self.compiled.spec()
    }

    /// The instruments that can be named.
    #[must_use]
    pub const fn profiles(&self) -> &Profiles {
        &self.profiles
    }

    /// A slot's facts.
    #[must_use]
    pub fn slot(&self, id: SlotId) -> Option<&Slot> {
        self.spec().slot(id)
    }

    /// A slot's name, for people.
    #[must_use]
    pub fn label(&self, id: SlotId) -> &str {
        self.slot(id).map_or("", |slot| slot.label.as_str())
    }

    /// What comes of a job.
    ///
    /// # Errors
    /// What is wrong with its sheet under this spec.
    pub fn judge(&self, job: &JobSheet) -> Result<Standing, Vec<SheetError>> {
        if job.rounds.is_empty() {
            self.accepts(job).map_err(|error| vec![error])?;
        }
        let mut rounds = Vec::new();
        for at in 0..job.rounds.len() {
            let sheet = self.compiled.bind(job, at)?;
            let findings = self.compiled.assess_with(&sheet, Detail::Reasons);
            rounds.push(Judged { sheet, findings, fitted: fitted(job, at, self.spec())? });
        }
        let visits: Vec<SuspectRound<'_>> =
            rounds.iter().map(|of| SuspectRound { sheet: &of.sheet, fitted: &of.fitted }).collect();
        let complaint = complaint(job, self.spec());
        let left_out = self.left_out(job);
        // Faults that cannot be ranked were told when the job was opened.
        let stages = self.compiled.suspects_without(&visits, complaint, &left_out);
        let skipped = self.skipped(job);
        Ok(Standing { rounds, stages: stages.unwrap_or_default(), skipped })
    }

    /// The last round with one more entry in it, judged; the job stays as it is.
    ///
    /// # Errors
    /// What is wrong with the entry.
    pub fn with_entry(&self, job: &JobSheet, entry: &Entry) -> Result<Judged, SheetError> {
        let job = with_reading(job, entry);
        let at = job.rounds.len().saturating_sub(1);
        match self.compiled.bind(&job, at) {
            Ok(sheet) => {
                let findings = self.compiled.assess_with(&sheet, Detail::Reasons);
                Ok(Judged { sheet, findings, fitted: Vec::new() })
            }
            Err(errors) => Err(first(errors, |of| of == entry.path)),
        }
    }

    /// Whether a sheet can be bound as it is.
    ///
    /// # Errors
    /// The first thing that is wrong with it.
    pub fn accepts(&self, job: &JobSheet) -> Result<(), SheetError> {
        let mut job = job.clone();
        if job.rounds.is_empty() {
            job.rounds.push(Round::default());
        }
        let bound = self.compiled.bind(&job, job.rounds.len() - 1);
        bound.map(|_| ()).map_err(|errors| first(errors, |_| true))
    }

    /// What stands in the way of closing a job, a sentence each.
    #[must_use]
    pub fn obstacles(&self, job: &JobSheet) -> Vec<String> {
        let Ok(judged) = self.compiled.judge(job) else { return Vec::new() };
        judged.obstacles.iter().map(|it| obstacle_text(self.spec(), job, it)).collect()
    }

    fn skipped(&self, job: &JobSheet) -> BTreeSet<SlotId> {
        let skipped = job.rounds.last().map_or(&[][..], |round| &round.skipped);
        let named = |label: &str, name: &str| {
            skipped.iter().any(|it| it.check == label || it.check == name)
        };
        let slots = self.spec().slot_ids();
        slots.filter(|(_, slot)| named(&slot.label, &slot.name)).map(|(id, _)| id).collect()
    }

    /// The checks that were skipped in this round, or that read what was skipped or not taken in it.
    #[must_use]
    pub fn left_out(&self, job: &JobSheet) -> Vec<CheckId> {
        let Some(round) = job.rounds.last() else { return Vec::new() };
        let not_taken = |entry: &&Entry| entry.value.trim_start().starts_with("not taken");
        let names: BTreeSet<&str> = (round.skipped.iter().map(|it| it.check.as_str()))
            .chain(round.readings.iter().filter(not_taken).map(|it| it.path.as_str()))
            .collect();
        let named = |label: &str, name: &str| names.contains(label) || names.contains(name);
        let all = self.spec().check_ids().filter(|(_, check)| {
            let mut slots = check.slots.iter().filter_map(|slot| self.slot(*slot));
            named(&check.label, &check.name) || slots.any(|slot| named(&slot.label, &slot.name))
        });
        all.map(|(id, _)| id).collect()
    }
}

/// A job with one more reading in its last round, in place of what stood there.
#[must_use]
pub fn with_reading(job: &JobSheet, entry: &Entry) -> JobSheet {
    let mut job = job.clone();
    if job.rounds.is_empty() {
        job.rounds.push(Round::default());
    }
    if let Some(round) = job.rounds.last_mut() {
        round.readings.retain(|other| other.path != entry.path);
        round.readings.push(entry.clone());
    }
    job
}

/// The first mistake about an entry that is meant, else the first of all.
fn first(errors: Vec<SheetError>, meant: impl Fn(&str) -> bool) -> SheetError {
    let of = errors.iter().find(|error| error.entry.as_deref().is_some_and(&meant));
    of.or(errors.first()).cloned().unwrap_or_else(|| {
        SheetError::new(truing::job::slugs::READING_SYNTAX, "this cannot stand here")
    })
}
