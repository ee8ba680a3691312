//! Any text: parsing ends without a panic, and what can be formatted keeps its tree.
#![no_main]

use libfuzzer_sys::fuzz_target;
use truing_syntax::{FileId, format, parse, parse_reading};

fuzz_target!(|text: &str| {
    let parsed = parse(FileId(0), text);
    let _ = parse_reading(FileId(0), text);
    if let Ok(laid_out) = format(text) {
        let again = parse(FileId(0), &laid_out);
        assert_eq!(parsed.tree, again.tree, "the formatter changed the tree");
        assert_eq!(format(&laid_out).ok().as_ref(), Some(&laid_out), "not idempotent");
    }
});
