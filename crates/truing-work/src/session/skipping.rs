//! What is left out, and why.

use truing::job::journal::Event;
use truing::job::{Entry, Skipped, find_checks};
use truing::model::SlotId;

use super::Session;
use crate::command::path;
use crate::said::Said;

impl Session {
    /// `skip`, `skip no access`, `skip winding_level no four-wire meter`
    pub(super) fn skip(&mut self, why: &str, said: &mut Vec<Said>) {
        let (name, reason) = path(why);
        if !name.is_empty() && self.can_be_skipped(name) {
            return self.skip_named(name, reason, said);
        }
        if self.detour.take().is_some() {
            said.push(Said::text("Left out."));
            self.current = None;
            return;
        }
        let Some(task) = &self.task else {
            said.push(Said::text("Nothing is asked for that could be left out."));
            return;
        };
        // Before the step the whole of it is left out; at a reading, that reading, and with it what
        // cannot be judged without it.
        let spec = self.bench.spec();
        let what = self.current.map_or(task.label(spec), |slot| self.bench.label(slot)).to_owned();
        let whole = self.current.is_none_or(|slot| task.needs(spec, slot));
        let why = if why.is_empty() { "no reason given" } else { why };
        let told = format!("Skipped: {what} ({why}).");
        let Some(round) = self.in_round(said) else { return };
        let left_out = self.skipped_reading(why);
        let skipped = Skipped { check: what, why: why.to_owned(), ..Skipped::default() };
        let kept = left_out.is_none_or(|entry| self.keep(Event::Reading { round, entry }, said));
        if kept && self.keep(Event::Skipped { round, skipped }, said) {
            said.push(Said::recorded(told));
            if whole {
                self.task = None;
            }
            self.current = None;
            (self.idle, self.free) = (false, false);
        }
    }

    fn can_be_skipped(&self, name: &str) -> bool {
        let spec = self.bench.spec();
        find_checks(spec, name).is_ok()
            || spec.slots.iter().any(|it| it.label == name || it.name == name)
    }

    /// A check or reading that is not asked for now is left out of what is proposed.
    fn skip_named(&mut self, name: &str, why: &str, said: &mut Vec<Said>) {
        let why = if why.is_empty() { "no reason given" } else { why };
        let Some(round) = self.in_round(said) else { return };
        let (check, why) = (name.to_owned(), why.to_owned());
        let told = format!("Skipped: {check} ({why}).");
        if self.keep(
            Event::Skipped { round, skipped: Skipped { check, why, ..Skipped::default() } },
            said,
        ) {
            said.push(Said::recorded(told));
            if self.is_of_step(name) {
                (self.task, self.current) = (None, None);
            }
            self.idle = false;
        }
    }

    /// Whether what is left out is the step that is asked for, or a reading that it needs.
    fn is_of_step(&self, name: &str) -> bool {
        let spec = self.bench.spec();
        let Some(task) = &self.task else { return false };
        let plain = |label: &str| label.split('[').next().unwrap_or(label).to_owned();
        let needed = |slot: &SlotId| {
            let facts = self.bench.slot(*slot);
            task.needs(spec, *slot) && facts.is_some_and(|it| it.label == name || it.name == name)
        };
        let label = task.label(spec);
        label == name || plain(label) == name || task.slots.iter().any(needed)
    }

    /// A written procedure asks for a reading until it is taken, or set down as not taken.
    fn skipped_reading(&self, why: &str) -> Option<Entry> {
        self.procedure.as_ref()?;
        let left = self.task.as_ref()?.left(&self.standing);
        let slot = self.current.or(left.first().copied())?;
        let why = why.replace(['"', '\\'], "'");
        let path = self.bench.label(slot).to_owned();
        let value = format!("not taken \"{why}\"");
        Some(Entry { path, value, time: self.now(), ..Entry::default() })
    }
}
