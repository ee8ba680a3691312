//! From a sheet as written to the sheet that the engine takes, against a spec.

use std::collections::BTreeMap;

use truing_engine::Sheet;
use truing_model::{PropertyId, Reading, SlotId, SlotKind, Spec};

use crate::error::{Mistakes, SheetError, quoted};
use crate::measured::{Taken, correlate};
use crate::names::{Names, Target};
use crate::nearest::nearest;
use crate::profiles::Profiles;
use crate::reading_text::Reader;
use crate::record_names;
use crate::sheet::{Entry, JobSheet, Place};
use crate::slugs;

/// Binds one round of a sheet, by its place, to a spec.
///
/// A blank value is not filled in and counts as not there. `not taken` for a whole family stands for
/// each of its members. A property may stand among the readings of any round.
///
/// # Errors
/// Every mistake of the sheet against this spec, in order of line.
pub fn bind(sheet: &JobSheet, round: usize, spec: &Spec) -> Result<Sheet, Vec<SheetError>> {
    bind_with(sheet, round, spec, &Profiles::of(spec))
}

/// As [`bind`], with these instruments to be named.
///
/// # Errors
/// As [`bind`].
pub fn bind_with(
    sheet: &JobSheet,
    round: usize,
    spec: &Spec,
    profiles: &Profiles,
) -> Result<Sheet, Vec<SheetError>> {
    let mut binder = Binder::new(spec);
    binder.spec_name(sheet);
    let written = sheet.rounds.get(round);
    let conditions = written.map(|written| &written.conditions);
    let (taken, mistakes) = Taken::of_round(sheet, conditions, profiles, &binder.hand.reader);
    binder.hand.taken = taken;
    mistakes.into_iter().for_each(|mistake| binder.mistakes.add(mistake));
    for entry in &sheet.machine {
        if binder.mistakes.full() {
            break;
        }
        binder.machine(entry);
    }
    binder.model_and_year(sheet);
    if round >= sheet.rounds.len() {
        binder.mistakes.add(no_such_round(sheet, round));
    }
    for (place, written) in sheet.rounds.iter().enumerate() {
        for entry in &written.readings {
            if binder.mistakes.full() {
                break;
            }
            if binder.hand.names.is_property(&entry.path) {
                binder.machine(entry);
            } else if place == round {
                binder.reading(entry);
            }
        }
    }
    for written in &sheet.rounds {
        let (_, found) = crate::fitted::fixes(&written.fitted, spec);
        found.into_iter().for_each(|mistake| binder.mistakes.add(mistake));
    }
    let found = record_names::mistakes(sheet, &binder.hand.names);
    found.into_iter().for_each(|mistake| binder.mistakes.add(mistake));
    if let Some(written) = written {
        let found = correlate(spec, &binder.hand.names, &mut binder.bound, &written.correlations);
        found.into_iter().for_each(|mistake| binder.mistakes.add(mistake));
    }
    if let Some(rule) = sheet.decide
        && let Err(error) = binder.bound.decide(rule)
    {
        let error = SheetError::new(slugs::DECIDE_TEXT, error.to_string());
        binder.mistakes.add(error.at(sheet.place_of("decide")).of("decide"));
    }
    binder.mistakes.or(&sheet.file, binder.bound)
}

/// The slot that a path means, `to_ground[U]`.
///
/// # Errors
/// Where the spec has no such reading, or the path names a family without a member.
pub fn find_slot(spec: &Spec, path: &str) -> Result<SlotId, SheetError> {
    let names = Names::new(spec);
    match names.find(path)? {
        Target::Slot(slot) => Ok(slot),
        Target::Family(slots) => Err(names.member_missing(path, &slots)),
        Target::Property(_) => {
            let message = format!("{} is a property of the machine, not a reading", quoted(path));
            Err(SheetError::new(slugs::UNKNOWN_READING, message))
        }
    }
}

/// The place of a sheet's round by its name.
#[must_use]
pub fn round_named(sheet: &JobSheet, name: &str) -> Option<usize> {
    sheet.rounds.iter().position(|round| round.name == name)
}

/// Puts one assignment, `battery_rest=12.71 V`, on a bound sheet, in place of what stood there. A
/// blank value takes the reading off the sheet.
///
/// # Errors
/// What is wrong with it.
pub fn set_one(spec: &Spec, sheet: &mut Sheet, assignment: &str) -> Result<(), SheetError> {
    let Some((path, value)) = assignment.split_once('=') else {
        let message = format!("{} says not what was read", quoted(assignment));
        return Err(SheetError::new(slugs::ASSIGNMENT, message)
            .mend("write the reading, `=` and what it showed: battery_rest=12.71 V"));
    };
    let entry = Entry { path: path.trim().to_owned(), value: value.to_owned(), ..Entry::default() };
    set_entry(spec, sheet, &entry)
}

/// Puts one entry on a bound sheet, in place of what stood there; as [`set_one`].
///
/// # Errors
/// What is wrong with it.
pub fn set_entry(spec: &Spec, sheet: &mut Sheet, entry: &Entry) -> Result<(), SheetError> {
    set_entry_with(spec, sheet, entry, &Profiles::of(spec))
}

/// As [`set_entry`], with these instruments to be named.
///
/// # Errors
/// What is wrong with it.
pub fn set_entry_with(
    spec: &Spec,
    sheet: &mut Sheet,
    entry: &Entry,
    profiles: &Profiles,
) -> Result<(), SheetError> {
    let hand = Hand { taken: Taken::with_profiles(profiles), ..Hand::new(spec) };
    let mut write = || match hand.names.find(&entry.path)? {
        Target::Property(property) => hand.property(sheet, property, entry),
        target => {
            // On a copy: a mistake leaves the sheet as it was.
            let mut fresh = sheet.clone();
            for slot in hand.slots(target, entry)? {
                fresh.remove(slot);
                if !entry.value.trim().is_empty() {
                    hand.slot(&mut fresh, slot, entry)?;
                }
            }
            *sheet = fresh;
            Ok(())
        }
    };
    write().map_err(|error: SheetError| error.at(entry.place).of(entry.path.as_str()))
}

/// What writes on a sheet: the names of the spec, how its texts are read, and with what readings
/// were taken.
struct Hand<'s> {
    names: Names<'s>,
    reader: Reader<'s>,
    taken: Taken<'s>,
}

impl<'s> Hand<'s> {
    fn new(spec: &'s Spec) -> Self {
        Self { names: Names::new(spec), reader: Reader::new(spec), taken: Taken::default() }
    }

    /// The slots that an entry is about: one, or for `not taken` the members of a family.
    fn slots(&self, target: Target, entry: &Entry) -> Result<Vec<SlotId>, SheetError> {
        match target {
            Target::Slot(slot) => Ok(vec![slot]),
            Target::Family(slots) if for_all(&entry.value) => Ok(slots),
            Target::Family(slots) => Err(self.names.member_missing(&entry.path, &slots)),
            Target::Property(_) => Ok(Vec::new()),
        }
    }

    fn slot(&self, sheet: &mut Sheet, id: SlotId, entry: &Entry) -> Result<(), SheetError> {
        let Some(slot) = self.names.slot(id) else { return Ok(()) };
        let with_unit = match &entry.ucum {
            Some(code) => Some(self.reader.with_unit(&entry.value, code)?),
            None => None,
        };
        let value = with_unit.as_deref().unwrap_or(&entry.value);
        let reading = self.reader.reading(id, slot, value, entry.range.as_deref())?;
        let state = entry.state.as_deref().map(|state| self.names.state(state)).transpose()?;
        let refused = |error: truing_engine::SheetError| {
            let message = format!("{}: {error}", quoted(&entry.value));
            SheetError::new(slugs::READING_SYNTAX, message)
        };
        let taken = !matches!(reading, Reading::NotTaken { .. });
        sheet.set(id, reading).map_err(refused)?;
        if let (true, SlotKind::Quantity { kind, .. }) = (taken, &slot.kind) {
            self.taken.put(sheet, id, *kind, entry, &self.reader)?;
        }
        if let Some(state) = state {
            sheet.set_state(id, state).map_err(refused)?;
        }
        if let Some(note) = &entry.note {
            sheet.note(id, note.as_str()).map_err(refused)?;
        }
        Ok(())
    }

    fn property(&self, sheet: &mut Sheet, id: PropertyId, entry: &Entry) -> Result<(), SheetError> {
        let value = self.reader.property(id, &entry.value)?;
        sheet.set_property(id, value).map_err(|error| {
            let message = format!("{}: {error}", quoted(&entry.value));
            SheetError::new(slugs::PROPERTY_VALUE, message)
        })
    }
}

/// What may be said of a whole family at once.
fn for_all(value: &str) -> bool {
    let value = value.trim().to_ascii_lowercase();
    value.is_empty() || value.starts_with("not taken")
}

/// A sheet while it is bound.
struct Binder<'s> {
    spec: &'s Spec,
    hand: Hand<'s>,
    bound: Sheet,
    mistakes: Mistakes,
    slots_seen: BTreeMap<SlotId, Place>,
    properties_seen: BTreeMap<PropertyId, (Place, String)>,
}

impl<'s> Binder<'s> {
    fn new(spec: &'s Spec) -> Self {
        Self {
            spec,
            hand: Hand::new(spec),
            bound: Sheet::new(spec),
            mistakes: Mistakes::default(),
            slots_seen: BTreeMap::new(),
            properties_seen: BTreeMap::new(),
        }
    }

    fn spec_name(&mut self, sheet: &JobSheet) {
        let Some(written) = &sheet.spec else { return };
        if *written != self.spec.name {
            let message = format!(
                "the sheet was written for {}, and this spec is `{}`",
                quoted(written),
                self.spec.name
            );
            let mend = nearest(written, [self.spec.name.as_str()])
                .map(|name| format!("did you mean `{name}`?"))
                .unwrap_or_else(|| "take the spec that the sheet names".to_owned());
            let error = SheetError::new(slugs::SPEC_MISMATCH, message).mend(mend);
            self.mistakes.add(error.at(sheet.place_of("spec")).of("spec"));
        }
    }

    fn reading(&mut self, entry: &Entry) {
        if let Err(error) = self.try_reading(entry) {
            self.mistakes.add(error.at(entry.place).of(entry.path.as_str()));
        }
    }

    fn try_reading(&mut self, entry: &Entry) -> Result<(), SheetError> {
        let target = self.hand.names.find(&entry.path)?;
        if entry.value.trim().is_empty() {
            return Ok(());
        }
        for slot in self.hand.slots(target, entry)? {
            if let Some(first) = self.slots_seen.insert(slot, entry.place) {
                let message = format!("the reading is given twice, first on {first}");
                return Err(SheetError::new(slugs::READING_TWICE, message)
                    .mend("keep one of them, or write repeats as one: \"3.52, 3.50, 3.55 mm\""));
            }
            self.hand.slot(&mut self.bound, slot, entry)?;
        }
        Ok(())
    }

    /// The machine's model and year, where the spec asks for them.
    fn model_and_year(&mut self, sheet: &JobSheet) {
        for (name, said) in [("model", &sheet.model), ("year", &sheet.year)] {
            if let (Some(said), true) = (said, self.hand.names.is_property(name)) {
                let (path, value) = (name.to_owned(), said.clone());
                let place = sheet.place_of(&format!("machine.{name}"));
                self.machine(&Entry { path, value, place, ..Entry::default() });
            }
        }
    }

    fn machine(&mut self, entry: &Entry) {
        if let Err(error) = self.try_machine(entry) {
            self.mistakes.add(error.at(entry.place).of(entry.path.as_str()));
        }
    }

    /// A property; a table that repeats the same value in every round says nothing twice.
    fn try_machine(&mut self, entry: &Entry) -> Result<(), SheetError> {
        let property = self.hand.names.property(&entry.path)?;
        let value = entry.value.trim();
        if value.is_empty() {
            return Ok(());
        }
        let seen = self.properties_seen.insert(property, (entry.place, value.to_owned()));
        if let Some((first, before)) = seen {
            if before == value {
                return Ok(());
            }
            let message = format!(
                "the property is {} on {first} and {} here",
                quoted(&before),
                quoted(value)
            );
            return Err(SheetError::new(slugs::READING_TWICE, message).mend("keep one of them"));
        }
        self.hand.property(&mut self.bound, property, entry)
    }
}

fn no_such_round(sheet: &JobSheet, round: usize) -> SheetError {
    let names: Vec<&str> = sheet.rounds.iter().map(|round| round.name.as_str()).collect();
    let message = format!("the sheet has no round number {}", round + 1);
    let mend = if names.is_empty() {
        "the sheet has no rounds".to_owned()
    } else {
        format!("its rounds are {}", names.join(", "))
    };
    SheetError::new(slugs::NO_SUCH_ROUND, message).mend(mend)
}
