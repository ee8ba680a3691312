//! Why: what each reading says for one hypothesis against another, in decibans.
//!
//! The weight of evidence of a reading for A over B is `10 log10(L(A) / L(B))` (Good 1950,
//! *Probability and the Weighing of Evidence*). Prior and readings add up to the posterior odds.

use serde::Serialize;

use crate::evidence::{Evidence, NotUsed, OBSERVED};
use crate::index::{Band, Check, Fault, Hypothesis};
use crate::likelihood::Likelihood;
use crate::network::Network;
use crate::posterior::Posterior;
use crate::spread::dot;

/// A fault that would have failed a check with this chance is ruled down by its being ok.
pub const WOULD_HAVE_FAILED: f64 = 0.8;

/// How much a weight of evidence says, whichever way.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Strength {
    /// Below 2 dB: says little.
    Little,
    /// 2 to 5 dB: slightly.
    Slightly,
    /// 5 to 10 dB: clearly.
    Clearly,
    /// 10 to 20 dB: strongly.
    Strongly,
    /// Above 20 dB: all but rules the other out.
    RulesOut,
}

impl Strength {
    /// Of a weight in decibans.
    #[must_use]
    pub fn of(decibans: f64) -> Self {
        match decibans.abs() {
            x if x > 20.0 => Self::RulesOut,
            x if x >= 10.0 => Self::Strongly,
            x if x >= 5.0 => Self::Clearly,
            x if x >= 2.0 => Self::Slightly,
            _ => Self::Little,
        }
    }
}

/// What one reading says.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Contribution {
    /// The check.
    pub check: Check,
    /// For the leader (over 0) or the rival (below 0); infinite where it rules one out.
    pub decibans: f64,
    /// In words.
    pub strength: Strength,
    /// The band that was most probably seen.
    pub seen: Band,
    /// How often the leader gives that band, slip included.
    pub leader_gives: f64,
    /// How often the rival does.
    pub rival_gives: f64,
}

/// One hypothesis weighed against another.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Weighing {
    /// The one that it is for.
    pub leader: Hypothesis,
    /// The one that it is against.
    pub rival: Hypothesis,
    /// What was held before the readings: the network's weights or, after a repair, what was
    /// believed then.
    pub prior_decibans: f64,
    /// What each used reading says, in the order of the checks.
    pub contributions: Vec<Contribution>,
    /// The sum of all, which is the posterior odds.
    pub total_decibans: f64,
}

impl Weighing {
    /// The readings that say most, whichever way, at most `n`.
    #[must_use]
    pub fn most_telling(&self, n: usize) -> Vec<Contribution> {
        let mut out = self.contributions.clone();
        out.sort_by(|a, b| b.decibans.abs().total_cmp(&a.decibans.abs()));
        out.truncate(n);
        out
    }

    /// The readings that say little between the two.
    pub fn silent(&self) -> impl Iterator<Item = &Contribution> {
        self.contributions.iter().filter(|c| c.strength == Strength::Little)
    }
}

/// A fault that a reading speaks against: its check was ok, and the fault would have failed it.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct RuledDown {
    /// The fault.
    pub fault: Fault,
    /// The check that was ok.
    pub check: Check,
    /// The chance that this fault alone fails it.
    pub would_fail: f64,
}

/// The whole of what can be said for a result.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Explanation {
    /// The likeliest hypothesis against the likeliest with another cure; `None` where nothing has
    /// another cure.
    pub weighing: Option<Weighing>,
    /// What is ruled down, by fault, then check.
    pub ruled_down: Vec<RuledDown>,
    /// Readings that changed nothing, and why.
    pub not_used: Vec<(Check, NotUsed)>,
    /// The probability of two faults at once.
    pub pair_mass: f64,
    /// Whether one fault doesn't explain everything, and then the likeliest two.
    pub pair_alarm: Option<Hypothesis>,
}

impl Network {
    /// Weighs one hypothesis against another over the readings that a posterior rests on. `None`
    /// where the first is impossible.
    #[must_use]
    pub fn weigh(
        &self,
        posterior: &Posterior,
        evidence: &Evidence,
        leader: Hypothesis,
        rival: Hypothesis,
    ) -> Option<Weighing> {
        if posterior.probability(leader) <= 0.0 {
            return None;
        }
        let used = posterior.used.iter();
        let contributions: Vec<Contribution> = used
            .filter_map(|check| self.contribution(*check, evidence.of(*check)?, leader, rival))
            .collect();
        let readings: f64 = contributions.iter().map(|c| c.decibans).sum();
        let prior_decibans = if posterior.continued {
            let odds = decibans(posterior.probability(leader), posterior.probability(rival));
            if odds.is_finite() && readings.is_finite() { odds - readings } else { 0.0 }
        } else {
            decibans(self.weight(leader), self.weight(rival))
        };
        let total_decibans = prior_decibans + readings;
        Some(Weighing { leader, rival, prior_decibans, contributions, total_decibans })
    }

    fn contribution(
        &self,
        check: Check,
        likelihood: &Likelihood,
        leader: Hypothesis,
        rival: Hypothesis,
    ) -> Option<Contribution> {
        let row = self.checks.get(check.0)?;
        let weight = likelihood.slipped(row.slip);
        let of = |hypothesis| dot(&weight, &row.bands_under(hypothesis));
        let decibans = decibans(of(leader), of(rival));
        let seen = likelihood.likeliest();
        let gives = |h| self.read_under(check, h).and_then(|b| b.get(seen.0).copied());
        Some(Contribution {
            check,
            decibans,
            strength: Strength::of(decibans),
            seen,
            leader_gives: gives(leader).unwrap_or(0.0),
            rival_gives: gives(rival).unwrap_or(0.0),
        })
    }

    /// Why a posterior is as it is.
    #[must_use]
    pub fn explain(&self, posterior: &Posterior, evidence: &Evidence) -> Explanation {
        let leader = posterior.top(1).first().map_or(Hypothesis::None, |(h, _)| *h);
        let rival = self.rival(posterior, leader);
        let likeliest_pair = posterior
            .iter()
            .filter(|(h, _)| matches!(h, Hypothesis::Pair(..)))
            .fold(None, |best: Option<(Hypothesis, f64)>, (h, p)| match best {
                Some((_, most)) if most >= p => best,
                _ => Some((h, p)),
            });
        Explanation {
            weighing: rival.and_then(|rival| self.weigh(posterior, evidence, leader, rival)),
            ruled_down: self.ruled_down(posterior, evidence),
            not_used: posterior.unused.clone(),
            pair_mass: posterior.pair_mass(),
            pair_alarm: likeliest_pair.filter(|_| posterior.pair_alarm()).map(|(h, _)| h),
        }
    }

    /// The likeliest hypothesis whose cure isn't the leader's.
    fn rival(&self, posterior: &Posterior, leader: Hypothesis) -> Option<Hypothesis> {
        let cure = self.cure(leader);
        // Mostly among the first few; otherwise all are gone through.
        let few = posterior.top(16);
        let found = few.iter().find(|(h, p)| *p > 0.0 && self.cure(*h) != cure);
        found.map(|(h, _)| *h).or_else(|| {
            let others = posterior.iter().filter(|(h, p)| *p > 0.0 && self.cure(*h) != cure);
            others
                .fold(None, |best: Option<(Hypothesis, f64)>, (h, p)| match best {
                    Some((_, most)) if most >= p => best,
                    _ => Some((h, p)),
                })
                .map(|(h, _)| h)
        })
    }

    fn ruled_down(&self, posterior: &Posterior, evidence: &Evidence) -> Vec<RuledDown> {
        let mut out = Vec::new();
        for &check in &posterior.used {
            let ok = evidence.of(check).is_some_and(|l| l.share(Band::OK) >= OBSERVED);
            let Some(row) = self.checks.get(check.0).filter(|_| ok) else { continue };
            for link in &row.links {
                let would_fail: f64 = link.alone.chance.iter().skip(1).sum();
                if would_fail >= WOULD_HAVE_FAILED {
                    out.push(RuledDown { fault: link.fault, check, would_fail });
                }
            }
        }
        out.sort_by_key(|r| (r.fault, r.check));
        out
    }
}

/// The used reading that speaks most for "other" against the likeliest that is listed.
pub(crate) fn strangest(
    network: &Network,
    posterior: &Posterior,
    evidence: &Evidence,
) -> Option<Check> {
    let listed = posterior.top(2).into_iter().find(|(h, _)| *h != Hypothesis::Other)?.0;
    let weighing = network.weigh(posterior, evidence, Hypothesis::Other, listed)?;
    let mut most: Option<Contribution> = None;
    for contribution in weighing.contributions {
        if most.is_none_or(|m| contribution.decibans > m.decibans) {
            most = Some(contribution);
        }
    }
    most.map(|contribution| contribution.check)
}

/// `10 log10(a / b)`, of logarithms, so that it doesn't overflow. 0 where both are 0.
fn decibans(a: f64, b: f64) -> f64 {
    if a <= 0.0 && b <= 0.0 { 0.0 } else { 10.0 * (libm::log10(a) - libm::log10(b)) }
}
