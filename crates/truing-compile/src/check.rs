//! Everything that is typed: limits, constants, derived quantities, the rules of checks.

use truing_model::Relation;
use truing_syntax::tree::{CheckMember, Expr, Figure, ReadingMember};
use truing_units::{Kind, Measure};

use crate::body;
use crate::context::{Context, Measured};
use crate::limit::RuleIr;
use crate::lint;
use crate::typing::{Allowed, LimitRef, Logic, Num, Typer, kind_place};

/// What can come of a check when it fails.
#[derive(Copy, Clone, Debug, Default, PartialEq, Eq)]
pub(crate) struct Possible {
    pub low: bool,
    pub high: bool,
    pub worn: bool,
}

impl Possible {
    const ALL: Possible = Possible { low: true, high: true, worn: true };

    /// In words, for a mend.
    pub(crate) fn words(self) -> Vec<&'static str> {
        let sides = [(self.low, "low"), (self.high, "high"), (self.worn, "worn"), (true, "fail")];
        sides.into_iter().filter_map(|(can, word)| can.then_some(word)).collect()
    }
}

impl Context<'_> {
    /// Types everything, with a finding for each mistake.
    pub(crate) fn check_all(&self) {
        for (index, item) in self.constants.iter().enumerate() {
            self.constant_num(index, item.first.name.span);
        }
        for (index, item) in self.limits.iter().enumerate() {
            self.limit(index, item.first.name.span);
        }
        for (index, item) in self.derived.iter().enumerate() {
            self.derived_num(index, item.decl.name.span);
        }
        for index in 0..self.checks.len() {
            self.check_rule(index);
        }
        for measured in &self.measured {
            self.check_frequency(measured);
        }
        body::bands(self);
        body::faults(self);
        body::fixes(self);
        body::learned(self);
        body::procedures(self);
    }

    /// What a reading says of the frequency that it is read at.
    fn check_frequency(&self, measured: &Measured<'_>) {
        let typer = Typer::new(self, measured.family.ok().flatten(), Allowed::All);
        for member in measured.members() {
            if let ReadingMember::Frequency(expr) = member {
                let what = format!("`{}` is read at", measured.name().node);
                let place = kind_place(Kind::FREQUENCY, measured.name().span, what);
                measured.frequency.get_or_init(|| typer.number_in(expr, &place));
            }
        }
    }

    fn check_rule(&self, index: usize) {
        let Some(item) = self.checks.get(index) else { return };
        let current = item.family.ok().flatten();
        let typer = Typer::new(self, current, Allowed::All);
        self.check_placeholders(&item.decl.title, item.family);
        item.rule.get_or_init(|| typer.logic(&item.decl.rule));
        for member in &item.decl.members {
            match member {
                CheckMember::When(expr) => item.when.borrow_mut().extend(typer.logic(expr)),
                CheckMember::AppliesIf(expr) => item.applies.borrow_mut().extend(typer.logic(expr)),
                CheckMember::Decide(rule) => self.decide(rule),
                CheckMember::Leak(_) | CheckMember::Slip(_) | CheckMember::Bands(_) => {}
                CheckMember::Advise(text) | CheckMember::Note(text) => {
                    self.check_placeholders(text, item.family);
                }
                CheckMember::Cite(cite) => {
                    self.cites(std::slice::from_ref(cite));
                }
            }
        }
    }

    /// A figure where a quantity of this kind is due.
    pub(crate) fn figure(&self, figure: &Figure, kind: Kind) -> Option<Measure> {
        let num = self.figure_num(figure, kind)?;
        Some(Measure { figure: figure.number, unit: num.shown? })
    }

    pub(crate) fn figure_num(&self, figure: &Figure, kind: Kind) -> Option<Num> {
        let place = kind_place(kind, figure.span, "wanted is");
        Typer::new(self, None, Allowed::Constants).literal(figure, Some(&place))
    }

    /// What can come of a check's rule.
    pub(crate) fn possible(&self, logic: &Logic) -> Possible {
        match logic {
            Logic::Within { limit, .. } => {
                let inline;
                let rule = match limit {
                    LimitRef::Named(index) => {
                        let known = self.limits.get(*index).and_then(|item| item.checked.get());
                        known.and_then(Option::as_ref).map(|ir| &ir.rule)
                    }
                    LimitRef::Inline(index) => {
                        inline = self.inline.borrow();
                        inline.get(*index).map(|ir| &ir.rule)
                    }
                };
                rule.map_or(Possible::ALL, possible_of)
            }
            Logic::Compare(relation, left, _) => {
                let relation =
                    if left.constant().is_some() { turned(*relation) } else { *relation };
                match relation {
                    Relation::Less | Relation::LessOrEqual => {
                        Possible { high: true, ..Possible::default() }
                    }
                    Relation::Greater | Relation::GreaterOrEqual => {
                        Possible { low: true, ..Possible::default() }
                    }
                    Relation::Equal | Relation::NotEqual => Possible::default(),
                }
            }
            _ => Possible::default(),
        }
    }
}

fn possible_of(rule: &RuleIr) -> Possible {
    let of = |band: &truing_model::Band| {
        let outer = band.service.as_ref().unwrap_or(&band.standard);
        Possible {
            low: outer.low.is_some(),
            high: outer.high.is_some(),
            worn: band.service.is_some(),
        }
    };
    let either = |a: Possible, b: Possible| Possible {
        low: a.low || b.low,
        high: a.high || b.high,
        worn: a.worn || b.worn,
    };
    match rule {
        RuleIr::Open | RuleIr::NotSpecified => Possible::ALL,
        RuleIr::Band(band) => of(band),
        RuleIr::Curve(curve) => {
            curve.points.iter().map(|point| of(&point.band)).fold(Possible::default(), either)
        }
        RuleIr::Variants(arms) => {
            arms.iter().map(|arm| possible_of(&arm.rule)).fold(Possible::default(), either)
        }
    }
}

/// The relation with its sides changed.
pub(crate) fn turned(relation: Relation) -> Relation {
    match relation {
        Relation::Less => Relation::Greater,
        Relation::LessOrEqual => Relation::GreaterOrEqual,
        Relation::Greater => Relation::Less,
        Relation::GreaterOrEqual => Relation::LessOrEqual,
        same => same,
    }
}

/// An expression without the parentheses around it.
pub(crate) fn bare(expr: &Expr) -> &Expr {
    match &expr.kind {
        truing_syntax::tree::ExprKind::Parens(inner) => bare(inner),
        _ => expr,
    }
}

impl Context<'_> {
    /// A decision rule's figures.
    pub(crate) fn decide(&self, rule: &truing_syntax::Spanned<truing_syntax::tree::DecideRule>) {
        use truing_syntax::tree::DecideRule;
        match &rule.node {
            DecideRule::Simple => {}
            DecideRule::Guarded(figure) => {
                if let Some(k) = self.ratio(figure)
                    && !(0.0..=100.0).contains(&k)
                {
                    self.findings.push(lint::chance_outside::guard(figure.span));
                }
            }
            DecideRule::At(figure) => {
                if let Some(share) = self.ratio(figure)
                    && !(share > 0.5 && share < 1.0)
                {
                    self.findings.push(lint::chance_outside::decision(figure.span));
                }
            }
        }
    }

    /// A plain figure or a percentage.
    pub(crate) fn ratio(&self, figure: &Figure) -> Option<f64> {
        self.figure_num(figure, Kind::RATIO)?.constant().map(|value| value.value)
    }
}
