use super::readings::{Summary, sum};

/// A straight line y = y₁ + y₂(x − x₀) by least squares (JCGM 100:2008, H.3).
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Line {
    /// x₀, where the intercept is taken.
    pub reference: f64,
    /// y₁, the value at x₀.
    pub intercept: f64,
    /// y₂.
    pub slope: f64,
    /// u(y₁).
    pub intercept_uncertainty: f64,
    /// u(y₂).
    pub slope_uncertainty: f64,
    /// u(y₁, y₂).
    pub covariance: f64,
    /// s, the standard deviation of the residuals.
    pub residual_deviation: f64,
    /// n − 2.
    pub dof: usize,
}

impl Line {
    /// The value at `x` and its standard uncertainty (JCGM 100:2008, eq. H.15).
    #[must_use]
    pub fn at(&self, x: f64) -> (f64, f64) {
        let distance = x - self.reference;
        let variance = self.intercept_uncertainty * self.intercept_uncertainty
            + distance * distance * self.slope_uncertainty * self.slope_uncertainty
            + 2.0 * distance * self.covariance;
        (self.intercept + self.slope * distance, variance.max(0.0).sqrt())
    }

    /// r(y₁, y₂); `None` where the line fits exactly.
    #[must_use]
    pub fn correlation(&self) -> Option<f64> {
        let scale = self.intercept_uncertainty * self.slope_uncertainty;
        (scale > 0.0).then(|| self.covariance / scale)
    }
}

/// The line of least squares through (x, y), the x exact and the y equally uncertain, its intercept taken
/// at `reference` (JCGM 100:2008, H.3.2, eq. H.13). `None` for fewer than three points and for
/// points above one another.
#[must_use]
pub fn fit_line(points: &[(f64, f64)], reference: f64) -> Option<Line> {
    if points.len() < 3 {
        return None;
    }
    let count = points.len() as f64;
    let xs: Vec<f64> = points.iter().map(|(x, _)| *x).collect();
    let ys: Vec<f64> = points.iter().map(|(_, y)| *y).collect();
    let (x_mean, y_mean) = (Summary::of(&xs)?.mean, Summary::of(&ys)?.mean);
    let squares = sum(xs.iter().map(|x| (x - x_mean) * (x - x_mean)));
    if squares.is_nan() || squares <= 0.0 {
        return None;
    }
    let slope = sum(points.iter().map(|(x, y)| (x - x_mean) * (y - y_mean))) / squares;
    let residuals = points.iter().map(|(x, y)| y - y_mean - slope * (x - x_mean));
    let dof = points.len() - 2;
    let variance = sum(residuals.map(|residual| residual * residual)) / dof as f64;
    let distance = reference - x_mean;
    Some(Line {
        reference,
        intercept: y_mean + slope * distance,
        slope,
        intercept_uncertainty: (variance * (count.recip() + distance * distance / squares)).sqrt(),
        slope_uncertainty: (variance / squares).sqrt(),
        covariance: variance * distance / squares,
        residual_deviation: variance.sqrt(),
        dof,
    })
}
