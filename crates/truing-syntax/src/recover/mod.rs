//! What can be read of an item that does not parse: its head and the lines of its body one by one,
//! so that several mistakes in one item give several findings and the rest is not lost.
//!
//! Read in this order: this file, [`cut`] (where lines begin), [`blocks`] (lines with lines in them).
//!
//! INVARIANT: a stretch that failed is not tried again whole on the next level down; what is known
//! of the failure (`bad`) is handed on. Otherwise the work would double with each level of nesting.

mod blocks;
mod cut;

use pest::Parser as _;
use pest::iterators::Pairs;

use crate::build::Builder;
use crate::diagnostic::Diagnostic;
use crate::grammar::{Rule, TruingParser};
use crate::names::Names;
use crate::scanner::Comment;
use crate::slugs;
use crate::span::Span;
use crate::stumble::{Stretch, Stumble};
use crate::tree::{FunctionMember, ItemKind, Step};

/// Where in an item's text, in tokens.
type Range = std::ops::Range<usize>;

/// Reads a broken item.
pub(crate) struct Recovery<'a> {
    pub(crate) stretch: Stretch<'a>,
    pub(crate) comments: &'a [Comment],
    pub(crate) names: &'a mut Names,
    pub(crate) findings: &'a mut Vec<Diagnostic>,
    /// After so many findings nothing more is read.
    pub(crate) most: usize,
    /// The lines of the body at hand that may stand once, and where they stand.
    pub(crate) said: Vec<(Rule, Span)>,
}

/// A kind of body: the rule for its lines and the words that begin them.
#[derive(Copy, Clone)]
pub(crate) struct Body {
    lines: Rule,
    words: &'static [&'static str],
}

const STEPS: Body = Body {
    lines: Rule::procedure_lines,
    words: &["take", "if", "advise", "suspect", "caution", "stop"],
};
const INSTRUMENT: Body =
    Body { lines: Rule::instrument_lines, words: &["measures", "valid", "calibration", "note"] };
const FUNCTION: Body = Body {
    lines: Rule::function_lines,
    words: &["range", "capture", "leads", "technique", "common", "test", "input", "burden", "note"],
};
const POINTS: Body = Body { lines: Rule::curve_lines, words: &[] };

impl Body {
    /// The body of the items that begin with `keyword`.
    pub(crate) fn of(keyword: &str) -> Option<Body> {
        let (lines, words): (Rule, &'static [&'static str]) = match keyword {
            "spec" => (Rule::spec_lines, &["edition", "machine", "decide", "meter", "odds"]),
            "state" => (
                Rule::state_lines,
                &["from", "takes", "stays", "brings", "waived", "caution", "note"],
            ),
            "reading" | "observation" => (
                Rule::reading_lines,
                &[
                    "during",
                    "red",
                    "black",
                    "with",
                    "takes",
                    "plausible",
                    "reduce",
                    "capture",
                    "over",
                    "frequency",
                    "circuit",
                    "tool",
                    "caution",
                    "note",
                ],
            ),
            "check" => (
                Rule::check_lines,
                &["when", "applies", "decide", "leak", "slip", "bands", "advise", "cite", "note"],
            ),
            "fault" => (Rule::fault_lines, &["odds", "makes", "fix", "caution", "note"]),
            "fix" => (
                Rule::fix_lines,
                &["part", "takes", "verify", "price", "proves", "caution", "note"],
            ),
            "learned" => (Rule::learned_lines, &["edition", "author", "cause", "shows"]),
            "procedure" => return Some(STEPS),
            "case" => (Rule::case_lines, &["expect", "meter", "decide", "note"]),
            "instrument" => return Some(INSTRUMENT),
            _ => return None,
        };
        Some(Body { lines, words })
    }
}

/// Where the lines of a body go.
enum Sink<'s> {
    Item(&'s mut ItemKind),
    Steps(&'s mut Vec<Step>),
    Function(&'s mut Vec<FunctionMember>),
    Points(&'s mut Vec<(crate::tree::Figure, crate::tree::LimitExpr)>),
    Nothing,
}

impl<'a> Recovery<'a> {
    /// Reads an item with a body; `None` where its head says nothing. `bad` is where the whole item
    /// stumbled, if it was tried.
    pub(crate) fn item(&mut self, body: Body, bad: Option<usize>) -> Option<ItemKind> {
        let tokens = self.stretch.tokens;
        let open = self.body_opens()?;
        let close = self.closing(open);
        let head_end = tokens.get(open)?.start;
        let mut head = self.head(head_end);
        let lines = open + 1..close.unwrap_or(tokens.len());
        let sink = match &mut head {
            Some(item) => Sink::Item(item),
            None => Sink::Nothing,
        };
        self.lines(body, lines, bad, sink);
        self.nothing_after(close);
        head
    }

    /// Reads a limit that is a curve and did not parse.
    pub(crate) fn curve(&mut self, bad: Option<usize>) -> Option<ItemKind> {
        let tokens = self.stretch.tokens;
        let open = tokens.iter().position(|token| token.of(self.stretch.text) == "{")?;
        let close = self.closing(open);
        let mut points = Vec::new();
        let lines = open + 1..close.unwrap_or(tokens.len());
        self.lines(POINTS, lines, bad, Sink::Points(&mut points));
        let head_end = tokens.get(open)?.start;
        let stretch = self.stretch;
        let mut limit = match self.parse(Rule::one_curve_open, 0, head_end) {
            Ok(mut pairs) => {
                let mut builder = self.builder(0);
                let opening = pairs.next()?;
                let mut children = builder.children(opening);
                let mut limit = builder.limit_opening(&mut children).ok()?;
                let head = builder.need(&mut children, Rule::curve_head).ok()?;
                let form = builder.curve_of(head, points).ok()?;
                limit.value = Some(crate::tree::LimitExpr {
                    form,
                    also_printed: Vec::new(),
                    typical: None,
                    conditions: Vec::new(),
                    span: stretch.span(head_end, stretch.text.len()),
                });
                Some(limit)
            }
            Err(_) => None,
        };
        let tail = close.and_then(|close| tokens.get(close)).map_or(stretch.text.len(), |t| t.end);
        if let Ok(pairs) = self.parse(Rule::one_limit_tail, tail, stretch.text.len())
            && let Some(limit) = &mut limit
        {
            let mut builder = self.builder(tail);
            for pair in pairs.filter(|pair| pair.as_rule() == Rule::cite) {
                limit.cites.extend(builder.cite(pair));
            }
        }
        limit.map(ItemKind::Limit)
    }

    /// The brace that opens the item's body; one behind `by KIND` belongs to a limit in its rule.
    fn body_opens(&self) -> Option<usize> {
        let word = |at: Option<usize>| {
            at.and_then(|at| self.stretch.tokens.get(at)).map_or("", |t| t.of(self.stretch.text))
        };
        let mut from = 0;
        loop {
            let tokens = self.stretch.tokens.get(from..)?;
            let open = from + tokens.iter().position(|token| token.of(self.stretch.text) == "{")?;
            let curve = word(open.checked_sub(2)) == "by" || word(open.checked_sub(3)) == "by";
            if !curve {
                return Some(open);
            }
            from = self.closing(open)? + 1;
        }
    }

    /// The bracket that closes the one at `open`.
    fn closing(&self, open: usize) -> Option<usize> {
        let mut depth = 0_usize;
        for (at, token) in self.stretch.tokens.iter().enumerate().skip(open) {
            match token.of(self.stretch.text) {
                "{" => depth += 1,
                "}" => {
                    depth = depth.saturating_sub(1);
                    if depth == 0 {
                        return Some(at);
                    }
                }
                _ => {}
            }
        }
        None
    }

    fn head(&mut self, end: usize) -> Option<ItemKind> {
        match self.parse(Rule::one_head, 0, end) {
            Ok(mut pairs) => {
                let pair = pairs.next()?;
                self.builder(0).head(pair).ok()
            }
            Err(stumble) => {
                self.findings.push(stumble.finding());
                None
            }
        }
    }

    /// After its closing brace an item is at its end.
    fn nothing_after(&mut self, close: Option<usize>) {
        let Some(next) = close.and_then(|close| self.stretch.tokens.get(close + 1)) else { return };
        let place = self.stretch.span(next.start, next.end);
        self.findings.push(
            Diagnostic::error(
                slugs::SYNTAX,
                place,
                format!("the item has ended before `{}`", next.of(self.stretch.text)),
            )
            .mend("begin the next item on a line of its own, or take out the brace above"),
        );
    }

    /// Parses the bytes `start .. end` of the stretch.
    fn parse(&self, rule: Rule, start: usize, end: usize) -> Result<Pairs<'a, Rule>, Stumble<'a>> {
        let text = self.stretch.text.get(start..end).unwrap_or("");
        TruingParser::parse(rule, text)
            .map_err(|error| Stumble::new(self.stretch, start, end, &error))
    }

    fn builder(&mut self, start: usize) -> Builder<'_> {
        let base = self.stretch.base + start;
        Builder::new(self.stretch.file, base as u32, self.comments, self.names, self.findings)
    }

    /// Reads the lines of a body; those that do not parse are reported and left out.
    ///
    /// All that is left is tried at once; where that stumbles, what stands before is sound and read
    /// in one go, the line itself is told, and the rest is tried again. So sound text is parsed
    /// twice at most, however many lines there are.
    fn lines(&mut self, body: Body, range: Range, bad: Option<usize>, mut sink: Sink<'_>) {
        let chunks = self.chunks(body, range);
        let mut rest = chunks.as_slice();
        let mut known = bad;
        while let (Some(first), Some(last)) = (rest.first(), rest.last()) {
            if self.findings.len() > self.most {
                return;
            }
            let mut stumble = None;
            let bad = match known.take() {
                Some(bad) => bad,
                None => {
                    let (start, end) = self.bytes(&(first.start..last.end));
                    let tried = match self.early(body, rest, (start, end)) {
                        Some(why) => Err(why),
                        None => self.parse(body.lines, start, end),
                    };
                    match tried {
                        Ok(pairs) => return self.keep(start, pairs, &mut sink),
                        Err(why) => stumble.insert(why).at,
                    }
                }
            };
            let sound = rest.partition_point(|chunk| self.bytes(chunk).1 <= bad);
            // A lone line that lacks its end has just been tried.
            if let ([chunk], 1) = (rest, sound)
                && !self.nested(chunk)
                && let Some(why) = stumble
            {
                return self.broken(body, chunk, why, true, &mut sink);
            }
            let (before, after) = rest.split_at(sound);
            let told = self.findings.len();
            self.before(body, before, &mut sink);
            rest = after;
            // A line that lacks its end stumbles at the next one: then that was it.
            if self.findings.len() > told {
                continue;
            }
            let Some((chunk, after)) = rest.split_first() else { return };
            rest = after;
            match stumble {
                Some(why) if !self.nested(chunk) => self.broken(body, chunk, why, true, &mut sink),
                _ => self.chunk(body, chunk.clone(), Some(bad), true, &mut sink),
            }
        }
    }

    /// Where a long body stumbles early on: on its first lines alone, then on more of them. pest goes
    /// over all that lies behind a stumble to say in which line it is, and a body may have hundreds.
    ///
    /// A stumble before the last line that was given is the same as in the whole: no rule looks
    /// further ahead than to the first sign of the next line.
    fn early(
        &self,
        body: Body,
        rest: &[Range],
        (start, end): (usize, usize),
    ) -> Option<Stumble<'a>> {
        const FIRST_BYTES: usize = 1024;
        let mut most = FIRST_BYTES;
        while most < end - start {
            let count = rest.partition_point(|chunk| self.bytes(chunk).1 <= start + most);
            if let Some([_, .., last]) = rest.get(..count) {
                let (last_start, until) = self.bytes(last);
                let text = self.stretch.text.get(start..until).unwrap_or("");
                if let Err(error) = TruingParser::parse(body.lines, text) {
                    let why = Stumble::new(self.stretch, start, end, &error);
                    if why.at < last_start {
                        return Some(why);
                    }
                }
            }
            most *= 4;
        }
        None
    }

    /// Reads the chunks before a stumble: sound but for the last, which may lack its end.
    fn before(&mut self, body: Body, chunks: &[Range], sink: &mut Sink<'_>) {
        let Some((last, sound)) = chunks.split_last() else { return };
        if let (Some(first), Some(end)) = (sound.first(), sound.last()) {
            let (start, end) = self.bytes(&(first.start..end.end));
            match self.parse(body.lines, start, end) {
                Ok(pairs) => self.keep(start, pairs, sink),
                Err(_) => {
                    for chunk in sound {
                        self.chunk(body, chunk.clone(), None, true, sink);
                    }
                }
            }
        }
        self.chunk(body, last.clone(), None, true, sink);
    }

    /// Reads a stretch of members. `whole` says that it may still be cut into pieces.
    fn chunk(
        &mut self,
        body: Body,
        range: Range,
        bad: Option<usize>,
        whole: bool,
        sink: &mut Sink<'_>,
    ) {
        let (start, end) = self.bytes(&range);
        let nested = self.nested(&range);
        // Known to be broken inside: go inside at once.
        if nested && bad.is_some_and(|bad| (start..end).contains(&bad)) {
            return self.inside(range, bad, sink);
        }
        match self.parse(body.lines, start, end) {
            Ok(pairs) => self.keep(start, pairs, sink),
            Err(stumble) if nested => self.inside(range, Some(stumble.at), sink),
            Err(stumble) => self.broken(body, &range, stumble, whole, sink),
        }
    }

    /// Reads what can be read of a chunk that stumbled: several members may stand on its line.
    fn broken(
        &mut self,
        body: Body,
        range: &Range,
        stumble: Stumble<'a>,
        whole: bool,
        sink: &mut Sink<'_>,
    ) {
        let pieces = if whole { self.pieces(body, range.clone()) } else { Vec::new() };
        if pieces.len() < 2 {
            self.findings.push(stumble.finding());
            return;
        }
        let before = self.findings.len();
        for piece in pieces {
            if self.findings.len() > self.most {
                return;
            }
            self.chunk(body, piece, None, false, sink);
        }
        if self.findings.len() == before {
            self.findings.push(stumble.finding());
        }
    }

    /// Whether a chunk is an `if` or a `measures` with a block.
    fn nested(&self, range: &Range) -> bool {
        let tokens = self.stretch.tokens.get(range.clone()).unwrap_or(&[]);
        let first = tokens.first().map_or("", |token| token.of(self.stretch.text));
        matches!(first, "if" | "measures")
            && tokens.iter().any(|token| token.of(self.stretch.text) == "{")
    }

    fn keep(&mut self, start: usize, pairs: Pairs<'a, Rule>, sink: &mut Sink<'_>) {
        let said = std::mem::take(&mut self.said);
        let mut builder = self.builder(start);
        builder.said = said;
        for pair in pairs.filter(|pair| pair.as_rule() != Rule::EOI) {
            // What a builder refuses it has reported.
            let _reported = match sink {
                Sink::Item(item) => builder.member(item, pair),
                Sink::Steps(steps) => builder.step(pair).map(|step| steps.push(step)),
                Sink::Function(members) => builder.function_member(members, pair),
                Sink::Points(points) => builder.point(pair).map(|point| points.push(point)),
                Sink::Nothing => Ok(()),
            };
        }
        let said = builder.said;
        self.said = said;
    }
}
