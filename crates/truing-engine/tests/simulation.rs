//! Trials of the errors of a sheet beside their linear propagation.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::indexing_slicing,
    reason = "what a test is made of may fail as the test may"
)]

#[allow(dead_code, reason = "each test file uses its own part")]
mod support;

use std::f64::consts::PI;

use proptest::prelude::*;
use support::meters::{function, long_scale, range, two_wire, with};
use support::small::{Small, band, constant, edge, figure, shown};
use truing_engine::{
    Conformance, LinearAgreement, NotSimulated, Plan, Sheet, Simulated, SimulationFinding,
    SimulationOptions, assess, simulate,
};
use truing_model::*;
use truing_units::Kind;

const C0: Simulated = Simulated::Check(CheckId(0));

fn options(trials: usize) -> SimulationOptions {
    SimulationOptions { trials, ..SimulationOptions::default() }
}

fn sheet(spec: &Spec, readings: &[&str]) -> Sheet {
    let mut sheet = Sheet::new(spec);
    sheet.decide(DecideRule::At { probability: 0.95 }).unwrap();
    for (id, reading) in (0..).map(SlotId).zip(readings) {
        sheet.set(id, figure(reading)).unwrap();
    }
    sheet
}

/// A check of what two readings come to.
fn of_two(node: NumberNode) -> Spec {
    let mut small = Small::new(Kind::DC_VOLTAGE, 2);
    let number = small.number(node);
    let limit = small.limit(band(edge("-100 V"), edge("0.24 V")));
    small.within(number, limit, None);
    small.seal()
}

fn run(spec: &Spec, sheet: &Sheet, trials: usize) -> SimulationFinding {
    simulate(&Plan::new(spec), sheet, C0, &options(trials)).unwrap()
}

/// `a` is `b` to within so many of these standard deviations.
fn near(a: f64, b: f64, deviation: f64) {
    assert!((a - b).abs() <= 5.0 * deviation, "{a} is not {b}, by {deviation}");
}

#[test]
fn a_difference_is_linear_and_agrees() {
    let spec = of_two(NumberNode::Subtract(NumberId(0), NumberId(1)));
    let mut sheet = sheet(&spec, &["12.62 V", "12.38 V"]);
    for slot in 0..2 {
        sheet.measure_with(SlotId(slot), long_scale()).unwrap();
    }
    let found = run(&spec, &sheet, 400_000);
    // GUM 5.2, check value meter.diff: the counts drop out, 0.5 % of 0.24 V and two resolutions;
    // computed with python 3.11.
    let u = 0.004_140_853_4;
    near(found.standard, u, u / 800_000.0_f64.sqrt());
    near(found.mean, 0.24, u / 400_000.0_f64.sqrt());
    assert!(!matches!(found.agreement, LinearAgreement::Differs(_) | LinearAgreement::NotLinear));
    // The upper end lies at the estimate.
    near(found.conformance.unwrap().within, 0.5, 0.5 / 400_000.0_f64.sqrt());
}

/// A check of a quantity of two readings that are each uncertain by this, normal.
fn stated(node: NumberNode, readings: &[&str], standard: f64) -> SimulationFinding {
    let spec = of_two(node);
    let mut sheet = sheet(&spec, readings);
    for slot in 0..2 {
        sheet.state_uncertainty(SlotId(slot), standard, None).unwrap();
    }
    run(&spec, &sheet, 200_000)
}

#[test]
fn a_product_near_nought_differs_and_is_flagged() {
    let found = stated(NumberNode::Multiply(NumberId(0), NumberId(1)), &["0.01 V", "0.02 V"], 1.0);
    // Of two standard normal variables the product has variance 1; here (1 + x²)(1 + y²) − x²y².
    near(found.standard, 1.000_25, 0.02);
    let LinearAgreement::Differs(by) = found.agreement else { panic!("{:?}", found.agreement) };
    // U of linear propagation is 1.96·√(x² + y²).
    near(by.expanded, 1.959_964 * 0.000_5_f64.sqrt(), 1e-6);
    assert!(by.low > 1.0 && by.high > 1.0, "{by:?}");
}

#[test]
fn a_square_at_nought_differs_and_is_flagged() {
    let found = stated(NumberNode::Power(NumberId(0), 2), &["0.00 V", "0.00 V"], 0.1);
    // u² times chi squared with one degree of freedom: mean 1, variance 2, 2.5 % below 0.000982069
    // and 2.5 % above 5.02389 (tables of chi squared, from memory).
    near(found.mean, 0.01, 0.01 * (2.0_f64 / 200_000.0).sqrt());
    near(found.standard, 0.01 * 2.0_f64.sqrt(), 0.01 * 0.01);
    near(found.symmetric.0, 0.01 * 0.000_982_069, 1e-7);
    near(found.symmetric.1, 0.01 * 5.023_89, 1e-4);
    // The shortest begins at nought, and ends at 3.84146.
    near(found.shortest.0, 0.0, 1e-8);
    near(found.shortest.1, 0.01 * 3.841_46, 1e-4);
    assert!(matches!(found.agreement, LinearAgreement::Differs(_)), "{:?}", found.agreement);
}

#[test]
fn the_greater_of_two_equal_readings_is_not_linear() {
    let greatest = NumberNode::Fold(Fold::Max, vec![NumberId(0), NumberId(1)]);
    let found = stated(greatest, &["0.10 V", "0.10 V"], 0.01);
    // The maximum of two standard normal variables has mean 1/√π and variance 1 − 1/π.
    near(found.mean, 0.1 + 0.01 / PI.sqrt(), 0.01 / 200_000.0_f64.sqrt());
    near(found.standard, 0.01 * (1.0 - 1.0 / PI).sqrt(), 0.01 / 400_000.0_f64.sqrt());
    assert_eq!(found.agreement, LinearAgreement::NotLinear);
}

#[test]
fn the_same_seed_gives_the_same_bytes() {
    let spec = of_two(NumberNode::Divide(NumberId(0), NumberId(1)));
    let mut sheet = sheet(&spec, &["0.62 V", "12.38 V"]);
    for slot in 0..2 {
        sheet.measure_with(SlotId(slot), long_scale()).unwrap();
    }
    let plan = Plan::new(&spec);
    let text = |seed: u64| {
        let options = SimulationOptions { trials: 2000, seed, coverage: 0.9 };
        serde_json::to_string(&simulate(&plan, &sheet, C0, &options).unwrap()).unwrap()
    };
    assert_eq!(text(7), text(7));
    assert_ne!(text(7).replace("\"seed\":7", ""), text(8).replace("\"seed\":8", ""));
}

#[test]
fn a_trial_allocates_nothing() {
    let mut small = Small::new(Kind::DC_VOLTAGE, 3);
    let all: Vec<NumberId> = (0..3).map(NumberId).collect();
    let nodes = [
        NumberNode::Fold(Fold::Unbalance, all.clone()),
        NumberNode::Fold(Fold::Spread, all.clone()),
        NumberNode::Apply(Function::Abs, NumberId(3)),
        NumberNode::Multiply(NumberId(4), NumberId(5)),
    ];
    let last = nodes.map(|node| small.number(node))[3];
    let limit = small.limit(band(None, edge("1 V")));
    small.within(last, limit, None);
    let spec = small.seal();
    let mut sheet = sheet(&spec, &["12.62 V", "12.38 V", "11.90 V"]);
    for slot in 0..3 {
        sheet.measure_with(SlotId(slot), long_scale()).unwrap();
    }
    sheet.correlate(&[(SlotId(0), SlotId(1), 0.5)]).unwrap();
    let plan = Plan::new(&spec);
    let counted = |trials: usize| {
        let mut found = None;
        let counted = allocation_counter::measure(|| {
            found = Some(simulate(&plan, &sheet, C0, &options(trials)).unwrap());
        });
        assert!(found.unwrap().standard > 0.0);
        counted.count_total
    };
    let few = counted(100);
    assert!(few > 0);
    assert_eq!(counted(20_000), few);
}

#[test]
fn what_cannot_be_simulated_says_why() {
    let spec = of_two(NumberNode::Divide(NumberId(0), NumberId(1)));
    let plan = Plan::new(&spec);
    let why = |sheet: &Sheet, options: &SimulationOptions| {
        simulate(&plan, sheet, C0, options).unwrap_err()
    };
    let mut sheet = sheet(&spec, &["0.62 V"]);
    assert_eq!(why(&sheet, &options(100)), NotSimulated::NotTaken { slot: SlotId(1) });
    let between = Reading::Between { low: shown("12.1 V"), high: shown("12.3 V") };
    sheet.set(SlotId(1), between).unwrap();
    assert_eq!(why(&sheet, &options(100)), NotSimulated::NotSingle { slot: SlotId(1) });
    sheet.set(SlotId(1), figure("0.01 V")).unwrap();
    sheet.state_uncertainty(SlotId(1), 1.0, None).unwrap();
    assert!(simulate(&plan, &sheet, C0, &options(100)).is_ok());
    for trials in [0, 1, 100_000_001] {
        assert_eq!(why(&sheet, &options(trials)), NotSimulated::Trials { trials });
    }
    let certain = SimulationOptions { coverage: 1.0, ..options(100) };
    assert_eq!(why(&sheet, &certain), NotSimulated::Coverage { coverage: 1.0 });
    for slot in 0..2 {
        sheet.state_uncertainty(SlotId(slot), 0.0, None).unwrap();
    }
    assert_eq!(why(&sheet, &options(100)), NotSimulated::Certain);
    let other = Simulated::Check(CheckId(9));
    assert_eq!(simulate(&plan, &sheet, other, &options(100)), Err(NotSimulated::NoSuchQuantity));

    let mut small = Small::new(Kind::DC_VOLTAGE, 1);
    let root = small.number(NumberNode::Apply(Function::Sqrt, NumberId(0)));
    let limit = small.limit(band(edge("0 V"), None));
    small.within(root, limit, None);
    let spec = small.seal();
    let mut sheet = self::sheet(&spec, &["0.01 V"]);
    sheet.state_uncertainty(SlotId(0), 0.1, None).unwrap();
    let found = simulate(&Plan::new(&spec), &sheet, C0, &options(100));
    assert!(matches!(found, Err(NotSimulated::NoNumberInTrial { .. })), "{found:?}");
}

/// What probabilities the linear way gives, and the trials.
fn both_ways(spec: &Spec, sheet: &Sheet, trials: usize) -> Option<(Conformance, Conformance)> {
    let finding = assess(spec, sheet).findings.swap_remove(0);
    let linear = finding.reason.conformance?;
    Some((linear, run(spec, sheet, trials).conformance.unwrap()))
}

/// That they are the same to within five standard deviations of the trials.
fn same(linear: Conformance, trials: Conformance, count: usize) -> Result<(), TestCaseError> {
    let pairs = [
        (linear.within, trials.within),
        (linear.passes, trials.passes),
        (linear.low, trials.low),
        (linear.high, trials.high),
    ];
    for (exact, share) in pairs {
        let deviation = (exact * (1.0 - exact) / count as f64).max(0.0).sqrt();
        let apart = (exact - share).abs();
        prop_assert!(apart <= 5.0 * deviation + 2e-6, "{linear:?} is not {trials:?}");
    }
    Ok(())
}

#[test]
fn an_end_that_goes_by_a_reading_has_its_own_errors() {
    // A limit that falls by 0.2 V for each volt of the other reading, as temperature does it.
    let mut small = Small::new(Kind::DC_VOLTAGE, 2);
    let point = |x: &str, low: &str| CurvePoint {
        x: shown(x).value,
        exact: shown(x).exact,
        band: Band { standard: Interval { low: edge(low), high: None }, service: None },
    };
    let curve = LimitRule::Curve(Curve {
        by: Kind::DC_VOLTAGE,
        points: vec![point("0 V", "14 V"), point("20 V", "10 V")],
        interpolation: Interpolation::Linear,
    });
    let limit = small.limit(curve);
    small.within(NumberId(0), limit, Some(NumberId(1)));
    let spec = small.seal();
    let mut sheet = sheet(&spec, &["11.65 V", "12.00 V"]);
    for slot in 0..2 {
        sheet.measure_with(SlotId(slot), long_scale()).unwrap();
    }
    let (linear, trials) = both_ways(&spec, &sheet, 400_000).unwrap();
    assert!(linear.within > 0.6 && linear.within < 0.999, "{linear:?}");
    same(linear, trials, 400_000).unwrap();
}

#[test]
fn two_quantities_against_each_other() {
    let mut small = Small::new(Kind::RESISTANCE, 2);
    small.compare(NumberId(0), Relation::LessOrEqual, NumberId(1));
    let spec = small.seal();
    let mut sheet = sheet(&spec, &["41.2 ohm", "41.8 ohm"]);
    // Two meters, which share nothing.
    for (slot, meter) in [(0, "M"), (1, "N")] {
        let meter = truing_engine::MeterUse { meter: meter.to_owned(), ..two_wire() };
        sheet.measure_with(SlotId(slot), meter).unwrap();
    }
    let (linear, trials) = both_ways(&spec, &sheet, 400_000).unwrap();
    assert!(linear.within > 0.7 && linear.within < 0.999, "{linear:?}");
    same(linear, trials, 400_000).unwrap();
}

/// How a generated reading was taken.
#[derive(Clone, Debug)]
enum Taken {
    Digits,
    Meter { zeroed: bool },
    Technique,
    OwnGain,
    Stated(f64, Option<f64>),
    Repeats,
}

fn taken() -> impl Strategy<Value = Taken> {
    prop_oneof![
        Just(Taken::Digits),
        any::<bool>().prop_map(|zeroed| Taken::Meter { zeroed }),
        Just(Taken::Technique),
        Just(Taken::OwnGain),
        (0.01..0.2, proptest::option::of(3.0..30.0)).prop_map(|(u, dof)| Taken::Stated(u, dof)),
        Just(Taken::Repeats),
    ]
}

/// A linear quantity of three readings in the neighbourhood of 12, 14 and 16 V.
fn linear_number(small: &mut Small, which: u8) -> NumberId {
    let all: Vec<NumberId> = (0..3).map(NumberId).collect();
    let node = match which {
        0 => NumberNode::Subtract(NumberId(2), NumberId(0)),
        1 => NumberNode::Fold(Fold::Sum, all),
        2 => NumberNode::Fold(Fold::Mean, all),
        // No two are near each other.
        3 => NumberNode::Fold(Fold::Spread, all),
        4 => NumberNode::Fold(Fold::Max, all),
        _ => {
            let third = small.number(constant("0.3 V"));
            let part = small.number(NumberNode::Multiply(third, NumberId(1)));
            NumberNode::Subtract(NumberId(0), part)
        }
    };
    small.number(node)
}

fn take(sheet: &mut Sheet, slot: SlotId, hundredths: i64, how: &Taken) {
    let text = |hundredths: i64| format!("{}.{:02} V", hundredths / 100, hundredths % 100);
    sheet.set(slot, figure(&text(hundredths))).unwrap();
    let ranges = || vec![range("60 V", 0.01, 0.5, 2.0)];
    match how {
        Taken::Digits => {}
        Taken::Meter { zeroed } => {
            let meter = truing_engine::MeterUse { zeroed: *zeroed, ..long_scale() };
            sheet.measure_with(slot, meter).unwrap();
        }
        Taken::Technique => {
            let technique = Some(Technique::Amount(0.05));
            let function = MeterFunction { technique, ..function(Kind::DC_VOLTAGE, ranges()) };
            sheet.measure_with(slot, with(function)).unwrap();
        }
        Taken::OwnGain => {
            let common = CommonParts { gain: false, ..CommonParts::default() };
            let function = MeterFunction { common, ..function(Kind::DC_VOLTAGE, ranges()) };
            sheet.measure_with(slot, with(function)).unwrap();
        }
        Taken::Stated(u, dof) => sheet.state_uncertainty(slot, *u, *dof).unwrap(),
        Taken::Repeats => {
            let each = [-9, 2, 7, 0].map(|by| shown(&text(hundredths + by)));
            sheet.set(slot, Reading::Repeats(each.to_vec())).unwrap();
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 6, ..ProptestConfig::default() })]

    #[test]
    fn linear_probabilities_are_the_shares_of_a_million_trials(
        which in 0_u8..6,
        hundredths in [1190_i64..1210, 1390..1410, 1590..1610],
        how in [taken(), taken(), taken()],
        correlation in proptest::option::of(-0.9..0.9),
        places in (-1.5..1.5, 0.1..2.0, 0.0..1.0),
    ) {
        const TRIALS: usize = 1_000_000;
        // Where the limit lies goes by how uncertain the quantity is.
        let made = |low: f64, high: f64, service: f64| {
            let mut small = Small::new(Kind::DC_VOLTAGE, 3);
            let number = linear_number(&mut small, which);
            let at = |value: f64| edge(&format!("{value:.6} V"));
            let standard = Interval { low: at(low), high: at(high) };
            let service = Interval { low: at(low - service), high: at(high + service) };
            let limit = small.limit(LimitRule::Band(Band { standard, service: Some(service) }));
            small.within(number, limit, None);
            let spec = small.seal();
            let mut sheet = sheet(&spec, &[]);
            for ((slot, hundredths), how) in (0..).map(SlotId).zip(hundredths).zip(&how) {
                take(&mut sheet, slot, hundredths, how);
            }
            if let Some(r) = correlation {
                sheet.correlate(&[(SlotId(0), SlotId(2), r)]).unwrap();
            }
            (spec, sheet)
        };
        let (spec, sheet) = made(-100.0, 100.0, 1.0);
        let rough = run(&spec, &sheet, 1000);
        let (mean, u) = (rough.mean, rough.standard);
        let (from, width, service) = places;
        let low = mean + from * u;
        let (spec, sheet) = made(low, low + width * u, service * u);
        let (linear, trials) = both_ways(&spec, &sheet, TRIALS).unwrap();
        same(linear, trials, TRIALS)?;
    }
}
