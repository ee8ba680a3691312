//! Which keys a sheet is written with, in which order.

use super::tree::{Table, Tree};
use crate::decide::decide_text;
use crate::sheet::{
    Bypass, Conditions, Correlation, Entry, Instrument, JobSheet, Judged, Part, Photo, Remark,
    Round, Skipped, VERSION,
};

/// A table while it is filled; what is not said is not written.
#[derive(Default)]
struct Fields(Table);

impl Fields {
    fn put(&mut self, key: &str, value: Tree) {
        self.0.push((key.to_owned(), value));
    }

    fn text(&mut self, key: &str, text: Option<&String>) {
        if let Some(text) = text {
            self.put(key, Tree::Text(text.clone()));
        }
    }

    fn date(&mut self, key: &str, text: Option<&String>) {
        if let Some(text) = text {
            self.put(key, Tree::date(text));
        }
    }

    fn number(&mut self, key: &str, text: Option<&String>) {
        if let Some(text) = text {
            self.put(key, Tree::number(text));
        }
    }

    fn names(&mut self, key: &str, names: &[String]) {
        if !names.is_empty() {
            self.put(key, Tree::List(names.iter().cloned().map(Tree::Text).collect()));
        }
    }

    fn list<T>(&mut self, key: &str, items: &[T], table: fn(&T) -> Table) {
        if !items.is_empty() {
            self.put(key, Tree::List(items.iter().map(|it| Tree::Inline(table(it))).collect()));
        }
    }

    fn sections<T>(&mut self, key: &str, items: &[T], table: fn(&T) -> Table) {
        if !items.is_empty() {
            self.put(key, Tree::Sections(items.iter().map(table).collect()));
        }
    }

    fn conditions(&mut self, conditions: &Conditions) {
        self.names("meter", &conditions.meters);
        self.text("ambient", conditions.ambient.as_ref());
    }
}

/// The sheet as a tree.
pub(super) fn of(sheet: &JobSheet) -> Table {
    let mut top = Fields::default();
    top.put("version", Tree::Number(VERSION.to_string()));
    top.text("job", sheet.job.as_ref());
    top.text("spec", sheet.spec.as_ref());
    top.text("edition", sheet.edition.as_ref());
    top.text("spec_hash", sheet.spec_hash.as_ref());
    top.date("date", sheet.date.as_ref());
    top.text("technician", sheet.technician.as_ref());
    top.text("complaint", sheet.complaint.as_ref());
    top.text("shows", sheet.shows.as_ref());
    top.text("note", sheet.note.as_ref());
    if let Some(rule) = sheet.decide {
        top.put("decide", Tree::Text(decide_text(rule)));
    }
    top.conditions(&sheet.conditions);
    if sheet.rounds.is_empty() {
        top.put("round", Tree::List(Vec::new()));
    }
    top.sections("instrument", &sheet.instruments, instrument);
    let machine = machine(sheet);
    if !machine.is_empty() {
        top.put("machine", Tree::Section(machine));
    }
    top.sections("round", &sheet.rounds, round);
    top.sections("judged", &sheet.judged, judged);
    if let Some(closed) = &sheet.closed {
        let mut fields = Fields::default();
        fields.date("date", closed.date.as_ref());
        fields.text("reason", closed.reason.as_ref());
        top.put("closed", Tree::Section(fields.0));
    }
    top.0
}

fn machine(sheet: &JobSheet) -> Table {
    let mut fields = Fields::default();
    fields.text("model", sheet.model.as_ref());
    fields.number("year", sheet.year.as_ref());
    sheet.machine.iter().for_each(|it| fields.put(&it.path, entry(it)));
    fields.0
}

fn round(round: &Round) -> Table {
    let mut fields = Fields::default();
    fields.text("name", Some(&round.name));
    fields.date("time", round.time.as_ref());
    fields.conditions(&round.conditions);
    fields.names("fitted", &round.fitted.fixes);
    fields.list("parts", &round.parts, part);
    fields.names("cautions", &round.cautions);
    fields.list("skipped", &round.skipped, skipped);
    fields.list("remarks", &round.remarks, remark);
    fields.list("photos", &round.photos, photo);
    fields.list("bypasses", &round.bypasses, bypass);
    fields.list("correlation", &round.correlations, correlation);
    let readings = round.readings.iter().map(|it| (it.path.clone(), entry(it)));
    fields.put("readings", Tree::Section(readings.collect()));
    fields.0
}

/// One reading: its text, or a table where there is more to say.
fn entry(entry: &Entry) -> Tree {
    let value = Tree::number(&entry.value);
    let short = Entry {
        path: entry.path.clone(),
        value: entry.value.clone(),
        place: entry.place,
        ..Entry::default()
    };
    if *entry == short {
        return value;
    }
    let mut fields = Fields::default();
    fields.put("value", value);
    fields.text("state", entry.state.as_ref());
    fields.text("range", entry.range.as_ref());
    fields.text("meter", entry.meter.as_ref());
    if let Some(zeroed) = entry.zeroed {
        fields.put("zeroed", Tree::Flag(zeroed));
    }
    fields.text("frequency", entry.frequency.as_ref());
    fields.text("uncertainty", entry.uncertainty.as_ref());
    fields.number("degrees_of_freedom", entry.degrees_of_freedom.as_ref());
    fields.text("ucum", entry.ucum.as_ref());
    fields.date("time", entry.time.as_ref());
    fields.text("note", entry.note.as_ref());
    Tree::Inline(fields.0)
}

fn instrument(instrument: &Instrument) -> Table {
    let mut fields = Fields::default();
    fields.text("name", Some(&instrument.name));
    fields.text("profile", Some(&instrument.profile));
    fields.date("calibrated", instrument.calibrated.as_ref());
    if instrument.zeroed {
        fields.put("zeroed", Tree::Flag(true));
    }
    fields.0
}

fn part(part: &Part) -> Table {
    let mut fields = Fields::default();
    fields.text("name", Some(&part.name));
    fields.text("number", part.number.as_ref());
    fields.put("quantity", Tree::Number(part.quantity.to_string()));
    fields.number("price", part.price.as_ref());
    fields.0
}

fn skipped(skipped: &Skipped) -> Table {
    let mut fields = Fields::default();
    fields.text("check", Some(&skipped.check));
    fields.text("why", Some(&skipped.why));
    fields.0
}

fn remark(remark: &Remark) -> Table {
    let mut fields = Fields::default();
    fields.text("text", Some(&remark.text));
    fields.date("time", remark.time.as_ref());
    fields.text("of", remark.of.as_ref());
    fields.0
}

fn photo(photo: &Photo) -> Table {
    let mut fields = Fields::default();
    fields.text("path", Some(&photo.path));
    fields.text("of", photo.of.as_ref());
    fields.text("note", photo.note.as_ref());
    fields.0
}

fn bypass(bypass: &Bypass) -> Table {
    let mut fields = Fields::default();
    fields.text("what", Some(&bypass.what));
    fields.put("removed", Tree::Flag(bypass.removed));
    fields.0
}

fn correlation(correlation: &Correlation) -> Table {
    let mut fields = Fields::default();
    fields.names("readings", &correlation.readings);
    fields.text("coefficient", Some(&correlation.coefficient));
    fields.0
}

fn judged(judged: &Judged) -> Table {
    let mut fields = Fields::default();
    fields.text("check", Some(&judged.check));
    fields.text("limit", Some(&judged.limit));
    fields.text("source", judged.source.as_ref());
    fields.0
}
