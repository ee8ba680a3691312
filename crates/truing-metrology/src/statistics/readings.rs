/// Count, mean and spread of readings.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Summary {
    /// How many readings, n.
    pub count: usize,
    /// Arithmetic mean (JCGM 100:2008, eq. 3).
    pub mean: f64,
    /// Experimental standard deviation s (JCGM 100:2008, eq. 4); `None` for one reading.
    pub deviation: Option<f64>,
}

impl Summary {
    /// The summary of these readings; `None` where there are none. Two passes, with the rounding of
    /// the mean taken out of the second.
    #[must_use]
    pub fn of(readings: &[f64]) -> Option<Self> {
        let first = *readings.first()?;
        let count = readings.len();
        // About the first reading, so that a large common part costs no digits.
        let mean = first + sum(readings.iter().map(|x| x - first)) / count as f64;
        let deviation = (count > 1).then(|| {
            let squares = sum(readings.iter().map(|x| (x - mean) * (x - mean)));
            let rest = sum(readings.iter().map(|x| x - mean));
            ((squares - rest * rest / count as f64) / (count - 1) as f64).max(0.0).sqrt()
        });
        Some(Summary { count, mean, deviation })
    }

    /// s/√n, the standard uncertainty of the mean (JCGM 100:2008, eq. 5); `None` for one reading.
    #[must_use]
    pub fn uncertainty_of_mean(&self) -> Option<f64> {
        self.deviation.map(|deviation| deviation / (self.count as f64).sqrt())
    }

    /// Degrees of freedom of s, n − 1.
    #[must_use]
    pub fn dof(&self) -> usize {
        self.count.saturating_sub(1)
    }
}

/// A sum with the rounding carried along (Neumaier, 1974).
pub(super) fn sum(terms: impl Iterator<Item = f64>) -> f64 {
    let mut total = 0.0_f64;
    let mut lost = 0.0;
    for term in terms {
        let next = total + term;
        lost +=
            if total.abs() >= term.abs() { (total - next) + term } else { (term - next) + total };
        total = next;
    }
    total + lost
}

/// Lag-1 autocorrelation: Σ(xᵢ − x̄)(xᵢ₊₁ − x̄)/Σ(xᵢ − x̄)² (as NIST StRD defines it). `None` for fewer
/// than two readings, and where all are equal.
#[must_use]
pub fn lag_one_autocorrelation(readings: &[f64]) -> Option<f64> {
    let mean = Summary::of(readings)?.mean;
    // What the mean lost by rounding is small against the readings, not against their differences.
    let lost = sum(readings.iter().map(|x| x - mean)) / readings.len() as f64;
    let difference = |x: &f64| (x - mean) - lost;
    let pairs = readings.iter().zip(readings.iter().skip(1));
    let products = sum(pairs.map(|(x, next)| difference(x) * difference(next)));
    let squares = sum(readings.iter().map(|x| difference(x) * difference(x)));
    (readings.len() > 1 && squares > 0.0).then(|| products / squares)
}

/// The correlation coefficient of readings taken in pairs, and of their means (JCGM 100:2008, 5.2.3,
/// eq. 14 and 17). `None` for unequal numbers, fewer than two pairs, or readings that are all equal.
#[must_use]
pub fn correlation_coefficient(first: &[f64], second: &[f64]) -> Option<f64> {
    if first.len() != second.len() || first.len() < 2 {
        return None;
    }
    let (mean, other) = (Summary::of(first)?.mean, Summary::of(second)?.mean);
    let products = sum(first.iter().zip(second).map(|(x, y)| (x - mean) * (y - other)));
    let squares = sum(first.iter().map(|x| (x - mean) * (x - mean)));
    let other_squares = sum(second.iter().map(|y| (y - other) * (y - other)));
    let scale = squares.sqrt() * other_squares.sqrt();
    (scale > 0.0).then(|| (products / scale).clamp(-1.0, 1.0))
}

/// The pooled standard deviation of series with (sᵢ, nᵢ): √(Σ(nᵢ − 1)sᵢ²/Σ(nᵢ − 1)), and its degrees of
/// freedom Σ(nᵢ − 1) (JCGM 100:2008, 4.2.4 and H.3.6). `None` where no series has two readings.
#[must_use]
pub fn pooled_deviation(series: &[(f64, usize)]) -> Option<(f64, usize)> {
    let dof: usize = series.iter().map(|(_, count)| count.saturating_sub(1)).sum();
    let squares = sum(series.iter().map(|(s, count)| count.saturating_sub(1) as f64 * s * s));
    (dof > 0).then(|| ((squares / dof as f64).sqrt(), dof))
}

/// A mean weighted with the reciprocals of the variances.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct WeightedMean {
    /// Σ(xᵢ/uᵢ²)/Σ(1/uᵢ²).
    pub mean: f64,
    /// 1/√Σ(1/uᵢ²), if the values are independent and agree within their uncertainties.
    pub standard_uncertainty: f64,
    /// χ² = Σ((xᵢ − mean)/uᵢ)², to be compared with n − 1.
    pub chi_squared: f64,
}

/// The weighted mean of (value, standard uncertainty). `None` where there are none, and where a standard
/// uncertainty is not above zero and finite.
#[must_use]
pub fn weighted_mean(values: &[(f64, f64)]) -> Option<WeightedMean> {
    let first = values.first()?.0;
    if !values.iter().all(|(_, u)| u.is_finite() && *u > 0.0) {
        return None;
    }
    let weights = sum(values.iter().map(|(_, u)| (u * u).recip()));
    let mean = first + sum(values.iter().map(|(x, u)| (x - first) / (u * u))) / weights;
    let chi_squared = sum(values.iter().map(|(x, u)| ((x - mean) / u) * ((x - mean) / u)));
    Some(WeightedMean { mean, standard_uncertainty: weights.sqrt().recip(), chi_squared })
}
