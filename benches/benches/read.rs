//! Texts: parsing, checking, and a thousand files in one call. TOML's parser stands beside ours on
//! the same bytes a second, on a job-sheet-like text of the same size.
#![allow(
    missing_docs,
    clippy::unwrap_used,
    clippy::indexing_slicing,
    reason = "a bench on a wrong input must not go on"
)]

use std::fmt::Write as _;
use std::hint::black_box;

use criterion::{Criterion, Throughput, criterion_group, criterion_main};
use truing::{CheckOptions, Libraries, check_paths};
use truing_benches::{demo, demo_of_200_lines, root};
use truing_syntax::{FileId, Sources, parse};

fn parsing(c: &mut Criterion) {
    let mut group = c.benchmark_group("parse");
    let text = demo();
    // Linear in size: the same text once, four times and sixteen times.
    for times in [1, 4, 16] {
        let text = text.repeat(times);
        group.throughput(Throughput::Bytes(text.len() as u64));
        group.bench_function(format!("truing, demo spec x {times}"), |b| {
            b.iter(|| parse(FileId(0), black_box(&text)).tree.items.len());
        });
    }
    // Linear in nesting.
    for depth in [16, 32, 64] {
        let open = "(".repeat(depth);
        let close = ")".repeat(depth);
        let text = format!("constant deep = {open}1{close}\n").repeat(8192 / depth);
        group.throughput(Throughput::Bytes(text.len() as u64));
        group.bench_function(format!("truing, nested {depth} deep"), |b| {
            b.iter(|| parse(FileId(0), black_box(&text)).tree.items.len());
        });
    }
    let mut toml_text = String::new();
    for index in 0..text.len() / 40 {
        let _ = writeln!(toml_text, "reading_{index} = \"12.71 V\" # on the posts");
    }
    group.throughput(Throughput::Bytes(toml_text.len() as u64));
    group.bench_function("toml, a table of readings", |b| {
        b.iter(|| black_box(&toml_text).parse::<toml::Table>().unwrap().len());
    });
    group.finish();
}

fn checking(c: &mut Criterion) {
    let mut group = c.benchmark_group("parse and check with its library");
    for (name, text) in [("200 lines", demo_of_200_lines()), ("the demo spec", demo())] {
        let libraries = Libraries::built_in();
        group.bench_function(name, |b| {
            b.iter(|| {
                let mut sources = Sources::new();
                let file = sources.add("bench.truing", black_box(text.as_str()));
                let checked = truing_compile::check(&mut sources, file, &libraries);
                assert!(checked.spec.is_some(), "{:?}", checked.findings);
                checked.findings.len()
            });
        });
    }
    group.finish();
}

/// Linear in the length of a chain in which each derived quantity rests on the one before.
fn chains(c: &mut Criterion) {
    let mut group = c.benchmark_group("check a chain of derived quantities");
    for length in [250, 1000] {
        let mut text = String::from(
            "spec chain \"Chain\" { edition \"1\" }\nsource sheet \"Invented\"\n\
             reading first \"First\" : dc_voltage\n\
             limit least : dc_voltage = min 1 V cite sheet\nderived d0 = first\n",
        );
        for index in 1..length {
            let _ = writeln!(text, "derived d{index} = d{} + first", index - 1);
        }
        let _ = writeln!(text, "check last \"Last\" : d{} within least", length - 1);
        group.throughput(Throughput::Elements(length));
        group.bench_function(format!("{length} long"), |b| {
            b.iter(|| truing_benches::spec(black_box(&text)));
        });
    }
    group.finish();
}

fn a_thousand_files(c: &mut Criterion) {
    let folder = tempfile::tempdir().unwrap();
    std::fs::create_dir(folder.path().join("std")).unwrap();
    let library = root().join("specs/std/pm-charging.truing");
    std::fs::copy(library, folder.path().join("std/pm-charging.truing")).unwrap();
    let text = demo_of_200_lines();
    for index in 0..1000 {
        std::fs::write(folder.path().join(format!("spec-{index:04}.truing")), &text).unwrap();
    }
    let paths = [folder.path().to_path_buf()];
    let mut group = c.benchmark_group("1,000 spec files");
    group.sample_size(10);
    group.bench_function("checked in one call", |b| {
        b.iter(|| check_paths(black_box(&paths), &CheckOptions::default()).files.len());
    });
    group.finish();
}

criterion_group!(benches, parsing, checking, chains, a_thousand_files);
criterion_main!(benches);
