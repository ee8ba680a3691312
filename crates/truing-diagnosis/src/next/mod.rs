//! What to measure next, and when to stop.
//!
//! A check is worth its expected bits about **what to replace** (Shannon's mutual information), per
//! minute, so that nobody is sent to tell apart two faults with the same cure. The best few are
//! looked at two steps deep. Whether measuring still pays is a question of minutes: the expected
//! cost of repairing now, less that after the measurement and the measurement itself.

mod belief;
mod bits;
mod look_ahead;
mod outlay;
mod progress;
mod rank;
mod suspects;

use serde::Serialize;

pub(crate) use progress::Progress;
pub use progress::{LONGEST_CHAIN, Situation};
pub use rank::Candidate;

use crate::cure::Cure;
use crate::evidence::{Evidence, EvidenceError, NotUsed, standing};
use crate::explain::strangest;
use crate::index::{Band, Check};
use crate::network::Network;
use crate::posterior::Posterior;
use crate::repair_order::RepairPlan;
use belief::Belief;
use bits::Scratch;
pub(crate) use progress::Way;
use rank::{Ranker, best};
pub(crate) use suspects::Grounds;
use suspects::Suspects;

/// When to stop measuring.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct StopRules {
    /// A cure of this probability is certain enough to act on.
    pub certain: f64,
    /// Above this probability of "other", the readings fit nothing that is listed.
    pub foreign: f64,
    /// Fewer bits than this tell nothing apart.
    pub little: f64,
    /// How many candidates are looked at two steps deep.
    pub shortlist: usize,
}

impl Default for StopRules {
    fn default() -> Self {
        Self { certain: 0.95, foreign: 0.5, little: 0.002, shortlist: 8 }
    }
}

/// What to do next, and why.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Advice {
    /// One cure is certain enough: replace this (or hand the machine back, if it is nothing).
    Settled {
        /// The cure.
        cure: Cure,
        /// Its probability.
        probability: f64,
    },
    /// The readings fit no listed fault.
    FitsNothing {
        /// The probability of "other".
        probability: f64,
        /// The reading that speaks most against everything that is listed.
        strangest: Option<Check>,
    },
    /// What is left can't be told apart by measuring: try these, likeliest first.
    CannotBeToldApart {
        /// Cures that make up what counts as certain, with their probabilities.
        among: Vec<(Cure, f64)>,
    },
    /// Measuring no longer pays: repair in the plan's order first.
    RepairFirst {
        /// The check that would settle it nevertheless.
        would_settle: Check,
    },
    /// Measure this.
    Measure {
        /// The check.
        check: Check,
    },
}

/// What a band of the proposed check would point to.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Pointer {
    /// The band.
    pub band: Band,
    /// Its chance.
    pub chance: f64,
    /// The likeliest cures after it, at most three, with their probabilities.
    pub cures: Vec<(Cure, f64)>,
}

/// Whether measuring pays, in minutes saved (below 0: lost).
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Value {
    /// The check that saves most, measured and followed by repairs.
    pub check: Check,
    /// What it saves.
    pub one_step: f64,
    /// What the proposed check saves if another may follow it; worked out where no single check
    /// saves anything.
    pub two_step: Option<f64>,
}

/// The next measurement, with all that led to it.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Next {
    /// What to do.
    pub advice: Advice,
    /// The best by two steps, whatever the advice; `None` where nothing is left to measure.
    pub proposed: Option<Check>,
    /// What each outcome of the proposed check would point to.
    pub pointers: Vec<Pointer>,
    /// The best by one step, best first; at least the shortlist of [`StopRules`], if there are so
    /// many.
    pub candidates: Vec<Candidate>,
    /// Bits per minute over one step or two, whichever is more, of the checks that were looked at.
    pub two_step: Vec<(Check, f64)>,
    /// Unmeasured checks that can't be made, and why.
    pub barred: Vec<(Check, NotUsed)>,
    /// Repairing now, and what it is expected to cost.
    pub plan: Option<RepairPlan>,
    /// Whether measuring pays; `None` where costs aren't known or nothing is left to measure.
    pub value: Option<Value>,
    /// The probability of hypotheses that weren't looked at, since there are more than
    /// [`CHOICE_FAULTS`](crate::CHOICE_FAULTS) faults.
    pub left_out: f64,
}

impl Network {
    /// What to measure next after a posterior, and whether to stop. `evidence` holds the readings of
    /// this visit (after a repair, those since): they say which checks are done, barred or waived.
    ///
    /// # Errors
    ///
    /// A reading of a check that isn't there, or over other bands.
    pub fn next(
        &self,
        posterior: &Posterior,
        evidence: &Evidence,
        situation: &Situation,
        rules: &StopRules,
    ) -> Result<Next, EvidenceError> {
        let progress = Progress::new(standing(self, evidence)?, situation);
        let suspects = Suspects::of(self, posterior);
        let (belief, left_out) = Belief::of(&suspects, posterior);
        let mut ranker = Ranker { suspects: &suspects, scratch: Scratch::default() };
        let candidates = ranker.rank(&belief, &progress, rules.shortlist, rules.little);
        let looked = ranker.look_ahead(&belief, &progress, &candidates, rules);
        let chosen = best(&looked, |l| l.score, |l| l.total_minutes, |l| Some(l.check));
        let chosen = chosen.and_then(|at| looked.get(at));
        let plan = self.costs().map(|costs| suspects.plan(costs, &belief));
        let mut out = Next {
            advice: Advice::CannotBeToldApart { among: Vec::new() },
            proposed: chosen.map(|l| l.check),
            pointers: chosen.map(|l| l.pointers(&suspects)).unwrap_or_default(),
            two_step: looked.iter().map(|l| (l.check, l.score)).collect(),
            barred: barred(self, &progress),
            value: None,
            candidates,
            plan,
            left_out,
        };
        if let Some(chosen) = chosen {
            out.value = ranker.value(&belief, &progress, &looked, chosen);
        }
        out.advice = self.advise(&out, &suspects, &belief, posterior, evidence, rules);
        Ok(out)
    }

    fn advise(
        &self,
        next: &Next,
        suspects: &Suspects<'_>,
        belief: &Belief,
        posterior: &Posterior,
        evidence: &Evidence,
        rules: &StopRules,
    ) -> Advice {
        let listed = suspects.likeliest(belief, 2);
        let listed = listed.iter().find(|(cure, _)| *cure != Cure::Unknown);
        if let Some((cure, probability)) = listed.filter(|(_, p)| *p >= rules.certain) {
            return Advice::Settled { cure: cure.clone(), probability: *probability };
        }
        if posterior.other > rules.foreign {
            let strangest = strangest(self, posterior, evidence);
            return Advice::FitsNothing { probability: posterior.other, strangest };
        }
        let telling = next.candidates.iter().any(|c| c.bits >= rules.little);
        let Some(check) = next.proposed.filter(|_| telling) else {
            let mut sum = 0.0;
            let all = suspects.likeliest(belief, usize::MAX);
            let among = all.into_iter().take_while(|(_, p)| {
                let before = sum;
                sum += p;
                before < rules.certain
            });
            return Advice::CannotBeToldApart { among: among.collect() };
        };
        match next.value {
            Some(Value { one_step, two_step: Some(two), .. }) if one_step <= 0.0 && two <= 0.0 => {
                Advice::RepairFirst { would_settle: check }
            }
            _ => Advice::Measure { check },
        }
    }

    /// What each check that can be made at once would save, in minutes, if repairs followed it:
    /// `ECR now - sum over bands of P(band) ECR after it - its minutes` (VOI). Empty where the
    /// network doesn't say what repairs cost.
    ///
    /// # Errors
    ///
    /// A reading of a check that isn't there, or over other bands.
    pub fn values(
        &self,
        posterior: &Posterior,
        evidence: &Evidence,
        situation: &Situation,
    ) -> Result<Vec<(Check, f64)>, EvidenceError> {
        let progress = Progress::new(standing(self, evidence)?, situation);
        let suspects = Suspects::of(self, posterior);
        let (belief, _) = Belief::of(&suspects, posterior);
        let mut ranker = Ranker { suspects: &suspects, scratch: Scratch::default() };
        Ok(ranker.values(&belief, &progress, &ready(self, &progress)))
    }

    /// Bits about the cure that every unmeasured check would give, whether or not what it requires
    /// is measured.
    ///
    /// # Errors
    ///
    /// A reading of a check that isn't there, or over other bands.
    pub fn bits(
        &self,
        posterior: &Posterior,
        evidence: &Evidence,
    ) -> Result<Vec<(Check, f64)>, EvidenceError> {
        let progress = Progress::new(standing(self, evidence)?, &Situation::default());
        let suspects = Suspects::of(self, posterior);
        let (belief, _) = Belief::of(&suspects, posterior);
        let mut scratch = Scratch::default();
        let checks = (0..self.checks()).map(Check).filter(|c| progress.is_unmeasured(*c));
        let mut bits = |check| {
            let view = suspects.check(check)?;
            let forecast = belief.forecast(&suspects, view, &mut scratch.weights);
            Some((check, belief.bits(&suspects, view, &forecast, &mut scratch)))
        };
        Ok(checks.filter_map(&mut bits).collect())
    }
}

/// Unmeasured checks with nothing before them.
fn ready(network: &Network, progress: &Progress) -> Vec<Check> {
    let free = |check: &Check| {
        progress.is_unmeasured(*check)
            && matches!(progress.way(network, *check), Way::Open(chain) if chain.is_empty())
    };
    (0..network.checks()).map(Check).filter(free).collect()
}

fn barred(network: &Network, progress: &Progress) -> Vec<(Check, NotUsed)> {
    let unmeasured = (0..network.checks()).map(Check).filter(|c| progress.is_unmeasured(*c));
    let barred = unmeasured.filter_map(|check| match progress.way(network, check) {
        Way::Barred(why) => Some((check, why)),
        _ => None,
    });
    barred.collect()
}
