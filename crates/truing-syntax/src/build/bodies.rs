//! The lines of bodies.

use pest::iterators::Pair;

use super::{Builder, Built, Refused};
use crate::diagnostic::Diagnostic;
use crate::expected;
use crate::grammar::Rule;
use crate::slugs;
use crate::span::{Span, Spanned};
use crate::tree::{
    CaseMember, CheckMember, Expectation, Expr, Extreme, FaultMember, FixMember, LearnedMember,
    Name, OutcomeWord, Path, ReadingMember, Reduction, SpecMember, StateMember, Step, StepKind,
    Years,
};

/// How many `else if` may hang on one `if`: each is a level of the tree.
pub(crate) const MOST_BRANCHES: usize = 128;

/// The lines that may stand once in a body: a second would take the first one's place unseen.
const ONCE: &[Rule] = &[
    Rule::edition,
    Rule::author,
    Rule::decide,
    Rule::takes,
    Rule::during,
    Rule::red,
    Rule::black,
    Rule::plausible,
    Rule::reduce,
    Rule::captured,
    Rule::over,
    Rule::odds,
    Rule::odds_none,
    Rule::odds_other,
    Rule::frequency,
    Rule::circuit,
    Rule::meter,
    Rule::meters,
    Rule::valid,
    Rule::calibration,
    Rule::capture,
    Rule::leads,
    Rule::technique,
    Rule::common,
    Rule::test,
    Rule::input,
    Rule::burden,
    Rule::stays,
    Rule::brings,
    Rule::leak,
    Rule::slip,
    Rule::bands,
    Rule::verify,
    Rule::price,
];

/// How many such lines of one body are looked after.
const MOST_SAID: usize = 128;

impl Builder<'_> {
    /// Refuses a line that stands in this body already and may stand once.
    pub(crate) fn once(&mut self, pair: &Pair<'_, Rule>) -> Built<()> {
        let rule = pair.as_rule();
        if !ONCE.contains(&rule) {
            return Ok(());
        }
        let place = self.span(pair);
        let first = self.said.iter().find(|(said, _)| *said == rule).map(|(_, first)| *first);
        // A body of nothing but such lines has been told often enough.
        if self.said.len() >= MOST_SAID {
            return if first.is_some() { Err(Refused) } else { Ok(()) };
        }
        self.said.push((rule, place));
        let Some(first) = first else { return Ok(()) };
        let word = expected::keyword(rule).unwrap_or_default();
        let finding =
            Diagnostic::error(slugs::SAID_TWICE, place, format!("`{word}` is said twice here"))
                .here("the second time")
                .label(first, "the first time");
        self.refuse(match rule {
            Rule::during => finding.mend("keep one; what is read in two states is two readings"),
            _ => finding.mend("keep one of the two"),
        })
    }

    pub(crate) fn spec_member(&mut self, pair: Pair<'_, Rule>) -> Built<SpecMember> {
        match pair.as_rule() {
            Rule::edition => self.only_text(pair).map(SpecMember::Edition),
            Rule::decide => self.decide(pair).map(SpecMember::Decide),
            Rule::meters => self.only_names(pair).map(SpecMember::Meter),
            Rule::odds_none => {
                let (count, of) = self.two_figures(pair)?;
                Ok(SpecMember::OddsNone { count, of })
            }
            Rule::odds_other => {
                let (count, of) = self.two_figures(pair)?;
                Ok(SpecMember::OddsOther { count, of })
            }
            _ => {
                let mut children = self.children(pair);
                let maker = self.need(&mut children, Rule::string)?;
                let maker = self.text(&maker);
                let model = self.need(&mut children, Rule::string)?;
                let model = self.text(&model);
                let years = match children.take(Rule::years) {
                    Some(years) => Some(self.years(years)?),
                    None => None,
                };
                Ok(SpecMember::Machine { maker, model, years })
            }
        }
    }

    /// `2019 .. 2024`, `2019 ..`, `.. 2024`; `2019` alone is the first and the last.
    fn years(&mut self, pair: Pair<'_, Rule>) -> Built<Years> {
        let mut children = self.children(pair);
        let (mut first, mut last, mut open) = (None, None, false);
        while let Some(part) = children.next_raw() {
            match part.as_rule() {
                Rule::dots => open = true,
                _ => {
                    let span = self.span(&part);
                    // Four digits, says the grammar.
                    let node = part.as_str().parse().unwrap_or(0);
                    let place = if open { &mut last } else { &mut first };
                    *place = Some(Spanned { node, span });
                }
            }
        }
        if !open {
            last.clone_from(&first);
        }
        Ok((first, last))
    }

    /// The name that is the pair's only one: `during spun`.
    pub(crate) fn only_name(&mut self, pair: Pair<'_, Rule>) -> Built<Name> {
        let mut children = self.children(pair);
        let name = self.need(&mut children, Rule::name)?;
        self.name(&name)
    }

    /// The list that is the pair's only one: `caution exhaust, belts`.
    fn only_names(&mut self, pair: Pair<'_, Rule>) -> Built<Vec<Name>> {
        let mut children = self.children(pair);
        let names = self.need(&mut children, Rule::names)?;
        self.name_list(names)
    }

    fn only_paths(&mut self, pair: Pair<'_, Rule>) -> Built<Vec<Path>> {
        let mut children = self.children(pair);
        let paths = self.need(&mut children, Rule::paths)?;
        self.path_list(paths)
    }

    pub(crate) fn only_expression(&mut self, pair: Pair<'_, Rule>) -> Built<Expr> {
        let mut children = self.children(pair);
        let expression = self.need(&mut children, Rule::expr)?;
        self.whole_expression(expression)
    }

    pub(crate) fn state_member(&mut self, pair: Pair<'_, Rule>) -> Built<StateMember> {
        match pair.as_rule() {
            Rule::from => self.only_names(pair).map(StateMember::From),
            Rule::takes => self.only_figure(pair).map(StateMember::Takes),
            Rule::stays => Ok(StateMember::Stays),
            Rule::brings => Ok(StateMember::Brings),
            Rule::waived => self.waived(pair),
            Rule::cautions => self.only_names(pair).map(StateMember::Caution),
            _ => self.only_text(pair).map(StateMember::Note),
        }
    }

    pub(crate) fn reading_member(&mut self, pair: Pair<'_, Rule>) -> Built<ReadingMember> {
        match pair.as_rule() {
            Rule::during => self.only_name(pair).map(ReadingMember::During),
            Rule::red => self.only_text(pair).map(ReadingMember::Red),
            Rule::black => self.only_text(pair).map(ReadingMember::Black),
            Rule::with => self.only_paths(pair).map(ReadingMember::With),
            Rule::takes => self.only_figure(pair).map(ReadingMember::Takes),
            Rule::over => self.only_name(pair).map(ReadingMember::Over),
            Rule::tool => self.only_text(pair).map(ReadingMember::Tool),
            Rule::cautions => self.only_names(pair).map(ReadingMember::Caution),
            Rule::frequency => {
                self.only_expression(pair).map(|expr| ReadingMember::Frequency(Box::new(expr)))
            }
            Rule::circuit => {
                let (resistance, doubt) = self.figure_and_doubt(pair)?;
                Ok(ReadingMember::Circuit { resistance, doubt })
            }
            Rule::plausible => {
                let mut children = self.children(pair);
                let band = self.need_any(&mut children)?;
                self.form(band).map(|form| ReadingMember::Plausible(Box::new(form)))
            }
            Rule::reduce => {
                let mut children = self.children(pair);
                let word = self.need(&mut children, Rule::reduction)?;
                let span = self.span(&word);
                let node = match word.as_str() {
                    "min" => Reduction::Min,
                    "max" => Reduction::Max,
                    _ => Reduction::Mean,
                };
                Ok(ReadingMember::Reduce(Spanned { node, span }))
            }
            Rule::captured => {
                let mut children = self.children(pair);
                let word = self.need(&mut children, Rule::extreme)?;
                let span = self.span(&word);
                let node = if word.as_str() == "min" { Extreme::Min } else { Extreme::Max };
                Ok(ReadingMember::Capture(Spanned { node, span }))
            }
            _ => self.only_text(pair).map(ReadingMember::Note),
        }
    }

    pub(crate) fn check_member(&mut self, pair: Pair<'_, Rule>) -> Built<CheckMember> {
        match pair.as_rule() {
            Rule::when => self.only_expression(pair).map(CheckMember::When),
            Rule::applies => self.only_expression(pair).map(CheckMember::AppliesIf),
            Rule::decide => self.decide(pair).map(CheckMember::Decide),
            Rule::leak => self.leak(pair).map(CheckMember::Leak),
            Rule::slip => self.only_figure(pair).map(CheckMember::Slip),
            Rule::bands => self.bands(pair).map(CheckMember::Bands),
            Rule::advise => self.only_text(pair).map(CheckMember::Advise),
            Rule::cite => self.cite(pair).map(CheckMember::Cite),
            _ => self.only_text(pair).map(CheckMember::Note),
        }
    }

    pub(crate) fn fault_member(&mut self, pair: Pair<'_, Rule>) -> Built<FaultMember> {
        match pair.as_rule() {
            Rule::odds => {
                let (count, of) = self.two_figures(pair)?;
                Ok(FaultMember::Odds { count, of })
            }
            Rule::makes => {
                let mut children = self.children(pair);
                let check = self.need(&mut children, Rule::path)?;
                let check = self.path(check)?;
                let word = self.need(&mut children, Rule::effect)?;
                let effect = self.effect(&word);
                let chance = self.chance(&mut children)?;
                Ok(FaultMember::Makes { check, effect, chance })
            }
            Rule::fixes => self.only_names(pair).map(FaultMember::Fix),
            Rule::cautions => self.only_names(pair).map(FaultMember::Caution),
            _ => self.only_text(pair).map(FaultMember::Note),
        }
    }

    pub(crate) fn fix_member(&mut self, pair: Pair<'_, Rule>) -> Built<FixMember> {
        match pair.as_rule() {
            Rule::part => self.only_text(pair).map(FixMember::Part),
            Rule::takes => self.only_figure(pair).map(FixMember::Takes),
            Rule::verify => self.only_figure(pair).map(FixMember::Verify),
            Rule::price => self.only_figure(pair).map(FixMember::Price),
            Rule::proves => self.only_paths(pair).map(FixMember::Proves),
            Rule::cautions => self.only_names(pair).map(FixMember::Caution),
            _ => self.only_text(pair).map(FixMember::Note),
        }
    }

    /// A line of what was learned.
    pub(crate) fn learned_member(&mut self, pair: Pair<'_, Rule>) -> Built<LearnedMember> {
        match pair.as_rule() {
            Rule::edition => self.only_text(pair).map(LearnedMember::Edition),
            Rule::author => self.only_figure(pair).map(LearnedMember::Author),
            Rule::cause => {
                let mut children = self.children(pair);
                let fault = self.need(&mut children, Rule::path)?;
                let fault = self.path(fault)?;
                Ok(LearnedMember::Cause { fault, jobs: self.need_figure(&mut children)? })
            }
            _ => {
                let mut children = self.children(pair);
                let fault = self.need(&mut children, Rule::path)?;
                let fault = self.path(fault)?;
                let check = self.need(&mut children, Rule::path)?;
                let check = self.path(check)?;
                let word = self.need(&mut children, Rule::effect)?;
                let effect = self.effect(&word);
                let seen = self.need_figure(&mut children)?;
                let judged = self.need_figure(&mut children)?;
                Ok(LearnedMember::Shows { fault, check, effect, seen, judged })
            }
        }
    }

    /// One step of a procedure.
    pub(crate) fn step(&mut self, pair: Pair<'_, Rule>) -> Built<Step> {
        let span = self.span(&pair);
        let inner = self.children(pair).next_raw();
        let Some(inner) = inner else { return self.mismatch(span, Rule::step) };
        let kind = match inner.as_rule() {
            Rule::take => StepKind::Take(self.only_paths(inner)?),
            Rule::advise => StepKind::Advise(self.only_text(inner)?),
            Rule::suspect => StepKind::Suspect(self.only_paths(inner)?),
            Rule::cautions => StepKind::Caution(self.only_names(inner)?),
            Rule::branch => return self.branch(inner),
            _ => StepKind::Stop,
        };
        Ok(Step { kind, span })
    }

    fn branch(&mut self, pair: Pair<'_, Rule>) -> Built<Step> {
        let mut children = self.children(pair);
        let mut arms = Vec::new();
        while let Some(head) = children.take(Rule::branch_head) {
            let start = self.span(&head);
            let condition = self.only_expression(head)?;
            let block = self.need(&mut children, Rule::block)?;
            let end = self.span(&block);
            arms.push((start, condition, self.block(block)?, end));
        }
        let last = match children.take(Rule::block) {
            Some(block) => {
                let end = self.span(&block);
                Some((self.block(block)?, end))
            }
            None => None,
        };
        self.branch_of(children.whole, arms, last)
    }

    /// An `if` from its arms, the last first: what comes after an arm is its `otherwise`.
    pub(crate) fn branch_of(
        &mut self,
        whole: Span,
        arms: Vec<(Span, Expr, Vec<Step>, Span)>,
        last: Option<(Vec<Step>, Span)>,
    ) -> Built<Step> {
        if arms.len() > MOST_BRANCHES {
            return self.refuse(
                Diagnostic::error(
                    slugs::NESTED_TOO_DEEP,
                    whole,
                    format!("this `if` has {} branches; it may have {MOST_BRANCHES}", arms.len()),
                )
                .mend("split the procedure"),
            );
        }
        let (mut otherwise, mut end) = match last {
            Some((steps, end)) => (Some(steps), Some(end)),
            None => (None, None),
        };
        for (start, condition, then, arm_end) in arms.into_iter().rev() {
            let span = start.to(end.unwrap_or(arm_end));
            let step = Step { kind: StepKind::If { condition, then, otherwise }, span };
            otherwise = Some(vec![step]);
            end = Some(span);
        }
        match otherwise.and_then(|mut steps| steps.pop()) {
            Some(step) => Ok(step),
            None => self.mismatch(whole, Rule::branch),
        }
    }

    fn block(&mut self, pair: Pair<'_, Rule>) -> Built<Vec<Step>> {
        let mut children = self.children(pair);
        let mut steps = Vec::new();
        while let Some(step) = children.take(Rule::step) {
            steps.push(self.step(step)?);
        }
        Ok(steps)
    }

    pub(crate) fn case_member(&mut self, pair: Pair<'_, Rule>) -> Built<CaseMember> {
        match pair.as_rule() {
            Rule::meter => self.only_name(pair).map(CaseMember::Meter),
            Rule::decide => self.decide(pair).map(CaseMember::Decide),
            Rule::note => self.only_text(pair).map(CaseMember::Note),
            Rule::given => {
                let mut children = self.children(pair);
                let path = self.need(&mut children, Rule::path)?;
                let path = self.path(path)?;
                let value = self.need(&mut children, Rule::reading_value)?;
                Ok(CaseMember::Given { path, value: self.reading_value(value)? })
            }
            _ => {
                let span = self.span(&pair);
                let node = self.expectation(pair)?;
                Ok(CaseMember::Expect(Spanned { node, span }))
            }
        }
    }

    fn expectation(&mut self, pair: Pair<'_, Rule>) -> Built<Expectation> {
        let mut children = self.children(pair);
        let said = self.need_any(&mut children)?;
        let rule = said.as_rule();
        let mut parts = self.children(said);
        let path = self.need(&mut parts, Rule::path)?;
        let path = self.path(path)?;
        if rule == Rule::expect_suspect {
            let first = parts.has(Rule::k_first);
            let at_least = match parts.take(Rule::figure) {
                Some(figure) => Some(self.figure(figure)?),
                None => None,
            };
            return Ok(Expectation::Suspect { fault: path, first, at_least });
        }
        let what = self.need_any(&mut parts)?;
        if what.as_rule() == Rule::figure {
            return Ok(Expectation::Value { path, value: self.figure(what)? });
        }
        let span = self.span(&what);
        match outcome_word(what) {
            Some(node) => Ok(Expectation::Outcome { check: path, outcome: Spanned { node, span } }),
            None => self.mismatch(span, Rule::outcome),
        }
    }
}

fn outcome_word(pair: Pair<'_, Rule>) -> Option<OutcomeWord> {
    let mut words = pair.into_inner();
    let first = words.next()?.as_rule();
    let second = words.next();
    Some(match (first, second.as_ref().map(|word| (word.as_rule(), word.as_str()))) {
        (Rule::k_within, _) => OutcomeWord::Within,
        (Rule::k_worn, _) => OutcomeWord::Worn,
        (Rule::k_outside, None) => OutcomeWord::Outside,
        (Rule::k_outside, Some((_, "low"))) => OutcomeWord::OutsideLow,
        (Rule::k_outside, Some(_)) => OutcomeWord::OutsideHigh,
        (Rule::k_undecided, _) => OutcomeWord::Undecided,
        (Rule::k_blocked, _) => OutcomeWord::Blocked,
        (Rule::k_passes, _) => OutcomeWord::Passes,
        (Rule::k_fails, _) => OutcomeWord::Fails,
        (Rule::k_not, Some((Rule::k_taken, _))) => OutcomeWord::NotTaken,
        (Rule::k_not, Some(_)) => OutcomeWord::NotApplicable,
        _ => return None,
    })
}
