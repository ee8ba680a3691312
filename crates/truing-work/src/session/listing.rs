//! What was read and what is left; closing the job.

use truing::job::Closed;
use truing::job::journal::Event;
use truing::model::SlotId;

use super::Session;
use super::ask::Ask;
use crate::said::Said;
use crate::tell::{capital, sentence};

impl Session {
    /// `list`
    pub(super) fn list(&self, said: &mut Vec<Said>) {
        let sheet = self.record.sheet();
        let readings = sheet.rounds.last().map_or(&[][..], |round| &round.readings);
        let taken: Vec<String> =
            readings.iter().map(|entry| format!("{} {}", entry.path, entry.value)).collect();
        let taken = if taken.is_empty() { "nothing yet".to_owned() } else { taken.join("; ") };
        said.push(Said::text(format!("Taken in this round: {taken}.")));
        let skipped = sheet.rounds.last().map_or(&[][..], |round| &round.skipped);
        if !skipped.is_empty() {
            let told: Vec<String> =
                skipped.iter().map(|it| format!("{} ({})", it.check, it.why)).collect();
            said.push(Said::text(format!("Skipped: {}.", told.join("; "))));
        }
        for (state, names) in self.left() {
            said.push(Said::text(format!("Left, {state}: {}.", names.join(", "))));
        }
    }

    /// What was not taken in this round, by state in the order of the spec: `to_ground[U, V, W]`.
    fn left(&self) -> Vec<(String, Vec<String>)> {
        let spec = self.bench.spec();
        let mut found: Vec<(String, Vec<String>)> = Vec::new();
        let mut names: Vec<(&str, Vec<&str>)> = Vec::new();
        let mut states = Vec::new();
        for (id, slot) in spec.slot_ids().filter(|(id, _)| !self.standing.filled(*id)) {
            let member = slot.member.as_deref().unwrap_or_default();
            match names.iter_mut().find(|(name, _)| *name == slot.name) {
                Some((_, members)) => members.push(member),
                None => {
                    names.push((slot.name.as_str(), vec![member]));
                    states.push(self.state_words(id));
                }
            }
        }
        for ((name, members), state) in names.into_iter().zip(states) {
            let members: Vec<&str> = members.into_iter().filter(|it| !it.is_empty()).collect();
            let told = if members.is_empty() {
                name.to_owned()
            } else {
                format!("{name}[{}]", members.join(", "))
            };
            match found.iter_mut().find(|(known, _)| *known == state) {
                Some((_, names)) => names.push(told),
                None => found.push((state, vec![told])),
            }
        }
        found
    }

    fn state_words(&self, slot: SlotId) -> String {
        let state = self.bench.slot(slot).and_then(|slot| slot.during);
        let state = state.and_then(|id| self.bench.spec().state(id));
        state.map_or_else(|| "as the machine stands".to_owned(), |state| state.name.clone())
    }

    /// `done`
    pub(super) fn done(&mut self, said: &mut Vec<Said>) {
        let obstacles = self.bench.obstacles(self.record.sheet());
        if obstacles.is_empty() {
            return self.close(None, said);
        }
        said.push(Said::title("In the way of closing the job:"));
        let told =
            obstacles.iter().zip(1..).map(|(text, n)| format!("{n}. {}", sentence(&capital(text))));
        said.extend(told.map(Said::text));
        said.push(Said::asked(
            "It can be closed all the same, with the reason on record; the repair is then not proven. Type the reason, or back to go on.",
        ));
        self.ask = Some(Ask::Reason);
    }

    pub(super) fn answer_reason(&mut self, text: &str, said: &mut Vec<Said>) {
        if text.is_empty() {
            said.push(Said::text("The job stays open."));
            return;
        }
        self.close(Some(text.to_owned()), said);
    }

    fn close(&mut self, reason: Option<String>, said: &mut Vec<Said>) {
        let told = match &reason {
            Some(_) => "Closed, not proven; the reason is on record.",
            None => "Closed.",
        };
        self.keep_limits(said);
        let closed = Closed { date: self.today(), reason, ..Closed::default() };
        if !self.keep(Event::Closed(closed), said) {
            return;
        }
        self.settle(said);
        said.push(Said::title(told));
        (self.over, self.ask, self.current) = (true, None, None);
    }
}
