//! Faults, odds and evidence that nobody means: refused by name, or capped and said so.

#![allow(clippy::unwrap_used, clippy::panic, reason = "a test that panics has failed")]

use std::fmt::Write as _;

use truing::{Compiled, SuspectRound};
use truing_compile::{NoLibrary, check};
use truing_diagnosis::PAIR_FAULTS;
use truing_engine::suspects::{Complaint, Ranking, Seen, Stage, Visit};
use truing_engine::{Detail, Findings, SuspectPlan};
use truing_job::{SheetFormat, fitted, read_sheet};
use truing_model::Spec;
use truing_report::{Style, SuspectsReport, render_next};
use truing_syntax::Sources;

const HEAD: &str = r#"
spec bad "Bad input (invented)" { edition "1" ODDS }
source card "Invented"
limit charging : dc_voltage = 13.8 .. 14.8 V cite card
reading running "Running voltage" : dc_voltage
reading other "Another voltage" : dc_voltage
check charges "System charges" : running within charging BODY
check other_charges "Another charges" : other within charging BODY
"#;

fn spec(odds: &str, body: &str, faults: &str) -> String {
    HEAD.replace("ODDS", odds).replace("BODY", body) + faults
}

/// The findings of a text, by name.
fn found(text: &str) -> Vec<&'static str> {
    let mut sources = Sources::new();
    let file = sources.add("bad.truing", text);
    check(&mut sources, file, &NoLibrary).findings.iter().map(|of| of.slug().0).collect()
}

#[test]
fn what_cannot_be_is_refused_by_name() {
    let fault = |lines: &str| spec("", "", &format!("fault f \"F\" {{ {lines} }}"));
    for (text, slug) in [
        (fault("odds 0 of 100  makes charges low"), "chance-outside"),
        (fault("odds 100 of 100  makes charges low"), "chance-outside"),
        (fault("odds 101 of 100  makes charges low"), "chance-outside"),
        (fault("odds 1 of 100  makes charges low 101 %"), "chance-outside"),
        (
            fault("odds 1 of 100  makes charges low 60 %  makes charges high 60 %"),
            "effects-too-often",
        ),
        (fault("odds 1 of 100  makes charges worn 60 %"), "effect-impossible"),
        (fault("odds 1 of 100  makes charges sideways 60 %"), "syntax"),
        (fault("odds 1 of 100"), "fault-upsets-nothing"),
        (fault("odds 1 of 100  makes charges low 1 %"), "effect-below-leak"),
        (
            spec("", "{ leak 0 %  slip 0 % }", "fault f \"F\" { odds 1 of 9  makes charges low }"),
            "leak-and-slip-nought",
        ),
        (
            spec("odds none -1 of 9", "", "fault f \"F\" { odds 1 of 9  makes charges low }"),
            "chance-outside",
        ),
    ] {
        let slugs = found(&text);
        assert!(!slugs.is_empty() && slugs.iter().all(|s| *s == slug), "{slug}: {slugs:?}\n{text}");
    }
}

fn stage(spec: &Compiled, readings: &[(&str, &str)]) -> Stage {
    let sheet =
        readings.iter().fold(spec.sheet(), |sheet, (name, text)| sheet.read(name, text).unwrap());
    let sheet = sheet.build();
    let round = SuspectRound { sheet: &sheet, fitted: &[] };
    spec.suspects(&[round], Complaint::None).unwrap().pop().unwrap()
}

fn told(spec: &Compiled, stage: &Stage) -> String {
    let stages = std::slice::from_ref(stage);
    let report = SuspectsReport { spec: spec.spec(), stages, rounds: &[String::new()] };
    let told = render_next(&report, Style::PLAIN);
    told.split_whitespace().collect::<Vec<_>>().join(" ")
}

const TWO: &str = r#"
fault one "One" { odds 1 of 10  makes charges high 90 % }
fault two "Two" { odds 1 of 10  makes other_charges high 90 % }
"#;

/// What leaks is possible, however improbable: readings that exclude each other's faults leave both,
/// and the two together are the better story.
#[test]
fn faults_that_exclude_each_other_are_both_kept() {
    let text = spec("odds none 0 of 1  odds other 0 of 1", "{ leak 2 %  slip 0 % }", TWO);
    let spec = Compiled::from_text("bad.truing", &text).unwrap();
    let stage = stage(&spec, &[("running", "15.5 V"), ("other", "15.5 V")]);
    let ranking = stage.ranking.as_ref().unwrap();
    assert!(ranking.pair.is_some(), "{ranking:?}");
    assert!(ranking.faults.iter().all(|of| (of.probability - 0.5).abs() < 1e-9));
}

/// Without slip and with a leak on the other side only, the same readings allow nothing. Authors
/// cannot write that; a spec that was changed by hand can say it. The results are named, and no figure
/// comes of them.
#[test]
fn results_that_nothing_allows_together_are_named() {
    let beside = "odds none 0 of 1  odds other 0 of 1";
    let text = spec(beside, "{ leak low 2 %  slip 0 % }", TWO);
    assert_eq!(found(&text), ["leak-and-slip-nought", "leak-and-slip-nought"]);
    let written = Compiled::from_text("bad.truing", &spec(beside, "{ slip 0 % }", TWO)).unwrap();
    let mut parts = written.spec().clone().into_parts();
    for bands in &mut parts.bands {
        // In the order high, low.
        bands.leak = vec![0.0, 0.02];
    }
    let changed = Spec::seal(parts).unwrap();
    let plan = SuspectPlan::new(&changed).unwrap().unwrap();
    let sheet = written.sheet().read("running", "15.5 V").unwrap().read("other", "15.5 V").unwrap();
    let (sheet, findings) = (sheet.build(), sheet_findings(&written));
    let visit = Visit { sheet: &sheet, findings: &findings, fitted: &[] };
    let stage = plan.rank(&changed, &[visit], Complaint::None).pop().unwrap();
    let checks = &stage.ranking.as_ref().unwrap_err().checks;
    assert_eq!(checks, &changed.check_ids().map(|(id, _)| id).collect::<Vec<_>>());
    let stages = [stage];
    let report = SuspectsReport { spec: &changed, stages: &stages, rounds: &[String::new()] };
    let told = render_next(&report, Style::PLAIN);
    assert!(told.contains("contradict each other"), "{told}");
}

fn sheet_findings(spec: &Compiled) -> Findings {
    let sheet = spec.sheet().read("running", "15.5 V").unwrap().read("other", "15.5 V").unwrap();
    spec.assess_with(&sheet.build(), Detail::Budgets)
}

/// Ten thousand faults: ranked, with pairs of the likeliest only, and the outcome says so.
#[test]
fn ten_thousand_faults_are_ranked_and_paired_as_far_as_documented() {
    const FAULTS: usize = 10_000;
    let mut faults = String::new();
    for n in 0..FAULTS {
        let check = ["charges", "other_charges"][n % 2];
        let chance = 50 + n % 50;
        writeln!(faults, "fault f{n} \"F\" {{ odds 1 of 20000  makes {check} low {chance} % }}")
            .unwrap();
    }
    let spec = Compiled::from_text("bad.truing", &spec("", "", &faults)).unwrap();
    let stage = stage(&spec, &[("running", "13.0 V")]);
    let ranking = stage.ranking.as_ref().unwrap();
    assert_eq!((ranking.faults.len(), ranking.paired), (FAULTS, Some(PAIR_FAULTS)));
    let sum: f64 = ranking.faults.iter().map(|of| of.probability).sum();
    assert!((sum + ranking.none + ranking.other - 1.0).abs() < 1e-9, "{sum}");
    let told = told(&spec, &stage);
    assert!(told.contains("the likeliest 2000 of 10000 faults only"), "{told}");
}

/// A sheet that says what the customer said, and nothing that was measured.
#[test]
fn a_sheet_with_only_remarks_names_no_suspect() {
    let faults = "fault one \"One\" { odds 1 of 10  makes charges high 90 % }";
    let spec = Compiled::from_text("bad.truing", &spec("", "", faults)).unwrap();
    let text =
        "complaint = \"does not charge\"\nnote = \"seen on Monday\"\n[[round]]\nname = \"seen\"\n";
    let sheet = read_sheet("remarks.toml", text, SheetFormat::Toml).unwrap();
    let bound = spec.bind(&sheet, 0).unwrap();
    let fixes = fitted(&sheet, 0, spec.spec()).unwrap();
    let round = SuspectRound { sheet: &bound, fitted: &fixes };
    let stage = spec.suspects(&[round], Complaint::Told).unwrap().pop().unwrap();
    let ranking: &Ranking = stage.ranking.as_ref().unwrap();
    assert_eq!(ranking.seen, Seen::Nothing);
    let told = told(&spec, &stage);
    assert!(told.contains("Nothing that bears on a fault was measured"), "{told}");
    assert!(!told.contains("Most likely"), "{told}");
    // What to measure first is known all the same.
    assert!(told.contains("measure charges"), "{told}");
}
