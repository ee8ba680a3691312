//! What is held of the suspects, now or after a measurement that might be made.

use super::suspects::Suspects;
use crate::MAX_BANDS;
use crate::cure::Cures;
use crate::index::{Check, Hypothesis};
use crate::posterior::Posterior;
use crate::sight::{On, View, WIDEST};
use crate::spread::{Bands, count, entropy, sum};
use crate::triangle::Triangle;

/// Probabilities over the suspects' hypotheses, with the sums that are asked for again and again.
#[derive(Clone, Debug, Default)]
pub(crate) struct Belief {
    pub none: f64,
    pub other: f64,
    pub single: Vec<f64>,
    pub pair: Vec<f64>,
    /// Of each suspect, alone or with another.
    pub marginal: Vec<f64>,
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
        let kept = out.sum_up(suspects);
        out.scale(kept);
        (out, (1.0 - kept).max(0.0))
    }

    /// Works out the sums, and gives that of all.
    fn sum_up(&mut self, suspects: &Suspects<'_>) -> f64 {
        let cures = suspects.cures();
        self.cure.clear();
        self.cure.resize(cures.len(), 0.0);
        let cure = &mut self.cure;
        let mut add = |number: usize, p: f64| {
            if let Some(sum) = cure.get_mut(number) {
                *sum += p;
            }
        };
        add(Cures::NOTHING, self.none);
        add(Cures::UNKNOWN, self.other);
        self.single.iter().zip(&cures.single).for_each(|(p, number)| add(*number as usize, *p));
        self.marginal.clone_from(&self.single);
        let mut all = self.none + self.other + self.single.iter().sum::<f64>();
        let triangle = suspects.triangle;
        for ((a, row), (_, numbers)) in triangle.rows(&self.pair).zip(triangle.rows(&cures.pair)) {
            row.iter().zip(numbers).for_each(|(p, number)| add(*number as usize, *p));
            let mut marginals = self.marginal.iter_mut().skip(a);
            let own = marginals.next();
            marginals.zip(row).for_each(|(marginal, p)| *marginal += p);
            let sum = sum(row);
            if let Some(own) = own {
                *own += sum;
            }
            all += sum;
        }
        all
    }

    fn scale(&mut self, total: f64) {
        let by = 1.0 / total;
        self.none *= by;
        self.other *= by;
        for list in [&mut self.single, &mut self.pair, &mut self.marginal, &mut self.cure] {
            list.iter_mut().for_each(|p| *p *= by);
        }
    }

    pub fn both(&self, suspects: &Suspects<'_>, a: usize, b: usize) -> f64 {
        if suspects.triangle.0 == 0 {
            return 0.0;
        }
        self.pair.get(suspects.triangle.of(a, b)).copied().unwrap_or(0.0)
    }

    fn together(&self, suspects: &Suspects<'_>, a: Option<&On>, b: Option<&On>) -> f64 {
        a.zip(b).map_or(0.0, |(a, b)| self.both(suspects, a.place, b.place))
    }

    fn marginal(&self, place: usize) -> f64 {
        self.marginal.get(place).copied().unwrap_or(0.0)
    }

    /// The likeliest cure's probability.
    pub fn surest(&self) -> f64 {
        self.cure.iter().copied().fold(0.0, f64::max)
    }

    /// What a check would give. Hypotheses that a check can't tell apart, since the same suspects
    /// touch it in them, are taken together: it costs the square of its suspects, not of all.
    /// `weights` is room.
    pub fn forecast(
        &self,
        suspects: &Suspects<'_>,
        view: View<'_>,
        weights: &mut Vec<f64>,
    ) -> Forecast {
        let (on, bands) = (view.on(), view.bands());
        weights.clear();
        weights.push(0.0);
        weights.extend(on.iter().map(|of| self.marginal(of.place)));
        let mut rest = 1.0 - self.other;
        let mut sums = [0.0; WIDEST];
        let mut add = |p: f64, row: &[f64]| {
            sums.iter_mut().zip(row).for_each(|(sum, figure)| *sum += p * figure);
        };
        if view.sight.two {
            let pairs = view.sight.pairs.iter();
            weights.extend(pairs.map(|at| self.pair.get(*at as usize).copied().unwrap_or(0.0)));
            rest -= view.part(weights);
        } else if suspects.triangle.0 > 0 {
            for (i, j) in Triangle(on.len()).pairs() {
                let p = self.together(suspects, on.get(i), on.get(j));
                for only in [i, j] {
                    if let Some(only) = weights.get_mut(View::alone(only)) {
                        *only -= p;
                    }
                }
                rest -= p;
                add(p, &view.both(i, j));
            }
        }
        for only in weights.iter_mut().skip(1).take(on.len()) {
            *only = only.max(0.0);
            rest -= *only;
        }
        if let Some(none) = weights.first_mut() {
            *none = rest.max(0.0);
        }
        weights.iter().zip(view.sight.rows()).for_each(|(p, row)| add(*p, row));
        let within = sums.get(bands).copied().unwrap_or(0.0) + self.other * view.sight.even;
        let even = self.other / count(bands);
        let mut chance = [0.0; MAX_BANDS];
        chance.iter_mut().zip(&sums).take(bands).for_each(|(p, sum)| *p = sum + even);
        Forecast { bits: (entropy(&chance) - within).max(0.0), chance }
    }

    /// What would be held after a check was read in a band for certain (by its slip it may lie);
    /// `None` where that can't happen. With its chance.
    pub fn after(&self, suspects: &Suspects<'_>, check: Check, band: usize) -> Option<(f64, Self)> {
        let view = suspects.check(check)?;
        let at = |row: &[f64]| row.get(band).copied().unwrap_or(0.0);
        let none = at(view.sight.row(View::NONE));
        let mut factor = vec![none; self.single.len()];
        let mut on = vec![false; self.single.len()];
        for (i, of) in view.on().iter().enumerate() {
            if let (Some(f), Some(on)) = (factor.get_mut(of.place), on.get_mut(of.place)) {
                (*f, *on) = (at(view.sight.row(View::alone(i))), true);
            }
        }
        let mut out = Self {
            none: self.none * none,
            other: self.other / count(view.bands()),
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
        for (i, a) in view.on().iter().enumerate().take(suspects.triangle.0) {
            for (j, b) in view.on().iter().enumerate().skip(i + 1) {
                let place = suspects.triangle.of(a.place, b.place);
                if let Some(slot) = out.pair.get_mut(place) {
                    *slot = self.both(suspects, a.place, b.place) * at(&view.both(i, j));
                }
            }
        }
        let chance = out.sum_up(suspects);
        if chance <= 0.0 {
            return None;
        }
        out.scale(chance);
        Some((chance, out))
    }
}
