//! Lines with lines in them: an `if` and its branches, a meter's function.

use super::{FUNCTION, INSTRUMENT, Range, Recovery, STEPS, Sink};
use crate::build::MOST_BRANCHES;
use crate::diagnostic::Diagnostic;
use crate::grammar::Rule;
use crate::slugs;
use crate::tree::{InstrumentMember, ItemKind};

impl Recovery<'_> {
    /// Reads an `if` or a `measures` block by block.
    pub(super) fn inside(&mut self, range: Range, bad: Option<usize>, sink: &mut Sink<'_>) {
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
        let said = std::mem::take(&mut self.said);
        self.lines(FUNCTION, inner, bad, Sink::Function(&mut members));
        self.said = said;
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
            // A chain that is too long is refused below, and read no further.
            if arms.len() > MOST_BRANCHES {
                rest = rest.end..rest.end;
                break;
            }
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
