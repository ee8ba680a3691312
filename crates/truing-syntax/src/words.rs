//! The words of the language, for the scanner, for hints and for the nearest word.

/// The words that begin an item.
pub(crate) const ITEM_WORDS: &[&str] = &[
    "spec",
    "library",
    "source",
    "use",
    "family",
    "property",
    "kind",
    "unit",
    "limit",
    "constant",
    "instrument",
    "caution",
    "state",
    "reading",
    "observation",
    "derived",
    "check",
    "fault",
    "fix",
    "learned",
    "procedure",
    "case",
];

/// Words besides those that are never names: they end or join what stands before them.
pub(crate) const JOINING_WORDS: &[&str] = &[
    "above",
    "all",
    "and",
    "any",
    "at",
    "below",
    "by",
    "cite",
    "else",
    "fails",
    "if",
    "is",
    "max",
    "min",
    "not",
    "or",
    "otherwise",
    "passes",
    "standard",
    "then",
    "typical",
    "when",
    "whichever",
    "within",
];

/// Words that go on with an item without being reserved.
const GOING_ON: &[&str] = &["mend", "of", "pairs", "service", "specified", "was", "unsteady", "on"];

/// The words that go on with an item.
pub(crate) fn going_on() -> impl Iterator<Item = &'static str> {
    JOINING_WORDS.iter().chain(GOING_ON).copied()
}

/// Whether `word` begins an item.
pub(crate) fn is_item_word(word: &str) -> bool {
    ITEM_WORDS.contains(&word)
}

/// Whether `word` can never be a name.
pub(crate) fn is_reserved(word: &str) -> bool {
    is_item_word(word) || JOINING_WORDS.contains(&word)
}

/// Whether an item may go on with `word` at the beginning of a line.
pub(crate) fn may_continue(word: &str) -> bool {
    is_reserved(word) || GOING_ON.contains(&word)
}
