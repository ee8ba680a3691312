/// Correlation coefficients among quantities, as a symmetric matrix with ones on its diagonal
/// (JCGM 100:2008, 5.2.2).
#[derive(Debug, Clone, PartialEq)]
pub struct Correlation {
    rows: Vec<Vec<f64>>,
    factor: Vec<Vec<f64>>,
}

/// Why correlation coefficients were refused.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
pub enum CorrelationError {
    /// A coefficient outside −1 to 1, or not a number.
    #[error(
        "a correlation coefficient is from -1 to 1, not {coefficient} (of {first} and {second})"
    )]
    Coefficient {
        /// One quantity.
        first: usize,
        /// The other.
        second: usize,
        /// Its coefficient.
        coefficient: f64,
    },
    /// A quantity paired with itself.
    #[error("quantity {0} is paired with itself")]
    WithItself(usize),
    /// A quantity that is not there.
    #[error("there is no quantity {index} among {size}")]
    OutOfRange {
        /// The quantity.
        index: usize,
        /// How many there are.
        size: usize,
    },
    /// The same pair with two coefficients.
    #[error("quantities {first} and {second} have two coefficients")]
    Contradiction {
        /// One quantity.
        first: usize,
        /// The other.
        second: usize,
    },
    /// The coefficients cannot hold together: the matrix is not positive semidefinite.
    #[error(
        "the coefficients cannot hold together: the first {minor} quantities contradict each other, \
         seen at {first} and {second}"
    )]
    NotPositive {
        /// The size of the smallest leading minor that is negative.
        minor: usize,
        /// A quantity that takes part in it.
        first: usize,
        /// The other; the same where the minor as a whole is negative.
        second: usize,
    },
}

/// Pivots down to minus this count as zero: rounding of a matrix that is just semidefinite.
const ROUNDING: f64 = 1e-12;

impl Correlation {
    /// The matrix of `size` quantities, independent except for these pairs. A pair may be said twice,
    /// in either order, if it is said alike.
    ///
    /// # Errors
    /// Coefficients that are no correlation coefficients, or that cannot hold together.
    pub fn new(size: usize, pairs: &[(usize, usize, f64)]) -> Result<Self, CorrelationError> {
        let mut rows = vec![vec![None; size]; size];
        for &(first, second, coefficient) in pairs {
            if let Some(index) = [first, second].into_iter().find(|index| *index >= size) {
                return Err(CorrelationError::OutOfRange { index, size });
            }
            if first == second {
                return Err(CorrelationError::WithItself(first));
            }
            if !(-1.0..=1.0).contains(&coefficient) {
                return Err(CorrelationError::Coefficient { first, second, coefficient });
            }
            for (row, column) in [(first, second), (second, first)] {
                if let Some(place) = rows.get_mut(row).and_then(|row| row.get_mut(column))
                    && place.replace(coefficient).is_some_and(|before| before != coefficient)
                {
                    return Err(CorrelationError::Contradiction { first, second });
                }
            }
        }
        let rows: Vec<Vec<f64>> = rows
            .into_iter()
            .enumerate()
            .map(|(row, entries)| {
                let entries = entries.into_iter().enumerate();
                entries.map(|(at, r)| if at == row { 1.0 } else { r.unwrap_or(0.0) }).collect()
            })
            .collect();
        let factor = factorise(&rows)?;
        Ok(Correlation { rows, factor })
    }

    /// The matrix of quantities that are independent of each other.
    #[must_use]
    pub fn independent(size: usize) -> Self {
        let row = |length: usize, at: usize| {
            (0..length).map(|column| if column == at { 1.0 } else { 0.0 }).collect()
        };
        Correlation {
            rows: (0..size).map(|at| row(size, at)).collect(),
            factor: (0..size).map(|at| row(at + 1, at)).collect(),
        }
    }

    /// How many quantities there are.
    #[must_use]
    pub fn size(&self) -> usize {
        self.rows.len()
    }

    /// The coefficient of two quantities; `None` where one of them is not there.
    #[must_use]
    pub fn coefficient(&self, first: usize, second: usize) -> Option<f64> {
        self.rows.get(first)?.get(second).copied()
    }

    /// Whether the quantity is correlated with another.
    #[must_use]
    pub fn is_correlated(&self, index: usize) -> bool {
        let mut row = self.rows.get(index).into_iter().flatten().enumerate();
        row.any(|(at, r)| at != index && *r != 0.0)
    }

    /// √(cᵀRc), the combined standard uncertainty of contributions cᵢ = (∂f/∂xᵢ)u(xᵢ), with their signs
    /// (JCGM 100:2008, eq. 16). Contributions that are missing count as zero, further ones as
    /// independent.
    #[must_use]
    pub fn combine(&self, contributions: &[f64]) -> f64 {
        let size = self.size().min(contributions.len());
        let (correlated, further) = contributions.split_at(size);
        let mut variance: f64 = further.iter().map(|c| c * c).sum();
        for column in 0..size {
            // The columns of the factor give a sum of squares, which cannot become negative.
            let mut part = 0.0;
            for (row, c) in self.factor.iter().zip(correlated).skip(column) {
                part += row.get(column).copied().unwrap_or(0.0) * c;
            }
            variance += part * part;
        }
        variance.sqrt()
    }

    /// L, lower triangular, row by row, with LLᵀ the matrix: independent standard normal variables
    /// become correlated ones (JCGM 101:2008, C.5).
    #[must_use]
    pub fn cholesky(&self) -> &[Vec<f64>] {
        &self.factor
    }
}

/// Cholesky's factor; a pivot that is zero but for rounding makes a column of zeros.
fn factorise(rows: &[Vec<f64>]) -> Result<Vec<Vec<f64>>, CorrelationError> {
    let mut factor: Vec<Vec<f64>> = Vec::with_capacity(rows.len());
    for (i, row) in rows.iter().enumerate() {
        let mut made: Vec<f64> = Vec::with_capacity(i + 1);
        for (j, (before, entry)) in factor.iter().zip(row).enumerate() {
            let rest = entry - dot(before.get(..j).unwrap_or_default(), &made);
            let pivot = before.last().copied().unwrap_or(0.0);
            if pivot == 0.0 {
                // What a quantity that others fix entirely has left to share is nothing.
                if rest.abs() > ROUNDING.sqrt() {
                    return Err(CorrelationError::NotPositive {
                        minor: i + 1,
                        first: j,
                        second: i,
                    });
                }
                made.push(0.0);
            } else {
                made.push(rest / pivot);
            }
        }
        let pivot = 1.0 - dot(&made, &made);
        if pivot < -ROUNDING {
            return Err(CorrelationError::NotPositive { minor: i + 1, first: i, second: i });
        }
        made.push(if pivot > ROUNDING { pivot.sqrt() } else { 0.0 });
        factor.push(made);
    }
    Ok(factor)
}

fn dot(first: &[f64], second: &[f64]) -> f64 {
    first.iter().zip(second).map(|(a, b)| a * b).sum()
}
