//! What can be found: one file a finding, with its name, its explanation, its two examples, and the
//! words in which it is reported.
//!
//! To add one: a file beside these, its name in the list below, a call where it is noticed.

use std::borrow::Cow;

use truing_syntax::{Diagnostic, SlugDoc, Span};
use truing_units::{Decimal, Refusal, Ty, Unit};

use crate::context::Context;
use crate::usual_unit::usual_units;

macro_rules! lints {
    ($($name:ident)*) => {
        $(pub(crate) mod $name;)*

        static DOCS: &[SlugDoc] = &[$($name::DOC),*];
    };
}

lints! {
    accuracy_missing
    accuracy_nought
    ambiguity_group
    bands_wrong
    case_expects_nothing
    case_implausible
    chance_outside
    check_cannot_fail
    check_cannot_pass
    check_cycle
    condition_misplaced
    condition_missing
    condition_settled
    counts_without_step
    curve_ends
    curve_not_rising
    curve_outside
    defined_twice
    effect_below_leak
    effect_impossible
    effects_too_often
    empty_interval
    expectation_impossible
    family_repeats
    family_too_large
    fault_upsets_nothing
    figure_too_low
    graded_not_nested
    header_missing
    header_twice
    import_cycle
    internal
    kind_mismatch
    kind_missing
    leak_and_slip_nought
    learned_count
    learned_elsewhere
    learned_twice
    library_not_found
    limit_finer_than_meter
    limit_open
    limit_without_source
    never_used
    no_value
    not_constant
    odds_missing
    paths_too_many
    percent_of_percent
    point_arithmetic
    printed_units_disagree
    ranges_not_rising
    ranges_overlap
    reading_never_asked
    state_unreachable
    step_unfit
    step_unreachable
    step_without_effect
    suspect_unsupported
    typical_outside
    undefined_name
    unit_look_alike
    unit_mismatch
    unit_missing
    unknown_kind
    unknown_member
    unknown_unit
    upside_down_interval
    variant_gap
    variant_overlap
    waiver_too_late
    word_unknown
    wrong_argument
    wrong_index
    wrong_sort
}

/// The explanation of every finding of this crate, by name.
#[must_use]
pub fn slugs() -> &'static [SlugDoc] {
    DOCS
}

/// A place and what stands there: "`battery_rest` is a dc voltage (V)". The words are made where a
/// finding asks for them: most figures have nothing wrong with them.
#[derive(Clone, Debug)]
pub(crate) struct Said {
    pub span: Span,
    pub ty: Option<Ty>,
    words: Words,
}

#[derive(Clone, Debug)]
enum Words {
    /// What is written there is of the type, in this unit.
    Written(Ty, Option<Unit>),
    /// These, followed by the type.
    Before(Cow<'static, str>, Ty),
    /// These alone.
    Whole(String),
}

impl Said {
    /// What is written at `span`, of what type it is, and the unit that is written there.
    pub(crate) fn new(span: Span, ty: Ty, unit: Option<&Unit>) -> Self {
        Self { span, ty: Some(ty), words: Words::Written(ty, unit.cloned()) }
    }

    /// `what` followed by the type, "`rest_voltage` limits a dc voltage (V)".
    pub(crate) fn named(span: Span, what: impl Into<Cow<'static, str>>, ty: Ty) -> Self {
        Self { span, ty: Some(ty), words: Words::Before(what.into(), ty) }
    }

    /// Plain words.
    pub(crate) fn words(span: Span, text: impl Into<String>) -> Self {
        Self { span, ty: None, words: Words::Whole(text.into()) }
    }

    /// What is to be said.
    pub(crate) fn text(&self, cx: &Context<'_>) -> String {
        match &self.words {
            Words::Written(ty, unit) => {
                let written = cx.files.printed(self.span);
                let subject = match written.chars().count() {
                    1..=40 => format!("`{written}`"),
                    _ => "this".to_owned(),
                };
                let words = match (ty, unit) {
                    (Ty::Kind(_), Some(unit)) => {
                        in_unit(article(&ty.words(&cx.catalogue)), unit.symbol())
                    }
                    _ => type_words(cx, *ty),
                };
                format!("{subject} is {words}")
            }
            Words::Before(what, ty) => format!("{what} {}", type_words(cx, *ty)),
            Words::Whole(text) => text.clone(),
        }
    }

    /// The figure and the unit, where nothing else is written there.
    pub(crate) fn literal(&self, cx: &Context<'_>) -> Option<(Decimal, Unit)> {
        let Words::Written(_, Some(unit)) = &self.words else { return None };
        let written = cx.files.printed(self.span);
        let (figure, rest) = written.split_once(' ')?;
        let alone = !rest.contains(' ');
        Some((Decimal::parse(figure).ok().filter(|_| alone)?, unit.clone()))
    }
}

/// "a dc voltage (V)", "a plain number": the unit is the one that figures of the kind usually have.
pub(crate) fn type_words(cx: &Context<'_>, ty: Ty) -> String {
    let words = article(&ty.words(&cx.catalogue));
    match ty {
        Ty::Kind(kind) => match usual_units(&cx.catalogue, kind).first() {
            Some(unit) => in_unit(words, unit),
            None => words,
        },
        Ty::Plain(_) => words,
    }
}

fn in_unit(words: String, unit: &str) -> String {
    match unit {
        "1" | "" => words,
        unit => format!("{words} ({unit})"),
    }
}

/// With its article, unless the words bring their own.
pub(crate) fn article(words: &str) -> String {
    if words.starts_with("a ") || words.starts_with("an ") {
        return words.to_owned();
    }
    let vowel = words.starts_with(['a', 'e', 'i', 'o']) || words.starts_with("un-");
    format!("{} {words}", if vowel { "an" } else { "a" })
}

/// The finding for an operation that the kinds of its sides forbid.
pub(crate) fn refused(
    cx: &Context<'_>,
    refusal: &Refusal,
    whole: Span,
    left: &Said,
    right: &Said,
) -> Diagnostic {
    match refusal {
        Refusal::DifferentDimension { .. } => unit_mismatch::finding(cx, whole, left, right),
        Refusal::DifferentKind { convert, .. } => {
            kind_mismatch::finding(cx, whole, left, right, *convert)
        }
        Refusal::TurnsAndCycles { convert, .. } => {
            kind_mismatch::finding(cx, whole, left, right, Some(convert))
        }
        Refusal::NeedsKind { right: wanted, .. } => {
            kind_mismatch::needs_kind(cx, whole, left, right, *wanted)
        }
        other => point_arithmetic::finding(cx, whole, left, right, other),
    }
}

/// The finding for a figure whose unit does not fit its place.
pub(crate) fn mismatch(cx: &Context<'_>, whole: Span, here: &Said, there: &Said) -> Diagnostic {
    let (Some(left), Some(right)) = (here.ty, there.ty) else {
        return unit_mismatch::finding(cx, whole, here, there);
    };
    match truing_units::comparable(&cx.catalogue, left, right) {
        Err(refusal) => refused(cx, &refusal, whole, here, there),
        // The unit does not fit the kind although the kinds could be compared.
        Ok(_) => kind_mismatch::finding(cx, whole, here, there, None),
    }
}

/// Labels both sides: at the whole where they stand there, else beside it.
pub(crate) fn both(
    cx: &Context<'_>,
    mut finding: Diagnostic,
    whole: Span,
    left: &Said,
    right: &Said,
) -> Diagnostic {
    finding = match left.span == whole {
        true => finding.here(left.text(cx)),
        false => finding.label(left.span, left.text(cx)),
    };
    match right.span == left.span {
        true => finding,
        false => finding.label(right.span, right.text(cx)),
    }
}

/// `a`, `b` and `c`
pub(crate) fn list<'n>(names: impl Iterator<Item = &'n str>) -> String {
    joined(names, "and")
}

/// `a`, `b` or `c`
pub(crate) fn either<'n>(names: impl Iterator<Item = &'n str>) -> String {
    joined(names, "or")
}

fn joined<'n>(names: impl Iterator<Item = &'n str>, last_by: &str) -> String {
    let names: Vec<String> = names.map(|name| format!("`{name}`")).collect();
    match names.split_last() {
        None => String::new(),
        Some((last, [])) => last.clone(),
        Some((last, rest)) => format!("{} {last_by} {last}", rest.join(", ")),
    }
}

#[cfg(test)]
mod tests {
    use truing_syntax::Sources;

    use super::slugs;
    use crate::test_library::Shelf;

    fn found(text: &str) -> Vec<String> {
        let mut sources = Sources::new();
        let (main, shelf) = Shelf::cut(text);
        let file = sources.add("example", main);
        let checked = crate::check(&mut sources, file, &shelf);
        let shown = |d: &truing_syntax::Diagnostic| format!("{}: {}", d.slug().0, d.message());
        checked.findings.iter().map(shown).collect()
    }

    #[test]
    fn the_wrong_example_has_the_finding_and_the_right_one_has_none() {
        let mut bad = Vec::new();
        // A defect of this program has no text that brings it.
        for doc in slugs().iter().filter(|doc| doc.slug.0 != "internal") {
            let wrong = found(doc.wrong);
            let prefix = format!("{}: ", doc.slug.0);
            if wrong.is_empty() || !wrong.iter().all(|line| line.starts_with(&prefix)) {
                bad.push(format!("{}, wrong: {wrong:?}", doc.slug.0));
            }
            let right = found(doc.right);
            if !right.is_empty() {
                bad.push(format!("{}, right: {right:?}", doc.slug.0));
            }
        }
        assert!(bad.is_empty(), "{}", bad.join("\n"));
    }

    #[test]
    fn slugs_are_sorted_and_explained() {
        let names: Vec<&str> = slugs().iter().map(|doc| doc.slug.0).collect();
        let mut sorted = names.clone();
        sorted.sort_unstable();
        sorted.dedup();
        assert_eq!(names, sorted);
        for doc in slugs() {
            assert!(doc.explain.len() > 60, "{} needs an explanation", doc.slug.0);
        }
    }
}
