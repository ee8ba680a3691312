//! What is read off a check under the faults that touch it: figures that no reading changes.

use std::ops::Deref;

use crate::MAX_BANDS;
use crate::index::Fault;
use crate::network::CheckRow;
use crate::spread::{Bands, count, entropy, slipped};
use crate::triangle::Triangle;

/// With more faults than this on one check, what two of them do together is worked out each time.
const PAIRS_KEPT: usize = 24;

/// The most figures of a row.
pub(crate) const WIDEST: usize = MAX_BANDS + 1;

/// The suspects that touch a check, and what is read, slip included, under none of them, each and
/// each two. A row of figures is the chance of each band and the entropy of them all, in bits.
#[derive(Clone, Debug)]
pub(crate) struct Sight {
    /// Rising by place.
    pub on: Vec<On>,
    /// Rows: none, each alone, each two row by row (see [`Triangle`]) where they are few.
    table: Vec<f64>,
    /// Figures of a row.
    width: usize,
    /// Entropy of bands that are all as likely.
    pub even: f64,
    /// There is a row of each two.
    pub two: bool,
    /// Then the place of each two among the pairs of suspects.
    pub pairs: Vec<u32>,
}

/// A suspect that touches a check.
#[derive(Clone, Copy, Debug)]
pub(crate) struct On {
    /// Its place among the suspects.
    pub place: usize,
    /// Its place among the links of the check.
    link: usize,
}

impl Sight {
    /// `place` gives that of a fault that is a suspect, `triangle` has the pairs of suspects.
    pub fn of(row: &CheckRow, place: impl Fn(Fault) -> Option<usize>, triangle: Triangle) -> Self {
        let on = row.links.iter().enumerate();
        let on = on.filter_map(|(link, of)| Some(On { place: place(of.fault)?, link }));
        let on: Vec<On> = on.collect();
        let (width, mut table) = (row.bands + 1, Vec::new());
        let mut keep = |chance: &Bands| table.extend(figures(chance, row).iter().take(width));
        keep(&row.leak.chance);
        for of in on.iter().filter_map(|on| row.links.get(on.link)) {
            keep(&of.alone.chance);
        }
        let two = triangle.0 > 0 && on.len() <= PAIRS_KEPT;
        let mut pairs = Vec::new();
        for (i, j) in Triangle(if two { on.len() } else { 0 }).pairs() {
            let (a, b) = (on.get(i), on.get(j));
            keep(&together(row, a, b));
            let at = a.zip(b).map(|(a, b)| triangle.of(a.place, b.place));
            pairs.push(at.and_then(|at| u32::try_from(at).ok()).unwrap_or(u32::MAX));
        }
        Self { on, table, width, even: libm::log2(count(row.bands)), two, pairs }
    }

    /// Its rows, one after the other.
    pub fn rows(&self) -> impl Iterator<Item = &[f64]> {
        self.table.chunks_exact(self.width)
    }

    pub fn row(&self, at: usize) -> &[f64] {
        self.table.get(at * self.width..(at + 1) * self.width).unwrap_or_default()
    }
}

/// Noisy-MAX of two links of a check.
fn together(row: &CheckRow, a: Option<&On>, b: Option<&On>) -> Bands {
    let link = |on: Option<&On>| on.and_then(|on| row.links.get(on.link));
    match (link(a), link(b)) {
        (Some(a), Some(b)) => a.alone.max_chance(&b.push),
        _ => row.leak.chance,
    }
}

fn figures(chance: &Bands, row: &CheckRow) -> [f64; WIDEST] {
    let chance = slipped(chance, row.slip, row.bands);
    let mut out = [0.0; WIDEST];
    out.iter_mut().zip(&chance).for_each(|(out, chance)| *out = *chance);
    if let Some(last) = out.get_mut(row.bands) {
        *last = entropy(&chance);
    }
    out
}

/// A check with its suspects.
#[derive(Clone, Copy)]
pub(crate) struct View<'a> {
    pub row: &'a CheckRow,
    pub sight: &'a Sight,
}

/// A row of figures.
pub(crate) enum Figures<'a> {
    Kept(&'a [f64]),
    Made([f64; WIDEST]),
}

impl Deref for Figures<'_> {
    type Target = [f64];

    fn deref(&self) -> &[f64] {
        match self {
            Self::Kept(row) => row,
            Self::Made(row) => row,
        }
    }
}

impl<'a> View<'a> {
    pub fn bands(self) -> usize {
        self.row.bands
    }

    /// The suspects that touch it.
    pub fn on(self) -> &'a [On] {
        &self.sight.on
    }

    /// The row of what is read under none of its suspects.
    pub const NONE: usize = 0;

    /// The number of the row of the `i`th suspect alone.
    pub fn alone(i: usize) -> usize {
        1 + i
    }

    /// The number of the row of the `i`th and the `j`th suspect, `i < j`.
    pub fn pair(self, i: usize, j: usize) -> usize {
        1 + self.on().len() + Triangle(self.on().len()).at(i, j)
    }

    /// Of weights of its rows, takes those of pairs from those of their suspects, and gives what
    /// was taken from each first one.
    pub fn part(self, weights: &mut [f64]) -> f64 {
        let count = self.on().len();
        let Some((alone, mut pairs)) = weights.split_at_mut_checked(View::alone(count)) else {
            return 0.0;
        };
        let mut all = 0.0;
        let mut behind = alone.get_mut(1..).unwrap_or_default();
        while let Some((own, others)) = behind.split_first_mut() {
            let Some((row, rest)) = pairs.split_at_mut_checked(others.len()) else { break };
            let mut sum = 0.0;
            for (p, other) in row.iter().zip(&mut *others) {
                sum += p;
                *other -= p;
            }
            *own -= sum;
            all += sum;
            (behind, pairs) = (others, rest);
        }
        all
    }

    /// What is read under the `i`th and the `j`th of the suspects, `i < j`.
    pub fn both(self, i: usize, j: usize) -> Figures<'a> {
        if self.sight.two {
            return Figures::Kept(self.sight.row(self.pair(i, j)));
        }
        let together = together(self.row, self.on().get(i), self.on().get(j));
        Figures::Made(figures(&together, self.row))
    }
}
