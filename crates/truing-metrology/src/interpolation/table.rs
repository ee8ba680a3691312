//! A table with one entry.

use thiserror::Error;

use super::pchip;
use crate::correction::{OutOfRange, WithSlope, positive, within};

/// What stands between two rows.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Law {
    /// The value of the row at or before the point.
    Step,
    /// A straight line.
    Linear,
    /// A straight line over the logarithm of the entry; the column `x` is above zero.
    LogX,
    /// A straight line to the logarithm of the value, an exponential; the column `y` is above zero.
    LogY,
    /// Both, a power law.
    LogLog,
    /// A cubic with continuous slope that rises only where the rows rise: the slopes of Fritsch and
    /// Butland (SIAM J. Sci. Stat. Comput. 5 (1984) 300; `from memory`), as
    /// `scipy.interpolate.PchipInterpolator` does it.
    Pchip,
}

/// Which way a column goes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Monotone {
    /// Each row is above the one before.
    Rising,
    /// Each row is below the one before.
    Falling,
    /// No row is below the one before, and some are equal to it.
    NeverFalling,
    /// No row is above the one before, and some are equal to it.
    NeverRising,
}

/// Why two columns are no table.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Error)]
pub enum TableError {
    /// Fewer than two rows.
    #[error("a table has at least two rows")]
    TooShort,
    /// The columns have different lengths.
    #[error("{x} entries but {y} values")]
    Unequal {
        /// Rows in the column of entries.
        x: usize,
        /// Rows, or cells, in the column of values.
        y: usize,
    },
    /// A cell is infinite or not a number.
    #[error("row {row} holds no finite number")]
    NotFinite {
        /// The row, counted from 0.
        row: usize,
    },
    /// An entry is not above the one before.
    #[error("the entry of row {row} is not above the one before")]
    NotRising {
        /// The row, counted from 0.
        row: usize,
    },
}

/// Two columns: entries that rise, and a value for each.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Table<'a> {
    x: &'a [f64],
    y: &'a [f64],
}

/// Two neighbouring rows.
#[derive(Clone, Copy)]
struct Rows {
    x: (f64, f64),
    y: (f64, f64),
}

impl<'a> Table<'a> {
    /// A table of the entries `x` and the values `y`, in units that the caller keeps.
    ///
    /// # Errors
    /// Fewer than two rows, unequal columns, a cell that is no finite number, entries that do not
    /// rise.
    pub fn new(x: &'a [f64], y: &'a [f64]) -> Result<Self, TableError> {
        if x.len() != y.len() {
            return Err(TableError::Unequal { x: x.len(), y: y.len() });
        }
        axis(x)?;
        finite_cells(y)?;
        Ok(Self { x, y })
    }

    /// A table that this crate carries.
    pub(crate) fn trusted(x: &'a [f64], y: &'a [f64]) -> Self {
        Self { x, y }
    }

    /// The value and its slope at an entry. At a row the slope is that of the piece which starts
    /// there; at the last row, that of the last piece.
    ///
    /// # Errors
    /// An entry outside the table; a row that is not above zero where the law takes its logarithm.
    pub fn at(&self, entry: f64, law: Law) -> Result<WithSlope, OutOfRange> {
        let (low, high) = self.ends();
        within("entry", entry, low, high)?;
        let after = self.x.partition_point(|x| *x <= entry).min(self.x.len().saturating_sub(1));
        let Some(rows) = self.rows(after) else {
            return Err(OutOfRange { what: "entry", value: entry, low, high });
        };
        match law {
            Law::Step => {
                let last = if entry >= rows.x.1 { rows.y.1 } else { rows.y.0 };
                Ok(WithSlope { value: last, slope: 0.0 })
            }
            Law::Linear => line(rows, entry),
            Law::LogX => {
                let line = line(Rows { x: logs(rows.x)?, y: rows.y }, libm::log(entry))?;
                WithSlope::checked(line.value, line.slope / entry)
            }
            Law::LogY => {
                let line = line(Rows { x: rows.x, y: logs(rows.y)? }, entry)?;
                let value = libm::exp(line.value);
                WithSlope::checked(value, value * line.slope)
            }
            Law::LogLog => {
                let line = line(Rows { x: logs(rows.x)?, y: logs(rows.y)? }, libm::log(entry))?;
                let value = libm::exp(line.value);
                WithSlope::checked(value, value * line.slope / entry)
            }
            Law::Pchip => {
                let slopes = (self.slope(after.saturating_sub(1)), self.slope(after));
                pchip::cubic(rows.x, rows.y, slopes, entry)
            }
        }
    }

    /// The entry at which the straight lines between the rows reach `value`, with its slope (entry
    /// by value).
    ///
    /// # Errors
    /// A value outside the table; a column of values that neither rises nor falls all the way
    /// (`what` is then `values that rise or fall`): the entry would not be one.
    pub fn inverse(&self, value: f64) -> Result<WithSlope, OutOfRange> {
        let (first, last) = ends(self.y);
        let (low, high) = (first.min(last), first.max(last));
        let rising = match self.monotone() {
            Some(Monotone::Rising) => true,
            Some(Monotone::Falling) => false,
            _ => return Err(OutOfRange { what: "values that rise or fall", value, low, high }),
        };
        within("value", value, low, high)?;
        let before = |y: &f64| if rising { *y <= value } else { *y >= value };
        let after = self.y.partition_point(before).clamp(1, self.y.len().saturating_sub(1));
        match self.rows(after) {
            Some(rows) => line(Rows { x: rows.y, y: rows.x }, value),
            None => Err(OutOfRange { what: "value", value, low, high }),
        }
    }

    /// Which way the values go; `None` where they turn, or all are equal.
    #[must_use]
    pub fn monotone(&self) -> Option<Monotone> {
        let steps = || self.y.windows(2).filter_map(|pair| Some(pair.last()? - pair.first()?));
        let (up, down) = (steps().any(|step| step > 0.0), steps().any(|step| step < 0.0));
        let level = steps().any(|step| step == 0.0);
        match (up, down, level) {
            (true, false, false) => Some(Monotone::Rising),
            (false, true, false) => Some(Monotone::Falling),
            (true, false, true) => Some(Monotone::NeverFalling),
            (false, true, true) => Some(Monotone::NeverRising),
            _ => None,
        }
    }

    /// The first and the last entry.
    #[must_use]
    pub fn ends(&self) -> (f64, f64) {
        ends(self.x)
    }

    /// The rows before and at `after`.
    fn rows(&self, after: usize) -> Option<Rows> {
        let before = after.checked_sub(1)?;
        Some(Rows {
            x: (*self.x.get(before)?, *self.x.get(after)?),
            y: (*self.y.get(before)?, *self.y.get(after)?),
        })
    }

    /// The slope that [`Law::Pchip`] has at a row.
    fn slope(&self, row: usize) -> f64 {
        let piece = |after: usize| {
            self.rows(after).map(|rows| {
                let width = rows.x.1 - rows.x.0;
                pchip::Piece { width, rise: (rows.y.1 - rows.y.0) / width }
            })
        };
        let (left, right) = (piece(row), piece(row + 1));
        match (left, right) {
            (Some(left), Some(right)) => pchip::inner_slope(left, right),
            (None, Some(near)) => pchip::end_slope(near, piece(row + 2)),
            (Some(near), None) => pchip::end_slope(near, row.checked_sub(1).and_then(piece)),
            (None, None) => 0.0,
        }
    }
}

/// Whether entries are an axis: two or more, finite, rising.
pub(super) fn axis(x: &[f64]) -> Result<(), TableError> {
    if x.len() < 2 {
        return Err(TableError::TooShort);
    }
    finite_cells(x)?;
    let not_rising = |pair: &[f64]| pair.first() >= pair.last();
    match x.windows(2).position(not_rising) {
        Some(before) => Err(TableError::NotRising { row: before + 1 }),
        None => Ok(()),
    }
}

pub(super) fn finite_cells(cells: &[f64]) -> Result<(), TableError> {
    match cells.iter().position(|cell| !cell.is_finite()) {
        Some(row) => Err(TableError::NotFinite { row }),
        None => Ok(()),
    }
}

fn ends(column: &[f64]) -> (f64, f64) {
    let at = |cell: Option<&f64>| cell.copied().unwrap_or(f64::NAN);
    (at(column.first()), at(column.last()))
}

/// The straight line through two rows, exact at both.
fn line(Rows { x, y }: Rows, at: f64) -> Result<WithSlope, OutOfRange> {
    let slope = (y.1 - y.0) / (x.1 - x.0);
    let near_end = x.1 - at < at - x.0;
    let value = if near_end { y.1 - slope * (x.1 - at) } else { y.0 + slope * (at - x.0) };
    WithSlope::checked(value, slope)
}

fn logs(pair: (f64, f64)) -> Result<(f64, f64), OutOfRange> {
    let log = |cell| positive("table cell", cell).map(libm::log);
    Ok((log(pair.0)?, log(pair.1)?))
}
