//! What the first page has room for: it is to be one page, of A4 and of Letter.
//!
//! Lines are estimated by what is usual at the size of the printed letters; what is too much goes to
//! the pages behind, where everything stands in full.

use super::build::Stand;
use super::text::Text;
use super::view::{Family, Group, JobView, NotTested, Row};

/// Of a longer complaint so many characters are shown.
pub(super) const COMPLAINT: usize = 360;
/// Of a family whose members all fail so many are shown.
pub(super) const MEMBERS: usize = 1;
/// So many things that were not tested are named.
const UNTESTED: usize = 6;

/// Lines that a page of Letter has for readings, where nothing else is long.
const LINES: f64 = 23.4;
/// What a family takes besides its rows: its title, its limit, its axis.
const OF_FAMILY: f64 = 2.3;
/// So many characters of each stand on one line.
const COMPLAINT_ON_LINE: usize = 62;
const MACHINE_ON_LINE: usize = 92;
const LIMIT_ON_LINE: usize = 90;
const TEXT_ON_LINE: usize = 76;
const ROUND_ON_LINE: usize = 17;
const READING_ON_LINE: usize = 20;

/// Chooses the families of the first page: what was outside, what speaks most between the suspects
/// first, as far as there is room; where nothing was outside, what was not settled.
pub(super) fn choose(stand: &Stand<'_>, view: &mut JobView) {
    let mut room = LINES - taken(view);
    let families = &mut view.readings;
    let any_outside = families.iter().any(|family| family.group == Group::Outside);
    let wanted = if any_outside { Group::Outside } else { Group::Worn };
    let mut order: Vec<(usize, Group, f64)> = families
        .iter()
        .enumerate()
        .filter(|(_, family)| family.group <= wanted)
        .map(|(place, family)| (place, family.group, stand.weight(family.check.as_str())))
        .collect();
    order.sort_by(|(a, one, heavy), (b, other, light)| {
        one.cmp(other).then(light.total_cmp(heavy)).then(a.cmp(b))
    });
    let mut rank = 0;
    for (place, ..) in order {
        let Some(family) = families.get_mut(place) else { continue };
        let needs = of_family(family);
        // What tells most is shown in any case.
        if needs <= room || rank == 0 {
            rank += 1;
            family.first_page = Some(rank);
            room -= needs;
        }
    }
}

/// The rows of a family that the first page shows, by place: of a family with members those that
/// failed, the first of them where all did.
pub(super) fn first_rows(family: &Family) -> Vec<usize> {
    let mut members: Vec<&Option<Text>> = Vec::new();
    for row in family.rows.iter().filter(|row| row.outcome.starts_with("outside")) {
        if !members.contains(&&row.member) {
            members.push(&row.member);
        }
    }
    if members.is_empty() {
        members.extend(family.rows.iter().map(|row| &row.member).take(1));
    }
    members.truncate(MEMBERS);
    let shown = |row: &Row| members.contains(&&row.member);
    family.rows.iter().enumerate().filter(|(_, row)| shown(row)).map(|(n, _)| n).collect()
}

/// What was not tested, that for which somebody gave a reason first, then what bears on a fault; and
/// how many more there are.
pub(super) fn first_untested(all: &[NotTested]) -> (Vec<&NotTested>, usize) {
    let mut first: Vec<&NotTested> = all.iter().collect();
    first.sort_by_key(|of| (!of.said, !of.bears_on_fault));
    first.truncate(UNTESTED);
    let more = all.len() - first.len();
    (first, more)
}

/// What a family needs.
fn of_family(family: &Family) -> f64 {
    let limit = [&family.limit, &family.source].into_iter().flatten().map(length).sum::<usize>();
    let limit = if limit > LIMIT_ON_LINE { 0.8 } else { 0.0 };
    let row = |row: &Row| {
        // A doubt that does not fit goes to a line of its own.
        let reading = length(&row.judged) + row.doubt.as_ref().map_or(0, |of| length(of) + 4);
        let member = row.member.as_ref().map_or(0, |member| length(member) + 1);
        match () {
            () if length(&row.when) + member > ROUND_ON_LINE => 1.6,
            () if reading > READING_ON_LINE => 1.4,
            () => 1.0,
        }
    };
    let rows = first_rows(family);
    let more = if rows.len() < family.rows.len() { 0.8 } else { 0.0 };
    let rows: f64 = rows.into_iter().filter_map(|place| family.rows.get(place)).map(row).sum();
    OF_FAMILY + limit + rows + more
}

/// What the rest needs beyond what is usual: one line of complaint, one thing found, one done, one
/// sentence on the proof, two lines on what was not tested.
fn taken(view: &JobView) -> f64 {
    let complaint = view.job.complaint.as_ref().map_or(0, length).min(COMPLAINT);
    let named = view.machine.model.iter().chain(&view.machine.year).map(length).sum::<usize>();
    let fits = if named == 0 { view.machine.fits.iter().map(length).sum() } else { named + 6 };
    let machine = fits
        + view
            .machine
            .properties
            .iter()
            .map(|of| length(&of.name) + length(&of.text) + 4)
            .sum::<usize>();
    let two = view.found.iter().filter(|found| found.two.is_some()).count();
    let parts: usize = view.done.iter().map(|done| done.parts.len()).sum();
    let parts = if parts > 0 { 2.2 + parts as f64 } else { 0.0 };
    let proof = view.closing.because.len() + view.closing.in_the_way.len();
    let differs = view.spec.differs.as_ref().map_or(0.0, |text| lines(length(text), TEXT_ON_LINE));
    let closed = if view.closing.closed.is_some() { 0.8 } else { 0.0 };
    let (untested, _) = first_untested(&view.not_tested);
    let untested: usize = untested
        .iter()
        .map(|of| length(&of.title) + if of.said { length(&of.why) } else { 0 } + 4)
        .sum();
    let next = view.next.as_ref().map_or(0.0, |next| {
        let cautions: f64 =
            next.cautions.iter().map(|it| lines(length(it), TEXT_ON_LINE) + 0.4).sum();
        cautions + lines(length(&next.text), TEXT_ON_LINE)
    });
    beyond(complaint, COMPLAINT_ON_LINE, 1.0) * 1.3
        + beyond(machine, MACHINE_ON_LINE, 1.0) * 0.9
        + view.found.len().saturating_sub(1) as f64 * 1.7
        + two as f64
        + view.done.len().saturating_sub(1) as f64
        + proof.saturating_sub(1) as f64
        + differs
        + closed
        + parts
        + beyond(untested, TEXT_ON_LINE, 2.0)
        + next
}

fn length(text: &Text) -> usize {
    text.as_str().chars().count()
}

fn lines(characters: usize, on_line: usize) -> f64 {
    characters.div_ceil(on_line) as f64
}

fn beyond(characters: usize, on_line: usize, usual: f64) -> f64 {
    (lines(characters, on_line) - usual).max(0.0)
}
