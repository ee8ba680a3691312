//! Which fault explains the readings, for programs: part of `truing-findings`, and `truing-next`.

use serde_json::{Value, json};
use truing_engine::suspects::{
    Contribution, CureRanked, FaultRanked, NextCheck, Points, Proof, Ranking, Recommended, Remedy,
    Stage, Unused, Weighing, WhyUnused,
};
use truing_model::{CheckId, Spec};

use crate::suspects_text::{SuspectsReport, next_text};
use crate::suspects_words::Words;

/// What to measure next on a job, as JSON; `schema/truing-next.schema.json` describes it.
#[must_use]
pub fn next_json(report: &SuspectsReport<'_>) -> Value {
    let stage = report.stages.last();
    json!({
        "format": "truing-next",
        "version": 1,
        "spec": report.spec.name,
        "stage": stage.map(|of| self::stage(report, of)),
    })
}

/// All stages.
pub(crate) fn stages(report: &SuspectsReport<'_>) -> Vec<Value> {
    report.stages.iter().map(|of| stage(report, of)).collect()
}

fn stage(report: &SuspectsReport<'_>, stage: &Stage) -> Value {
    let of = Json { spec: report.spec, words: Words { spec: report.spec } };
    let rounds: Vec<_> =
        stage.rounds.iter().filter_map(|round| report.rounds.get(*round)).collect();
    let fitted: Vec<_> = stage.fitted.iter().map(|fix| of.words.fix_name(*fix)).collect();
    json!({
        "rounds": rounds,
        "fitted": fitted,
        "contradiction": stage.ranking.as_ref().err().map(|found| of.checks(&found.checks)),
        "ranking": stage.ranking.as_ref().ok().map(|ranking| of.ranking(ranking)),
    })
}

struct Json<'a> {
    spec: &'a Spec,
    words: Words<'a>,
}

impl Json<'_> {
    fn ranking(&self, ranking: &Ranking) -> Value {
        json!({
            "seen": ranking.seen,
            "none": ranking.none,
            "not_listed": ranking.other,
            "no_part": ranking.no_part,
            "faults": ranking.faults.iter().map(|of| self.fault(of)).collect::<Vec<_>>(),
            "cures": ranking.cures.iter().map(|of| self.cure(of)).collect::<Vec<_>>(),
            "two_faults": ranking.pair.map(|pair| json!({
                "faults": pair.faults.map(|fault| self.label(fault)),
                "probability": pair.probability,
            })),
            "paired": ranking.paired,
            "weighing": ranking.weighing.as_ref().map(|of| self.weighing(of)),
            "ruled_down": ranking.ruled_down.iter().map(|of| json!({
                "fault": self.label(of.fault),
                "check": self.words.counted(of.check),
                "would_fail": of.would_fail,
            })).collect::<Vec<_>>(),
            "not_used": ranking.unused.iter().map(|of| self.unused(of)).collect::<Vec<_>>(),
            "unexplained": self.labels(&ranking.unexplained),
            "not_measured": self.labels(&ranking.unmeasured),
            "recommended": self.recommended(ranking),
            "next": ranking.next.as_ref().map(|next| self.next(next)),
            "proof": ranking.proof.as_ref().map(|proof| self.proof(proof)),
        })
    }

    fn checks(&self, ids: &[CheckId]) -> Vec<String> {
        ids.iter().map(|id| self.words.counted(*id)).collect()
    }

    /// Of members by themselves.
    fn labels(&self, ids: &[CheckId]) -> Vec<String> {
        ids.iter().map(|id| self.words.check(*id)).collect()
    }

    fn label(&self, fault: truing_model::FaultId) -> String {
        self.spec.fault(fault).map_or(String::new(), |fault| fault.label.clone())
    }

    fn fault(&self, of: &FaultRanked) -> Value {
        json!({
            "fault": self.label(of.fault),
            "title": self.words.fault(of.fault),
            "probability": of.probability,
        })
    }

    fn cure(&self, of: &CureRanked) -> Value {
        json!({
            "remedy": self.remedy(of.remedy),
            "probability": of.probability,
            "faults": of.faults.iter().map(|fault| self.label(fault.fault)).collect::<Vec<_>>(),
        })
    }

    fn remedy(&self, remedy: Remedy) -> Value {
        let (kind, fix, fault) = match remedy {
            Remedy::Nothing => ("nothing", None, None),
            Remedy::Fix(fix) => ("fix", self.spec.fix(fix), None),
            Remedy::Unmended(fault) => ("unmended", None, Some(self.label(fault))),
            Remedy::NotListed => ("not-listed", None, None),
        };
        let parts = fix.map(|fix| {
            let parts = fix.parts.iter().filter_map(|part| self.spec.part(*part));
            parts.map(|part| part.name.clone()).collect::<Vec<_>>()
        });
        json!({
            "kind": kind,
            "fix": fix.map(|fix| fix.name.clone()),
            "title": fix.map(|fix| fix.title.clone()),
            "parts": parts.unwrap_or_default(),
            "fault": fault,
        })
    }

    fn points(&self, points: Points) -> Value {
        match points {
            Points::None => json!({ "kind": "none", "fault": null }),
            Points::Fault(fault) => json!({ "kind": "fault", "fault": self.label(fault) }),
            Points::NotListed => json!({ "kind": "not-listed", "fault": null }),
        }
    }

    fn weighing(&self, of: &Weighing) -> Value {
        json!({
            "leader": self.points(of.leader),
            "leader_probability": of.leader_probability,
            "rival": self.points(of.rival),
            "rival_probability": of.rival_probability,
            "prior_decibans": finite(of.prior_decibans),
            "contributions":
                of.contributions.iter().map(|of| self.contribution(of)).collect::<Vec<_>>(),
            "total_decibans": finite(of.total_decibans),
        })
    }

    fn contribution(&self, of: &Contribution) -> Value {
        json!({
            "check": self.words.counted(of.check),
            "band": of.band,
            "share": of.share,
            "decibans": finite(of.decibans),
            "strength": of.strength,
            "leader_shows": of.leader_shows,
            "rival_shows": of.rival_shows,
        })
    }

    fn unused(&self, of: &Unused) -> Value {
        let (why, needs) = match of.why {
            WhyUnused::Blocked => ("blocked", None),
            WhyUnused::Undecided => ("undecided", None),
            WhyUnused::Needs { check, .. } => ("needs", Some(check)),
            WhyUnused::NeedsOther { check, .. } => ("needs-other", Some(check)),
            WhyUnused::NeedsUnused { check } => ("needs-unused", Some(check)),
            WhyUnused::OtherCondition { .. } => ("other-condition", None),
        };
        json!({
            "check": self.words.unused_check(of),
            "why": why,
            "needs": needs.map(|check| self.words.counted(check)),
            "words": self.words.unused(of),
        })
    }

    fn recommended(&self, ranking: &Ranking) -> Value {
        let (action, remedies, check) = match &ranking.recommended {
            Recommended::Act(remedy) => ("act", vec![*remedy], None),
            Recommended::FitsNothing(check) => ("fits-nothing", Vec::new(), *check),
            Recommended::CannotBeToldApart(among) => ("cannot-be-told-apart", among.clone(), None),
            Recommended::RepairFirst(steps) => ("repair-first", steps.clone(), None),
            Recommended::Measure(check) => ("measure", Vec::new(), Some(*check)),
        };
        json!({
            "action": action,
            "remedies": remedies.iter().map(|of| self.remedy(*of)).collect::<Vec<_>>(),
            "check": check.map(|check| self.words.counted(check)),
            "words": next_text(&self.words, ranking),
        })
    }

    fn next(&self, next: &NextCheck) -> Value {
        let outcomes = next.outcomes.iter().map(|of| {
            let cures = of
                .cures
                .iter()
                .map(|(remedy, p)| json!({ "remedy": self.remedy(*remedy), "probability": p }));
            json!({
                "band": of.band,
                "probability": of.probability,
                "cures": cures.collect::<Vec<_>>(),
            })
        });
        let others = next.others.iter().map(|of| {
            json!({
                "check": self.words.counted(of.check),
                "minutes": of.minutes,
                "bits": of.bits,
            })
        });
        json!({
            "check": self.words.counted(next.check),
            "title": self.words.title(next.check),
            "minutes": next.minutes,
            "bits": next.bits,
            "outcomes": outcomes.collect::<Vec<_>>(),
            "then": self.checks(&next.then),
            "others": others.collect::<Vec<_>>(),
        })
    }

    fn proof(&self, proof: &Proof) -> Value {
        json!({
            "verdict": proof.verdict,
            "none": proof.none,
            "missing": self.checks(&proof.missing),
            "excused": self.checks(&proof.excused),
            "unclear": self.checks(&proof.unclear),
            "failed": self.checks(&proof.failed),
            "worse": self.checks(&proof.worse),
            "elsewhere": self.checks(&proof.elsewhere),
            "condition": proof.condition.and_then(|id| Some(self.spec.state(id)?.name.clone())),
            "residual": proof.residual.iter().map(|of| self.fault(of)).collect::<Vec<_>>(),
        })
    }
}

/// JSON has no infinity: what is excluded outright is null.
fn finite(value: f64) -> Option<f64> {
    value.is_finite().then_some(value)
}
