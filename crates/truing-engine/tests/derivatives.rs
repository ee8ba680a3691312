//! The derivatives that the reference works out, against central finite differences.
//!
//! (f(x + h) − f(x − h))/2h with h = 2⁻¹⁷·max(1, |x|) is off by about h²·f‴/6 and by ε·f/h, and so
//! is held to 10⁻⁵ of the slopes about it. Where that of 4h differs from it by more than this, or
//! the slopes to either side by more than a hundredth, f has a corner or a pole nearby, and nothing
//! is compared.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::indexing_slicing,
    reason = "what a test is made of may fail as the test may"
)]

#[allow(dead_code, reason = "each test file uses its own part")]
mod support;

use std::collections::BTreeMap;

use proptest::prelude::*;
use support::small::{Small, figure, shown as indication};
use support::{Choices, Maker, shown};
use truing_engine::{Sheet, reference};
use truing_model::*;
use truing_units::Kind;

const STEP: f64 = 1.0 / 131_072.0;
const TOLERANCE: f64 = 1e-5;

/// The values of all numbers and their slopes by one slot with its reading moved by so many steps.
fn moved(spec: &Spec, sheet: &Sheet, slot: SlotId, steps: f64) -> Vec<Option<(f64, f64)>> {
    let Some(Reading::Figure(figure)) = sheet.get(slot) else { panic!("a figure everywhere") };
    let mut sheet = sheet.clone();
    let value = figure.value + steps * step_of(figure);
    sheet.set(slot, Reading::Figure(Indication { value, exact: None, ..figure.clone() })).unwrap();
    let gradients = reference::gradients(spec, &sheet).into_iter();
    let by_slot = |gradient: reference::Gradient| {
        (gradient.value, gradient.slopes.get(&slot).copied().unwrap_or_default())
    };
    gradients.map(|gradient| gradient.map(by_slot)).collect()
}

fn step_of(figure: &Indication) -> f64 {
    STEP * figure.value.abs().max(1.0)
}

/// The slope by differences of what is at −4, −1, 0, 1 and 4 steps, and how much it is off by
/// rounding; `None` near a corner, a pole or a value by itself (`if x == 2 V`).
fn by_differences(at: [Option<(f64, f64)>; 5], step: f64) -> Option<(f64, f64, f64)> {
    let [Some(lowest), Some(low), Some(middle), Some(high), Some(highest)] = at else {
        return None;
    };
    let noise = 8.0 * f64::EPSILON * lowest.0.abs().max(highest.0.abs()) / step;
    let about =
        |a: f64, b: f64, slack: f64| (a - b).abs() <= slack * a.abs().max(b.abs()) + 2.0 * noise;
    let near = (high.0 - low.0) / (2.0 * step);
    let far = (highest.0 - lowest.0) / (8.0 * step);
    let sides = [(high.0 - middle.0) / step, (middle.0 - low.0) / step];
    let smooth = about(near, far, TOLERANCE)
        && about(sides[0], sides[1], 1e-2)
        && about(low.1, middle.1, 1e-2)
        && about(middle.1, high.1, 1e-2);
    // A corner may be flat, as exp(max(a, b)) has one where a and b tie: then the slope by differences
    // lies anywhere between those on both sides.
    smooth.then_some((near, noise, (high.1 - low.1).abs()))
}

/// A sheet with a figure in every slot of a spec.
fn figures(spec: &Spec, maker: &Maker, choices: &mut Choices) -> Sheet {
    let mut sheet = Sheet::new(spec);
    for place in 0..4 {
        sheet.set(SlotId(place), Reading::Figure(maker.some_indication(choices))).unwrap();
    }
    sheet.set(SlotId(4), Reading::Word(choices.pick(3) as u16)).unwrap();
    sheet.set_property(PropertyId(0), PropertyValue::Word(choices.pick(2) as u16)).unwrap();
    let property = PropertyValue::Figure(maker.some_indication(choices));
    sheet.set_property(PropertyId(1), property).unwrap();
    sheet.decide(DecideRule::Simple).unwrap();
    sheet
}

/// Compares all slopes of all numbers; gives how many of each operation were compared.
fn compare_all(
    spec: &Spec,
    sheet: &Sheet,
    compared: &mut BTreeMap<&'static str, usize>,
) -> Result<(), String> {
    let gradients = reference::gradients(spec, sheet);
    for slot in (0..4).map(SlotId) {
        let Some(Reading::Figure(figure)) = sheet.get(slot) else { continue };
        let values = [-4.0, -1.0, 0.0, 1.0, 4.0].map(|steps| moved(spec, sheet, slot, steps));
        for (id, node) in spec.numbers.iter().enumerate() {
            let Some(gradient) = &gradients[id] else { continue };
            let at = std::array::from_fn(|place| values[place][id]);
            let Some((expected, noise, corner)) = by_differences(at, step_of(figure)) else {
                continue;
            };
            let slope = gradient.slopes.get(&slot).copied().unwrap_or_default();
            // What is 10⁻¹² of the terms that it is left of counts as nought.
            let least = if slope == 0.0 { 1e-7 } else { 1e-12 };
            let off = 10.0 * (TOLERANCE * expected.abs() + noise) + least + corner;
            if (slope - expected).abs() > off {
                return Err(format!(
                    "n{id} {node:?} by {slot:?}: {slope}, by differences {expected}\n{}",
                    shown(spec, sheet)
                ));
            }
            if slope != 0.0 && noise < TOLERANCE * slope.abs() {
                *compared.entry(operation(node)).or_default() += 1;
            }
        }
    }
    Ok(())
}

fn operation(node: &NumberNode) -> &'static str {
    match node {
        NumberNode::Constant { .. } | NumberNode::Property(_) => "constant",
        NumberNode::Slot(_) => "slot",
        NumberNode::Negate(_) => "negate",
        NumberNode::Add(..) => "add",
        NumberNode::Subtract(..) => "subtract",
        NumberNode::Multiply(..) => "multiply",
        NumberNode::Divide(..) => "divide",
        NumberNode::Power(..) => "power",
        NumberNode::Apply(Function::Abs, _) => "abs",
        NumberNode::Apply(Function::Sqrt, _) => "sqrt",
        NumberNode::Apply(Function::Exp, _) => "exp",
        NumberNode::Apply(Function::Ln, _) => "ln",
        NumberNode::Apply(Function::Log10, _) => "log10",
        NumberNode::Apply(Function::Round, _) => "round",
        NumberNode::Fold(Fold::Min, _) => "min",
        NumberNode::Fold(Fold::Max, _) => "max",
        NumberNode::Fold(Fold::Mean, _) => "mean",
        NumberNode::Fold(Fold::Sum, _) => "sum",
        NumberNode::Fold(Fold::Spread, _) => "spread",
        NumberNode::Fold(Fold::Count, _) => "count",
        NumberNode::Fold(Fold::Unbalance, _) => "unbalance",
        NumberNode::Fold(Fold::SequenceUnbalance, _) => "sequence unbalance",
        NumberNode::Refer { .. } => "refer",
        NumberNode::Law { law: Law::Platinum { .. }, .. } => "platinum",
        NumberNode::Law { law: Law::ThermocoupleK { .. }, .. } => "thermocouple",
        NumberNode::Law { law: Law::Beta { .. }, .. } => "beta",
        NumberNode::Law { law: Law::StandardPressure, .. } => "standard pressure",
        NumberNode::CurveAt { .. } => "curve",
        NumberNode::Choose { .. } => "choose",
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 500, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn slopes_are_those_of_differences(all in proptest::collection::vec(any::<u16>(), 100..400)) {
        let maker = Maker::new();
        let mut choices = Choices::new(&all);
        let spec = maker.spec(&mut choices);
        let sheet = figures(&spec, &maker, &mut choices);
        prop_assert_eq!(compare_all(&spec, &sheet, &mut BTreeMap::new()), Ok(()));
    }
}

/// Were most of them skipped, the comparison would show nothing.
#[test]
fn every_operation_is_compared_often() {
    let maker = Maker::new();
    let mut compared = BTreeMap::new();
    for seed in 0..1500 {
        let all = support::stream(seed);
        let mut choices = Choices::new(&all);
        let spec = maker.spec(&mut choices);
        let sheet = figures(&spec, &maker, &mut choices);
        compare_all(&spec, &sheet, &mut compared).unwrap();
    }
    for operation in [
        "negate",
        "add",
        "subtract",
        "multiply",
        "divide",
        "power",
        "abs",
        "sqrt",
        "exp",
        "ln",
        "log10",
        "min",
        "max",
        "mean",
        "sum",
        "spread",
        "unbalance",
        "sequence unbalance",
        "refer",
        "platinum",
        "thermocouple",
        "beta",
        "standard pressure",
        "curve",
        "choose",
    ] {
        let count = compared.get(operation).copied().unwrap_or_default();
        assert!(count >= 15, "{operation}: {count} in {compared:?}");
    }
}

/// d/dx of a curve between its points, and at the last of them the stretch that leads there.
#[test]
fn a_curve_rises_as_its_stretch_does() {
    for (interpolation, at, expected) in [
        (Interpolation::Linear, "1.5 V", 3.0),
        (Interpolation::Linear, "2 V", 5.0),
        (Interpolation::Linear, "4 V", 5.0),
        (Interpolation::Step, "1.5 V", 0.0),
        // y = 2·(5/2)^(x − 1): dy/dx = y·ln 2.5, y(1.5) = 2·√2.5.
        (Interpolation::Log, "1.5 V", 2.0 * 2.5_f64.sqrt() * 2.5_f64.ln()),
    ] {
        let mut small = Small::new(Kind::DC_VOLTAGE, 1);
        let points = [("1 V", "2 V"), ("2 V", "5 V"), ("4 V", "15 V")];
        let points = points.map(|(x, y)| {
            let (x, y) = (indication(x), indication(y));
            let edge = Some(Edge { value: y.value, exact: y.exact, open: false });
            let standard = Interval { low: edge.clone(), high: edge };
            CurvePoint { x: x.value, exact: x.exact, band: Band { standard, service: None } }
        });
        let curve = Curve { by: Kind::DC_VOLTAGE, interpolation, points: points.to_vec() };
        let curve = small.limit(LimitRule::Curve(curve));
        let number = small.number(NumberNode::CurveAt { curve, at: NumberId(0) });
        let spec = small.seal();
        let mut sheet = Sheet::new(&spec);
        sheet.set(SlotId(0), figure(at)).unwrap();
        let gradient = reference::gradients(&spec, &sheet).swap_remove(number.0 as usize).unwrap();
        let slope = gradient.slopes.get(&SlotId(0)).copied().unwrap_or_default();
        assert!((slope - expected).abs() < 1e-12, "{interpolation:?} at {at}: {slope}");
    }
}
