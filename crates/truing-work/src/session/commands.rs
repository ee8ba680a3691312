//! What the commands do.

use truing::engine::{Findings, Sheet};
use truing::job::find_slot;
use truing::job::journal::Event;
use truing::model::SlotId;
use truing::report::{Style, SuspectsReport, render_next};

use super::Session;
use super::offer::Offer;
use crate::command::{COMMANDS, Command, Line, line, named, probably};
use crate::ledger::last_step;
use crate::said::Said;
use crate::tell::step;

impl Session {
    /// A line where nothing is asked for but a reading.
    pub(super) fn command(&mut self, text: &str, said: &mut Vec<Said>) {
        // A word that can be seen goes before a command of that name.
        if let Some(slot) = self.current.filter(|slot| self.is_word_of(*slot, text)) {
            return self.offer(Offer::new(slot, text), said);
        }
        match line(text, |name| self.is_known(name)) {
            Line::Empty if self.free => (self.free, self.task) = (false, None),
            Line::Empty if self.current.is_none() => {
                said.push(Said::text("Type help to see what can be typed."));
            }
            Line::Empty => {}
            Line::Command(command, rest) => self.run(command, rest, said),
            Line::Named(name, value) => self.named_reading(name, value, said),
            Line::Bare(text) => match self.current {
                Some(slot) if self.looks_like_a_reading(slot, text) => {
                    self.offer(Offer::new(slot, text), said);
                }
                _ => self.unknown(text, said),
            },
        }
    }

    pub(super) fn run(&mut self, command: Command, rest: &str, said: &mut Vec<Said>) {
        match command {
            Command::Help => help(rest, said),
            Command::Skip => self.skip(rest, said),
            Command::Back => self.back(said),
            Command::Again => self.again(rest, said),
            Command::Why => self.why(said),
            Command::WhatIf => self.what_if(rest, said),
            Command::Note => self.note(rest, said),
            Command::Photo => self.photo(rest, said),
            Command::Meter => self.meter(rest, said),
            Command::Fit => self.fit(rest, said),
            Command::Round => self.new_round(rest, said),
            Command::Bypass => self.bypass(rest, said),
            Command::Removed => self.removed(rest, said),
            Command::State => self.stands(rest, said),
            Command::Ambient => self.ambient(rest, said),
            Command::List => self.list(said),
            Command::Next => self.next(said),
            Command::Follow => self.choose_procedure(rest, said),
            Command::Done => self.done(said),
            Command::Quit => self.quit(said),
        }
    }

    /// Whether a name is that of a reading or a property.
    pub(super) fn is_known(&self, name: &str) -> bool {
        let spec = self.bench.spec();
        let plain = name.split('[').next().unwrap_or(name).trim();
        spec.slots.iter().any(|slot| slot.name == plain)
            || spec.properties.iter().any(|property| property.name == plain)
    }

    fn is_word_of(&self, slot: SlotId, text: &str) -> bool {
        use truing::model::SlotKind;
        let kind = self.bench.slot(slot).map(|slot| &slot.kind);
        matches!(kind, Some(SlotKind::Words(words)) if words.iter().any(|word| word == text))
    }

    /// What begins as no reading does is asked about as a word.
    fn looks_like_a_reading(&self, slot: SlotId, text: &str) -> bool {
        use truing::model::SlotKind;
        let marks = ['+', '-', '\u{2212}', '.', ',', '<', '>', '\u{2264}', '\u{2265}'];
        let begins = text.starts_with(|c: char| c.is_ascii_digit() || marks.contains(&c));
        let lower = text.to_ascii_lowercase();
        let word = ["o.l", ".ol", "ol", "o l", "0l", "not taken", "nan", "inf"];
        let words = matches!(self.bench.slot(slot).map(|it| &it.kind), Some(SlotKind::Words(_)));
        begins || words || word.iter().any(|known| lower.starts_with(known))
    }

    /// A reading or property by its name; without a value it is asked for next.
    fn named_reading(&mut self, name: &str, value: &str, said: &mut Vec<Said>) {
        if let Some(id) = self.bench.spec().property_named(name.trim()) {
            if value.is_empty() {
                said.push(Said::refused(format!("Say what it is: {name} VALUE.")));
            } else {
                self.property(id, value, said);
                self.idle = false;
            }
            return;
        }
        match find_slot(self.bench.spec(), name) {
            Ok(slot) if value.is_empty() => self.go_to(slot),
            Ok(slot) => self.offer(Offer::new(slot, value), said),
            Err(error) => {
                said.push(Said::mistake("Not recorded: ", &error));
            }
        }
    }

    /// A reading is asked for out of order.
    fn go_to(&mut self, slot: SlotId) {
        (self.detour, self.current) = (Some(slot), None);
        (self.idle, self.free) = (false, false);
    }

    pub(super) fn unknown(&mut self, text: &str, said: &mut Vec<Said>) {
        let spec = self.bench.spec();
        let slots = spec.slots.iter().map(|slot| slot.name.as_str());
        let properties = spec.properties.iter().map(|property| property.name.as_str());
        let known = slots.chain(properties);
        let short: String = text.chars().take(40).collect();
        let text = match (probably(text, known), self.current) {
            (Some(near), _) => {
                format!("`{short}` is no reading and no command. Did you mean {near}?")
            }
            (None, Some(slot)) => format!(
                "`{short}` is no reading and no command. Type what the display shows for {}, or help.",
                self.bench.label(slot)
            ),
            (None, None) => format!(
                "`{short}` is no command. A reading is given by its name: list shows the names, help the commands."
            ),
        };
        said.push(Said::refused(text));
    }

    pub(super) fn back(&mut self, said: &mut Vec<Said>) {
        let step = last_step(self.entries());
        let Some(last) = step.first().cloned() else {
            said.push(Said::text("There is nothing to take back."));
            return;
        };
        for entry in &step {
            if !self.keep(Event::Undo { of: entry.sequence }, said) {
                return;
            }
        }
        let told = told_of(&last.event);
        said.push(Said::recorded(format!("Taken back: {told}. The record keeps both.")));
        (self.task, self.current, self.detour) = (None, None, None);
        (self.idle, self.free, self.last) = (false, false, None);
        if let Event::Reading { entry, .. } = &last.event
            && let Ok(slot) = find_slot(self.bench.spec(), &entry.path)
        {
            self.detour = Some(slot);
        }
    }

    fn again(&mut self, name: &str, said: &mut Vec<Said>) {
        let slot = match (name.is_empty(), self.last) {
            (true, Some(slot)) => slot,
            (true, None) => {
                said.push(Said::refused("Nothing was read yet. Name the reading: again NAME."));
                return;
            }
            (false, _) => match find_slot(self.bench.spec(), name) {
                Ok(slot) => slot,
                Err(error) => {
                    said.push(Said::mistake("", &error));
                    return;
                }
            },
        };
        said.push(Said::text(
            "Once more. The new reading takes the place of the old one; the record keeps both.",
        ));
        self.go_to(slot);
    }

    fn why(&self, said: &mut Vec<Said>) {
        let spec = self.bench.spec();
        let followed = self.procedure.as_ref().and_then(|name| spec.procedure_named(name));
        if let Some(procedure) = followed {
            let title = &procedure.title;
            said.push(Said::text(format!("This step comes from the written procedure: {title}.")));
        }
        let sheet = self.record.sheet();
        let names: Vec<String> = sheet.rounds.iter().map(|round| round.name.clone()).collect();
        let report = SuspectsReport { spec, stages: &self.standing.stages, rounds: &names };
        // One line for each paragraph: whoever shows it breaks it to its own width.
        let style = Style { color: false, width: usize::MAX / 4 };
        let text = render_next(&report, style);
        for line in text.lines().map(str::trim).filter(|line| !line.is_empty()) {
            let (lead, rest) = lead_of(line);
            if lead != "Next" || followed.is_none() {
                let lead = if lead.is_empty() { String::new() } else { format!("{lead}: ") };
                said.push(Said::text(format!("{lead}{rest}")));
            }
        }
    }

    fn next(&mut self, said: &mut Vec<Said>) {
        if self.free {
            (self.free, self.task) = (false, None);
            return;
        }
        if self.idle || self.task.is_none() {
            return self.measure_on(said);
        }
        if let Some(task) = &self.task {
            said.extend(step::task(&self.bench, task, None));
        }
        self.current = None;
    }

    pub(super) fn quit(&mut self, said: &mut Vec<Said>) {
        if !self.entries().is_empty() {
            self.keep_limits(said);
            self.settle(said);
        }
        said.push(Said::title("Stopped. The same command opens the job again where it was left."));
        (self.over, self.ask, self.current) = (true, None, None);
    }

    /// Writes the sheet beside the record.
    pub(super) fn settle(&mut self, said: &mut Vec<Said>) {
        if let Err(why) = self.record.settle() {
            let why = why.0;
            said.push(Said::refused(format!(
                "The sheet could not be written: {why}. Everything is on record all the same."
            )));
        }
    }

    /// Puts the limits on record that the job was judged by, so that a later edition of the spec can be
    /// held against them.
    pub(super) fn keep_limits(&mut self, said: &mut Vec<Said>) {
        let rounds: Vec<(&Sheet, &Findings)> =
            self.standing.rounds.iter().map(|of| (&of.sheet, &of.findings)).collect();
        let limits = self.bench.compiled().judged(&rounds);
        if limits != self.record.sheet().judged {
            self.keep(Event::Judged { limits }, said);
        }
    }
}

/// The words at the beginning of a report's paragraph that say what it is about.
fn lead_of(line: &str) -> (&str, &str) {
    const LEADS: [&str; 13] = [
        "Most likely",
        "For it",
        "Against it",
        "For either",
        "The rival",
        "Same cure",
        "Not apart",
        "Ruled down",
        "Two faults",
        "Unexplained",
        "Not used",
        "Not measured",
        "Next",
    ];
    let lead = LEADS.iter().find_map(|lead| {
        let rest = line.strip_prefix(lead)?;
        rest.starts_with([' ', ':']).then(|| (*lead, rest.trim_start_matches([' ', ':'])))
    });
    lead.unwrap_or(("", line))
}

fn help(of: &str, said: &mut Vec<Said>) {
    if !of.is_empty() {
        let text = match named(of) {
            Some(row) => format!("{}: {}", row.usage, row.help),
            None => match probably(of, []) {
                Some(near) => format!("There is no command {of}. Did you mean {near}?"),
                None => format!("There is no command {of}."),
            },
        };
        said.push(Said::text(text));
        return;
    }
    said.push(Said::text(
        "Type a reading as the display shows it: 12.71, .487, 12,71, OL, >20M, 487m, 0.3 .. 0.5 ohm unsteady, 3.52 3.50, \
         not taken \"why\". A name before it gives another reading than the one asked for: to_ground[V] 0.3. \
         A meter behind it: 1.8 mA with M-B.",
    ));
    said.extend(COMMANDS.iter().map(|row| Said::text(format!("{}: {}", row.usage, row.help))));
}

/// What an entry was, for taking it back.
fn told_of(event: &Event) -> String {
    match event {
        Event::Reading { entry, .. } | Event::Property { entry } => {
            format!("{} {}", entry.path, entry.value)
        }
        Event::Complaint { .. } => "the complaint".to_owned(),
        Event::Note { text } => format!("note {text}"),
        Event::Shows { state } => format!("it shows in {state}"),
        Event::Meter(meter) => format!("meter {}", meter.name),
        Event::Skipped { skipped, .. } => format!("{} skipped", skipped.check),
        Event::Remark { remark, .. } => format!("note {}", remark.text),
        Event::Photo { photo, .. } => format!("photo {}", photo.path),
        Event::Caution { name, .. } => format!("caution {name} read"),
        Event::Fitted { fix, .. } => format!("{} done", fix.as_deref().unwrap_or("a repair")),
        Event::NextRound { name, .. } => format!("round {name}"),
        Event::Bypass { bypass, .. } => format!("bridge {}", bypass.what),
        Event::BypassRemoved { name } => format!("bridge {name} removed"),
        Event::Conditions { .. } => "the conditions".to_owned(),
        Event::Correlated { .. } => "a correlation".to_owned(),
        Event::Judged { .. } => "the limits".to_owned(),
        Event::Closed(_) => "the job's closing".to_owned(),
        Event::Reopened => "the job's opening again".to_owned(),
        Event::Opened(_) | Event::Undo { .. } => String::new(),
    }
}
