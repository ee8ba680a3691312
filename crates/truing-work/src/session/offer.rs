//! A reading on its way onto the record: understood, looked at for slips, behind its cautions.

use truing::job::{Entry, SheetError, nearest};
use truing::model::{CautionId, SlotId, SlotKind, StateId};
use truing::units::Kind;

use super::Session;
use super::ask::{Ask, Then, is_no, is_yes};
use crate::bench::Judged;
use crate::command::{Line, line};
use crate::ledger::Event;
use crate::meters::{AtHand, is_electrical};
use crate::said::Said;
use crate::scale::Gauge;
use crate::slip::{Slip, slips};
use crate::tell::{outcome, step};
use crate::typed::{Doubt, Typed, typed};
use crate::way::cautions;

/// A reading as it was typed, with what was answered about it since.
#[derive(Clone, Debug)]
pub(super) struct Offer {
    pub slot: SlotId,
    pub text: String,
    /// Its unit, where that was asked for.
    unit: Option<String>,
    /// The range of an `OL`, where that was asked for.
    range: Option<String>,
    meter: Option<String>,
    /// The state that it was taken in, where that is not its own and was confirmed.
    state: Option<StateId>,
    /// It is taken as typed, whatever looks like a slip.
    sure: bool,
    /// It is only asked what it would mean.
    only_asked: bool,
}

/// What is asked back about a reading.
#[derive(Clone, Debug, PartialEq)]
pub(super) enum Question {
    Doubt(Doubt),
    Slip(Slip),
    /// On which range `OL` was shown: the top of the largest, which an instrument that chooses its
    /// range by itself shows it on.
    Range(String),
    /// Whether a word is another one.
    Word(String),
    /// Whether it was taken in this state.
    State(StateId),
}

impl Question {
    pub fn prompt(&self, bench: &crate::bench::Bench, offer: &Offer) -> String {
        let label = bench.label(offer.slot);
        match self {
            Self::Doubt(Doubt::Unit { choices }) => {
                format!("{label} unit ({}): ", choices.join(", "))
            }
            Self::Doubt(Doubt::LoneOne) => format!("{label} (1 or OL): "),
            Self::Range(_) => format!("{label} range (Enter for itself): "),
            Self::Doubt(_) => format!("{label} again: "),
            Self::Slip(_) | Self::Word(_) | Self::State(_) => format!("{label} (yes, or again): "),
        }
    }
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
    fn again(&self, text: &str) -> Self {
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
                self.word(&mut offer, &words, said)
            }
            SlotKind::Quantity { kind, .. } => {
                let kind = *kind;
                self.quantity(&offer, kind, said)
            }
        };
        let Some(typed) = typed else { return };
        let entry = self.entry(&offer, &typed);
        let judged = match self.bench.with_entry(self.ledger.sheet(), &entry) {
            Ok(judged) => judged,
            Err(error) => return self.refuse(&offer, &error, said),
        };
        if offer.only_asked {
            return self.tell_what_if(&entry, &judged, offer.slot, said);
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
    fn word(&mut self, offer: &mut Offer, words: &[String], said: &mut Vec<Said>) -> Option<Typed> {
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
        match nearest(&joined, words.iter().map(String::as_str)) {
            Some(near) => {
                said.push(Said::asked(format!(
                    "`{text}` is none of the words. Did you mean {near}?"
                )));
                let question = Question::Word(near.to_owned());
                self.ask = Some(Ask::Sure(Box::new(offer.clone()), question));
            }
            None => self.unknown(text, said),
        }
        None
    }

    fn quantity(&mut self, offer: &Offer, kind: Kind, said: &mut Vec<Said>) -> Option<Typed> {
        let mut gauge = Gauge::of(self.bench.spec(), offer.slot)?;
        let meters = self.meters();
        let meter = self.meter_of(offer, kind, &meters);
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

    fn meter_of<'m>(
        &self,
        offer: &Offer,
        kind: Kind,
        meters: &'m crate::meters::Meters,
    ) -> Option<&'m AtHand> {
        match &offer.meter {
            Some(name) => meters.named(name),
            None => meters.for_kind(kind),
        }
    }

    fn entry(&self, offer: &Offer, typed: &Typed) -> Entry {
        let slot = self.bench.slot(offer.slot);
        let kind = slot.and_then(|slot| match &slot.kind {
            SlotKind::Quantity { kind, .. } => Some(*kind),
            SlotKind::Words(_) => None,
        });
        let meters = self.meters();
        let meter =
            kind.and_then(|kind| self.meter_of(offer, kind, &meters)).map(|it| it.name.clone());
        let state =
            offer.state.and_then(|state| Some(self.bench.spec().state(state)?.name.clone()));
        Entry {
            path: self.bench.label(offer.slot).to_owned(),
            value: typed.text.clone(),
            meter: offer.meter.clone().or(meter),
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
            self.bench.with_entry(self.ledger.sheet(), &other).ok()
        };
        let found = slips(&self.bench, offer.slot, typed, judged, with).into_iter().next();
        let held = match &spec.slot(offer.slot)?.kind {
            SlotKind::Quantity { kind, .. } => self.same.would_be_held(*kind, typed),
            SlotKind::Words(_) => false,
        };
        found.or(held.then_some(Slip::Held)).map(Question::Slip)
    }

    fn ask_back(&mut self, offer: Offer, question: Question, entry: &Entry, said: &mut Vec<Said>) {
        said.push(Said::asked(question_text(self, &offer, &question, &entry.value)));
        self.ask = Some(Ask::Sure(Box::new(offer), question));
    }

    pub(super) fn answer_doubt(
        &mut self,
        mut offer: Offer,
        question: &Question,
        text: &str,
        said: &mut Vec<Said>,
    ) {
        if is_no(text) {
            said.push(Said::text("Not recorded."));
            return self.ask_again(offer.slot);
        }
        match question {
            Question::Range(top) if text.is_empty() || is_yes(text) => {
                self.by_itself(&offer);
                offer.range = Some(top.clone());
            }
            Question::Range(_) => match self.range(&offer, text) {
                Some(range) => offer.range = Some(range),
                None => offer = offer.again(text),
            },
            Question::Doubt(Doubt::LoneOne) if text == "1" || is_yes(text) => {
                match self.sure_unit(&offer) {
                    Some(unit) => offer.text = format!("1 {unit}"),
                    None => offer.unit = None,
                }
            }
            Question::Word(word) if is_yes(text) => offer.text.clone_from(word),
            Question::State(state) if is_yes(text) => offer.state = Some(*state),
            Question::Slip(_) if is_yes(text) => offer.sure = true,
            _ if text.is_empty() => {
                said.push(Said::asked("Please say which. `no` leaves it unrecorded."));
                self.ask = Some(Ask::Sure(Box::new(offer), question.clone()));
                return;
            }
            // A unit alone is an answer to what the number is a number of.
            Question::Doubt(Doubt::Unit { .. }) | Question::Slip(Slip::Thousand { .. })
                if self.unit(&offer, text).is_some() =>
            {
                offer.unit = self.unit(&offer, text);
                offer.text = number_of(&offer.text);
                offer.sure = matches!(question, Question::Slip(_));
            }
            _ if matches!(line(text, |_| false), Line::Command(..)) => {
                self.command(text, said);
                return;
            }
            // The same once more is meant so.
            Question::Slip(_) if text == offer.text => offer.sure = true,
            _ => offer = offer.again(text),
        }
        self.offer(offer, said);
    }

    fn by_itself(&mut self, offer: &Offer) {
        let Some(SlotKind::Quantity { kind, .. }) =
            self.bench.slot(offer.slot).map(|it| it.kind.clone())
        else {
            return;
        };
        let meters = self.meters();
        let name = self.meter_of(offer, kind, &meters).map(|meter| meter.name.clone());
        self.ranges_itself.extend(name.map(|name| (name, kind.index())));
    }

    /// `20M`, `600 ohm` as the top of a range.
    fn range(&self, offer: &Offer, text: &str) -> Option<String> {
        let gauge = Gauge::of(self.bench.spec(), offer.slot)?;
        typed(text, &gauge, None).ok()?.figure.map(|(number, unit)| format!("{number} {unit}"))
    }

    fn unit(&self, offer: &Offer, text: &str) -> Option<String> {
        Gauge::of(self.bench.spec(), offer.slot)?.unit(text)
    }

    fn sure_unit(&self, offer: &Offer) -> Option<String> {
        match Gauge::of(self.bench.spec(), offer.slot)?.scale {
            crate::scale::Scale::Sure(unit) => Some(unit),
            _ => None,
        }
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
        if !self.in_round(said) {
            return;
        }
        let with = entry.meter.as_ref().map_or(String::new(), |meter| format!(", with {meter}"));
        let told = format!("Recorded: {} {}{with}.", entry.path, entry.value);
        if !self.keep(Event::Reading(entry), said) {
            return;
        }
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
        let asked_for = self.current == Some(offer.slot);
        if self.detour == Some(offer.slot) || !asked_for {
            self.tell_suspects(said);
        }
        self.detour = self.detour.filter(|slot| *slot != offer.slot);
        if asked_for || self.current.is_none() {
            self.current = None;
        } else if let Some(current) = self.current {
            // Out of order: what was asked for is asked for again.
            let still = !self.standing.filled(current);
            self.current = None;
            if still {
                said.push(Said::text("Back to the step."));
                said.extend(step::slot(&self.bench, &self.meters(), current));
                self.current = Some(current);
            }
        }
        self.idle = false;
    }

    fn refuse(&mut self, offer: &Offer, error: &SheetError, said: &mut Vec<Said>) {
        let mend = error.mend.as_ref().map_or(String::new(), |mend| format!(" {mend}"));
        let message = error.message.trim_end_matches('.');
        said.push(Said::refused(format!("Not recorded: {message}.{mend}")));
        let kind = self.bench.slot(offer.slot).map(|slot| slot.kind.clone());
        if let Some(SlotKind::Quantity { kind, .. }) = kind
            && error.slug == truing::job::slugs::READING_KIND
            && let Some(words) = crate::meters::function_words(kind)
        {
            said.push(Said::text(format!("Is the meter on {words}?")));
        }
    }
}

fn doubt_text(typed: &str, doubt: &Doubt) -> String {
    match doubt {
        Doubt::Unit { choices } => format!(
            "{typed} what? The display shows the unit beside the figure. Type it: {}.",
            choices.join(", ")
        ),
        Doubt::LoneOne => {
            "A lone 1 is the number one, or the over-range sign of the meter. Type 1 for the \
                           number, OL for the sign."
                .to_owned()
        }
        Doubt::Thousands { point, whole } => {
            format!(
                "{typed}: is that {point} or {whole}? Type it again with a point, or without the comma."
            )
        }
        Doubt::Apart { joined } => format!(
            "{typed}: two readings far apart, or {joined}? Type the number without a blank, or the reading again."
        ),
    }
}

fn question_text(session: &Session, offer: &Offer, question: &Question, value: &str) -> String {
    let bench = &session.bench;
    let plausible = bench.slot(offer.slot).and_then(|slot| match &slot.kind {
        SlotKind::Quantity { plausible_printed, .. } => plausible_printed.clone(),
        SlotKind::Words(_) => None,
    });
    let plausible = plausible.map_or(String::new(), |band| format!(", {band}"));
    match question {
        Question::Slip(Slip::Thousand { other }) => format!(
            "{value}, or {other}? Look at the unit beside the figure. yes keeps {value}; else type it again with its unit."
        ),
        Question::Slip(Slip::Sign) => format!(
            "{value} is not plausible{plausible}; with the other sign it is. Are red and black the right way round? \
             yes keeps {value}; else type it again."
        ),
        Question::Slip(Slip::Implausible) => format!(
            "{value} is not plausible{plausible}. Look at the meter's function, range and leads. yes keeps {value}; \
             else type it again."
        ),
        Question::Slip(Slip::NextToNothing) => format!(
            "{value} is next to nothing. Is the meter on ac, and are the leads on? yes keeps {value}; else type it again."
        ),
        Question::Slip(Slip::Held) => format!(
            "{value} for the sixth time in a row. Is HOLD, REL or MIN MAX still on? yes keeps {value}; else type it again."
        ),
        Question::State(state) => {
            let stands = bench.spec().state(*state).map_or("", |state| state.title.as_str());
            let wanted = bench.slot(offer.slot).and_then(|slot| slot.during);
            let wanted = wanted.and_then(|id| bench.spec().state(id));
            let (title, name) =
                wanted.map_or(("", ""), |state| (state.title.as_str(), state.name.as_str()));
            format!(
                "You said that the machine stands so: {stands}. This is read so: {title}. yes records it as taken \
                 where it stands, and then it is not judged; state {name} says that it stands right."
            )
        }
        Question::Doubt(doubt) => doubt_text(&offer.text, doubt),
        Question::Range(_) | Question::Word(_) => String::new(),
    }
}

/// The number at the beginning of what was typed.
fn number_of(text: &str) -> String {
    let is_number = |c: char| c.is_ascii_digit() || matches!(c, '.' | ',' | '-' | '+' | '\u{2212}');
    text.trim().chars().take_while(|c| is_number(*c)).collect()
}
