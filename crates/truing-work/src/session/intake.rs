//! What a new job is asked for. Every question can be left out.

use truing::job::{Entry, JobSheet, find_state};
use truing::model::{Domain, Property, PropertyId, Spec};

use super::Session;
use super::ask::Ask;
use crate::ledger::Event;
use crate::said::Said;

/// A question of a new job.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) enum Question {
    Technician,
    /// What the machine is, by the property's place.
    Property(usize),
    Complaint,
    /// The state that the complaint shows in.
    Shows,
    /// The meters, one in each answer.
    Meters,
}

impl Question {
    pub fn prompt(&self, spec: &Spec) -> String {
        match self {
            Self::Technician => "Technician: ".to_owned(),
            Self::Property(at) => match spec.properties.get(*at) {
                Some(Property { title, domain: Domain::Words(words), .. }) => {
                    format!("{title} ({}): ", words.join(", "))
                }
                Some(property) => format!("{}: ", property.title),
                None => "> ".to_owned(),
            },
            Self::Complaint => "Complaint, in the customer's words: ".to_owned(),
            Self::Shows => "It shows in which state: ".to_owned(),
            Self::Meters => "Meter: ".to_owned(),
        }
    }

    fn after(&self, spec: &Spec) -> Option<Self> {
        match self {
            Self::Technician => Some(Self::first_property(spec, 0)),
            Self::Property(at) => Some(Self::first_property(spec, at + 1)),
            Self::Complaint if spec.states.is_empty() => Some(Self::Meters),
            Self::Complaint => Some(Self::Shows),
            Self::Shows => Some(Self::Meters),
            Self::Meters => None,
        }
    }

    fn before(&self, spec: &Spec) -> Self {
        match self {
            Self::Technician => Self::Technician,
            Self::Property(0) => Self::Technician,
            Self::Property(at) => Self::Property(at - 1),
            Self::Complaint => match spec.properties.len() {
                0 => Self::Technician,
                n => Self::Property(n - 1),
            },
            Self::Shows => Self::Complaint,
            Self::Meters if spec.states.is_empty() => Self::Complaint,
            Self::Meters => Self::Shows,
        }
    }

    fn first_property(spec: &Spec, at: usize) -> Self {
        if at < spec.properties.len() { Self::Property(at) } else { Self::Complaint }
    }
}

impl Session {
    /// Opens a new job.
    pub(super) fn open(&mut self, job: &str, said: &mut Vec<Said>) {
        let spec = self.bench.spec();
        let head = JobSheet {
            job: (!job.is_empty()).then(|| job.to_owned()),
            spec: Some(spec.name.clone()),
            edition: spec.edition.clone(),
            date: self.today(),
            ..JobSheet::default()
        };
        let order = if job.is_empty() { "New job." } else { "New job, work order" };
        let order = if job.is_empty() { order.to_owned() } else { format!("{order} {job}.") };
        if !self.keep(Event::Opened(Box::new(head)), said) {
            self.over = true;
            return;
        }
        said.push(Said::title(order));
        said.push(Said::text(
            "Enter leaves a question out. Type help at any time, quit to stop; nothing that was recorded is lost.",
        ));
        self.ask = Some(Ask::Intake(Question::Technician));
    }

    /// Goes on with a job that was opened before.
    pub(super) fn reopen(&mut self, said: &mut Vec<Said>) {
        let sheet = self.ledger.sheet().clone();
        let job = sheet.job.as_deref().unwrap_or("without a number");
        said.push(Said::title(format!("Job {job}, opened again.")));
        if let Some(complaint) = &sheet.complaint {
            said.push(Said::text(format!("Complaint: {complaint}")));
        }
        if let Some(round) = sheet.rounds.last() {
            let count = truing::report::counted(round.readings.len(), "reading", "readings");
            said.push(Said::text(format!("Round: {}, {count} so far.", round.name)));
        }
        if sheet.closed.is_some() && self.keep(Event::Reopened, said) {
            said.push(Said::text("It was closed, and is open again."));
        }
        self.tell_suspects(said);
    }

    pub(super) fn answer_intake(&mut self, question: Question, text: &str, said: &mut Vec<Said>) {
        if text.is_empty() || text.eq_ignore_ascii_case("skip") {
            return self.intake_after(&question, said);
        }
        let kept = match &question {
            Question::Technician => self.keep(Event::Technician(text.to_owned()), said),
            Question::Complaint => self.keep(Event::Complaint(text.to_owned()), said),
            Question::Property(at) => {
                let id = PropertyId(u32::try_from(*at).unwrap_or(u32::MAX));
                self.property(id, text, said)
            }
            Question::Shows => self.shows(text, said),
            // One after the other, until Enter.
            Question::Meters => {
                self.meter(text, said);
                false
            }
        };
        if kept {
            self.intake_after(&question, said);
        } else {
            self.ask = Some(Ask::Intake(question));
        }
    }

    fn intake_after(&mut self, question: &Question, said: &mut Vec<Said>) {
        let next = question.after(self.bench.spec());
        match &next {
            Some(Question::Shows) => {
                said.push(Said::text("When does it show? A state of the machine, by its name:"));
                said.extend(self.states());
            }
            Some(Question::Meters) => {
                said.push(Said::text(
                    "The meters at hand, one by one: NAME = PROFILE, with calibrated 2026-02-10 and zeroed behind it \
                     where that is so. `meter` lists the profiles. Enter when that was all.",
                ));
            }
            _ => {}
        }
        self.ask = next.map(Ask::Intake);
    }

    pub(super) fn intake_back(&mut self, question: &Question, said: &mut Vec<Said>) {
        let before = question.before(self.bench.spec());
        said.push(Said::text(
            "One question back. What is answered anew takes the place of the old answer.",
        ));
        self.ask = Some(Ask::Intake(before));
    }

    /// What the machine is, in one respect.
    pub(super) fn property(&mut self, id: PropertyId, text: &str, said: &mut Vec<Said>) -> bool {
        let Some(property) = self.bench.spec().property(id) else { return false };
        let (path, title) = (property.name.clone(), property.title.clone());
        let value = match &property.domain {
            Domain::Words(words) => {
                let joined = text.split_whitespace().collect::<Vec<_>>().join("_");
                let word = words.iter().find(|word| word.eq_ignore_ascii_case(&joined));
                word.cloned().unwrap_or_else(|| text.to_owned())
            }
            Domain::Quantity(_) => text.to_owned(),
        };
        let entry = Entry { path, value: value.clone(), ..Entry::default() };
        let mut trial = self.ledger.sheet().clone();
        crate::ledger::apply(&mut trial, &Event::Property(entry.clone()));
        if let Err(error) = self.bench.accepts(&trial) {
            said.push(Said::mistake("Not recorded: ", &error));
            return false;
        }
        let kept = self.keep(Event::Property(entry), said);
        if kept {
            said.push(Said::recorded(format!("Recorded: {title} {value}.")));
        }
        kept
    }

    fn shows(&mut self, text: &str, said: &mut Vec<Said>) -> bool {
        match find_state(self.bench.spec(), text) {
            Ok(id) => {
                let Some(state) = self.bench.spec().state(id) else { return false };
                let name = state.name.clone();
                self.keep(Event::Shows(name), said)
            }
            Err(error) => {
                said.push(Said::mistake("", &error));
                said.push(Said::text("Enter leaves it out."));
                false
            }
        }
    }
}
