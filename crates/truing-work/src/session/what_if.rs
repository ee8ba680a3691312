//! What a reading would mean. Nothing is recorded.

use truing::job::{Entry, find_slot};
use truing::model::SlotId;

use super::Session;
use super::offer::Offer;
use crate::bench::Judged;
use crate::command::{Line, line};
use crate::guide::{Proposal, by_engine};
use crate::said::Said;
use crate::tell::{outcome, suspects};

impl Session {
    /// `what if 12.2`, `what if to_ground[V] 0.3`
    pub(super) fn what_if(&mut self, text: &str, said: &mut Vec<Said>) {
        let named = match line(text, |name| find_slot(self.bench.spec(), name).is_ok()) {
            Line::Named(name, value) => match find_slot(self.bench.spec(), name) {
                Ok(slot) => Some((slot, value)),
                Err(error) => {
                    said.push(Said::mistake("", &error));
                    return;
                }
            },
            _ => self.current.map(|slot| (slot, text)),
        };
        match named {
            Some((slot, value)) if !value.is_empty() => {
                self.offer(Offer::new(slot, value).only_asked(), said);
            }
            _ => said.push(Said::refused("Say which reading: what if battery_rest 12.2.")),
        }
    }

    pub(super) fn tell_what_if(
        &self,
        entry: &Entry,
        judged: &Judged,
        slot: SlotId,
        said: &mut Vec<Said>,
    ) {
        said.push(Said::text(format!("If {} were {}:", entry.path, entry.value)));
        let news = outcome::changed(&self.bench, self.standing.now(), judged, slot);
        if news.is_empty() {
            said.push(Said::text("No check would come out by that alone."));
        }
        said.extend(news);
        let job = crate::bench::with_reading(self.record.sheet(), entry);
        if let Ok(standing) = self.bench.judge(&job) {
            let spec = self.bench.spec();
            if let Some(stage) = standing.stages.last() {
                said.extend(suspects::suspects(spec, stage));
            }
            if let Proposal::Take(task, _) =
                by_engine(&self.bench, &standing, &self.bench.left_out(&job))
            {
                let (title, label) = (task.title(spec), task.label(spec));
                said.push(Said::text(format!("Next would be: {title} ({label}).")));
            }
        }
        said.push(Said::text("Nothing is recorded."));
    }
}
