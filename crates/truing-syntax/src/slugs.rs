//! The findings of this crate: their stable names, and what `explain` says of them.

use crate::diagnostic::{Severity, Slug, SlugDoc};

/// The text does not read as the language is written.
pub const SYNTAX: Slug = Slug("syntax");
/// A bracket or a quote without its other half.
pub const UNCLOSED: Slug = Slug("unclosed");
/// A comma between the digits of a number.
pub const DECIMAL_COMMA: Slug = Slug("decimal-comma");
/// `.5` and `5.`.
pub const BARE_POINT: Slug = Slug("bare-point");
/// Signs of other languages and of printed manuals.
pub const FOREIGN_SIGN: Slug = Slug("foreign-sign");
/// A backslash in a text before a letter that has no meaning there.
pub const BAD_ESCAPE: Slug = Slug("bad-escape");
/// A line that begins no item.
pub const UNKNOWN_ITEM: Slug = Slug("unknown-item");
/// `a < b < c`.
pub const CHAINED_COMPARISON: Slug = Slug("chained-comparison");
/// `0L` and the like for `OL`.
pub const OVERLOAD_SPELLING: Slug = Slug("overload-spelling");
/// The same said twice in one place where once is all.
pub const SAID_TWICE: Slug = Slug("said-twice");
/// Brackets inside brackets inside brackets, too many.
pub const NESTED_TOO_DEEP: Slug = Slug("nested-too-deep");
/// An expression with too many operators.
pub const EXPRESSION_TOO_LONG: Slug = Slug("expression-too-long");
/// A name beyond 64 letters.
pub const NAME_TOO_LONG: Slug = Slug("name-too-long");
/// A number with more digits than can be kept.
pub const NUMBER_TOO_LONG: Slug = Slug("number-too-long");
/// An item beyond the largest size.
pub const ITEM_TOO_LONG: Slug = Slug("item-too-long");
/// A file beyond the largest size.
pub const FILE_TOO_LARGE: Slug = Slug("file-too-large");
/// Bytes that are no UTF-8, or a NUL.
pub const NOT_UTF8: Slug = Slug("not-utf8");
/// More findings than anyone reads.
pub const TOO_MANY_FINDINGS: Slug = Slug("too-many-findings");

/// What `explain` says of the findings of this crate, in the order of their names.
#[must_use]
pub fn slugs() -> &'static [SlugDoc] {
    DOCS
}

const fn doc(
    slug: Slug,
    title: &'static str,
    explain: &'static str,
    [wrong, right]: [&'static str; 2],
) -> SlugDoc {
    SlugDoc { slug, severity: Severity::Error, title, explain, wrong, right }
}

static DOCS: &[SlugDoc] = &[
    doc(
        BAD_ESCAPE,
        "a backslash that means nothing",
        "A text knows three escapes: `\\\"` for a quote, `\\\\` for a backslash and `\\n` for \
         a line break. A backslash before anything else is a mistake, most often a path or a \
         formula that was pasted.",
        ["caution hot \"Manual C:\\service\"\n", "caution hot \"Manual C:\\\\service\"\n"],
    ),
    doc(
        BARE_POINT,
        "a decimal point without a digit on both sides",
        "Digits say what a meter showed. `.5` is easily read as `5`, and `5.` leaves open \
         whether a digit was lost; so a decimal point has a digit on both sides.",
        ["limit gap = min .5 mm\n", "limit gap = min 0.5 mm\n"],
    ),
    doc(
        CHAINED_COMPARISON,
        "a comparison of a comparison",
        "A comparison gives true or false, and that has no order. For an interval there is \
         `within`; two comparisons are joined with `and`.",
        [
            "check charges \"Charges\" : 13.6 V < voltage < 14.8 V\n",
            "check charges \"Charges\" : voltage within 13.6 .. 14.8 V\n",
        ],
    ),
    doc(
        DECIMAL_COMMA,
        "a comma between digits",
        "Numbers are written with a decimal point, in every country. A comma between digits \
         could be a decimal comma, could part thousands, or could part two readings: one of \
         the three is meant and the text does not say which. In a list a blank stands behind \
         each comma.",
        ["limit rest_voltage = min 12,4 V\n", "limit rest_voltage = min 12.4 V\n"],
    ),
    doc(
        EXPRESSION_TOO_LONG,
        "an expression with more than 256 operators",
        "An expression may have 256 operators, those in its parentheses counted. Longer ones \
         can be read by nobody: give their parts names.",
        [
            "constant x = -----------------------------------------------------------------------------------------------------------------------------------------------------------------------------------------------------------------------------------------------------------------5\n",
            "family cell = 1, 2, 3\nderived total = sum(cell_voltage)\n",
        ],
    ),
    doc(
        FILE_TOO_LARGE,
        "a file beyond 16 MB",
        "A file of this size is not something a person wrote. Split it into libraries.",
        ["", "use \"std/pm-charging\"\n"],
    ),
    doc(
        FOREIGN_SIGN,
        "a sign that this language does not write",
        "Signs from programming languages, word processors and printed pages, where this \
         language has another: `and` for `&&`, `or` for `||`, `not` for `!`, `>=` for `=>`, \
         `!=` for `<>`, `==` for `=` in a comparison, `..` for a dash between two figures, \
         `±` or `+-` for `+/-`, straight quotes for curly ones, nothing for `;`. The finding \
         names the one to write.",
        ["limit charge_voltage = 13.6 - 14.8 V;\n", "limit charge_voltage = 13.6 .. 14.8 V\n"],
    ),
    doc(
        ITEM_TOO_LONG,
        "an item beyond 256 kB",
        "One item is one limit, one reading, one procedure. Beyond 256 kB it is read by \
         nobody, and it is not read here.",
        [
            "",
            "limit output = by rotational_speed {\n    1200 rpm : 17 .. 23 V\n    5000 rpm : 60 .. 75 V\n}\n",
        ],
    ),
    doc(
        NAME_TOO_LONG,
        "a name with more than 64 letters",
        "A name is for the author, its title for the reader. Put the words into the title.",
        [
            "state the_engine_is_off_and_the_connector_of_the_alternator_has_been_unplugged \"Off\"\n",
            "state unplugged \"Engine off, alternator connector unplugged\"\n",
        ],
    ),
    doc(
        NESTED_TOO_DEEP,
        "brackets too deep inside each other",
        "Brackets may stand 128 deep inside each other, and an `if` may have 128 branches. \
         Give parts of an expression names with `derived`, and split a procedure.",
        [
            "constant x = (((((((((((((((((((((((((((((((((((((((((((((((((((((((((((((((((((((((((((((((((((((((((((((((((((((((((((((((((((((((((((((((((5)))))))))))))))))))))))))))))))))))))))))))))))))))))))))))))))))))))))))))))))))))))))))))))))))))))))))))))))))))))))))))))))))\n",
            "derived drop = battery_rest - running_voltage\n",
        ],
    ),
    doc(
        NOT_UTF8,
        "a file that is no UTF-8 text",
        "Files are UTF-8. An older editor may have saved the file in the code page of its \
         country, or as UTF-16; a NUL byte says that it is no text at all. Save it as UTF-8.",
        ["", "limit oil = max 120 °C\n"],
    ),
    doc(
        NUMBER_TOO_LONG,
        "a number with more digits than are kept",
        "A number may have 30 digits, and its last digit may stand between 10^-30 and 10^30. \
         No instrument shows more.",
        [
            "constant turn = 3.14159265358979323846264338327950288 rad\n",
            "constant turn = 6.283185307 rad\n",
        ],
    ),
    doc(
        OVERLOAD_SPELLING,
        "`OL` spelt with a digit",
        "A reading above the range is `OL`, with two letters (`O.L` and `ol` are taken too, \
         since displays write so). `0L` would be no litres, and a lone `1 .`, which many \
         meters show, would be one: the finding asks which was seen, since a wrong guess \
         would be a wrong reading.",
        [
            "case open \"Open winding\" {\n    winding = 0L\n}\n",
            "case open \"Open winding\" {\n    winding = OL\n}\n",
        ],
    ),
    doc(
        SAID_TWICE,
        "the same said twice",
        "A limit has one typical value, a range one step and one accuracy; a reading stands in \
         one state and has one `red on`, one `black on`, one plausible range; a fault has one \
         `odds`. The second would silently take the place of the first.",
        [
            "limit output = min 60 V typical 70 V typical 72 V\n",
            "limit output = min 60 V typical 70 V\n",
        ],
    ),
    doc(
        SYNTAX,
        "text that does not read as the language is written",
        "The finding says what could have stood there and what was found. Keywords are \
         written small. An item begins on a line of its own; within it, line breaks mean \
         nothing but that a unit stands on the line of its number.",
        [
            "check charged \"Battery is charged\" battery_rest within rest_voltage\n",
            "check charged \"Battery is charged\" : battery_rest within rest_voltage\n",
        ],
    ),
    doc(
        TOO_MANY_FINDINGS,
        "more findings than anyone reads",
        "After 500 findings a file is read no further: it is most likely no file of this \
         language.",
        ["", "library pm_charging \"Charging system\"\n"],
    ),
    doc(
        UNCLOSED,
        "a bracket or a quote that is never closed",
        "A text ends on the line on which it begins. A bracket ends within its item: where \
         one was forgotten, the item is taken to end before the next line that begins, at the \
         very left, like an item.",
        [
            "state at_rest \"Engine off\" {\n    takes 30 min\n",
            "state at_rest \"Engine off\" {\n    takes 30 min\n}\n",
        ],
    ),
    doc(
        UNKNOWN_ITEM,
        "a line that begins no item",
        "A file is a row of items, and each begins with one of the words for items. The \
         nearest one is named where there is one.",
        ["limmit rest_voltage = min 12.4 V\n", "limit rest_voltage = min 12.4 V\n"],
    ),
];

#[cfg(test)]
mod tests {
    use super::*;
    use crate::span::FileId;

    #[test]
    fn examples_do_what_they_say() {
        for doc in slugs() {
            let right = crate::parse(FileId(0), doc.right).findings;
            assert!(right.is_empty(), "{}: {right:#?}", doc.slug.0);
            if !doc.wrong.is_empty() {
                let wrong = crate::parse(FileId(0), doc.wrong).findings;
                assert!(wrong.iter().any(|found| found.slug() == doc.slug), "{}", doc.slug.0);
            }
        }
        // A file of 16 MB, bytes that are no text and 500 mistakes are not printed.
        let unprinted = slugs().iter().filter(|doc| doc.wrong.is_empty()).count();
        assert_eq!(unprinted, 4);
    }

    #[test]
    fn names_are_sorted_and_said_once() {
        assert!(slugs().windows(2).all(|pair| pair[0].slug < pair[1].slug));
    }
}
