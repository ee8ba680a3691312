//! What repairs are expected to cost after a check that might be made, for many checks.
//!
//! The same figure as [`plan`](crate::repair_order::plan) gives for the belief after each band, got
//! without working that belief out: what is held of parts is that of an untouched check, put right
//! for the suspects of this one, and a plan is followed only for as long as more steps may make it
//! cheaper.

use super::belief::{Belief, Forecast};
use super::suspects::Suspects;
use crate::MAX_BANDS;
use crate::index::Part;
use crate::network::RepairCosts;
use crate::repair_order::Step;
use crate::sight::View;
use crate::spread::Bands;
use crate::triangle::Triangle;

pub(crate) struct Outlay<'a, 'n> {
    suspects: &'a Suspects<'n>,
    belief: &'a Belief,
    costs: &'a RepairCosts,
    /// Of each two suspects, as a square; empty where one fault at a time is supposed.
    square: Vec<f64>,
    /// By part: the probability that it has to be replaced.
    faulty: Vec<f64>,
    room: Room,
}

/// Room for one check.
#[derive(Default)]
struct Room {
    /// By band and part: how far the joint chance lies off that of an untouched one.
    shift: Vec<f64>,
    /// By band and suspect: the same of what those that touch the check hold together with it.
    beside: Vec<f64>,
    /// By suspect: its place among those that touch the check and one more, else 0.
    on: Vec<usize>,
    replaced: Vec<bool>,
    /// The chance of a band under none and each of them, in the order of these numbers.
    alone: Vec<f64>,
    /// Suspects all of whose parts are replaced, each with its number in `on`.
    mended: Vec<(usize, usize)>,
    order: Order,
}

/// Steps by probability over cost, the earlier of equals first. Mostly few are asked for.
#[derive(Default)]
struct Order {
    /// By part, and last that of replacing nothing; below 0 what is impossible or done.
    ratios: Vec<f64>,
    asked: usize,
    /// Those left, from the last one to the next one, once many were asked for.
    sorted: Vec<(f64, usize)>,
}

/// After so many steps those left are sorted.
const FEW: usize = 16;

impl Order {
    fn next(&mut self) -> Option<Step> {
        self.asked += 1;
        if self.asked > FEW {
            return self.sorted.pop().map(|(_, at)| self.step(at));
        }
        let most = greatest(&self.ratios);
        let next = self.ratios.iter().position(|ratio| *ratio == most && most > 0.0)?;
        if let Some(ratio) = self.ratios.get_mut(next) {
            *ratio = -1.0;
        }
        if self.asked == FEW {
            let left = self.ratios.iter().copied().zip(0..).filter(|(ratio, _)| *ratio > 0.0);
            self.sorted.clear();
            self.sorted.extend(left);
            self.sorted.sort_by(|(x, a), (y, b)| x.total_cmp(y).then_with(|| b.cmp(a)));
        }
        Some(self.step(next))
    }

    fn step(&self, at: usize) -> Step {
        if at + 1 == self.ratios.len() { Step::Nothing } else { Step::Replace(Part(at)) }
    }
}

impl<'a, 'n> Outlay<'a, 'n> {
    /// `None` where costs aren't known.
    pub fn of(suspects: &'a Suspects<'n>, belief: &'a Belief) -> Option<Self> {
        let costs = suspects.network.costs()?;
        let (count, parts) = (suspects.triangle.0, suspects.parts());
        let mut square = vec![0.0; count * count];
        for ((a, b), p) in suspects.triangle.pairs().zip(&belief.pair) {
            for at in [a * count + b, b * count + a] {
                if let Some(slot) = square.get_mut(at) {
                    *slot = *p;
                }
            }
        }
        let room = Room {
            on: vec![0; suspects.faults.len()],
            replaced: vec![false; parts],
            ..Room::default()
        };
        let mut out = Self { suspects, belief, costs, square, faulty: Vec::new(), room };
        out.faulty = (0..parts).map(|part| out.faulty(part)).collect();
        Some(out)
    }

    /// The probability that a part has to be replaced.
    fn faulty(&self, part: usize) -> f64 {
        let with = self.suspects.with_part(part);
        let each = with.iter().map(|place| self.with_any(*place));
        // Two faults with the same part were counted twice.
        let twice = Triangle(with.len()).pairs().filter_map(|(i, j)| {
            let (a, b) = (with.get(i)?, with.get(j)?);
            Some(self.both(*a, *b))
        });
        each.sum::<f64>() - twice.sum::<f64>()
    }

    /// The probability of a suspect, alone or with another.
    fn with_any(&self, place: usize) -> f64 {
        self.belief.marginal.get(place).copied().unwrap_or(0.0)
    }

    fn both(&self, a: usize, b: usize) -> f64 {
        self.square.get(a * self.suspects.triangle.0 + b).copied().unwrap_or(0.0)
    }

    /// Expected cost of repairs with nothing more measured.
    pub fn now(&mut self) -> f64 {
        self.in_band(None, 0, 1.0)
    }

    /// Expected cost of repairs once a check is made: the sum over its bands of
    /// `P(band) ECR(after it)`.
    pub fn after(&mut self, view: View<'_>, forecast: &Forecast) -> f64 {
        for (i, of) in view.on().iter().enumerate() {
            if let Some(on) = self.room.on.get_mut(of.place) {
                *on = i + 1;
            }
        }
        self.shift(view);
        let bands = forecast.chance.iter().take(view.bands()).enumerate();
        let sum = bands.map(|(band, chance)| self.in_band(Some(view), band, *chance)).sum();
        self.room.shift.clear();
        for of in view.on() {
            if let Some(on) = self.room.on.get_mut(of.place) {
                *on = 0;
            }
        }
        sum
    }

    /// What the suspects of a check change of the joint chances of parts and bands.
    fn shift(&mut self, view: View<'_>) {
        let (suspects, count) = (self.suspects, self.suspects.triangle.0);
        let parts = suspects.parts();
        let none = view.sight.row(View::NONE);
        let mut beside = std::mem::take(&mut self.room.beside);
        beside.clear();
        beside.resize(view.bands() * count, 0.0);
        self.room.shift.resize(view.bands() * parts, 0.0);
        for (i, a) in view.on().iter().enumerate() {
            let own = off(view.sight.row(View::alone(i)), none, view.bands());
            let row = self.square.get(a.place * count..(a.place + 1) * count).unwrap_or_default();
            for (own, list) in own.iter().zip(beside.chunks_exact_mut(count.max(1))) {
                list.iter_mut().zip(row).for_each(|(sum, p)| *sum += own * p);
            }
            // With none but untouched ones beside it.
            let touched = view.on().iter().map(|b| self.both(a.place, b.place)).sum::<f64>();
            let p = self.with_any(a.place) - touched;
            for part in suspects.parts_of(a.place) {
                // A part that both have is replaced once.
                let shared = suspects.with_part(part.0).iter().filter(|b| !self.is_on(**b));
                let shared: f64 = shared.map(|b| self.both(a.place, *b)).sum();
                self.room.add(parts, *part, p - shared, &own);
            }
            for (j, b) in view.on().iter().enumerate().skip(i + 1).take(count) {
                let p = self.both(a.place, b.place);
                let both = off(&view.both(i, j), none, view.bands());
                let (one, two) = (suspects.parts_of(a.place), suspects.parts_of(b.place));
                one.iter().for_each(|part| self.room.add(parts, *part, p, &both));
                let rest = two.iter().filter(|part| !one.contains(part));
                rest.for_each(|part| self.room.add(parts, *part, p, &both));
            }
        }
        for list in beside.chunks_exact_mut(count.max(1)) {
            for of in view.on() {
                list.get_mut(of.place).into_iter().for_each(|sum| *sum = 0.0);
            }
        }
        let sums = self.room.shift.chunks_exact_mut(parts.max(1));
        for (sums, list) in sums.zip(beside.chunks_exact(count.max(1))) {
            for (place, part) in suspects.places_and_parts() {
                if let (Some(sum), Some(by)) = (sums.get_mut(*part), list.get(*place)) {
                    *sum += by;
                }
            }
        }
        self.room.beside = beside;
    }

    fn is_on(&self, place: usize) -> bool {
        self.room.on.get(place).is_some_and(|on| *on > 0)
    }

    /// `P(band) ECR`: all weights here are joint with the band.
    fn in_band(&mut self, view: Option<View<'_>>, band: usize, chance: f64) -> f64 {
        let untouched = view.map_or(1.0, |view| figure(view.sight.row(View::NONE), band));
        let nothing = self.belief.none * untouched;
        self.room.alone.clear();
        let rows = view.map(|view| view.sight.rows().take(View::alone(view.on().len())));
        self.room.alone.extend(rows.into_iter().flatten().map(|row| figure(row, band)));
        let mut order = std::mem::take(&mut self.room.order);
        order.asked = 0;
        order.ratios.clear();
        let parts = self.faulty.iter().enumerate();
        let costs = |at| self.costs.of(Step::Replace(Part(at)));
        let shift = self.room.shift.get(band * self.faulty.len()..).filter(|_| view.is_some());
        match shift {
            Some(shift) => order.ratios.extend(
                parts
                    .zip(shift)
                    .map(|((at, faulty), shift)| (faulty * untouched + shift) / costs(at)),
            ),
            None => order.ratios.extend(parts.map(|(at, faulty)| faulty / costs(at))),
        }
        order.ratios.push(nothing / self.costs.of(Step::Nothing));
        let (mut spent, mut left) = (0.0, chance);
        let mut best = left * self.costs.escalate;
        // What is spent only grows: beyond the best so far, no further step helps.
        while spent < best {
            let Some(step) = order.next() else { break };
            spent += left * self.costs.of(step);
            let right = match step {
                Step::Nothing => nothing,
                Step::Replace(part) => self.mended_with(part, view, band),
            };
            left = f64::max(left - right, 0.0);
            best = f64::min(best, spent + left * self.costs.escalate);
        }
        self.room.order = order;
        self.room.replaced.fill(false);
        self.room.mended.clear();
        best
    }

    /// The joint weight of the hypotheses all of whose parts are replaced once this one is.
    fn mended_with(&mut self, part: Part, view: Option<View<'_>>, band: usize) -> f64 {
        if let Some(replaced) = self.room.replaced.get_mut(part.0) {
            *replaced = true;
        }
        let count = self.suspects.triangle.0;
        let mut sum = 0.0;
        for place in self.suspects.with_part(part.0) {
            let replaced = |part: &Part| self.room.replaced.get(part.0) == Some(&true);
            if !self.suspects.parts_of(*place).iter().all(replaced) {
                continue;
            }
            let on = self.room.on.get(*place).copied().unwrap_or(0);
            let alone = self.belief.single.get(*place).copied().unwrap_or(0.0);
            sum += alone * self.shown(on, 0, view, band);
            let row = self.square.get(place * count..(place + 1) * count).unwrap_or_default();
            for (other, its) in &self.room.mended {
                let p = row.get(*other).copied().unwrap_or(0.0);
                sum += p * self.shown(on, *its, view, band);
            }
            self.room.mended.push((*place, on));
        }
        sum
    }

    /// The chance of a band under one suspect, or two, each by its number in [`Room::on`].
    fn shown(&self, a: usize, b: usize, view: Option<View<'_>>, band: usize) -> f64 {
        match (view, a, b) {
            (None, ..) => 1.0,
            (_, on, 0) | (_, 0, on) => self.room.alone.get(on).copied().unwrap_or(0.0),
            (Some(view), a, b) => figure(&view.both(a.min(b) - 1, a.max(b) - 1), band),
        }
    }
}

/// The greatest, in four strands, none of which waits for the others.
fn greatest(list: &[f64]) -> f64 {
    let greater = |a: f64, b: f64| if b > a { b } else { a };
    let mut strands = [0.0; 4];
    let chunks = list.chunks_exact(4);
    let rest = chunks.remainder().iter().copied().fold(0.0, greater);
    for chunk in chunks {
        strands.iter_mut().zip(chunk).for_each(|(most, of)| *most = greater(*most, *of));
    }
    strands.into_iter().fold(rest, greater)
}

impl Room {
    fn add(&mut self, parts: usize, part: Part, p: f64, by: &Bands) {
        let sums = self.shift.iter_mut().skip(part.0).step_by(parts.max(1));
        sums.zip(by).for_each(|(sum, by)| *sum += p * by);
    }
}

fn figure(row: &[f64], band: usize) -> f64 {
    row.get(band).copied().unwrap_or(0.0)
}

fn off(row: &[f64], none: &[f64], bands: usize) -> Bands {
    let mut out = [0.0; MAX_BANDS];
    for (out, (row, none)) in out.iter_mut().zip(row.iter().zip(none)).take(bands) {
        *out = row - none;
    }
    out
}
