//! Every form of a limit, as the engine gets it. The figures are arithmetic.

#![allow(
    clippy::unwrap_used,
    clippy::panic,
    clippy::indexing_slicing,
    reason = "helpers of tests may panic"
)]

mod support;

use support::{slugs, spec};
use truing_model::{Band, Curve, Interpolation, Interval, Limit, LimitRule};

fn limit(of: &str, text: &str) -> Limit {
    let spec = spec(&format!(
        "constant nominal : dc_voltage = 12 V\nlimit it : {of} = {text}\n\
         property serial \"Serial\" : count\nproperty market \"Market\" : eu, us\n\
         reading speed \"Speed\" : rotational_speed"
    ));
    let limit = spec.limits.iter().find(|limit| limit.name.as_deref() == Some("it"));
    limit.unwrap().clone()
}

fn band(of: &str, text: &str) -> Band {
    match limit(of, text).rule {
        LimitRule::Band(band) => band,
        other => panic!("{other:?}"),
    }
}

/// Lower and upper end, each with whether it is excluded.
type Ends = (Option<(f64, bool)>, Option<(f64, bool)>);

/// Both ends with whether each is excluded.
fn ends(interval: &Interval) -> Ends {
    let end = |edge: &truing_model::Edge| {
        // The exact value and the double say the same.
        assert_eq!(edge.exact.unwrap().to_f64(), edge.value);
        (edge.value, edge.open)
    };
    (interval.low.as_ref().map(end), interval.high.as_ref().map(end))
}

fn volts(text: &str) -> Ends {
    ends(&band("dc_voltage", text).standard)
}

#[test]
fn one_bound_and_two() {
    assert_eq!(volts("min 12.4 V"), (Some((12.4, false)), None));
    assert_eq!(volts("above 12.4 V"), (Some((12.4, true)), None));
    assert_eq!(volts("max 0.2 V"), (None, Some((0.2, false))));
    assert_eq!(volts("below 200 mV"), (None, Some((0.2, true))));
    assert_eq!(volts("13.6 .. 14.8 V"), (Some((13.6, false)), Some((14.8, false))));
    assert_eq!(volts("900 mV .. 14.8 V"), (Some((0.9, false)), Some((14.8, false))));
    assert_eq!(volts("above 13.6 .. below 14.8 V"), (Some((13.6, true)), Some((14.8, true))));
    assert_eq!(volts("-0.1 .. 0.1 V"), (Some((-0.1, false)), Some((0.1, false))));
}

#[test]
fn tolerances() {
    let ohms = |text| ends(&band("resistance", text).standard);
    // 0.18 - 0.04 and 0.18 + 0.04, exact: no 0.13999999999999999.
    assert_eq!(ohms("0.18 ± 0.04 ohm"), (Some((0.14, false)), Some((0.22, false))));
    assert_eq!(ohms("0.18 +- 0.04 ohm"), (Some((0.14, false)), Some((0.22, false))));
    assert_eq!(volts("14.2 V ± 2 %"), (Some((13.916, false)), Some((14.484, false))));
    assert_eq!(volts("-14.2 V ± 10 %"), (Some((-15.62, false)), Some((-12.78, false))));
    assert_eq!(volts("20 V +5 -0"), (Some((20.0, false)), Some((25.0, false))));
    assert_eq!(volts("20 V +5 V -500 mV"), (Some((19.5, false)), Some((25.0, false))));
    assert_eq!(volts("nominal ± 0.5 V"), (Some((11.5, false)), Some((12.5, false))));
    assert_eq!(volts("min (0.9 * nominal)"), (Some((10.8, false)), None));
    // A tolerance of a temperature is a difference: 95 to 101 °C.
    let heat = ends(&band("temperature", "98 ± 3 degC").standard);
    assert_eq!(heat, (Some((368.15, false)), Some((374.15, false))));
    let hot = ends(&band("temperature", "212 ± 9 degF").standard);
    assert_eq!(hot, (Some((368.15, false)), Some((378.15, false))));
}

#[test]
fn graded() {
    let gap = band("length", "standard 0.15 .. 0.30 mm, service max 0.60 mm");
    assert_eq!(ends(&gap.standard), (Some((0.00015, false)), Some((0.0003, false))));
    assert_eq!(ends(gap.service.as_ref().unwrap()), (None, Some((0.0006, false))));
    assert_eq!(
        slugs("library l \"L\"\nlimit gap : length = standard min 4 mm, service min 4.5 mm"),
        ["graded-not-nested"]
    );
}

fn curve(text: &str) -> Curve {
    match limit("ac_voltage", text).rule {
        LimitRule::Curve(curve) => curve,
        other => panic!("{other:?}"),
    }
}

#[test]
fn curves() {
    let linear = curve("by rotational_speed { 1200 rpm : 17 .. 23 V  5000 rpm : 60 .. 75 V }");
    assert_eq!(linear.interpolation, Interpolation::Linear);
    // 1200 rpm is 40 pi rad/s: exact with its pi, the double beside it.
    let first = &linear.points[0];
    assert_eq!(first.exact.unwrap().pi(), 1);
    assert!((first.x - 125.663_706_143_591_73).abs() < 1e-12);
    assert_eq!(ends(&linear.points[1].band.standard), (Some((60.0, false)), Some((75.0, false))));
    let step = curve("by rotational_speed step { 1200 rpm : min 17 V  5000 rpm : min 60 V }");
    assert_eq!(step.interpolation, Interpolation::Step);
    let log = curve("by rotational_speed log { 1200 rpm : min 17 V  5000 rpm : min 60 V }");
    assert_eq!(log.interpolation, Interpolation::Log);
    let zero = "library l \"L\"\nlimit it : ac_voltage = by rotational_speed log { 1 rpm : min 0 V  2 rpm : min 1 V }";
    assert_eq!(slugs(zero), ["curve-ends"]);
}

#[test]
fn variants() {
    let rule = limit(
        "dc_voltage",
        "when serial <= 4100 and market is eu : min 5 V when serial > 4100 and market is eu : \
         min 6 V otherwise : not specified",
    );
    let LimitRule::Variants(arms) = &rule.rule else { panic!("{rule:?}") };
    assert_eq!(arms.len(), 3);
    assert_eq!(arms[0].printed, "min 5 V");
    assert!(arms[0].condition.is_some() && arms[2].condition.is_none());
    assert_eq!(arms[2].rule, LimitRule::NotSpecified);
    let head = "library l \"L\"\nproperty serial \"S\" : count\nproperty market \"M\" : eu, us\n";
    let of = |arms: &str| slugs(&format!("{head}limit it : dc_voltage = {arms}"));
    // Every combination is tried: eu below 10 has two arms, us from 10 on none.
    assert_eq!(
        of("when serial < 10 : min 5 V when market is eu : min 6 V"),
        ["variant-gap", "variant-overlap"]
    );
    assert_eq!(of("when serial < 10 : min 5 V when not (serial < 10) : min 6 V"), [""; 0]);
    assert_eq!(of("when market is eu : min 5 V when market is not eu : min 6 V"), [""; 0]);
    // Whole numbers: nothing lies between 9 and 10.
    assert_eq!(of("when serial <= 9 : min 5 V when serial >= 10 : min 6 V"), [""; 0]);
    assert_eq!(of("when serial <= 9 : min 5 V when serial >= 11 : min 6 V"), ["variant-gap"]);
}

#[test]
fn joined() {
    assert_eq!(volts("max 5 V or max 6 V whichever is less"), (None, Some((5.0, false))));
    assert_eq!(volts("max 5 V or max 6 V whichever is greater"), (None, Some((6.0, false))));
    assert_eq!(volts("min 5 V or min 6 V whichever is greater"), (Some((6.0, false)), None));
    assert_eq!(
        volts("min 5 V or below 6 V whichever is first"),
        (Some((5.0, false)), Some((6.0, true)))
    );
    assert_eq!(
        limit("dc_voltage", "max 5 V or max 6 V whichever is less").printed,
        "max 5 V or max 6 V whichever is less"
    );
}

#[test]
fn what_stands_behind_a_limit() {
    let level = limit("ac_voltage", "min 60 V typical 70 V at speed 5000 ± 200 rpm");
    assert_eq!(level.typical.unwrap().to_string(), "70 V");
    assert_eq!(level.conditions.len(), 1);
    assert_eq!(level.conditions[0].subject_label, "speed");
    assert_eq!(level.conditions[0].printed, "at speed 5000 ± 200 rpm");
    assert_eq!(level.printed, "min 60 V typical 70 V at speed 5000 ± 200 rpm");
    let cold = limit("resistance", "0.18 ± 0.04 ohm at 20 degC");
    assert_eq!(cold.reference[0].to_string(), "20 degC");
    assert_eq!(limit("dc_voltage", "not specified").rule, LimitRule::NotSpecified);
}

#[test]
fn printed_in_two_units() {
    let of =
        |kind: &str, text: &str| slugs(&format!("library l \"L\"\nlimit it : {kind} = {text}"));
    // 60 N.m is 44.25 lbf.ft and 70 N.m 51.63 (1 lbf.ft = 1.3558179 N.m, NIST SP 811).
    assert_eq!(of("torque", "60 .. 70 N.m (44 .. 52 lbf.ft)"), [""; 0]);
    assert_eq!(of("torque", "60 .. 70 N.m (45.5 .. 52 lbf.ft)"), ["printed-units-disagree"]);
    // 0.20 mm is 0.00787 in.
    assert_eq!(of("length", "max 0.20 mm (0.008 in)"), [""; 0]);
    assert_eq!(of("length", "max 0.20 mm (0.080 in)"), ["printed-units-disagree"]);
    assert_eq!(of("temperature", "98 ± 3 degC (208 ± 5 degF)"), [""; 0]);
    assert_eq!(of("temperature", "98 ± 3 degC (98 ± 3 degF)"), ["printed-units-disagree"]);
    assert_eq!(of("torque", "60 .. 70 N.m (max 52 lbf.ft)"), ["printed-units-disagree"]);
    assert_eq!(of("torque", "60 .. 70 N.m (44 .. 52 J)"), ["kind-mismatch"]);
    let wrong = "library l \"L\"\nlimit it : torque = max 12 N.m (12 lbf.ft)";
    let (_, checked) = support::checked(wrong);
    assert_eq!(
        checked.findings[0].notes(),
        ["12 N.m is 8.85 lbf.ft; printed it should be 8.9 lbf.ft"]
    );
}

/// What is said at the checks that say nothing.
fn here(text: &str) -> String {
    let (_, checked) = support::checked(text);
    let found: Vec<&str> = checked
        .findings
        .iter()
        .filter(|finding| finding.slug().0.starts_with("check-cannot"))
        .map(truing_syntax::Diagnostic::primary)
        .map(|label| &*label.text)
        .collect();
    found.join("; ")
}

#[test]
fn a_check_that_says_nothing_is_told_why() {
    let rest = |rule: &str| {
        here(&format!(
            "spec s \"S\" {{ edition \"1\" }}\nsource sheet \"Sheet\"\n\
             reading rest \"Rest\" : dc_voltage {{ plausible 0 .. 18 V }}\n\
             limit high : dc_voltage = min 20 V cite sheet\n\
             check good \"Good\" : {rule}"
        ))
    };
    let plausible = "`rest` lies between 0 and 18 V (plausible)";
    assert_eq!(
        rest("rest within high"),
        format!("{plausible}, and the limit permits 20 V and more")
    );
    assert_eq!(rest("rest > 20 V"), format!("{plausible}, and the check permits more than 20 V"));
    assert_eq!(rest("rest <= 18 V or rest within high"), "always true");
    assert_eq!(
        rest("rest >= 12 V or rest <= 14 V"),
        "`rest` is always at least 12 V or at most 14 V"
    );
    let winding = "spec s \"S\" { edition \"1\" }\nreading coil \"Coil\" : resistance\n\
                   check good \"Good\" : coil >= 0 ohm";
    assert_eq!(
        here(winding),
        "a resistance is never below 0 ohm, and the check permits 0 ohm and more"
    );
}
