//! The stable names of what can be wrong with a sheet, and what each means.

use truing_syntax::Slug;
pub use truing_syntax::slugs::OVERLOAD_SPELLING;

macro_rules! slugs {
    ($($(#[$doc:meta])* $name:ident = $slug:literal;)+) => { $(
        $(#[$doc])*
        pub const $name: Slug = Slug($slug);
    )+ };
}

slugs! {
    /// The file is missing or may not be read.
    SHEET_UNREADABLE = "sheet-unreadable";
    /// The file is larger than any sheet.
    SHEET_TOO_LARGE = "sheet-too-large";
    /// The file is not UTF-8.
    SHEET_ENCODING = "sheet-encoding";
    /// There is nothing in the sheet.
    EMPTY_SHEET = "empty-sheet";
    /// The text is not TOML, JSON or CSV.
    SHEET_SYNTAX = "sheet-syntax";
    /// A value has the wrong form for its key.
    SHEET_SHAPE = "sheet-shape";
    /// A key or column that no sheet has.
    UNKNOWN_KEY = "unknown-key";
    /// A key or column that is given twice.
    KEY_TWICE = "key-twice";
    /// The sheet is of a version that this program does not know.
    SHEET_VERSION = "sheet-version";
    /// A date or a time that is none.
    SHEET_TIME = "sheet-time";
    /// A hash of a spec that is none.
    SPEC_HASH = "spec-hash";
    /// A quantity or a price of a part that cannot be.
    PART_AMOUNT = "part-amount";
    /// A path of a photo that may lie outside of the job's folder.
    PHOTO_PATH = "photo-path";
    /// The decision rule is none of the three.
    DECIDE_TEXT = "decide-text";
    /// The sheet was written for another spec.
    SPEC_MISMATCH = "spec-mismatch";
    /// The sheet has no such round.
    NO_SUCH_ROUND = "no-such-round";
    /// A reading that the spec does not have.
    UNKNOWN_READING = "unknown-reading";
    /// A property that the spec does not have.
    UNKNOWN_PROPERTY = "unknown-property";
    /// A member that the reading's family does not have.
    UNKNOWN_MEMBER = "no-such-member";
    /// A reading of a family without its member.
    MEMBER_MISSING = "member-missing";
    /// A reading or property that is given twice.
    READING_TWICE = "reading-twice";
    /// A text that is no reading.
    READING_SYNTAX = "reading-syntax";
    /// A number without its unit.
    READING_UNIT = "reading-without-unit";
    /// A reading of the wrong kind of quantity.
    READING_KIND = "reading-kind";
    /// A lone `1`: the number, or the over-range sign.
    ONE_OR_OVERLOAD = "one-or-overload";
    /// `OL` with a unit that does not say the range.
    OVERLOAD_UNIT = "overload-unit";
    /// NaN or infinity.
    NOT_A_NUMBER = "not-a-number";
    /// A word that cannot be seen there.
    UNKNOWN_WORD = "reading-word";
    /// A state that the spec does not have.
    UNKNOWN_STATE = "unknown-state";
    /// A caution that the spec does not have.
    UNKNOWN_CAUTION = "unknown-caution";
    /// A check that the spec does not have.
    UNKNOWN_CHECK = "unknown-check";
    /// A repair that is none of the spec's fixes.
    UNKNOWN_FIX = "unknown-fix";
    /// An instrument that is not there.
    UNKNOWN_INSTRUMENT = "unknown-instrument";
    /// What is said of how a reading was taken makes no sense.
    METER_USE = "meter-use";
    /// Correlation coefficients that no readings can have.
    CORRELATION = "correlation-impossible";
    /// A property's value that is none of its words, or no number.
    PROPERTY_VALUE = "property-value";
    /// An assignment on the command line that is not `reading=value`.
    ASSIGNMENT = "assignment";
}
