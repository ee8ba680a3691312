//! A sheet against a spec: what is taken, and every mistake that shows.

#![expect(clippy::unwrap_used, clippy::panic, reason = "a test fails by panicking")]

use truing_compile::{NoLibrary, check};
use truing_engine::Sheet;
use truing_job::{SheetError, SheetFormat, bind, find_slot, read_sheet, round_named, set_one};
use truing_model::{DecideRule, PropertyValue, Reading, Spec};
use truing_syntax::Sources;

const SPEC: &str = r#"
spec bench "Bench" { edition "1" }
source sheet "Bench data"
family phase = U, V, W
family pair = pairs of phase
property serial "Serial number" : count
property market "Market" : eu, us
caution exhaust "Exhaust gas kills. Run the engine outdoors."
state at_rest "Engine off"
state idling "Engine at idle" { from at_rest  caution exhaust }
reading battery_rest "Battery voltage" : dc_voltage { during at_rest }
reading to_ground[phase] "Winding {phase} to ground" : resistance { during at_rest }
reading ac_output[pair] "Output {pair}" : ac_voltage { during idling }
reading teeth "Teeth of the sprocket" : count { during at_rest }
reading gap "Gap" : length { during at_rest  reduce max }
observation connector "Connector" : clean, badly_burnt { during at_rest }
limit rest_voltage : dc_voltage = min 12.4 V cite sheet "1"
limit insulation : resistance = min 1 Mohm cite sheet "2"
limit output : ac_voltage = min 60 V cite sheet "3"
limit gap_limit : length = max 0.3 mm cite sheet "4"
limit tooth_count : count = when market is eu and serial > 100 : 10 .. 14 otherwise : 11 .. 15 cite sheet "5"
instrument bench_meter "Bench meter (invented)" {
    measures dc_voltage {
        range 6 V  step 0.001 V accuracy 0.5 % + 2 counts
        range 60 V step 0.01 V  accuracy 0.5 % + 2 counts
    }
    measures resistance {
        range 600 ohm step 0.1 ohm   accuracy 0.9 % + 3 counts
        range 60 Mohm step 0.01 Mohm accuracy 1.5 % + 5 counts
        leads 0.2 ohm ± 0.1 ohm
    }
    valid 18 .. 28 degC
}
instrument bench_caliper "Caliper (invented)" {
    measures length { range 150 mm step 0.01 mm accuracy 0.02 mm }
}
check battery_charged "Battery is charged" : battery_rest within rest_voltage
fix renew_battery "Renew the battery" { part "battery" }
check insulated[phase] "Winding {phase} is clear of ground" : to_ground[phase] within insulation
check puts_out[pair] "Output {pair}" : ac_output[pair] within output
check connector_sound "Connector is sound" : connector is clean
check gap_in_order "Gap is in order" : gap within gap_limit
check teeth_in_order "Sprocket is the right one" : teeth within tooth_count
"#;

fn spec() -> Spec {
    let mut sources = Sources::new();
    let file = sources.add("bench.truing", SPEC);
    let checked = check(&mut sources, file, &NoLibrary);
    checked.spec.unwrap_or_else(|| panic!("{:#?}", checked.findings))
}

fn bound(text: &str) -> Sheet {
    let sheet = read_sheet("sheet", text, SheetFormat::Toml).unwrap();
    bind(&sheet, 0, &spec()).unwrap()
}

fn mistakes(text: &str) -> Vec<SheetError> {
    let sheet = read_sheet("sheet", text, SheetFormat::Toml).unwrap();
    bind(&sheet, 0, &spec()).unwrap_err()
}

/// The one mistake of a sheet with this one reading.
fn mistake(reading: &str) -> SheetError {
    let mut found = mistakes(&format!("[readings]\n{reading}\n"));
    assert_eq!(found.len(), 1, "{found:#?}");
    found.remove(0)
}

fn read(sheet: &Sheet, label: &str) -> Reading {
    let slot = find_slot(&spec(), label).unwrap();
    sheet.get(slot).unwrap().clone()
}

fn figure(sheet: &Sheet, label: &str) -> (String, f64, f64) {
    match read(sheet, label) {
        Reading::Figure(it) => (it.shown.to_string(), it.value, it.half_step),
        other => panic!("{other:?}"),
    }
}

#[test]
fn readings_keep_their_digits_and_stand_in_the_coherent_unit() {
    let sheet = bound(
        r#"decide = "guarded 2"
        [readings]
        battery_rest = "12.71 V"
        to_ground = { U = "0.50 Mohm", V = "OL" }
        "to_ground[ W ]" = { value = "ol", range = "60 MΩ", note = "dry" }
        gap = ["0.15 mm", "0.16 mm"]
        teeth = 12
        connector = "badly_burnt"
        "#,
    );
    assert_eq!(figure(&sheet, "battery_rest"), ("12.71 V".to_owned(), 12.71, 0.005)); // arithmetic
    let (shown, value, half_step) = figure(&sheet, "to_ground[U]");
    assert_eq!((shown.as_str(), value, half_step), ("0.50 Mohm", 5e5, 5e3)); // arithmetic
    assert_eq!(read(&sheet, "to_ground[V]"), Reading::Overload { range: None });
    let Reading::Overload { range: Some(range) } = read(&sheet, "to_ground[W]") else { panic!() };
    assert_eq!(range.value, 60e6);
    assert!(matches!(read(&sheet, "gap"), Reading::Repeats(gaps) if gaps.len() == 2));
    assert_eq!(read(&sheet, "connector"), Reading::Word(1));
    assert_eq!(sheet.rule(), Some(DecideRule::Guarded { k: 2.0 }));
    assert_eq!(sheet.noted(find_slot(&spec(), "to_ground[W]").unwrap()), Some("dry"));
}

#[test]
fn every_form_of_a_reading_is_taken() {
    let form = |text: &str| read(&bound(&format!("[readings]\ngap = '{text}'\n")), "gap");
    assert!(matches!(form("> 0.2 mm"), Reading::Above { inclusive: false, .. }));
    assert!(matches!(form("<= 0.2 mm"), Reading::Below { inclusive: true, .. }));
    assert!(matches!(form("0.13 .. 0.15 mm"), Reading::Between { .. }));
    assert!(matches!(form("0.13 mm .. 0.2 mm unsteady \"cold\""), Reading::Unsteady { .. }));
    assert!(matches!(form("0.13, 0.15, 0.14 mm"), Reading::Repeats(figures) if figures.len() == 3));
    let why = Some("no access".to_owned());
    assert_eq!(form("Not taken \"no access\""), Reading::NotTaken { reason: why });
}

#[test]
fn properties_stand_under_machine_or_as_rows() {
    let spec = spec();
    let property = |sheet: &Sheet, name: &str| {
        let place = spec.properties.iter().position(|it| it.name == name).unwrap();
        sheet.property(truing_model::PropertyId(place as u32)).unwrap().clone()
    };
    let csv = "reading,value,round\nserial,3402,\nmarket,us,as found\nbattery_rest,12.7 V,as found\n\
               battery_rest,12.8 V,as left\nmarket,us,as left\n";
    let sheet = read_sheet("sheet", csv, SheetFormat::Csv).unwrap();
    assert_eq!(round_named(&sheet, "as left"), Some(1));
    for sheet in [
        bind(&sheet, 1, &spec).unwrap(),
        bound("[machine]\nserial = 3402\nmarket = \"us\"\n[readings]\n"),
    ] {
        assert_eq!(property(&sheet, "market"), PropertyValue::Word(1));
        assert!(
            matches!(property(&sheet, "serial"), PropertyValue::Figure(it) if it.value == 3402.0)
        );
    }
}

#[test]
fn a_blank_is_not_filled_in_and_not_taken_may_stand_for_a_family() {
    let sheet =
        bound("[readings]\nbattery_rest = \" \"\nto_ground = \"not taken\"\nac_output = \"\"\n");
    let spec = spec();
    assert_eq!(sheet.readings().count(), 3);
    assert!(sheet.get(find_slot(&spec, "battery_rest").unwrap()).is_none());
    assert_eq!(read(&sheet, "to_ground[V]"), Reading::NotTaken { reason: None });
}

#[test]
fn a_reading_is_kept_with_the_state_that_it_was_taken_in() {
    let spec = spec();
    let text = "[readings]\nbattery_rest = { value = \"13.1 V\", state = \"idling\" }\n";
    let state = bound(text).state(find_slot(&spec, "battery_rest").unwrap()).unwrap();
    assert_eq!(spec.states[state.0 as usize].name, "idling");
    let found = mistake("battery_rest = { value = \"13.1 V\", state = \"ideling\" }");
    assert_eq!(
        (found.slug.0, found.mend.as_deref()),
        ("unknown-state", Some("did you mean `idling`?"))
    );
}

#[test]
fn every_mistake_is_reported_at_once_in_order_of_line() {
    let found = mistakes(
        r#"spec = "bensh"
        [machine]
        serial = "A-1"
        markt = "eu"
        battery_rest = "12.7 V"
        [readings]
        batery_rest = "12.71 V"
        to_ground = "0.5 ohm"
        ac_output = { V-U = "69.6 V", U-V = "70 V" }
        "ac_output[U-V]" = "71 V"
        gap = 0.15
        connector = "badly burnt"
        "#,
    );
    let brief: Vec<_> = found.iter().map(|it| (it.line.unwrap(), it.slug.0)).collect();
    let expected = [
        (1, "spec-mismatch"),
        (3, "property-value"),
        (4, "unknown-property"),
        (5, "unknown-property"),
        (7, "unknown-reading"),
        (8, "member-missing"),
        (9, "no-such-member"),
        (10, "reading-twice"),
        (11, "reading-without-unit"),
        (12, "reading-word"),
    ];
    assert_eq!(brief, expected, "{found:#?}");
    let mend = |place: usize| found[place].mend.as_deref().unwrap_or("");
    assert_eq!(mend(0), "did you mean `bench`?");
    assert_eq!(mend(2), "did you mean `market`?");
    assert_eq!(mend(3), "it is a reading: write it in the round that it was taken in");
    assert_eq!(mend(4), "did you mean `battery_rest`?");
    assert_eq!(mend(5), "write `to_ground[U]`, or a table: to_ground = { U = \"…\" }");
    assert_eq!(mend(6), "the pair is `U-V`: the leads go the other way round");
    assert_eq!(found[7].message, "the reading is given twice, first on line 9");
    assert_eq!(mend(8), "write it as text with its unit: \"0.15 mm\"");
    assert_eq!(mend(9), "did you mean `badly_burnt`?");
    assert_eq!(found[7].entry.as_deref(), Some("ac_output[U-V]"));
    assert!(found.iter().all(|it| it.file == "sheet"));
}

#[test]
fn members_that_are_not_there_are_named() {
    let found = mistake("to_ground = { X = \"1 ohm\" }");
    assert_eq!(found.mend.as_deref(), Some("its members are U, V, W"));
    let found = mistake("\"to_ground[u]\" = \"1 ohm\"");
    assert_eq!(found.mend.as_deref(), Some("did you mean `U`?"));
    let found = mistake("battery_rest = { U = \"1 V\" }");
    assert_eq!(
        (found.slug.0, found.mend.as_deref()),
        ("no-such-member", Some("write `battery_rest`"))
    );
}

#[test]
fn a_reading_of_another_kind_says_both_kinds() {
    let found = mistake("battery_rest = \"12.5 A\"");
    assert_eq!(found.slug.0, "reading-kind");
    assert_eq!(found.message, "12.5 A is a dc current; battery_rest is a dc voltage");
    assert_eq!(mistake("battery_rest = \"clean\"").slug.0, "reading-kind");
    assert_eq!(mistake("connector = \"12.5 V\"").slug.0, "reading-word");
    assert_eq!(mistake("battery_rest = \"3 V .. 2 A unsteady\"").slug.0, "reading-kind");
}

#[test]
fn a_number_without_a_unit_is_asked_for_it() {
    for text in ["12.5", "\"12.5\"", "\"3.1, 3.2\"", "\"> 3\""] {
        let found = mistake(&format!("battery_rest = {text}"));
        assert_eq!(found.slug.0, "reading-without-unit", "{text}");
    }
    let found = mistake("battery_rest = 12.50");
    assert_eq!(found.mend.as_deref(), Some("write it as text with its unit: \"12.50 V\""));
    assert_eq!(mistake("battery_rest = 1").slug.0, "one-or-overload");
    bound("[readings]\nteeth = 1\n");
}

#[test]
fn displays_are_read_as_they_show_and_asked_back_where_two_things_can_be_meant() {
    for text in ["OL", "ol", "O.L", ".OL", "O.L."] {
        let sheet = bound(&format!("[readings]\nto_ground = {{ U = \"{text}\" }}\n"));
        assert_eq!(read(&sheet, "to_ground[U]"), Reading::Overload { range: None }, "{text}");
    }
    let slug = |text: &str| mistake(&format!("to_ground = {{ U = \"{text}\" }}")).slug.0;
    assert_eq!(slug("1 ."), "one-or-overload");
    assert_eq!(slug("0L"), "overload-spelling");
    assert_eq!(slug("0.L"), "overload-spelling");
    assert_eq!(slug("OL Mohm"), "overload-unit");
    assert_eq!(slug("nan"), "not-a-number");
    assert_eq!(mistake("battery_rest = nan").slug.0, "not-a-number");
    assert_eq!(mistake("battery_rest = inf").slug.0, "not-a-number");
}

#[test]
fn a_decimal_comma_is_never_two_readings() {
    let found = mistake("battery_rest = \"12,5 V\"");
    assert_eq!(found.slug.0, "decimal-comma");
    assert!(found.mend.as_deref().unwrap().contains("`12.5 V`"), "{found:?}");
}

#[test]
fn look_alikes_are_read_where_they_have_one_meaning_only() {
    let ohms = |text: &str| {
        let sheet = bound(&format!("[readings]\nto_ground = {{ U = \"{text}\" }}\n"));
        figure(&sheet, "to_ground[U]").1
    };
    for text in ["5 kΩ", "5 k\u{2126}", "5 kohm", "5000 ohm"] {
        assert_eq!(ohms(text), 5e3, "{text}");
    }
    assert_eq!(ohms("5 Mohm"), 5e6);
    assert_eq!(ohms("5 mohm"), 5e-3);
    assert_eq!(
        mistake("to_ground = { U = \"5\u{A0}kohm\" }").mend.unwrap(),
        "write an ordinary blank: `5 kohm`"
    );
    let volts = |text: &str| {
        figure(&bound(&format!("[readings]\nbattery_rest = \"{text}\"\n")), "battery_rest").1
    };
    assert_eq!(volts("5 \u{B5}V"), 5e-6); // micro sign
    assert_eq!(volts("5 \u{3BC}V"), 5e-6); // Greek mu
    assert_eq!((ohms("5 mOhm"), ohms("5 MOhm")), (5e-3, 5e6)); // small and capital M differ
    let kelvin = mistake("to_ground = { U = \"5 Kohm\" }"); // K is kelvin
    assert_eq!(kelvin.slug.0, "unit-look-alike");
    assert!(kelvin.to_string().contains("kohm"), "{kelvin}");
}

#[test]
fn tabs_and_blanks_around_a_reading_are_no_matter() {
    let sheet = bound("[readings]\n\tbattery_rest = \"\t12.71\tV \"\r\n");
    assert_eq!(figure(&sheet, "battery_rest").1, 12.71);
}

#[test]
fn what_is_no_reading_says_so() {
    for text in
        ["12.71 Volt extra", "..", "= 3 V", "12.7 V V", "not taken no access", "12.7 wombat"]
    {
        let found = mistake(&format!("battery_rest = \"{text}\""));
        assert!(!found.message.is_empty() && found.message.contains(text), "{found:?}");
    }
    let long = "3.5 mm, ".repeat(10_000);
    assert_eq!(mistake(&format!("gap = \"{long}3.5 mm\"")).slug.0, "reading-syntax");
    assert_eq!(mistake("gap = \"0.15 .. 0.13 mm\"").entry.as_deref(), Some("gap"));
}

#[test]
fn a_round_that_is_not_there_is_named() {
    let sheet = read_sheet("sheet", "[[round]]\nname = \"as found\"\n", SheetFormat::Toml).unwrap();
    let found = bind(&sheet, 1, &spec()).unwrap_err();
    assert_eq!(found[0].slug.0, "no-such-round");
    assert_eq!(found[0].mend.as_deref(), Some("its rounds are as found"));
}

#[test]
fn one_assignment_replaces_what_stood_there() {
    let spec = spec();
    let mut sheet = bound("[readings]\nbattery_rest = \"12.71 V\"\n");
    set_one(&spec, &mut sheet, "battery_rest=12.80 V").unwrap();
    assert_eq!(figure(&sheet, "battery_rest").0, "12.80 V");
    set_one(&spec, &mut sheet, " to_ground[U] = > 20 Mohm").unwrap();
    assert!(matches!(read(&sheet, "to_ground[U]"), Reading::Above { .. }));
    set_one(&spec, &mut sheet, "market=us").unwrap();
    set_one(&spec, &mut sheet, "connector = not taken \"dark\"").unwrap();
    let error = set_one(&spec, &mut sheet, "battery_rest=12,8 V").unwrap_err();
    assert_eq!((error.slug.0, error.entry.as_deref()), ("decimal-comma", Some("battery_rest")));
    assert_eq!(figure(&sheet, "battery_rest").0, "12.80 V", "a mistake leaves the sheet as it was");
    assert_eq!(set_one(&spec, &mut sheet, "battery_rest").unwrap_err().slug.0, "assignment");
    assert_eq!(set_one(&spec, &mut sheet, "=").unwrap_err().slug.0, "unknown-reading");
    set_one(&spec, &mut sheet, "battery_rest=").unwrap();
    assert!(sheet.get(find_slot(&spec, "battery_rest").unwrap()).is_none());
}

const WITH_METERS: &str = r#"
date = 2026-11-02
meter = ["caliper", "M-B"]
ambient = "35 degC"
[[instrument]]
name = "M-B"
profile = "bench_meter"
calibrated = 2025-11-02
zeroed = true
[[instrument]]
name = "caliper"
profile = "bench_caliper"
[[round]]
name = "as found"
[round.readings]
battery_rest = "12.71 V"
gap = "0.21 mm"
to_ground = { U = { value = "0.5 ohm", range = "600 ohm", zeroed = false }, V = "OL" }
"ac_output[U-V]" = { value = "60.1 V", frequency = "500 Hz", meter = "M-B" }
"ac_output[V-W]" = "60.2 V"
[[round]]
name = "as left"
meter = "bench_meter"
ambient = "20 degC"
[round.readings]
battery_rest = { value = "12.71 V", uncertainty = "20 mV", degrees_of_freedom = 9 }
[[round.correlation]]
readings = ["battery_rest", "gap"]
coefficient = 0.5
"#;

#[test]
fn a_reading_is_taken_with_the_meter_that_it_or_its_round_or_the_sheet_names() {
    let spec = spec();
    let sheet = read_sheet("sheet", WITH_METERS, SheetFormat::Toml).unwrap();
    let found = bind(&sheet, 0, &spec).unwrap();
    let meter = |sheet: &Sheet, path: &str| sheet.meter(find_slot(&spec, path).unwrap()).cloned();
    let rest = meter(&found, "battery_rest").unwrap();
    // Zeroed leads leave volts as they are.
    assert_eq!((rest.meter.as_str(), rest.zeroed), ("M-B", false));
    assert_eq!(rest.ambient, Some(308.15));
    assert_eq!(rest.since_calibration, Some(365.0 * 86_400.0));
    assert_eq!(meter(&found, "gap").unwrap().meter, "caliper");
    let to_ground = meter(&found, "to_ground[U]").unwrap();
    assert_eq!((to_ground.range, to_ground.zeroed), (Some(600.0), false));
    assert_eq!(meter(&found, "ac_output[U-V]").unwrap().frequency, Some(500.0));
    assert_eq!(meter(&found, "ac_output[V-W]"), None, "neither measures it: digits only");
    let left = bind(&sheet, 1, &spec).unwrap();
    let rest = meter(&left, "battery_rest").unwrap();
    assert_eq!((rest.meter.as_str(), rest.zeroed), ("bench_meter", false));
    assert_eq!(rest.ambient, Some(293.15));
}

#[test]
fn a_spreadsheet_names_meters_in_columns() {
    let text = "reading,value,meter,zeroed,uncertainty\n\
                battery_rest,12.71 V,bench_meter,,\n\
                to_ground[U],0.5 ohm,bench_meter,yes,\n\
                gap,0.21 mm,,,4 um\n";
    let spec = spec();
    let sheet = read_sheet("sheet.csv", text, SheetFormat::Csv).unwrap();
    let found = bind(&sheet, 0, &spec).unwrap();
    let meter = found.meter(find_slot(&spec, "to_ground[U]").unwrap()).unwrap();
    assert!(meter.zeroed);
    let wrong = read_sheet("s.csv", &text.replace("yes", "maybe"), SheetFormat::Csv).unwrap_err();
    assert_eq!(wrong[0].slug.0, "sheet-shape");
}

#[test]
fn what_cannot_be_of_meters_and_correlations_is_told_with_its_line() {
    let told = |from: &str, to: &str| {
        let text = WITH_METERS.replace(from, to);
        assert_ne!(text, WITH_METERS, "{from}");
        let sheet = read_sheet("sheet", &text, SheetFormat::Toml).unwrap();
        let found: Vec<SheetError> = [0, 1]
            .into_iter()
            .filter_map(|round| bind(&sheet, round, &spec()).err())
            .flatten()
            .collect();
        assert!(found[0].line.is_some(), "{}", found[0]);
        (found[0].slug.0, found[0].mend.clone().unwrap_or_default())
    };
    let (slug, mend) = told("profile = \"bench_meter\"", "profile = \"bench_mter\"");
    assert_eq!((slug, mend.as_str()), ("unknown-instrument", "did you mean `bench_meter`?"));
    assert_eq!(told("calibrated = 2025-11-02", "calibrated = 2027-01-01").0, "meter-use");
    assert_eq!(told("calibrated = 2025-11-02", "calibrated = \"last week\"").0, "meter-use");
    assert_eq!(told("ambient = \"35 degC\"", "ambient = \"35 V\"").0, "reading-kind");
    assert_eq!(told("frequency = \"500 Hz\"", "frequency = \"500\"").0, "reading-without-unit");
    assert_eq!(told("coefficient = 0.5", "coefficient = 1.5").0, "correlation-impossible");
    assert_eq!(told("coefficient = 0.5", "coefficient = nan").0, "not-a-number");
    assert_eq!(
        told("\"battery_rest\", \"gap\"", "\"battery_rest\", \"gapp\"").0,
        "unknown-reading"
    );
    assert_eq!(told("\"20 mV\"", "\"-20 mV\"").0, "meter-use");
    assert_eq!(told("degrees_of_freedom = 9", "degrees_of_freedom = 0").0, "meter-use");
    let twice = "[[instrument]]\nname = \"M-B\"\nprofile = \"bench_caliper\"\n[[instrument]]\n";
    assert_eq!(
        told("[[instrument]]\nname = \"M-B\"\n", &format!("{twice}name = \"M-B\"\n")).0,
        "key-twice"
    );
    // Each of three pairs may be so; all three together may not (no such matrix is positive
    // semidefinite).
    let three = "[[round.correlation]]\nreadings = [\"battery_rest\", \"gap\"]\ncoefficient = 0.9\n\
                 [[round.correlation]]\nreadings = [\"gap\", \"teeth\"]\ncoefficient = 0.9\n\
                 [[round.correlation]]\nreadings = [\"battery_rest\", \"teeth\"]\ncoefficient = -0.9\n";
    let (slug, _) = told(
        "[[round.correlation]]\nreadings = [\"battery_rest\", \"gap\"]\ncoefficient = 0.5\n",
        three,
    );
    assert_eq!(slug, "correlation-impossible");
}

#[test]
fn what_was_fitted_is_one_of_the_fixes_of_the_spec() {
    let round = |named: &str| {
        format!("[[round]]\nname = \"as left\"\nfitted = {named}\n[round.readings]\n")
    };
    let spec = spec();
    let fitted = |named: &str| {
        let sheet = read_sheet("job.toml", &round(named), SheetFormat::Toml).unwrap();
        truing_job::fitted(&sheet, 0, &spec)
    };
    let battery = spec.fix_named("renew_battery").unwrap();
    assert_eq!(fitted("[\"renew_battery\", \"renew_battery\"]").unwrap(), [battery]);
    assert_eq!(fitted("\"renew_battery\"").unwrap(), [battery]);
    assert_eq!(fitted("[]").unwrap(), []);
    let wrong = &fitted("[\"renew_batery\"]").unwrap_err()[0];
    assert_eq!(
        (wrong.slug.0, wrong.line, wrong.file.as_str()),
        ("unknown-fix", Some(3), "job.toml")
    );
    assert_eq!(wrong.mend.as_deref(), Some("did you mean `renew_battery`?"));
    // Whichever round is read, a fix that is not there is told.
    let sheet = format!("[[round]]\n[round.readings]\n{}", round("[\"renew_stator\"]"));
    assert_eq!(mistakes(&sheet)[0].slug.0, "unknown-fix");
}

#[test]
fn every_example_of_the_docs_has_its_mistake_and_its_mending_has_none() {
    let spec = spec();
    let found = |text: &str| -> Vec<&'static str> {
        let read = read_sheet("sheet", text, SheetFormat::Toml);
        let bound = read.and_then(|sheet| bind(&sheet, 0, &spec).map(|_| ()));
        bound.err().unwrap_or_default().iter().map(|mistake| mistake.slug.0).collect()
    };
    for doc in truing_job::slugs() {
        assert!(!doc.title.is_empty() && !doc.explain.is_empty(), "{}", doc.slug.0);
        if !doc.wrong.is_empty() {
            assert_eq!(found(doc.wrong), [doc.slug.0], "{}", doc.wrong);
            assert_eq!(found(doc.right), [] as [&str; 0], "{}", doc.right);
        }
    }
}

#[test]
fn a_sheet_for_quite_another_spec_is_given_up_at_a_thousand_mistakes() {
    let rows: String = (0..5_000).map(|row| format!("stranger_{row} = \"1 V\"\n")).collect();
    assert_eq!(mistakes(&format!("[readings]\n{rows}")).len(), 1001);
}

#[test]
fn a_ucum_code_says_the_unit_of_a_bare_figure() {
    // UCUM, table 49: `[in_i]` is the international inch; `m[Volt]` is no code.
    let written = bound("[readings]\ngap = \"0.0118 in\"\nto_ground = { U = \"2 Mohm\" }\n");
    let coded = bound(
        "[readings]\ngap = { value = \"0.0118\", ucum = \"[in_i]\" }\n\
         to_ground = { U = { value = \"2\", ucum = \"MOhm\" } }\n",
    );
    let spec = spec();
    for (slot, reading) in written.readings() {
        let Some(Reading::Figure(coded)) = coded.get(slot) else { panic!("{slot:?}") };
        let Reading::Figure(reading) = reading else { panic!("{slot:?}") };
        assert_eq!(coded.exact, reading.exact, "{}", spec.slot(slot).unwrap().label);
    }
    let found = mistake("battery_rest = { value = \"12.7\", ucum = \"m[Volt]\" }");
    assert_eq!(found.slug.0, "reading-without-unit");
}

#[test]
fn the_names_of_the_record_are_those_of_the_spec() {
    let told = |text: &str| {
        let found = mistakes(&format!("version = 2\n{text}\n[round.readings]\n"));
        assert_eq!(found.len(), 1, "{found:#?}");
        assert!(found[0].line.is_some(), "{}", found[0]);
        (found[0].slug.0, found[0].mend.clone().unwrap_or_default())
    };
    let state = told("shows = \"ideling\"\n[[round]]");
    assert_eq!(state, ("unknown-state", "did you mean `idling`?".to_owned()));
    let caution = told("[[round]]\ncautions = [\"exhaust\", \"sparks\"]");
    assert_eq!(caution, ("unknown-caution", "its cautions are exhaust".to_owned()));
    let check = told("[[round]]\nskipped = [{ check = \"insulted[U]\", why = \"a\" }]");
    assert_eq!(check, ("unknown-check", "did you mean `insulated[U]`?".to_owned()));
    assert_eq!(
        told("[[round]]\nremarks = [{ text = \"a\", of = \"to_ground[X]\" }]").0,
        "no-such-member"
    );
    assert_eq!(
        told("[[round]]\nphotos = [{ path = \"a.jpg\", of = \"gasp\" }]").0,
        "unknown-check"
    );
    bound(
        "version = 2\nshows = \"idling\"\n[[round]]\ncautions = \"exhaust\"\n\
         skipped = [{ check = \"insulated\", why = \"a\" }, { check = \"gap\", why = \"b\" }]\n\
         remarks = [{ text = \"a\", of = \"to_ground\" }, { text = \"b\", of = \"to_ground[U]\" }]\n\
         [round.readings]\n",
    );
}

#[test]
fn model_and_year_are_properties_where_the_spec_asks_for_them() {
    let text = "version = 2\n[machine]\nmodel = \"Ostrevik\"\nyear = 2023\n[readings]\n";
    bound(text);
    let asking = SPEC.replace(
        "property market \"Market\" : eu, us",
        "property market \"Market\" : eu, us\nproperty year \"Year\" : count",
    );
    let mut sources = Sources::new();
    let file = sources.add("bench.truing", asking);
    let spec = check(&mut sources, file, &NoLibrary).spec.unwrap();
    let sheet = read_sheet("sheet", text, SheetFormat::Toml).unwrap();
    let year = (0..).zip(&spec.properties).find(|(_, it)| it.name == "year").unwrap().0;
    let bound = bind(&sheet, 0, &spec).unwrap();
    assert!(bound.property(truing_model::PropertyId(year)).is_some());
    let word = read_sheet("sheet", &text.replace("2023", "\"MY23\""), SheetFormat::Toml).unwrap();
    let wrong = &bind(&word, 0, &spec).unwrap_err()[0];
    assert_eq!((wrong.slug.0, wrong.line), ("property-value", Some(4)));
}
