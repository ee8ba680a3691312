//! Any text in any format is read or refused.

use proptest::prelude::*;
use truing_job::{SheetFormat, read_sheet, read_sheet_bytes};

const FORMATS: [SheetFormat; 3] = [SheetFormat::Toml, SheetFormat::Json, SheetFormat::Csv];

/// Pieces of sheets, so that texts get past the first character.
fn pieces() -> impl Strategy<Value = String> {
    let piece = prop_oneof![
        prop::sample::select(vec![
            "[readings]",
            "[[round]]",
            "[round.readings]",
            "[machine]",
            "reading,value",
            "[closed]",
            "[[judged]]",
            "version",
            "photos",
            "parts",
            "cautions",
            "remarks",
            "time",
            "\n",
            "\r\n",
            "\t",
            " ",
            "=",
            ",",
            ";",
            ":",
            "\"",
            "'",
            "{",
            "}",
            "[",
            "]",
            "#",
            "\u{FEFF}",
            "battery_rest",
            "to_ground",
            "U",
            "value",
            "state",
            "range",
            "decide",
            "at 95 %",
            "12.71 V",
            "\"12.71 V\"",
            "OL",
            "1e999",
            "0x10",
            "inf",
            "nan",
            "null",
            "true",
            "2026-11-03",
            "\\ud800",
            "µ",
            "Ω",
            "\0",
        ])
        .prop_map(str::to_owned),
        ".{0,6}",
    ];
    prop::collection::vec(piece, 0..40).prop_map(|pieces| pieces.concat())
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 512, failure_persistence: None, ..Default::default() })]

    #[test]
    fn any_text_is_read_or_refused(text in "\\PC*") {
        for format in FORMATS {
            let _ = read_sheet("sheet", &text, format);
        }
        let _ = SheetFormat::guess(&text);
    }

    #[test]
    fn any_pieces_of_sheets_are_read_or_refused(text in pieces()) {
        for format in FORMATS {
            if let Err(mistakes) = read_sheet("sheet", &text, format) {
                prop_assert!(!mistakes.is_empty());
                for mistake in mistakes {
                    prop_assert_eq!(mistake.to_string().lines().count(), 1, "{:?}", mistake);
                }
            }
        }
    }

    #[test]
    fn any_bytes_are_read_or_refused(bytes in prop::collection::vec(any::<u8>(), 0..200)) {
        let _ = read_sheet_bytes("sheet", &bytes, None);
    }
}
