//! Known misspellings: what a reader of other languages or of a maker's manual writes, and what to
//! write here. Each hint looks at the place where the grammar stumbled and either knows it or not.

use crate::diagnostic::Diagnostic;
use crate::expected;
use crate::grammar::Rule;
use crate::lex::TokenKind;
use crate::slugs;
use crate::span::Span;
use crate::stumble::{Stretch, Stumble};
use crate::words;

/// The first hint that knows the place.
pub(crate) fn find(stumble: &Stumble<'_>) -> Option<Diagnostic> {
    const HINTS: &[fn(&Stumble<'_>) -> Option<Diagnostic>] = &[
        open_text,
        bad_escape,
        decimal_comma,
        bare_point,
        foreign_sign,
        odd_character,
        interval,
        one_deviation,
        bare_limit,
        odds_in,
        capital_letters,
        reserved_name,
        misspelt_word,
    ];
    HINTS.iter().find_map(|hint| hint(stumble))
}

fn open_text(s: &Stumble<'_>) -> Option<Diagnostic> {
    (s.kind(0)? == TokenKind::OpenText).then(|| {
        Diagnostic::error(slugs::UNCLOSED, s.span(0), "this text has no closing quote on its line")
            .mend("close it with `\"`; a line break within a text is written `\\n`")
    })
}

fn bad_escape(s: &Stumble<'_>) -> Option<Diagnostic> {
    if s.kind(0)? != TokenKind::Text {
        return None;
    }
    let token = s.token(0)?;
    let mut characters = s.word(0).char_indices();
    while let Some((at, character)) = characters.next() {
        if character != '\\' {
            continue;
        }
        let (next_at, next) = characters.next()?;
        if !matches!(next, '"' | '\\' | 'n') {
            let (start, end) = (token.start + at, token.start + next_at + next.len_utf8());
            let place = s.place(start, end);
            return Some(
                Diagnostic::error(
                    slugs::BAD_ESCAPE,
                    place,
                    format!("`\\{next}` means nothing in a text"),
                )
                .note("a text knows `\\\"`, `\\\\` and `\\n`")
                .mend_by(
                    "for the backslash itself write two",
                    vec![(place, format!("\\\\{next}"))],
                ),
            );
        }
    }
    None
}

/// `12,5 V`
fn decimal_comma(s: &Stumble<'_>) -> Option<Diagnostic> {
    let first = [0, -1, 1].into_iter().find(|first| {
        s.kind(*first) == Some(TokenKind::Number)
            && s.word(first + 1) == ","
            && s.kind(first + 2) == Some(TokenKind::Number)
            && s.touches(*first)
            && s.touches(first + 1)
    })?;
    let more = s.word(first + 3) == "," && s.touches(first + 2);
    let number = |at: isize| Some((s.word(at), s.span(at)));
    Some(comma_finding(number(first)?, s.span(first + 1), number(first + 2)?, more))
}

/// A comma between two numbers; `more` says that another one follows.
fn comma_finding(
    (whole, start): (&str, Span),
    comma: Span,
    (decimals, end): (&str, Span),
    more: bool,
) -> Diagnostic {
    let place = start.to(end);
    if whole.contains('.') || decimals.contains('.') || more {
        return Diagnostic::error(
            slugs::DECIMAL_COMMA,
            place,
            "a comma touches digits on both sides",
        )
        .mend_by("in a list write a blank behind each comma", vec![(comma, ", ".to_owned())]);
    }
    let written = format!("{whole}.{decimals}");
    let finding = Diagnostic::error(
        slugs::DECIMAL_COMMA,
        place,
        format!("`{whole},{decimals}` has a decimal comma; numbers are written with a point"),
    )
    .mend_by(format!("write `{written}`"), vec![(place, written)]);
    if decimals.len() == 3 && whole.len() <= 3 {
        finding.note(format!("if the comma parts thousands, write `{whole}{decimals}`"))
    } else {
        finding
    }
}

/// The decimal commas of an item that failed for one: who writes one writes all of them so.
/// `told` are those that are told already; at most `most` are given.
pub(crate) fn other_commas(stretch: Stretch<'_>, told: &[Span], most: usize) -> Vec<Diagnostic> {
    let tokens = stretch.tokens;
    let word = |at: usize| tokens.get(at).map_or("", |token| token.of(stretch.text));
    let joined = |at: usize| match (tokens.get(at), tokens.get(at + 1), tokens.get(at + 2)) {
        (Some(a), Some(b), Some(c)) => {
            a.kind == TokenKind::Number
                && c.kind == TokenKind::Number
                && a.end == b.start
                && b.end == c.start
                && word(at + 1) == ","
        }
        _ => false,
    };
    let span = |at: usize| tokens.get(at).map(|token| stretch.span(token.start, token.end));
    let (mut at, mut found) = (0, Vec::new());
    while at < tokens.len() && found.len() < most {
        let mut last = at;
        while joined(last) {
            last += 2;
        }
        if last > at
            && let (Some(start), Some(comma), Some(end)) = (span(at), span(at + 1), span(at + 2))
            && let Some(row) = span(last).map(|last| start.to(last))
            && !told.iter().any(|told| told.start < row.end && row.start < told.end)
        {
            let more = last > at + 2;
            found.push(comma_finding((word(at), start), comma, (word(at + 2), end), more));
        }
        at = last + 1;
    }
    found
}

/// `.5` and `5.`
fn bare_point(s: &Stumble<'_>) -> Option<Diagnostic> {
    if s.word(0) == "." && s.kind(1) == Some(TokenKind::Number) && s.touches(0) {
        let place = s.span(0).to(s.span(1));
        let written = format!("0.{}", s.word(1));
        return Some(
            Diagnostic::error(slugs::BARE_POINT, place, "a number begins with a digit")
                .mend_by(format!("write `{written}`"), vec![(place, written)]),
        );
    }
    if s.word(0) != "." || s.kind(-1) != Some(TokenKind::Number) {
        return None;
    }
    let place = s.span(-1).to(s.span(0));
    let reading = [Rule::dots, Rule::colon, Rule::comma].iter().all(|rule| s.expects(*rule))
        || [Rule::between, Rule::sweep, Rule::repeats].iter().any(|rule| s.expects(*rule));
    if s.word(-1) == "1" && reading {
        // Meters of 3½ digits show a lone 1 at the left when they are over their range.
        return Some(
            Diagnostic::error(slugs::OVERLOAD_SPELLING, place, "`1 .` is no number")
                .note("many meters show a lone 1 at the left when the reading is above the range")
                .mend_by("write `OL` if that is what it was", vec![(place, "OL".to_owned())]),
        );
    }
    let written = s.word(-1).to_owned();
    Some(
        Diagnostic::error(slugs::BARE_POINT, place, "a decimal point has a digit on both sides")
            .mend_by(
                format!("write `{written}` or `{written}.0`, as the meter showed it"),
                vec![(place, written)],
            ),
    )
}

/// Signs of other languages, and what they are called here. Nothing to write: leave it out.
const FOREIGN: &[(&str, &str)] = &[
    ("=>", ">="),
    ("=<", "<="),
    ("<>", "!="),
    ("&&", "and"),
    ("&", "and"),
    ("||", "or"),
    ("|", "or"),
    ("!", "not "),
    ("===", "=="),
    ("**", "^"),
    (":=", "="),
    ("->", ":"),
    ("+/-", "±"),
    ("...", ".."),
    ("…", ".."),
    ("–", ".."),
    ("—", ".."),
    ("≤", "<="),
    ("≥", ">="),
    ("≠", "!="),
    ("×", "*"),
    ("÷", "/"),
    ("\u{a0}", " "),
    ("\u{202f}", " "),
    (";", ""),
];

fn foreign_sign(s: &Stumble<'_>) -> Option<Diagnostic> {
    let found = s.word(0);
    let place = s.span(0);
    if found == "=" && (s.expects(Rule::infix) || s.expects(Rule::sum_infix)) {
        return Some(
            Diagnostic::error(slugs::FOREIGN_SIGN, place, "`=` gives a value and compares nothing")
                .mend_by("write `==` to compare", vec![(place, "==".to_owned())]),
        );
    }
    if found == "+-" || found == "±" {
        return Some(
            Diagnostic::error(
                slugs::FOREIGN_SIGN,
                place,
                "`±` stands in a limit, not in an expression",
            )
            .mend("write `x within 14.2 ± 0.3 V`, or leave a blank between plus and minus"),
        );
    }
    let (_, here) = FOREIGN.iter().find(|(foreign, _)| *foreign == found)?;
    let edits = vec![(place, (*here).to_owned())];
    let finding = match found {
        "\u{a0}" | "\u{202f}" => {
            Diagnostic::error(slugs::FOREIGN_SIGN, place, "this blank is not an ordinary one")
                .mend_by("write an ordinary blank", edits)
        }
        ";" => Diagnostic::error(slugs::FOREIGN_SIGN, place, "nothing ends with `;` here")
            .mend_by("leave it out", edits),
        _ => {
            Diagnostic::error(slugs::FOREIGN_SIGN, place, format!("`{found}` is not written here"))
                .mend_by(format!("write `{}`", here.trim_end()), edits)
        }
    };
    Some(finding)
}

/// Quotes as word processors make them, and whatever else the language has no use for.
fn odd_character(s: &Stumble<'_>) -> Option<Diagnostic> {
    let found = s.word(0);
    let quote = matches!(found, "“" | "”" | "„" | "‟" | "«" | "»" | "‘" | "’" | "‚" | "'" | "`");
    if !quote && s.kind(0)? != TokenKind::Odd {
        return None;
    }
    let place = s.span(0);
    if !quote {
        let code = found.chars().next().map_or(0, u32::from);
        return Some(Diagnostic::error(
            slugs::FOREIGN_SIGN,
            place,
            format!("the character `{}` (U+{code:04X}) means nothing here", found.escape_debug()),
        ));
    }
    // All such quotes on the same line are changed together.
    let text = s.text();
    let start = s.token(0)?.start;
    let line = text.get(start..)?.split('\n').next()?;
    let edits = line
        .char_indices()
        .filter(|(_, c)| "“”„‟«»‘’‚'`".contains(*c))
        .map(|(at, c)| (s.place(start + at, start + at + c.len_utf8()), "\"".to_owned()))
        .collect();
    Some(
        Diagnostic::error(
            slugs::FOREIGN_SIGN,
            place,
            format!("`{found}` is no quote of this language"),
        )
        .mend_by("write straight double quotes", edits),
    )
}

/// `13.6 - 14.8 V`, `13.6 to 14.8 V`
fn interval(s: &Stumble<'_>) -> Option<Diagnostic> {
    if !s.expects(Rule::dots) || !matches!(s.word(0), "-" | "−" | "to" | "till" | "until") {
        return None;
    }
    if s.kind(1)? != TokenKind::Number {
        return None;
    }
    Some(
        Diagnostic::error(
            slugs::FOREIGN_SIGN,
            s.span(0),
            format!("`{}` makes no interval", s.word(0)),
        )
        .mend_by("write `..` between the two ends", vec![(s.span(0), "..".to_owned())]),
    )
}

/// `13.6-14.8 V` reads as one deviation without the other.
fn one_deviation(s: &Stumble<'_>) -> Option<Diagnostic> {
    if !s.expects(Rule::deviation) || s.expects(Rule::pm) {
        return None;
    }
    // Back over the unit and the number to the sign.
    let sign = [-2, -3, -4, -5].into_iter().find(|at| {
        matches!(s.word(*at), "-" | "+" | "−") && s.kind(at + 1) == Some(TokenKind::Number)
    })?;
    let place = s.span(sign).to(s.span(sign + 1));
    let finding =
        Diagnostic::error(slugs::SYNTAX, place, "a deviation to one side needs the other side too")
            .note("both are written, `20 V +5 -0`");
    Some(if s.word(sign) == "+" {
        finding
    } else {
        finding.mend_by(
            "for an interval write `..` between its ends",
            vec![(s.span(sign), " .. ".to_owned())],
        )
    })
}

/// `limit a = 5 V`
fn bare_limit(s: &Stumble<'_>) -> Option<Diagnostic> {
    let limit = s.expects(Rule::dots) && s.expects(Rule::pm) && s.expects(Rule::deviation);
    let ends = matches!(
        s.word(0),
        "" | "cite" | "typical" | "at" | "(" | "}" | "," | "when" | "otherwise"
    );
    (limit && ends).then(|| {
        Diagnostic::error(
            slugs::SYNTAX,
            s.span(-1),
            "a figure alone does not say which side it limits",
        )
        .mend(
            "write `min 5 V`, `max 5 V`, `5 .. 6 V` or `5 ± 0.1 V`; a fixed figure is a `constant`",
        )
    })
}

/// `odds 1 in 100`, where `in` was read as inches.
fn odds_in(s: &Stumble<'_>) -> Option<Diagnostic> {
    (s.expects(Rule::k_of) && s.word(-1) == "in").then(|| {
        Diagnostic::error(slugs::FOREIGN_SIGN, s.span(-1), "`in` is inches here")
            .mend_by("write `of`", vec![(s.span(-1), "of".to_owned())])
    })
}

/// `Within`, `OR`; `Min 5 V`, where `Min` was read as a name.
fn capital_letters(s: &Stumble<'_>) -> Option<Diagnostic> {
    [0, -1].into_iter().find_map(|at| {
        if s.kind(at)? != TokenKind::Word {
            return None;
        }
        let small = s.word(at).to_lowercase();
        let wanted = words::is_reserved(&small) || (at == 0 && wanted_words(s).contains(&small));
        (wanted && small != s.word(at)).then(|| {
            Diagnostic::error(
                slugs::SYNTAX,
                s.span(at),
                format!("`{}` is written small", s.word(at)),
            )
            .mend_by(format!("write `{small}`"), vec![(s.span(at), small)])
        })
    })
}

/// `reading state "…"`
fn reserved_name(s: &Stumble<'_>) -> Option<Diagnostic> {
    let names = [
        Rule::name,
        Rule::path,
        Rule::member,
        Rule::names,
        Rule::paths,
        Rule::ref_name,
        Rule::r#ref,
    ];
    if !names.iter().any(|rule| s.expects(*rule)) || !words::is_reserved(s.word(0)) {
        return None;
    }
    let declared = matches!(s.word(1), "=" | ":" | "[") || s.kind(1) == Some(TokenKind::Text);
    declared.then(|| {
        Diagnostic::error(
            slugs::SYNTAX,
            s.span(0),
            format!("`{}` is a word of the language and cannot be a name", s.word(0)),
        )
        .mend("choose another name, such as one with a second word: `charge_limit`")
    })
}

/// The words that could stand here.
fn wanted_words(s: &Stumble<'_>) -> Vec<String> {
    let keywords = s
        .rules()
        .iter()
        .filter_map(|rule| expected::keyword(*rule))
        .filter(|word| word.chars().all(|c| c.is_ascii_lowercase()));
    let choices =
        s.rules().iter().flat_map(|rule| expected::choices(*rule)).map(|word| (*word).to_owned());
    keywords.chain(choices).collect()
}

/// `durring at_rest`
fn misspelt_word(s: &Stumble<'_>) -> Option<Diagnostic> {
    if s.kind(0)? != TokenKind::Word {
        return None;
    }
    let near = nearest(s.word(0), wanted_words(s).iter().map(String::as_str))?.to_owned();
    let finding = Diagnostic::error(
        slugs::SYNTAX,
        s.span(0),
        format!("expected {}, found `{}`", expected::list(s.rules()), s.word(0)),
    );
    Some(finding.mend_by(format!("did you mean `{near}`?"), vec![(s.span(0), near)]))
}

/// The nearest of `known` to `word`, if it is near enough to be meant.
pub(crate) fn nearest<'k>(word: &str, known: impl Iterator<Item = &'k str>) -> Option<&'k str> {
    let most = (word.chars().count() / 3).max(1);
    known
        .map(|candidate| (strsim::osa_distance(word, candidate), candidate))
        .filter(|(distance, candidate)| *distance <= most && *distance < candidate.len())
        .min()
        .map(|(_, candidate)| candidate)
}
