//! What is held of the suspects, now or after a measurement that might be made.

use super::suspects::{Suspects, Touched};
use crate::MAX_BANDS;
use crate::cure::Cures;
use crate::index::{Check, Hypothesis};
use crate::posterior::Posterior;
use crate::spread::{Bands, count, entropy};

/// Probabilities over the suspects' hypotheses, with the sums that are asked for again and again.
#[derive(Clone, Debug, Default)]
pub(crate) struct Belief {
    none: f64,
    other: f64,
    single: Vec<f64>,
    pair: Vec<f64>,
    /// Of each suspect, alone or with another.
    marginal: Vec<f64>,
    /// Of each cure, by its number.
    pub cure: Vec<f64>,
}

/// What a check would give: the chance of each band, and at most how many bits.
#[derive(Clone, Copy)]
pub(crate) struct Forecast {
    pub chance: Bands,
    /// Bits about hypotheses. Bits about cures are never more, since a cure follows from its
    /// hypothesis.
    pub bits: f64,
}

/// Room for sums by cure, kept so that it isn't made anew for each check.
#[derive(Default)]
pub(crate) struct Scratch {
    /// By cure: how far its joint chance with each band lies off that of an untouched one.
    shift: Vec<Bands>,
    touched: Vec<u32>,
    is_touched: Vec<bool>,
    /// By suspect.
    on_check: Vec<bool>,
}

impl Belief {
    /// Of a posterior, restricted to the suspects; and what probability that leaves out.
    pub fn of(suspects: &Suspects<'_>, posterior: &Posterior) -> (Self, f64) {
        let faults = &suspects.faults;
        let mut out = Self {
            none: posterior.none,
            other: posterior.other,
            single: faults.iter().map(|f| posterior.probability(Hypothesis::Single(*f))).collect(),
            ..Self::default()
        };
        out.pair = if suspects.triangle.len() == posterior.pair.len() {
            posterior.pair.clone()
        } else {
            let fault = |place: usize| faults.get(place).copied();
            let pairs = suspects.triangle.pairs().filter_map(|(a, b)| Some((fault(a)?, fault(b)?)));
            pairs.map(|(f, g)| posterior.probability(Hypothesis::Pair(f, g))).collect()
        };
        let kept =
            out.none + out.other + out.single.iter().sum::<f64>() + out.pair.iter().sum::<f64>();
        out.scale_and_sum(suspects, kept);
        (out, (1.0 - kept).max(0.0))
    }

    fn scale_and_sum(&mut self, suspects: &Suspects<'_>, total: f64) {
        self.none /= total;
        self.other /= total;
        self.marginal.clear();
        self.cure.clear();
        self.cure.resize(suspects.cures.len(), 0.0);
        let mut add = |number: usize, p: f64| {
            if let Some(sum) = self.cure.get_mut(number) {
                *sum += p;
            }
        };
        add(Cures::NOTHING, self.none);
        add(Cures::UNKNOWN, self.other);
        for (p, number) in self.single.iter_mut().zip(&suspects.cures.single) {
            *p /= total;
            self.marginal.push(*p);
            add(*number as usize, *p);
        }
        let mut pairs = self.pair.iter_mut().zip(&suspects.cures.pair);
        for a in 0..suspects.triangle.0 {
            let mut row = 0.0;
            for b in self.marginal.iter_mut().skip(a + 1) {
                let Some((p, number)) = pairs.next() else { break };
                *p /= total;
                row += *p;
                *b += *p;
                add(*number as usize, *p);
            }
            if let Some(a) = self.marginal.get_mut(a) {
                *a += row;
            }
        }
    }

    fn both(&self, suspects: &Suspects<'_>, a: usize, b: usize) -> f64 {
        if suspects.triangle.0 == 0 {
            return 0.0;
        }
        self.pair.get(suspects.triangle.of(a, b)).copied().unwrap_or(0.0)
    }

    fn marginal(&self, place: usize) -> f64 {
        self.marginal.get(place).copied().unwrap_or(0.0)
    }

    /// The probabilities of no fault, and of one that isn't listed.
    pub fn ends(&self) -> (f64, f64) {
        (self.none, self.other)
    }

    /// The likeliest cure's probability.
    pub fn surest(&self) -> f64 {
        self.cure.iter().copied().fold(0.0, f64::max)
    }

    /// What a check would give. Hypotheses that a check can't tell apart, since the same suspects
    /// touch it in them, are taken together: it costs the square of its suspects, not of all.
    pub fn forecast(&self, suspects: &Suspects<'_>, touched: &Touched<'_>) -> Forecast {
        let bands = touched.row.bands;
        let mut rest = 1.0 - self.other;
        let mut chance = [0.0; MAX_BANDS];
        let mut within = self.other * libm::log2(count(bands));
        let mut add = |p: f64, of: &Bands, entropy: f64| {
            chance.iter_mut().zip(of).for_each(|(sum, q)| *sum += p * q);
            within += p * entropy;
        };
        let mut only: Vec<f64> = touched.alone.iter().map(|s| self.marginal(s.place)).collect();
        for (i, a) in touched.alone.iter().enumerate() {
            for (j, b) in touched.alone.iter().enumerate().skip(i + 1) {
                let p = self.both(suspects, a.place, b.place);
                if p > 0.0 {
                    let outcome = touched.both(i, j);
                    add(p, &outcome.chance, outcome.entropy);
                    rest -= p;
                    [i, j].iter().for_each(|at| {
                        if let Some(only) = only.get_mut(*at) {
                            *only -= p;
                        }
                    });
                }
            }
        }
        for (a, only) in touched.alone.iter().zip(&only) {
            add(only.max(0.0), &a.outcome.chance, a.outcome.entropy);
            rest -= only.max(0.0);
        }
        add(rest.max(0.0), &touched.none.chance, touched.none.entropy);
        let even = self.other / count(bands);
        chance.iter_mut().take(bands).for_each(|sum| *sum += even);
        Forecast { bits: (entropy(&chance) - within).max(0.0), chance }
    }

    /// Bits about the **cure** that a check would give: what two faults with the same cure would be
    /// told apart by counts for nothing.
    pub fn bits(
        &self,
        suspects: &Suspects<'_>,
        touched: &Touched<'_>,
        forecast: &Forecast,
        scratch: &mut Scratch,
    ) -> f64 {
        if suspects.cures.distinct {
            return forecast.bits;
        }
        scratch.collect(self, suspects, touched);
        let bands = touched.row.bands;
        let none = &touched.none.chance;
        let information = |joint: f64, p: f64, k: f64| {
            if joint > 0.0 && p > 0.0 && k > 0.0 {
                joint * libm::log2(joint / (p * k))
            } else {
                0.0
            }
        };
        let mut bits = 0.0;
        let mut rest = 1.0 - self.other;
        for (number, shift) in scratch.touched() {
            let p = self.cure.get(number as usize).copied().unwrap_or(0.0);
            rest -= p;
            for ((k, q), shift) in forecast.chance.iter().zip(none).zip(shift).take(bands) {
                bits += information(p * q + shift, p, *k);
            }
        }
        scratch.clear();
        let rest = rest.max(0.0);
        for (k, q) in forecast.chance.iter().zip(none).take(bands) {
            bits += information(rest * q, rest, *k);
            bits += information(self.other / count(bands), self.other, *k);
        }
        bits.max(0.0)
    }

    /// What would be held after a check was read in a band for certain (by its slip it may lie);
    /// `None` where that can't happen. With its chance.
    pub fn after(&self, suspects: &Suspects<'_>, check: Check, band: usize) -> Option<(f64, Self)> {
        let touched = suspects.check(check)?;
        let at = |chance: &Bands| chance.get(band).copied().unwrap_or(0.0);
        let none = at(&touched.none.chance);
        let mut factor = vec![none; self.single.len()];
        let mut on = vec![false; self.single.len()];
        for suspect in &touched.alone {
            if let (Some(f), Some(on)) = (factor.get_mut(suspect.place), on.get_mut(suspect.place))
            {
                (*f, *on) = (at(&suspect.outcome.chance), true);
            }
        }
        let mut out = Self {
            none: self.none * none,
            other: self.other / count(touched.row.bands),
            single: self.single.iter().zip(&factor).map(|(p, f)| p * f).collect(),
            pair: Vec::with_capacity(self.pair.len()),
            marginal: Vec::with_capacity(self.single.len()),
            cure: Vec::with_capacity(self.cure.len()),
        };
        for (a, row) in suspects.triangle.rows(&self.pair) {
            match (on.get(a), factor.get(a)) {
                (Some(true), Some(own)) => out.pair.extend(row.iter().map(|p| p * own)),
                _ => out.pair.extend(row.iter().zip(factor.iter().skip(a + 1)).map(|(p, f)| p * f)),
            }
        }
        if suspects.triangle.0 > 0 {
            for (i, a) in touched.alone.iter().enumerate() {
                for (j, b) in touched.alone.iter().enumerate().skip(i + 1) {
                    let place = suspects.triangle.of(a.place, b.place);
                    if let Some(slot) = out.pair.get_mut(place) {
                        *slot =
                            self.both(suspects, a.place, b.place) * at(&touched.both(i, j).chance);
                    }
                }
            }
        }
        let chance =
            out.none + out.other + out.single.iter().sum::<f64>() + out.pair.iter().sum::<f64>();
        if chance <= 0.0 {
            return None;
        }
        out.scale_and_sum(suspects, chance);
        Some((chance, out))
    }
}

impl Scratch {
    /// The cures that suspects of a check belong to, each with how far its joint chance with each
    /// band lies off that of an untouched one.
    pub fn touched(&self) -> impl Iterator<Item = (u32, &Bands)> {
        self.touched.iter().filter_map(|number| Some((*number, self.shift.get(*number as usize)?)))
    }

    pub fn shift(&self, number: u32) -> Option<&Bands> {
        self.shift.get(number as usize)
    }

    pub fn clear(&mut self) {
        for number in self.touched.drain(..) {
            let at = number as usize;
            if let (Some(shift), Some(flag)) = (self.shift.get_mut(at), self.is_touched.get_mut(at))
            {
                (*shift, *flag) = ([0.0; MAX_BANDS], false);
            }
        }
    }

    pub fn collect(&mut self, belief: &Belief, suspects: &Suspects<'_>, touched: &Touched<'_>) {
        self.shift.resize(suspects.cures.len(), [0.0; MAX_BANDS]);
        self.is_touched.resize(suspects.cures.len(), false);
        self.on_check.clear();
        self.on_check.resize(suspects.faults.len(), false);
        for suspect in &touched.alone {
            if let Some(on) = self.on_check.get_mut(suspect.place) {
                *on = true;
            }
        }
        let triangle = suspects.triangle;
        let cures = &suspects.cures;
        for (i, a) in touched.alone.iter().enumerate() {
            let own = shift(&a.outcome.chance, &touched.none.chance);
            let p = belief.single.get(a.place).copied().unwrap_or(0.0);
            self.add(cures.single.get(a.place), p, &own);
            for (j, b) in touched.alone.iter().enumerate().skip(i + 1).take(triangle.0) {
                let at = triangle.of(a.place, b.place);
                let both = shift(&touched.both(i, j).chance, &touched.none.chance);
                let p = belief.pair.get(at).copied().unwrap_or(0.0);
                self.add(cures.pair.get(at), p, &both);
            }
            self.with_untouched(belief, suspects, a.place, &own);
        }
    }

    /// The pairs of a suspect with those that the check isn't touched by.
    fn with_untouched(
        &mut self,
        belief: &Belief,
        suspects: &Suspects<'_>,
        place: usize,
        own: &Bands,
    ) {
        let triangle = suspects.triangle;
        let (pair, cures) = (&belief.pair, &suspects.cures.pair);
        let on_check = std::mem::take(&mut self.on_check);
        let free = |(b, on): (usize, &bool)| (!*on).then_some(b);
        for b in on_check.iter().enumerate().take(place.min(triangle.0)).filter_map(free) {
            let at = triangle.at(b, place);
            self.add(cures.get(at), pair.get(at).copied().unwrap_or(0.0), own);
        }
        // Those after it stand side by side.
        let row = triangle.row(place)..triangle.row(place + 1);
        let row =
            pair.get(row.clone()).into_iter().flatten().zip(cures.get(row).into_iter().flatten());
        for ((p, number), _) in row.zip(on_check.iter().skip(place + 1)).filter(|(_, on)| !**on) {
            self.add(Some(number), *p, own);
        }
        self.on_check = on_check;
    }

    fn add(&mut self, number: Option<&u32>, p: f64, by: &Bands) {
        let Some(number) = number else { return };
        let at = *number as usize;
        let (Some(sum), Some(flag)) = (self.shift.get_mut(at), self.is_touched.get_mut(at)) else {
            return;
        };
        if !std::mem::replace(flag, true) {
            self.touched.push(*number);
        }
        sum.iter_mut().zip(by).for_each(|(sum, by)| *sum += p * by);
    }
}

fn shift(to: &Bands, from: &Bands) -> Bands {
    let mut out = [0.0; MAX_BANDS];
    for (o, (to, from)) in out.iter_mut().zip(to.iter().zip(from)) {
        *o = to - from;
    }
    out
}
