//! Notes, photos, bridges.

use truing::job::journal::Event;
use truing::job::record::check_photo_path;
use truing::job::{Bypass, Photo, Remark};

use super::Session;
use crate::said::Said;

impl Session {
    /// `note TEXT`
    pub(super) fn note(&mut self, text: &str, said: &mut Vec<Said>) {
        if text.is_empty() {
            said.push(Said::refused("Say what is to be noted: note TEXT."));
            return;
        }
        let (of, time) = (self.last_label(), self.now());
        let beside = of.as_ref().map_or(String::new(), |of| format!(" beside {of}"));
        let remark = Remark { text: text.to_owned(), time, of, ..Remark::default() };
        let Some(round) = self.in_round(said) else { return };
        if self.keep(Event::Remark { round, remark }, said) {
            said.push(Said::recorded(format!("Noted{beside}.")));
        }
    }

    /// `photo PATH TEXT`
    pub(super) fn photo(&mut self, text: &str, said: &mut Vec<Said>) {
        let (path, note) = text.split_once(char::is_whitespace).unwrap_or((text, ""));
        if let Err(error) = check_photo_path(path) {
            said.push(Said::mistake("Not recorded: ", &error));
            return;
        }
        let note = (!note.trim().is_empty()).then(|| note.trim().to_owned());
        let of = self.last_label();
        let beside = of.as_ref().map_or(String::new(), |of| format!(" beside {of}"));
        let photo = Photo { path: path.to_owned(), of, note, ..Photo::default() };
        let Some(round) = self.in_round(said) else { return };
        if self.keep(Event::Photo { round, photo }, said) {
            said.push(Said::recorded(format!(
                "Photo{beside}: {path}, to lie in the folder of the job."
            )));
        }
    }

    /// `bypass WHAT`
    pub(super) fn bypass(&mut self, what: &str, said: &mut Vec<Said>) {
        if what.is_empty() {
            said.push(Said::refused("Say what is bridged: bypass seat switch."));
            return;
        }
        let bypass = Bypass { what: what.to_owned(), removed: false, ..Bypass::default() };
        let Some(round) = self.in_round(said) else { return };
        if self.keep(Event::Bypass { round, bypass }, said) {
            said.push(Said::recorded(format!(
                "Bridged: {what}. Type removed when it is off again."
            )));
        }
    }

    /// `removed`, `removed WHAT`
    pub(super) fn removed(&mut self, what: &str, said: &mut Vec<Said>) {
        let rounds = &self.record.sheet().rounds;
        let open = rounds.iter().flat_map(|round| &round.bypasses).filter(|it| !it.removed);
        let named = open.filter(|it| what.is_empty() || it.what.eq_ignore_ascii_case(what));
        let named: Vec<Bypass> = named.cloned().collect();
        match named.as_slice() {
            [] => said.push(Said::text("Nothing of that name is bridged.")),
            [one] => {
                let what = one.what.clone();
                if self.keep(Event::BypassRemoved { name: what.clone() }, said) {
                    said.push(Said::recorded(format!("Off again: {what}.")));
                }
            }
            several => {
                let all: Vec<String> = several.iter().map(|it| it.what.clone()).collect();
                said.push(Said::asked(format!(
                    "Which one: {}? Type removed and its name.",
                    all.join(", ")
                )));
            }
        }
    }

    fn last_label(&self) -> Option<String> {
        self.last.map(|slot| self.bench.label(slot).to_owned())
    }
}
