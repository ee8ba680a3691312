//! Derived quantities and checks of every member, and the order in which checks are judged.

use truing_model::{Check, CheckId, CheckRule, Derived, LogicId};
use truing_syntax::Span;
use truing_syntax::tree::{CheckMember, Expr, ExprKind};
use truing_units::{Dimension, Kind, Ty, Unit};

use super::nodes::instance;
use super::{Instance, Lowered, Lowering, Reach, decide};
use crate::check::{bare, turned};
use crate::context::{CheckItem, Context};
use crate::lint;
use crate::typing::{Logic, Num};

impl Lowering<'_, '_> {
    pub(super) fn derived(&mut self) {
        let cx = self.cx;
        for (index, item) in cx.derived.iter().enumerate() {
            let Some(num) = item.checked.get().and_then(Option::as_ref) else { continue };
            let name = item.decl.name.node.to_string();
            for member in 0..cx.size(item.family) {
                let Some(number) = self.derived_node(index, member) else { continue };
                let label = cx.member_label(item.family, member).map(str::to_owned);
                let slots =
                    Reach::knowing(&self.parts, &self.derived_slots).slots_of_number(number);
                self.derived_slots.insert(number, self.parts.derived.len());
                self.parts.derived.push(Derived {
                    label: labelled(&name, label.as_deref()),
                    name: name.clone(),
                    member: label,
                    title: item
                        .decl
                        .title
                        .as_ref()
                        .map(|text| cx.fill(&text.node, item.family, member)),
                    number,
                    ty: num.ty,
                    unit: num.shown.clone().unwrap_or_else(|| coherent(cx, num.ty)),
                    slots,
                    cites: cx.quiet_cites(&item.decl.cites),
                });
            }
        }
    }

    /// A derived quantity is shown in the unit of what judges it.
    pub(super) fn units_of_derived(&mut self) {
        for item in &self.cx.derived {
            let Some(unit) = item.shown_in.borrow().clone() else { continue };
            for derived in &mut self.parts.derived {
                if *derived.name == *item.decl.name.node {
                    derived.unit = unit.clone();
                }
            }
        }
    }

    pub(super) fn checks(&mut self) {
        let cx = self.cx;
        for item in &cx.checks {
            let rule = item.rule.get().and_then(Option::as_ref);
            for member in 0..cx.size(item.family) {
                let at = instance(item.family, member);
                let lowered = rule.and_then(|rule| self.check_rule(item, rule, member, at));
                self.sound.push(lowered.is_some());
                // A check whose rule has a mistake keeps its place; there is no spec then.
                let lowered = lowered.unwrap_or_else(|| CheckRule::Logic {
                    logic: self.push_logic(truing_model::LogicNode::Constant(true)),
                    label: String::new(),
                });
                let check = self.check(item, lowered, member, at);
                self.parts.checks.push(check);
            }
        }
    }

    fn check(
        &mut self,
        item: &CheckItem<'_>,
        rule: CheckRule,
        member: usize,
        at: Instance,
    ) -> Check {
        let cx = self.cx;
        let (name, label) = (
            item.decl.name.node.to_string(),
            cx.member_label(item.family, member).map(str::to_owned),
        );
        let when = self.all_of(&item.when.borrow(), at);
        let applies = self.all_of(&item.applies.borrow(), at);
        let fill = |text: &str| cx.fill(text, item.family, member);
        let mut check = Check {
            label: labelled(&name, label.as_deref()),
            name,
            member: label,
            title: fill(&item.decl.title.node),
            slots: Reach::knowing(&self.parts, &self.derived_slots).slots_of_rule(&rule),
            rule,
            when,
            applies,
            decide: None,
            advise: Vec::new(),
            notes: Vec::new(),
            cites: Vec::new(),
        };
        for member in &item.decl.members {
            match member {
                CheckMember::Decide(rule) => check.decide = decide(cx, &rule.node),
                CheckMember::Advise(text) => check.advise.push(fill(&text.node)),
                CheckMember::Note(text) => check.notes.push(fill(&text.node)),
                CheckMember::Cite(cite) => {
                    // Its mistakes were reported when the check was typed.
                    check.cites.extend(cx.quiet_cites(std::slice::from_ref(cite)));
                }
                CheckMember::When(_)
                | CheckMember::AppliesIf(_)
                | CheckMember::Leak(_)
                | CheckMember::Slip(_)
                | CheckMember::Bands(_) => {}
            }
        }
        check
    }

    fn all_of(&mut self, conditions: &[Logic], at: Instance) -> Option<LogicId> {
        let ids: Vec<LogicId> =
            conditions.iter().filter_map(|logic| self.logic(logic, at)).collect();
        match ids.as_slice() {
            [] => None,
            [one] => Some(*one),
            _ => Some(self.push_logic(truing_model::LogicNode::All(ids))),
        }
    }

    fn check_rule(
        &mut self,
        item: &CheckItem<'_>,
        rule: &Logic,
        member: usize,
        at: Instance,
    ) -> Option<CheckRule> {
        let cx = self.cx;
        let written = bare(&item.decl.rule);
        let label = |span: Span| cx.fill_index(&cx.files.printed(span), item.family, member);
        match (rule, sides(written)) {
            (Logic::Within { subject, limit, at: place }, Some((left, _))) => {
                Some(CheckRule::Within {
                    subject: self.number(subject, at)?,
                    subject_label: label(left),
                    limit: self.limit_id(*limit)?,
                    at: match place {
                        Some(place) => Some(self.number(place, at)?),
                        None => None,
                    },
                })
            }
            (Logic::Compare(relation, left, right), Some((left_span, right_span))) => {
                // The side that is measured is judged: `10 % >= imbalance` reads the other way.
                let turn = left.constant().is_some();
                let (subject, against) = if turn { (right, left) } else { (left, right) };
                let (subject_span, against_span) =
                    if turn { (right_span, left_span) } else { (left_span, right_span) };
                let unit = shown(cx, subject, against);
                let ty = truing_units::comparable(&cx.catalogue, subject.ty, against.ty).ok()?;
                Some(CheckRule::Compare {
                    subject: self.number(subject, at)?,
                    subject_label: label(subject_span),
                    relation: if turn { turned(*relation) } else { *relation },
                    against: self.number(against, at)?,
                    against_label: label(against_span),
                    unit,
                    ty,
                })
            }
            _ => {
                let logic = self.logic(rule, at)?;
                Some(CheckRule::Logic { logic, label: label(written.span) })
            }
        }
    }

    /// Every check behind those it asks about; a circle is a finding.
    pub(super) fn order(&mut self) {
        let mut order = Order::new(&self.parts);
        for id in 0..self.parts.checks.len() {
            order.visit(id, &mut Vec::new());
        }
        let circles = std::mem::take(&mut order.circles);
        self.parts.order = order.done;
        let mut reported = Vec::new();
        for circle in circles {
            let names: Vec<&str> = circle
                .iter()
                .filter_map(|id| self.parts.checks.get(*id).map(|check| &*check.name))
                .collect();
            let first = self.cx.checks.iter().find(|item| names.contains(&&*item.decl.name.node));
            let Some(first) = first.filter(|item| !reported.contains(&item.first_check)) else {
                continue;
            };
            reported.push(first.first_check);
            let mut names = names;
            names.dedup();
            self.cx.findings.push(lint::check_cycle::checks(&first.decl.name, &names));
        }
    }
}

/// The checks in an order in which each stands behind those that it asks about.
struct Order {
    asks: Vec<Vec<usize>>,
    state: Vec<Mark>,
    done: Vec<CheckId>,
    circles: Vec<Vec<usize>>,
}

#[derive(Copy, Clone, PartialEq, Eq)]
enum Mark {
    New,
    Open,
    Done,
}

impl Order {
    fn new(parts: &truing_model::SpecParts) -> Self {
        let mut reach = Reach::of(parts);
        let asks = parts.checks.iter().map(|check| reach.checks_of(check)).collect();
        let state = vec![Mark::New; parts.checks.len()];
        Self { asks, state, done: Vec::new(), circles: Vec::new() }
    }

    /// Depth first, on a stack of its own: a chain of checks may be as long as the file.
    fn visit(&mut self, start: usize, stack: &mut Vec<(usize, usize)>) {
        if self.state.get(start) != Some(&Mark::New) {
            return;
        }
        stack.push((start, 0));
        self.mark(start, Mark::Open);
        while let Some((check, next)) = stack.last_mut() {
            let (check, place) = (*check, *next);
            *next += 1;
            let Some(asked) = self.asks.get(check).and_then(|asks| asks.get(place)).copied() else {
                self.mark(check, Mark::Done);
                self.done.push(CheckId(check as u32));
                stack.pop();
                continue;
            };
            match self.state.get(asked) {
                Some(Mark::New) => {
                    self.mark(asked, Mark::Open);
                    stack.push((asked, 0));
                }
                Some(Mark::Open) => {
                    let from = stack.iter().position(|(open, _)| *open == asked).unwrap_or(0);
                    self.circles.push(stack.iter().skip(from).map(|(open, _)| *open).collect());
                }
                _ => {}
            }
        }
    }

    fn mark(&mut self, check: usize, mark: Mark) {
        if let Some(state) = self.state.get_mut(check) {
            *state = mark;
        }
    }
}

/// Where the two sides of a rule stand.
fn sides(rule: &Expr) -> Option<(Span, Span)> {
    match &rule.kind {
        ExprKind::Within { subject, .. } => Some((subject.span, rule.span)),
        ExprKind::Binary { left, right, .. } => Some((left.span, right.span)),
        _ => None,
    }
}

/// The unit that a comparison is shown in: the one that is written, else the coherent one.
fn shown(cx: &Context<'_>, subject: &Num, against: &Num) -> Unit {
    against.shown.clone().or_else(|| subject.shown.clone()).unwrap_or_else(|| {
        match (subject.ty, against.ty) {
            (Ty::Plain(_), ty @ Ty::Kind(_)) | (ty, _) => coherent(cx, ty),
        }
    })
}

/// The coherent unit of a type.
pub(super) fn coherent(cx: &Context<'_>, ty: Ty) -> Unit {
    let kind = match ty {
        Ty::Kind(kind) => kind,
        Ty::Plain(Dimension::NONE) => Kind::RATIO,
        Ty::Plain(dimension) => match cx.catalogue.unit(&dimension.to_string()) {
            Ok(unit) => return unit,
            Err(_) => Kind::RATIO,
        },
    };
    cx.catalogue.coherent_unit(kind)
}

/// `name[member]`
pub(super) fn labelled(name: &str, member: Option<&str>) -> String {
    match member {
        Some(member) => format!("{name}[{member}]"),
        None => name.to_owned(),
    }
}

impl Lowered {
    /// Whether the check's rule could be lowered.
    pub(crate) fn is_sound(&self, check: usize) -> bool {
        self.sound.get(check).copied().unwrap_or(false)
    }
}
