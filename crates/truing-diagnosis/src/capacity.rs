//! How much a check can tell at best, and what no order of checks can do without, readings being as
//! uncertain as the spec says.
//!
//! A check is a channel from what is wrong to the band that is read. However probable the faults are,
//! it tells no more than its capacity (Shannon 1948), got by the iteration of Blahut (1972) and
//! Arimoto (1972).

use std::collections::BTreeMap;

use serde::Serialize;

use crate::MAX_BANDS;
use crate::cure::Cure;
use crate::index::{Check, Fault, Hypothesis};
use crate::network::Network;
use crate::spread::{Bands, count};
use crate::strategy::Floor;

/// The iteration ends where the bounds on a capacity are so close, in bits.
const CLOSE: f64 = 1e-7;

/// Or after so many turns; the upper bound is given then too.
const TURNS: usize = 2_000;

/// What no order of checks can do without until one cure is as probable as asked for.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct LeastEffort {
    /// So many bits about the cure.
    pub bits: f64,
    /// So many measurements on average; `None` where all checks together cannot tell so much.
    pub measurements: Option<f64>,
    /// So many minutes on average, likewise.
    pub minutes: Option<f64>,
}

/// The capacity in bits of a channel, from the chances of what comes out for each thing that goes in;
/// never less than it is, and hardly more.
#[must_use]
pub fn capacity(channel: &[Vec<f64>]) -> f64 {
    let rows: Vec<Bands> = channel
        .iter()
        .map(|row| {
            let mut bands = [0.0; MAX_BANDS];
            bands.iter_mut().zip(row).for_each(|(band, p)| *band = *p);
            bands
        })
        .collect();
    of_rows(&rows)
}

fn of_rows(rows: &[Bands]) -> f64 {
    let mut distinct: Vec<&Bands> = Vec::new();
    for row in rows {
        if !distinct.contains(&row) {
            distinct.push(row);
        }
    }
    let mut input = vec![1.0 / count(distinct.len().max(1)); distinct.len()];
    let mut most: f64 = 0.0;
    for _ in 0..TURNS {
        let mut out = [0.0; MAX_BANDS];
        for (row, p) in distinct.iter().zip(&input) {
            out.iter_mut().zip(*row).for_each(|(sum, q)| *sum += p * q);
        }
        let tells: Vec<f64> = distinct.iter().map(|row| divergence(row, &out)).collect();
        most = tells.iter().copied().fold(0.0, f64::max);
        let weights = input.iter().zip(&tells).map(|(p, d)| p * libm::exp2(*d));
        let fresh: Vec<f64> = weights.collect();
        let sum: f64 = fresh.iter().sum();
        // `log2(sum)` bounds the capacity from below, the largest divergence from above.
        if most - libm::log2(sum) < CLOSE {
            break;
        }
        input = fresh.iter().map(|p| p / sum).collect();
    }
    most
}

/// Kullback–Leibler, in bits. What comes out of some input comes out at all.
fn divergence(row: &Bands, out: &Bands) -> f64 {
    let terms = row.iter().zip(out).filter(|(q, r)| **q > 0.0 && **r > 0.0);
    terms.map(|(q, r)| q * libm::log2(q / r)).sum()
}

impl Network {
    /// The capacity of a check in bits: what it can tell at best. `None` for a check that isn't there.
    #[must_use]
    pub fn capacity(&self, check: Check) -> Option<f64> {
        let row = self.checks.get(check.0)?;
        // A fault that doesn't touch the check is like none.
        let touching = row.links.iter().map(|link| Hypothesis::Single(link.fault));
        let all = [Hypothesis::None, Hypothesis::Other].into_iter().chain(touching);
        let supposed = all.filter(|h| self.weight(*h) > 0.0 || *h == Hypothesis::None);
        let rows: Vec<Bands> = supposed.filter_map(|h| self.read_under(check, h)).collect();
        Some(of_rows(&rows))
    }

    /// What no order of checks can do without, with one fault at a time, until one cure has the
    /// probability `sure` on average: by Fano's inequality so much has to be told, and no check tells
    /// more than its capacity. Preparation that several checks share is shared out among them.
    #[must_use]
    pub fn least_effort(&self, sure: f64) -> LeastEffort {
        let bits = self.bits_needed(sure);
        let telling = (0..self.checks()).filter_map(|at| {
            let capacity = self.capacity(Check(at)).filter(|capacity| *capacity > CLOSE)?;
            Some((at, capacity))
        });
        let telling: Vec<(usize, f64)> = telling.collect();
        let floor = Floor::in_minutes(self);
        let minutes = telling
            .iter()
            .filter_map(|(at, capacity)| Some((*capacity, floor.shared.get(*at).copied()?)));
        LeastEffort {
            bits,
            measurements: filled(bits, telling.iter().map(|(_, capacity)| (*capacity, 1.0))),
            minutes: filled(bits, minutes),
        }
    }

    /// Entropy of the cures less what may be left of it.
    fn bits_needed(&self, sure: f64) -> f64 {
        let singles = (0..self.faults()).map(|f| Hypothesis::Single(Fault(f)));
        let mut cures: BTreeMap<Cure, f64> = BTreeMap::new();
        for hypothesis in [Hypothesis::None, Hypothesis::Other].into_iter().chain(singles) {
            *cures.entry(self.cure(hypothesis)).or_default() += self.weight(hypothesis);
        }
        let weights: Vec<f64> = cures.into_values().filter(|w| *w > 0.0).collect();
        let sum: f64 = weights.iter().sum();
        let entropy: f64 = weights.iter().map(|w| -w / sum * libm::log2(w / sum)).sum();
        (entropy - fano(1.0 - sure, weights.len())).max(0.0)
    }
}

/// So much entropy at most is left over so many things where the likeliest fails with this chance.
fn fano(fails: f64, of: usize) -> f64 {
    let term = |p: f64| if p > 0.0 { -p * libm::log2(p) } else { 0.0 };
    let others = count(of.saturating_sub(1)).max(1.0);
    term(fails) + term(1.0 - fails) + fails * libm::log2(others)
}

/// The least cost of so many bits, each channel used once at most and in part where that is enough.
fn filled(bits: f64, channels: impl Iterator<Item = (f64, f64)>) -> Option<f64> {
    let mut channels: Vec<(f64, f64)> = channels.collect();
    channels.sort_by(|a, b| (b.0 * a.1).total_cmp(&(a.0 * b.1)));
    let (mut left, mut cost) = (bits, 0.0);
    for (capacity, price) in channels {
        let part = (left / capacity).clamp(0.0, 1.0);
        cost += part * price;
        left -= part * capacity;
    }
    (left <= CLOSE).then_some(cost)
}
