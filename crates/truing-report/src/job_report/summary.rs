//! The report in short: what was found, what was done, whether that is proven, what comes next.

use truing_engine::suspects::{Proof, Ranking, Recommended, Remedy, RepairVerdict, Seen, Stage};
use truing_job::closing::Obstacle;
use truing_model::{CautionId, CheckId, Outcome};

use super::build::Stand;
use super::text::Text;
use super::view::{Closing, Done, Found, Next, PartView, State};
use crate::closing_text::obstacle_text;
use crate::layout::{counted, listed};
use crate::suspects_text::next_text;
use crate::suspects_words::chance;

/// What was found, one for each stage in which something had failed.
pub(super) fn found(stand: &Stand<'_>) -> Vec<Found> {
    let mut found: Vec<Found> = stand.stages().iter().filter_map(|s| of_stage(stand, s)).collect();
    if found.is_empty() {
        found.extend(by_checks_alone(stand));
    }
    found
}

fn of_stage(stand: &Stand<'_>, stage: &Stage) -> Option<Found> {
    let when = stand.names(&stage.rounds);
    let plain = |what: &str| Found {
        when: when.clone(),
        what: Text::line(what),
        sure: None,
        mends: None,
        two: None,
    };
    let ranking = match &stage.ranking {
        Ok(ranking) => ranking,
        Err(contradiction) => {
            let titles = stand.titles(&contradiction.checks);
            return Some(plain(&format!(
                "The results of {titles} contradict each other: no listed fault, and no slip, \
                 allows them together."
            )));
        }
    };
    match ranking.seen {
        Seen::Nothing => Some(plain("Nothing that bears on a fault was measured.")),
        Seen::NothingFailed if proven(ranking) => None,
        Seen::NothingFailed => Some(plain("No fault shows in what was measured.")),
        Seen::Failed => Some(leader(stand, when, ranking)),
    }
}

fn proven(ranking: &Ranking) -> bool {
    ranking.proof.as_ref().is_some_and(|proof| proof.verdict == RepairVerdict::Proven)
}

fn leader(stand: &Stand<'_>, when: Text, ranking: &Ranking) -> Found {
    let words = stand.words();
    let Some(cure) = ranking.cures.first() else {
        return Found { when, what: Text::default(), sure: None, mends: None, two: None };
    };
    let (what, mends) = match cure.remedy {
        Remedy::Nothing => ("No listed fault.".to_owned(), None),
        Remedy::NotListed => ("A fault that this spec does not list.".to_owned(), None),
        remedy => {
            let fault = cure.faults.first().map_or(String::new(), |of| words.fault(of.fault));
            (format!("{fault}."), Some(format!("{}.", words.remedy(remedy))))
        }
    };
    let pair = ranking.pair.as_ref().map(|pair| {
        let [one, other] = pair.faults.map(|fault| words.fault(fault));
        Text::line(&format!("One fault does not explain everything: {one}, and {other}."))
    });
    Found {
        when,
        what: Text::line(&what),
        sure: Some(Text::line(&chance(cure.probability))),
        mends: mends.map(Text::from),
        two: pair,
    }
}

/// Where the spec lists no faults: what was outside.
fn by_checks_alone(stand: &Stand<'_>) -> Option<Found> {
    let mut outside: Vec<CheckId> = Vec::new();
    let mut rounds = Vec::new();
    for (place, round) in stand.rounds.iter().enumerate() {
        let failed = round.accounts.iter().filter(|account| account.outcome.fails());
        let failed: Vec<CheckId> = failed.map(|account| account.check).collect();
        if !failed.is_empty() {
            rounds.push(place);
            outside
                .extend(failed.into_iter().filter(|id| !outside.contains(id)).collect::<Vec<_>>());
        }
    }
    let all: Vec<usize> = (0..stand.rounds.len()).collect();
    let (when, what) = if outside.is_empty() {
        (stand.names(&all), "Nothing that was measured is outside its limit.".to_owned())
    } else {
        (stand.names(&rounds), format!("Outside the limit: {}.", stand.titles(&outside)))
    };
    (!all.is_empty()).then(|| Found {
        when,
        what: Text::line(&what),
        sure: None,
        mends: None,
        two: None,
    })
}

/// What was done before each round.
pub(super) fn done(stand: &Stand<'_>) -> Vec<Done> {
    let Some(job) = stand.report.job else { return Vec::new() };
    let rounds = job.rounds.iter().enumerate().filter_map(|(place, round)| {
        let fixes = round.fitted.fixes.iter().map(|name| {
            let fix = stand.spec().fixes.iter().find(|fix| fix.name == *name);
            Text::line(fix.map_or(name.as_str(), |fix| fix.title.as_str()))
        });
        let parts = round.parts.iter().map(|part| PartView {
            name: Text::line(&part.name),
            number: part.number.as_deref().map(Text::line),
            quantity: part.quantity,
            price: part.price.as_deref().map(Text::line),
        });
        let done =
            Done { before: stand.names(&[place]), what: fixes.collect(), parts: parts.collect() };
        (!done.what.is_empty() || !done.parts.is_empty()).then_some(done)
    });
    rounds.collect()
}

/// What the job comes to.
pub(super) fn closing(stand: &Stand<'_>) -> Closing {
    let ranking = stand.stages().last().and_then(|stage| stage.ranking.as_ref().ok());
    let proof = ranking.and_then(|ranking| ranking.proof.as_ref());
    let in_the_way = in_the_way(stand);
    // A caution that nobody noted leaves nothing open about the machine.
    let closed_anyway = stand.report.job.and_then(|job| job.closed.as_ref()?.reason.as_ref());
    let hindered = closed_anyway.is_some() || stand.obstacles.iter().any(Obstacle::bears_on_proof);
    let mended = !done(stand).is_empty();
    let (state, because) = match (proof, ranking.map(|ranking| ranking.seen)) {
        (Some(proof), _) => of_proof(stand, proof, hindered),
        (None, Some(Seen::Nothing)) => (State::NothingMeasured, Vec::new()),
        (None, _) if mended => (State::NotProven, vec![without_proof(stand)]),
        (None, _) if still_outside(stand).is_empty() => (State::NoFaultShows, Vec::new()),
        (None, _) => (State::NothingMended, vec![outside_now(stand)]),
    };
    let because = because.into_iter().filter(|text| !text.is_empty()).map(Text::from).collect();
    Closing { state, words: state_words(state), because, in_the_way, closed: closed(stand) }
}

/// A proof in one paragraph.
pub(super) fn proof_words(stand: &Stand<'_>, proof: &Proof) -> Text {
    let (state, because) = of_proof(stand, proof, false);
    Text::line(&format!("{} {}", state_words(state), because.join(" ")))
}

const fn state_words(state: State) -> &'static str {
    match state {
        State::Proven => "The repair is proven.",
        State::NotProven => "The repair is not proven.",
        State::StillFaulty => "Still faulty.",
        State::NothingMended => "Nothing was mended.",
        State::NoFaultShows => "Nothing was mended; no fault shows.",
        State::NothingMeasured => "Nothing that bears on a fault was measured.",
    }
}

fn of_proof(stand: &Stand<'_>, proof: &Proof, hindered: bool) -> (State, Vec<String>) {
    let mut because = Vec::new();
    match proof.verdict {
        RepairVerdict::Proven => {
            because.push(format!(
                "What had failed passes again, and that nothing listed is wrong is {} probable.",
                chance(proof.none)
            ));
            if !proof.excused.is_empty() {
                because.push(format!(
                    "Not asked for again, since it shows only as the machine comes in: {}.",
                    stand.titles(&proof.excused)
                ));
            }
        }
        RepairVerdict::StillFaulty | RepairVerdict::NotProven => {
            let mut say = |lead: &str, checks: &[CheckId]| {
                if !checks.is_empty() {
                    because.push(format!("{lead}: {}.", stand.titles(checks)));
                }
            };
            say("Failed after the repair", &proof.failed);
            say("Worse than before the repair", &proof.worse);
            say("Not taken again", &proof.missing);
            say("Does not pass clearly", &proof.unclear);
            let left = proof.residual.first().map(|of| {
                let fault = stand.words().fault(of.fault);
                format!("What is most probably left: {fault} ({}).", chance(of.probability))
            });
            because.extend(left);
        }
    }
    let state = match proof.verdict {
        RepairVerdict::Proven if hindered => State::NotProven,
        RepairVerdict::Proven => State::Proven,
        RepairVerdict::StillFaulty => State::StillFaulty,
        RepairVerdict::NotProven => State::NotProven,
    };
    (state, because)
}

/// What stands in the way of closing the job, besides what the proof itself says.
fn in_the_way(stand: &Stand<'_>) -> Vec<Text> {
    let Some(job) = stand.report.job else { return Vec::new() };
    // That the repair is not proven, and by which checks, is what the proof says.
    let told_by_proof = |obstacle: &&Obstacle| {
        matches!(
            obstacle,
            Obstacle::RepairNotProven { .. }
                | Obstacle::StillFails { .. }
                | Obstacle::NotTakenAgain { .. }
                | Obstacle::Unclear { .. }
        )
    };
    let (cautions, others): (Vec<&Obstacle>, Vec<&Obstacle>) = stand
        .obstacles
        .iter()
        .filter(|obstacle| !told_by_proof(obstacle))
        .partition(|obstacle| matches!(obstacle, Obstacle::CautionUnread { .. }));
    let words = |obstacle: &Obstacle| capital(&obstacle_text(stand.spec(), job, obstacle));
    let mut told: Vec<Text> =
        others.into_iter().map(|of| Text::line(&format!("{}.", words(of)))).collect();
    if !cautions.is_empty() {
        let count = counted(cautions.len(), "caution is", "cautions are");
        let text = format!("{count} not noted as read: see “Before anybody repeats this”.");
        told.push(Text::line(&text));
    }
    if let Some(reason) = job.closed.as_ref().and_then(|closed| closed.reason.as_deref()) {
        told.push(Text::line(&format!("Closed all the same, with this reason: {reason}")));
    }
    told
}

fn without_proof(stand: &Stand<'_>) -> String {
    match outside_now(stand) {
        text if text.is_empty() => {
            "Nothing is outside its limit now; the spec lists no faults to weigh a proof by."
                .to_owned()
        }
        text => text,
    }
}

fn outside_now(stand: &Stand<'_>) -> String {
    match still_outside(stand).as_slice() {
        [] => String::new(),
        checks => format!("Outside the limit: {}.", stand.titles(checks)),
    }
}

/// The checks that were outside when they were last judged.
fn still_outside(stand: &Stand<'_>) -> Vec<CheckId> {
    let judged =
        |outcome: Outcome| matches!(outcome, Outcome::Within | Outcome::Worn | Outcome::Outside(_));
    let last = |check: CheckId| {
        let outcomes = stand.rounds.iter().rev().filter_map(|round| round.account(check));
        outcomes.map(|account| account.outcome).find(|outcome| judged(*outcome))
    };
    let ids = (0u32..).zip(&stand.spec().checks).map(|(id, _)| CheckId(id));
    ids.filter(|id| last(*id).is_some_and(Outcome::fails)).collect()
}

fn closed(stand: &Stand<'_>) -> Option<Text> {
    let closed = stand.report.job?.closed.as_ref()?;
    let date = closed.date.as_ref().map_or(String::new(), |date| format!(" on {date}"));
    Some(Text::line(&format!("Closed{date}.")))
}

/// What to do next, with what can hurt there before it.
pub(super) fn next(stand: &Stand<'_>, closing: &Closing) -> Option<Next> {
    if closing.state == State::Proven {
        return None;
    }
    let ranking = stand.stages().last()?.ranking.as_ref().ok()?;
    if proven(ranking) || ranking.recommended == Recommended::Act(Remedy::Nothing) {
        return None;
    }
    let mut cautions: Vec<CautionId> = Vec::new();
    match &ranking.recommended {
        Recommended::Act(remedy) => cautions.extend(of_remedies(stand, &[*remedy])),
        Recommended::CannotBeToldApart(remedies) | Recommended::RepairFirst(remedies) => {
            cautions.extend(of_remedies(stand, remedies));
        }
        Recommended::Measure(_) | Recommended::FitsNothing(_) => {}
    }
    if let Some(next) = &ranking.next {
        let checks = next.others.iter().map(|of| of.check).chain([next.check]);
        cautions.extend(checks.flat_map(|check| of_check(stand, check)));
    }
    cautions.sort_unstable();
    cautions.dedup();
    let texts = cautions.iter().filter_map(|id| stand.spec().cautions.get(id.0 as usize));
    Some(Next {
        cautions: texts.map(|caution| Text::line(&caution.text)).collect(),
        text: Text::line(&capital(&next_text(&stand.words(), ranking))),
    })
}

fn of_remedies(stand: &Stand<'_>, remedies: &[Remedy]) -> Vec<CautionId> {
    let fixes = remedies.iter().filter_map(|remedy| match remedy {
        Remedy::Fix(fix) => stand.spec().fix(*fix),
        _ => None,
    });
    fixes.flat_map(|fix| fix.cautions.clone()).collect()
}

/// What can hurt where a check's readings are taken.
pub(super) fn of_check(stand: &Stand<'_>, check: CheckId) -> Vec<CautionId> {
    let Some(check) = stand.spec().check(check) else { return Vec::new() };
    let slots = check.slots.iter().filter_map(|slot| stand.spec().slots.get(slot.0 as usize));
    let cautions = slots.flat_map(|slot| {
        let state = slot.during.and_then(|state| stand.spec().states.get(state.0 as usize));
        let of_state = state.map_or(&[][..], |state| &state.cautions);
        slot.cautions.iter().chain(of_state).copied().collect::<Vec<_>>()
    });
    cautions.collect()
}

pub(super) fn capital(text: &str) -> String {
    crate::comparison::capital(text)
}

/// "a, b and c" of texts.
pub(super) fn listed_texts(texts: &[Text]) -> String {
    listed(&texts.iter().map(Text::to_string).collect::<Vec<_>>())
}
