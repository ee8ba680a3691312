//! What a program that embeds Truing sees.

#![expect(clippy::unwrap_used, reason = "a test fails by panicking")]

use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};

use truing::job::{SheetFormat, read_sheet_file};
use truing::model::{CheckId, Outcome, Side};
use truing::{
    CheckOptions, Compiled, Error, Findings, JobSheet, Libraries, check_paths, check_text,
    run_cases,
};
use uom::si::f64::{
    AngularVelocity, ElectricCurrent, ElectricPotential, Energy, Frequency, TemperatureInterval,
    ThermodynamicTemperature, Torque,
};
use uom::si::{
    angular_velocity::revolution_per_minute,
    electric_current::ampere,
    electric_potential::{millivolt, volt},
    energy::joule,
    frequency::hertz,
    temperature_interval,
    thermodynamic_temperature::degree_celsius,
    torque::newton_meter,
};

const BENCH: &str = include_str!("bench.truing");

fn bench() -> Compiled {
    Compiled::from_text("bench.truing", BENCH).unwrap()
}

fn outcome(compiled: &Compiled, findings: &Findings, label: &str) -> Outcome {
    let place = compiled.spec().checks.iter().position(|check| check.label == label).unwrap();
    findings.of(CheckId(place as u32)).unwrap().outcome
}

fn demo(name: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../../specs/demo").join(name)
}

fn slug(result: Result<truing::SheetBuilder, Error>) -> &'static str {
    result.map(|_| ()).unwrap_err().slug().0
}

#[test]
fn a_sheet_is_built_from_texts_quantities_words_and_numbers() {
    let compiled = bench();
    let builder = compiled
        .sheet()
        .machine("serial", 4188)
        .and_then(|it| it.machine("market", "eu"))
        .and_then(|it| it.read("to_ground[U]", "OL on 60 Mohm"))
        .and_then(|it| it.read("to_ground[V]", "0.5 Mohm"))
        .and_then(|it| it.measure("battery_rest", ElectricPotential::new::<millivolt>(12_710.0)))
        .and_then(|it| {
            it.measure("engine_speed", AngularVelocity::new::<revolution_per_minute>(1400.0))
        })
        .and_then(|it| it.measure("ambient", ThermodynamicTemperature::new::<degree_celsius>(20.0)))
        .and_then(|it| it.measure("nut", Torque::new::<newton_meter>(65.0)))
        .and_then(|it| it.see("connector", "burnt"))
        .unwrap();
    let findings = builder.assess();
    let came = |label: &str| outcome(&compiled, &findings, label);
    assert_eq!(came("battery_charged"), Outcome::Within);
    assert_eq!(came("insulated[U]"), Outcome::Within);
    assert_eq!(came("insulated[V]"), Outcome::Outside(Some(Side::Low)));
    assert_eq!(came("insulated[W]"), Outcome::NotTaken);
    assert_eq!(came("idles"), Outcome::Within);
    assert_eq!(came("warm"), Outcome::Within);
    assert_eq!(came("tight"), Outcome::Within);
    assert_eq!(came("connector_sound"), Outcome::Outside(None));
    assert_eq!(compiled.assess(&builder.build()), findings);
}

#[test]
fn the_step_of_an_instrument_counts_and_a_bare_quantity_is_exact() {
    let compiled = bench();
    let volts = ElectricPotential::new::<volt>(12.45);
    let exact = compiled.sheet().measure("battery_rest", volts).unwrap().assess();
    assert_eq!(outcome(&compiled, &exact, "battery_charged"), Outcome::Within);
    // 12.45 V ± 0.1 V at one standard uncertainty, 0.1/√3 V: 12.392 V is below the limit (arithmetic).
    let step = ElectricPotential::new::<volt>(0.2);
    let coarse = compiled.sheet().measure_to("battery_rest", volts, step).unwrap().assess();
    assert_eq!(outcome(&compiled, &coarse, "battery_charged"), Outcome::Undecided);
    let kelvin = TemperatureInterval::new::<temperature_interval::kelvin>(0.1);
    let ambient = ThermodynamicTemperature::new::<degree_celsius>(20.0);
    compiled.sheet().measure_to("ambient", ambient, kelvin).unwrap();
}

#[test]
fn a_quantity_of_another_dimension_or_kind_is_refused() {
    let sheet = || bench().sheet();
    let amps = ElectricCurrent::new::<ampere>(12.5);
    assert_eq!(slug(sheet().measure("battery_rest", amps)), "reading-kind");
    // One turn a second is 2π rad/s, and one newton metre is no joule.
    assert_eq!(
        slug(sheet().measure("engine_speed", Frequency::new::<hertz>(20.0))),
        "reading-kind"
    );
    assert_eq!(slug(sheet().measure("nut", Energy::new::<joule>(65.0))), "reading-kind");
    let rise = TemperatureInterval::new::<temperature_interval::kelvin>(20.0);
    assert_eq!(slug(sheet().measure("ambient", rise)), "reading-kind");
    let volts = ElectricPotential::new::<volt>(12.5);
    assert_eq!(slug(sheet().measure("connector", volts)), "reading-kind");
    assert_eq!(slug(sheet().measure("battery_reset", volts)), "unknown-reading");
    assert_eq!(slug(sheet().measure("to_ground", volts)), "member-missing");
    assert_eq!(slug(sheet().measure("serial", volts)), "unknown-reading");
    assert_eq!(slug(sheet().measure_to("battery_rest", volts, amps)), "reading-kind");
    assert_eq!(slug(sheet().measure_to("battery_rest", volts, -volts)), "not-a-number");
    for value in [f64::NAN, f64::INFINITY, f64::NEG_INFINITY, 1e300, 5e-324] {
        let volts = ElectricPotential::new::<volt>(value);
        assert_eq!(slug(sheet().measure("battery_rest", volts)), "not-a-number", "{value}");
    }
    assert_eq!(slug(sheet().read("battery_rest", "12,5 V")), "decimal-comma");
    assert_eq!(slug(sheet().see("connector", "brunt")), "reading-word");
}

#[test]
fn a_compiled_spec_is_shared_between_threads() {
    fn shared<T: Send + Sync + Clone + 'static>(_: &T) {}
    let compiled = bench();
    shared(&compiled);
    let assessed = std::thread::spawn({
        let compiled = compiled.clone();
        move || compiled.sheet().read("battery_rest", "12.0 V").unwrap().assess()
    });
    let findings = assessed.join().unwrap();
    assert_eq!(outcome(&compiled, &findings, "battery_charged"), Outcome::Outside(Some(Side::Low)));
}

#[test]
fn a_text_with_errors_comes_back_with_all_its_findings() {
    let text = BENCH.replace("min 12.4 V", "min 12.4 A").replace("min 1 Mohm", "min 1 V");
    let Err(Error::Refused(refused)) = Compiled::from_text("bench.truing", &text) else { panic!() };
    assert!(refused.errors().count() >= 2, "{:?}", refused.findings);
    assert!(refused.to_string().starts_with("bench.truing: "), "{refused}");
    assert!(refused.to_string().contains("the first at bench.truing:13:"), "{refused}");
    let library = "library parts \"Parts\"\nlimit open \"Open\" : dc_voltage\n";
    assert!(matches!(Compiled::from_text("parts", library), Err(Error::Library { .. })));
    assert!(Compiled::from_text("nothing", "").is_err());
    let gone = Compiled::from_path("gone.truing").unwrap_err();
    assert!(matches!(gone, Error::Missing { .. }), "{gone}");
}

#[test]
fn a_text_reaches_no_file() {
    let text = "spec a \"A\" { edition \"1\" }\nuse \"../../specs/demo/parts\"\n";
    let name = demo("a.truing").display().to_string();
    assert!(Compiled::from_text(&name, text).is_err());
}

#[test]
fn cases_pass_only_where_everything_came_as_expected() {
    let results = run_cases(&bench());
    let passed: Vec<_> = results.iter().map(|case| (case.name.as_str(), case.passed)).collect();
    assert_eq!(passed, [("good", true), ("wrong", false)]);
    let wrong = &results[1].expectations[0];
    assert_eq!((wrong.expected.as_str(), wrong.came.as_str()), ("outside low", "within"));
    assert!(wrong.why.is_some());
}

#[test]
fn many_files_are_checked_in_order_and_the_same_every_time() {
    let dir = tempfile::tempdir().unwrap();
    let broken = BENCH.replace("min 12.4 V", "min 12.4 A");
    for (name, text) in [
        ("b.truing", BENCH),
        ("a/z.truing", &broken),
        ("a/a.truing", BENCH),
        ("lib.truing", "library lib \"L\"\nlimit open \"O\" : dc_voltage = min 1 A\n"),
        ("uses.truing", "spec u \"U\" { edition \"1\" }\nuse \"lib\"\n"),
        ("uses2.truing", "spec v \"V\" { edition \"1\" }\nuse \"lib\"\n"),
    ] {
        let path = dir.path().join(name);
        fs::create_dir_all(path.parent().unwrap()).unwrap();
        fs::write(path, text).unwrap();
    }
    fs::write(dir.path().join("c.truing"), b"\xFF").unwrap();
    let paths = [dir.path().to_owned(), dir.path().join("gone")];
    let run = check_paths(&paths, &CheckOptions::default());
    let names: Vec<_> = run
        .files
        .iter()
        .map(|it| it.path.strip_prefix(dir.path()).unwrap().to_str().unwrap())
        .collect();
    assert_eq!(
        names,
        ["a/a.truing", "a/z.truing", "b.truing", "lib.truing", "uses.truing", "uses2.truing"]
    );
    let errors: Vec<_> = run.files.iter().map(truing::FileCheck::has_errors).collect();
    assert_eq!(errors, [false, true, false, true, true, true]);
    assert!(
        run.files[0].compiled.is_some() && run.files[1].compiled.is_none() && run.files[3].library
    );
    assert!(matches!(run.errors.as_slice(), [Error::Missing { .. }, Error::Encoding { .. }]));
    // What is wrong with the library is found three times and told once.
    let all = run.findings();
    let in_library: Vec<_> = all
        .iter()
        .filter(|it| {
            run.sources.get(it.primary().span.file).unwrap().name().ends_with("lib.truing")
        })
        .filter(|it| it.slug().0 == "unit-mismatch")
        .collect();
    assert_eq!(in_library.len(), 1, "{all:#?}");
    assert!(all.iter().all(|it| run.sources.get(it.primary().span.file).is_some()));
    let again = check_paths(&paths, &CheckOptions::default());
    assert_eq!(run.findings(), again.findings());
    let names = |run: &truing::CheckRun| -> Vec<String> {
        run.sources.iter().map(|(_, file)| file.name().to_owned()).collect()
    };
    assert_eq!(names(&run), names(&again));
}

#[test]
fn a_text_is_checked_as_a_file_is() {
    let run = check_text("-", BENCH, &CheckOptions::default());
    assert!(!run.has_errors(), "{:#?}", run.findings());
    assert!(run.files[0].compiled.is_some());
    let run = check_text("-", "spec", &CheckOptions { libraries: Libraries::built_in() });
    assert!(run.has_errors());
}

#[test]
fn every_demo_job_can_be_bound_and_says_the_same_in_each_format() {
    let run = check_paths(&[demo("")], &CheckOptions::default());
    let specs: Vec<&Compiled> = run.files.iter().filter_map(|it| it.compiled.as_ref()).collect();
    let mut jobs: Vec<PathBuf> =
        fs::read_dir(demo("jobs")).unwrap().map(|entry| entry.unwrap().path()).collect();
    jobs.retain(|path| path.is_file());
    jobs.sort();
    assert!(jobs.len() >= 8, "{jobs:?}");
    let mut came: BTreeMap<String, Vec<Vec<Findings>>> = BTreeMap::new();
    for job in jobs {
        let stem = job.file_stem().unwrap().to_str().unwrap().to_owned();
        let sheet = read_sheet_file(&job).unwrap();
        // CSV has no head: its spec is that of the same job in TOML.
        let name = match &sheet.spec {
            Some(name) => name.clone(),
            None => read_sheet_file(&job.with_extension("toml")).unwrap().spec.unwrap(),
        };
        let spec = specs.iter().find(|it| it.spec().name == name).unwrap();
        came.entry(stem).or_default().push(assessed(spec, &sheet));
    }
    assert!(came.values().any(|formats| formats.len() > 1));
    for (job, formats) in came {
        assert!(formats.windows(2).all(|two| two[0] == two[1]), "{job}");
        assert!(formats[0].iter().any(|round| round.summary().within > 0), "{job}");
    }
}

fn assessed(spec: &Compiled, sheet: &JobSheet) -> Vec<Findings> {
    let round = |round| spec.bind(sheet, round).map(|bound| spec.assess(&bound));
    (0..sheet.rounds.len()).map(round).collect::<Result<_, _>>().unwrap()
}

#[test]
fn every_file_of_the_std_library_and_the_demos_is_without_errors() {
    let specs = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../specs");
    let run = check_paths(&[specs], &CheckOptions::default());
    assert!(run.errors.is_empty(), "{:?}", run.errors);
    for file in &run.files {
        assert!(!file.has_errors(), "{}: {:#?}", file.path.display(), file.findings);
    }
}

#[test]
fn the_library_compiled_in_is_the_one_on_the_disk() {
    let text = fs::read_to_string(demo("lowmoor-420-orchard.truing")).unwrap();
    let from_text = Compiled::from_text("lowmoor", &text).unwrap();
    let from_path = Compiled::from_path(demo("lowmoor-420-orchard.truing")).unwrap();
    assert_eq!(from_text.spec().checks, from_path.spec().checks);
    assert_eq!(SheetFormat::of_path(Path::new("a.toml")), Some(SheetFormat::Toml));
}
