//! The characteristic function of Student's distribution.
//!
//! With ν degrees of freedom and the scale s it is f(z) = (z/2)^μ 2 K_μ(z)/Γ(μ), where μ = ν/2 and
//! z = √ν s t (Hurst 1995, from memory; the tests hold it against quadrature of the density by way of
//! the tails). It falls as e^(−z); f_{μ+1} = f_μ + z²/(4 μ (μ − 1)) f_{μ−1}, in which nothing cancels.

use super::bessel::first_two;

/// From here on the function is an expansion in 1/μ, good to 1e-12.
const MANY: f64 = 60.0;

/// Beyond this the function is zero.
const FARTHEST: f64 = 730.0;

/// A Student error, ready for its characteristic function.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct StudentError {
    pub(super) scale: f64,
    pub(super) dof: f64,
    /// √ν s: the function falls as e^(−√ν s t).
    pub(super) reach: f64,
    form: Form,
}

/// How the function is worked out.
#[derive(Debug, Clone, Copy, PartialEq)]
enum Form {
    /// e^(−z) times a polynomial, by so many steps from f_{1/2} and f_{3/2}.
    Odd { steps: u32 },
    /// By so many steps from f₁ and f₂.
    Even { steps: u32 },
    /// By so many steps from f_α and f_{α+1}; the constant is 2/Γ(α).
    Broken { steps: u32, lowest: f64, constant: f64 },
    /// By the expansion for many degrees of freedom.
    Many,
}

impl StudentError {
    pub(super) fn new(scale: f64, dof: f64) -> Self {
        let form = if dof >= MANY {
            Form::Many
        } else if dof % 2.0 == 1.0 {
            Form::Odd { steps: (0.5 * (dof - 1.0)) as u32 }
        } else if dof % 2.0 == 0.0 {
            Form::Even { steps: (0.5 * dof - 1.0) as u32 }
        } else {
            let order = 0.5 * dof;
            let lowest = order - libm::floor(order);
            Form::Broken { steps: order as u32, lowest, constant: 2.0 / libm::tgamma(lowest) }
        };
        StudentError { scale, dof, reach: dof.sqrt() * scale, form }
    }

    pub(super) fn scaled(self, factor: f64) -> Self {
        StudentError { scale: self.scale * factor, reach: self.reach * factor, ..self }
    }

    /// Whether the function has a corner at zero, |t|^ν or t^ν ln t, that is felt.
    pub(super) fn bends(&self) -> bool {
        self.dof < 12.0 && !matches!(self.form, Form::Odd { .. })
    }

    /// The function at `t`, which is not negative, as a factor and a: the factor times e^(−a).
    pub(super) fn at(&self, t: f64) -> (f64, f64) {
        let z = self.reach * t;
        if z == 0.0 {
            return (1.0, 0.0);
        }
        match self.form {
            Form::Many if z < 1e8 * self.dof => many(0.5 * self.dof, z),
            Form::Many => (0.0, 0.0),
            _ if z > FARTHEST => (0.0, 0.0),
            Form::Odd { steps } => (climb([1.0, 1.0 + z], 1.5, steps, z), z),
            Form::Even { steps } => {
                let (start, falling) = first_two(z);
                (climb(start, 2.0, steps, z), falling)
            }
            Form::Broken { steps, lowest, constant } => {
                (climb(broken(lowest, z, constant), lowest + 1.0, steps, z), z)
            }
        }
    }
}

/// The function so many steps above the first of two that follow each other, the second of which has
/// the order `order`.
fn climb([first, second]: [f64; 2], order: f64, steps: u32, z: f64) -> f64 {
    let quarter = 0.25 * z * z;
    let (mut before, mut value) = (first, second);
    if steps == 0 {
        return before;
    }
    for step in 1..steps {
        let order = order + f64::from(step - 1);
        (before, value) = (value, value + quarter / (order * (order - 1.0)) * before);
    }
    value
}

/// e^z f_α(z) and e^z f_{α+1}(z), by the trapezoid rule in u of K_α(z) = ∫ e^(−z cosh u) cosh αu du from zero
/// on (NIST DLMF, 10.32.9); the error falls as exp(−π²/h) with the step h, and as exp(−2π²/(z h²)).
fn broken(lowest: f64, z: f64, constant: f64) -> [f64; 2] {
    let step = (0.75 / z.sqrt()).min(0.25);
    let (rise, own_rise) = (libm::exp(step), libm::exp(lowest * step));
    let (fall, own_fall) = (rise.recip(), own_rise.recip());
    // e^u, e^(−u), e^(αu), e^(−αu).
    let [mut up, mut down, mut own_up, mut own_down] = [1.0; 4];
    let mut sums = [0.5, 0.5];
    loop {
        (up, down) = (up * rise, down * fall);
        (own_up, own_down) = (own_up * own_rise, own_down * own_fall);
        let weight = libm::exp(-z * (0.5 * (up + down) - 1.0));
        let [first, second] = &mut sums;
        let next = 0.5 * (own_up * up + own_down * down) * weight;
        *first += 0.5 * (own_up + own_down) * weight;
        *second += next;
        if next <= 1e-17 * *second {
            break;
        }
    }
    let [first, second] = sums;
    let scale = constant * step * libm::pow(0.5 * z, lowest);
    // The second has one more power of z/2, and Γ(α + 1) = α Γ(α).
    [scale * first, scale * (0.5 * z / lowest) * second]
}

/// The logarithm of K_μ(μζ) is expanded in 1/μ with polynomials in p = 1/√(1 + ζ²) (NIST DLMF, 10.41.4
/// and 10.41.9, as the logarithm of the series; computed with sympy 1.12); each row is that of one
/// power, of p^k times a polynomial in p².
const DEBYE: [&[f64]; 6] = [
    &[-1.0 / 8.0, 5.0 / 24.0],
    &[1.0 / 16.0, -3.0 / 8.0, 5.0 / 16.0],
    &[-25.0 / 384.0, 531.0 / 640.0, -221.0 / 128.0, 1105.0 / 1152.0],
    &[13.0 / 128.0, -71.0 / 32.0, 531.0 / 64.0, -339.0 / 32.0, 565.0 / 128.0],
    &[
        -1073.0 / 5120.0,
        50049.0 / 7168.0,
        -186_821.0 / 4608.0,
        44899.0 / 512.0,
        -82825.0 / 1024.0,
        82825.0 / 3072.0,
    ],
    &[
        103.0 / 192.0,
        -405.0 / 16.0,
        1677.0 / 8.0,
        -5389.0 / 8.0,
        65385.0 / 64.0,
        -11805.0 / 16.0,
        19675.0 / 96.0,
    ],
];

/// The values of the six at p = 1: Stirling's series.
const STIRLING: [f64; 6] = [1.0 / 12.0, 0.0, -1.0 / 360.0, 0.0, 1.0 / 1260.0, 0.0];

fn many(order: f64, z: f64) -> (f64, f64) {
    let zeta = z / order;
    let root = libm::sqrt(1.0 + zeta * zeta);
    // √(1 + ζ²) − 1.
    let rise = zeta * zeta / (1.0 + root);
    let p = root.recip();
    let inverse = order.recip();
    let [mut of_p, mut of_one, mut correction] = [1.0, 1.0, 0.0];
    for (row, at_one) in DEBYE.iter().zip(STIRLING) {
        of_p *= p * inverse;
        of_one *= inverse;
        let polynomial = row.iter().rev().fold(0.0, |sum, next| sum * p * p + next);
        correction += of_p * polynomial - of_one * at_one;
    }
    (p.sqrt(), order * (rise - libm::log1p(0.5 * rise)) - correction)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// ν and f at [`ARGUMENTS`] (computed with mpmath 1.4.1).
    const VALUES: [(f64, [f64; 6]); 14] = [
        (
            0.3,
            [
                0.878_077_734_780_103,
                0.140_076_332_819_824_62,
                0.037_218_934_892_905_27,
                0.036_369_012_818_795_524,
                0.001_364_466_421_720_283_2,
                2.608_942_961_830_059e-10,
            ],
        ),
        (
            1.0,
            [
                0.999_000_499_833_375,
                0.406_569_659_740_599_1,
                0.136_695_425_445_523_85,
                0.133_988_674_668_804_99,
                0.006_737_946_999_085_467,
                2.061_153_622_438_558e-9,
            ],
        ),
        (
            1.1,
            [
                0.999_482_847_614_038_8,
                0.437_330_624_475_880_5,
                0.151_519_242_664_538_56,
                0.148_579_635_102_683_85,
                0.007_773_421_501_660_113,
                2.539_609_634_430_817e-9,
            ],
        ),
        (
            2.0,
            [
                0.999_996_238_156_085_6,
                0.644_880_220_898_417_1,
                0.282_017_947_628_578_6,
                0.277_462_163_411_607_45,
                0.020_223_067_227_260_822,
                1.176_611_593_911_407_7e-8,
            ],
        ),
        (
            3.0,
            [
                0.999_999_500_333_208_4,
                0.772_482_353_507_138_3,
                0.408_719_322_082_116_3,
                0.403_305_910_753_103,
                0.040_427_681_994_512_805,
                4.328_422_607_120_971_4e-8,
            ],
        ),
        (
            4.0,
            [
                0.999_999_750_000_485_9,
                0.842_005_995_704_391_8,
                0.510_321_212_469_474_3,
                0.504_726_597_847_088,
                0.066_361_796_402_793_24,
                1.265_908_722_458_445_7e-7,
            ],
        ),
        (
            7.0,
            [
                0.999_999_900_000_008_4,
                0.923_970_208_726_485_5,
                0.697_066_466_009_548_6,
                0.692_374_872_931_823_4,
                0.163_956_710_311_079_7,
                1.472_350_737_628_609_8e-6,
            ],
        ),
        (
            12.0,
            [
                0.999_999_950_000_001_5,
                0.960_502_652_849_624_1,
                0.824_089_091_664_525_2,
                0.820_945_423_333_670_8,
                0.328_253_634_580_746_63,
                2.290_593_948_313_998_4e-5,
            ],
        ),
        (
            13.7,
            [
                0.999_999_957_264_958_4,
                0.966_094_806_769_019_9,
                0.846_673_954_948_168_4,
                0.843_878_014_082_236,
                0.375_817_484_292_137_24,
                4.646_255_552_123_009_4e-5,
            ],
        ),
        (
            29.0,
            [
                0.999_999_981_481_481_6,
                0.985_120_790_271_637_8,
                0.929_487_547_288_685_9,
                0.928_119_593_288_398_7,
                0.634_564_834_064_184_7,
                0.002_228_657_287_684_234_7,
            ],
        ),
        (
            58.0,
            [
                0.999_999_991_071_428_6,
                0.992_794_907_411_826_5,
                0.965_282_064_143_057_5,
                0.964_593_732_038_153_9,
                0.800_673_526_492_036_5,
                0.034_398_624_195_658_34,
            ],
        ),
        (
            59.5,
            [
                0.999_999_991_304_347_9,
                0.992_982_156_195_461_9,
                0.966_171_115_038_744_2,
                0.965_500_069_434_266_4,
                0.805_293_174_700_901_4,
                0.037_226_023_654_082_24,
            ],
        ),
        (
            60.0,
            [
                0.999_999_991_379_310_4,
                0.993_042_428_530_58,
                0.966_457_440_109_864_3,
                0.965_791_965_726_649_6,
                0.806_786_252_801_172_7,
                0.038_189_419_103_171_196,
            ],
        ),
        (
            200.0,
            [
                0.999_999_997_474_747_4,
                0.997_956_657_273_230_5,
                0.990_050_088_820_169_5,
                0.989_850_119_510_306_5,
                0.938_839_260_266_436_4,
                0.366_056_983_573_620_9,
            ],
        ),
    ];
    const ARGUMENTS: [f64; 6] = [1e-3, 0.9, 1.99, 2.01, 5.0, 20.0];

    fn f(dof: f64, z: f64) -> f64 {
        let (factor, falling) = StudentError::new(dof.sqrt().recip(), dof).at(z);
        factor * libm::exp(-falling)
    }

    #[test]
    fn the_function_is_that_of_another_library() {
        for (dof, values) in VALUES {
            for (z, expected) in ARGUMENTS.into_iter().zip(values) {
                let off = (f(dof, z) - expected).abs();
                assert!(off <= 5e-13, "{dof} at {z}: {off} off");
            }
        }
    }

    #[test]
    fn forms_meet() {
        for whole in 1..=70 {
            for z in [1e-6, 0.3, 2.5, 14.0, 60.0] {
                let dof = f64::from(whole);
                let around = 0.5 * (f(dof - 1e-7, z) + f(dof + 1e-7, z));
                assert!((f(dof, z) - around).abs() <= 1e-12, "{dof} at {z}");
            }
        }
    }

    #[test]
    fn it_is_one_at_zero_and_falls_to_nothing() {
        for dof in [0.01, 0.5, 1.0, 2.0, 7.7, 31.0, 61.0, 1e6, 1e14] {
            assert_eq!(f(dof, 0.0), 1.0);
            let mut before = 1.0 + 1e-13;
            for step in -40..=40 {
                let value = f(dof, 2.0_f64.powi(step));
                assert!((0.0..=before).contains(&value), "{dof}: {value} after {before}");
                before = value + 1e-13;
            }
            assert_eq!(f(dof, 1e300), 0.0, "{dof}");
        }
        // Many degrees of freedom: the normal distribution, in z/√ν.
        for t in [0.1_f64, 1.0, 3.0] {
            assert!((f(1e13, t * 1e13_f64.sqrt()) - libm::exp(-0.5 * t * t)).abs() <= 1e-13);
        }
    }
}
