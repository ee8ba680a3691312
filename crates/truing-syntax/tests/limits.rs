//! Figures, limits and what may stand behind them.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::indexing_slicing,
    reason = "a test fails by panicking"
)]

use truing_syntax::tree::{
    Bound, ConditionBand, Figure, Interpolation, ItemKind, Joint, LimitDecl, LimitExpr, LimitForm,
    Tolerance,
};
use truing_syntax::{FileId, parse_strict};

fn decl(text: &str) -> LimitDecl {
    let tree = parse_strict(FileId(0), text).unwrap_or_else(|why| panic!("{text}: {why:#?}"));
    assert_eq!(tree.items.len(), 1, "{text}");
    match tree.items.into_iter().next().unwrap().kind {
        ItemKind::Limit(limit) => limit,
        other => panic!("{other:?}"),
    }
}

fn limit(text: &str) -> LimitExpr {
    decl(&format!("limit a = {text}")).value.unwrap()
}

fn figure(figure: &Figure) -> String {
    match &figure.unit {
        Some(unit) => format!("{}~{}", figure.number, unit.node),
        None => figure.number.to_string(),
    }
}

fn bound(bound: &Bound) -> String {
    match bound {
        Bound::Figure(f) => figure(f),
        Bound::Name(path) => path.name.node.to_string(),
        Bound::Expr(_) => "(…)".to_owned(),
    }
}

fn tolerance(t: &Tolerance) -> String {
    match t {
        Tolerance::Amount(b) => bound(b),
        Tolerance::Percent(f) => format!("{}%", f.number),
    }
}

fn show(limit: &LimitExpr) -> String {
    form(&limit.form)
}

fn form(form: &LimitForm) -> String {
    let excluded = |yes: &bool| if *yes { "!" } else { "" };
    match form {
        LimitForm::NotSpecified => "none".to_owned(),
        LimitForm::AtLeast { bound: b, exclusive } => {
            format!(">={}{}", excluded(exclusive), bound(b))
        }
        LimitForm::AtMost { bound: b, exclusive } => {
            format!("<={}{}", excluded(exclusive), bound(b))
        }
        LimitForm::Range { low, low_exclusive, high, high_exclusive } => format!(
            "{}{}..{}{}",
            excluded(low_exclusive),
            bound(low),
            excluded(high_exclusive),
            bound(high)
        ),
        LimitForm::PlusMinus { nominal, tolerance: t } => {
            format!("{}±{}", bound(nominal), tolerance(t))
        }
        LimitForm::Asymmetric { nominal, plus, minus } => {
            format!("{}+{}-{}", bound(nominal), tolerance(plus), tolerance(minus))
        }
        LimitForm::Graded { standard, service } => {
            format!("{} | {}", show(standard), show(service))
        }
        LimitForm::Curve { by, interpolation, points } => {
            let points: Vec<String> =
                points.iter().map(|(at, l)| format!("{}: {}", figure(at), show(l))).collect();
            format!("by {} {interpolation:?} {{{}}}", by.node, points.join("; "))
        }
        LimitForm::Variants { arms, otherwise } => {
            let arms: Vec<String> = arms.iter().map(|(_, l)| show(l)).collect();
            let rest = otherwise.as_ref().map_or("-".to_owned(), |l| show(l));
            format!("when {} else {rest}", arms.join("; "))
        }
        LimitForm::Joined { left, right, joint } => {
            format!("[{} {joint:?} {}]", show(left), show(right))
        }
    }
}

#[test]
fn every_form_is_read() {
    for (text, expected) in [
        ("min 12.4 V", ">=12.4~V"),
        ("above 12.4 V", ">=!12.4~V"),
        ("max 0.2 V", "<=0.2~V"),
        ("below 0.2 V", "<=!0.2~V"),
        ("13.6 .. 14.8 V", "13.6..14.8~V"),
        ("above 13.6 .. below 14.8 V", "!13.6..!14.8~V"),
        ("min 13.6 .. max 14.8 V", "13.6..14.8~V"),
        ("-0.5 .. 0.5 mm", "-0.5..0.5~mm"),
        ("0.18 ± 0.04 ohm", "0.18±0.04~ohm"),
        ("0.18 +- 0.04 ohm", "0.18±0.04~ohm"),
        ("14.2 V ± 2 %", "14.2~V±2%"),
        ("20 V +5 -0", "20~V+5-0"),
        ("20 V -0 +5", "20~V+5-0"),
        ("20 -0.007 -0.020 mm", "20+-0.007-0.020~mm"),
        ("20 V +10 % -5 %", "20~V+10%-5%"),
        ("not specified", "none"),
        ("nominal ± tolerance", "nominal±tolerance"),
        ("(0.9 * nominal) .. nominal", "(…)..nominal"),
        ("standard 0.15 .. 0.30 mm, service max 0.60 mm", "0.15..0.30~mm | <=0.60~mm"),
        ("max 5 V or max 6 V whichever is less", "[<=5~V Less <=6~V]"),
        (
            "max 5 V or max 6 V or max 7 V whichever is greater",
            "[[<=5~V Greater <=6~V] Greater <=7~V]",
        ),
        (
            "by speed { 1 rpm : min 5 V 2 rpm : min 6 V }",
            "by speed Linear {1~rpm: >=5~V; 2~rpm: >=6~V}",
        ),
        (
            "by speed step { 1 rpm : min 5 V, 2 rpm : min 6 V }",
            "by speed Step {1~rpm: >=5~V; 2~rpm: >=6~V}",
        ),
        (
            "by temperature log { -10 degC : 5 .. 6 kohm }",
            "by temperature Log {-10~degC: 5..6~kohm}",
        ),
        (
            "when serial <= 4100 : min 5 V when rotor is wound : min 6 V otherwise : not specified",
            "when >=5~V; >=6~V else none",
        ),
        (
            "when a is b : standard 1 .. 2 mm, service max 3 mm otherwise : max 5 V or max 6 V whichever is first",
            "when 1..2~mm | <=3~mm else [<=5~V First <=6~V]",
        ),
    ] {
        assert_eq!(show(&limit(text)), expected, "{text}");
    }
}

#[test]
fn units_of_all_sorts_bind_to_their_number() {
    for unit in [
        "ohm", "V/krpm", "N.m/deg", "kgf/cm2", "kgf/cm²", "m/s^2", "m.s^-2", "%", "°C", "degC",
        "µm", "Ω", "US_qt", "in", "min", "N·m", "kΩ", "‰", "%/K", "m⁻¹", "℃",
    ] {
        assert_eq!(show(&limit(&format!("max 5 {unit}"))), format!("<=5~{unit}"));
        assert_eq!(show(&limit(&format!("max 5{unit}"))), format!("<=5~{unit}"));
        let range = limit(&format!("60 .. 70 {unit} (44 .. 52 {unit}) typical 65 {unit}"));
        assert_eq!(show(&range), format!("60..70~{unit}"));
    }
    assert_eq!(show(&limit("2 V..3 V")), "2~V..3~V");
}

#[test]
fn a_keyword_is_no_unit() {
    let both = decl("limit a = min 12.4 cite sheet");
    assert_eq!((show(&both.value.unwrap()), both.cites.len()), (">=12.4".to_owned(), 1));
    let at = limit("20 .. 21 at speed 5 typical 3 at 20 degC");
    assert_eq!((at.conditions.len(), at.typical.is_some()), (2, true));
    assert_eq!(show(&limit("max 5 or max 6 whichever is less")), "[<=5 Less <=6]");
    assert_eq!(
        show(&limit("when a == 5 : min 5 when b : min 6 otherwise : min 7")),
        "when >=5; >=6 else >=7"
    );
    // On the next line, whatever it is.
    let file = parse_strict(FileId(0), "limit a = min 12.4\nlimit b = min 5 V\n").unwrap();
    assert_eq!(file.items.len(), 2);
    assert_eq!(show(&decl("limit a = min 12.4\n    cite sheet").value.unwrap()), ">=12.4");
}

#[test]
fn the_stop_words_hold() {
    // Every word that may follow a number, written behind one.
    let words = "above accuracy advise all and any applies at band bands below black burden by calibration capture caution case \
        check circuit cite common constant counts decide derived during edition else expect fails family fault first fix \
        frequency from if input instrument is kind leads leak library limit machine makes max measures mend meter not note \
        observation odds of on or otherwise over part passes plausible price procedure property proves range \
        reading red reduce service slip source spec standard state stays step stop suspect take takes technique test then to tool \
        typical unit unsteady use valid verify waived was when whichever widens with within";
    for word in words.split_whitespace() {
        let text = format!("limit a = min 5 {word}");
        let read = truing_syntax::parse(FileId(0), &text);
        assert!(!read.findings.is_empty(), "{word} was taken for a unit");
        let longer = format!("limit a = min 5 {word}x");
        assert_eq!(show(&decl(&longer).value.unwrap()), format!(">=5~{word}x"));
    }
}

#[test]
fn other_units_conditions_and_typical_values_stand_behind() {
    let nut = limit("60 .. 70 N.m (44 .. 52 lbf.ft) typical 65 N.m at 20 degC");
    assert_eq!(show(&nut.also_printed[0]), "44..52~lbf.ft");
    assert_eq!(figure(nut.typical.as_ref().unwrap()), "65~N.m");
    assert!(matches!(&nut.conditions[0].band, ConditionBand::Exactly(f) if figure(f) == "20~degC"));
    let gap = limit("max 0.60 mm (0.024 in)");
    assert_eq!(show(&gap.also_printed[0]), "<=0.024~in");
    let speed = limit("min 5 V at engine_speed[one] 1400 ± 100 rpm at load idle .. full");
    assert_eq!(speed.conditions.len(), 2);
    assert_eq!(&*speed.conditions[0].subject.as_ref().unwrap().name.node, "engine_speed");
    assert!(matches!(&speed.conditions[1].band, ConditionBand::Band(f) if form(f) == "idle..full"));
}

#[test]
fn citations_carry_errata() {
    let decl = decl(
        "limit a \"A\" : dc_voltage by rotational_speed = min 52 V cite sheet \"6-2\" mend sheet_e3 was min 50 V cite other",
    );
    assert_eq!(decl.cites.len(), 2);
    assert_eq!(&*decl.cites[0].mend.as_ref().unwrap().node, "sheet_e3");
    assert_eq!(show(decl.cites[0].was.as_ref().unwrap()), ">=50~V");
    assert_eq!(&*decl.by.unwrap().node, "rotational_speed");
    let constant = parse_strict(FileId(0), "constant c : count = 12 cite s was 14").unwrap();
    let ItemKind::Constant(constant) = &constant.items[0].kind else { panic!() };
    assert_eq!(constant.cites[0].was_figure.as_ref().map(figure).as_deref(), Some("14"));
}

#[test]
fn interpolation_and_joints_have_their_words() {
    assert!(matches!(
        limit("by a linear { 1 : min 2 }").form,
        LimitForm::Curve { interpolation: Interpolation::Linear, .. }
    ));
    assert!(matches!(
        limit("min 1 or min 2 whichever is first").form,
        LimitForm::Joined { joint: Joint::First, .. }
    ));
}

#[test]
fn digits_are_kept() {
    assert_eq!(
        show(&limit("12.50 .. 1.4e1 V")),
        "12.50..14~V".replace("14~V", &show_number("1.4e1"))
    );
}

fn show_number(text: &str) -> String {
    format!("{}~V", truing_units::Decimal::parse(text).unwrap())
}
