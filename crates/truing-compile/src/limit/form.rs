//! The forms of a limit, each made a rule.

use truing_model::{Band, Interval};
use truing_syntax::Span;
use truing_syntax::tree::{Bound, Figure, LimitExpr, LimitForm, Tolerance};
use truing_units::{Exact, Kind, Measure, Rational};

use super::ends::{bound_span, bound_unit, known, tolerance_place};
use super::interval::{Fault, edge, fault, holds, joined};
use super::{ArmIr, LimitIr, RuleIr, contains, variant};
use crate::context::Context;
use crate::lint;
use crate::typing::{Allowed, Arithmetic, Place, Typer, Value};

impl Context<'_> {
    /// A limit of this kind with all that stands behind it.
    pub(crate) fn limit_of(&self, value: &LimitExpr, kind: Kind, place: &Place) -> Option<LimitIr> {
        let rule = self.rule(value, place);
        let (conditions, reference) = self.conditions(value);
        let typical = self.typical(value, rule.as_ref(), place);
        let rule = rule?;
        Some(LimitIr {
            name: None,
            title: None,
            kind,
            by: by_of(&rule),
            unit: self.first_unit(value).unwrap_or_else(|| self.catalogue.coherent_unit(kind)),
            printed: self.files.printed(value.span),
            rule,
            conditions,
            reference,
            typical,
            cites: Vec::new(),
            span: value.span,
        })
    }

    /// What a limit says.
    pub(super) fn rule(&self, value: &LimitExpr, place: &Place) -> Option<RuleIr> {
        let rule = match &value.form {
            LimitForm::NotSpecified => Some(RuleIr::NotSpecified),
            LimitForm::Curve { by, interpolation, points } => {
                self.curve(by, *interpolation, points, place, value.span).map(RuleIr::Curve)
            }
            LimitForm::Variants { arms, otherwise } => {
                let arms = self.arms(arms, otherwise.as_deref(), place)?;
                variant::analyse(self, &arms, value);
                Some(RuleIr::Variants(arms.into_iter().map(|(arm, _)| arm).collect()))
            }
            _ => self.band(value, place).map(|band| RuleIr::Band(Box::new(band))),
        };
        self.also_printed(value, place);
        rule
    }

    /// Arms with the places of their conditions.
    fn arms(
        &self,
        arms: &[(truing_syntax::tree::Expr, LimitExpr)],
        otherwise: Option<&LimitExpr>,
        place: &Place,
    ) -> Option<Vec<(ArmIr, Span)>> {
        let typer = Typer::new(self, None, Allowed::Properties);
        let mut out = Vec::new();
        let mut sound = true;
        for (condition, limit) in arms {
            let logic = typer.logic(condition);
            let rule = self.arm_rule(limit, place);
            match (logic, rule) {
                (Some(logic), Some(rule)) => {
                    let printed = self.files.printed(limit.span);
                    out.push((ArmIr { condition: Some(logic), rule, printed }, condition.span));
                }
                _ => sound = false,
            }
        }
        if let Some(limit) = otherwise {
            match self.arm_rule(limit, place) {
                Some(rule) => {
                    let printed = self.files.printed(limit.span);
                    out.push((ArmIr { condition: None, rule, printed }, limit.span));
                }
                None => sound = false,
            }
        }
        sound.then_some(out)
    }

    fn arm_rule(&self, limit: &LimitExpr, place: &Place) -> Option<RuleIr> {
        self.rule(limit, place)
    }

    /// A limit that is one band.
    pub(super) fn band(&self, value: &LimitExpr, place: &Place) -> Option<Band> {
        match &value.form {
            LimitForm::Graded { standard, service } => self.graded(standard, service, place),
            LimitForm::Joined { left, right, joint } => {
                let left_band = self.part(left, place);
                let right_band = self.part(right, place);
                let band = joined(&left_band?, &right_band?, *joint);
                let parts = [Some(&band.standard), band.service.as_ref()];
                if parts.into_iter().flatten().any(|interval| fault(interval).is_some()) {
                    self.findings.push(lint::empty_interval::finding(value.span));
                    return None;
                }
                Some(band)
            }
            LimitForm::NotSpecified => Some(Band { standard: Interval::default(), service: None }),
            LimitForm::Curve { .. } | LimitForm::Variants { .. } => {
                self.findings.push(lint::curve_ends::no_band(value.span));
                None
            }
            form => {
                let standard = self.interval(form, place, value.span)?;
                Some(Band { standard, service: None })
            }
        }
    }

    /// A part of a graded or joined limit, or a point of a curve, with its second printing.
    pub(super) fn part(&self, value: &LimitExpr, place: &Place) -> Option<Band> {
        let band = self.band(value, place);
        self.also_printed(value, place);
        band
    }

    fn graded(&self, standard: &LimitExpr, service: &LimitExpr, place: &Place) -> Option<Band> {
        let unspecified = |limit: &LimitExpr| limit.form == LimitForm::NotSpecified;
        let (new, worn) = (self.part(standard, place), self.part(service, place));
        let (new, worn) = (new?.standard, worn?.standard);
        if unspecified(standard) {
            return Some(Band { standard: worn, service: None });
        }
        if unspecified(service) {
            return Some(Band { standard: new, service: None });
        }
        if !contains(&worn, &new) {
            self.findings.push(lint::graded_not_nested::finding(service.span, standard.span));
            return None;
        }
        Some(Band { standard: new, service: Some(worn) })
    }

    /// A form that is one interval; others have their finding.
    pub(crate) fn interval(&self, form: &LimitForm, place: &Place, span: Span) -> Option<Interval> {
        let interval = match form {
            LimitForm::AtLeast { bound, exclusive } => Interval {
                low: Some(edge(known(&self.end(bound, None, place)?), *exclusive)),
                high: None,
            },
            LimitForm::AtMost { bound, exclusive } => Interval {
                low: None,
                high: Some(edge(known(&self.end(bound, None, place)?), *exclusive)),
            },
            LimitForm::Range { low, low_exclusive, high, high_exclusive } => {
                let (low, high) = self.both_ends((low, place), (high, place))?;
                Interval {
                    low: Some(edge(known(&low), *low_exclusive)),
                    high: Some(edge(known(&high), *high_exclusive)),
                }
            }
            LimitForm::PlusMinus { nominal, tolerance } => {
                let (nominal, deviation) = self.nominal(nominal, tolerance, place)?;
                self.not_negative(deviation, tolerance)?;
                around(nominal, deviation, deviation)?
            }
            LimitForm::Asymmetric { nominal, plus, minus } => {
                let (at, plus) = self.nominal(nominal, plus, place)?;
                let (_, minus) = self.nominal(nominal, minus, place)?;
                around(at, minus, plus)?
            }
            _ => {
                self.findings.push(lint::curve_ends::no_band(span));
                return None;
            }
        };
        self.sound(&interval, span)?;
        Some(interval)
    }

    fn not_negative(&self, deviation: Value, tolerance: &Tolerance) -> Option<()> {
        if deviation.value >= 0.0 {
            return Some(());
        }
        let span = match tolerance {
            Tolerance::Amount(bound) => bound_span(bound),
            Tolerance::Percent(figure) => figure.span,
        };
        self.findings.push(lint::upside_down_interval::tolerance(span));
        None
    }

    /// A nominal value and a deviation from it.
    fn nominal(
        &self,
        nominal: &Bound,
        tolerance: &Tolerance,
        place: &Place,
    ) -> Option<(Value, Value)> {
        match tolerance {
            Tolerance::Amount(amount) => {
                let deviation_place = tolerance_place(self, place);
                let (nominal, deviation) =
                    self.both_ends((nominal, place), (amount, &deviation_place))?;
                Some((known(&nominal), known(&deviation)))
            }
            Tolerance::Percent(figure) => {
                let num = self.end(nominal, None, place)?;
                if bound_unit(nominal).is_some_and(|unit| matches!(&*unit.node, "%" | "‰")) {
                    self.findings.push(lint::percent_of_percent::finding(
                        bound_span(nominal).to(figure.span),
                    ));
                    return None;
                }
                if num.shown.as_ref().is_some_and(|unit| !unit.offset().is_zero()) {
                    let at = bound_span(nominal).to(figure.span);
                    self.findings.push(lint::point_arithmetic::percent(at));
                    return None;
                }
                let at = known(&num);
                let size = at.applied(truing_model::Function::Abs)?;
                Some((at, size.combined(Arithmetic::Multiply, percent(figure))?))
            }
        }
    }

    fn sound(&self, interval: &Interval, span: Span) -> Option<()> {
        match fault(interval) {
            None => Some(()),
            Some(Fault::UpsideDown) => {
                self.findings.push(lint::upside_down_interval::finding(span));
                None
            }
            Some(Fault::Empty) => {
                self.findings.push(lint::empty_interval::finding(span));
                None
            }
        }
    }

    fn typical(&self, value: &LimitExpr, rule: Option<&RuleIr>, place: &Place) -> Option<Measure> {
        let figure = first_typical(value)?;
        let typer = Typer::new(self, None, Allowed::Constants);
        let num = typer.literal(figure, Some(place))?;
        if let Some(RuleIr::Band(band)) = rule {
            let outer = band.service.as_ref().unwrap_or(&band.standard);
            if !holds(outer, known(&num)) {
                self.findings.push(lint::typical_outside::finding(figure.span, value.span));
            }
        }
        Some(Measure { figure: figure.number, unit: num.shown? })
    }
}

/// The typical value of a limit, wherever the author set it among its parts.
fn first_typical(value: &LimitExpr) -> Option<&Figure> {
    value.typical.as_ref().or_else(|| match &value.form {
        LimitForm::Graded { standard, service } => {
            first_typical(standard).or_else(|| first_typical(service))
        }
        LimitForm::Joined { left, right, .. } => {
            first_typical(left).or_else(|| first_typical(right))
        }
        _ => None,
    })
}

/// Per cent or per mille as a share.
fn percent(figure: &Figure) -> Value {
    let per_mille = figure.unit.as_ref().is_some_and(|unit| &*unit.node == "‰");
    let hundred = Value::integer(if per_mille { 1000 } else { 100 });
    let number = match figure.number.to_rational() {
        Some(rational) => Value::exact(Exact::from(rational)),
        None => Value::rounded(figure.number.to_f64()),
    };
    number
        .combined(Arithmetic::Divide, hundred)
        .unwrap_or(Value::exact(Exact::from(Rational::ZERO)))
}

fn around(nominal: Value, minus: Value, plus: Value) -> Option<Interval> {
    Some(Interval {
        low: Some(edge(nominal.combined(Arithmetic::Subtract, minus)?, false)),
        high: Some(edge(nominal.combined(Arithmetic::Add, plus)?, false)),
    })
}

/// The kind that a rule's curve goes by.
fn by_of(rule: &RuleIr) -> Option<Kind> {
    match rule {
        RuleIr::Curve(curve) => Some(curve.by),
        RuleIr::Variants(arms) => arms.iter().find_map(|arm| by_of(&arm.rule)),
        _ => None,
    }
}
