//! Bits about the cure that a check would give: what two faults with the same cure would be told
//! apart by counts for nothing.

use super::belief::{Belief, Forecast};
use super::suspects::Suspects;
use crate::sight::View;
use crate::spread::{Bands, count};

/// No one row: hypotheses of the cure differ in what is read under them.
const MIXED: u32 = u32::MAX;

/// Room for sums by cure, kept so that it isn't made anew for each check.
#[derive(Default)]
pub(crate) struct Scratch {
    /// For forecasts.
    pub weights: Vec<f64>,
    /// By cure: what was met of it.
    met: Vec<Met>,
    /// By cure, where rows are mixed: how far its joint chance with each band lies off that of an
    /// untouched one.
    shift: Vec<Bands>,
    touched: Vec<u32>,
    /// By row of the check's figures: the probability of cures under all of whose hypotheses just
    /// that is read.
    pure: Vec<f64>,
    /// By suspect.
    on_check: Vec<bool>,
}

/// The hypotheses of a cure whose faults touch the check.
#[derive(Clone, Copy, Default)]
struct Met {
    p: f64,
    hypotheses: u32,
    /// The row of what is read under them, or [`MIXED`].
    row: u32,
}

/// What a check is asked, and of which belief.
#[derive(Clone, Copy)]
struct Asked<'a, 'n> {
    belief: &'a Belief,
    suspects: &'a Suspects<'n>,
    view: View<'a>,
}

impl Belief {
    /// Bits about the **cure** that a check would give.
    pub fn bits(
        &self,
        suspects: &Suspects<'_>,
        view: View<'_>,
        forecast: &Forecast,
        scratch: &mut Scratch,
    ) -> f64 {
        let cures = suspects.cures();
        if cures.distinct {
            return forecast.bits;
        }
        scratch.collect(Asked { belief: self, suspects, view });
        let none = view.sight.row(View::NONE);
        let bands = || forecast.chance.iter().zip(none).take(view.bands());
        let mut bits = 0.0;
        let mut rest = 1.0 - self.other;
        for number in scratch.touched.drain(..) {
            let at = number as usize;
            let Some(met) = scratch.met.get_mut(at).map(std::mem::take) else { continue };
            let p = self.cure.get(at).copied().unwrap_or(0.0);
            rest -= p;
            if met.row == MIXED {
                let shift = scratch.shift.get_mut(at).map(std::mem::take).unwrap_or_default();
                for ((k, q), shift) in bands().zip(&shift) {
                    bits += information(p * q + shift, p, *k);
                }
            } else if cures.hypotheses.get(at) == Some(&met.hypotheses) {
                if let Some(sum) = scratch.pure.get_mut(met.row as usize) {
                    *sum += p;
                }
            } else {
                for ((k, q), own) in bands().zip(view.sight.row(met.row as usize)) {
                    bits += information(p * q + met.p * (own - q), p, *k);
                }
            }
        }
        if let Some(sum) = scratch.pure.get_mut(View::NONE) {
            *sum += rest.max(0.0);
        }
        for (p, row) in scratch.pure.iter().zip(view.sight.rows()).filter(|(p, _)| **p > 0.0) {
            let own = row.iter().zip(&forecast.chance).take(view.bands());
            bits += p * own.map(|(q, k)| information(*q, 1.0, *k)).sum::<f64>();
        }
        for k in forecast.chance.iter().take(view.bands()) {
            bits += information(self.other / count(view.bands()), self.other, *k);
        }
        bits.max(0.0)
    }
}

/// What a joint chance of two things adds to the bits that one tells of the other.
fn information(joint: f64, p: f64, k: f64) -> f64 {
    if joint > 0.0 && p > 0.0 && k > 0.0 { joint * libm::log2(joint / (p * k)) } else { 0.0 }
}

impl Scratch {
    /// The cures that suspects of a check belong to, each with what is read under them.
    fn collect(&mut self, asked: Asked<'_, '_>) {
        let Asked { belief, suspects, view } = asked;
        let cures = suspects.cures();
        self.shift.resize(cures.len(), Bands::default());
        self.met.resize(cures.len(), Met::default());
        self.pure.clear();
        self.pure.resize(view.sight.rows().count(), 0.0);
        self.on_check.clear();
        self.on_check.resize(suspects.faults.len(), false);
        for of in view.on() {
            if let Some(on) = self.on_check.get_mut(of.place) {
                *on = true;
            }
        }
        let triangle = suspects.triangle;
        for (i, a) in view.on().iter().enumerate() {
            let p = belief.single.get(a.place).copied().unwrap_or(0.0);
            self.meet(view, cures.single.get(a.place), p, View::alone(i));
            for (j, b) in view.on().iter().enumerate().skip(i + 1).take(triangle.0) {
                let at = triangle.of(a.place, b.place);
                let p = belief.pair.get(at).copied().unwrap_or(0.0);
                if view.sight.two {
                    self.meet(view, cures.pair.get(at), p, view.pair(i, j));
                } else {
                    self.meet_mixed(view, cures.pair.get(at), p, &view.both(i, j));
                }
            }
            self.with_untouched(asked, a.place, View::alone(i));
        }
    }

    /// The pairs of a suspect with those that the check isn't touched by.
    fn with_untouched(&mut self, asked: Asked<'_, '_>, place: usize, row: usize) {
        let Asked { belief, suspects, view } = asked;
        let triangle = suspects.triangle;
        let (pair, cures) = (&belief.pair, &suspects.cures().pair);
        let on_check = std::mem::take(&mut self.on_check);
        for (at, _) in triangle.column(place).zip(&on_check).filter(|(_, on)| !**on) {
            self.meet(view, cures.get(at), pair.get(at).copied().unwrap_or(0.0), row);
        }
        // Those after it stand side by side.
        let range = triangle.row(place)..triangle.row(place + 1);
        let behind = pair.get(range.clone()).into_iter().flatten();
        let behind = behind.zip(cures.get(range).into_iter().flatten());
        for ((p, number), _) in behind.zip(on_check.iter().skip(place + 1)).filter(|(_, on)| !**on)
        {
            self.meet(view, Some(number), *p, row);
        }
        self.on_check = on_check;
    }

    /// A hypothesis of a cure under which a row is read.
    fn meet(&mut self, view: View<'_>, number: Option<&u32>, p: f64, row: usize) {
        let Some(number) = number else { return };
        let Some(met) = self.met.get_mut(*number as usize) else { return };
        let row = u32::try_from(row).unwrap_or(MIXED);
        if met.hypotheses == 0 {
            self.touched.push(*number);
            *met = Met { p, hypotheses: 1, row };
        } else if met.row == row && row != MIXED {
            met.p += p;
            met.hypotheses += 1;
        } else {
            self.meet_mixed(view, Some(number), p, view.sight.row(row as usize));
        }
    }

    /// A hypothesis of a cure that has others, or whose row is not kept.
    fn meet_mixed(&mut self, view: View<'_>, number: Option<&u32>, p: f64, row: &[f64]) {
        let Some(number) = number else { return };
        let at = *number as usize;
        let (Some(met), Some(shift)) = (self.met.get_mut(at), self.shift.get_mut(at)) else {
            return;
        };
        let none = view.sight.row(View::NONE);
        let mut add = |p: f64, row: &[f64]| {
            for (sum, (q, none)) in shift.iter_mut().zip(row.iter().zip(none)) {
                *sum += p * (q - none);
            }
        };
        if met.hypotheses == 0 {
            self.touched.push(*number);
        } else if met.row != MIXED {
            add(met.p, view.sight.row(met.row as usize));
        }
        add(p, row);
        (met.row, met.hypotheses) = (MIXED, met.hypotheses + 1);
    }
}
