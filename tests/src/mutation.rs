//! The kinds of mistake that are put into good specs: where each can stand, what it does to the
//! text, and which findings must come of it.

use std::ops::Range;

use crate::token::{Piece, Token, TokenKind};

/// A mistake that can be made in one item.
#[derive(Clone, Debug)]
pub struct Mutation {
    /// Which kind of mistake.
    pub kind: MistakeKind,
    /// What is replaced; empty at the end of the file for an item that is added.
    pub replace: Range<usize>,
    /// By what.
    pub by: String,
}

macro_rules! mistakes {
    ($($kind:ident $slugs:tt $find:ident $doc:literal;)*) => {
        /// The kinds of mistake.
        #[derive(Copy, Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
        pub enum MistakeKind { $(#[doc = $doc] $kind),* }

        impl MistakeKind {
            /// All of them.
            pub const ALL: &[MistakeKind] = &[$(MistakeKind::$kind),*];

            /// The findings of which one must come.
            #[must_use]
            pub fn slugs(self) -> &'static [&'static str] {
                match self { $(MistakeKind::$kind => &$slugs),* }
            }

            /// Every way to make this mistake in an item.
            #[must_use]
            pub fn places(self, place: &Place<'_>) -> Vec<(Range<usize>, String)> {
                match self { $(MistakeKind::$kind => $find(place)),* }
            }
        }
    };
}

mistakes! {
    OtherDimension ["unit-mismatch", "kind-mismatch"] other_dimension "A unit of another dimension.";
    NoUnit ["unit-missing"] no_unit "A unit forgotten.";
    UnknownUnit ["unknown-unit", "unit-look-alike"] unknown_unit "A unit misspelt.";
    UpsideDown ["upside-down-interval", "printed-units-disagree"] upside_down "The ends of a range changed places.";
    FallingCurve ["curve-not-rising"] falling_curve "Two points of a curve changed places.";
    PrintedTwice ["printed-units-disagree"] printed_twice "A slip in the second unit.";
    DecimalComma ["decimal-comma"] decimal_comma "A decimal comma.";
    MisspeltName ["undefined-name", "unknown-member"] misspelt_name "A name misspelt where it is used.";
    UnknownKind ["unknown-kind"] unknown_kind "A kind misspelt.";
    OtherKind ["kind-mismatch", "unit-mismatch"] other_kind "A reading of another kind than its limit.";
    UnknownWord ["word-unknown"] unknown_word "A word that cannot be seen.";
    OtherFamily ["wrong-index", "unknown-member"] other_family "An index of another family.";
    RepeatedMember ["family-repeats"] repeated_member "A member named twice.";
    DefinedTwice ["defined-twice"] defined_twice "An item that stands twice.";
    NeverUsed ["never-used"] never_used "A document that nothing cites.";
    NoSource ["limit-without-source"] no_source "A limit without its source.";
    LeftOpen ["limit-open"] left_open "A limit that is not filled.";
    NoColon ["syntax"] no_colon "A colon forgotten.";
    NoEquals ["syntax"] no_equals "An equals sign forgotten.";
    NoQuote ["unclosed", "syntax"] no_quote "A closing quote forgotten.";
    NoBrace ["unclosed", "syntax"] no_brace "A closing brace forgotten.";
    UnknownItem ["unknown-item"] unknown_item "The word that begins an item misspelt.";
    UnknownMember ["syntax"] unknown_line "The word that begins a line misspelt.";
    Chained ["chained-comparison"] chained "Two comparisons in a row.";
    AfterStop ["step-unreachable"] after_stop "A step behind a stop.";
    UnknownOutcome ["syntax"] unknown_outcome "An outcome that is none.";
    NoOf ["syntax"] no_of "Odds without `of`.";
}

impl MistakeKind {
    /// Whether the finding needs what other items say, so that a mistake there may hide it.
    #[must_use]
    pub fn leans_on_others(self) -> bool {
        matches!(self, Self::OtherKind | Self::UnknownWord | Self::OtherFamily)
    }

    /// Whether the finding stands in the items that use this one.
    #[must_use]
    pub fn shows_elsewhere(self) -> bool {
        self == Self::OtherKind
    }

    /// Whether the mistake is a new item at the end of the file.
    #[must_use]
    pub fn adds_an_item(self) -> bool {
        matches!(self, Self::DefinedTwice | Self::NeverUsed)
    }
}

/// An item in which a mistake may be made, and the file around it.
#[derive(Copy, Clone, Debug)]
pub struct Place<'a> {
    /// The item.
    pub piece: &'a Piece<'a>,
    /// All items of the file.
    pub all: &'a [Piece<'a>],
    /// The whole text.
    pub text: &'a str,
}

type Edits = Vec<(Range<usize>, String)>;

impl<'a> Place<'a> {
    fn tokens(&self) -> &'a [Token<'a>] {
        &self.piece.tokens
    }

    fn is(&self, keywords: &[&str]) -> bool {
        keywords.contains(&self.piece.keyword())
    }

    fn units(&self) -> impl Iterator<Item = &'a Token<'a>> {
        self.tokens().iter().filter(|token| token.kind == TokenKind::Unit)
    }

    fn word(&self, text: &str) -> Option<&'a Token<'a>> {
        self.tokens().iter().find(|token| token.kind == TokenKind::Word && token.text == text)
    }

    fn sign(&self, text: &str) -> Option<&'a Token<'a>> {
        self.tokens().iter().find(|token| token.kind == TokenKind::Sign && token.text == text)
    }

    fn has(&self, text: &str) -> bool {
        self.tokens().iter().any(|token| token.text == text)
    }

    /// The token behind the colon that stands before any `=` or `{`.
    fn behind_colon(&self) -> Option<&'a Token<'a>> {
        let head = self.tokens().iter().take_while(|token| !["=", "{"].contains(&token.text));
        head.skip_while(|token| token.text != ":").nth(1)
    }
}

/// The word with two letters changed over.
fn misspelt(word: &str) -> Option<String> {
    let mut letters: Vec<char> = word.chars().collect();
    let at =
        (1..letters.len().saturating_sub(1)).find(|&at| letters.get(at) != letters.get(at + 1))?;
    letters.swap(at, at + 1);
    Some(letters.into_iter().collect())
}

fn other_dimension(place: &Place<'_>) -> Edits {
    if !place.is(&["limit"]) {
        return Vec::new();
    }
    // A unit behind `at` may be of any kind: it says what the limit was given for.
    let condition = place.word("at").map_or(usize::MAX, |at| at.at.start);
    let other = |unit: &str| match unit {
        "V" | "A" | "mA" | "rpm" | "degC" => Some("mm"),
        "mm" | "kPa" | "N.m" => Some("V"),
        "ohm" | "Mohm" | "kohm" => Some("psi"),
        _ => None,
    };
    let units = place.units().filter(|unit| unit.at.start < condition);
    units.filter_map(|unit| Some((unit.at.clone(), other(unit.text)?.to_owned()))).collect()
}

fn no_unit(place: &Place<'_>) -> Edits {
    let single = place.units().count() == 1;
    if !place.is(&["limit"]) || !(single || place.has("by")) {
        return Vec::new();
    }
    place
        .units()
        .filter(|unit| unit.text != "%")
        .map(|unit| (unit.at.clone(), String::new()))
        .collect()
}

fn unknown_unit(place: &Place<'_>) -> Edits {
    let units = place.units().filter(|unit| unit.text != "%" && !place.is(&["spec"]));
    units.map(|unit| (unit.at.clone(), format!("{}q", unit.text))).collect()
}

/// `NUMBER .. NUMBER`, the ends changed over.
fn upside_down(place: &Place<'_>) -> Edits {
    if !place.is(&["limit", "reading"]) {
        return Vec::new();
    }
    let ranges = place.tokens().windows(4).filter_map(|four| match four {
        [sign, low, dots, high] if dots.text == ".." && high.kind == TokenKind::Number => {
            let swapped = format!("{} .. {}", high.text, low.text);
            let plain = low.kind == TokenKind::Number && sign.text != "-";
            plain.then_some((low.at.start..high.at.end, swapped))
        }
        _ => None,
    });
    ranges.collect()
}

fn falling_curve(place: &Place<'_>) -> Edits {
    if !place.is(&["limit"]) || !place.has("by") {
        return Vec::new();
    }
    let points: Vec<&Token<'_>> = place
        .tokens()
        .windows(3)
        .filter_map(|three| match three {
            [number, unit, colon] if unit.kind == TokenKind::Unit && colon.text == ":" => {
                Some(number)
            }
            _ => None,
        })
        .collect();
    let swapped = points.windows(2).filter_map(|pair| {
        let [first, second] = pair else { return None };
        let between = place.text.get(first.at.end..second.at.start)?;
        let by = format!("{}{between}{}", second.text, first.text);
        Some((first.at.start..second.at.end, by))
    });
    swapped.collect()
}

/// The figures in the parentheses behind a limit, ten times too large.
fn printed_twice(place: &Place<'_>) -> Edits {
    if !place.is(&["limit"]) || place.has("when") {
        return Vec::new();
    }
    let open = place.tokens().iter().position(|token| token.text == "(");
    let inside = place.tokens().iter().skip(open.unwrap_or(usize::MAX));
    let inside = inside.take_while(|token| token.text != ")");
    let last = inside.filter(|token| token.kind == TokenKind::Number).last();
    last.map(|number| (number.at.clone(), format!("9{}", number.text))).into_iter().collect()
}

fn decimal_comma(place: &Place<'_>) -> Edits {
    let numbers = place.tokens().iter().filter(|token| token.kind == TokenKind::Number);
    let decimals = numbers.filter(|number| number.text.contains('.'));
    decimals.map(|number| (number.at.clone(), number.text.replace('.', ","))).collect()
}

fn misspelt_name(place: &Place<'_>) -> Edits {
    let is_name = |word: &str| place.all.iter().any(|piece| piece.name() == word);
    let used = place.tokens().iter().skip(2).filter(|token| {
        token.kind == TokenKind::Word && token.text.len() >= 4 && is_name(token.text)
    });
    used.filter_map(|token| Some((token.at.clone(), misspelt(token.text)?)))
        .filter(|(_, by)| !is_name(by))
        .collect()
}

fn unknown_kind(place: &Place<'_>) -> Edits {
    if !place.is(&["reading", "limit"]) {
        return Vec::new();
    }
    let kind = place.behind_colon().filter(|token| token.kind == TokenKind::Word);
    kind.and_then(|kind| Some((kind.at.clone(), misspelt(kind.text)?))).into_iter().collect()
}

fn other_kind(place: &Place<'_>) -> Edits {
    let judged = |piece: &&Piece<'_>| {
        let words: Vec<_> = piece.tokens.iter().map(|token| token.text).collect();
        let within = words.iter().position(|word| *word == "within");
        let by_name = within.and_then(|at| words.get(at + 1)).is_some_and(|limit| {
            place.all.iter().any(|other| other.keyword() == "limit" && other.name() == *limit)
        });
        piece.keyword() == "check" && by_name && words.contains(&place.piece.name())
    };
    if !place.is(&["reading"]) || !place.all.iter().any(|piece| judged(&piece)) {
        return Vec::new();
    }
    let Some(kind) = place.behind_colon() else { return Vec::new() };
    let other = match kind.text {
        "dc_voltage" => "ac_voltage",
        "ac_voltage" | "diode_drop" => "dc_voltage",
        "torque" => "energy",
        "gauge_pressure" => "absolute_pressure",
        "resistance" => "length",
        "length" => "resistance",
        _ => return Vec::new(),
    };
    vec![(kind.at.clone(), other.to_owned())]
}

fn unknown_word(place: &Place<'_>) -> Edits {
    if !place.is(&["check"]) {
        return Vec::new();
    }
    let is = place.tokens().iter().position(|token| token.text == "is");
    let behind = place.tokens().iter().skip(is.map_or(usize::MAX, |at| at + 1));
    let word = behind.into_iter().find(|token| token.text != "not");
    let word = word.filter(|word| word.kind == TokenKind::Word);
    word.and_then(|word| Some((word.at.clone(), misspelt(word.text)?))).into_iter().collect()
}

fn other_family(place: &Place<'_>) -> Edits {
    if !place.is(&["check", "fault"]) {
        return Vec::new();
    }
    let families = place.all.iter().filter(|piece| piece.keyword() == "family");
    let names: Vec<_> = families.map(Piece::name).collect();
    let rule = place.tokens().iter().position(|token| token.kind == TokenKind::Text);
    let behind = place.tokens().get(rule.unwrap_or(0)..).unwrap_or_default();
    let indices = behind.windows(3).filter_map(|three| match three {
        [open, index, close] if open.text == "[" && close.text == "]" => {
            let other = names.iter().find(|name| **name != index.text)?;
            names.contains(&index.text).then(|| (index.at.clone(), (*other).to_owned()))
        }
        _ => None,
    });
    indices.collect()
}

fn repeated_member(place: &Place<'_>) -> Edits {
    if !place.is(&["family"]) || place.has("pairs") {
        return Vec::new();
    }
    let first = place.tokens().get(3).map(|token| token.text);
    let end = place.piece.at.end;
    first.map(|first| (end..end, format!(", {first}"))).into_iter().collect()
}

fn defined_twice(place: &Place<'_>) -> Edits {
    const NAMED: [&str; 8] =
        ["limit", "reading", "check", "state", "source", "caution", "fix", "fault"];
    let item = place.text.get(place.piece.at.clone()).filter(|_| place.is(&NAMED));
    let end = place.text.len();
    item.map(|item| (end..end, format!("{item}\n"))).into_iter().collect()
}

/// A new document; the item stands for nothing but the number in the new name.
fn never_used(place: &Place<'_>) -> Edits {
    let end = place.text.len();
    let item = format!("source bulletin_{} \"Bulletin\"\n", place.piece.at.start);
    if place.is(&["source"]) { vec![(end..end, item)] } else { Vec::new() }
}

fn no_source(place: &Place<'_>) -> Edits {
    let cite = place.word("cite").filter(|_| place.is(&["limit"]) && !place.has("specified"));
    cite.map(|cite| (cite.at.start..place.piece.at.end, String::new())).into_iter().collect()
}

fn left_open(place: &Place<'_>) -> Edits {
    let equals = place.sign("=").filter(|_| place.is(&["limit"]) && place.behind_colon().is_some());
    equals.map(|equals| (equals.at.start..place.piece.at.end, String::new())).into_iter().collect()
}

fn no_colon(place: &Place<'_>) -> Edits {
    let colon = place.sign(":").filter(|_| place.is(&["reading", "check", "observation", "limit"]));
    colon.map(|colon| (colon.at.clone(), String::new())).into_iter().collect()
}

fn no_equals(place: &Place<'_>) -> Edits {
    let equals = place.sign("=").filter(|_| place.is(&["limit", "derived", "constant", "family"]));
    equals.map(|equals| (equals.at.clone(), String::new())).into_iter().collect()
}

fn no_quote(place: &Place<'_>) -> Edits {
    // A library that is not read takes every name of its own with it.
    let texts = place.tokens().iter().filter(|token| token.kind == TokenKind::Text);
    let texts = texts.filter(|_| !place.is(&["use"]));
    texts.map(|text| (text.at.end - 1..text.at.end, String::new())).collect()
}

fn no_brace(place: &Place<'_>) -> Edits {
    let last = place.tokens().last().filter(|token| token.text == "}");
    last.map(|brace| (brace.at.clone(), String::new())).into_iter().collect()
}

fn unknown_item(place: &Place<'_>) -> Edits {
    let keyword = place.tokens().first().filter(|_| !place.is(&["spec", "library", "use"]));
    keyword.and_then(|word| Some((word.at.clone(), misspelt(word.text)?))).into_iter().collect()
}

fn unknown_line(place: &Place<'_>) -> Edits {
    const LINES: [&str; 9] =
        ["during", "plausible", "reduce", "from", "proves", "part", "odds", "makes", "advise"];
    let item = place.is(&["reading", "state", "fault", "fix", "procedure"]);
    let words = place.tokens().iter().skip(2).filter(|token| item && LINES.contains(&token.text));
    words.filter_map(|word| Some((word.at.clone(), misspelt(word.text)?))).collect()
}

fn chained(place: &Place<'_>) -> Edits {
    if !place.is(&["check"]) || place.has("{") {
        return Vec::new();
    }
    let compared = place.has("<=") || place.has(">=");
    let last = place.units().last().filter(|_| compared);
    last.map(|unit| (unit.at.end..unit.at.end, format!(" <= 90 {}", unit.text)))
        .into_iter()
        .collect()
}

fn after_stop(place: &Place<'_>) -> Edits {
    let last = place.tokens().last().filter(|_| place.is(&["procedure"]));
    let steps = "    stop\n    advise \"Never read.\"\n";
    last.map(|brace| (brace.at.start..brace.at.start, steps.to_owned())).into_iter().collect()
}

fn unknown_outcome(place: &Place<'_>) -> Edits {
    if !place.is(&["case"]) {
        return Vec::new();
    }
    let outcomes = place
        .tokens()
        .iter()
        .filter(|token| ["within", "outside", "worn", "passes"].contains(&token.text));
    outcomes.map(|outcome| (outcome.at.clone(), "fine".to_owned())).collect()
}

fn no_of(place: &Place<'_>) -> Edits {
    let of = place.word("of").filter(|_| place.is(&["fault"]));
    of.map(|of| (of.at.clone(), String::new())).into_iter().collect()
}
