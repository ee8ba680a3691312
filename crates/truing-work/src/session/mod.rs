//! The session: a line goes in, paragraphs come out. It owns no terminal and no file.

mod ask;
mod commands;
mod doubt;
mod equipment;
mod fit;
mod flow;
mod intake;
mod listing;
mod offer;
mod procedure;
mod remarks;
mod skipping;
mod what_if;

use std::collections::BTreeSet;

use truing::Compiled;
use truing::engine::{Findings, Sheet};
use truing::job::edition::Standing as Edition;
use truing::job::journal::{Event, Header, Logged};
use truing::job::{JobSheet, SheetError};
use truing::model::{CautionId, SlotId, StateId, StepId};
use truing::report::standing_text;

use crate::bench::{Bench, Standing};
use crate::ledger::Record;
use crate::meters::Meters;
use crate::said::Said;
use crate::slip::Same;
use crate::task::Task;
use crate::tell::step;
use crate::tell::suspects::Gist;
use ask::Ask;

/// The name that the first round gets, where it is given no other.
const FIRST_ROUND: &str = "as found";

/// Longer lines are cut: a complaint of ten thousand characters is kept whole.
const LONGEST_LINE: usize = 64 * 1024;

/// What time it is, local, as a sheet writes it: `2026-11-03T09:10:00`. Nothing where no clock can be
/// read.
pub type Clock = Box<dyn Fn() -> Option<String>>;

/// Why a job cannot be opened.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum NotOpened {
    /// Its sheet does not fit the spec.
    Sheet(Vec<SheetError>),
    /// It was judged by another edition of the spec: which, and what has changed since.
    Edition(String),
}

/// One job at the machine.
pub struct Session {
    bench: Bench,
    record: Box<dyn Record>,
    clock: Clock,
    standing: Standing,
    /// Whether the spec was the one that the job was judged by, when it was opened.
    edition: Edition,
    /// The head of a job that is being opened.
    header: Header,
    /// What is asked before anything else goes on.
    ask: Option<Ask>,
    task: Option<Task>,
    /// A reading that was asked for out of order.
    detour: Option<SlotId>,
    /// The reading that is being asked for.
    current: Option<SlotId>,
    /// How the machine stands, as far as the session has led it there.
    state: Option<StateId>,
    /// How it stands by the technician's own word.
    declared: Option<StateId>,
    /// Cautions that were read in this round and sitting.
    acknowledged: BTreeSet<CautionId>,
    /// Meters in the order in which they were named in this sitting.
    named: Vec<String>,
    /// Meters that choose their range by themselves, with the kind, by what was answered.
    ranges_itself: BTreeSet<(String, usize)>,
    same: Same,
    last: Option<SlotId>,
    /// What was told of the suspects last.
    told: Option<Gist>,
    last_told: Vec<Said>,
    /// The written procedure that is followed, and its steps that were told.
    procedure: Option<String>,
    passed: BTreeSet<StepId>,
    /// What that procedure warned of.
    warned: Vec<CautionId>,
    /// Nothing is proposed, and that was told.
    idle: bool,
    /// Readings are given by name, out of order: nothing is proposed before that is asked for.
    free: bool,
    over: bool,
}

impl Session {
    /// A session on the job of this record. `this_edition`: a job that was judged by another edition
    /// of the spec is judged by this one from now on.
    ///
    /// # Errors
    /// [`NotOpened`].
    pub fn new(
        compiled: Compiled,
        record: Box<dyn Record>,
        clock: Clock,
        this_edition: bool,
    ) -> Result<Self, NotOpened> {
        let bench = Bench::new(compiled);
        let standing = bench.judge(record.sheet()).map_err(NotOpened::Sheet)?;
        let edition = edition(&bench, record.sheet(), &standing);
        if let (Edition::OtherEdition { .. }, false) = (&edition, this_edition) {
            return Err(NotOpened::Edition(standing_text(&edition).unwrap_or_default()));
        }
        Ok(Self {
            bench,
            record,
            clock,
            standing,
            edition,
            header: Header::default(),
            ask: None,
            task: None,
            detour: None,
            current: None,
            state: None,
            declared: None,
            acknowledged: BTreeSet::new(),
            named: Vec::new(),
            ranges_itself: BTreeSet::new(),
            same: Same::default(),
            last: None,
            told: None,
            last_told: Vec::new(),
            procedure: None,
            passed: BTreeSet::new(),
            warned: Vec::new(),
            idle: false,
            free: false,
            over: false,
        })
    }

    /// Follows a written procedure of the spec, in place of the measurement that tells most.
    ///
    /// # Errors
    /// Where the spec has none of this name; the text says which it has.
    pub fn follow(mut self, procedure: &str) -> Result<Self, String> {
        self.take_up(procedure)?;
        Ok(self)
    }

    /// Opens the job under this name, or opens it again.
    pub fn start(&mut self, job: &str) -> Vec<Said> {
        let mut said = vec![
            Said::title(&self.bench.spec().title),
            Said::text(
                "Truing advises. It never certifies that a machine is safe; the maker's service information comes first.",
            ),
        ];
        if self.record.entries().is_empty() {
            self.open(job, &mut said);
        } else {
            self.reopen(&mut said);
        }
        self.proceed(&mut said);
        said
    }

    /// Takes one line.
    pub fn step(&mut self, line: &str) -> Vec<Said> {
        let line: String =
            line.chars().filter(|c| !c.is_control() || *c == '\t').take(LONGEST_LINE).collect();
        let mut said = Vec::new();
        if self.over {
            return said;
        }
        match self.ask.take() {
            Some(ask) => self.answer(ask, line.trim(), &mut said),
            None => self.command(line.trim(), &mut said),
        }
        self.proceed(&mut said);
        said
    }

    /// The end of what was typed, as by Ctrl-D: the same as `quit`.
    pub fn end(&mut self) -> Vec<Said> {
        let mut said = Vec::new();
        if !self.over {
            self.quit(&mut said);
        }
        said
    }

    /// What is asked for now, with a blank behind it.
    #[must_use]
    pub fn prompt(&self) -> String {
        match (&self.ask, self.current) {
            (Some(ask), _) => ask.prompt(&self.bench),
            (None, Some(slot)) => step::prompt(&self.bench, slot),
            (None, None) if self.idle => "> ".to_owned(),
            (None, None) => "Reading by its name, or Enter for the next step: ".to_owned(),
        }
    }

    /// Whether the session has ended.
    #[must_use]
    pub const fn is_over(&self) -> bool {
        self.over
    }

    /// The job's sheet as it stands.
    #[must_use]
    pub fn sheet(&self) -> &JobSheet {
        self.record.sheet()
    }

    /// Words that a line may begin with, for completing them.
    #[must_use]
    pub fn words(&self) -> Vec<String> {
        let spec = self.bench.spec();
        let commands = crate::command::COMMANDS.iter().filter_map(|row| row.words.first());
        let mut words: Vec<String> = commands.map(|word| (*word).to_owned()).collect();
        words.extend(spec.slots.iter().map(|slot| slot.label.clone()));
        words.extend(spec.properties.iter().map(|property| property.name.clone()));
        words.extend(spec.fixes.iter().map(|fix| format!("fit {}", fix.name)));
        words
    }

    fn meters(&self) -> Meters {
        Meters::of(self.record.sheet(), self.bench.profiles(), &self.named)
    }

    fn now(&self) -> Option<String> {
        (self.clock)()
    }

    fn today(&self) -> Option<String> {
        self.now().and_then(|now| now.get(..10).map(str::to_owned))
    }

    /// Keeps an entry and judges anew; says why where it could not be kept.
    fn keep(&mut self, event: Event, said: &mut Vec<Said>) -> bool {
        let tells = tells_anything(&event);
        match self.record.append(event) {
            Ok(_) => {
                if tells {
                    self.judge(said);
                }
                true
            }
            Err(why) => {
                said.push(Said::refused(format!(
                    "Not recorded: {}. Nothing has changed. Mend that and type it again.",
                    why.0
                )));
                false
            }
        }
    }

    fn judge(&mut self, said: &mut Vec<Said>) {
        match self.bench.judge(self.record.sheet()) {
            Ok(standing) => self.standing = standing,
            Err(errors) => {
                said.extend(errors.iter().map(|error| Said::refused(error.to_string())));
            }
        }
    }

    /// The first entry of a round begins it.
    fn in_round(&mut self, said: &mut Vec<Said>) -> Option<usize> {
        if let Some(last) = self.record.sheet().rounds.len().checked_sub(1) {
            return Some(last);
        }
        let (name, time) = (FIRST_ROUND.to_owned(), self.now());
        self.keep(Event::NextRound { name, time }, said).then_some(0)
    }

    fn entries(&self) -> &[Logged] {
        self.record.entries()
    }
}

/// Whether an entry can change what comes of the job: a caution that was read cannot.
const fn tells_anything(event: &Event) -> bool {
    !matches!(
        event,
        Event::Caution { .. }
            | Event::Remark { .. }
            | Event::Photo { .. }
            | Event::Bypass { .. }
            | Event::BypassRemoved { .. }
            | Event::Judged { .. }
            | Event::Shows { .. }
            | Event::Meter(_)
            | Event::Closed(_)
            | Event::Reopened
    )
}

/// Whether the spec is the one that the job was judged by.
fn edition(bench: &Bench, sheet: &JobSheet, standing: &Standing) -> Edition {
    let rounds: Vec<(&Sheet, &Findings)> =
        standing.rounds.iter().map(|of| (&of.sheet, &of.findings)).collect();
    bench.compiled().standing(sheet, &rounds)
}
