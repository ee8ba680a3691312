//! What following the engine's own advice comes to: the tree of all that may be read, each
//! measurement the one that [`Network::next`] asks for.
//!
//! Every reading is taken as certain and splits the tree by the network's own chances, so what is
//! summed over the tree is the expectation under the network. Where a branch is less probable than
//! a stated cut-off, only one of those behind it is followed, drawn by their chances: that changes no
//! expectation, and by a fixed seed it is the same one every time. How much was drawn is told.

use crate::cure::Cure;
use crate::evidence::{Evidence, EvidenceError, standing};
use crate::index::{Band, Check};
use crate::likelihood::Likelihood;
use crate::network::Network;
use crate::next::{Advice, Progress, Situation, StopRules};
use crate::posterior::Posterior;

/// How far a policy is followed.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PolicyLimits {
    /// Of what is behind a branch less probable than this one branch is followed.
    pub cut_off: f64,
    /// So many measurements are worked out at most; what is open then is settled where it stands.
    pub most: usize,
    /// What the draws begin with.
    pub seed: u64,
    /// Whether it ends where trying a repair costs less than measuring on; else it measures until a
    /// cure is certain, or nothing that is left tells more.
    pub tries_repairs: bool,
}

impl Default for PolicyLimits {
    fn default() -> Self {
        Self { cut_off: 0.05, most: 100_000, seed: 1, tries_repairs: false }
    }
}

/// A place in the tree.
#[derive(Clone, Debug, PartialEq)]
pub struct PolicyNode {
    /// The node before it, by its place, and the band that was read there; `None` at the root.
    pub before: Option<(usize, Band)>,
    /// How probable it is to come here.
    pub probability: f64,
    /// What is done here.
    pub does: Does,
}

/// What is done at a place in the tree.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Does {
    /// Measures this, in so many minutes.
    Measure {
        /// The check.
        check: Check,
        /// Minutes, with what has to be opened and the change of state.
        minutes: f64,
    },
    /// Stops; the likeliest cure then has this probability.
    Stop(f64),
    /// Would measure on, and is settled here since enough was worked out, with the same.
    Cut(f64),
}

/// The tree of a policy, parents before children.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Policy {
    /// Its nodes.
    pub nodes: Vec<PolicyNode>,
    /// The probability of all behind which one branch was drawn.
    pub drawn: f64,
}

impl Policy {
    /// The probability of all that was settled where it stood.
    #[must_use]
    pub fn cut(&self) -> f64 {
        let cut = self.nodes.iter().filter(|node| matches!(node.does, Does::Cut(_)));
        cut.fold(0.0, |sum, node| sum + node.probability)
    }

    /// The expected number of measurements.
    #[must_use]
    pub fn measurements(&self) -> f64 {
        let made = self.nodes.iter().filter(|node| matches!(node.does, Does::Measure { .. }));
        made.map(|node| node.probability).sum()
    }

    /// The expected minutes.
    #[must_use]
    pub fn minutes(&self) -> f64 {
        let spent = |node: &PolicyNode| match node.does {
            Does::Measure { minutes, .. } => minutes * node.probability,
            Does::Stop(_) | Does::Cut(_) => 0.0,
        };
        self.nodes.iter().map(spent).sum()
    }

    /// How probable it is that the likeliest cure at the end is the right one.
    #[must_use]
    pub fn right(&self) -> f64 {
        let end = |node: &PolicyNode| match node.does {
            Does::Measure { .. } => 0.0,
            Does::Stop(p) | Does::Cut(p) => p * node.probability,
        };
        self.nodes.iter().map(end).sum()
    }
}

/// A node that is still to be worked out.
struct Open {
    before: Option<(usize, Band)>,
    probability: f64,
    evidence: Evidence,
    situation: Situation,
    /// It stands for those beside it.
    drawn: bool,
}

/// SplitMix64 (Steele, Lea and Flood 2014, "Fast splittable pseudorandom number generators").
struct Draws(u64);

impl Draws {
    /// From 0 up to 1, not reaching it.
    fn next(&mut self) -> f64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let z = (self.0 ^ (self.0 >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        let z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        // The upper 53 bits fill a double.
        ((z ^ (z >> 31)) >> 11) as f64 / (1_u64 << 53) as f64
    }

    /// One of these by its probability, with that of all of them.
    fn one_of(&mut self, all: Vec<Open>, probability: f64) -> Option<Open> {
        let mut left = self.next() * all.iter().map(|open| open.probability).sum::<f64>();
        let last = all.len().saturating_sub(1);
        let (_, chosen) = all.into_iter().enumerate().find(|(at, open)| {
            left -= open.probability;
            left < 0.0 || *at == last
        })?;
        Some(Open { probability, drawn: true, ..chosen })
    }
}

impl Network {
    /// The tree of what [`next`](Network::next) asks for, from nothing measured, until it stops.
    ///
    /// # Errors
    ///
    /// Where a reading that the network itself holds possible contradicts it.
    pub fn policy(
        &self,
        limits: &PolicyLimits,
        rules: &StopRules,
    ) -> Result<Policy, EvidenceError> {
        let mut policy = Policy::default();
        let mut open = vec![Open {
            before: None,
            probability: 1.0,
            evidence: Evidence::new(),
            situation: Situation::default(),
            drawn: false,
        }];
        let mut made = 0;
        let mut draws = Draws(limits.seed);
        while let Some(here) = open.pop() {
            let posterior = self.posterior(&here.evidence)?;
            let sure = self.surest(&posterior);
            let place = policy.nodes.len();
            let does = match made < limits.most {
                // What is certain enough is settled without asking.
                _ if sure >= rules.certain => Does::Stop(sure),
                false => Does::Cut(sure),
                true => self.does(&posterior, &here, limits, rules)?.unwrap_or(Does::Stop(sure)),
            };
            if let Does::Measure { check, .. } = does {
                made += 1;
                let mut children = self.children(&posterior, &here, (place, check));
                if here.probability < limits.cut_off {
                    policy.drawn += if here.drawn { 0.0 } else { here.probability };
                    children = draws.one_of(children, here.probability).into_iter().collect();
                }
                // The most probable band comes first.
                open.extend(children.into_iter().rev());
            }
            let Open { before, probability, .. } = here;
            policy.nodes.push(PolicyNode { before, probability, does });
        }
        Ok(policy)
    }

    /// What is measured, where something is.
    fn does(
        &self,
        posterior: &Posterior,
        here: &Open,
        limits: &PolicyLimits,
        rules: &StopRules,
    ) -> Result<Option<Does>, EvidenceError> {
        let next = self.next(posterior, &here.evidence, &here.situation, rules)?;
        let check = match next.advice {
            Advice::Measure { check } => check,
            Advice::RepairFirst { would_settle } if !limits.tries_repairs => would_settle,
            _ => return Ok(None),
        };
        let progress = Progress::new(standing(self, &here.evidence)?, &here.situation);
        Ok(Some(Does::Measure { check, minutes: progress.minutes(self, check) }))
    }

    /// The probability of the likeliest cure that is one.
    fn surest(&self, posterior: &Posterior) -> f64 {
        let cures = posterior.cures(self);
        cures.iter().find(|(cure, _)| *cure != Cure::Unknown).map_or(0.0, |(_, p)| *p)
    }

    /// One for each band that can be read.
    fn children(
        &self,
        posterior: &Posterior,
        here: &Open,
        (place, check): (usize, Check),
    ) -> Vec<Open> {
        let bands = self.bands(check).unwrap_or(0);
        let mut chance = vec![0.0; bands];
        for (hypothesis, p) in posterior.iter().filter(|(_, p)| *p > 0.0) {
            let read = self.outcome_read(check, hypothesis).unwrap_or_default();
            chance.iter_mut().zip(read).for_each(|(sum, q)| *sum += p * q);
        }
        let mut order: Vec<(usize, f64)> =
            chance.into_iter().enumerate().filter(|(_, p)| *p > 0.0).collect();
        order.sort_by(|(a, p), (b, q)| q.total_cmp(p).then_with(|| a.cmp(b)));
        let child = |(band, chance): (usize, f64)| {
            let mut evidence = here.evidence.clone();
            evidence.read(check, Likelihood::hard(Band(band), bands).ok()?);
            Some(Open {
                before: Some((place, Band(band))),
                probability: here.probability * chance,
                evidence,
                situation: self.situation_after(&here.situation, check),
                drawn: here.drawn,
            })
        };
        order.into_iter().filter_map(child).collect()
    }

    /// What stands open once a check was made.
    fn situation_after(&self, before: &Situation, check: Check) -> Situation {
        let mut after = before.clone();
        if let Some(row) = self.checks.get(check.0) {
            after.open.extend(row.setups.iter().copied());
            after.state = row.state.or(after.state);
        }
        after
    }
}
