//! The walk through a written procedure agrees with a plain recursion over the same steps, on made-up
//! specs, procedures and rounds; no way is ever taken whose condition is not known.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::indexing_slicing,
    reason = "what a test is made of may fail as the test may"
)]

#[allow(dead_code, reason = "each test file uses its own part")]
mod support;

use std::collections::{BTreeMap, BTreeSet};

use proptest::prelude::*;
use support::{Choices, Maker};
use truing_engine::procedure::{End, Now, Passed, Walk, What, walk};
use truing_engine::reference::{self, Followed};
use truing_engine::{Findings, Plan, Sheet, Visit};
use truing_model::node::{Node, walk as nodes};
use truing_model::*;

/// The spec with its checks' readings written down, readings that are taken together, a state that
/// the machine comes in, and a procedure over all of it.
fn with_procedure(spec: Spec, choices: &mut Choices) -> Spec {
    let mut parts = spec.into_parts();
    let slots: Vec<Vec<SlotId>> = parts.checks.iter().map(|check| read(&parts, check)).collect();
    for (check, slots) in parts.checks.iter_mut().zip(slots) {
        check.slots = slots;
    }
    if choices.chance(2) {
        // `run` is reached from `rest`, which is so how the machine came in.
        parts.states[1].from = vec![StateId(0)];
        parts.states[1].stays = choices.chance(2);
    }
    for place in 0..4 {
        parts.slots[place].with = choices.maybe(4, |c| SlotId(c.id(5))).into_iter().collect();
    }
    let mut maker = Steps { parts: &parts, choices, steps: Vec::new() };
    let body = maker.block(0);
    let steps = maker.steps;
    let (name, title) = ("p".to_owned(), "P".to_owned());
    parts.procedures.push(Procedure { name, title, steps, body });
    Spec::seal(parts).expect("made sound")
}

fn read(parts: &SpecParts, check: &Check) -> Vec<SlotId> {
    let roots = match &check.rule {
        CheckRule::Within { subject, limit, at, .. } => {
            let conditions = parts.limits[limit.0 as usize].conditions.iter();
            let all = conditions.map(|of| of.subject).chain([*subject]).chain(*at);
            all.map(Node::Number).collect()
        }
        CheckRule::Compare { subject, against, .. } => {
            vec![Node::Number(*subject), Node::Number(*against)]
        }
        CheckRule::Logic { logic, .. } => vec![Node::Logic(*logic)],
    };
    let slot = |node: Node| match node {
        Node::Number(id) => match parts.numbers[id.0 as usize] {
            NumberNode::Slot(slot) => Some(slot),
            _ => None,
        },
        Node::Logic(id) => match parts.logic[id.0 as usize] {
            LogicNode::Is { slot, .. } => Some(slot),
            _ => None,
        },
        Node::Limit(_) => None,
    };
    let found: BTreeSet<SlotId> =
        nodes(parts, roots).unwrap().into_iter().filter_map(slot).collect();
    found.into_iter().collect()
}

struct Steps<'a, 'c> {
    parts: &'a SpecParts,
    choices: &'a mut Choices<'c>,
    steps: Vec<Step>,
}

impl Steps<'_, '_> {
    fn block(&mut self, depth: usize) -> Vec<StepId> {
        let mut block = Vec::new();
        for _ in 0..1 + self.choices.pick(4) {
            let here = self.steps.len();
            self.steps.push(Step::Stop);
            block.push(StepId(here as u32));
            let step = self.step(depth);
            let ends = step == Step::Stop;
            self.steps[here] = step;
            if ends {
                break;
            }
        }
        block
    }

    fn step(&mut self, depth: usize) -> Step {
        match self.choices.pick(if depth < 4 { 9 } else { 5 }) {
            0..=2 => Step::Take((0..1 + self.choices.pick(3)).map(|_| self.taken()).collect()),
            3 if self.choices.chance(3) => Step::Stop,
            3 => Step::Advise("Look.".to_owned()),
            4 => Step::Suspect(Vec::new()),
            _ => {
                let condition = LogicId(self.choices.id(self.parts.logic.len()));
                let then = self.block(depth + 1);
                let otherwise = self.choices.chance(2);
                let otherwise = if otherwise { self.block(depth + 1) } else { Vec::new() };
                Step::If { condition, label: String::new(), then, otherwise }
            }
        }
    }

    fn taken(&mut self) -> Taken {
        match self.choices.pick(4) {
            0 => Taken::Slot(SlotId(self.choices.id(self.parts.slots.len()))),
            1 if !self.parts.derived.is_empty() => {
                Taken::Derived(DerivedId(self.choices.id(self.parts.derived.len())))
            }
            _ => Taken::Check(CheckId(self.choices.id(self.parts.checks.len()))),
        }
    }
}

/// What a walk came through, in the form of the plain recursion.
fn told(walk: &Walk) -> (Vec<(StepId, Option<bool>)>, Followed) {
    let way = |passed: &Passed| match &passed.what {
        What::Turned { holds, .. } => (passed.step, Some(*holds)),
        _ => (passed.step, None),
    };
    let end = match &walk.end {
        End::Stopped(step) => Followed::Stop(*step),
        End::Finished => Followed::End,
        End::Takes(step) => Followed::Takes(*step),
        End::Unknown { step, .. } => Followed::Unknown(*step),
    };
    (walk.trail.iter().map(way).collect(), end)
}

/// Every turn rests on parts that are known; an end at a condition names what is not.
fn honest(spec: &Spec, walk: &Walk) -> Result<(), String> {
    for passed in &walk.trail {
        if let What::Turned { asked, .. } = &passed.what
            && let Some(open) = asked.iter().find(|asked| asked.holds.is_none())
        {
            return Err(format!("a way by what is not known: {open:?}"));
        }
    }
    if let End::Unknown { asked, .. } = &walk.end {
        if asked.is_empty() || asked.iter().any(|asked| asked.holds.is_some()) {
            return Err(format!("what is not known is not named: {asked:?}"));
        }
        // Nothing is left that could be read for the first time, and a step is named all the same.
        let missing = asked.iter().any(|asked| !asked.missing.is_empty());
        if missing && walk.next.is_none() {
            return Err("nothing comes next, and readings are missing".to_owned());
        }
    }
    if walk.ended() && walk.next.is_some() {
        return Err("something comes next behind the end".to_owned());
    }
    let open = walk.trail.iter().any(|passed| match &passed.what {
        What::Took(took) => took.iter().any(|took| took.now == Now::Open),
        _ => false,
    });
    match &walk.next {
        Some(next) if open && next.slots().next().is_none() => {
            Err(format!("a step that reads nothing: {next:?}"))
        }
        Some(next) if next.slots().any(|slot| spec.slot(slot).is_none()) => {
            Err("a reading that is none".to_owned())
        }
        None if open && !walk.ended() => Err("an open step that does not come next".to_owned()),
        _ => Ok(()),
    }
}

fn walked(spec: &Spec, sheets: &[Sheet]) -> Walk {
    let plan = Plan::new(spec);
    let mut evaluator = plan.evaluator();
    let findings: Vec<Findings> =
        sheets.iter().map(|sheet| evaluator.findings(spec, sheet)).collect();
    let visits: Vec<Visit<'_>> = sheets
        .iter()
        .zip(&findings)
        .map(|(sheet, findings)| Visit { sheet, findings, fitted: &[] })
        .collect();
    walk(spec, &plan, &spec.procedures[0], &visits)
}

fn sheets(maker: &Maker, spec: &Spec, choices: &mut Choices) -> Vec<Sheet> {
    let mut sheets: Vec<Sheet> = (0..choices.pick(4)).map(|_| maker.sheet(spec, choices)).collect();
    for sheet in &mut sheets {
        // A job is measured little by little.
        for slot in 0..5 {
            if choices.chance(3) {
                sheet.remove(SlotId(slot));
            }
        }
    }
    sheets
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 3000, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn the_walk_is_that_of_a_plain_recursion(
        all in proptest::collection::vec(any::<u16>(), 200..1500)
    ) {
        let maker = Maker::new();
        let mut choices = Choices::new(&all);
        let spec = with_procedure(maker.spec(&mut choices), &mut choices);
        for _ in 0..3 {
            let sheets = sheets(&maker, &spec, &mut choices);
            let rounds: Vec<&Sheet> = sheets.iter().collect();
            let walk = walked(&spec, &sheets);
            let expected = reference::follow(&spec, &spec.procedures[0], &rounds);
            prop_assert_eq!(told(&walk), expected, "{:#?}", spec.procedures);
            prop_assert_eq!(honest(&spec, &walk), Ok(()), "{:#?}", walk);
        }
    }
}

/// The made-up procedures would show nothing if every walk ended alike.
#[test]
fn the_made_up_walks_end_every_way() {
    let maker = Maker::new();
    let mut ends: BTreeMap<&str, usize> = BTreeMap::new();
    let mut nows: BTreeSet<&str> = BTreeSet::new();
    let mut turns = [0, 0];
    for seed in 0..2000 {
        let all = support::stream(seed);
        let mut choices = Choices::new(&all);
        let spec = with_procedure(maker.spec(&mut choices), &mut choices);
        let sheets = sheets(&maker, &spec, &mut choices);
        let walk = walked(&spec, &sheets);
        *ends
            .entry(match walk.end {
                End::Stopped(_) => "stopped",
                End::Finished => "finished",
                End::Takes(_) => "takes",
                End::Unknown { .. } => "unknown",
            })
            .or_default() += 1;
        for passed in &walk.trail {
            match &passed.what {
                What::Turned { holds, .. } => turns[usize::from(*holds)] += 1,
                What::Took(took) => nows.extend(took.iter().map(|took| match took.now {
                    Now::Came { .. } => "came",
                    Now::Read => "read",
                    Now::SetDown => "set down",
                    Now::Barred => "barred",
                    Now::Gone => "gone",
                    Now::Open => "open",
                })),
                _ => {}
            }
        }
    }
    assert!(ends.len() == 4 && ends.values().all(|count| *count > 50), "{ends:?}");
    assert_eq!(nows.len(), 6, "{nows:?}");
    assert!(turns.iter().all(|count| *count > 100), "{turns:?}");
}
