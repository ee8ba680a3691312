//! A repair is done: its cautions, its parts, and the new round that has to prove it.

use truing::job::journal::Event;
use truing::job::record::check_price;
use truing::job::{Part, nearest};
use truing::model::{CautionId, Fix, FixId};

use super::ask::{Ask, Then};
use super::{FIRST_ROUND, Session};
use crate::said::Said;

/// A repair while its parts are asked for.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Fitting {
    fix: FixId,
    /// The spec's parts that were not asked for yet, the first being asked for.
    open: Vec<String>,
    field: Field,
    part: Part,
    done: Vec<Part>,
}

#[derive(Copy, Clone, Debug, PartialEq, Eq)]
enum Field {
    Fitted,
    Number,
    Quantity,
    Price,
    RoundName,
}

impl Fitting {
    pub fn prompt(&self) -> String {
        let part = self.open.first().map_or("", String::as_str);
        match self.field {
            Field::Fitted => format!("Was a {part} fitted (yes or no): "),
            Field::Number => format!("{part}, part number: "),
            Field::Quantity => format!("{part}, how many (Enter for 1): "),
            Field::Price => format!("{part}, price of one: "),
            Field::RoundName => "Name of the new round (Enter for as left): ".to_owned(),
        }
    }

    fn next_part(&mut self) {
        self.part = Part::default();
        self.field = if self.open.is_empty() { Field::RoundName } else { Field::Fitted };
    }
}

impl Session {
    /// `fit FIX`
    pub(super) fn fit(&mut self, name: &str, said: &mut Vec<Said>) {
        let spec = self.bench.spec();
        let Some(fix) = spec.fix_named(name).or_else(|| self.only_fix(name)) else {
            let known = || spec.fixes.iter().map(|fix| fix.name.as_str());
            let told = match nearest(name, known()) {
                Some(near) if !name.is_empty() => {
                    format!("There is no fix `{name}`. Did you mean {near}?")
                }
                _ if spec.fixes.is_empty() => {
                    "This spec lists no fixes. Say it in a note, and begin a round.".to_owned()
                }
                _ => format!("Which fix? {}.", known().collect::<Vec<_>>().join(", ")),
            };
            said.push(Said::refused(told));
            return;
        };
        let Some(facts) = spec.fix(fix) else { return };
        said.push(Said::title(format!("{} ({}).", facts.title, facts.name)));
        let notes: Vec<Said> =
            facts.notes.iter().map(|note| Said::text(format!("Note: {note}"))).collect();
        let new: Vec<CautionId> =
            facts.cautions.iter().copied().filter(|id| !self.acknowledged.contains(id)).collect();
        said.extend(notes);
        if new.is_empty() {
            return self.begin_fit(fix, said);
        }
        self.show_cautions(&new, said);
        self.ask = Some(Ask::Cautions(new, Then::Fit(fix)));
    }

    /// The one fix that a name begins, `fit renew_reg`, or that replaces a part: `fit stator`.
    fn only_fix(&self, name: &str) -> Option<FixId> {
        let spec = self.bench.spec();
        let only = |fits: &dyn Fn(&Fix) -> bool| {
            let mut found = spec.fixes.iter().filter(|fix| fits(fix));
            let first = found.next()?;
            found.next().is_none().then(|| spec.fix_named(&first.name)).flatten()
        };
        let replaces = |fix: &Fix| {
            let mut parts = fix.parts.iter().filter_map(|id| spec.part(*id));
            parts.any(|part| part.name.eq_ignore_ascii_case(name))
        };
        let begins = |fix: &Fix| !name.is_empty() && fix.name.starts_with(name);
        only(&begins).or_else(|| only(&replaces))
    }

    pub(super) fn begin_fit(&mut self, fix: FixId, said: &mut Vec<Said>) {
        let spec = self.bench.spec();
        let parts = spec.fix(fix).map_or(&[][..], |fix| &fix.parts);
        let open: Vec<String> =
            parts.iter().filter_map(|id| Some(spec.part(*id)?.name.clone())).collect();
        let mut fitting =
            Fitting { fix, open, field: Field::Fitted, part: Part::default(), done: Vec::new() };
        fitting.next_part();
        self.ask_fit(fitting, said);
    }

    fn ask_fit(&mut self, fitting: Fitting, said: &mut Vec<Said>) {
        // A second repair before anything is measured belongs to the same round.
        let same = self
            .record
            .sheet()
            .rounds
            .last()
            .is_some_and(|round| round.readings.is_empty() && !round.fitted.fixes.is_empty());
        if fitting.field == Field::RoundName && same {
            return self.finish_fit(fitting, None, said);
        }
        self.ask = Some(Ask::Fit(fitting));
    }

    pub(super) fn answer_fit(&mut self, mut fitting: Fitting, text: &str, said: &mut Vec<Said>) {
        let empty = text.is_empty() || text.eq_ignore_ascii_case("skip");
        match fitting.field {
            Field::Fitted => {
                if super::ask::is_yes(text) || empty {
                    fitting.part.name = fitting.open.first().cloned().unwrap_or_default();
                    fitting.field = Field::Number;
                } else if super::ask::is_no(text) {
                    fitting.open.remove(0);
                    fitting.next_part();
                } else {
                    said.push(Said::asked("Please say yes or no."));
                }
            }
            Field::Number => {
                fitting.part.number = (!empty).then(|| text.to_owned());
                fitting.field = Field::Quantity;
            }
            Field::Quantity => match text.parse::<u32>() {
                _ if empty => fitting.field = Field::Price,
                Ok(quantity) if quantity > 0 => {
                    (fitting.part.quantity, fitting.field) = (quantity, Field::Price);
                }
                _ => said.push(Said::refused("How many, as a number from 1.")),
            },
            Field::Price => {
                let price = text.replace(',', ".");
                match check_price(&price) {
                    Err(error) if !empty => {
                        said.push(Said::mistake("", &error));
                    }
                    _ => {
                        fitting.part.price = (!empty).then_some(price);
                        fitting.done.push(std::mem::take(&mut fitting.part));
                        fitting.open.remove(0);
                        fitting.next_part();
                    }
                }
            }
            Field::RoundName => {
                let name = (!empty).then(|| text.to_owned());
                let name = name.unwrap_or_else(|| self.free_name("as left"));
                return self.finish_fit(fitting, Some(name), said);
            }
        }
        self.ask_fit(fitting, said);
    }

    fn finish_fit(&mut self, fitting: Fitting, round: Option<String>, said: &mut Vec<Said>) {
        let Some(fix) = self.bench.spec().fix(fitting.fix) else { return };
        let (name, title) = (fix.name.clone(), fix.title.clone());
        if let Some(round) = round
            && !self.begin_round(round, said)
        {
            return;
        }
        let Some(round) = self.in_round(said) else { return };
        let (fix, parts) = (Some(name), fitting.done);
        if self.keep(Event::Fitted { round, fix, parts }, said) {
            said.push(Said::recorded(format!(
                "Recorded: {title}. Now what had failed is taken again."
            )));
        }
    }

    /// `round NAME`
    pub(super) fn new_round(&mut self, name: &str, said: &mut Vec<Said>) {
        if name.is_empty() {
            let rounds = &self.record.sheet().rounds;
            let round = rounds.last().map_or(FIRST_ROUND, |round| &round.name);
            said.push(Said::refused(format!(
                "This is round {round}. A new one has a name: round hot 41 min."
            )));
            return;
        }
        let taken = self.record.sheet().rounds.iter().any(|round| round.name == name);
        if taken {
            said.push(Said::refused(format!(
                "There is a round {name} already. Give it another name."
            )));
        } else if self.begin_round(name.to_owned(), said) {
            said.push(Said::recorded(format!("Round {name}.")));
        }
    }

    /// A new round: what was read, acknowledged and skipped in it is its own.
    fn begin_round(&mut self, name: String, said: &mut Vec<Said>) -> bool {
        if !self.keep(Event::NextRound { name, time: self.now() }, said) {
            return false;
        }
        self.acknowledged.clear();
        (self.task, self.detour, self.current, self.last) = (None, None, None, None);
        (self.state, self.declared) = (None, None);
        (self.idle, self.free) = (false, false);
        self.passed.clear();
        true
    }

    /// `as left`, `as left 2`
    fn free_name(&self, stem: &str) -> String {
        let rounds = &self.record.sheet().rounds;
        let taken = |name: &str| rounds.iter().any(|round| round.name == name);
        let numbered = (2..).map(|n| format!("{stem} {n}"));
        let mut names = std::iter::once(stem.to_owned()).chain(numbered);
        names.find(|name| !taken(name)).unwrap_or_default()
    }
}
