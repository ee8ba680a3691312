use std::f64::consts::PI;

use super::component::{Component, ComponentError, Shape};
use super::coverage::{normal_cdf, normal_quantile, student_tail};
use super::mixture::{VarianceFactors, phase_mean};
use super::{root, smoothed_rectangles};

/// Student and arcsine errors that are kept as they are; more are merged.
const MOST_INTEGRATED: usize = 2;

/// The distribution of a sum of independent errors, each centred on zero: their convolution, not a
/// normal distribution of the same variance. Of a fixed size; nothing here allocates.
///
/// Normal errors are one variance; a triangular error is two equal rectangular ones, a trapezoidal
/// one two of half-widths a(1 ± β)/2. Kept as they are: the twelve widest rectangles and the two widest
/// Student or arcsine errors. What comes beyond is merged, the narrowest first: rectangles and arcsines
/// into the normal part (the central limit; JCGM 100:2008, G.2.1), a Student error into the one kept
/// (Welch-Satterthwaite) or, beside two arcsines, into the normal part. The standard uncertainty, the
/// degrees of freedom and the largest component are those of all that was pushed.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct ErrorSum {
    normal_variance: f64,
    half_widths: [f64; smoothed_rectangles::MOST],
    rectangles: usize,
    integrated: [Option<Integrated>; MOST_INTEGRATED],
    pushed: usize,
    variance: f64,
    /// √(Σ u⁴/ν) over the Student components.
    spread: f64,
    largest: Option<LargestComponent>,
    largest_variance: f64,
}

/// An error whose share of the distribution is found by quadrature.
#[derive(Debug, Clone, Copy, PartialEq)]
enum Integrated {
    Student { scale: f64, dof: f64 },
    Arcsine { amplitude: f64 },
}

impl Integrated {
    fn variance(self) -> f64 {
        match self {
            Integrated::Student { scale, .. } => scale * scale,
            Integrated::Arcsine { amplitude } => 0.5 * amplitude * amplitude,
        }
    }
}

/// The component that makes most of an uncertainty.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LargestComponent {
    /// Its place in the order in which the components were pushed, from 0.
    pub index: usize,
    /// The component as it contributes, scaled by its sensitivity.
    pub component: Component,
    /// Its part of the variance of the sum, from 0 to 1.
    pub share: f64,
}

impl ErrorSum {
    /// The sum of no errors: zero.
    #[must_use]
    pub fn new() -> Self {
        ErrorSum::default()
    }

    /// Adds an independent error.
    pub fn push(&mut self, component: Component) {
        let u = component.standard_uncertainty();
        let variance = u * u;
        if variance > self.largest_variance {
            self.largest_variance = variance;
            self.largest = Some(LargestComponent { index: self.pushed, component, share: 1.0 });
        }
        self.pushed += 1;
        self.variance += variance;
        if let Some(dof) = component.dof() {
            self.spread = libm::hypot(self.spread, variance / dof.sqrt());
        }
        let scale = component.scale();
        if variance == 0.0 {
            return;
        }
        match component.shape() {
            Shape::Normal => self.normal_variance += variance,
            Shape::Rectangular => self.insert_rectangle(scale),
            Shape::Triangular => {
                self.insert_rectangle(0.5 * scale);
                self.insert_rectangle(0.5 * scale);
            }
            Shape::Trapezoidal { beta } => {
                self.insert_rectangle(0.5 * scale * (1.0 + beta));
                self.insert_rectangle(0.5 * scale * (1.0 - beta));
            }
            Shape::Arcsine => self.insert_integrated(Integrated::Arcsine { amplitude: scale }),
            Shape::Student { dof } => self.insert_integrated(Integrated::Student { scale, dof }),
        }
    }

    /// Adds an independent error that enters the result with this sensitivity coefficient.
    ///
    /// # Errors
    /// A coefficient that is not finite, or a product that is not; the sum is then as it was.
    pub fn push_scaled(
        &mut self,
        component: Component,
        sensitivity: f64,
    ) -> Result<(), ComponentError> {
        self.push(component.scaled(sensitivity)?);
        Ok(())
    }

    fn insert_rectangle(&mut self, half_width: f64) {
        if half_width * half_width == 0.0 {
            return;
        }
        let mut carried = half_width;
        for place in self.half_widths.iter_mut().take(self.rectangles) {
            if carried > *place {
                std::mem::swap(&mut carried, place);
            }
        }
        if let Some(place) = self.half_widths.get_mut(self.rectangles) {
            *place = carried;
            self.rectangles += 1;
        } else {
            self.normal_variance += carried * carried / 3.0;
        }
    }

    fn insert_integrated(&mut self, new: Integrated) {
        let mut carried = new;
        for place in &mut self.integrated {
            match place {
                None => {
                    *place = Some(carried);
                    return;
                }
                Some(kept) if carried.variance() > kept.variance() => {
                    std::mem::swap(&mut carried, kept);
                }
                Some(_) => {}
            }
        }
        self.merge(carried);
    }

    fn merge(&mut self, narrow: Integrated) {
        if let Integrated::Student { scale, dof } = narrow {
            let kept = self.integrated.iter_mut().rev().flatten().find_map(|kept| match kept {
                Integrated::Student { scale, dof } => Some((scale, dof)),
                Integrated::Arcsine { .. } => None,
            });
            if let Some((kept_scale, kept_dof)) = kept {
                let (first, second) = (*kept_scale * *kept_scale, scale * scale);
                let total = first + second;
                let (first, second) = (first / total, second / total);
                *kept_dof = (first * first / *kept_dof + second * second / dof).recip();
                *kept_scale = total.sqrt();
                return;
            }
        }
        self.normal_variance += narrow.variance();
    }

    /// The standard uncertainty of the sum (JCGM 100:2008, eq. 10).
    #[must_use]
    pub fn standard_uncertainty(&self) -> f64 {
        self.variance.sqrt()
    }

    /// Effective degrees of freedom, Welch-Satterthwaite: ν = u⁴/Σ(uᵢ⁴/νᵢ) (JCGM 100:2008, eq. G.2b);
    /// `None` where they are infinite.
    #[must_use]
    pub fn effective_dof(&self) -> Option<f64> {
        let root = self.variance / self.spread;
        (self.spread > 0.0).then_some(root * root)
    }

    /// Effective degrees of freedom cut to the next lower whole number, as for looking up a table
    /// (JCGM 100:2008, G.4.1, note 1), but at least 1; `None` where they are infinite.
    #[must_use]
    pub fn truncated_dof(&self) -> Option<f64> {
        // A whole number that the arithmetic missed by its rounding is not cut to the one below.
        self.effective_dof().map(|dof| (dof * (1.0 + 1e-12)).floor().max(1.0))
    }

    /// The component with the largest standard uncertainty (the first of equals) and its share of the
    /// variance; `None` where the sum is zero.
    #[must_use]
    pub fn dominant(&self) -> Option<LargestComponent> {
        let share = (self.largest_variance / self.variance).min(1.0);
        self.largest.map(|largest| LargestComponent { share, ..largest })
    }

    /// The same errors, each `factor` times as large: every shape is kept.
    ///
    /// # Errors
    /// A factor that is not finite.
    pub fn scaled(&self, factor: f64) -> Result<Self, ComponentError> {
        let factor = factor.abs();
        if !factor.is_finite() {
            return Err(ComponentError::Sensitivity(factor));
        }
        if factor == 0.0 {
            return Ok(ErrorSum { pushed: self.pushed, ..ErrorSum::default() });
        }
        let square = factor * factor;
        let mut scaled = *self;
        scaled.normal_variance *= square;
        scaled.variance *= square;
        scaled.spread *= square;
        scaled.largest_variance *= square;
        for half_width in &mut scaled.half_widths {
            *half_width *= factor;
        }
        for part in scaled.integrated.iter_mut().flatten() {
            match part {
                Integrated::Student { scale, .. } => *scale *= factor,
                Integrated::Arcsine { amplitude } => *amplitude *= factor,
            }
        }
        if let Some(largest) = &mut scaled.largest {
            largest.component = largest.component.scaled(factor)?;
        }
        Ok(scaled)
    }

    /// Probability that the error is at most `x`.
    #[must_use]
    pub fn cdf(&self, x: f64) -> f64 {
        if x < 0.0 { self.tail(-x) } else { 1.0 - self.tail(x) }
    }

    /// Probability that the error is above `x`, accurate in relation to itself where it is small (to
    /// about 1e-6 of itself with rectangular, normal and Student errors; absolutely to 1e-9 with
    /// arcsine ones).
    #[must_use]
    pub fn tail(&self, x: f64) -> f64 {
        if x.is_nan() {
            return f64::NAN;
        }
        if self.variance == 0.0 {
            return if x < 0.0 { 1.0 } else { 0.0 };
        }
        if x < 0.0 {
            return 1.0 - self.tail(-x);
        }
        if x == 0.0 {
            return 0.5;
        }
        if x == f64::INFINITY {
            return 0.0;
        }
        match self.integrated {
            [None, None] => self.smoothed_tail(x, 0.0),
            [Some(Integrated::Student { scale, dof }), None] if self.is_exact(0.0) => {
                student_tail(x / scale, dof).unwrap_or(f64::NAN)
            }
            // Arcsine errors are outermost: what they are taken over is then smooth already.
            [
                Some(student @ Integrated::Student { .. }),
                Some(arcsine @ Integrated::Arcsine { .. }),
            ] => self.integrated_tail(x, &[Some(arcsine), Some(student)], 0.0).clamp(0.0, 0.5),
            parts => self.integrated_tail(x, &parts, 0.0).clamp(0.0, 0.5),
        }
    }

    /// Whether no error is left beside the integrated ones.
    fn is_exact(&self, further_variance: f64) -> bool {
        self.rectangles == 0 && self.normal_variance + further_variance == 0.0
    }

    fn half_widths(&self) -> &[f64] {
        self.half_widths.get(..self.rectangles).unwrap_or_default()
    }

    fn smoothed_tail(&self, x: f64, further_variance: f64) -> f64 {
        if x < 0.0 {
            return 1.0 - self.smoothed_tail(-x, further_variance);
        }
        let variance = self.normal_variance + further_variance;
        if self.rectangles > 0 {
            smoothed_rectangles::tail(x, self.half_widths(), variance)
        } else if variance > 0.0 {
            normal_cdf(-x / variance.sqrt())
        } else {
            0.0
        }
    }

    fn integrated_tail(&self, x: f64, parts: &[Option<Integrated>], further: f64) -> f64 {
        let Some((Some(part), rest)) = parts.split_first() else {
            return self.smoothed_tail(x, further);
        };
        match *part {
            Integrated::Student { scale, dof } => {
                let [_, second] = self.integrated;
                let factors = if second.is_some() {
                    VarianceFactors::coarse(dof, x / scale)
                } else {
                    VarianceFactors::new(dof, x / scale)
                };
                factors
                    .mean(|factor| self.integrated_tail(x, rest, further + scale * scale * factor))
            }
            Integrated::Arcsine { amplitude } => {
                if self.is_exact(further) && rest.iter().all(Option::is_none) {
                    return libm::acos((x / amplitude).clamp(-1.0, 1.0)) / PI;
                }
                let edges = self.edges(x, rest, further);
                let swung = |swing: f64| self.integrated_tail(x - swing, rest, further);
                // What is itself a quadrature is not smooth below its own tolerance.
                let nested =
                    rest.iter().any(|part| matches!(part, Some(Integrated::Arcsine { .. })));
                phase_mean(amplitude, &edges, if nested { 1e-9 } else { 1e-11 }, swung)
            }
        }
    }

    /// The swings of an arcsine error at which the rest of the sum, which has to be above x less the
    /// swing, bends most: its middle, and its ends.
    fn edges(&self, x: f64, rest: &[Option<Integrated>], further: f64) -> [f64; 7] {
        let mut support: f64 = self.half_widths().iter().sum();
        let mut variance = self.normal_variance + further;
        for part in rest.iter().flatten() {
            match part {
                Integrated::Student { scale, .. } => variance += scale * scale,
                Integrated::Arcsine { amplitude } => support += amplitude,
            }
        }
        let reach = 6.0 * variance.sqrt();
        let inner = (support - reach).max(0.0);
        let outer = support + reach;
        [x - outer, x - support, x - inner, x, x + inner, x + support, x + outer]
    }

    /// Probability that the error is from `low` to `high`; 0 where `low` is above `high`.
    #[must_use]
    pub fn probability_between(&self, low: f64, high: f64) -> f64 {
        if low > high {
            0.0
        } else if low > 0.0 {
            self.tail(low) - self.tail(high)
        } else if high < 0.0 {
            self.tail(-high) - self.tail(-low)
        } else {
            1.0 - self.tail(high) - self.tail(-low)
        }
    }

    /// The error below which the sum stays with probability `p`; `None` where `p` is not above 0 and
    /// below 1.
    #[must_use]
    pub fn quantile(&self, p: f64) -> Option<f64> {
        if !(p > 0.0 && p < 1.0) {
            return None;
        }
        if p > 0.5 { self.upper(1.0 - p) } else { self.upper(p).map(|x| 0.0 - x) }
    }

    /// k, the half-width of the interval about zero that holds the error with probability `p`, over the
    /// standard uncertainty (JCGM 100:2008, 3.3.7 and annex G: 1.960 at 95 % for a normal error, 1.645
    /// for a rectangular one). `None` where `p` is not above 0 and below 1, and where the sum is zero.
    #[must_use]
    pub fn coverage_factor(&self, p: f64) -> Option<f64> {
        if !(p > 0.0 && p < 1.0 && self.variance > 0.0) {
            return None;
        }
        Some(self.upper(0.5 * (1.0 - p))? / self.standard_uncertainty())
    }

    /// The error above which the sum is with probability `tail`, at most one half.
    fn upper(&self, tail: f64) -> Option<f64> {
        let u = self.standard_uncertainty();
        if u == 0.0 || tail >= 0.5 {
            return Some(0.0);
        }
        let z = -normal_quantile(tail)?;
        if self.rectangles == 0 && self.integrated == [None, None] {
            return Some(z * u);
        }
        let excess = |x: f64| libm::log(self.tail(x) / tail);
        let mut low = (0.0, -libm::log(2.0 * tail));
        let mut high = u * z.max(0.1);
        let mut at_high = excess(high);
        while at_high > 0.0 && high < 1e300 {
            low = (high, at_high);
            high *= 1.5;
            at_high = excess(high);
        }
        Some(root::falling(excess, low, (high, at_high)))
    }
}
