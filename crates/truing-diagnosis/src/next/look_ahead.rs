//! Two steps deep: what a check and the best one after it tell, and whether they pay.

use super::belief::Belief;
use super::progress::Progress;
use super::rank::{Candidate, Ranker};
use super::suspects::Suspects;
use super::{Pointer, StopRules, Value, ready};
use crate::cure::Cure;
use crate::index::{Band, Check};
use crate::network::RepairCosts;
use crate::repair_order::{self, RepairPlan};

/// A check, and where each of its bands would lead.
pub(crate) struct Looked {
    pub check: Check,
    /// Bits per minute over both steps, or over the first alone, whichever is more.
    pub score: f64,
    pub total_minutes: f64,
    minutes: f64,
    branches: Vec<Branch>,
}

struct Branch {
    band: Band,
    chance: f64,
    belief: Belief,
    progress: Progress,
    /// The best after it, unless a cure is certain by then or nothing is left.
    then: Option<Candidate>,
}

impl Ranker<'_, '_> {
    /// Looks at the first checks of the shortlist, two steps deep.
    pub fn look_ahead(
        &mut self,
        belief: &Belief,
        progress: &Progress,
        candidates: &[Candidate],
        rules: &StopRules,
    ) -> Vec<Looked> {
        let mut firsts: Vec<Check> = Vec::new();
        for check in candidates.iter().take(rules.shortlist).filter_map(Candidate::first) {
            if !firsts.contains(&check) {
                firsts.push(check);
            }
        }
        firsts.into_iter().filter_map(|c| self.look(belief, progress, c, rules)).collect()
    }

    fn look(
        &mut self,
        belief: &Belief,
        progress: &Progress,
        check: Check,
        rules: &StopRules,
    ) -> Option<Looked> {
        let suspects = self.suspects;
        let touched = suspects.check(check)?;
        let forecast = belief.forecast(suspects, touched);
        let own = belief.bits(suspects, touched, &forecast, &mut self.scratch);
        let mut bits = own;
        let minutes = progress.minutes(suspects.network, check);
        let mut total_minutes = minutes;
        let mut branches = Vec::new();
        for band in 0..touched.row.bands {
            let Some((chance, after)) = belief.after(suspects, check, band) else { continue };
            let progress = progress.after(suspects.network, check, Band(band));
            let mut then = None;
            if after.surest() < rules.certain {
                then = self.rank(&after, &progress, 1, 0.0).into_iter().next();
            }
            if let Some(then) = &then {
                bits += chance * then.bits;
                total_minutes += chance * then.minutes;
            }
            branches.push(Branch { band: Band(band), chance, belief: after, progress, then });
        }
        // Nobody has to go on after the first step: a slow second one doesn't make it worse.
        let score = f64::max(bits / total_minutes, own / minutes);
        Some(Looked { check, score, total_minutes, minutes, branches })
    }

    /// The most that a single check saves: of those looked at, or of all, where none of those saves
    /// anything.
    pub fn value(
        &mut self,
        belief: &Belief,
        progress: &Progress,
        looked: &[Looked],
        chosen: &Looked,
    ) -> Option<Value> {
        let suspects = self.suspects;
        let costs = suspects.network.costs()?;
        let now = suspects.plan(costs, belief).minutes;
        let mut most: Option<(Check, f64)> = None;
        let mut take = |check: Check, value: f64| {
            if most.is_none_or(|(_, so_far)| value > so_far) {
                most = Some((check, value));
            }
        };
        for l in looked {
            let after: f64 =
                l.branches.iter().map(|b| b.chance * suspects.plan(costs, &b.belief).minutes).sum();
            take(l.check, now - after - l.minutes);
        }
        if most.is_some_and(|(_, value)| value > 0.0) {
            return most.map(|(check, one_step)| Value { check, one_step, two_step: None });
        }
        // Knowing everything would save no more than this.
        let least: f64 =
            suspects.cures.iter().zip(&belief.cure).map(|(c, p)| p * costs.least(c)).sum();
        let mut most = most;
        for check in ready(suspects.network, progress) {
            let minutes = progress.minutes(suspects.network, check);
            if most.is_some_and(|(_, so_far)| now - least - minutes <= so_far) {
                continue;
            }
            let value = suspects.value(belief, progress, check)?;
            if most.is_none_or(|(_, so_far)| value > so_far) {
                most = Some((check, value));
            }
        }
        let two_step = suspects.two_step(costs, now, chosen);
        most.map(|(check, one_step)| Value { check, one_step, two_step: Some(two_step) })
    }
}

impl Looked {
    /// What each band would point to.
    pub fn pointers(&self, suspects: &Suspects<'_>) -> Vec<Pointer> {
        let pointer = |branch: &Branch| {
            let mut cures = suspects.cures_of(&branch.belief);
            cures.truncate(3);
            Pointer { band: branch.band, chance: branch.chance, cures }
        };
        self.branches.iter().map(pointer).collect()
    }
}

impl Suspects<'_> {
    /// The cures that a belief holds possible, likeliest first, equals in the order of [`Cure`].
    pub fn cures_of(&self, belief: &Belief) -> Vec<(Cure, f64)> {
        let possible = belief.cure.iter().enumerate().filter(|(_, p)| **p > 0.0);
        let mut order: Vec<(usize, f64)> = possible.map(|(at, p)| (at, *p)).collect();
        order.sort_by(|(_, p), (_, q)| q.total_cmp(p));
        let mut out: Vec<(Cure, f64)> =
            order.into_iter().map(|(at, p)| (self.cures.get(at), p)).collect();
        out.sort_by(|(a, p), (b, q)| q.total_cmp(p).then_with(|| a.cmp(b)));
        out
    }

    pub fn plan(&self, costs: &RepairCosts, belief: &Belief) -> RepairPlan {
        repair_order::plan(costs, self.cures.iter().zip(belief.cure.iter().copied()))
    }

    /// What a check saves if repairs follow it (VOI); `None` where costs aren't known.
    pub fn value(&self, belief: &Belief, progress: &Progress, check: Check) -> Option<f64> {
        let costs = self.network.costs()?;
        let now = self.plan(costs, belief).minutes;
        let minutes = progress.minutes(self.network, check);
        Some(now - self.after(costs, belief, check) - minutes)
    }

    /// Expected cost of repairs once a check is measured.
    fn after(&self, costs: &RepairCosts, belief: &Belief, check: Check) -> f64 {
        let bands = self.check(check).map_or(0, |touched| touched.row.bands);
        let branches = (0..bands).filter_map(|band| belief.after(self, check, band));
        branches.map(|(chance, after)| chance * self.plan(costs, &after).minutes).sum()
    }

    /// What a check saves if, after each band, either repairs follow or the best check and then
    /// repairs, whichever costs less.
    fn two_step(&self, costs: &RepairCosts, now: f64, looked: &Looked) -> f64 {
        let cost = |branch: &Branch| {
            let repair = self.plan(costs, &branch.belief).minutes;
            let then = branch.then.as_ref().and_then(Candidate::first).map(|check| {
                branch.progress.minutes(self.network, check)
                    + self.after(costs, &branch.belief, check)
            });
            branch.chance * then.map_or(repair, |then| then.min(repair))
        };
        now - looked.minutes - looked.branches.iter().map(cost).sum::<f64>()
    }
}
