//! Where a pair stands in a flat list of all pairs of `n` things.

/// The pairs of `n` things, row by row: (0,1), (0,2) … (0,n-1), (1,2) …
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Triangle(pub usize);

impl Triangle {
    pub fn len(self) -> usize {
        self.0 * self.0.saturating_sub(1) / 2
    }

    /// Where the row of `(a, a+1)` begins.
    pub fn row(self, a: usize) -> usize {
        a * (2 * self.0).saturating_sub(a + 1) / 2
    }

    /// Where `(a, b)` stands, `a < b < n`.
    pub fn at(self, a: usize, b: usize) -> usize {
        debug_assert!(a < b && b < self.0, "({a}, {b}) of {}", self.0);
        self.row(a) + b - a - 1
    }

    /// Where the pair of two different things stands, in either order.
    pub fn of(self, a: usize, b: usize) -> usize {
        if a < b { self.at(a, b) } else { self.at(b, a) }
    }

    /// All pairs in their order.
    pub fn pairs(self) -> impl Iterator<Item = (usize, usize)> + Clone {
        (0..self.0).flat_map(move |a| (a + 1..self.0).map(move |b| (a, b)))
    }

    /// Where `(0, b)`, `(1, b)` … `(b-1, b)` stand.
    pub fn column(self, b: usize) -> impl Iterator<Item = usize> {
        (0..b.min(self.0)).map(move |a| self.at(a, b))
    }

    /// Rows of a flat list: `(a, the entries of (a, a+1) …)`.
    pub fn rows<T>(self, flat: &[T]) -> impl Iterator<Item = (usize, &[T])> {
        (0..self.0).map(move |a| {
            let row = flat.get(self.row(a)..self.row(a + 1)).unwrap_or(&[]);
            (a, row)
        })
    }

    /// Multiplies each entry of a flat list by the figures of both things.
    pub fn multiply(self, flat: &mut [f64], by: &[f64]) {
        let (mut rest, mut by) = (flat, by);
        while let Some((own, others)) = by.split_first() {
            let Some((row, behind)) = rest.split_at_mut_checked(others.len()) else { break };
            row.iter_mut().zip(others).for_each(|(entry, other)| *entry *= own * other);
            (rest, by) = (behind, others);
        }
    }
}
