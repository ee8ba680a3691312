//! Normal and Student distributions.

use truing_metrology::uncertainty::coverage::{
    normal_cdf, normal_quantile, student_cdf, student_coverage_factor, student_tail,
};

/// Degrees of freedom, p, t_p(ν), P(T > 7.5): incomplete beta function (computed with mpmath 1.3.0, 40
/// digits).
#[expect(clippy::excessive_precision, reason = "as computed")]
const STUDENT: [(f64, f64, f64, f64); 44] = [
    (0.3, 0.1, 0.2257100582076048, 0.19086827116780094),
    (0.3, 0.6827, 13.904958244096166, 0.19086827116780094),
    (0.3, 0.95, 6582.0356994007575, 0.19086827116780094),
    (0.3, 0.9973, 1.10589620630406e+8, 0.19086827116780094),
    (1.0, 0.1, 0.1583844403245363, 0.042192463158841361),
    (1.0, 0.6827, 1.8374094294905462, 0.042192463158841361),
    (1.0, 0.95, 12.706204736174693, 0.042192463158841361),
    (1.0, 0.9973, 235.78368715848947, 0.042192463158841361),
    (1.5, 0.1, 0.14762664346094743, 0.018101574305445747),
    (1.5, 0.6827, 1.466857388758495, 0.018101574305445747),
    (1.5, 0.95, 6.0166631044279283, 0.018101574305445747),
    (1.5, 0.9973, 42.717883752702951, 0.018101574305445747),
    (2.0, 0.1, 0.1421338109037403, 0.0086586634396862224),
    (2.0, 0.6827, 1.321315462445693, 0.0086586634396862224),
    (2.0, 0.95, 4.3026527297494618, 0.0086586634396862224),
    (2.0, 0.9973, 19.206015887810968, 0.0086586634396862224),
    (3.0, 0.1, 0.13659819935369892, 0.0024554874629941517),
    (3.0, 0.6827, 1.1969125599716931, 0.0024554874629941517),
    (3.0, 0.95, 3.1824463052837084, 0.0024554874629941517),
    (3.0, 0.9973, 9.2187018220373055, 0.0024554874629941517),
    (6.08, 0.1, 0.13100345310183569, 0.00013645397973036769),
    (6.08, 0.6827, 1.0893053572597669, 0.00013645397973036769),
    (6.08, 0.95, 2.439128556075019, 0.00013645397973036769),
    (6.08, 0.9973, 4.8676805661287756, 0.00013645397973036769),
    (16.0, 0.1, 0.12767125668846222, 6.3393576489396764e-7),
    (16.0, 0.6827, 1.0322649192619047, 6.3393576489396764e-7),
    (16.0, 0.95, 2.1199052992212542, 6.3393576489396764e-7),
    (16.0, 0.9973, 3.5440918560029529, 6.3393576489396764e-7),
    (25.5, 0.1, 0.12691903164616656, 3.2872192567413021e-8),
    (25.5, 0.6827, 1.0200186625563633, 3.2872192567413021e-8),
    (25.5, 0.95, 2.0574928343278757, 3.2872192567413021e-8),
    (25.5, 0.9973, 3.3225308540551502, 3.2872192567413021e-8),
    (100.0, 0.1, 0.12598088204153968, 1.3286199631860336e-11),
    (100.0, 0.6827, 1.0050469946346864, 1.3286199631860336e-11),
    (100.0, 0.95, 1.9839715185235519, 1.3286199631860336e-11),
    (100.0, 0.9973, 3.076730898917823, 1.3286199631860336e-11),
    (1000.5, 0.1, 0.12569324656673681, 7.0259718834393554e-14),
    (1000.5, 0.6827, 1.0005217349805315, 7.0259718834393554e-14),
    (1000.5, 0.95, 1.9623378924593481, 7.0259718834393554e-14),
    (1000.5, 0.9973, 3.0074903459614346, 7.0259718834393554e-14),
    (1000000.0, 0.1, 0.1256613787664875, 3.1935057368574253e-14),
    (1000000.0, 0.6827, 1.0000222133449628, 3.1935057368574253e-14),
    (1000000.0, 0.95, 1.9599663568141067, 3.1935057368574253e-14),
    (1000000.0, 0.9973, 2.9999844925595887, 3.1935057368574253e-14),
];

/// p and its standard normal quantile (computed with mpmath 1.3.0, 40 digits).
#[expect(clippy::excessive_precision, reason = "as computed")]
const NORMAL: [(f64, f64); 14] = [
    (1e-300, -37.047096299361199),
    (1e-20, -9.2623400897984076),
    (1e-09, -5.9978070150076869),
    (0.001, -3.0902323061678135),
    (0.02425, -1.9729610513118848),
    (0.1, -1.2815515655446004),
    (0.3, -0.52440051270804082),
    (0.499, -0.0025066308995717662),
    (0.5, 0.0),
    (0.6, 0.25334710313579974),
    (0.925, 1.4395314709384562),
    (0.95, 1.6448536269514723),
    (0.99, 2.3263478740408408),
    (0.9999, 3.7190164854557084),
];

fn close(got: f64, expected: f64, relative: f64) -> bool {
    (got - expected).abs() <= relative * expected.abs()
}

#[test]
fn student_coverage_factors_and_tails() {
    for (dof, p, factor, tail) in STUDENT {
        let got = student_coverage_factor(p, dof).unwrap();
        // P(|T| < t) as given: 1 - p has lost what the rounding of p took.
        let slack = 1e-12 + 4e-16 / (1.0 - p) / dof.min(1.0);
        assert!(close(got, factor, slack), "t_{p}({dof}) {got} {factor}");
        let got = student_tail(7.5, dof).unwrap();
        assert!(close(got, tail, 1e-12), "P(T > 7.5), {dof}: {got} {tail}");
        let (below, above) = (student_cdf(-7.5, dof).unwrap(), student_cdf(7.5, dof).unwrap());
        assert!(close(below, tail, 1e-12) && close(above, 1.0 - tail, 1e-12));
    }
}

#[test]
fn student_with_closed_forms() {
    // One, two and four degrees of freedom have closed forms (textbook).
    for t in [0.0, 0.01, 0.3, 1.0, 2.5, 6.0, 11.0] {
        let one = 0.5 + t_atan(t);
        let two = 0.5 + t / (2.0 * (2.0 + t * t).sqrt());
        let x: f64 = t / (4.0 + t * t).sqrt();
        let four = 0.5 + 0.75 * (x - x.powi(3) / 3.0);
        for (dof, expected) in [(1.0, one), (2.0, two), (4.0, four)] {
            let got = student_cdf(t, dof).unwrap();
            assert!(close(got, expected, 1e-13), "{t} {dof} {got} {expected}");
        }
    }
}

fn t_atan(t: f64) -> f64 {
    t.atan() / std::f64::consts::PI
}

#[test]
fn normal_quantiles() {
    for (p, expected) in NORMAL {
        let got = normal_quantile(p).unwrap();
        assert!(close(got, expected, 1e-14) || got == expected, "{p} {got} {expected}");
        assert!(close(normal_cdf(got), p, 1e-12), "{p}");
    }
    assert_eq!(normal_quantile(0.0), Some(f64::NEG_INFINITY));
    assert_eq!(normal_quantile(1.0), Some(f64::INFINITY));
    assert_eq!(normal_quantile(1.5), None);
    assert_eq!(normal_quantile(f64::NAN), None);
}

#[test]
fn infinite_and_impossible_degrees_of_freedom() {
    let factor = student_coverage_factor(0.95, f64::INFINITY).unwrap();
    assert!(close(factor, 1.959_963_984_540_054, 1e-14));
    let huge = student_coverage_factor(0.95, 1e15).unwrap();
    assert!(close(huge, factor, 1e-13));
    for dof in [0.0, -1.0, f64::NAN] {
        assert_eq!(student_coverage_factor(0.95, dof), None);
        assert_eq!(student_tail(1.0, dof), None);
    }
    for p in [0.0, 1.0, -0.5, f64::NAN] {
        assert_eq!(student_coverage_factor(p, 5.0), None);
    }
}
