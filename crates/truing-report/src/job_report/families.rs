//! Every check that was taken, members of a family together, in every round: from findings to what
//! the report shows of its readings.

use truing_engine::{Because, Finding};
use truing_model::{
    Check, CheckId, CheckRule, Curve, DecideRule, LimitRule, Outcome, Reading, SlotId,
};
use truing_units::{Place, Ty, from_coherent};

use super::build::Stand;
use super::curve::{CurveView, Plotted, ends_of};
use super::text::Text;
use super::view::{Family, Group, Known, Named, Row};
use crate::account::Account;
use crate::teller::{Scale, Teller};

/// Every family of which something was read, in the order of the spec.
pub(super) fn families(stand: &Stand<'_>) -> Vec<Family> {
    let mut names: Vec<&str> = Vec::new();
    for check in &stand.report.spec.checks {
        if !names.contains(&check.name.as_str()) {
            names.push(&check.name);
        }
    }
    names.iter().filter_map(|name| family(stand, name)).collect()
}

fn family(stand: &Stand<'_>, name: &str) -> Option<Family> {
    let ids =
        || (0u32..).map(CheckId).zip(&stand.report.spec.checks).filter(|(_, c)| c.name == name);
    let mut rows = Vec::new();
    let mut groups = Vec::new();
    let mut members = Vec::new();
    let mut told: Vec<&Account> = Vec::new();
    let mut curve: Option<CurveView> = None;
    for (id, check) in ids() {
        let mut of_member = Vec::new();
        for (place, round) in stand.rounds.iter().enumerate() {
            let (Some(account), Some(finding)) = (round.account(id), round.teller.finding(id))
            else {
                continue;
            };
            if !is_taken(account) {
                continue;
            }
            of_member.push(account.outcome);
            told.push(account);
            rows.push(row(stand, place, check, finding, account));
            plot(stand, place, (check, finding), &mut curve);
        }
        groups.extend(group(&of_member));
        if !of_member.is_empty() {
            members.push(check);
        }
    }
    let first = told.first()?;
    let scale = stand.rounds.first()?.teller.scale_of_limit(members.first()?);
    let limit = first.limit.as_deref().map(Text::line);
    for (row, account) in rows.iter_mut().zip(&told) {
        let own = account.limit.as_deref().map(Text::line);
        row.limit = own.filter(|own| Some(own) != limit.as_ref());
    }
    let mut advice: Vec<Text> = Vec::new();
    for text in told.iter().flat_map(|account| &account.advice).map(Text::from) {
        if !advice.contains(&text) {
            advice.push(text);
        }
    }
    Some(Family {
        check: Text::line(name),
        title: title(&members),
        group: groups.into_iter().min()?,
        first_page: None,
        limit,
        source: first.source.as_deref().map(Text::line),
        unit: scale.map(|scale| Text::line(scale.unit.symbol())),
        rows,
        advice,
        curve,
    })
}

/// Whether there is anything to show of a check in a round.
pub(super) fn is_taken(account: &Account) -> bool {
    match account.outcome {
        Outcome::Within | Outcome::Worn | Outcome::Outside(_) | Outcome::Undecided => true,
        Outcome::Blocked => !account.untouched && !account.readings.is_empty(),
        Outcome::NotTaken => false,
        Outcome::NotApplicable => !account.judged.is_empty(),
    }
}

/// Where a member stands by its outcomes in order: one that was outside stays among those, any
/// other by how it stood in the end.
fn group(outcomes: &[Outcome]) -> Option<Group> {
    if outcomes.iter().any(|outcome| outcome.fails()) {
        return Some(Group::Outside);
    }
    Some(match outcomes.last()? {
        Outcome::Undecided | Outcome::Blocked | Outcome::NotTaken => {
            let settled = outcomes.iter().rev().find(|o| o.passes());
            // Decided once with a better meter, it is settled.
            match settled {
                Some(Outcome::Worn) => Group::Worn,
                Some(_) => Group::Within,
                None => Group::NotSettled,
            }
        }
        Outcome::Worn => Group::Worn,
        Outcome::NotApplicable => Group::Recorded,
        Outcome::Within | Outcome::Outside(_) => Group::Within,
    })
}

/// A family's title: that of its members with all of them named in it.
pub(super) fn title(members: &[&Check]) -> Text {
    let Some(first) = members.first() else { return Text::default() };
    let Some(member) = first.member.as_deref().filter(|_| members.len() > 1) else {
        return Text::line(&first.title);
    };
    let named: Vec<&str> = members.iter().filter_map(|check| check.member.as_deref()).collect();
    let all = named.join(" / ");
    // As a word of its own: the U of "Upper" is no member.
    let mut words: Vec<&str> = first.title.split(' ').collect();
    match words.iter_mut().find(|word| **word == member) {
        Some(word) => *word = &all,
        None => return Text::line(&format!("{} ({all})", first.title)),
    }
    Text::line(&words.join(" "))
}

fn row(
    stand: &Stand<'_>,
    place: usize,
    check: &Check,
    finding: &Finding,
    account: &Account,
) -> Row {
    let Some(round) = stand.rounds.get(place) else { return Row::default() };
    let teller = &round.teller;
    let reason = &finding.reason;
    let scale = teller.scale_of_limit(check);
    let amount = |scale: &Scale, amount: f64| from_coherent(amount, &scale.unit, Place::Amount);
    let band = scale.as_ref().zip(reason.limit.as_ref().map(|limit| &limit.band));
    let doubt = doubt(finding);
    let remedies = stand.report.rounds.get(place).map_or(&[][..], |round| round.remedies);
    let settled = remedies.iter().find(|(of, _)| *of == account.check);
    Row {
        check: Text::line(&check.label),
        member: check.member.as_deref().map(Text::line),
        round: place,
        when: round.name.clone(),
        after_repair: round.after_repair,
        outcome: match account.outcome {
            Outcome::NotApplicable => "recorded",
            outcome => outcome.words(),
        },
        judged: judged(teller, check, account),
        doubt: teller
            .scale_of_check(check)
            .zip(doubt)
            .map(|(scale, doubt)| Text::line(&format!("± {}", scale.amount(doubt)))),
        limit: None,
        read: account
            .readings
            .iter()
            .map(|(name, text)| Named { name: Text::from(name), text: Text::from(text) })
            .collect(),
        meters: meters(teller, &reason.used),
        remarks: remarks(teller, check, account),
        why: Text::line(&account.why),
        settled_by: settled.map_or(Vec::new(), |(_, with)| with.iter().map(Text::from).collect()),
        value: scale.as_ref().and_then(|scale| known(finding, scale)),
        standard: band.as_ref().map(|(scale, band)| ends_of(&band.standard, scale)),
        service: band
            .as_ref()
            .and_then(|(scale, band)| Some(ends_of(band.service.as_ref()?, scale))),
        guard: match reason.rule {
            DecideRule::Simple => None,
            _ => scale.as_ref().zip(doubt).map(|(scale, doubt)| amount(scale, doubt)),
        },
    }
}

/// What moved an unsteady reading.
const MOVED_BY: &str = " (moved by: ";

/// What was judged in short, or what was read where that was not judged. What moved a reading stands
/// among the remarks.
fn judged(teller: &Teller<'_>, check: &Check, account: &Account) -> Text {
    let read = || {
        let label = teller.slot_label(teller.direct(teller.subject(check)?)?);
        account.readings.iter().find(|(name, _)| name == label).map(|(_, text)| text.as_str())
    };
    let text = match account.judged.as_str() {
        "" => read().unwrap_or(""),
        judged => judged,
    };
    Text::line(text.split_once(MOVED_BY).map_or(text, |(short, _)| short))
}

/// A state of its own, a note, what moved it, of each reading of a check.
fn remarks(teller: &Teller<'_>, check: &Check, account: &Account) -> Vec<Named> {
    let mut told = Vec::new();
    for slot in &check.slots {
        let title = teller.slot(*slot).map_or("", |slot| slot.title.as_str());
        let mut say = |text: &str| {
            told.push(Named { name: Text::line(title), text: Text::line(text) });
        };
        if let Some(state) = teller.sheet.state(*slot).and_then(|state| teller.state(state)) {
            say(&format!("taken in the state “{}”", state.title));
        }
        let label = teller.slot_label(*slot);
        let written = account.readings.iter().find(|(name, _)| name == label);
        if let Some((_, by)) = written.and_then(|(_, text)| text.split_once(MOVED_BY)) {
            say(&format!("moved by {}", by.trim_end_matches(')')));
        }
        if let Some(note) = teller.sheet.noted(*slot) {
            say(note);
        }
    }
    told
}

/// The expanded uncertainty of a value that has a best one; of an interval there is none.
fn doubt(finding: &Finding) -> Option<f64> {
    let reason = &finding.reason;
    reason.value?.best?;
    let known = reason.uncertainty.map(|of| of.expanded);
    known.or(reason.doubt).filter(|doubt| *doubt > 0.0)
}

/// What is known of the value that was judged, with its uncertainty.
fn known(finding: &Finding, scale: &Scale) -> Option<Known> {
    if matches!(finding.reason.because, Because::Unfit { .. } | Because::Implausible { .. }) {
        return None;
    }
    let value = finding.reason.value?;
    let shown = |coherent: f64| from_coherent(coherent, &scale.unit, scale.place);
    let wide = doubt(finding).filter(|_| value.low == value.high).unwrap_or(0.0);
    Some(Known {
        best: value.best.map(shown),
        low: value.low.map(|end| shown(end.value - wide)),
        high: value.high.map(|end| shown(end.value + wide)),
    })
}

/// The instruments that readings were taken with, each once.
pub(super) fn meters(teller: &Teller<'_>, slots: &[SlotId]) -> Vec<Text> {
    let mut meters: Vec<Text> = Vec::new();
    for meter in slots.iter().filter_map(|slot| teller.sheet.meter(*slot)) {
        let name = Text::line(&meter.meter);
        if !meters.contains(&name) {
            meters.push(name);
        }
    }
    meters
}

/// Adds what was measured to the curve that it was held against.
fn plot(
    stand: &Stand<'_>,
    place: usize,
    (check, finding): (&Check, &Finding),
    curve: &mut Option<CurveView>,
) {
    let Some(round) = stand.rounds.get(place) else { return };
    let teller = &round.teller;
    let (Some(of), Some(along)) = (curve_of(teller, check, finding), teller.scale_of_limit(check))
    else {
        return;
    };
    let CheckRule::Within { subject, at: Some(at), .. } = &check.rule else { return };
    let kind = teller.catalogue.kind(of.by);
    let across = teller.scale_of_number(*at).unwrap_or_else(|| Scale {
        unit: teller.catalogue.coherent_unit(of.by),
        place: teller.catalogue.place(Ty::Kind(of.by)),
    });
    let curve = curve.get_or_insert_with(|| CurveView::new(of, &kind.words, &across, &along));
    // The unit of the first stands for all.
    if curve.by_unit.as_str() != across.unit.symbol() {
        return;
    }
    let reading = |x: f64, value: Known, outcome: Option<&'static str>| Plotted {
        member: check.member.as_deref().map(Text::line),
        when: round.name.clone(),
        after_repair: round.after_repair,
        x: from_coherent(x, &across.unit, across.place),
        value,
        outcome,
    };
    if let Some(Reading::Sweep(points)) = teller.direct(*subject).and_then(|s| teller.sheet.get(s))
    {
        curve.readings.extend(points.iter().map(|(x, shown)| {
            let value = from_coherent(shown.value, &along.unit, along.place);
            let point = Known { best: Some(value), low: Some(value), high: Some(value) };
            reading(x.value, point, None)
        }));
    }
    let at = finding.reason.limit.as_ref().and_then(|limit| limit.at);
    if let Some((x, value)) = at.zip(known(finding, &along)) {
        curve.readings.push(reading(x, value, Some(finding.outcome.words())));
    }
}

/// The curve that a check was held against, where its limit is one.
fn curve_of<'a>(teller: &Teller<'a>, check: &Check, finding: &Finding) -> Option<&'a Curve> {
    let CheckRule::Within { limit, .. } = &check.rule else { return None };
    let rule = match &teller.limit(*limit)?.rule {
        LimitRule::Variants(arms) => &arms.get(finding.reason.limit.as_ref()?.variant?)?.rule,
        rule => rule,
    };
    match rule {
        LimitRule::Curve(curve) => Some(curve),
        _ => None,
    }
}
