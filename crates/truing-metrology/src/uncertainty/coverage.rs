//! Normal and Student distributions and the coverage factors that come from them
//! (JCGM 100:2008, annex G).

use super::mixture::VarianceFactors;

const FRAC_1_SQRT_2PI: f64 = 0.398_942_280_401_432_7;

/// Density of the standard normal distribution at `z`.
#[must_use]
pub fn normal_density(z: f64) -> f64 {
    FRAC_1_SQRT_2PI * libm::exp(-0.5 * z * z)
}

/// Probability that a standard normal variable is at most `z`.
#[must_use]
pub fn normal_cdf(z: f64) -> f64 {
    0.5 * libm::erfc(-z * std::f64::consts::FRAC_1_SQRT_2)
}

/// The `z` below which a standard normal variable falls with probability `p`; infinite at 0 and 1,
/// `None` where `p` is no probability.
#[must_use]
pub fn normal_quantile(p: f64) -> Option<f64> {
    if !(0.0..=1.0).contains(&p) {
        return None;
    }
    let q = p - 0.5;
    if q.abs() <= 0.425 {
        let r = 0.180_625 - q * q;
        return Some(q * ratio(&CENTRAL, r));
    }
    let tail = if q < 0.0 { p } else { 1.0 - p };
    if tail == 0.0 {
        return Some(q.signum() * f64::INFINITY);
    }
    let r = (-libm::log(tail)).sqrt();
    let z = if r <= 5.0 { ratio(&MIDDLE, r - 1.6) } else { ratio(&FAR, r - 5.0) };
    Some(q.signum() * z)
}

type Coefficients = [(f64, f64); 8];

fn ratio(coefficients: &Coefficients, r: f64) -> f64 {
    let (above, below) = coefficients
        .iter()
        .rev()
        .fold((0.0, 0.0), |(above, below), (a, b)| (above * r + a, below * r + b));
    above / below
}

// Wichura, algorithm AS 241, PPND16 (from memory; the tests hold it against the normal distribution).
const CENTRAL: Coefficients = [
    (3.387_132_872_796_366_5, 1.0),
    (1.331_416_678_917_843_8e2, 4.231_333_070_160_091e1),
    (1.971_590_950_306_551_3e3, 6.871_870_074_920_579e2),
    (1.373_169_376_550_946e4, 5.394_196_021_424_751e3),
    (4.592_195_393_154_987e4, 2.121_379_430_158_659_7e4),
    (6.726_577_092_700_87e4, 3.930_789_580_009_271e4),
    (3.343_057_558_358_813e4, 2.872_908_573_572_194_3e4),
    (2.509_080_928_730_122_7e3, 5.226_495_278_852_545e3),
];
const MIDDLE: Coefficients = [
    (1.423_437_110_749_683_5, 1.0),
    (4.630_337_846_156_546, 2.053_191_626_637_759),
    (5.769_497_221_460_691, 1.676_384_830_183_803_8),
    (3.647_848_324_763_204_5, 6.897_673_349_851e-1),
    (1.270_458_252_452_368_4, 1.481_039_764_274_800_8e-1),
    (2.417_807_251_774_506e-1, 1.519_866_656_361_645_7e-2),
    (2.272_384_498_926_918_4e-2, 5.475_938_084_995_345e-4),
    (7.745_450_142_783_414e-4, 1.050_750_071_644_416_9e-9),
];
const FAR: Coefficients = [
    (6.657_904_643_501_103, 1.0),
    (5.463_784_911_164_114, 5.998_322_065_558_88e-1),
    (1.784_826_539_917_291_3, 1.369_298_809_227_358e-1),
    (2.965_605_718_285_048_7e-1, 1.487_536_129_085_061_5e-2),
    (2.653_218_952_657_612_4e-2, 7.868_691_311_456_133e-4),
    (1.242_660_947_388_078_4e-3, 1.846_318_317_510_054_8e-5),
    (2.711_555_568_743_487_6e-5, 1.421_511_758_316_446e-7),
    (2.010_334_399_292_288_1e-7, 2.044_263_103_389_939_8e-15),
];

/// Probability that a Student variable with `dof` degrees of freedom is above `t`, accurate in
/// relation to itself; `None` where the degrees of freedom are not above zero. Infinite degrees of
/// freedom are the normal distribution.
#[must_use]
pub fn student_tail(t: f64, dof: f64) -> Option<f64> {
    if dof.is_nan() || dof <= 0.0 || t.is_nan() {
        return None;
    }
    if t < 0.0 {
        return student_tail(-t, dof).map(|below| 1.0 - below);
    }
    Some(VarianceFactors::fine(dof, t).mean(|factor| normal_cdf(-t / factor.sqrt())))
}

/// Probability that a Student variable with `dof` degrees of freedom is at most `t`; `None` where the
/// degrees of freedom are not above zero.
#[must_use]
pub fn student_cdf(t: f64, dof: f64) -> Option<f64> {
    student_tail(-t, dof)
}

/// t_p(ν): a Student variable with `dof` degrees of freedom, which need not be whole, lies within ±t
/// with probability `p` (JCGM 100:2008, G.3.4, table G.2). `None` where `p` is not between 0 and 1 or
/// the degrees of freedom are not above zero.
#[must_use]
pub fn student_coverage_factor(p: f64, dof: f64) -> Option<f64> {
    if !(p > 0.0 && p < 1.0 && dof > 0.0) {
        return None;
    }
    let tail = 0.5 * (1.0 - p);
    let start = -normal_quantile(tail)?;
    if dof == f64::INFINITY {
        return Some(start);
    }
    // The logarithm of the tail is nearly straight in the logarithm of t: the secant settles in a few
    // steps, kept inside a bracket that only shrinks.
    let excess = |t: f64| student_tail(t, dof).map(|above| libm::log(above / tail));
    let mut low = start;
    let mut high = start.max(1e-3);
    let mut at_low = excess(low)?;
    let mut at_high = at_low;
    while at_high > 0.0 && high < 1e300 {
        (low, at_low) = (high, at_high);
        high *= 2.0;
        at_high = excess(high)?;
    }
    if at_low < 0.0 {
        (low, at_low) = (0.0, libm::log(0.5 / tail));
    }
    Some(super::root::falling(|t| excess(t).unwrap_or(f64::NAN), (low, at_low), (high, at_high)))
}
