//! What a new job is asked for. Every question can be left out.

use truing::job::journal::{Event, Header};
use truing::job::{Entry, find_state};
use truing::model::{Domain, Machine, Property, PropertyId, Spec};

use truing::report::standing_text;

use super::Session;
use super::ask::Ask;
use crate::ledger::with_entry;
use crate::said::Said;

/// A question of a new job.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) enum Question {
    Technician,
    /// The model year, where the spec is for some years only.
    Year,
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
            Self::Year => "Model year: ".to_owned(),
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
            Self::Technician if asks_for_year(spec) => Some(Self::Year),
            Self::Technician | Self::Year => Some(Self::first_property(spec, 0)),
            Self::Property(at) => Some(Self::first_property(spec, at + 1)),
            Self::Complaint if spec.states.is_empty() => Some(Self::Meters),
            Self::Complaint => Some(Self::Shows),
            Self::Shows => Some(Self::Meters),
            Self::Meters => None,
        }
    }

    fn before(&self, spec: &Spec) -> Self {
        match self {
            // What is in the record's first entry stands.
            Self::Technician | Self::Year | Self::Property(0) => self.clone(),
            Self::Property(at) => Self::Property(at - 1),
            Self::Complaint => match spec.properties.len().checked_sub(1) {
                None => Self::Complaint,
                Some(last) => Self::Property(last),
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

/// Whether it is worth asking for the model year: the spec is for some years, and has no property of
/// that name.
fn asks_for_year(spec: &Spec) -> bool {
    let bounded = |machine: &Machine| machine.from_year.is_some() || machine.to_year.is_some();
    spec.property_named("year").is_none() && spec.machines.iter().any(bounded)
}

impl Session {
    /// Asks for what a new job needs.
    pub(super) fn open(&mut self, job: &str, said: &mut Vec<Said>) {
        let order = if job.is_empty() {
            "New job.".to_owned()
        } else {
            format!("New job, work order {job}.")
        };
        said.push(Said::title(order));
        said.push(Said::text(
            "Enter leaves a question out. Type help at any time, quit to stop; nothing that was recorded is lost.",
        ));
        let spec = self.bench.spec();
        let machine = match spec.machines.as_slice() {
            [only] if spec.property_named("model").is_none() => {
                Some(format!("{} {}", only.maker, only.model))
            }
            _ => None,
        };
        self.header = Header {
            job: (!job.is_empty()).then(|| job.to_owned()),
            spec: Some(spec.name.clone()),
            edition: spec.edition.clone(),
            spec_hash: Some(self.bench.compiled().spec_hash().to_owned()),
            date: self.today(),
            model: machine,
            ..Header::default()
        };
        self.ask = Some(Ask::Intake(Question::Technician));
    }

    /// Puts the head of the job on record, which begins it.
    fn begin(&mut self, said: &mut Vec<Said>) -> bool {
        let header = std::mem::take(&mut self.header);
        if self.keep(Event::Opened(header.clone()), said) {
            return true;
        }
        self.header = header;
        false
    }

    /// Goes on with a job that was opened before.
    pub(super) fn reopen(&mut self, said: &mut Vec<Said>) {
        let sheet = self.record.sheet().clone();
        let job = sheet.job.as_deref().unwrap_or("without a number");
        said.push(Said::title(format!("Job {job}, opened again.")));
        if let Some(complaint) = &sheet.complaint {
            said.push(Said::text(format!("Complaint: {complaint}")));
        }
        if let Some(round) = sheet.rounds.last() {
            let count = truing::report::counted(round.readings.len(), "reading", "readings");
            said.push(Said::text(format!("Round: {}, {count} so far.", round.name)));
        }
        if let Some(text) = standing_text(&self.edition) {
            said.push(Said::refused(format!("Mind: {text}.")));
        }
        if sheet.closed.is_some() && self.keep(Event::Reopened, said) {
            said.push(Said::text("It was closed, and is open again."));
        }
        self.tell_suspects(said);
    }

    pub(super) fn answer_intake(&mut self, question: Question, text: &str, said: &mut Vec<Said>) {
        let none = text.is_empty() || text.eq_ignore_ascii_case("skip");
        let kept = match &question {
            Question::Technician => {
                self.header.technician = (!none).then(|| text.to_owned());
                asks_for_year(self.bench.spec()) || self.begin(said)
            }
            Question::Year => {
                self.header.year = (!none).then(|| text.to_owned());
                if !none {
                    self.look_at_year(text, said);
                }
                self.begin(said)
            }
            _ if none => true,
            Question::Complaint => self.keep(Event::Complaint { text: text.to_owned() }, said),
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

    /// A model year that the spec is not for is told, and kept: the machine is what it is.
    fn look_at_year(&self, text: &str, said: &mut Vec<Said>) {
        let Ok(year) = text.parse::<u16>() else { return };
        let fits = |machine: &Machine| {
            machine.from_year.is_none_or(|from| year >= from)
                && machine.to_year.is_none_or(|to| year <= to)
        };
        let machines = &self.bench.spec().machines;
        if !machines.iter().any(fits) {
            said.push(Said::refused(format!(
                "Mind: this spec is for no machine of {year}. Look whether it is the right one before anything is judged by it."
            )));
        }
    }

    /// Whether the sheet could be read with this entry in it; says why where it could not.
    pub(super) fn would_fit(&self, event: &Event, said: &mut Vec<Said>) -> bool {
        let tried = match with_entry(self.entries(), event.clone()) {
            Ok(sheet) => self.bench.accepts(&sheet),
            Err(error) => {
                said.push(Said::refused(format!("Not recorded: {error}.")));
                return false;
            }
        };
        if let Err(error) = &tried {
            said.push(Said::mistake("Not recorded: ", error));
        }
        tried.is_ok()
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
        let event = Event::Property { entry };
        if !self.would_fit(&event, said) {
            return false;
        }
        let kept = self.keep(event, said);
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
                self.keep(Event::Shows { state: name }, said)
            }
            Err(error) => {
                said.push(Said::mistake("", &error));
                said.push(Said::text("Enter leaves it out."));
                false
            }
        }
    }
}
