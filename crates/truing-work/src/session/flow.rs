//! What comes next: the step, the way there, the cautions, the reading that is asked for.

use truing::model::{CautionId, SlotId};

use super::Session;
use super::ask::{Ask, Then};
use crate::guide::{Proposal, by_engine};
use crate::said::Said;
use crate::task::{Aim, Task};
use crate::tell::suspects::Gist;
use crate::tell::{step, suspects};
use crate::way::{been, cautions, way};

impl Session {
    /// Goes on until something is asked for.
    pub(super) fn proceed(&mut self, said: &mut Vec<Said>) {
        let rests = |it: &Self| it.ask.is_some() || it.current.is_some() || it.over;
        while !rests(self) && !self.idle && !self.free {
            if let Some(slot) = self.detour {
                self.lead_to(slot, &[slot], said);
                continue;
            }
            let left = self.task.as_ref().map(|task| task.left(&self.standing));
            match left.as_deref() {
                Some([slot, ..]) => self.lead_to(*slot, left.as_deref().unwrap_or_default(), said),
                Some([]) => {
                    self.task = None;
                    self.tell_suspects(said);
                }
                None => self.propose(said),
            }
        }
    }

    fn propose(&mut self, said: &mut Vec<Said>) {
        if self.propose_by_procedure(said) {
            return;
        }
        let left_out = self.bench.left_out(self.record.sheet());
        match by_engine(&self.bench, &self.standing, &left_out) {
            Proposal::Take(task, why) => {
                said.extend(step::task(&self.bench, &task, why.as_ref()));
                self.task = Some(task);
            }
            Proposal::Decided(more) => {
                if let Some(ranking) = self.standing.ranking() {
                    let told = suspects::decided(self.bench.spec(), ranking, more.is_some());
                    said.extend(told);
                }
                said.push(Said::text(
                    "Any reading can still be given by its name. `list` shows what is left, `done` closes the job.",
                ));
                self.idle = true;
            }
            Proposal::Nothing => {
                said.push(Said::text(
                    "Nothing is left to propose. `list` shows what was read, `done` closes the job.",
                ));
                self.idle = true;
            }
        }
    }

    /// Goes on measuring where enough is known.
    pub(super) fn measure_on(&mut self, said: &mut Vec<Said>) {
        let left_out = self.bench.left_out(self.record.sheet());
        let (task, why) = match by_engine(&self.bench, &self.standing, &left_out) {
            Proposal::Take(task, why) => (task, why),
            Proposal::Decided(Some(task)) => (task, None),
            Proposal::Decided(None) | Proposal::Nothing => {
                said.push(Said::text("Nothing is left to propose."));
                return;
            }
        };
        said.extend(step::task(&self.bench, &task, why.as_ref()));
        self.start_task(task);
    }

    fn start_task(&mut self, task: Task) {
        self.task = Some(task);
        self.current = None;
        (self.idle, self.free) = (false, false);
    }

    /// Leads the machine to where a reading is taken, with the cautions before it, and asks for it.
    /// `with` are the readings that are taken in one go with it.
    fn lead_to(&mut self, slot: SlotId, with: &[SlotId], said: &mut Vec<Said>) {
        let spec = self.bench.spec();
        let during = spec.slot(slot).and_then(|slot| slot.during);
        let mut been = been(spec, &self.standing);
        been.extend(self.state);
        let way = match during.filter(|during| self.state != Some(*during)) {
            Some(during) => way(spec, during, &been, &self.standing),
            None => Vec::new(),
        };
        let alike = |id: &SlotId| spec.slot(*id).is_some_and(|slot| slot.during == during);
        let alike: Vec<SlotId> = with.iter().copied().filter(alike).collect();
        let mut all = cautions(spec, &way, &alike);
        let warned = self.warned.iter().filter(|id| !self.acknowledged.contains(id));
        let warned: Vec<CautionId> = warned.copied().filter(|id| !all.contains(id)).collect();
        all.extend(warned);
        let new: Vec<CautionId> =
            all.iter().copied().filter(|id| !self.acknowledged.contains(id)).collect();
        let moved = !way.is_empty();
        if moved || !new.is_empty() {
            said.extend(step::way(&self.bench, &way));
            self.show_cautions(if moved { &all } else { &new }, said);
        }
        // What is being led to counts as reached when the cautions are read.
        let reached = way.last().copied();
        if new.is_empty() {
            self.state = reached.or(self.state);
            if reached.is_some() {
                self.declared = None;
            }
            let itself = self.task.as_ref().is_some_and(|task| task.aim == Aim::Slot(slot));
            let titled = !itself || self.detour.is_some();
            said.extend(step::slot(&self.bench, &self.meters(), slot, titled));
            self.current = Some(slot);
        } else {
            self.ask = Some(Ask::Cautions(new, Then::Step(reached)));
        }
    }

    pub(super) fn show_cautions(&self, ids: &[CautionId], said: &mut Vec<Said>) {
        let known = ids.iter().filter_map(|id| self.bench.spec().cautions.get(id.0 as usize));
        said.extend(known.map(|caution| Said::caution(&caution.text)));
    }

    /// Who is suspected now, where that is worth telling after what was told last.
    pub(super) fn tell_suspects(&mut self, said: &mut Vec<Said>) {
        let Some(stage) = self.standing.stages.last() else { return };
        let gist = Gist::of(stage);
        if self.told.as_ref().is_none_or(|told| gist.is_news_to(told)) {
            let told = suspects::suspects(self.bench.spec(), stage);
            if told != self.last_told {
                said.extend(told.iter().cloned());
                self.last_told = told;
            }
            self.told = Some(gist);
        }
    }

    /// Asks for a reading anew, as if nothing had been typed.
    pub(super) fn ask_again(&mut self, slot: SlotId) {
        if self.current != Some(slot) && self.detour != Some(slot) {
            self.current = None;
        }
        (self.idle, self.free) = (false, false);
    }
}
