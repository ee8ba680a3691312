//! What can be read of an item that does not parse: its head and the lines of its body one by one,
//! so that several mistakes in one item give several findings and the rest is not lost.
//!
//! INVARIANT: a stretch that failed is not tried again whole on the next level down; what is known
//! of the failure (`bad`) is handed on. Otherwise the work would double with each level of nesting.

use pest::Parser as _;
use pest::iterators::Pairs;

use crate::build::Builder;
use crate::diagnostic::Diagnostic;
use crate::grammar::{Rule, TruingParser};
use crate::lex::{Token, TokenKind, breaks_line};
use crate::names::Names;
use crate::scanner::Comment;
use crate::slugs;
use crate::stumble::{Stretch, Stumble};
use crate::tree::{FunctionMember, InstrumentMember, ItemKind, Step};
use crate::words::may_continue;

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
    Body { lines: Rule::instrument_lines, words: &["measures", "valid", "note"] };
const FUNCTION: Body = Body {
    lines: Rule::function_lines,
    words: &["range", "leads", "test", "input", "burden", "note"],
};
const POINTS: Body = Body { lines: Rule::curve_lines, words: &[] };

impl Body {
    /// The body of the items that begin with `keyword`.
    pub(crate) fn of(keyword: &str) -> Option<Body> {
        let (lines, words): (Rule, &'static [&'static str]) = match keyword {
            "spec" => (Rule::spec_lines, &["edition", "machine", "decide"]),
            "state" => (Rule::state_lines, &["from", "takes", "caution", "note"]),
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
                    "over",
                    "tool",
                    "caution",
                    "note",
                ],
            ),
            "check" => {
                (Rule::check_lines, &["when", "applies", "decide", "advise", "cite", "note"])
            }
            "fault" => (Rule::fault_lines, &["odds", "makes", "fix", "caution", "note"]),
            "fix" => (Rule::fix_lines, &["part", "takes", "proves", "caution", "note"]),
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
    fn lines(&mut self, body: Body, range: Range, bad: Option<usize>, mut sink: Sink<'_>) {
        let (start, end) = self.bytes(&range);
        let bad = match bad {
            Some(bad) => bad,
            None => match self.parse(body.lines, start, end) {
                Ok(pairs) => return self.keep(start, pairs, &mut sink),
                Err(stumble) => stumble.at,
            },
        };
        let chunks = self.chunks(body, range);
        // What stands before the mistake is sound, and read in one go.
        let sound = chunks.partition_point(|chunk| self.bytes(chunk).1 <= bad);
        let rest = match self.sound(body, chunks.get(..sound).unwrap_or(&[])) {
            Some((from, pairs)) => {
                self.keep(from, pairs, &mut sink);
                sound
            }
            None => 0,
        };
        for chunk in chunks.into_iter().skip(rest) {
            if self.findings.len() > self.most {
                return;
            }
            self.chunk(body, chunk, Some(bad), true, &mut sink);
        }
    }

    /// Reads several chunks at once, if they parse.
    fn sound(&self, body: Body, chunks: &[Range]) -> Option<(usize, Pairs<'a, Rule>)> {
        let (first, last) = (chunks.first()?, chunks.last()?);
        let (start, end) = self.bytes(&(first.start..last.end));
        self.parse(body.lines, start, end).ok().map(|pairs| (start, pairs))
    }

    /// Cuts a body where a line begins a new member.
    fn chunks(&self, body: Body, range: Range) -> Vec<Range> {
        let points = body.lines == Rule::curve_lines;
        self.cut(range, |before, token, word| {
            let begins = match token.kind {
                TokenKind::Word => !points && (body.words.contains(&word) || !may_continue(word)),
                TokenKind::Number => points,
                _ => points && (word == "-" || word == "+" || word == "−"),
            };
            let joined = matches!(before.of(self.stretch.text), "," | "=" | ":" | "..");
            begins && !joined && breaks_line(self.stretch.text, before.end, token.start)
        })
    }

    /// Cuts at every word that can begin a member: for several members on one line.
    fn pieces(&self, body: Body, range: Range) -> Vec<Range> {
        self.cut(range, |before, token, word| {
            token.kind == TokenKind::Word
                && body.words.contains(&word)
                && before.of(self.stretch.text) != "else"
        })
    }

    fn cut(&self, range: Range, begins: impl Fn(&Token, &Token, &str) -> bool) -> Vec<Range> {
        let text = self.stretch.text;
        let mut cuts = Vec::new();
        let (mut start, mut depth) = (range.start, 0_usize);
        for at in range.clone() {
            let Some(token) = self.stretch.tokens.get(at) else { break };
            let word = token.of(text);
            if at > start
                && depth == 0
                && let Some(before) = self.stretch.tokens.get(at - 1)
                && begins(before, token, word)
            {
                cuts.push(start..at);
                start = at;
            }
            match word {
                "{" | "(" | "[" => depth += 1,
                "}" | ")" | "]" => depth = depth.saturating_sub(1),
                _ => {}
            }
        }
        if start < range.end {
            cuts.push(start..range.end);
        }
        cuts
    }

    fn bytes(&self, range: &Range) -> (usize, usize) {
        let start =
            self.stretch.tokens.get(range.start).map_or(self.stretch.text.len(), |t| t.start);
        let end = range
            .end
            .checked_sub(1)
            .and_then(|last| self.stretch.tokens.get(last))
            .map_or(start, |t| t.end);
        (start, end.max(start))
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
            Err(stumble) => {
                let pieces = if whole { self.pieces(body, range) } else { Vec::new() };
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
        let mut builder = self.builder(start);
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
    }

    /// Reads an `if` or a `measures` block by block.
    fn inside(&mut self, range: Range, bad: Option<usize>, sink: &mut Sink<'_>) {
        let first = self.stretch.tokens.get(range.start).map_or("", |t| t.of(self.stretch.text));
        let before = self.findings.len();
        let place = self.bytes(&range);
        let rest = if first == "measures" {
            self.measures(range, bad, sink)
        } else {
            self.branches(range, bad, sink)
        };
        // What stands behind the last block belongs to the same body. Cut first: one call for each
        // of many blocks on one line would be as deep as there are blocks.
        let body = if first == "measures" { INSTRUMENT } else { STEPS };
        for piece in self.pieces(body, rest) {
            if self.findings.len() > self.most {
                return;
            }
            self.chunk(body, piece, None, false, sink);
        }
        if self.findings.len() == before {
            let place = self.stretch.span(place.0, place.1);
            self.findings.push(Diagnostic::error(
                slugs::SYNTAX,
                place,
                "this does not read as a whole",
            ));
        }
    }

    /// `{ … }` from the first brace in `range`: the tokens before it, inside it and after it.
    fn block(&self, range: &Range) -> (Range, Range, Range) {
        let text = self.stretch.text;
        let tokens = self.stretch.tokens.get(range.clone()).unwrap_or(&[]);
        let Some(open) = tokens.iter().position(|token| token.of(text) == "{") else {
            return (range.clone(), range.end..range.end, range.end..range.end);
        };
        let open = range.start + open;
        let close = self.closing(open).filter(|close| *close < range.end);
        let inner = open + 1..close.unwrap_or(range.end);
        (range.start..open, inner, close.map_or(range.end, |close| close + 1)..range.end)
    }

    fn measures(&mut self, range: Range, bad: Option<usize>, sink: &mut Sink<'_>) -> Range {
        let (head, inner, rest) = self.block(&range);
        let (start, end) = self.bytes(&head);
        let kind = match self.parse(Rule::one_measures_head, start, end) {
            Ok(mut pairs) => {
                let mut builder = self.builder(start);
                pairs.next().and_then(|pair| builder.measures_kind(pair).ok())
            }
            Err(stumble) => {
                self.findings.push(stumble.finding());
                None
            }
        };
        let mut members = Vec::new();
        self.lines(FUNCTION, inner, bad, Sink::Function(&mut members));
        if let (Some(kind), Sink::Item(ItemKind::Instrument(meter))) = (kind, sink) {
            meter.members.push(InstrumentMember::Measures { kind, members });
        }
        rest
    }

    /// `if … { … } else if … { … } else { … }`, as far as it goes.
    fn branches(&mut self, range: Range, bad: Option<usize>, sink: &mut Sink<'_>) -> Range {
        let (from, _) = self.bytes(&range);
        let (mut rest, mut arms, mut last, mut sound) = (range, Vec::new(), None, true);
        loop {
            let (head, inner, after) = self.block(&rest);
            let (start, end) = self.bytes(&head);
            let (_, block_end) = self.bytes(&(head.start..after.start));
            let block_place = self.stretch.span(end, block_end);
            let mut steps = Vec::new();
            if head.is_empty() {
                self.lines(STEPS, inner, bad, Sink::Steps(&mut steps));
                last = Some((steps, block_place));
                rest = after;
                break;
            }
            match self.parse(Rule::one_branch_head, start, end) {
                Ok(mut pairs) => {
                    let mut builder = self.builder(start);
                    let condition = pairs.next().and_then(|p| builder.only_expression(p).ok());
                    self.lines(STEPS, inner, bad, Sink::Steps(&mut steps));
                    match condition {
                        Some(condition) => {
                            arms.push((
                                self.stretch.span(start, end),
                                condition,
                                steps,
                                block_place,
                            ));
                        }
                        None => sound = false,
                    }
                }
                Err(stumble) => {
                    sound = false;
                    self.findings.push(stumble.finding());
                    self.lines(STEPS, inner, bad, Sink::Steps(&mut steps));
                }
            }
            rest = after;
            let word = |at: usize| {
                self.stretch
                    .tokens
                    .get(at)
                    .filter(|_| rest.contains(&at))
                    .map_or("", |t| t.of(self.stretch.text))
            };
            if word(rest.start) != "else" || !matches!(word(rest.start + 1), "if" | "{") {
                break;
            }
            rest = rest.start + 1..rest.end;
        }
        if sound {
            let (_, to) = self.bytes(&(0..rest.start));
            let whole = self.stretch.span(from, to);
            let step = self.builder(0).branch_of(whole, arms, last);
            match (step, sink) {
                (Ok(step), Sink::Steps(steps)) => steps.push(step),
                (Ok(step), Sink::Item(ItemKind::Procedure(procedure))) => {
                    procedure.steps.push(step)
                }
                _ => {}
            }
        }
        rest
    }
}
