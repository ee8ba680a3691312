//! Least and greatest values that a meter holds by itself: what holding adds, and who cannot.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::indexing_slicing,
    reason = "what a test is made of may fail as the test may"
)]

#[allow(dead_code, reason = "each test file uses its own part")]
mod support;

use support::meters::{function, long_scale, range, with};
use support::small::{Small, band, edge, figure};
use truing_engine::{
    Ability, Because, BudgetPart, Finding, MeterUse, Plan, Sheet, Unfit, assess, study,
};
use truing_model::*;
use truing_units::Kind;

/// A voltage of at least 9.6 V, of which the least has to be held, or not.
fn cranking(held: Option<Extreme>) -> Spec {
    let mut small = Small::new(Kind::DC_VOLTAGE, 1);
    if let SlotKind::Quantity { capture, .. } = &mut small.parts.slots[0].kind {
        *capture = held;
    }
    let limit = small.limit(band(edge("9.6 V"), None));
    small.within(NumberId(0), limit, None);
    small.seal()
}

/// ±(0.5 % + 2 counts), and ±(1 % + 10 counts) more for what it holds: an invented meter.
fn holding() -> MeterUse {
    let added = ErrorTerms { reading: 0.01, counts: 0.1, ..ErrorTerms::default() };
    let mut volts = range("60 V", 0.01, 0.5, 2.0);
    volts.capture = Some(LimitOfError { sums: vec![added] });
    with(function(Kind::DC_VOLTAGE, vec![volts]))
}

fn judged(spec: &Spec, meter: &MeterUse, reading: &str) -> Finding {
    let mut sheet = Sheet::new(spec);
    sheet.decide(DecideRule::At { probability: 0.95 }).unwrap();
    sheet.set(SlotId(0), figure(reading)).unwrap();
    sheet.measure_with(SlotId(0), meter.clone()).unwrap();
    let finding = assess(spec, &sheet).findings.swap_remove(0);
    assert_eq!(Plan::new(spec).evaluator().outcomes(&sheet)[0], finding.outcome);
    finding
}

#[test]
fn holding_adds_to_the_error() {
    let (captured, read) = (cranking(Some(Extreme::Min)), cranking(None));
    // Accuracy ±0.0685 V, resolution ±0.005 V: 9.70 V is within. With ±0.197 V more it is open
    // (arithmetic).
    assert_eq!(judged(&read, &holding(), "9.70 V").outcome, Outcome::Within);
    let open = judged(&captured, &holding(), "9.70 V");
    assert_eq!(open.outcome, Outcome::Undecided);
    let part = |part| open.reason.budget.iter().find(|line| line.part == part).unwrap();
    let held = part(BudgetPart::Capture);
    assert!((held.contribution - (0.097 + 0.1) / 3.0_f64.sqrt()).abs() < 1e-9);
    let accuracy = part(BudgetPart::Accuracy).contribution;
    assert!((accuracy - (0.0485 + 0.02) / 3.0_f64.sqrt()).abs() < 1e-9);
    assert_eq!(judged(&captured, &holding(), "9.90 V").outcome, Outcome::Within);
}

#[test]
fn a_meter_that_holds_nothing_is_not_fit() {
    let captured = cranking(Some(Extreme::Max));
    let finding = judged(&captured, &long_scale(), "12.00 V");
    assert_eq!(finding.outcome, Outcome::Blocked);
    let Because::Unfit { unfit, .. } = finding.reason.because else {
        panic!("{:?}", finding.reason.because)
    };
    assert_eq!(unfit, Unfit::NoCapture);
    let studied = study(&captured, &[long_scale(), holding()]);
    assert_eq!((studied[0].ability, studied[0].unfit), (Ability::CannotDecide, Some(unfit)));
    assert_eq!(studied[1].unfit, None);
    assert_eq!(judged(&cranking(None), &long_scale(), "12.00 V").outcome, Outcome::Within);
}
