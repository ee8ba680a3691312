use std::f64::consts::PI;

use smallvec::SmallVec;

use super::characteristic::StudentError;
use super::component::{Component, ComponentError, Shape};
use super::coverage::{normal_cdf, normal_quantile, student_tail};
use super::inversion::{Inversion, Spectrum};
use super::mixture::VarianceFactors;
use super::{root, smoothed_rectangles};

/// Inverted probabilities below this are worked out in relation to themselves where that can be done.
const SMALL: f64 = 1e-5;

/// Inverted probabilities below this are not used where something better is known of them.
const FAINT: f64 = 1e-10;

/// The distribution of a sum of independent errors, each centred on zero: their convolution, not a
/// normal distribution of the same variance. Of a fixed size; nothing here allocates.
///
/// Normal errors are one variance; a triangular error is two equal rectangular ones, a trapezoidal
/// one two of half-widths a(1 ± β)/2. Student and arcsine errors are kept as they are, however many; of
/// the rectangles the twelve widest are, and the others are merged into the normal part (the central
/// limit; JCGM 100:2008, G.2.1). The standard uncertainty, the degrees of freedom and the largest
/// component are those of all that was pushed.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct ErrorSum {
    normal_variance: f64,
    half_widths: [f64; smoothed_rectangles::MOST],
    rectangles: usize,
    slow: SmallVec<[Slow; 4]>,
    pushed: usize,
    variance: f64,
    /// √(Σ u⁴/ν) over the Student components.
    spread: f64,
    largest: Option<LargestComponent>,
    largest_variance: f64,
}

/// An error that has no closed form beside others.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Slow {
    Student(StudentError),
    Arcsine { amplitude: f64 },
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

    /// Takes all errors out, and keeps the room for as many.
    pub fn clear(&mut self) {
        let mut slow = std::mem::take(&mut self.slow);
        slow.clear();
        *self = ErrorSum { slow, ..ErrorSum::default() };
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
            Shape::Arcsine => self.slow.push(Slow::Arcsine { amplitude: scale }),
            Shape::Student { dof } => self.slow.push(Slow::Student(StudentError::new(scale, dof))),
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
        let mut scaled = self.clone();
        scaled.normal_variance *= square;
        scaled.variance *= square;
        scaled.spread *= square;
        scaled.largest_variance *= square;
        for half_width in &mut scaled.half_widths {
            *half_width *= factor;
        }
        for part in &mut scaled.slow {
            match part {
                Slow::Student(student) => *student = student.scaled(factor),
                Slow::Arcsine { amplitude } => *amplitude *= factor,
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

    /// Probability that the error is above `x`, absolutely to 1e-10. With rectangular and normal errors
    /// and at most two Student ones it is accurate in relation to itself where it is small, to about
    /// 1e-6; with more Student errors it is right in order of magnitude below 1e-10.
    #[must_use]
    pub fn tail(&self, x: f64) -> f64 {
        self.tail_by(x, &|x| self.inversion().tail(x))
    }

    fn tail_by(&self, x: f64, inverted: &dyn Fn(f64) -> f64) -> f64 {
        if x.is_nan() {
            return f64::NAN;
        }
        if self.variance == 0.0 {
            return if x < 0.0 { 1.0 } else { 0.0 };
        }
        if x < 0.0 {
            return 1.0 - self.tail_by(-x, inverted);
        }
        if x == 0.0 {
            return 0.5;
        }
        if x == f64::INFINITY {
            return 0.0;
        }
        let alone = self.rectangles == 0 && self.normal_variance == 0.0;
        let tail = match self.slow.as_slice() {
            [] => self.smoothed_tail(x, 0.0),
            [Slow::Student(student)] if alone => {
                student_tail(x / student.scale, student.dof).unwrap_or(f64::NAN)
            }
            [Slow::Student(student)] => self.mixed_tail(x, &[*student], 0.0),
            [Slow::Arcsine { amplitude }] if alone => {
                libm::acos((x / amplitude).clamp(-1.0, 1.0)) / PI
            }
            slow => match self.farthest(slow) {
                Some(farthest) if x >= farthest => 0.0,
                _ => self.far_tail(x, inverted(x)),
            },
        };
        tail.clamp(0.0, 0.5)
    }

    /// The largest error there can be; `None` where it has no end.
    fn farthest(&self, slow: &[Slow]) -> Option<f64> {
        let amplitudes = slow.iter().map(|slow| match slow {
            Slow::Arcsine { amplitude } => Some(*amplitude),
            Slow::Student(_) => None,
        });
        let amplitudes = amplitudes.sum::<Option<f64>>()?;
        let rectangles: f64 = self.half_widths().iter().sum();
        (self.normal_variance == 0.0).then_some(amplitudes + rectangles)
    }

    /// The tail that inversion gave, or where it is small and other ways keep more of it, that.
    fn far_tail(&self, x: f64, inverted: f64) -> f64 {
        match self.slow.as_slice() {
            [Slow::Student(one), Slow::Student(other)] if inverted < SMALL => {
                self.mixed_tail(x, &[*one, *other], 0.0)
            }
            slow if inverted < FAINT => {
                let students = slow.iter().map(|slow| match slow {
                    Slow::Student(student) => Some(student.scale * student.scale),
                    Slow::Arcsine { .. } => None,
                });
                students.sum::<Option<f64>>().map_or(inverted, |all| self.jumped_tail(x, all))
            }
            _ => inverted,
        }
    }

    /// Far out the sum is where one of its Student errors alone has gone: each in turn is kept as it is
    /// beside normal errors for the others, and what all have in common is counted once. `all` is the
    /// variance of the Student errors.
    fn jumped_tail(&self, x: f64, all: f64) -> f64 {
        let common = self.smoothed_tail(x, all);
        let own = self.slow.iter().map(|slow| match slow {
            Slow::Student(student) => {
                let others = (all - student.scale * student.scale).max(0.0);
                self.mixed_tail(x, &[*student], others) - common
            }
            Slow::Arcsine { .. } => 0.0,
        });
        (common + own.sum::<f64>()).clamp(0.0, FAINT)
    }

    fn inversion(&self) -> Inversion<'_> {
        Inversion {
            normal_variance: self.normal_variance,
            half_widths: self.half_widths(),
            slow: &self.slow,
            unit: self.standard_uncertainty(),
        }
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

    /// The tail as a mean over the variances of these Student errors.
    fn mixed_tail(&self, x: f64, students: &[StudentError], further: f64) -> f64 {
        let Some((student, rest)) = students.split_first() else {
            return self.smoothed_tail(x, further);
        };
        let variance = student.scale * student.scale;
        let factors = if students.len() > 1 {
            VarianceFactors::coarse(student.dof, x / student.scale)
        } else {
            VarianceFactors::new(student.dof, x / student.scale)
        };
        factors.mean(|factor| self.mixed_tail(x, rest, further + variance * factor))
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
        if self.rectangles == 0 && self.slow.is_empty() {
            return Some(z * u);
        }
        // What inversion needs of the errors is the same wherever it is asked.
        let inversion = self.inversion();
        let spectrum = if self.slow.len() > 1 { Spectrum::new(inversion) } else { None };
        let inverted =
            |x: f64| spectrum.as_ref().map_or_else(|| inversion.tail(x), |known| known.tail(x));
        let excess = |x: f64| libm::log(self.tail_by(x, &inverted) / tail);
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
