//! The journal: what is acknowledged is there, whatever happened behind it. Jobs are invented.

#![expect(clippy::unwrap_used, clippy::panic, reason = "a test fails by panicking")]

mod support;

use std::fs;
use std::path::{Path, PathBuf};

use jiff::Timestamp;
use proptest::prelude::*;
use tempfile::TempDir;
use truing_job::journal::{
    Event, FoldError, Header, Journal, JournalError, Logged, Recovered, fold, read, unfold,
};
use truing_job::{
    Bypass, Closed, Entry, JobSheet, Photo, Remark, SheetFormat, read_sheet, write_json, write_toml,
};

fn reading(path: &str, value: &str) -> Event {
    let entry = Entry { path: path.to_owned(), value: value.to_owned(), ..Entry::default() };
    Event::Reading { round: 0, entry }
}

fn round(name: &str) -> Event {
    Event::NextRound { name: name.to_owned(), time: None }
}

fn header() -> Header {
    Header { job: Some("PL-0799".to_owned()), ..Header::default() }
}

fn place() -> (TempDir, PathBuf) {
    // In memory where there is such a place: each entry is synced, and disks take their time.
    let memory = Path::new("/dev/shm");
    let dir = if memory.is_dir() { tempfile::tempdir_in(memory) } else { tempfile::tempdir() };
    let dir = dir.unwrap();
    let path = dir.path().join("PL-0799.journal");
    (dir, path)
}

/// A journal with a round and what was done in it, closed again.
fn written(path: &Path) -> Vec<Logged> {
    let mut journal = Journal::create(path, header()).unwrap();
    let remark = Remark { text: "שלום \u{1b}[2J\n12 Ω".to_owned(), ..Remark::default() };
    for event in [
        round("as found"),
        reading("battery_rest", "12.71 V"),
        Event::Remark { round: 0, remark },
        reading("battery_rest", "12.66 V"),
        Event::Undo { of: 5 },
        Event::Complaint { text: "no lights ".repeat(30) },
    ] {
        journal.append(event).unwrap();
    }
    journal.entries().to_vec()
}

/// Files beside the journal, by their names.
fn beside(path: &Path) -> Vec<String> {
    let names = fs::read_dir(path.parent().unwrap()).unwrap();
    let mut names: Vec<_> =
        names.map(|it| it.unwrap().file_name().into_string().unwrap()).collect();
    names.sort();
    names
}

#[test]
fn what_was_appended_is_there_when_it_is_opened_again() {
    let (_dir, path) = place();
    let entries = written(&path);
    let opened = Journal::open(&path).unwrap();
    assert_eq!(opened.torn, None);
    assert_eq!(opened.journal.entries(), entries);
    assert_eq!(opened.sheet.rounds[0].readings[0].value, "12.71 V");
    assert_eq!(opened.sheet.job.as_deref(), Some("PL-0799"));
    assert_eq!(opened.sheet, fold(&entries).unwrap());
    drop(opened);
    assert_eq!(beside(&path), ["PL-0799.journal"]);
}

#[test]
fn truncated_at_every_length_it_keeps_every_whole_entry_and_sets_the_rest_aside() {
    let (_dir, path) = place();
    let entries = written(&path);
    let whole = fs::read(&path).unwrap();
    let ends: Vec<usize> =
        whole.iter().enumerate().filter(|(_, b)| **b == b'\n').map(|(at, _)| at + 1).collect();
    assert_eq!(ends.len(), entries.len());
    for length in 0..=whole.len() {
        let (dir, path) = place();
        fs::write(&path, &whole[..length]).unwrap();
        let kept = ends.iter().filter(|end| **end <= length).count();
        let torn = &whole[ends[..kept].last().copied().unwrap_or(0)..length];
        let mut opened = Journal::open(&path).unwrap();
        assert_eq!(opened.journal.entries(), &entries[..kept], "{length}");
        match &opened.torn {
            None => assert!(torn.is_empty(), "{length}"),
            Some(told) => {
                assert_eq!(told.path, dir.path().join("PL-0799.journal.torn-1"));
                assert_eq!((told.line, told.bytes), (kept + 1, torn.len()));
                assert_eq!(fs::read(&told.path).unwrap(), torn, "{length}");
            }
        }
        let next = if kept == 0 { Event::Opened(header()) } else { round("as left") };
        assert_eq!(opened.journal.append(next).unwrap(), kept as u64 + 1);
        drop(opened);
        assert_eq!(read(&path).unwrap().entries.len(), kept + 1, "{length}");
    }
}

#[test]
fn garbage_in_place_of_the_last_entry_is_set_aside_and_a_second_one_as_well() {
    let (dir, path) = place();
    let entries = written(&path);
    for (number, garbage) in
        [&b"\0\0\0\0"[..], b"{\"form\":1}\n", b"\xFF\xFE\n"].into_iter().enumerate()
    {
        let mut bytes = fs::read(&path).unwrap();
        bytes.extend_from_slice(garbage);
        fs::write(&path, &bytes).unwrap();
        let opened = Journal::open(&path).unwrap();
        assert_eq!(opened.journal.entries(), entries);
        let aside = dir.path().join(format!("PL-0799.journal.torn-{}", number + 1));
        assert_eq!(opened.torn.unwrap().path, aside);
        assert_eq!(fs::read(aside).unwrap(), garbage);
    }
}

#[test]
fn who_only_looks_changes_nothing() {
    let (_dir, path) = place();
    let entries = written(&path);
    let mut bytes = fs::read(&path).unwrap();
    bytes.extend_from_slice(b"{\"form\":1,\"seq");
    fs::write(&path, &bytes).unwrap();
    let Recovered { entries: found, torn, sheet, .. } = read(&path).unwrap();
    assert_eq!((found.as_slice(), torn.unwrap().len()), (&entries[..], 14));
    assert_eq!(sheet, fold(&entries).unwrap());
    assert_eq!(fs::read(&path).unwrap(), bytes);
    assert_eq!(beside(&path), ["PL-0799.journal"]);
}

#[test]
fn damage_before_the_end_is_an_error_with_its_line() {
    let (_dir, path) = place();
    let entries = written(&path);
    let whole = fs::read(&path).unwrap();
    let last = entries.len();
    let mut line = 1;
    for at in 0..whole.len() {
        if line == last {
            break;
        }
        for change in [1u8, 0x80] {
            let mut bytes = whole.clone();
            bytes[at] ^= change;
            fs::write(&path, &bytes).unwrap();
            let error = Journal::open(&path).unwrap_err();
            let JournalError::Broken { line: told, .. } = &error else { panic!("{at}: {error}") };
            // A line that was cut in two is told at the first half of it.
            assert_eq!(*told, line, "{at}: {error}");
            assert_eq!(fs::read(&path).unwrap(), bytes, "{at}");
        }
        line += usize::from(whole[at] == b'\n');
    }
    assert_eq!(beside(&path), ["PL-0799.journal"]);
}

#[test]
fn a_line_taken_out_put_in_twice_or_written_by_a_newer_program_is_told() {
    let (_dir, path) = place();
    written(&path);
    let whole = fs::read_to_string(&path).unwrap();
    let lines: Vec<&str> = whole.split_inclusive('\n').collect();
    let opened = |lines: &[&str]| {
        fs::write(&path, lines.concat()).unwrap();
        Journal::open(&path).unwrap_err().to_string()
    };
    let without = opened(&[&lines[..2], &lines[3..]].concat());
    assert!(without.contains(":3: ") && without.contains("numbered 4, and 3 is due"), "{without}");
    let twice = opened(&[&lines[..3], &lines[2..]].concat());
    assert!(twice.contains(":4: ") && twice.contains("numbered 3, and 4 is due"), "{twice}");
    let newer = lines[3].replace("\"form\":1", "\"form\":2").replace("reading", "unheard-of");
    let newer = opened(&[&lines[..3], &[newer.as_str()], &lines[4..]].concat());
    assert!(newer.contains(":4: ") && newer.contains("newer"), "{newer}");
}

#[test]
fn what_is_taken_back_stays_in_the_journal_and_can_be_put_back() {
    let (_dir, path) = place();
    let mut journal = Journal::create(&path, header()).unwrap();
    journal.append(round("as found")).unwrap();
    let first = journal.append(reading("a", "1 V")).unwrap();
    let second = journal.append(reading("a", "2 V")).unwrap();
    let value = |journal: &Journal| {
        let readings = &journal.sheet().rounds[0].readings;
        readings.first().map(|entry| entry.value.clone())
    };
    assert_eq!(value(&journal).as_deref(), Some("2 V"));
    let undo = journal.append(Event::Undo { of: second }).unwrap();
    assert_eq!(value(&journal).as_deref(), Some("1 V"));
    journal.append(Event::Undo { of: first }).unwrap();
    assert_eq!(value(&journal), None);
    journal.append(Event::Undo { of: undo }).unwrap();
    assert_eq!(value(&journal).as_deref(), Some("2 V"));
    assert_eq!(journal.entries().len(), 7);
    let sheet = journal.sheet().clone();
    drop(journal);
    assert_eq!(Journal::open(&path).unwrap().sheet, sheet);
}

#[test]
fn an_entry_that_makes_no_sense_is_refused_before_it_is_written() {
    let (_dir, path) = place();
    let mut journal = Journal::create(&path, header()).unwrap();
    journal.append(round("as found")).unwrap();
    journal.append(reading("a", "1 V")).unwrap();
    let before = fs::read(&path).unwrap();
    let photo = |path: &str| Event::Photo {
        round: 0,
        photo: Photo { path: path.to_owned(), ..Photo::default() },
    };
    let timed = Entry { path: "a".to_owned(), time: Some("noon".to_owned()), ..Entry::default() };
    let dated = Closed { date: Some("today".to_owned()), ..Closed::default() };
    for event in [
        Event::Opened(header()),
        Event::Reading { round: 1, entry: Entry::default() },
        Event::Undo { of: 1 },
        Event::Undo { of: 4 },
        Event::Undo { of: 0 },
        // The reading of entry 3 would stand in no round.
        Event::Undo { of: 2 },
        Event::BypassRemoved { name: "seat switch".to_owned() },
        photo("../a.jpg"),
        photo("/etc/passwd"),
        Event::Reading { round: 0, entry: timed },
        Event::Remark { round: 0, remark: Remark::default() },
        Event::Closed(dated),
    ] {
        let error = journal.append(event.clone()).unwrap_err();
        assert!(matches!(error, JournalError::Refused(_)), "{event:?}: {error}");
        assert_eq!(error.to_string().lines().count(), 1);
        assert_eq!(fs::read(&path).unwrap(), before, "{event:?}");
    }
    assert_eq!(journal.append(reading("a", "2 V")).unwrap(), 4);
}

#[test]
fn a_bypass_that_is_off_again_is_known_to_be() {
    let (_dir, path) = place();
    let mut journal = Journal::create(&path, header()).unwrap();
    journal.append(round("as found")).unwrap();
    let bypass = Bypass { what: "seat switch bridged".to_owned(), ..Bypass::default() };
    journal.append(Event::Bypass { round: 0, bypass: bypass.clone() }).unwrap();
    assert!(!journal.sheet().rounds[0].bypasses[0].removed);
    let name = bypass.what;
    journal.append(Event::BypassRemoved { name: name.clone() }).unwrap();
    assert!(journal.sheet().rounds[0].bypasses[0].removed);
    let again = journal.append(Event::BypassRemoved { name }).unwrap_err();
    assert!(matches!(again, JournalError::Refused(FoldError::NoBypass { .. })));
}

#[test]
fn a_clock_that_went_backwards_changes_no_order_and_is_noted() {
    let (_dir, path) = place();
    let mut journal = Journal::create(&path, header()).unwrap();
    let at = |hour: i64| Timestamp::from_second(4_000_000_000 + hour * 3600).unwrap();
    journal.append_at(round("as found"), at(100)).unwrap();
    journal.append_at(reading("a", "1 V"), at(101)).unwrap();
    journal.append_at(reading("a", "2 V"), at(99)).unwrap();
    journal.append_at(reading("b", "3 V"), at(99)).unwrap();
    drop(journal);
    let opened = Journal::open(&path).unwrap();
    assert_eq!(opened.journal.went_backwards(), [4]);
    assert_eq!(opened.sheet.rounds[0].readings[0].value, "2 V");
    let numbers: Vec<u64> = opened.journal.entries().iter().map(|it| it.sequence).collect();
    assert_eq!(numbers, [1, 2, 3, 4, 5]);
}

#[test]
fn a_journal_is_created_once_and_is_missed_where_there_is_none() {
    let (dir, path) = place();
    drop(Journal::create(&path, header()).unwrap());
    let before = fs::read(&path).unwrap();
    let again = Journal::create(&path, header()).unwrap_err().to_string();
    assert!(again.ends_with("the journal cannot be created: there is one already"), "{again}");
    assert_eq!(fs::read(&path).unwrap(), before);
    let gone = Journal::open(&dir.path().join("gone.journal")).unwrap_err().to_string();
    assert!(gone.ends_with("there is no such file or folder"), "{gone}");
    assert!(Journal::open(dir.path()).is_err());
}

fn back(sheet: &JobSheet, text: &str, format: SheetFormat) -> JobSheet {
    match read_sheet("sheet", text, format) {
        Ok(sheet) => sheet.content(),
        Err(errors) => panic!("{errors:#?}\n{text}\n{sheet:#?}"),
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 256, failure_persistence: None, ..Default::default() })]

    #[test]
    fn any_sheet_reads_back_as_it_was_written(sheet in support::sheets()) {
        prop_assert_eq!(&back(&sheet, &write_toml(&sheet), SheetFormat::Toml), &sheet);
        prop_assert_eq!(&back(&sheet, &write_json(&sheet), SheetFormat::Json), &sheet);
    }

    #[test]
    fn any_sheet_is_the_fold_of_its_journal(sheet in support::sheets()) {
        let (_dir, path) = place();
        let mut events = unfold(&sheet).into_iter();
        let Some(Event::Opened(header)) = events.next() else { panic!("no header") };
        let mut journal = Journal::create(&path, header).unwrap();
        for event in events {
            journal.append(event).unwrap();
        }
        prop_assert_eq!(journal.sheet(), &sheet);
        let entries = journal.entries().to_vec();
        drop(journal);
        let again = read(&path).unwrap();
        prop_assert_eq!(&again.entries, &entries);
        prop_assert_eq!(&again.sheet, &sheet);
    }

    #[test]
    fn any_bytes_are_a_journal_or_refused(bytes in prop::collection::vec(any::<u8>(), 0..200)) {
        let (_dir, path) = place();
        fs::write(&path, &bytes).unwrap();
        if let Ok(opened) = Journal::open(&path) {
            prop_assert_eq!(opened.torn.map_or(0, |torn| torn.bytes), bytes.len());
        }
    }
}
