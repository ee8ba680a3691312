//! Any job sheet that can be: for the properties of writing and of the journal.

use proptest::collection::{btree_map, vec};
use proptest::option::of;
use proptest::prelude::*;
use proptest::sample::select;
use truing_job::{
    Bypass, Closed, Conditions, Correlation, Entry, Fitted, Instrument, JobSheet, Judged, Part,
    Photo, Remark, Round, Skipped,
};
use truing_model::DecideRule;

/// Any text, with the signs in it that files, terminals and formats mind.
fn text() -> impl Strategy<Value = String> {
    let odd = vec![
        "\u{1b}[31m",
        "\u{0}",
        "\u{7f}",
        "\r\n",
        "\n",
        "\t",
        "\"",
        "'''",
        "\"\"\"",
        "\\",
        "\u{202E}",
        "שלום",
        "مرحبا",
        "µΩ",
        "#",
        "=",
        "[",
        "]",
        "12.50",
        "007",
        "true",
        "2026-11-03",
        "\u{FEFF}",
    ];
    let piece = prop_oneof![select(odd).prop_map(str::to_owned), ".{0,8}"];
    vec(piece, 0..4).prop_map(|pieces| pieces.concat())
}

fn said() -> impl Strategy<Value = String> {
    text().prop_map(|text| format!("a{text}"))
}

fn day() -> impl Strategy<Value = String> {
    select(vec!["2026-11-03", "2024-02-29", "0001-01-01"]).prop_map(str::to_owned)
}

fn time() -> impl Strategy<Value = String> {
    let times = vec!["2026-11-03T09:10:00", "2026-11-03 09:10", "2026-11-03T09:10:00.25"];
    select(times).prop_map(str::to_owned)
}

/// Entries, no two of the same path; of a machine, `model` and `year` have places of their own.
fn entries() -> impl Strategy<Value = Vec<Entry>> {
    let first = (text(), of(text()), of(text()), of(text()), of(any::<bool>()), of(text()));
    let second = (of(text()), of(text()), of(text()), of(time()), of(text()));
    let entry =
        (first, second).prop_map(|((value, state, range, meter, zeroed, frequency), rest)| {
            let (uncertainty, degrees_of_freedom, ucum, time, note) = rest;
            Entry {
                value,
                state,
                range,
                meter,
                zeroed,
                frequency,
                uncertainty,
                degrees_of_freedom,
                ucum,
                time,
                note,
                ..Entry::default()
            }
        });
    let path = prop_oneof!["[a-z_]{1,6}(\\[[A-Z]\\])?", text()];
    let path = path.prop_filter("a place of its own", |path| path != "model" && path != "year");
    let with_path = |entries: std::collections::BTreeMap<String, Entry>| {
        entries.into_iter().map(|(path, entry)| Entry { path, ..entry }).collect()
    };
    btree_map(path, entry, 0..5).prop_map(with_path)
}

fn conditions() -> impl Strategy<Value = Conditions> {
    (vec(text(), 0..3), of(text())).prop_map(|(meters, ambient)| Conditions {
        meters,
        ambient,
        ..Conditions::default()
    })
}

fn parts() -> impl Strategy<Value = Vec<Part>> {
    let price = "[0-9]{1,4}(\\.[0-9]{1,2})?";
    let part =
        (said(), of(text()), 1u32.., of(price)).prop_map(|(name, number, quantity, price)| Part {
            name,
            number,
            quantity,
            price,
            ..Part::default()
        });
    vec(part, 0..3)
}

fn round() -> impl Strategy<Value = Round> {
    let skipped =
        (said(), said()).prop_map(|(check, why)| Skipped { check, why, ..Skipped::default() });
    let remark = (said(), of(time()), of(text())).prop_map(|(text, time, of)| Remark {
        text,
        time,
        of,
        ..Remark::default()
    });
    let photo = ("[a-zא-ת]{1,4}(/[a-z]{1,4})?\\.jpg", of(text()), of(text()))
        .prop_map(|(path, of, note)| Photo { path, of, note, ..Photo::default() });
    let bypass = (said(), any::<bool>()).prop_map(|(what, removed)| Bypass {
        what,
        removed,
        ..Bypass::default()
    });
    let correlation = (vec(text(), 2..4), text()).prop_map(|(readings, coefficient)| Correlation {
        readings,
        coefficient,
        ..Correlation::default()
    });
    let names = prop::collection::btree_set(text(), 0..3);
    let head = (text(), of(time()), conditions(), vec(text(), 0..3), parts(), names);
    let lists = (vec(skipped, 0..3), vec(remark, 0..3), vec(photo, 0..3), vec(bypass, 0..3));
    (head, lists, vec(correlation, 0..2), entries()).prop_map(
        |(head, lists, correlations, readings)| {
            let (name, time, conditions, fixes, parts, cautions) = head;
            let (skipped, remarks, photos, bypasses) = lists;
            Round {
                name,
                time,
                conditions,
                correlations,
                fitted: Fitted { fixes, ..Fitted::default() },
                parts,
                cautions: cautions.into_iter().collect(),
                skipped,
                remarks,
                photos,
                bypasses,
                readings,
                ..Round::default()
            }
        },
    )
}

fn rule() -> impl Strategy<Value = DecideRule> {
    prop_oneof![
        Just(DecideRule::Simple),
        (0.0..10.0).prop_map(|k| DecideRule::Guarded { k }),
        (0.5001..0.9999).prop_map(|probability| DecideRule::At { probability }),
    ]
}

/// Any sheet that can be read from a file.
pub fn sheets() -> impl Strategy<Value = JobSheet> {
    let hash = of("[0-9a-f]{64}".prop_map(|digits| format!("sha256:{digits}")));
    let job = (of(text()), of(text()), of(text()), hash, of(day()), of(text()));
    let words = (of(text()), of(text()), of(text()), of(rule()), of(said()), of(said()));
    let instrument = (text(), text(), any::<bool>(), of(text())).prop_map(
        |(name, profile, zeroed, calibrated)| Instrument {
            name,
            profile,
            zeroed,
            calibrated,
            ..Instrument::default()
        },
    );
    let instruments = vec(instrument, 0..3).prop_map(|list| {
        let number = |(place, it): (usize, Instrument)| Instrument {
            name: format!("{place}{}", it.name),
            ..it
        };
        list.into_iter().enumerate().map(number).collect::<Vec<_>>()
    });
    let judged = (said(), said(), of(text())).prop_map(|(check, limit, source)| Judged {
        check,
        limit,
        source,
        ..Judged::default()
    });
    let closed = (of(day()), of(text())).prop_map(|(date, reason)| Closed {
        date,
        reason,
        ..Closed::default()
    });
    let body = (entries(), instruments, conditions(), vec(round(), 0..3), vec(judged, 0..3));
    (job, words, body, of(closed)).prop_map(|(job, words, body, closed)| {
        let (job, spec, edition, spec_hash, date, technician) = job;
        let (complaint, shows, note, decide, model, year) = words;
        let (machine, instruments, conditions, rounds, judged) = body;
        JobSheet {
            job,
            spec,
            edition,
            spec_hash,
            date,
            technician,
            complaint,
            shows,
            note,
            decide,
            model,
            year,
            machine,
            instruments,
            conditions,
            rounds,
            judged,
            closed,
            ..JobSheet::default()
        }
    })
}
