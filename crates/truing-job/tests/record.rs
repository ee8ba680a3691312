//! A job's record besides its readings: what is read, what is refused, what older sheets become.
//! Jobs, machines, names and prices are invented.

#![expect(clippy::unwrap_used, reason = "a test fails by panicking")]

use truing_job::{JobSheet, SheetError, SheetFormat, VERSION, read_sheet, write_json, write_toml};

const RECORD: &str = r#"version = 2
job = "PL-0702"
spec = "ostrevik_hauler_680"
edition = "2026-11"
spec_hash = "sha256:0123456789abcdef0123456789abcdef0123456789abcdef0123456789abcdef"
date = 2026-11-03
technician = "T1"
complaint = "no lights"
shows = "hot_run"
decide = "at 99.73 %"
meter = ["CL", "M-B"]

[[instrument]]
name = "CL"
profile = "dc_clamp"
calibrated = 2026-03-02

[machine]
model = "Ostrevik Hauler 680"
year = 2023
serial = 3402

[[round]]
name = "as found"
time = 2026-11-03T09:10:00
ambient = "18 degC"
cautions = ["exhaust", "moving_parts"]
skipped = [{ check = "winding_level[U-V]", why = "no four-wire meter" }]
remarks = [
    { text = "one pin loose", time = 2026-11-03T09:20:30, of = "stator_connector" },
    { text = "smells of petrol" },
]
photos = [{ path = "photos/connector.jpg", of = "stator_connector", note = "pin 2" }]
bypasses = [{ what = "seat switch bridged", removed = true }, { what = "fuse wire" }]
[round.readings]
battery_rest = { value = "12.71 V", time = 2026-11-03T09:12:00 }
"to_ground[U]" = "0.5 ohm"

[[round]]
name = "as left"
fitted = ["renew_regulator"]
parts = [
    { name = "regulator-rectifier", number = "OV-31-0700-A", quantity = 2, price = 165.50 },
    { name = "connector" },
]
[[round.correlation]]
readings = ["battery_rest", "voltage_idle"]
coefficient = 0.5
[round.readings]
battery_rest = "12.80 V"

[[judged]]
check = "battery_charged"
limit = "min 12.4 V"
source = "workshop data 1"

[closed]
date = 2026-11-03
reason = "the customer took it"
"#;

fn read(text: &str) -> JobSheet {
    read_sheet("sheet", text, SheetFormat::Toml).unwrap()
}

fn mistakes(text: &str) -> Vec<SheetError> {
    read_sheet("sheet", text, SheetFormat::Toml).unwrap_err()
}

#[test]
fn every_part_of_the_record_is_read_with_its_line() {
    let sheet = read(RECORD);
    assert_eq!((sheet.version, sheet.migrated_from), (VERSION, None));
    assert_eq!(sheet.edition.as_deref(), Some("2026-11"));
    assert!(sheet.spec_hash.as_ref().unwrap().starts_with("sha256:0123"));
    assert_eq!(sheet.shows.as_deref(), Some("hot_run"));
    assert_eq!(sheet.model.as_deref(), Some("Ostrevik Hauler 680"));
    assert_eq!(sheet.year.as_deref(), Some("2023"));
    assert_eq!(sheet.machine.len(), 1);
    assert_eq!(sheet.place_of("machine.year").line, Some(20));
    let found = &sheet.rounds[0];
    assert_eq!(found.time.as_deref(), Some("2026-11-03T09:10:00"));
    assert_eq!(found.cautions, ["exhaust", "moving_parts"]);
    assert_eq!(found.cautions_place.line, Some(27));
    let skipped = &found.skipped[0];
    assert_eq!(
        (skipped.check.as_str(), skipped.why.as_str()),
        ("winding_level[U-V]", "no four-wire meter")
    );
    assert_eq!(found.remarks[0].of.as_deref(), Some("stator_connector"));
    assert_eq!(found.remarks[0].time.as_deref(), Some("2026-11-03T09:20:30"));
    assert_eq!(found.remarks[1].place.line, Some(31));
    assert_eq!(found.photos[0].path, "photos/connector.jpg");
    assert_eq!(found.photos[0].note.as_deref(), Some("pin 2"));
    let removed: Vec<bool> = found.bypasses.iter().map(|it| it.removed).collect();
    assert_eq!(removed, [true, false]);
    assert_eq!(found.readings[0].time.as_deref(), Some("2026-11-03T09:12:00"));
    let parts = &sheet.rounds[1].parts;
    assert_eq!(parts[0].number.as_deref(), Some("OV-31-0700-A"));
    assert_eq!((parts[0].quantity, parts[0].price.as_deref()), (2, Some("165.50")));
    assert_eq!((parts[1].quantity, parts[1].price.as_deref()), (1, None));
    assert_eq!(sheet.judged[0].limit, "min 12.4 V");
    assert_eq!(sheet.closed.as_ref().unwrap().reason.as_deref(), Some("the customer took it"));
}

#[test]
fn what_is_written_reads_back_the_same_in_both_formats() {
    let sheet = read(RECORD);
    let toml = write_toml(&sheet);
    assert_eq!(read(&toml).content(), sheet.content(), "{toml}");
    assert_eq!(write_toml(&read(&toml)), toml);
    let json = write_json(&sheet);
    let back = read_sheet("sheet", &json, SheetFormat::Json).unwrap();
    assert_eq!(back.content(), sheet.content(), "{json}");
}

#[test]
fn what_is_written_is_written_for_people() {
    let sheet = read(
        "date = 2026-11-03\n[machine]\nyear = 2023\nserial = 3402\n[[round]]\n\
         parts = [{ name = \"battery\", price = \"89.00\" }]\n[round.readings]\n\
         battery_rest = \"12.71 V\"\n\"to_ground[U]\" = { value = \"OL\", range = \"60 Mohm\" }\n",
    );
    let expected = r#"version = 2
date = 2026-11-03

[machine]
year = 2023
serial = 3402

[[round]]
name = "round 1"
parts = [
    { name = "battery", quantity = 1, price = 89.00 },
]
[round.readings]
battery_rest = "12.71 V"
"to_ground[U]" = { value = "OL", range = "60 Mohm" }
"#;
    assert_eq!(write_toml(&sheet), expected);
}

#[test]
fn a_sheet_without_a_version_is_of_the_first_and_opens() {
    let old =
        read("date = \"2026-11-03\"\nnote = \"dry\"\n[readings]\nbattery_rest = \"12.71 V\"\n");
    assert_eq!((old.version, old.migrated_from), (VERSION, Some(1)));
    assert_eq!(old.date.as_deref(), Some("2026-11-03"));
    assert_eq!(old.note.as_deref(), Some("dry"));
    let said = read("version = 1\n[readings]\n");
    assert_eq!((said.version, said.migrated_from), (VERSION, Some(1)));
    let json = read_sheet("sheet", "{\"readings\": {}}", SheetFormat::Json).unwrap();
    assert_eq!(json.migrated_from, Some(1));
}

#[test]
fn a_date_of_version_1_in_other_words_is_kept_in_the_note() {
    let old = read("date = \"3rd of November\"\n[readings]\n");
    assert_eq!((old.date, old.note.as_deref()), (None, Some("Date as written: 3rd of November")));
    let noted = read("note = \"dry\"\ndate = \"last week\"\n[readings]\n");
    assert_eq!(noted.note.as_deref(), Some("dry\nDate as written: last week"));
    let now = mistakes("version = 2\ndate = \"last week\"\n[readings]\n");
    assert_eq!((now[0].slug.0, now[0].line), ("sheet-time", Some(2)));
}

#[test]
fn a_sheet_of_a_newer_version_is_refused_and_nothing_else_is_guessed_at() {
    let found = mistakes("version = 3\nnew_key = 1\n[readings]\nvolts = true\n");
    assert_eq!(found.len(), 1, "{found:#?}");
    assert_eq!((found[0].slug.0, found[0].line), ("sheet-version", Some(1)));
    assert_eq!(
        found[0].message,
        "the sheet is of version 3, and this program reads versions 1 to 2"
    );
    for version in ["0", "-1", "1.5", "\"2\"", "true", "99999999999999999999", "{ a = 1 }"] {
        let found = mistakes(&format!("version = {version}\n[readings]\n"));
        assert!(!found.is_empty() && found.len() == 1, "{version}: {found:#?}");
        assert!(matches!(found[0].slug.0, "sheet-version" | "sheet-syntax"), "{version}");
    }
}

#[test]
fn a_record_edited_into_nonsense_is_told_line_by_line() {
    let found = mistakes(
        r#"version = 2
spec_hash = "sha256:12"
date = "2026-13-01"
shows = true
closed = "yes"

[[round]]
time = "ten past nine"
parts = [
    { number = "1" },
    { name = "a", quantity = 0 },
    { name = "a", quantity = 1.5 },
    { name = "a", price = "12,50" },
    { name = "a", price = -3 },
    { name = "a", cost = 3 },
]
cautions = { a = 1 }
skipped = [{ check = "a" }, { why = "b" }, "a"]
remarks = [{ text = "" }, { text = "a", time = 2026-11-03 }]
photos = [{ path = "../a.jpg" }, { of = "a" }, { path = "C:\\a.jpg" }, { path = "http://host/a" }]
bypasses = [{ removed = true }, { what = "a", removed = "no" }]
[round.readings]
battery_rest = { value = "12.7 V", time = "noon" }
[[judged]]
check = "a"
"#,
    );
    let brief: Vec<_> = found.iter().map(|it| (it.slug.0, it.line.unwrap())).collect();
    let expected = [
        ("spec-hash", 2),
        ("sheet-time", 3),
        ("sheet-shape", 4),
        ("sheet-shape", 5),
        ("sheet-time", 8),
        ("sheet-shape", 10),
        ("part-amount", 11),
        ("part-amount", 12),
        ("part-amount", 13),
        ("part-amount", 14),
        ("unknown-key", 15),
        ("sheet-shape", 17),
        ("sheet-shape", 18),
        ("sheet-shape", 18),
        ("sheet-shape", 18),
        ("sheet-shape", 19),
        ("sheet-time", 19),
        ("photo-path", 20),
        ("sheet-shape", 20),
        ("photo-path", 20),
        ("photo-path", 20),
        ("sheet-shape", 21),
        ("sheet-shape", 21),
        ("sheet-time", 23),
        ("sheet-shape", 24),
    ];
    assert_eq!(brief, expected, "{found:#?}");
    assert!(found.iter().all(|mistake| mistake.to_string().lines().count() == 1));
}

#[test]
fn any_script_any_length_and_any_sign_is_kept_as_it_was_said() {
    // Arabic and Hebrew go from right to left; U+202E turns the direction; ESC moves a cursor.
    let said = [
        "مصباح الشحن مضاء ".repeat(600),
        "האופנוע לא מתניע \u{202E}abc".to_owned(),
        "x".repeat(10_000),
        "\u{1b}[2J\u{1b}]0;title\u{7} a\tb\r\nc\\d \"e\" 'f' \u{0} \u{7f} \u{85}".to_owned(),
        "'''\"\"\"".to_owned(),
        String::new(),
    ];
    for complaint in said {
        let sheet = JobSheet { complaint: Some(complaint), ..read("version = 2\n[readings]\n") };
        assert_eq!(read(&write_toml(&sheet)).content(), sheet.content());
        let json = read_sheet("sheet", &write_json(&sheet), SheetFormat::Json).unwrap();
        assert_eq!(json.content(), sheet.content());
    }
}
