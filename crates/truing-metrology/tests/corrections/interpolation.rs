//! The entries of `tests/reference/interpolation-statistics.toml` on interpolation, and how the
//! laws behave at and between the rows.

use proptest::prelude::*;
use truing_metrology::interpolation::{Grid, Law, Monotone, Table, TableError};

use crate::published::{Check, hold};

const LAWS: [Law; 6] = [Law::Step, Law::Linear, Law::LogX, Law::LogY, Law::LogLog, Law::Pchip];

#[test]
fn the_published_figures_of_interpolation_are_met() {
    hold("interpolation-statistics.toml", "interpolation", |check| match check.id.as_str() {
        "interp.linear" => Some(read(check, Law::Linear)),
        "interp.rpn14" => Some(read(check, Law::Pchip)),
        "interp.pchip_slopes" => {
            let (x, y) = (check.row("x"), check.row("y"));
            let table = Table::new(&x, &y).unwrap();
            Some(x.iter().map(|x| table.at(*x, Law::Pchip).unwrap().slope).collect())
        }
        "interp.pt100_inverse_lin" => {
            let (ohms, degrees) = (check.row("x"), check.row("y"));
            let (q, forwards) = (check.number("q"), Table::new(&ohms, &degrees).unwrap());
            // The same rows the other way round, and turned back.
            let inverse = Table::new(&degrees, &ohms).unwrap().inverse(q).unwrap();
            assert_eq!(inverse, forwards.at(q, Law::Linear).unwrap());
            Some(vec![inverse.value])
        }
        "interp.bilinear" => {
            let corners = ["f00", "f10", "f01", "f11"].map(|name| check.number(name));
            let grid = Grid::new(&[0.0, 1.0], &[0.0, 1.0], &corners).unwrap();
            Some(vec![grid.at(check.number("x"), check.number("y")).unwrap().value])
        }
        _ => None,
    });
}

fn read(check: &Check, law: Law) -> Vec<f64> {
    let (x, y) = (check.row("x"), check.row("y"));
    let table = Table::new(&x, &y).unwrap();
    check.row("q").iter().map(|q| table.at(*q, law).unwrap().value).collect()
}

/// Columns of 2 to 8 rows above zero.
fn columns(
    step: impl Strategy<Value = f64> + Clone,
) -> impl Strategy<Value = (Vec<f64>, Vec<f64>)> {
    let widths = prop::collection::vec(0.1..5.0_f64, 2..8);
    widths.prop_flat_map(move |widths| {
        let steps = prop::collection::vec(step.clone(), widths.len());
        (Just(summed(&widths)), steps.prop_map(|steps| summed(&steps)))
    })
}

fn summed(steps: &[f64]) -> Vec<f64> {
    let add = |sum: &mut f64, step: &f64| {
        *sum += step;
        Some(*sum)
    };
    steps.iter().scan(1.0, add).collect()
}

proptest! {
    #[test]
    fn every_law_meets_the_rows((x, y) in columns(0.1..5.0)) {
        let table = Table::new(&x, &y).unwrap();
        for law in LAWS {
            for (x, y) in x.iter().zip(&y) {
                let got = table.at(*x, law).unwrap().value;
                // Through a logarithm and back a last digit may be lost; otherwise nothing.
                let straight = matches!(law, Law::Step | Law::Linear | Law::Pchip);
                let allowed = if straight { 0.0 } else { 1e-13 * y };
                prop_assert!((got - y).abs() <= allowed, "{law:?} at {x}: {got}, not {y}");
            }
        }
    }

    /// Between rising rows every law rises and stays between them (Fritsch and Butland 1984).
    #[test]
    fn rising_rows_give_a_rising_curve((x, y) in columns(0.0..5.0)) {
        let table = Table::new(&x, &y).unwrap();
        for law in LAWS {
            let mut before = y[0];
            for place in 0..=200 {
                let entry = x[0] + (x[x.len() - 1] - x[0]) * f64::from(place) / 200.0;
                let got = table.at(entry.min(x[x.len() - 1]), law).unwrap();
                prop_assert!(got.value >= before - 1e-12, "{law:?} at {entry}");
                prop_assert!(got.slope >= -1e-12, "{law:?} at {entry}: {}", got.slope);
                before = got.value;
            }
            prop_assert!(before <= y[y.len() - 1] + 1e-12);
        }
    }

    #[test]
    fn the_inverse_of_a_line_leads_back((x, y) in columns(0.1..5.0), share in 0.0..=1.0_f64) {
        let table = Table::new(&x, &y).unwrap();
        let entry = (x[0] + share * (x[x.len() - 1] - x[0])).min(x[x.len() - 1]);
        let forth = table.at(entry, Law::Linear).unwrap();
        let back = table.inverse(forth.value.clamp(y[0], y[y.len() - 1])).unwrap();
        prop_assert!((back.value - entry).abs() < 1e-11);
        let falling: Vec<f64> = y.iter().map(|y| -y).collect();
        let down = Table::new(&x, &falling).unwrap();
        let turned = down.inverse((-forth.value).clamp(-y[y.len() - 1], -y[0])).unwrap();
        prop_assert!((turned.value - back.value).abs() < 1e-13 * entry);
    }

    /// On a plane, bilinear interpolation is exact and so are its slopes.
    #[test]
    fn a_grid_of_a_plane_is_the_plane(
        (x, y) in columns(0.1..5.0),
        [a, b, c] in prop::array::uniform3(-3.0..3.0_f64),
        (right, up) in (0.0..=1.0_f64, 0.0..=1.0_f64),
    ) {
        let plane = |x: f64, y: f64| a + b * x + c * y;
        let values: Vec<f64> =
            y.iter().flat_map(|y| x.iter().map(move |x| plane(*x, *y))).collect();
        let grid = Grid::new(&x, &y, &values).unwrap();
        let along = |axis: &[f64], share: f64| {
            (axis[0] + share * (axis[axis.len() - 1] - axis[0])).min(axis[axis.len() - 1])
        };
        let (at_x, at_y) = (along(&x, right), along(&y, up));
        let got = grid.at(at_x, at_y).unwrap();
        prop_assert!((got.value - plane(at_x, at_y)).abs() < 1e-11);
        let [by_x, by_y] = got.slopes;
        prop_assert!((by_x - b).abs() < 1e-10_f64 && (by_y - c).abs() < 1e-10_f64);
    }

    /// A power law, an exponential and a logarithm are met exactly by the law that is made of them.
    #[test]
    fn each_logarithm_straightens_its_own_curve(entry in 1.0..8.0_f64, n in -3.0..3.0_f64) {
        let x = [1.0, 2.0, 5.0, 8.0];
        let curves: [(Law, &dyn Fn(f64) -> f64); 3] = [
            (Law::LogLog, &|x| 3.0 * x.powf(n)),
            (Law::LogY, &|x| 3.0 * (n * x).exp()),
            (Law::LogX, &|x| 3.0 + n * x.ln()),
        ];
        for (law, curve) in curves {
            let got = Table::new(&x, &x.map(curve)).unwrap().at(entry, law).unwrap().value;
            prop_assert!((got - curve(entry)).abs() <= 1e-12 * curve(entry).abs().max(1.0));
        }
    }
}

#[test]
fn reading_a_table_allocates_nothing() {
    let (x, y) = ([1.0, 2.0, 4.0, 5.0], [2.0, 5.0, 6.0, 9.0]);
    let counted = allocation_counter::measure(|| {
        let table = Table::new(&x, &y).unwrap();
        let sum: f64 = LAWS.iter().map(|law| table.at(4.5, *law).unwrap().value).sum();
        assert!(sum + table.inverse(5.5).unwrap().value > 0.0);
    });
    assert_eq!(counted.count_total, 0);
}

#[test]
fn a_step_holds_until_the_next_row() {
    let table = Table::new(&[0.0, 1.0, 3.0], &[5.0, 7.0, 6.0]).unwrap();
    let at = |entry| table.at(entry, Law::Step).unwrap();
    assert_eq!([0.0, 0.9, 1.0, 2.9, 3.0].map(|x| at(x).value), [5.0, 5.0, 7.0, 7.0, 6.0]);
    assert_eq!(at(0.5).slope, 0.0);
}

/// The end condition of `scipy.interpolate.PchipInterpolator` (`from memory`): where the second
/// piece turns, the slope at the end is at most three times that of the first. Here the parabola
/// would have (3·1 + 10)/2 = 6.5; at the middle the cubic is then 3/8 + 1/2.
#[test]
fn the_end_of_a_smooth_curve_does_not_overshoot() {
    let table = Table::new(&[0.0, 1.0, 2.0], &[0.0, 1.0, -9.0]).unwrap();
    assert_eq!(table.at(0.0, Law::Pchip).unwrap().slope, 3.0);
    assert_eq!(table.at(0.5, Law::Pchip).unwrap().value, 0.875);
    // The same from the other end, and two rows, which are a line.
    let mirrored = Table::new(&[0.0, 1.0, 2.0], &[-9.0, 1.0, 0.0]).unwrap();
    assert_eq!(mirrored.at(2.0, Law::Pchip).unwrap().slope, -3.0);
    assert_eq!(mirrored.at(1.5, Law::Pchip).unwrap().value, 0.875);
    let line = Table::new(&[0.0, 2.0], &[1.0, 2.0]).unwrap().at(0.5, Law::Pchip).unwrap();
    assert_eq!((line.value, line.slope), (1.25, 0.5));
}

#[test]
fn a_column_says_which_way_it_goes() {
    let way = |y: [f64; 4]| Table::new(&[0.0, 1.0, 2.0, 3.0], &y).unwrap().monotone();
    assert_eq!(way([1.0, 2.0, 3.0, 4.0]), Some(Monotone::Rising));
    assert_eq!(way([1.0, 2.0, 2.0, 4.0]), Some(Monotone::NeverFalling));
    assert_eq!(way([4.0, 3.0, 2.0, 1.0]), Some(Monotone::Falling));
    assert_eq!(way([4.0, 3.0, 3.0, 1.0]), Some(Monotone::NeverRising));
    assert_eq!(way([4.0, 3.0, 3.5, 1.0]), None);
    assert_eq!(way([4.0; 4]), None);
    let level = Table::new(&[0.0, 1.0, 2.0], &[1.0, 1.0, 2.0]).unwrap();
    assert_eq!(level.inverse(1.0).unwrap_err().what, "values that rise or fall");
}

#[test]
fn what_is_no_table_is_refused() {
    assert_eq!(Table::new(&[1.0], &[1.0]), Err(TableError::TooShort));
    assert_eq!(Table::new(&[1.0, 2.0], &[1.0]), Err(TableError::Unequal { x: 2, y: 1 }));
    assert_eq!(Table::new(&[1.0, 1.0], &[1.0, 2.0]), Err(TableError::NotRising { row: 1 }));
    assert_eq!(Table::new(&[1.0, 2.0], &[1.0, f64::NAN]), Err(TableError::NotFinite { row: 1 }));
    assert_eq!(
        Grid::new(&[1.0, 2.0], &[1.0, 2.0], &[0.0; 3]),
        Err(TableError::Unequal { x: 4, y: 3 })
    );
    let table = Table::new(&[0.0, 1.0], &[-1.0, 2.0]).unwrap();
    for law in LAWS {
        assert!(table.at(1.1, law).is_err() && table.at(f64::NAN, law).is_err());
    }
    // A logarithm of zero or less is no row.
    assert!(table.at(0.5, Law::LogX).is_err() && table.at(0.5, Law::LogY).is_err());
}
