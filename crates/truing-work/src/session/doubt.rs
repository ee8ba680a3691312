//! What is asked back about a reading before it is recorded, and what is done with the answer.

use truing::job::Entry;
use truing::model::{SlotKind, StateId};

use super::Session;
use super::ask::{Ask, is_no, is_yes};
use super::offer::Offer;
use crate::command::{Line, line};
use crate::said::Said;
use crate::scale::{Gauge, Scale};
use crate::slip::Slip;
use crate::typed::{Doubt, typed};

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

impl Session {
    pub(super) fn ask_back(
        &mut self,
        offer: Offer,
        question: Question,
        entry: &Entry,
        said: &mut Vec<Said>,
    ) {
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
            // Another reading, out of order: this one is not recorded.
            _ if matches!(line(text, |name| self.is_known(name)), Line::Named(..)) => {
                said.push(Said::text("Not recorded."));
                self.command(text, said);
                return;
            }
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
        let name = self.meter_of(offer, &meters).map(|meter| meter.name.clone());
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
            Scale::Sure(unit) => Some(unit),
            _ => None,
        }
    }
}

pub(super) fn doubt_text(typed: &str, doubt: &Doubt) -> String {
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
        Question::Slip(Slip::Unfit { why }) => format!(
            "{why} yes keeps it, and then it is not judged; else type it again, or with the meter that it was: \
             {value} with NAME."
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
