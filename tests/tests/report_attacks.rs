//! No text of a sheet or a spec, whatever stands in it, gets into a job's report as anything but text:
//! the report of a hostile job has the elements, the attributes and the marks of a harmless one.

#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    clippy::panic,
    reason = "a test that panics has failed"
)]

use std::collections::BTreeMap;
use std::sync::LazyLock;

use pulldown_cmark::{Event, Options, Parser};
use scraper::node::Element;
use scraper::{Html, Selector};
use serde_json::Value;
use truing::built_in_instruments;
use truing::engine::suspects::Complaint;
use truing::engine::{Detail, Findings, Sheet, SuspectPlan, Visit, assess_with};
use truing::job::{JobSheet, Profiles, bind_with, find_slot, fitted};
use truing::model::{Reading, Spec};
use truing::report::job_report::text::Text;
use truing::report::{JobReport, JobView, Report, Round, job_html, job_markdown, job_view};
use truing_tests::attacks::ATTACKS;
use truing_tests::cart;

/// A sheet with this text in every field that is text, and the harmless figures that it has.
fn sheet_with(text: &str) -> JobSheet {
    let mut sheet = cart::sheet(cart::JOB).unwrap();
    let put = |field: &mut Option<String>| *field = Some(text.to_owned());
    put(&mut sheet.job);
    put(&mut sheet.date);
    put(&mut sheet.technician);
    put(&mut sheet.complaint);
    put(&mut sheet.note);
    put(&mut sheet.model);
    put(&mut sheet.year);
    put(&mut sheet.edition);
    put(&mut sheet.spec_hash);
    sheet.file = text.to_owned();
    if let Some(closed) = &mut sheet.closed {
        put(&mut closed.date);
        put(&mut closed.reason);
    }
    for round in &mut sheet.rounds {
        round.name = text.to_owned();
        put(&mut round.time);
        for part in &mut round.parts {
            part.name = text.to_owned();
            put(&mut part.number);
            put(&mut part.price);
        }
        round.skipped.iter_mut().for_each(|it| it.why = text.to_owned());
        for remark in &mut round.remarks {
            remark.text = text.to_owned();
            put(&mut remark.time);
        }
        for photo in &mut round.photos {
            photo.path = text.to_owned();
            put(&mut photo.note);
        }
        round.bypasses.iter_mut().for_each(|it| it.what = text.to_owned());
        for entry in &mut round.readings {
            put(&mut entry.note);
            put(&mut entry.time);
        }
    }
    sheet
}

/// With this text as every name of an instrument as well, where it may be one.
fn with_instruments(mut sheet: JobSheet, text: &str) -> JobSheet {
    let old: Vec<String> = sheet.instruments.iter().map(|of| of.name.clone()).collect();
    let named = |name: &str| match old.iter().position(|old| old == name) {
        // The blanks around a meter's name are passed over.
        Some(place) => format!("{place} {}", text.trim()),
        None => name.to_owned(),
    };
    sheet.instruments.iter_mut().for_each(|of| of.name = named(&of.name));
    let meters = sheet.rounds.iter_mut().flat_map(|round| &mut round.conditions.meters);
    meters.chain(&mut sheet.conditions.meters).for_each(|name| *name = named(name));
    sheet
}

/// A spec with this text as every title that people read.
fn spec_with(text: &str) -> Spec {
    let mut spec = (*cart::spec().unwrap().shared_spec()).clone().into_parts();
    let text = || text.to_owned();
    spec.title = text();
    spec.edition = Some(text());
    spec.machines.iter_mut().for_each(|it| (it.maker, it.model) = (text(), text()));
    spec.sources.iter_mut().for_each(|it| it.title = text());
    spec.properties.iter_mut().for_each(|it| it.title = text());
    spec.cautions.iter_mut().for_each(|it| it.text = text());
    spec.states.iter_mut().for_each(|it| it.title = text());
    spec.slots.iter_mut().for_each(|it| it.title = text());
    for limit in &mut spec.limits {
        limit.printed = text();
        limit
            .cites
            .iter_mut()
            .for_each(|cite| (cite.place, cite.was) = (Some(text()), Some(text())));
    }
    for check in &mut spec.checks {
        check.title = text();
        check.advise.iter_mut().for_each(|advice| *advice = text());
    }
    spec.faults.iter_mut().for_each(|it| it.title = text());
    spec.fixes.iter_mut().for_each(|it| it.title = text());
    spec.parts.iter_mut().for_each(|it| it.name = text());
    Spec::seal(spec).unwrap()
}

/// The view of this job under a spec that is not from a file, with this text as the reason why a
/// reading was not taken and as what moved another.
fn view_of(spec: &Spec, job: &JobSheet, text: &str) -> JobView {
    let profiles = Profiles::of(spec).and(built_in_instruments().iter().cloned());
    let slot = |name: &str| find_slot(spec, name).unwrap();
    let bind = |place: usize| {
        let mut sheet = bind_with(job, place, spec, &profiles).unwrap();
        sheet.set(slot("connector"), Reading::NotTaken { reason: Some(text.to_owned()) }).unwrap();
        if let Some(Reading::Figure(figure)) = sheet.get(slot("charge")).cloned() {
            let (low, high) = (figure.clone(), figure);
            let moved_by = Some(text.to_owned());
            sheet.set(slot("charge"), Reading::Unsteady { low, high, moved_by }).unwrap();
        }
        sheet
    };
    let sheets: Vec<Sheet> = (0..job.rounds.len()).map(bind).collect();
    let findings: Vec<Findings> =
        sheets.iter().map(|sheet| assess_with(spec, sheet, Detail::Budgets)).collect();
    let fixes: Vec<_> =
        (0..job.rounds.len()).map(|place| fitted(job, place, spec).unwrap()).collect();
    let visits: Vec<Visit<'_>> = sheets
        .iter()
        .zip(&findings)
        .zip(&fixes)
        .map(|((sheet, findings), fitted)| Visit { sheet, findings, fitted })
        .collect();
    let plan = SuspectPlan::new(spec).unwrap().unwrap();
    let suspects = plan.rank(spec, &visits, Complaint::Told);
    let rounds =
        job.rounds.iter().zip(&sheets).zip(&findings).map(|((written, sheet), findings)| Round {
            name: &written.name,
            sheet,
            findings,
            remedies: &[],
            simulations: &[],
        });
    let report = Report {
        job: Some(job),
        rounds: rounds.collect(),
        suspects: &suspects,
        ..Report::of_round(spec, &sheets[0], &findings[0])
    };
    job_view(&JobReport::new(report))
}

/// The job with this text wherever a text can stand, in the sheet and in the spec.
fn everywhere(text: &str) -> JobView {
    view_of(&spec_with(text), &with_instruments(sheet_with(text), text), text)
}

/// Each attack with its job, and the same job with harmless text.
fn jobs() -> impl Iterator<Item = (&'static str, &'static JobView, &'static JobView)> {
    static JOBS: LazyLock<Vec<(JobView, JobView)>> = LazyLock::new(|| {
        ATTACKS.iter().map(|attack| (everywhere(attack), everywhere(&harmless(attack)))).collect()
    });
    ATTACKS.iter().zip(&*JOBS).map(|(attack, (hostile, harmless))| (*attack, hostile, harmless))
}

fn html(view: &JobView) -> String {
    job_html(view, &[]).unwrap()
}

/// As many lines of harmless text as the attack has, each as long: a complaint keeps its lines, and
/// how much the first page shows goes by the length of its texts.
fn harmless(attack: &str) -> String {
    let line = |of: &str| "harmless".chars().cycle().take(of.chars().count().max(1)).collect();
    let lines: Vec<String> = Text::lines(attack).as_str().split('\n').map(line).collect();
    lines.join("\n")
}

/// Every element with its attributes' names, and how often it is there.
fn shape(document: &Html) -> BTreeMap<String, usize> {
    let mut shape = BTreeMap::new();
    for element in elements(document) {
        let mut attributes: Vec<&str> = element.attrs().map(|(name, _)| name).collect();
        attributes.sort_unstable();
        *shape.entry(format!("{} {}", element.name(), attributes.join(" "))).or_insert(0) += 1;
    }
    shape
}

fn elements(document: &Html) -> impl Iterator<Item = &Element> {
    document.tree.values().filter_map(|node| node.as_element())
}

/// All text of a document but that of its style, its blanks folded.
fn text_of(document: &Html) -> String {
    let style = Selector::parse("style").unwrap();
    let style: String = document.select(&style).flat_map(|style| style.text()).collect();
    let all: Vec<&str> = document.root_element().text().filter(|text| **text != *style).collect();
    folded(&all.join(" "))
}

fn folded(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

#[test]
fn no_text_adds_an_element_an_attribute_or_a_comment() {
    for (attack, hostile, harmless) in jobs() {
        let hostile = Html::parse_document(&html(hostile));
        let harmless = Html::parse_document(&html(harmless));
        assert_eq!(shape(&hostile), shape(&harmless), "{attack:?}");
        assert!(!hostile.tree.values().any(|node| node.is_comment()), "{attack:?}");
    }
}

/// Were the text left out, nothing could be injected either.
#[test]
fn every_text_is_there_to_be_read() {
    for (attack, view, _) in jobs() {
        let shown = Text::line(attack).to_string();
        let page = text_of(&Html::parse_document(&html(view)));
        let count = page.matches(&shown).count();
        assert!(count > 60, "{attack:?} stands there {count} times only");
    }
}

#[test]
fn nothing_points_anywhere_and_nothing_runs() {
    for (attack, view, _) in jobs() {
        let document = Html::parse_document(&html(view));
        for element in elements(&document) {
            let name = element.name();
            assert!(!matches!(name, "script" | "iframe" | "object" | "embed" | "base" | "form"));
            for (attribute, value) in element.attrs() {
                assert!(!attribute.starts_with("on") && attribute != "style", "{attack:?}");
                let points =
                    matches!(attribute, "href" | "src" | "xlink:href" | "srcset" | "action");
                let inside = value.starts_with('#') || value == "data:,";
                assert!(!points || inside, "{attack:?}: {name} {attribute}={value:?}");
            }
        }
    }
}

#[test]
fn no_control_and_no_mark_of_direction_is_left() {
    for (attack, view, _) in jobs() {
        let json = serde_json::to_value(view).unwrap();
        for text in [html(view), job_markdown(view), strings(&json)] {
            let strange = text.chars().find(|c| {
                let marks = matches!(c, '\u{061C}' | '\u{200E}' | '\u{200F}')
                    || matches!(c, '\u{202A}'..='\u{202E}' | '\u{2066}'..='\u{2069}');
                marks || (c.is_control() && *c != '\n')
            });
            assert_eq!(strange, None, "{attack:?}");
        }
    }
}

/// All strings of a document for programs, one a line.
fn strings(json: &Value) -> String {
    match json {
        Value::String(text) => format!("{text}\n"),
        Value::Array(items) => items.iter().map(strings).collect(),
        Value::Object(fields) => fields.values().map(strings).collect(),
        _ => String::new(),
    }
}

/// What a Markdown page is made of, without its words.
fn marks(markdown: &str) -> Vec<String> {
    let mut marks = Vec::new();
    for event in Parser::new_ext(markdown, Options::all()) {
        match event {
            Event::Text(_) if marks.last().is_some_and(|last| last == "text") => {}
            Event::Text(_) => marks.push("text".to_owned()),
            event => marks.push(format!("{event:?}")),
        }
    }
    marks
}

#[test]
fn no_text_is_a_mark_in_markdown() {
    for (attack, hostile, harmless) in jobs() {
        let hostile = job_markdown(hostile);
        let harmless = job_markdown(harmless);
        assert_eq!(marks(&hostile), marks(&harmless), "{attack:?}");
        let mut text = String::new();
        // Smart punctuation would write the text anew.
        let options = Options::all().difference(Options::ENABLE_SMART_PUNCTUATION);
        for event in Parser::new_ext(&hostile, options) {
            match event {
                Event::Text(words) => text.push_str(&words),
                _ => text.push(' '),
            }
        }
        let shown = Text::line(attack).to_string();
        let count = folded(&text).matches(&shown).count();
        assert!(count > 40, "{attack:?} stands there {count} times only");
    }
}

/// The tests above compare shapes: these are told apart where something does get in.
#[test]
fn a_shape_tells_an_injected_element_and_an_injected_attribute() {
    let page = |text: &str| shape(&Html::parse_document(&format!("<p title=\"x\">{text}</p>")));
    assert_eq!(page("plain"), page("other"));
    assert_ne!(page("plain"), page("<b>bold</b>"));
    assert_ne!(
        page("plain"),
        shape(&Html::parse_document("<p title=\"x\" onclick=\"y\">plain</p>"))
    );
    assert_ne!(marks("plain"), marks("*plain*"));
    assert_ne!(marks("- [x](y)"), marks("- x"));
}

#[test]
fn a_long_complaint_is_whole_and_its_beginning_stands_on_the_first_page() {
    let complaint = "battery flat by noon, ".repeat(500);
    assert!(complaint.chars().count() > 10_000);
    let mut sheet = cart::sheet(cart::JOB).unwrap();
    sheet.complaint = Some(complaint.clone());
    let view = view_of(&cart::spec().unwrap().shared_spec(), &sheet, "none");
    let page = Html::parse_document(&html(&view));
    let said = Selector::parse(".said").unwrap();
    let said: Vec<String> =
        page.select(&said).map(|of| folded(&of.text().collect::<String>())).collect();
    assert_eq!(said.len(), 2);
    assert!(said[0].chars().count() < 400 && said[0].ends_with('…'), "{}", said[0]);
    assert_eq!(said[1], folded(&complaint));
}

#[test]
fn what_runs_from_right_to_left_is_set_apart() {
    let mut sheet = cart::sheet(cart::JOB).unwrap();
    sheet.complaint = Some("البطارية فارغة عند الظهر".to_owned());
    let view = view_of(&cart::spec().unwrap().shared_spec(), &sheet, "none");
    let page = Html::parse_document(&html(&view));
    let said = Selector::parse("blockquote.said[dir=auto]").unwrap();
    assert_eq!(page.select(&said).count(), 1);
}
