//! Two steps deep: what a check and the best one after it tell, and whether they pay.

use super::belief::Belief;
use super::outlay::Outlay;
use super::progress::Progress;
use super::rank::{Candidate, Ranker};
use super::suspects::Suspects;
use super::{Pointer, StopRules, Value, ready};
use crate::cure::Cure;
use crate::index::{Band, Check};
use crate::network::RepairCosts;
use crate::repair_order::{self, RepairPlan, Target};

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
        let view = suspects.check(check)?;
        let forecast = belief.forecast(suspects, view, &mut self.scratch.weights);
        let own = belief.bits(suspects, view, &forecast, &mut self.scratch);
        let mut bits = own;
        let minutes = progress.minutes(suspects.network, check);
        let mut total_minutes = minutes;
        let mut branches = Vec::new();
        for band in 0..view.bands() {
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

    /// What each check saves if repairs follow it (VOI); nothing where costs aren't known.
    pub fn values(
        &mut self,
        belief: &Belief,
        progress: &Progress,
        checks: &[Check],
    ) -> Vec<(Check, f64)> {
        let suspects = self.suspects;
        let Some(mut outlay) = Outlay::of(suspects, belief) else { return Vec::new() };
        let now = outlay.now();
        let mut out = Vec::new();
        for check in checks {
            let Some(view) = suspects.check(*check) else { continue };
            let forecast = belief.forecast(suspects, view, &mut self.scratch.weights);
            let after = outlay.after(view, &forecast);
            out.push((*check, now - after - progress.minutes(suspects.network, *check)));
        }
        out
    }

    /// The most that a single check saves: of those looked at, or of all, where none of those saves
    /// anything and the chosen one doesn't with another after it either.
    pub fn value(
        &mut self,
        belief: &Belief,
        progress: &Progress,
        looked: &[Looked],
        chosen: &Looked,
    ) -> Option<Value> {
        let suspects = self.suspects;
        let near: Vec<Check> = looked.iter().map(|l| l.check).collect();
        let (check, one_step) = most(self.values(belief, progress, &near))?;
        if one_step > 0.0 {
            return Some(Value { check, one_step, two_step: None });
        }
        let two_step = self.two_step(belief, chosen);
        if two_step > Some(0.0) {
            return Some(Value { check, one_step, two_step });
        }
        let all = ready(suspects.network, progress);
        let (check, one_step) = most(self.values(belief, progress, &all))?;
        Some(Value { check, one_step, two_step })
    }

    /// What a check saves if, after each band, either repairs follow or the best check and then
    /// repairs, whichever costs less.
    fn two_step(&mut self, belief: &Belief, looked: &Looked) -> Option<f64> {
        let suspects = self.suspects;
        let mut saved = Outlay::of(suspects, belief)?.now() - looked.minutes;
        for branch in &looked.branches {
            let mut outlay = Outlay::of(suspects, &branch.belief)?;
            let mut cost = outlay.now();
            let then = branch.then.as_ref().and_then(Candidate::first);
            if let Some((check, view)) = then.and_then(|c| Some((c, suspects.check(c)?))) {
                let weights = &mut self.scratch.weights;
                let forecast = branch.belief.forecast(suspects, view, weights);
                let minutes = branch.progress.minutes(suspects.network, check);
                cost = cost.min(minutes + outlay.after(view, &forecast));
            }
            saved -= branch.chance * cost;
        }
        Some(saved)
    }
}

/// The greatest, the first of equals.
fn most(values: Vec<(Check, f64)>) -> Option<(Check, f64)> {
    values.into_iter().reduce(|best, next| if next.1 > best.1 { next } else { best })
}

impl Looked {
    /// What each band would point to.
    pub fn pointers(&self, suspects: &Suspects<'_>) -> Vec<Pointer> {
        let pointer = |branch: &Branch| {
            let cures = suspects.likeliest(&branch.belief, 3);
            Pointer { band: branch.band, chance: branch.chance, cures }
        };
        self.branches.iter().map(pointer).collect()
    }
}

impl Suspects<'_> {
    /// The likeliest cures that a belief holds possible, at most `n`, equals in the order of
    /// [`Cure`].
    pub fn likeliest(&self, belief: &Belief, n: usize) -> Vec<(Cure, f64)> {
        let mut falling: Vec<f64> = belief.cure.iter().copied().filter(|p| *p > 0.0).collect();
        let least = if n < falling.len() {
            *falling.select_nth_unstable_by(n, |p, q| q.total_cmp(p)).1
        } else {
            0.0
        };
        let near = belief.cure.iter().enumerate().filter(|(_, p)| **p >= least && **p > 0.0);
        let mut out: Vec<(&Cure, f64)> = near.map(|(at, p)| (self.cures().get(at), *p)).collect();
        out.sort_by(|(a, p), (b, q)| q.total_cmp(p).then_with(|| a.cmp(b)));
        out.truncate(n);
        out.into_iter().map(|(cure, p)| (cure.clone(), p)).collect()
    }

    pub fn plan(&self, costs: &RepairCosts, belief: &Belief) -> RepairPlan {
        let targets = self.cures().iter().map(Target::from);
        repair_order::plan(costs, targets.zip(belief.cure.iter().copied()))
    }
}
