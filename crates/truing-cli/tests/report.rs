//! `truing report`

#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    clippy::panic,
    reason = "a test that panics has failed"
)]
#![allow(dead_code, reason = "each test file takes from `call` what it needs")]

mod call;

use std::fs;

use call::{Called, Shop};
use truing_tests::{cart, place};

/// A picture, as far as a report looks into it: its first bytes.
const PNG: &[u8] = b"\x89PNG\r\n\x1A\n";

/// The spec in `specs`, the job and one of its photos in `jobs`.
fn shop() -> Shop {
    let shop = Shop::empty();
    shop.write("specs/cart.truing", cart::SPEC);
    shop.write("jobs/cart.toml", cart::JOB);
    shop.write("jobs/photos/harness.png", PNG);
    shop
}

fn report(shop: &Shop, more: &[&str]) -> Called {
    let mut arguments = vec!["report", "jobs/cart.toml"];
    arguments.extend(more);
    shop.call(&arguments)
}

/// The spec's hash changes with its text, which is no matter of the report's form.
fn without_hash(text: &str) -> String {
    let Some((before, rest)) = text.split_once("sha256:") else { return text.to_owned() };
    format!("{before}sha256:…{}", rest.trim_start_matches(|c: char| c.is_ascii_hexdigit()))
}

#[test]
fn markdown_tells_the_job_from_complaint_to_proof() {
    let told = report(&shop(), &["--format", "md"]).exits(0);
    insta::assert_snapshot!(without_hash(&told.out));
}

#[test]
fn json_is_the_same_as_data() {
    let told = report(&shop(), &["--format", "json"]).exits(0);
    told.document("truing-job-report");
    insta::assert_snapshot!(without_hash(&told.out));
}

#[test]
fn the_schema_refuses_what_is_not_in_it() {
    let told = report(&shop(), &["--format", "json"]).exits(0);
    for (field, value) in [("version", 2.into()), ("surprise", true.into()), ("job", 1.into())] {
        let mut json: serde_json::Value = serde_json::from_str(&told.out).unwrap();
        json[field] = value;
        let other = Called { out: json.to_string(), status: 0, err: String::new() };
        let refused = std::panic::catch_unwind(|| other.document("truing-job-report"));
        assert!(refused.is_err(), "{field}");
    }
}

#[test]
fn every_job_of_the_demo_has_its_report_in_every_form() {
    let folder = place::root().join("specs/demo/jobs");
    let mut jobs: Vec<_> = fs::read_dir(folder).unwrap().map(|it| it.unwrap().path()).collect();
    jobs.retain(|path| path.extension().is_some_and(|end| end == "toml"));
    assert!(jobs.len() >= 6, "{jobs:?}");
    let shop = Shop::empty();
    for job in jobs {
        let job = job.to_str().unwrap();
        let page = shop.call(&["report", job]).exits(0).out;
        assert!(
            page.starts_with("<!doctype html>\n<html lang=\"en\">") && page.ends_with("</html>\n")
        );
        shop.call(&["report", job, "--format", "json"]).exits(0).document("truing-job-report");
        let page = shop.call(&["report", job, "--format", "md"]).exits(0).out;
        assert!(page.starts_with("# Job PL-07"), "{page}");
    }
}

#[test]
fn the_same_job_gives_the_same_bytes() {
    let shop = shop();
    for form in ["html", "md", "json"] {
        let first = report(&shop, &["--format", form]).exits(0);
        let second = report(&shop, &["--format", form]).exits(0);
        assert_eq!(first.out, second.out, "{form}");
    }
}

#[test]
fn the_page_asks_for_nothing_and_has_its_picture_in_it() {
    let page = report(&shop(), &[]).exits(0).out;
    assert!(page.contains("default-src &#x27;none&#x27;") || page.contains("default-src 'none'"));
    for address in ["http:", "https:", "@import", "<script", "<link rel=\"stylesheet\""] {
        assert!(!page.contains(address), "{address}");
    }
    assert_eq!(
        page.matches("src=\"data:image&#x2f;png;base64,").count(),
        1,
        "the photo that is there"
    );
    assert!(
        page.contains("there is no such file in the job&#x27;s folder"),
        "and the one that is not"
    );
    assert!(page.contains("It does not certify that the machine is safe."), "{page}");
}

#[test]
fn the_spec_is_found_by_its_name_or_named() {
    let shop = shop();
    let found = report(&shop, &["--format", "md"]).exits(0);
    let named = report(&shop, &["--format", "md", "--spec", "specs/cart.truing"]).exits(0);
    let before = ["report", "specs/cart.truing", "jobs/cart.toml", "--format", "md"];
    let before = shop.call(&before).exits(0);
    assert_eq!(found.out, named.out);
    assert_eq!(found.out, before.out);
    let twice = shop.call(&[
        "report",
        "specs/cart.truing",
        "jobs/cart.toml",
        "--spec",
        "specs/cart.truing",
    ]);
    assert!(twice.exits(2).err.contains("error[spec-twice]"));
}

#[test]
fn a_spec_that_is_nowhere_is_told_with_where_it_was_looked_for() {
    let shop = Shop::empty();
    shop.write("jobs/cart.toml", cart::JOB);
    let called = report(&shop, &[]).exits(2);
    assert!(called.err.starts_with("error[spec-not-found]: no spec `orchard_cart` was found in "));
    assert!(called.err.contains("--spec PATH"), "{}", called.err);
    assert!(called.out.is_empty());
    shop.write("jobs/cart.toml", cart::JOB.replace("spec = \"orchard_cart\"\n", ""));
    let called = report(&shop, &[]).exits(2);
    assert!(called.err.contains("does not say which spec"), "{}", called.err);
    let json = report(&shop, &["--format", "json"]).exits(2).document("truing-errors");
    assert_eq!(json["errors"][0]["slug"], "spec-not-found");
}

#[test]
fn a_sheet_in_error_is_told_and_no_report_is_written() {
    let shop = shop();
    shop.write("jobs/cart.toml", cart::JOB.replace("\"12.71 V\"", "\"12.71 ohm\""));
    let called = report(&shop, &["-o", "report.html"]).exits(2);
    assert!(called.err.contains("jobs/cart.toml"), "{}", called.err);
    assert!(!shop.path().join("report.html").exists());
}

#[test]
fn another_edition_is_told_and_taken_only_where_that_is_asked_for() {
    let shop = shop();
    let older = cart::JOB.replace("edition = \"2026-11\"", "edition = \"2025-04\"");
    shop.write("jobs/cart.toml", older);
    let called = report(&shop, &[]).exits(2);
    assert!(called.err.contains("error[edition-mismatch]"), "{}", called.err);
    let told = report(&shop, &["--this-edition", "--format", "md"]).exits(0).out;
    assert!(told.contains("**The job was judged by edition 2025-04"), "{told}");
}

#[test]
fn the_report_goes_to_the_file_that_is_named_and_never_over_its_sources() {
    let shop = shop();
    let page = report(&shop, &[]).exits(0).out;
    assert_eq!(report(&shop, &["-o", "report.html"]).exits(0).out, "");
    assert_eq!(shop.read("report.html"), page);
    for source in ["jobs/cart.toml", "specs/cart.truing", "jobs/../jobs/cart.toml"] {
        let called = report(&shop, &["-o", source]).exits(2);
        assert!(called.err.contains("error[output-is-source]"), "{}", called.err);
    }
    assert_eq!(shop.read("jobs/cart.toml"), cart::JOB);
    let called = report(&shop, &["-o", "no folder/report.html"]).exits(2);
    assert!(called.err.contains("error[report-not-written]"), "{}", called.err);
}

#[test]
fn the_decision_rule_can_be_another_one() {
    let told = report(&shop(), &["--decide", "simple", "--format", "md"]).exits(0).out;
    assert!(told.contains("Simple: the reading alone decides."), "{told}");
    assert!(report(&shop(), &["--decide", "by luck"]).exits(2).err.contains("--decide"));
}

#[test]
fn a_bypass_left_and_a_reason_are_in_the_way_of_a_proof() {
    let shop = shop();
    let proven = report(&shop, &["--format", "json"]).exits(0).document("truing-job-report");
    assert_eq!(proven["closing"]["state"], "proven");
    shop.write("jobs/cart.toml", cart::JOB.replace("removed = true", "removed = false"));
    let left = report(&shop, &["--format", "json"]).exits(0).document("truing-job-report");
    assert_eq!(left["closing"]["state"], "not-proven");
    let way = left["closing"]["in_the_way"].to_string();
    assert!(way.contains("seat switch bridged"), "{way}");
    let closed = format!("{}reason = \"owner took it home\"\n", cart::JOB);
    shop.write("jobs/cart.toml", closed);
    let closed = report(&shop, &["--format", "json"]).exits(0).document("truing-job-report");
    assert_eq!(closed["closing"]["state"], "not-proven");
    assert!(closed["closing"]["in_the_way"].to_string().contains("owner took it home"));
}

#[test]
fn html_and_markdown_are_forms_of_a_report_alone() {
    let shop = Shop::with_trike();
    for form in ["html", "md"] {
        let called = shop.call(&["check", "trike.truing", "--format", form]).exits(2);
        assert!(called.err.contains("forms of `truing report` alone"), "{}", called.err);
    }
}
