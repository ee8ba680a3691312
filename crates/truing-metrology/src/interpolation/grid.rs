//! A table with two entries.

use super::table::{TableError, axis, finite_cells};
use crate::correction::{OutOfRange, WithSlopes, within};

/// Rising entries `x` and `y`, and a value for each pair.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Grid<'a> {
    x: &'a [f64],
    y: &'a [f64],
    values: &'a [f64],
}

impl<'a> Grid<'a> {
    /// A grid with one row of `values` for each `y`, and in each row one value for each `x`.
    ///
    /// # Errors
    /// An axis that is too short or does not rise, a cell that is no finite number, a number of
    /// values that is not that of the pairs.
    pub fn new(x: &'a [f64], y: &'a [f64], values: &'a [f64]) -> Result<Self, TableError> {
        axis(x)?;
        axis(y)?;
        finite_cells(values)?;
        let pairs = x.len().saturating_mul(y.len());
        if values.len() != pairs {
            return Err(TableError::Unequal { x: pairs, y: values.len() });
        }
        Ok(Self { x, y, values })
    }

    /// The value at a pair of entries, linear along each: bilinear interpolation. Slopes: by `x`,
    /// by `y`; on a line of the grid, those of the cell which starts there.
    ///
    /// # Errors
    /// An entry outside the grid.
    pub fn at(&self, x: f64, y: f64) -> Result<WithSlopes<2>, OutOfRange> {
        let (column, (x0, x1)) = cell("x", self.x, x)?;
        let (row, (y0, y1)) = cell("y", self.y, y)?;
        let corner = |column: usize, row: usize| {
            let place = row.saturating_mul(self.x.len()).saturating_add(column);
            self.values.get(place).copied().unwrap_or(f64::NAN)
        };
        let (right, up) = ((x - x0) / (x1 - x0), (y - y0) / (y1 - y0));
        let (left, down) = ((x1 - x) / (x1 - x0), (y1 - y) / (y1 - y0));
        let (c00, c10) = (corner(column, row), corner(column + 1, row));
        let (c01, c11) = (corner(column, row + 1), corner(column + 1, row + 1));
        let value = down * (left * c00 + right * c10) + up * (left * c01 + right * c11);
        let by_x = (down * (c10 - c00) + up * (c11 - c01)) / (x1 - x0);
        let by_y = (left * (c01 - c00) + right * (c11 - c10)) / (y1 - y0);
        WithSlopes::checked(value, [by_x, by_y])
    }
}

/// The place of the line at or before an entry, and the ends of the cell after it.
fn cell(what: &'static str, axis: &[f64], entry: f64) -> Result<(usize, (f64, f64)), OutOfRange> {
    let end = |cell: Option<&f64>| cell.copied().unwrap_or(f64::NAN);
    let (low, high) = (end(axis.first()), end(axis.last()));
    within(what, entry, low, high)?;
    let after = axis.partition_point(|line| *line <= entry).clamp(1, axis.len().max(2) - 1);
    let ends = (end(axis.get(after - 1)), end(axis.get(after)));
    Ok((after - 1, ends))
}
