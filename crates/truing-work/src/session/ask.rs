//! What is asked before anything else goes on, and what is done with the answer.

use truing::job::journal::Event;
use truing::model::{CautionId, FixId, StateId};

use super::Session;
use super::doubt::Question as Doubtful;
use super::fit::Fitting;
use super::intake::Question;
use super::offer::Offer;
use crate::bench::Bench;
use crate::command::{Command, Line, line};
use crate::said::Said;

/// What is asked.
#[derive(Clone, Debug)]
pub(super) enum Ask {
    /// One of the questions of a new job.
    Intake(Question),
    /// Whether cautions were read and seen to.
    Cautions(Vec<CautionId>, Then),
    /// Whether a reading is meant as it was typed.
    Sure(Box<Offer>, Doubtful),
    /// Parts of a repair.
    Fit(Fitting),
    /// Why the job is closed with something in the way.
    Reason,
}

/// What follows when the cautions were read.
#[derive(Clone, Debug)]
pub(super) enum Then {
    /// The step that was shown, with the machine in this state.
    Step(Option<StateId>),
    /// The reading that was typed.
    Offer(Box<Offer>),
    /// The repair.
    Fit(FixId),
}

impl Ask {
    pub fn prompt(&self, bench: &Bench) -> String {
        match self {
            Self::Intake(question) => question.prompt(bench.spec()),
            Self::Cautions(..) => "Read and seen to (yes): ".to_owned(),
            Self::Sure(offer, doubtful) => doubtful.prompt(bench, offer),
            Self::Fit(fitting) => fitting.prompt(),
            Self::Reason => "Reason: ".to_owned(),
        }
    }
}

impl Session {
    pub(super) fn answer(&mut self, ask: Ask, text: &str, said: &mut Vec<Said>) {
        if self.interrupted(&ask, text, said) {
            return;
        }
        match ask {
            Ask::Intake(question) => self.answer_intake(question, text, said),
            Ask::Cautions(ids, then) => self.answer_cautions(ids, then, text, said),
            Ask::Sure(offer, doubtful) => self.answer_doubt(*offer, &doubtful, text, said),
            Ask::Fit(fitting) => self.answer_fit(fitting, text, said),
            Ask::Reason => self.answer_reason(text, said),
        }
    }

    /// Commands that work whatever is asked: the question stands again afterwards, but for `back`,
    /// which takes it away.
    fn interrupted(&mut self, ask: &Ask, text: &str, said: &mut Vec<Said>) -> bool {
        let Line::Command(command, rest) = line(text, |_| false) else { return false };
        let in_words = matches!(ask, Ask::Intake(_) | Ask::Fit(_) | Ask::Reason);
        if in_words && !rest.is_empty() {
            // An answer in words may begin with any word.
            return false;
        }
        match command {
            Command::Quit => self.quit(said),
            Command::Help => {
                said.push(Said::text(
                    "This is asked first. `skip` or Enter leaves a question out, `back` goes back, `quit` stops for now.",
                ));
                self.ask = Some(ask.clone());
            }
            Command::Back => self.step_back(ask, said),
            Command::Why
            | Command::WhatIf
            | Command::List
            | Command::State
            | Command::Note
            | Command::Photo
            | Command::Meter
            | Command::Ambient
            | Command::Bypass
            | Command::Removed
                if !in_words =>
            {
                self.run(command, rest, said);
                self.ask = self.ask.take().or(Some(ask.clone()));
            }
            // Something else is gone on with; where that comes to nothing, the step is shown anew.
            Command::Fit
            | Command::Follow
            | Command::Round
            | Command::Done
            | Command::Again
            | Command::Next
                if matches!(ask, Ask::Cautions(_, Then::Step(_))) =>
            {
                self.run(command, rest, said);
            }
            _ => return false,
        }
        true
    }

    fn step_back(&mut self, ask: &Ask, said: &mut Vec<Said>) {
        match ask {
            Ask::Intake(question) => self.intake_back(question, said),
            Ask::Cautions(_, Then::Step(_)) => self.back(said),
            Ask::Sure(offer, _) => {
                said.push(Said::text("Not recorded."));
                self.ask_again(offer.slot);
            }
            Ask::Cautions(_, Then::Offer(offer)) => {
                said.push(Said::text("Not recorded."));
                self.ask_again(offer.slot);
            }
            Ask::Cautions(_, Then::Fit(_)) | Ask::Fit(_) | Ask::Reason => {
                said.push(Said::text("Left as it was. Nothing is recorded."));
                self.current = None;
            }
        }
    }

    fn answer_cautions(
        &mut self,
        ids: Vec<CautionId>,
        then: Then,
        text: &str,
        said: &mut Vec<Said>,
    ) {
        if let (Line::Command(Command::Skip, why), Then::Step(_)) = (line(text, |_| false), &then) {
            self.skip(why, said);
            // Something else was left out: the step stands.
            if self.task.is_some() && self.ask.is_none() {
                self.ask = Some(Ask::Cautions(ids, then));
            }
            return;
        }
        // Another reading can be given out of order; it has cautions of its own.
        if let (Line::Named(..), Then::Step(_)) = (line(text, |name| self.is_known(name)), &then) {
            return self.command(text, said);
        }
        if !is_yes(text) {
            said.push(Said::asked(
                "The caution comes first. Type yes when it is read and seen to; skip leaves the step out.",
            ));
            self.ask = Some(Ask::Cautions(ids, then));
            return;
        }
        if !self.acknowledge(&ids, said) {
            self.ask = Some(Ask::Cautions(ids, then));
            return;
        }
        match then {
            Then::Step(state) => {
                self.state = state.or(self.state);
                self.declared = None;
            }
            Then::Offer(offer) => self.offer(*offer, said),
            Then::Fit(fix) => self.begin_fit(fix, said),
        }
    }

    /// Puts on record that cautions were read.
    fn acknowledge(&mut self, ids: &[CautionId], said: &mut Vec<Said>) -> bool {
        let Some(round) = self.in_round(said) else { return false };
        for id in ids {
            let name = self.bench.spec().cautions.get(id.0 as usize).map(|of| of.name.clone());
            let Some(name) = name else { continue };
            if !self.keep(Event::Caution { round, name }, said) {
                return false;
            }
            self.acknowledged.insert(*id);
        }
        true
    }
}

/// Whether an answer says yes.
pub(super) fn is_yes(text: &str) -> bool {
    ["yes", "y", "ok", "ja", "oui", "si"].iter().any(|word| text.eq_ignore_ascii_case(word))
}

/// Whether an answer says no.
pub(super) fn is_no(text: &str) -> bool {
    ["no", "n", "skip"].iter().any(|word| text.eq_ignore_ascii_case(word))
}
