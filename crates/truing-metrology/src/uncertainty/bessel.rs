//! The Bessel functions that characteristic functions are made of.

/// Euler's constant.
const GAMMA: f64 = 0.577_215_664_901_532_9;

/// Up to here K₀ and K₁ are summed as power series.
const SMALL: f64 = 2.0;

/// (k!)⁻², Hₖ (k!)⁻², 1/(k! (k + 1)!) and −(ψ(k + 1) + ψ(k + 2))/2 of it (NIST DLMF, 10.31.1 and 10.31.2;
/// computed with mpmath 1.4.1).
const SERIES: [[f64; 4]; 12] = [
    [1.0, 0.0, 1.0, 7.721_566_490_153_287e-2],
    [1.0, 1.0, 0.5, -0.336_392_167_549_233_57],
    [0.25, 0.375, 8.333_333_333_333_333e-2, -9.078_758_348_042_781e-2],
    [
        2.777_777_777_777_777_6e-2,
        5.092_592_592_592_592e-2,
        6.944_444_444_444_444e-3,
        -9.591_094_919_665_281e-3,
    ],
    [
        1.736_111_111_111_111e-3,
        3.616_898_148_148_148e-3,
        3.472_222_222_222_222_4e-4,
        -5.576_797_459_832_64e-4,
    ],
    [
        6.944_444_444_444_444e-5,
        1.585_648_148_148_148e-4,
        1.157_407_407_407_407_3e-5,
        -2.071_123_844_635_571_4e-5,
    ],
    [
        1.929_012_345_679_012_4e-6,
        4.726_080_246_913_58e-6,
        2.755_731_922_398_589e-7,
        -5.357_729_570_455_905e-7,
    ],
    [
        3.936_759_889_140_842e-8,
        1.020_745_599_827_232_5e-7,
        4.920_949_861_426_052e-9,
        -1.022_643_001_796_939e-8,
    ],
    [
        6.151_187_326_782_565e-10,
        1.671_804_841_314_832_8e-9,
        6.834_652_585_313_961e-11,
        -1.501_024_373_294_594e-10,
    ],
    [
        7.594_058_428_126_624e-12,
        2.148_335_021_195_027_7e-11,
        7.594_058_428_126_623e-13,
        -1.747_964_364_846_441e-12,
    ],
    [
        7.594_058_428_126_623e-14,
        2.224_275_605_476_294e-13,
        6.903_689_480_115_112e-15,
        -1.654_957_367_625_136e-14,
    ],
    [
        6.276_081_345_559_193e-16,
        1.895_299_587_006_153e-15,
        5.230_067_787_965_994e-17,
        -1.299_320_566_050_564_3e-16,
    ],
];

/// Chebyshev coefficients of √z e^z K₀(z) and of √z e^z K₁(z) in 4/z − 1, for z from 2 (computed with
/// mpmath 1.4.1).
const LARGE: [[f64; 2]; 20] = [
    [1.220_151_541_032_977_7, 1.360_313_095_242_221_3],
    [-3.144_810_131_196_45e-2, 0.103_923_736_576_817_24],
    [1.569_883_885_730_053_3e-3, -2.857_816_859_622_779e-3],
    [-1.284_954_958_162_780_2e-4, 1.952_155_184_713_516_2e-4],
    [1.394_981_371_887_65e-5, -1.936_197_974_166_083e-5],
    [-1.831_755_522_719_119_5e-6, 2.406_484_947_837_217e-6],
    [2.766_813_639_445_015e-7, -3.501_960_603_087_812_6e-7],
    [-4.660_489_897_687_948e-8, 5.741_084_125_450_049_5e-8],
    [8.574_034_017_414_225e-9, -1.034_576_246_567_809_7e-8],
    [-1.697_534_509_389_061_4e-9, 2.015_049_755_197_034_7e-9],
    [3.577_397_281_400_328_3e-10, -4.190_354_759_341_925_4e-10],
    [-7.957_489_244_477_396e-11, 9.218_315_187_605_315e-11],
    [1.855_949_114_954_926_4e-11, -2.129_967_838_427_791e-11],
    [-4.514_597_883_374_519e-12, 5.139_639_673_482_343e-12],
    [1.140_340_588_207_344_1e-12, -1.289_173_960_949_822_9e-12],
    [-2.980_096_923_148_178_4e-13, 3.348_419_666_052_243e-13],
    [8.032_890_775_068_375e-14, -8.976_705_182_010_146e-14],
    [-2.227_513_326_746_296_5e-14, 2.477_154_424_219_598_8e-14],
    [6.340_076_476_276_646e-15, -7.019_837_089_214_768_5e-15],
    [-1.848_593_377_920_907e-15, 2.038_703_166_239_861e-15],
];

/// z K₁(z) and z² K₂(z)/2 for z above zero, both times e^a, and a.
pub(super) fn first_two(z: f64) -> ([f64; 2], f64) {
    if z >= SMALL {
        let s = 4.0 / z - 1.0;
        let [zero, one] = clenshaw(&LARGE, s);
        let root = z.sqrt();
        return ([root * one, root * (one + 0.5 * z * zero)], z);
    }
    let q = 0.25 * z * z;
    let logarithm = libm::log(0.5 * z);
    let [mut zero, mut zero_constant, mut one, mut one_constant] = [0.0; 4];
    for [a, b, c, d] in SERIES.iter().rev() {
        zero = zero * q + a;
        zero_constant = zero_constant * q + b;
        one = one * q + c;
        one_constant = one_constant * q + d;
    }
    let k_zero = zero_constant - (logarithm + GAMMA) * zero;
    let k_one = 1.0 + 2.0 * q * (logarithm * one + one_constant);
    ([k_one, k_one + 2.0 * q * k_zero], 0.0)
}

fn clenshaw(coefficients: &[[f64; 2]], s: f64) -> [f64; 2] {
    let [mut zero, mut one, mut zero_before, mut one_before] = [0.0; 4];
    for [a, b] in coefficients.iter().rev() {
        (zero, zero_before) = (2.0 * s * zero - zero_before + a, zero);
        (one, one_before) = (2.0 * s * one - one_before + b, one);
    }
    [zero - s * zero_before, one - s * one_before]
}

/// From here on [`swinging`] holds to 2e-15.
pub(super) const FAR: f64 = 25.0;

/// Even and odd terms of Hankel's expansion, (−1)ᵏ a₂ₖ and −(−1)ᵏ a₂ₖ₊₁ with aₖ = ((2k − 1)!!)²/(k! 8ᵏ).
const HANKEL: [[f64; 2]; 7] = [
    [1.0, -0.125],
    [-7.031_25e-2, 7.324_218_75e-2],
    [0.112_152_099_609_375, -0.227_108_001_708_984_38],
    [-0.572_501_420_974_731_4, 1.727_727_502_584_457_4],
    [6.074_042_001_273_483, -24.380_529_699_556_064],
    [-110.017_140_269_246_74, 551.335_896_122_020_6],
    [3_038.090_510_922_384, 0.0],
];

/// H with J₀(z) = Re(H e^(iz)) for z from [`FAR`], as its real and imaginary part: H = √(2/πz) (P + iQ)
/// e^(−iπ/4) (NIST DLMF, 10.17.3).
pub(super) fn swinging(z: f64) -> (f64, f64) {
    let inverse = z.recip();
    let square = inverse * inverse;
    let (p, q) = HANKEL
        .iter()
        .rev()
        .fold((0.0, 0.0), |(p, q), [even, odd]| (p * square + even, q * square + odd));
    let q = q * inverse;
    // √(2/π) cos(π/4) = 1/√π.
    let size = (inverse * std::f64::consts::FRAC_1_PI).sqrt();
    (size * (p + q), size * (q - p))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_swing_is_the_bessel_function() {
        for step in 0..200 {
            let z = FAR * 1.05_f64.powi(step);
            let (real, imaginary) = swinging(z);
            let came = real * z.cos() - imaginary * z.sin();
            assert!((came - libm::j0(z)).abs() <= 3e-15, "{z}");
        }
    }

    #[test]
    fn the_series_and_the_polynomials_meet() {
        let ([one, two], falling) = first_two(SMALL);
        let ([below_one, below_two], none) = first_two(SMALL * (1.0 - 1e-15));
        assert_eq!(none, 0.0);
        let factor = libm::exp(-falling);
        assert!((one * factor - below_one).abs() <= 1e-15);
        assert!((two * factor - below_two).abs() <= 1e-15);
    }
}
