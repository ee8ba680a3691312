//! Runs of mistakes put into a good spec, and what a check makes of them.

use std::collections::BTreeMap;
use std::ops::Range;

use truing_compile::{Library, Session};
use truing_syntax::{Diagnostic, Sources};

use crate::mutation::{MistakeKind, Mutation, Place};
use crate::token::{Piece, pieces};

/// A good spec.
#[derive(Clone, Debug)]
pub struct Good {
    /// The name that findings show.
    pub name: String,
    /// Its text.
    pub text: String,
}

/// A mistake that was put into a text.
#[derive(Clone, Debug)]
pub struct Injected {
    /// Which kind.
    pub kind: MistakeKind,
    /// The item, in the spoilt text.
    pub item: Range<usize>,
    /// The item's name and the names that the mistake took away.
    pub names: Vec<String>,
    /// The line of the mistake as it reads now.
    pub line: String,
}

/// A spoilt text with what was done to it.
#[derive(Clone, Debug)]
pub struct Spoilt {
    /// The text.
    pub text: String,
    /// What was done.
    pub injected: Vec<Injected>,
}

/// Pseudo-random numbers: SplitMix64 (Steele, Lea and Flood, 2014), so that a seed means the same
/// run for ever.
#[derive(Clone, Debug)]
pub struct Chance(u64);

impl Chance {
    /// The row of numbers that belongs to a seed.
    #[must_use]
    pub fn new(seed: u64) -> Self {
        Self(seed)
    }

    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^ (z >> 31)
    }

    /// One of these.
    fn one_of<'t, T>(&mut self, of: &'t [T]) -> Option<&'t T> {
        let at = self.next().checked_rem(of.len() as u64)?;
        of.get(at as usize)
    }
}

/// Puts up to `wanted` mistakes into a good text, each into an item of its own.
#[must_use]
pub fn spoil(text: &str, wanted: usize, chance: &mut Chance) -> Spoilt {
    let all = pieces(text);
    let mut chosen: Vec<(usize, Mutation)> = Vec::new();
    // Kinds first, so that the rare ones come as often as those that fit everywhere.
    for _ in 0..wanted * 4 {
        if chosen.len() == wanted {
            break;
        }
        let Some(&kind) = chance.one_of(MistakeKind::ALL) else { break };
        let places: Vec<(usize, Mutation)> = all
            .iter()
            .enumerate()
            .flat_map(|(at, piece)| {
                let place = Place { piece, all: &all, text };
                let edits = kind.places(&place).into_iter();
                edits.map(move |(replace, by)| (at, Mutation { kind, replace, by }))
            })
            .collect();
        if let Some(place) = chance.one_of(&places)
            && chosen.iter().all(|other| independent(&all, other, place))
        {
            chosen.push(place.clone());
        }
    }
    apply(text, &all, chosen)
}

/// Whether two mistakes stand in different items and neither hides the other by its nature.
fn independent(all: &[Piece<'_>], left: &(usize, Mutation), right: &(usize, Mutation)) -> bool {
    let (Some(one), Some(other)) = (all.get(left.0), all.get(right.0)) else { return false };
    if left.0 == right.0 {
        return false;
    }
    // What is asked of a spoilt item is not judged, nor does an item that took away a use of
    // another still use it.
    let leans = [left, right].iter().any(|(_, mutation)| mutation.kind.leans_on_others());
    let near = one.mentions(other.name())
        || other.mentions(one.name())
        || all.iter().any(|third| third.mentions(one.name()) && third.mentions(other.name()));
    !(leans && near)
}

fn apply(text: &str, all: &[Piece<'_>], mut chosen: Vec<(usize, Mutation)>) -> Spoilt {
    chosen.sort_by_key(|(at, mutation)| (mutation.replace.start, *at));
    let mut spoilt = String::new();
    let mut edits: Vec<(Range<usize>, usize)> = Vec::new();
    let mut done = 0;
    let mut marks = Vec::new();
    for (_, mutation) in &chosen {
        spoilt.push_str(text.get(done..mutation.replace.start).unwrap_or_default());
        marks.push(spoilt.len());
        spoilt.push_str(&mutation.by);
        done = mutation.replace.end;
        edits.push((mutation.replace.clone(), mutation.by.len()));
    }
    spoilt.push_str(text.get(done..).unwrap_or_default());
    let injected = chosen.iter().zip(marks).filter_map(|((at, mutation), mark)| {
        let piece = all.get(*at)?;
        let item = if mutation.kind.adds_an_item() {
            mark..mark + mutation.by.len()
        } else {
            moved(piece.at.start, &edits, false)..moved(piece.at.end, &edits, true)
        };
        let start = spoilt.get(..mark)?.rfind('\n').map_or(0, |n| n + 1);
        let line = spoilt.get(start..)?.lines().next()?.trim().to_owned();
        Some(Injected { kind: mutation.kind, item, names: names(text, piece, all, mutation), line })
    });
    let injected = injected.collect();
    Spoilt { text: spoilt, injected }
}

/// Where a byte of the good text stands in the spoilt one; edits that touch it count if `with`.
fn moved(byte: usize, edits: &[(Range<usize>, usize)], with: bool) -> usize {
    let before = edits.iter().filter(|(replaced, _)| {
        replaced.end < byte || (replaced.end == byte && (with || !replaced.is_empty()))
    });
    before.fold(byte, |at, (replaced, length)| at - replaced.len() + length)
}

/// The item's own name, its family's, and every name in what was taken away.
fn names(text: &str, piece: &Piece<'_>, all: &[Piece<'_>], mutation: &Mutation) -> Vec<String> {
    let mut names = vec![piece.name().to_owned()];
    let removed = text.get(mutation.replace.clone()).unwrap_or_default();
    let words = removed.split(|c: char| !(c.is_ascii_alphanumeric() || c == '_'));
    names.extend(words.filter(|word| all.iter().any(|p| p.name() == *word)).map(str::to_owned));
    names.retain(|name| !name.is_empty());
    names
}

/// What a check made of a spoilt text.
#[derive(Clone, Debug, Default)]
pub struct Verdict {
    /// For each kind: how many were put in, how many were reported in their item as they should.
    pub kinds: BTreeMap<MistakeKind, (usize, usize)>,
    /// Mistakes that were not reported in their place.
    pub missed: Vec<String>,
    /// Findings outside the spoilt items that speak of a name which a mistake took away.
    pub follow_ups: Vec<String>,
    /// Findings that belong to no mistake.
    pub invented: Vec<String>,
}

impl Verdict {
    /// Takes in another one.
    pub fn add(&mut self, other: Verdict) {
        for (kind, (put, seen)) in other.kinds {
            let sum = self.kinds.entry(kind).or_default();
            sum.0 += put;
            sum.1 += seen;
        }
        self.missed.extend(other.missed);
        self.follow_ups.extend(other.follow_ups);
        self.invented.extend(other.invented);
    }

    /// How many mistakes were put in, and how many were reported.
    #[must_use]
    pub fn totals(&self) -> (usize, usize) {
        self.kinds.values().fold((0, 0), |sum, kind| (sum.0 + kind.0, sum.1 + kind.1))
    }
}

/// Checks a spoilt text, with the libraries of the session, and holds the findings against what was put in.
#[must_use]
pub fn judge(
    session: &Session,
    library: &dyn Library,
    good: &Good,
    spoilt: &Spoilt,
    run: u64,
) -> Verdict {
    let mut sources = Sources::new();
    let file = sources.add(good.name.as_str(), spoilt.text.as_str());
    let findings = session.check(&mut sources, file, library).findings;
    let mut verdict = Verdict::default();
    for mistake in &spoilt.injected {
        let seen = findings.iter().any(|finding| reports(&sources, finding, mistake));
        let count = verdict.kinds.entry(mistake.kind).or_default();
        count.0 += 1;
        count.1 += usize::from(seen);
        if !seen {
            let (kind, line) = (mistake.kind, &mistake.line);
            verdict.missed.push(format!("{} run {run}: {kind:?} in `{line}`", good.name));
        }
    }
    for finding in &findings {
        let place = finding.primary().span;
        let mut mistakes = spoilt.injected.iter();
        let theirs = mistakes.any(|mistake| {
            (place.file == file && touches(place, &mistake.item))
                || reports(&sources, finding, mistake)
        });
        if theirs {
            continue;
        }
        let text = format!(
            "{} run {run}: {} at `{}`: {}",
            good.name,
            finding.slug().0,
            sources.slice(place),
            finding.message()
        );
        if speaks_of(&sources, finding, &spoilt.injected) {
            verdict.follow_ups.push(text);
        } else {
            verdict.invented.push(text);
        }
    }
    verdict
}

fn touches(place: truing_syntax::Span, item: &Range<usize>) -> bool {
    (place.start as usize) < item.end.max(item.start + 1) && place.end as usize >= item.start
}

/// Whether the finding is the one that the mistake asks for, in its place.
fn reports(sources: &Sources, finding: &Diagnostic, mistake: &Injected) -> bool {
    let wanted = mistake.kind.slugs().contains(&finding.slug().0);
    let place = finding.primary().span;
    let labels = finding.labels().iter().map(|label| label.span);
    let here = touches(place, &mistake.item)
        || (mistake.kind.shows_elsewhere()
            && (labels.into_iter().any(|span| touches(span, &mistake.item))
                || has_word(sources.slice(place), mistake.names.first())));
    wanted && here
}

fn has_word(text: &str, name: Option<&String>) -> bool {
    let mut words = text.split(|c: char| !(c.is_ascii_alphanumeric() || c == '_'));
    name.is_some_and(|name| words.any(|word| word == name))
}

/// Whether the finding's own place, its labels or its words name what a mistake took away.
fn speaks_of(sources: &Sources, finding: &Diagnostic, injected: &[Injected]) -> bool {
    let names = injected.iter().flat_map(|mistake| &mistake.names);
    let mut names = names.filter(|name| {
        has_word(sources.slice(finding.primary().span), Some(name))
            || has_word(finding.message(), Some(name))
    });
    let labels = || finding.labels().iter().map(|label| label.span);
    names.next().is_some()
        || labels().any(|span| injected.iter().any(|mistake| touches(span, &mistake.item)))
}
