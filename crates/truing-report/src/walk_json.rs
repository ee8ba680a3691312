//! Where a job stands in a written order, for programs: `truing-walk`; and what written orders are
//! expected to take: `truing-procedures`. Both version 1.

use serde_json::{Value, json};
use truing_engine::procedure::{
    Asked, AskedOf, End, EngineOrder, Now, Passed, StageWalk, Stand, Took, WalkStep, What,
    WrittenOrder,
};
use truing_model::{CautionId, FaultId, Procedure, SlotId, Spec, StateId, Step, StepId};

use crate::findings_json::outcome_words;
use crate::order_text::OrdersReport;
use crate::suspects_words::Words;
use crate::walk_text::WalkReport;
use crate::walk_words::Names;

/// The procedures of a spec, and where a job stands in one; `schema/truing-walk.schema.json` describes
/// it. Without a report the procedures alone.
#[must_use]
pub fn walk_json(spec: &Spec, report: Option<&WalkReport<'_>>) -> Value {
    let procedures = spec
        .procedures
        .iter()
        .map(|of| json!({ "name": of.name, "title": of.title, "steps": of.steps.len() }));
    json!({
        "format": "truing-walk",
        "version": 1,
        "spec": spec.name,
        "procedures": procedures.collect::<Vec<_>>(),
        "walk": report.map(|report| json!({
            "procedure": report.procedure.name,
            "title": report.procedure.title,
            "job": report.job.and_then(|job| job.job.clone()),
            "stages": report.stages.iter().map(|of| stage(report, of)).collect::<Vec<_>>(),
            "expected": report.written.map(|study| written(&study.written)),
            "engine": report.engine.map(engine),
        })),
    })
}

/// What the procedures of a spec are expected to take, as JSON;
/// `schema/truing-procedures.schema.json` describes it.
#[must_use]
pub fn orders_json(report: &OrdersReport<'_>) -> Value {
    let procedures = report.written.iter().map(|(procedure, study)| {
        json!({
            "name": procedure.name,
            "title": procedure.title,
            "steps": procedure.steps.len(),
            "expected": study.as_ref().map(|study| written(&study.written)),
        })
    });
    json!({
        "format": "truing-procedures",
        "version": 1,
        "spec": report.spec.name,
        "procedures": procedures.collect::<Vec<_>>(),
        "engine": report.engine.as_ref().map(engine),
    })
}

fn written(of: &WrittenOrder) -> Value {
    json!({
        "paths": of.paths,
        "minutes": of.minutes,
        "readings": of.readings,
        "named": of.named,
        "names": of.names,
        "suspects": of.suspects,
        "undecided": of.stuck,
        "beyond": of.beyond,
    })
}

fn engine(of: &EngineOrder) -> Value {
    json!({
        "minutes": of.minutes,
        "readings": of.readings,
        "right": of.right,
        "cut_off": of.cut_off,
        "seed": of.seed,
        "drawn": of.drawn,
        "cut": of.cut,
    })
}

fn stage(report: &WalkReport<'_>, of: &StageWalk) -> Value {
    let json = Json { spec: report.spec, procedure: report.procedure };
    let names = of.rounds.iter().filter_map(|at| report.rounds.get(*at));
    let words = Words { spec: report.spec };
    let walk = &of.walk;
    let left_out = walk.left_out().map(
        |(step, took)| json!({ "step": place(step), "what": json.names().taken(took.taken).label }),
    );
    json!({
        "rounds": names.map(|round| round.name).collect::<Vec<_>>(),
        "fitted": of.fitted.iter().map(|fix| words.fix_name(*fix)).collect::<Vec<_>>(),
        "steps": walk.trail.iter().map(|passed| json.passed(passed)).collect::<Vec<_>>(),
        "end": json.end(&walk.end),
        "ended": walk.ended(),
        "suspects": json.faults(&walk.suspects()),
        "left_out": left_out.collect::<Vec<_>>(),
        "next": walk.next.as_ref().map(|next| json.next(next)),
    })
}

/// Steps are counted from 1.
const fn place(step: StepId) -> u32 {
    step.0 + 1
}

struct Json<'a> {
    spec: &'a Spec,
    procedure: &'a Procedure,
}

impl<'a> Json<'a> {
    const fn names(&self) -> Names<'a> {
        Names { spec: self.spec }
    }

    fn faults(&self, ids: &[FaultId]) -> Vec<String> {
        ids.iter().filter_map(|id| Some(self.spec.fault(*id)?.label.clone())).collect()
    }

    fn cautions(&self, ids: &[CautionId]) -> Vec<Value> {
        let of = |id: &CautionId| self.spec.cautions.get(id.0 as usize);
        let each = ids.iter().filter_map(of);
        each.map(|caution| json!({ "name": caution.name, "text": caution.text })).collect()
    }

    fn slots(&self, ids: &[SlotId]) -> Vec<String> {
        self.names().slots(ids)
    }

    fn passed(&self, passed: &Passed) -> Value {
        let (mut text, mut condition, mut holds) = (None, None, None);
        let (mut takes, mut because) = (Vec::new(), Vec::new());
        let (mut suspects, mut cautions) = (Vec::new(), Vec::new());
        let does = match &passed.what {
            What::Took(took) => {
                takes = took.iter().map(|took| self.took(*took)).collect();
                "take"
            }
            What::Turned { holds: way, asked } => {
                condition = Some(self.names().condition(self.procedure, passed.step));
                holds = Some(*way);
                because = asked.iter().map(|asked| self.asked(asked)).collect();
                "if"
            }
            What::Advised => {
                if let Some(Step::Advise(advice)) = self.procedure.step(passed.step) {
                    text = Some(advice.as_str());
                }
                "advise"
            }
            What::Suspected(faults) => {
                suspects = self.faults(faults);
                "suspect"
            }
            What::Cautioned(ids) => {
                cautions = self.cautions(ids);
                "caution"
            }
        };
        json!({
            "step": place(passed.step),
            "depth": passed.depth,
            "does": does,
            "takes": takes,
            "condition": condition,
            "holds": holds,
            "because": because,
            "advice": text,
            "suspects": suspects,
            "cautions": cautions,
        })
    }

    fn took(&self, took: Took) -> Value {
        let names = self.names().taken(took.taken);
        let (now, came) = match took.now {
            Now::Came { outcome, .. } => ("came-out", Some(outcome_words(outcome))),
            Now::Read => ("read", None),
            Now::SetDown => ("set-down", None),
            Now::Barred => ("barred", None),
            Now::Gone => ("gone", None),
            Now::Open => ("open", None),
        };
        json!({
            "what": names.label,
            "sort": names.sort,
            "title": names.title,
            "now": now,
            "outcome": came.map(|(outcome, _)| outcome),
            "side": came.and_then(|(_, side)| side),
        })
    }

    fn asked(&self, asked: &Asked) -> Value {
        let (asks, check) = match asked.of {
            AskedOf::Passes(check) => ("passes", Some(check)),
            AskedOf::Fails(check) => ("fails", Some(check)),
            AskedOf::Rule(_) => ("rule", None),
        };
        let properties = asked.properties.iter().filter_map(|id| self.spec.property(*id));
        let (outcome, side) = outcome_words(asked.outcome);
        json!({
            "asks": asks,
            "check": check.and_then(|id| Some(self.spec.check(id)?.label.as_str())),
            "outcome": outcome,
            "side": side,
            "holds": asked.holds,
            "missing": self.slots(&asked.missing),
            "again": self.slots(&asked.again),
            "properties": properties.map(|of| of.name.as_str()).collect::<Vec<_>>(),
        })
    }

    fn end(&self, end: &End) -> Value {
        let (at, step, asked) = match end {
            End::Stopped(step) => ("stopped", Some(*step), &[][..]),
            End::Finished => ("finished", None, &[][..]),
            End::Takes(step) => ("takes", Some(*step), &[][..]),
            End::Unknown { step, asked } => ("unknown", Some(*step), asked.as_slice()),
        };
        let condition = step.map(|step| self.names().condition(self.procedure, step));
        json!({
            "at": at,
            "step": step.map(place),
            "condition": condition.filter(|condition| !condition.is_empty()),
            "unknown": asked.iter().map(|asked| self.asked(asked)).collect::<Vec<_>>(),
        })
    }

    fn next(&self, next: &WalkStep) -> Value {
        let label = |id: &truing_model::CheckId| Some(self.spec.check(*id)?.label.as_str());
        let takes = next.takes.iter().map(|taken| self.names().taken(*taken).label);
        json!({
            "step": place(next.step),
            "takes": takes.collect::<Vec<_>>(),
            "again": next.again,
            "checks": next.checks.iter().filter_map(label).collect::<Vec<_>>(),
            "cautions": self.cautions(&next.cautions),
            "minutes": next.minutes,
            "stands": next.stands.iter().map(|stand| self.stand(stand)).collect::<Vec<_>>(),
        })
    }

    fn state(&self, id: StateId) -> Option<Value> {
        let state = self.spec.state(id)?;
        Some(json!({ "name": state.name, "title": state.title }))
    }

    fn stand(&self, stand: &Stand) -> Value {
        let readings = stand.readings.iter().filter_map(|read| {
            let slot = self.spec.slot(read.slot)?;
            Some(json!({
                "reading": slot.label,
                "title": read.title,
                "red": slot.red,
                "black": slot.black,
                "tools": slot.tools,
                "notes": slot.notes,
            }))
        });
        json!({
            "state": stand.state.and_then(|state| self.state(state)),
            "way": stand.way.iter().filter_map(|state| self.state(*state)).collect::<Vec<_>>(),
            "cautions": self.cautions(&stand.cautions),
            "minutes": stand.minutes,
            "readings": readings.collect::<Vec<_>>(),
        })
    }
}
