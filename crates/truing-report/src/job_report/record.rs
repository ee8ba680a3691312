//! What a job's record holds besides its checks: rounds, what was not tested, instruments, sources,
//! cautions, remarks, photos, bypasses.

use std::collections::BTreeSet;

use truing_model::{CautionId, Check, CheckId, Cite, Outcome, SourceId};

use super::build::{RoundStand, Stand};
use super::families::is_taken;
use super::photo::Picture;
use super::summary::of_check;
use super::text::Text;
use super::view::{
    BypassView, CautionView, InstrumentView, LeftOut, NotTested, PhotoView, ReadView, RemarkView,
    RoundView, SourceView,
};
use crate::account::Account;
use crate::reading_text::as_written;
use crate::verdict::summary_words;

pub(super) fn rounds(stand: &Stand<'_>) -> Vec<RoundView> {
    let views = stand.rounds.iter().enumerate().map(|(place, round)| {
        let written = stand.report.job.and_then(|job| job.rounds.get(place));
        let ambient = written.and_then(|written| written.conditions.ambient.as_deref());
        let ambient =
            ambient.or(stand.report.job.and_then(|job| job.conditions.ambient.as_deref()));
        let summary = stand.report.rounds.get(place).map(|round| stand.report.summary(round));
        RoundView {
            name: round.name.clone(),
            time: written.and_then(|written| written.time.as_deref()).map(clock),
            ambient: ambient.map(Text::line),
            after_repair: round.after_repair,
            summary: summary
                .map_or(Text::default(), |summary| Text::line(&summary_words(&summary))),
            read: read(stand, place, round),
        }
    });
    views.collect()
}

/// What was read in a round, as written, in the order of the spec.
fn read(stand: &Stand<'_>, place: usize, round: &RoundStand<'_>) -> Vec<ReadView> {
    let written = stand.report.job.and_then(|job| job.rounds.get(place));
    let time = |label: &str| {
        let mut entries = written.iter().flat_map(|written| &written.readings);
        entries.find(|entry| entry.path == label).and_then(|entry| entry.time.as_deref()).map(clock)
    };
    let teller = &round.teller;
    let told = teller.sheet.readings().filter_map(|(id, reading)| {
        let slot = teller.slot(id)?;
        let state = teller.sheet.state(id).and_then(|state| teller.state(state));
        let state = state.map(|state| Text::line(&format!("taken in the state “{}”", state.title)));
        let note = teller.sheet.noted(id).map(Text::line);
        Some(ReadView {
            name: Text::line(&slot.label),
            title: Text::line(&slot.title),
            text: Text::line(&as_written(reading, |word| teller.word(id, word).replace('_', " "))),
            meter: teller.sheet.meter(id).map(|meter| Text::line(&meter.meter)),
            time: time(&slot.label),
            remarks: state.into_iter().chain(note).collect(),
        })
    });
    told.collect()
}

/// A local date and time as people read it: without its `T`, and without seconds that are nought.
fn clock(text: &str) -> Text {
    let text = text.trim().replacen('T', " ", 1);
    Text::line(text.strip_suffix(":00").filter(|short| short.contains(':')).unwrap_or(&text))
}

/// What no round tells of, though it is about this machine; families together.
pub(super) fn not_tested(stand: &Stand<'_>) -> Vec<NotTested> {
    let bears: BTreeSet<CheckId> = stand
        .spec()
        .faults
        .iter()
        .flat_map(|fault| fault.effects.iter().map(|effect| effect.check))
        .collect();
    let mut told: Vec<NotTested> = Vec::new();
    let mut reasons: Vec<(String, String, Vec<&Check>, bool, bool)> = Vec::new();
    for (id, check) in checks(stand) {
        let accounts: Vec<&Account> = stand.rounds.iter().filter_map(|r| r.account(id)).collect();
        let open = |account: &&Account| account.outcome != Outcome::NotApplicable;
        if accounts.iter().any(|account| is_taken(account)) || !accounts.iter().any(open) {
            continue;
        }
        let said = why_not(stand, check);
        let why =
            said.clone().unwrap_or_else(|| "Not measured; the sheet does not say why.".to_owned());
        let bears = bears.contains(&id);
        match reasons.iter_mut().find(|(name, known, ..)| *name == check.name && *known == why) {
            Some((_, _, members, _, any)) => {
                members.push(check);
                *any |= bears;
            }
            None => {
                reasons.push((check.name.clone(), why, vec![check], said.is_some(), bears));
            }
        }
    }
    for (_, why, members, said, bears_on_fault) in reasons {
        told.extend(together(&members, &why, said, bears_on_fault));
    }
    told
}

/// What a round left out, where another took it: why it was not taken again.
pub(super) fn left_out(stand: &Stand<'_>) -> Vec<LeftOut> {
    let taken = |check: &Check, id: CheckId, path: &str| {
        (path == check.label || path == check.name)
            && stand.rounds.iter().any(|round| round.account(id).is_some_and(is_taken))
    };
    let views = written(stand).flat_map(|(name, round)| {
        let skipped = round.skipped.iter().filter_map(move |skipped| {
            let members: Vec<&Check> = checks(stand)
                .filter(|(id, check)| taken(check, *id, &skipped.check))
                .map(|(_, check)| check)
                .collect();
            let what = super::families::title(&members);
            let why = Text::line(&skipped.why);
            (!members.is_empty()).then(|| LeftOut { when: name.clone(), what, why })
        });
        skipped.collect::<Vec<_>>()
    });
    views.collect()
}

/// What is not about this machine, or has no limit and was not read.
pub(super) fn not_applicable(stand: &Stand<'_>) -> Vec<NotTested> {
    let mut reasons: Vec<(String, String, Vec<&Check>)> = Vec::new();
    for (id, check) in checks(stand) {
        let accounts: Vec<&Account> = stand.rounds.iter().filter_map(|r| r.account(id)).collect();
        let none = |account: &&Account| {
            account.outcome == Outcome::NotApplicable && account.judged.is_empty()
        };
        if accounts.is_empty() || !accounts.iter().all(none) {
            continue;
        }
        let why =
            super::summary::capital(&accounts.last().map_or(String::new(), |a| a.why.clone()));
        match reasons.iter_mut().find(|(name, known, _)| *name == check.name && *known == why) {
            Some((_, _, members)) => members.push(check),
            None => reasons.push((check.name.clone(), why, vec![check])),
        }
    }
    reasons.iter().filter_map(|(_, why, members)| together(members, why, true, false)).collect()
}

fn checks<'a>(stand: &Stand<'a>) -> impl Iterator<Item = (CheckId, &'a Check)> {
    (0u32..).map(CheckId).zip(&stand.spec().checks)
}

fn together(members: &[&Check], why: &str, said: bool, bears_on_fault: bool) -> Option<NotTested> {
    let first = members.first()?;
    let named: Vec<&str> = members.iter().filter_map(|check| check.member.as_deref()).collect();
    let check = match named.as_slice() {
        [] => first.name.clone(),
        named => format!("{}[{}]", first.name, named.join(", ")),
    };
    Some(NotTested {
        check: Text::line(&check),
        title: super::families::title(members),
        why: Text::line(why),
        said,
        bears_on_fault,
    })
}

/// The reason that somebody gave: the record's for the check, or a reading's own.
fn why_not(stand: &Stand<'_>, check: &Check) -> Option<String> {
    let job = stand.report.job?;
    let names = |path: &str, label: &str, name: &str| path == label || path == name;
    let skipped = job.rounds.iter().flat_map(|round| &round.skipped).find(|skipped| {
        names(&skipped.check, &check.label, &check.name)
            || check.slots.iter().any(|slot| {
                let slot = stand.spec().slots.get(slot.0 as usize);
                slot.is_some_and(|slot| names(&skipped.check, &slot.label, &slot.name))
            })
    });
    if let Some(skipped) = skipped.filter(|skipped| !skipped.why.trim().is_empty()) {
        return Some(format!("Skipped: {}", skipped.why));
    }
    let reasons = stand.rounds.iter().flat_map(|round| {
        check.slots.iter().filter_map(|slot| round.teller.reason_not_taken(*slot))
    });
    reasons.last().map(|reason| format!("Not taken: {reason}"))
}

/// The instruments of the sheet with what was read with them, and those that were used besides.
pub(super) fn instruments(stand: &Stand<'_>) -> Vec<InstrumentView> {
    let mut views: Vec<InstrumentView> = Vec::new();
    for instrument in stand.report.job.iter().flat_map(|job| &job.instruments) {
        views.push(InstrumentView {
            name: Text::line(&instrument.name),
            profile: Text::line(&instrument.profile.replace('_', " ")),
            calibrated: instrument.calibrated.as_deref().map(Text::line),
            zeroed: instrument.zeroed,
            readings: 0,
        });
    }
    for round in &stand.rounds {
        for (slot, _) in round.teller.sheet.readings() {
            let Some(meter) = round.teller.sheet.meter(slot) else { continue };
            let name = Text::line(&meter.meter);
            match views.iter_mut().find(|view| view.name == name) {
                Some(view) => {
                    view.readings += 1;
                    if !meter.instrument.title.is_empty() {
                        view.profile = Text::line(&meter.instrument.title);
                    }
                }
                None => views.push(InstrumentView {
                    name,
                    profile: Text::line(&meter.instrument.title),
                    calibrated: None,
                    zeroed: meter.zeroed,
                    readings: 1,
                }),
            }
        }
    }
    views
}

/// The sources of the limits of what was taken.
pub(super) fn sources(stand: &Stand<'_>) -> Vec<SourceView> {
    let mut cited: Vec<&Cite> = Vec::new();
    for (id, check) in checks(stand) {
        let taken = |round: &RoundStand<'_>| round.account(id).is_some_and(is_taken);
        if let Some(round) = stand.rounds.iter().find(|round| taken(round)) {
            // Of a check without a limit of its own, the check's own sources.
            let limit = round.teller.limit_of(check).filter(|limit| !limit.cites.is_empty());
            cited.extend(limit.map_or(&check.cites, |limit| &limit.cites));
        }
    }
    let title = |id: SourceId| stand.spec().sources.get(id.0 as usize).map(|of| of.title.as_str());
    let ids: BTreeSet<SourceId> = cited.iter().map(|cite| cite.source).collect();
    let views = ids.into_iter().filter_map(|id| {
        let mut view = SourceView {
            title: Text::line(title(id)?),
            places: Vec::new(),
            corrections: Vec::new(),
        };
        for cite in cited.iter().filter(|cite| cite.source == id) {
            let place = cite.place.as_deref().map(Text::line);
            view.places.extend(place.filter(|place| !view.places.contains(place)));
            let mend = cite.mend.and_then(title).map(|mend| {
                let was = cite.was.as_ref().map_or(String::new(), |was| format!(", was {was}"));
                let place = cite.place.as_deref().unwrap_or("");
                Text::line(&format!("{place} corrected by {mend}{was}"))
            });
            view.corrections.extend(mend.filter(|mend| !view.corrections.contains(mend)));
        }
        view.places.sort();
        Some(view)
    });
    views.collect()
}

/// What can hurt whoever repeats what was measured, and whether it was acknowledged.
pub(super) fn cautions(stand: &Stand<'_>) -> Vec<CautionView> {
    let mut ids: BTreeSet<CautionId> = BTreeSet::new();
    for (id, _) in checks(stand) {
        if stand.rounds.iter().any(|round| round.account(id).is_some_and(is_taken)) {
            ids.extend(of_check(stand, id));
        }
    }
    let spec = stand.spec();
    let rounds = || stand.report.job.iter().flat_map(|job| &job.rounds);
    let fixes = rounds().flat_map(|round| &round.fitted.fixes);
    let fixes = fixes.filter_map(|name| spec.fixes.iter().find(|fix| fix.name == *name));
    ids.extend(fixes.flat_map(|fix| fix.cautions.iter().copied()));
    let acknowledged = |name: &str| rounds().any(|round| round.cautions.iter().any(|c| c == name));
    let views = ids.iter().filter_map(|id| spec.cautions.get(id.0 as usize)).map(|caution| {
        let acknowledged = acknowledged(&caution.name);
        CautionView { text: Text::line(&caution.text), acknowledged }
    });
    views.collect()
}

pub(super) fn remarks(stand: &Stand<'_>) -> Vec<RemarkView> {
    let views = written(stand).flat_map(|(name, round)| {
        round.remarks.iter().map(move |remark| RemarkView {
            when: name.clone(),
            time: remark.time.as_deref().map(clock),
            of: remark.of.as_deref().map(|of| what_is(stand, of)),
            text: Text::lines(&remark.text),
        })
    });
    views.collect()
}

/// The photos in order, each with its picture or why that is left out.
pub(super) fn photos(stand: &Stand<'_>, pictures: &[Result<Picture, Text>]) -> Vec<PhotoView> {
    let of_sheet = written(stand)
        .flat_map(|(name, round)| round.photos.iter().map(move |p| (name.clone(), p)));
    let views = of_sheet.enumerate().map(|(place, (when, photo))| {
        let picture = pictures.get(place);
        let (media, bytes, left_out) = match picture {
            Some(Ok(picture)) => (Some(picture.media()), Some(picture.len()), None),
            Some(Err(why)) => (None, None, Some(why.clone())),
            None => (None, None, Some(Text::line("the job's folder was not looked into"))),
        };
        PhotoView {
            when,
            path: Text::line(&photo.path),
            of: photo.of.as_deref().map(|of| what_is(stand, of)),
            note: photo.note.as_deref().map(Text::line),
            media,
            bytes,
            left_out,
        }
    });
    views.collect()
}

pub(super) fn bypasses(stand: &Stand<'_>) -> Vec<BypassView> {
    let views = written(stand).flat_map(|(name, round)| {
        round.bypasses.iter().map(move |bypass| BypassView {
            when: name.clone(),
            what: Text::line(&bypass.what),
            removed: bypass.removed,
        })
    });
    views.collect()
}

/// The rounds of the sheet with the names that the report gives them.
fn written<'a>(stand: &'a Stand<'_>) -> impl Iterator<Item = (Text, &'a truing_job::Round)> {
    let rounds = stand.report.job.map_or(&[][..], |job| &job.rounds);
    let name = |place: usize| stand.rounds.get(place).map(|round| round.name.clone());
    rounds.iter().enumerate().filter_map(move |(place, round)| Some((name(place)?, round)))
}

/// The title of the check or reading that a path names; of a family without a member, of its first.
fn what_is(stand: &Stand<'_>, path: &str) -> Text {
    let spec = stand.spec();
    let named = |label: &str, name: &str| path == label || path == name;
    let check = spec.checks.iter().find(|check| named(&check.label, &check.name));
    let slot = spec.slots.iter().find(|slot| named(&slot.label, &slot.name));
    let title = check.map(|check| &check.title).or(slot.map(|slot| &slot.title));
    Text::line(title.map_or(path, String::as_str))
}
