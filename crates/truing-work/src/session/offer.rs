//! A reading on its way onto the record: understood, looked at for slips, behind its cautions.

use truing::job::journal::Event;
use truing::job::{Entry, SheetError, nearest};
use truing::model::{CautionId, Outcome, Reading, SlotId, SlotKind, StateId};
use truing::units::Kind;

use super::Session;
use super::ask::{Ask, Then};
use super::doubt::{Question, doubt_text};
use crate::bench::Judged;
use crate::ledger::counting;
use crate::meters::{AtHand, Meters, is_electrical};
use crate::said::Said;
use crate::scale::Gauge;
use crate::slip::{Slip, slips};
use crate::tell::outcome;
use crate::typed::{Typed, typed};
use crate::way::cautions;

/// A reading as it was typed, with what was answered about it since.
#[derive(Clone, Debug)]
pub(super) struct Offer {
    pub slot: SlotId,
    pub text: String,
    /// Its unit, where that was asked for.
    pub unit: Option<String>,
    /// The range of an `OL`, where that was asked for.
    pub range: Option<String>,
    meter: Option<String>,
    /// The state that it was taken in, where that is not its own and was confirmed.
    pub state: Option<StateId>,
    /// It is taken as typed, whatever looks like a slip.
    pub sure: bool,
    /// It is only asked what it would mean.
    only_asked: bool,
}

impl Offer {
    pub fn new(slot: SlotId, text: &str) -> Self {
        Self {
            slot,
            text: text.to_owned(),
            unit: None,
            range: None,
            meter: None,
            state: None,
            sure: false,
            only_asked: false,
        }
    }

    pub fn only_asked(mut self) -> Self {
        self.only_asked = true;
        self
    }

    /// Another text for the same place.
    pub fn again(&self, text: &str) -> Self {
        Self {
            meter: self.meter.clone(),
            only_asked: self.only_asked,
            ..Self::new(self.slot, text)
        }
    }
}

impl Session {
    /// Takes a reading, or asks back what it needs to know.
    pub(super) fn offer(&mut self, mut offer: Offer, said: &mut Vec<Said>) {
        if let Err(error) = self.split_meter(&mut offer) {
            self.refuse(&offer, &error, said);
            return;
        }
        let Some(slot) = self.bench.slot(offer.slot) else { return };
        let typed = match &slot.kind {
            SlotKind::Words(words) => {
                let words = words.clone();
                self.word(&offer, &words, said)
            }
            SlotKind::Quantity { kind, .. } => {
                let kind = *kind;
                self.quantity(&offer, kind, said)
            }
        };
        let Some(typed) = typed else { return };
        let entry = self.entry(&offer, &typed);
        let judged = match self.bench.with_entry(self.record.sheet(), &entry) {
            Ok(judged) => judged,
            Err(error) => return self.refuse(&offer, &error, said),
        };
        if offer.only_asked {
            return self.tell_what_if(&entry, &judged, offer.slot, said);
        }
        if matches!(judged.sheet.get(offer.slot), Some(Reading::NotTaken { .. })) {
            return self.record(&offer, &typed, entry, said);
        }
        if let Some(question) = self.doubtful(&offer, &typed, &entry, &judged) {
            return self.ask_back(offer, question, &entry, said);
        }
        let new = self.cautions_of(offer.slot);
        if !new.is_empty() {
            said.push(Said::text("This reading is taken where something can hurt."));
            self.show_cautions(&new, said);
            said.push(Said::asked(
                "Type yes when this was read and seen to. Then the reading is recorded.",
            ));
            self.ask = Some(Ask::Cautions(new, Then::Offer(Box::new(offer))));
            return;
        }
        self.record(&offer, &typed, entry, said);
    }

    /// `1.8 mA with M-B`
    fn split_meter(&self, offer: &mut Offer) -> Result<(), SheetError> {
        let Some((text, name)) = offer.text.rsplit_once(" with ") else { return Ok(()) };
        // A quote holds words, not a meter.
        if text.matches('"').count() % 2 == 1 {
            return Ok(());
        }
        let (text, name) = (text.trim().to_owned(), name.trim().to_owned());
        self.known_meter(&name)?;
        (offer.text, offer.meter) = (text, Some(name));
        Ok(())
    }

    /// What was seen, as its word.
    fn word(&mut self, offer: &Offer, words: &[String], said: &mut Vec<Said>) -> Option<Typed> {
        let plain = |text: &str| Typed { text: text.to_owned(), figure: None, overload: false };
        let text = offer.text.trim();
        let joined = text.split_whitespace().collect::<Vec<_>>().join("_");
        let word = words.iter().find(|word| word.eq_ignore_ascii_case(&joined));
        if let Some(word) = word {
            return Some(plain(word));
        }
        if text.to_ascii_lowercase().starts_with("not taken") {
            return Some(plain(text));
        }
        let begun = words.iter().filter(|word| !joined.is_empty() && word.starts_with(&joined));
        let begun: Vec<&str> = begun.map(String::as_str).collect();
        let near = match begun.as_slice() {
            [only] => Some(*only),
            _ => nearest(&joined, words.iter().map(String::as_str)),
        };
        match near {
            Some(near) => {
                said.push(Said::asked(format!(
                    "`{text}` is none of the words. Did you mean {near}?"
                )));
                let question = Question::Word(near.to_owned());
                self.ask = Some(Ask::Sure(Box::new(offer.clone()), question));
            }
            None => said.push(Said::refused(format!(
                "`{text}` is no command, and none of the words that can be seen here: {}.",
                words.join(", ")
            ))),
        }
        None
    }

    fn quantity(&mut self, offer: &Offer, kind: Kind, said: &mut Vec<Said>) -> Option<Typed> {
        let mut gauge = Gauge::of(self.bench.spec(), offer.slot)?;
        let meters = self.meters();
        let meter = self.meter_of(offer, &meters);
        gauge.lone_one = match meter {
            Some(meter) => meter.shows_a_lone_one(kind),
            None => is_electrical(kind),
        };
        let mut typed = match typed(&offer.text, &gauge, offer.unit.as_deref()) {
            Ok(typed) => typed,
            Err(doubt) => {
                said.push(Said::asked(doubt_text(&offer.text, &doubt)));
                self.ask = Some(Ask::Sure(Box::new(offer.clone()), Question::Doubt(doubt)));
                return None;
            }
        };
        if typed.overload {
            typed.text = self.overload(offer, kind, meter, said)?;
        }
        Some(typed)
    }

    /// `OL` with the range that it was on: what it proves hangs on that.
    fn overload(
        &mut self,
        offer: &Offer,
        kind: Kind,
        meter: Option<&AtHand>,
        said: &mut Vec<Said>,
    ) -> Option<String> {
        if let Some(range) = &offer.range {
            return Some(format!("OL on {range}"));
        }
        let Some(meter) = meter else { return Some("OL".to_owned()) };
        let tops = meter.tops(kind);
        let top = tops.last()?.clone();
        let itself = self.ranges_itself.contains(&(meter.name.clone(), kind.index()));
        if tops.len() == 1 || itself {
            return Some(format!("OL on {top}"));
        }
        said.push(Said::asked(format!(
            "OL says only that it lies above the range. Did {} choose its range by itself (then above {top})? \
             Enter says so; else type the range: {}.",
            meter.name,
            tops.join(", ")
        )));
        self.ask = Some(Ask::Sure(Box::new(offer.clone()), Question::Range(top)));
        None
    }

    pub(super) fn meter_of<'m>(&self, offer: &Offer, meters: &'m Meters) -> Option<&'m AtHand> {
        match &offer.meter {
            Some(name) => meters.named(name),
            None => meters.for_slot(self.bench.spec(), offer.slot),
        }
    }

    fn entry(&self, offer: &Offer, typed: &Typed) -> Entry {
        let meters = self.meters();
        let meter = self.meter_of(offer, &meters).map(|it| it.name.clone());
        let state =
            offer.state.and_then(|state| Some(self.bench.spec().state(state)?.name.clone()));
        let read = !typed.text.starts_with("not taken");
        Entry {
            path: self.bench.label(offer.slot).to_owned(),
            value: typed.text.clone(),
            meter: offer.meter.clone().or(meter).filter(|_| read),
            state,
            time: self.now(),
            ..Entry::default()
        }
    }

    /// What has to be asked back before this is recorded.
    fn doubtful(
        &self,
        offer: &Offer,
        typed: &Typed,
        entry: &Entry,
        judged: &Judged,
    ) -> Option<Question> {
        if offer.sure {
            return None;
        }
        let spec = self.bench.spec();
        let wanted = spec.slot(offer.slot)?.during;
        if let (Some(stands), Some(wanted), None) = (self.declared, wanted, offer.state)
            && stands != wanted
        {
            return Some(Question::State(stands));
        }
        let with = |text: &str| {
            let other = Entry { value: text.to_owned(), ..entry.clone() };
            self.bench.with_entry(self.record.sheet(), &other).ok()
        };
        let found = slips(&self.bench, offer.slot, typed, judged, with).into_iter().next();
        let held = match &spec.slot(offer.slot)?.kind {
            SlotKind::Quantity { kind, .. } => self.same.would_be_held(*kind, typed),
            SlotKind::Words(_) => false,
        };
        found.or(held.then_some(Slip::Held)).map(Question::Slip)
    }

    /// Cautions of a reading's state, and of itself, that were not read yet.
    fn cautions_of(&self, slot: SlotId) -> Vec<CautionId> {
        let spec = self.bench.spec();
        let during: Vec<StateId> =
            spec.slot(slot).and_then(|slot| slot.during).into_iter().collect();
        let all = cautions(spec, &during, &[slot]);
        all.into_iter().filter(|id| !self.acknowledged.contains(id)).collect()
    }

    fn record(&mut self, offer: &Offer, typed: &Typed, entry: Entry, said: &mut Vec<Said>) {
        let before = self.standing.now().cloned();
        let Some(round) = self.in_round(said) else { return };
        let with = entry.meter.as_ref().map_or(String::new(), |meter| format!(", with {meter}"));
        let told = format!("Recorded: {} {}{with}.", entry.path, entry.value);
        if !self.keep(Event::Reading { round, entry }, said) {
            return;
        }
        self.no_longer_skipped(offer.slot, said);
        said.push(Said::recorded(told));
        if let Some(SlotKind::Quantity { kind, .. }) =
            self.bench.slot(offer.slot).map(|it| &it.kind)
        {
            self.same.count(*kind, typed);
        }
        if let Some(after) = self.standing.now() {
            said.extend(outcome::changed(&self.bench, before.as_ref(), after, offer.slot));
        }
        self.last = Some(offer.slot);
        if let Some(task) = &mut self.task {
            task.was_read(offer.slot);
        }
        let asked_for = [self.current, self.detour].contains(&Some(offer.slot));
        if !asked_for {
            self.tell_suspects(said);
        }
        // Out of order: whoever goes their own way is not led back before they ask for it.
        self.free = !asked_for;
        (self.detour, self.current, self.idle) = (None, None, false);
    }

    /// What was skipped and is read after all was not skipped.
    fn no_longer_skipped(&mut self, slot: SlotId, said: &mut Vec<Said>) {
        let spec = self.bench.spec();
        let last = self.record.sheet().rounds.len().saturating_sub(1);
        let read = |name: &str| {
            spec.slot(slot).is_some_and(|slot| name == slot.label || name == slot.name)
        };
        let judged = |name: &str| {
            let named = spec.check_ids().filter(|(_, check)| {
                (name == check.label || name == check.name) && check.slots.contains(&slot)
            });
            let taken = |outcome: Outcome| outcome != Outcome::NotTaken;
            named.into_iter().any(|(id, _)| self.standing.outcome(id).is_some_and(taken))
        };
        let about = |name: &str| read(name) || judged(name);
        let skipped = counting(self.entries()).filter(|entry| match &entry.event {
            Event::Skipped { round, skipped } => *round == last && about(&skipped.check),
            _ => false,
        });
        let skipped: Vec<u64> = skipped.map(|entry| entry.sequence).collect();
        for of in skipped {
            self.keep(Event::Undo { of }, said);
        }
    }

    fn refuse(&mut self, offer: &Offer, error: &SheetError, said: &mut Vec<Said>) {
        said.push(Said::mistake("Not recorded: ", error));
        let kind = self.bench.slot(offer.slot).map(|slot| slot.kind.clone());
        if let Some(SlotKind::Quantity { kind, .. }) = kind
            && error.slug == truing::job::slugs::READING_KIND
            && let Some(words) = crate::meters::function_words(kind)
        {
            said.push(Said::text(format!("Is the meter on {words}?")));
        }
    }
}
