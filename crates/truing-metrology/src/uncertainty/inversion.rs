//! The distribution of a sum by inversion of its characteristic function φ, the product of those of its
//! parts.
//!
//! P(error > x) = ½ − (1/π) ∫₀^∞ φ(t) sin(xt)/t dt (Gil-Pelaez 1951, for a φ that is real). With a normal
//! error of the same standard uncertainty taken off under the integral and its probability put in place
//! of the ½, the integrand has no pole at zero. It is told by stretches of polynomials, each as long as
//! the function allows, whose integrals against a sine are exact whatever x is. Far out, where wide
//! rectangular and arcsine errors swing many times before narrow other errors make φ vanish, their own
//! sines are taken out too: sin(at) and J₀(at) are sums of e^(±iat) times something smooth.

use std::f64::consts::PI;

use super::bessel::{FAR, swinging};
use super::characteristic::StudentError;
use super::coverage::normal_cdf;
use super::error_sum::Slow;
use super::wave::{Stretch, Values};

/// What a stretch may add to the integral by its polynomials.
const TOLERANCE: f64 = 1e-13;

/// The envelope of φ below which the rest of the integral counts as nothing.
const END: f64 = 1e-12;

/// The normal error taken off is next to nothing beyond this over its standard uncertainty.
const NORMAL_END: f64 = 8.6;

/// A rectangle's sine is taken out from this phase on.
const LOUD: f64 = 4.0;

/// The most rectangles and arcsines whose sines are taken out: each doubles the frequencies.
const MOST_RECTANGLES: usize = 5;
const MOST_ARCSINES: usize = 6;

/// A stretch as short as this over the standard uncertainty is taken as it is.
const SHORTEST: f64 = 1e-9;

/// Stretches beyond this many are not gone on with: φ has vanished long before.
const MOST_STRETCHES: u32 = 20_000;

/// The most stretches that are kept for further probabilities.
const KEPT: usize = 192;

/// A sum of errors; none of them is zero.
#[derive(Debug, Clone, Copy)]
pub(super) struct Inversion<'a> {
    pub(super) normal_variance: f64,
    /// The widest first.
    pub(super) half_widths: &'a [f64],
    pub(super) slow: &'a [Slow],
    /// The standard uncertainty.
    pub(super) unit: f64,
}

/// One stretch of the integrand, less the sines that were taken out.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct Wave {
    stretch: Stretch,
    /// Powers of −i that the sines leave.
    turns: usize,
    /// So many of the widest rectangles are taken out.
    rectangles: usize,
    /// The frequency of the arcsines taken out, and the sign of its negative.
    arcsines: Option<(f64, f64)>,
}

impl Wave {
    /// The part of the integral that this stretch makes.
    fn at(&self, x: f64, half_widths: &[f64]) -> f64 {
        self.over(x, half_widths.get(..self.rectangles).unwrap_or_default())
    }

    fn over(&self, x: f64, half_widths: &[f64]) -> f64 {
        match (half_widths.split_first(), self.arcsines) {
            (Some((width, rest)), _) => self.over(x + width, rest) - self.over(x - width, rest),
            (None, None) => self.turned(x),
            (None, Some((shift, sign))) => self.turned(x + shift) + sign * self.turned(x - shift),
        }
    }

    /// The imaginary part of (−i)ⁿ times the integral against e^(iωt).
    fn turned(&self, frequency: f64) -> f64 {
        let (cosine, sine) = self.stretch.integrals(frequency);
        match self.turns % 4 {
            0 => sine,
            1 => -cosine,
            2 => -sine,
            _ => cosine,
        }
    }
}

/// The stretches of an integrand, for many x.
#[derive(Debug, Clone, Copy)]
pub(super) struct Spectrum<'a> {
    inversion: Inversion<'a>,
    waves: [Wave; KEPT],
    count: usize,
}

impl<'a> Spectrum<'a> {
    /// `None` where there are more stretches than are kept.
    pub(super) fn new(inversion: Inversion<'a>) -> Option<Self> {
        let mut spectrum = Spectrum { inversion, waves: [Wave::default(); KEPT], count: 0 };
        inversion.waves(|wave| {
            if let Some(place) = spectrum.waves.get_mut(spectrum.count) {
                *place = wave;
            }
            spectrum.count += 1;
        });
        Some(spectrum).filter(|spectrum| spectrum.count <= KEPT)
    }

    /// P(error > x), as [`Inversion::tail`].
    pub(super) fn tail(&self, x: f64) -> f64 {
        let waves = self.waves.iter().take(self.count);
        self.inversion.above(x, waves.map(|wave| wave.at(x, self.inversion.half_widths)).sum())
    }
}

/// What is taken out of a stretch.
#[derive(Debug, Clone, Copy, Default)]
struct Taken {
    /// Where the stretch begins.
    from: f64,
    rectangles: usize,
    arcsines: usize,
    /// Whether the normal error is still there to be taken off.
    normal: bool,
}

impl<'a> Inversion<'a> {
    /// P(error > x), to 1e-12 or so absolutely.
    pub(super) fn tail(&self, x: f64) -> f64 {
        let mut sum = 0.0;
        self.waves(|wave| sum += wave.at(x, self.half_widths));
        self.above(x, sum)
    }

    fn above(&self, x: f64, sum: f64) -> f64 {
        (normal_cdf(-x / self.unit) - sum / PI).clamp(0.0, 0.5)
    }

    fn students(&self) -> impl Iterator<Item = &'a StudentError> {
        self.slow.iter().filter_map(|slow| match slow {
            Slow::Student(student) => Some(student),
            Slow::Arcsine { .. } => None,
        })
    }

    fn amplitudes(&self) -> impl Iterator<Item = f64> {
        self.slow.iter().filter_map(|slow| match slow {
            Slow::Student(_) => None,
            Slow::Arcsine { amplitude } => Some(*amplitude),
        })
    }

    /// The arcsines whose sines are taken out at `t`.
    fn loud(&self, t: f64) -> impl Iterator<Item = f64> {
        self.amplitudes().filter(move |amplitude| amplitude * t >= FAR).take(MOST_ARCSINES)
    }

    /// The characteristic function of the normal and the Student errors.
    fn smooth(&self, t: f64) -> f64 {
        let (mut factor, mut falling) = (1.0, 0.5 * self.normal_variance * t * t);
        for student in self.students() {
            let (own, fall) = student.at(t);
            factor *= own;
            falling += fall;
        }
        factor * libm::exp(-falling)
    }

    /// A bound of φ from `t` on.
    fn envelope(&self, t: f64) -> f64 {
        let rectangles: f64 = self.half_widths.iter().map(|a| (a * t).recip().min(1.0)).product();
        let arcsine = |a: f64| (2.0 / (PI * a * t)).sqrt().min(1.0);
        self.smooth(t) * rectangles * self.amplitudes().map(arcsine).product::<f64>()
    }

    /// The integrand over the sines taken out.
    fn left(&self, t: f64, taken: Taken) -> f64 {
        let mut value = self.smooth(t);
        for (place, half_width) in self.half_widths.iter().enumerate() {
            let phase = half_width * t;
            value *= if place < taken.rectangles {
                0.5 / phase
            } else if phase < 1e-4 {
                1.0 - phase * phase / 6.0
            } else {
                libm::sin(phase) / phase
            };
        }
        let mut out = 0;
        for amplitude in self.amplitudes() {
            if out < taken.arcsines && amplitude * taken.from >= FAR {
                out += 1;
                value *= 0.5;
            } else {
                value *= libm::j0(amplitude * t);
            }
        }
        if taken.normal {
            let z = self.unit * t;
            value -= libm::exp(-0.5 * z * z);
        }
        value / t
    }

    /// Gives the stretches one by one, from zero on.
    fn waves(&self, mut give: impl FnMut(Wave)) {
        let mut from = 0.0;
        let mut length = self.first_length();
        for _ in 0..MOST_STRETCHES {
            let taken = self.taken(from);
            let to = from + length;
            let abscissae = Stretch::abscissae(from, to);
            let values = abscissae.map(|half| half.map(|t| self.left(t, taken)));
            let doubt = if taken.arcsines == 0 {
                let stretch = Stretch::new(from, to, &values);
                let doubt = stretch.doubt();
                if accepted(doubt) || length * self.unit < SHORTEST {
                    let Taken { rectangles, .. } = taken;
                    give(Wave { stretch, turns: rectangles, rectangles, arcsines: None });
                }
                doubt
            } else {
                self.swings((from, to), taken, &abscissae, &values, &mut give)
            };
            let change = libm::pow(0.5 * TOLERANCE / doubt.max(1e-30), 0.08);
            if accepted(doubt) || length * self.unit < SHORTEST {
                if !taken.normal && self.envelope(to) < END {
                    break;
                }
                // Near the corner and far out the function has no scale but t itself.
                let unscaled = to * self.unit < 0.5 || !taken.normal;
                let grown = if unscaled && from > 0.0 { to / from } else { 1.0 };
                length *= change.clamp(0.5, 2.0) * grown.min(2.5);
                from = to;
            } else {
                length *= change.clamp(0.1, 0.7);
            }
        }
    }

    fn taken(&self, t: f64) -> Taken {
        if t * self.unit < NORMAL_END {
            return Taken { from: t, normal: true, ..Taken::default() };
        }
        let loud = self.half_widths.iter().take_while(|a| *a * t >= LOUD).count();
        Taken {
            from: t,
            rectangles: loud.min(MOST_RECTANGLES),
            arcsines: self.loud(t).count(),
            normal: false,
        }
    }

    /// Before the corner that a Student error of few degrees of freedom makes at zero, a stretch is
    /// short; else φ allows about this.
    fn first_length(&self) -> f64 {
        let corner = |student: &StudentError| {
            256.0 * libm::pow(TOLERANCE, student.dof.recip()) / student.reach
        };
        let bent = self.students().filter(|student| student.bends()).map(corner);
        bent.fold(1.8 / self.unit, f64::min)
    }

    /// The stretches in which arcsines are taken out, one for each choice of signs; what they may be
    /// off by. They are given only where that is little.
    fn swings(
        &self,
        (from, to): (f64, f64),
        taken: Taken,
        abscissae: &Values,
        values: &Values,
        give: &mut impl FnMut(Wave),
    ) -> f64 {
        let mut doubt = 0.0;
        // The sign of the first is plus: the rest is its mirror.
        for signs in 0..1_u32 << (taken.arcsines - 1) {
            let chosen = |place: usize| place > 0 && signs >> (place - 1) & 1 == 1;
            let shift = self.loud(from).enumerate();
            let shift = shift.map(|(place, a)| if chosen(place) { -a } else { a }).sum();
            let mut parts = [*values; 2];
            let [real, imaginary] = &mut parts;
            let places = real.iter_mut().flatten().zip(imaginary.iter_mut().flatten());
            for ((real, imaginary), t) in places.zip(abscissae.iter().flatten()) {
                let mut product = (*real, 0.0);
                for (place, amplitude) in self.loud(from).enumerate() {
                    let (r, i) = swinging(amplitude * t);
                    let i = if chosen(place) { -i } else { i };
                    product = (product.0 * r - product.1 * i, product.0 * i + product.1 * r);
                }
                (*real, *imaginary) = product;
            }
            let [real, imaginary] = parts.map(|part| Stretch::new(from, to, &part));
            if signs == 0 {
                // As much for every choice of signs: they turn what swings, and leave its size.
                doubt = real.doubt().max(imaginary.doubt());
                if !accepted(doubt) {
                    break;
                }
            }
            let rectangles = taken.rectangles;
            let wave = |stretch, turns, sign| Wave {
                stretch,
                turns,
                rectangles,
                arcsines: Some((shift, sign)),
            };
            give(wave(real, rectangles, 1.0));
            // i is (−i)³.
            give(wave(imaginary, rectangles + 3, -1.0));
        }
        doubt
    }
}

fn accepted(doubt: f64) -> bool {
    doubt <= 4.0 * TOLERANCE
}

#[cfg(test)]
mod tests {
    use super::super::{mixture::VarianceFactors, smoothed_rectangles};
    use super::*;
    use proptest::prelude::*;

    fn inversion<'a>(normal: f64, half_widths: &'a [f64], slow: &'a [Slow]) -> Inversion<'a> {
        let rectangles: f64 = half_widths.iter().map(|a| a * a / 3.0).sum();
        let others: f64 = slow
            .iter()
            .map(|slow| match slow {
                Slow::Student(student) => student.scale * student.scale,
                Slow::Arcsine { amplitude } => 0.5 * amplitude * amplitude,
            })
            .sum();
        let unit = (normal * normal + rectangles + others).sqrt();
        Inversion { normal_variance: normal * normal, half_widths, slow, unit }
    }

    /// P(error > x) as a mean over the variances of the Student errors, one inside the other.
    fn by_variances(x: f64, students: &[StudentError], half_widths: &[f64], variance: f64) -> f64 {
        let Some((student, rest)) = students.split_first() else {
            return if half_widths.is_empty() {
                normal_cdf(-x / variance.sqrt())
            } else {
                smoothed_rectangles::tail(x, half_widths, variance)
            };
        };
        let square = student.scale * student.scale;
        let factors = VarianceFactors::fine(student.dof, x / student.scale);
        factors.mean(|factor| by_variances(x, rest, half_widths, variance + square * factor))
    }

    fn student() -> impl Strategy<Value = StudentError> {
        let dof = prop_oneof![(1_u32..=200).prop_map(f64::from), 0.7..80.0];
        (-3.0..=0.0, dof).prop_map(|(power, dof)| StudentError::new(10_f64.powf(power), dof))
    }

    fn parts() -> impl Strategy<Value = (Vec<StudentError>, Vec<f64>, f64)> {
        let rectangles = proptest::collection::vec(-3.0..=0.5, 0..=3);
        let normal = prop_oneof![Just(0.0), 0.001..1.0];
        (proptest::collection::vec(student(), 1..=2), rectangles, normal).prop_map(
            |(students, rectangles, normal)| {
                let mut half_widths: Vec<f64> =
                    rectangles.into_iter().map(|power: f64| 10_f64.powf(power)).collect();
                half_widths.sort_by(|a, b| b.total_cmp(a));
                (students, half_widths, normal)
            },
        )
    }

    proptest! {
        #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::with_cases(200) })]

        #[test]
        fn it_agrees_with_a_mean_over_variances(
            (students, half_widths, normal) in parts(),
            z in 0.01..6.0,
        ) {
            let slow: Vec<Slow> = students.iter().copied().map(Slow::Student).collect();
            let inversion = inversion(normal, &half_widths, &slow);
            let x = z * inversion.unit;
            let expected = by_variances(x, &students, &half_widths, normal * normal);
            let off = (inversion.tail(x) - expected).abs();
            // By its own account the closed form inside folds narrow rectangles to 1e-10.
            prop_assert!(off <= 1e-10, "{off} off {expected}");
            let known = Spectrum::new(inversion).map(|known| known.tail(x));
            prop_assert!(known.is_none_or(|known| (known - inversion.tail(x)).abs() <= 1e-15));
        }
    }

    /// The sum of n arcsine errors, or of arcsines and rectangles, by a walk of their phases.
    #[test]
    fn arcsines_and_rectangles_without_anything_smooth() {
        // Two arcsine errors of one amplitude, at x: a mean over one phase, by the other's closed form;
        // the substitution x = 2 - s takes the root at the end out (Simpson's rule, 40000 steps).
        let two = [Slow::Arcsine { amplitude: 1.0 }, Slow::Arcsine { amplitude: 1.0 }];
        let inversion = inversion(0.0, &[], &two);
        for x in [0.1, 0.7, 1.3, 1.9, 1.999] {
            let highest = libm::acos(x - 1.0);
            let steps = 40_000;
            let mean = |step: i32| {
                // phase = highest·sin²: the roots at both ends become smooth.
                let v = f64::from(step) / f64::from(steps) * std::f64::consts::FRAC_PI_2;
                let sine = libm::sin(v);
                let phase = highest * sine * sine;
                let left = (x - libm::cos(phase)).clamp(-1.0, 1.0);
                libm::acos(left) / PI * 2.0 * highest * sine * libm::cos(v)
            };
            let weight = |step: i32| if step % 2 == 1 { 4.0 } else { 2.0 };
            let inner: f64 = (1..steps).map(|step| weight(step) * mean(step)).sum();
            let width = std::f64::consts::FRAC_PI_2 / f64::from(steps);
            let expected = (inner + mean(0) + mean(steps)) * width / 3.0 / PI;
            let off = (inversion.tail(x) - expected).abs();
            assert!(off <= 1e-11, "{x}: {off} off {expected}");
        }
        assert!(inversion.tail(2.0 + 1e-9) <= 1e-11);
    }

    #[test]
    fn many_parts_take_few_stretches() {
        let wide: Vec<Slow> = (1..=8).map(|k| Slow::Arcsine { amplitude: f64::from(k) }).collect();
        let mut narrow: Vec<Slow> =
            (1..=9).map(|k| Slow::Student(StudentError::new(1e-6, f64::from(k)))).collect();
        narrow.push(Slow::Arcsine { amplitude: 1.0 });
        for (half_widths, slow) in
            [(&[1.0; 12][..], &narrow), (&[1.0, 0.1, 1e-3, 1e-5][..], &narrow), (&[][..], &wide)]
        {
            let mut stretches = 0;
            inversion(0.0, half_widths, slow).waves(|_| stretches += 1);
            assert!(stretches < 20_000, "{stretches}");
        }
    }
}
