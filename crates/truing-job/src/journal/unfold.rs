//! From a sheet to entries that make it: the journal of a job that was begun on paper or in a file.

use super::event::{Event, Header};
use crate::sheet::{Conditions, JobSheet, Round};

/// Entries that fold to this sheet.
#[must_use]
pub fn unfold(sheet: &JobSheet) -> Vec<Event> {
    let sheet = sheet.content();
    let mut events = vec![Event::Opened(Header {
        job: sheet.job,
        spec: sheet.spec,
        edition: sheet.edition,
        spec_hash: sheet.spec_hash,
        date: sheet.date,
        technician: sheet.technician,
        complaint: sheet.complaint,
        shows: sheet.shows,
        note: sheet.note,
        decide: sheet.decide,
        model: sheet.model,
        year: sheet.year,
    })];
    events.extend(sheet.instruments.into_iter().map(Event::Meter));
    events.extend(sheet.machine.into_iter().map(|entry| Event::Property { entry }));
    events.extend(conditions(None, sheet.conditions));
    for (place, round) in sheet.rounds.into_iter().enumerate() {
        of_round(place, round, &mut events);
    }
    if !sheet.judged.is_empty() {
        events.push(Event::Judged { limits: sheet.judged });
    }
    events.extend(sheet.closed.map(Event::Closed));
    events
}

fn conditions(round: Option<usize>, conditions: Conditions) -> Option<Event> {
    let Conditions { meters, ambient, .. } = conditions;
    let said = !meters.is_empty() || ambient.is_some();
    said.then_some(Event::Conditions { round, meters, ambient })
}

fn of_round(round: usize, written: Round, events: &mut Vec<Event>) {
    events.push(Event::NextRound { name: written.name, time: written.time });
    events.extend(conditions(Some(round), written.conditions));
    for fix in written.fitted.fixes {
        events.push(Event::Fitted { round, fix: Some(fix), parts: Vec::new() });
    }
    if !written.parts.is_empty() {
        events.push(Event::Fitted { round, fix: None, parts: written.parts });
    }
    events.extend(written.cautions.into_iter().map(|name| Event::Caution { round, name }));
    events.extend(written.bypasses.into_iter().map(|bypass| Event::Bypass { round, bypass }));
    events.extend(written.skipped.into_iter().map(|skipped| Event::Skipped { round, skipped }));
    let correlations = written.correlations.into_iter();
    events.extend(correlations.map(|correlation| Event::Correlated { round, correlation }));
    events.extend(written.readings.into_iter().map(|entry| Event::Reading { round, entry }));
    events.extend(written.remarks.into_iter().map(|remark| Event::Remark { round, remark }));
    events.extend(written.photos.into_iter().map(|photo| Event::Photo { round, photo }));
}
