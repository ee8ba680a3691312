//! The unit calculator: `34 N.m in lbf.ft`.

use std::sync::Arc;

use truing_syntax::tree::{BinaryOperator, Expr, ExprKind, UnitText};
use truing_syntax::{Diagnostic, FileId};
use truing_units::{
    Catalogue, Decimal, Exact, Kind, Measure, Nature, Ty, Unit, convert, figure_text,
    from_coherent, significant_text,
};

use crate::declare;
use crate::files::{Files, Member, ParsedFile};
use crate::lint::{self, Said};
use crate::typing::{Allowed, Num, Place, Typer};

/// What came of a calculation.
#[derive(Clone, Debug, PartialEq)]
pub struct Calculated {
    /// The value in [`Calculated::unit`].
    pub value: f64,
    /// The value in that unit exactly, where it is exact.
    pub exact: Option<Exact>,
    /// The unit that it is given in.
    pub unit: Unit,
    /// Rounded to the digits that the figures deserve, with the unit: `25 lbf.ft`.
    pub text: String,
    /// To ten significant digits, with the unit: `25.07711205 lbf.ft`.
    pub long: String,
    /// What it is, in plain words: `torque`.
    pub kind: String,
}

/// Works out an expression of figures, in the unit `to` if one is given.
///
/// # Errors
/// Findings, as of any expression: kinds that do not go together, an unknown unit, names (there are
/// none here).
pub fn calculate(expr: &Expr, to: Option<&UnitText>) -> Result<Calculated, Vec<Diagnostic>> {
    calculate_in("", expr, to)
}

/// As [`calculate`], where the text that the expression was read from is at hand: findings then
/// quote it.
///
/// # Errors
/// As [`calculate`].
pub fn calculate_in(
    text: &str,
    expr: &Expr,
    to: Option<&UnitText>,
) -> Result<Calculated, Vec<Diagnostic>> {
    let files = alone(expr.span.file, text);
    let cx = declare::declare(&files);
    cx.findings.take();
    let wanted = to.map(|to| (to, cx.unit(to)));
    let typer = Typer::new(&cx, None, Allowed::Constants);
    // `20 degC in degF` is a temperature; so is whatever the wanted unit's first kind is.
    let place = match &wanted {
        Some((text, Some(unit))) if crate::typing::is_literal(expr) => Some(place_of(text, unit)),
        _ => None,
    };
    let soft = place.map(|place| Place { soft: true, ..place });
    let num = typer.number(expr, soft.as_ref());
    let result = match (num, &wanted) {
        (Some(num), None) => shown(&typer, expr, &num, None),
        (Some(num), Some((text, Some(unit)))) => {
            if !fits(&cx.catalogue, num.ty, unit) {
                let there = place_of(text, unit).said;
                let here = Said::new(num.span, num.ty, num.shown.as_ref());
                cx.findings.push(lint::mismatch(&cx, num.span, &here, &there));
            }
            shown(&typer, expr, &num, Some(unit))
        }
        _ => None,
    };
    match result {
        Some(result) if !cx.findings.has_errors() => Ok(result),
        _ => Err(cx.findings.take()),
    }
}

/// The text as the only file, with nothing declared in it.
fn alone(id: FileId, text: &str) -> Files {
    let parsed = ParsedFile {
        id,
        name: "calculation".into(),
        text: text.into(),
        tree: truing_syntax::tree::File { items: Vec::new() },
        findings: Vec::new(),
        unread: Vec::new(),
        torn: Vec::new(),
    };
    let member = Member { parsed: Arc::new(parsed), uses: Default::default(), brought_by: None };
    Files { members: vec![member], incomplete: false }
}

fn place_of(text: &UnitText, unit: &Unit) -> Place {
    let ty = unit.kinds().first().map_or(Ty::Plain(unit.dimension()), |kind| Ty::Kind(*kind));
    let said = Said::named(text.span, format!("`{}` is a unit of", text.node), ty);
    Place { ty, said, soft: false }
}

fn fits(catalogue: &Catalogue, ty: Ty, unit: &Unit) -> bool {
    match ty {
        Ty::Kind(kind) => unit.fits(kind, catalogue),
        Ty::Plain(dimension) => unit.dimension() == dimension,
    }
}

/// The value in a unit: the wanted one, the one that was written, or the coherent one.
fn shown(typer: &Typer<'_, '_>, expr: &Expr, num: &Num, to: Option<&Unit>) -> Option<Calculated> {
    let catalogue = &typer.cx.catalogue;
    let value = num.constant()?;
    let place = catalogue.place(num.ty);
    let unit = match (to, &num.shown) {
        (Some(unit), _) => unit.clone(),
        (None, Some(unit)) => unit.clone(),
        (None, None) => coherent(catalogue, num.ty),
    };
    let exact = value.exact.and_then(|exact| {
        let scaled = exact.checked_div(unit.factor())?;
        match place {
            truing_units::Place::Point => scaled.checked_sub(Exact::from(unit.offset())),
            truing_units::Place::Amount => Some(scaled),
        }
    });
    let plain = exact.map_or_else(|| from_coherent(value.value, &unit, place), Exact::to_f64);
    let long = significant_text(plain, 10);
    let long = match long.contains('.') {
        true => long.trim_end_matches('0').trim_end_matches('.').to_owned(),
        false => long,
    };
    let text = match literal(expr) {
        // One figure keeps the digits that it deserves.
        Some(figure) => {
            let from = catalogue.unit(&figure.unit.as_ref()?.node).ok()?;
            let measure = Measure { figure: figure.number, unit: from };
            let rounded = convert(&measure, &unit, place).ok()?.text;
            let digits = |text: &str| Decimal::parse(text).map_or(0.0, Decimal::to_f64);
            // `1 in` is 25.4 mm, not 30; where nothing is cut off the digits stay as written.
            match short(exact).filter(|short| digits(short) != digits(&rounded)) {
                Some(short) => short,
                None => rounded,
            }
        }
        None => match step(typer, expr).filter(|step| *step > 0.0) {
            Some(step) => figure_text(plain, step / unit.factor().to_f64()),
            None => long.clone(),
        },
    };
    let with_unit = |figure: &str| match unit.symbol() {
        "1" => figure.to_owned(),
        symbol => format!("{figure} {symbol}"),
    };
    Some(Calculated {
        value: plain,
        exact,
        text: with_unit(&text),
        long: with_unit(&long),
        kind: num.ty.words(catalogue),
        unit,
    })
}

/// The unit of a result that was asked for in none: volts over amperes are ohms.
fn coherent(catalogue: &Catalogue, ty: Ty) -> Unit {
    match ty {
        Ty::Kind(kind) => catalogue.coherent_unit(kind),
        Ty::RATIO => catalogue.coherent_unit(Kind::RATIO),
        Ty::Plain(dimension) => {
            let amount = catalogue.kinds().find(|(_, def)| {
                def.dimension == dimension && def.nature == Nature::Amount && !def.unit.is_empty()
            });
            let composed = || catalogue.unit(&dimension.to_string()).ok();
            let named = amount.map(|(kind, _)| catalogue.coherent_unit(kind)).or_else(composed);
            named.unwrap_or_else(|| catalogue.coherent_unit(Kind::RATIO))
        }
    }
}

/// The exact value in full, where that takes at most six significant digits.
fn short(exact: Option<Exact>) -> Option<String> {
    let exact = exact.filter(|exact| exact.pi() == 0)?;
    let text = significant_text(exact.to_f64(), 6);
    let same = Decimal::parse(&text).ok()?.to_rational().map(Exact::from) == Some(exact);
    let trimmed = match text.contains('.') {
        true => text.trim_end_matches('0').trim_end_matches('.').to_owned(),
        false => text,
    };
    same.then_some(trimmed)
}

/// The expression's only figure, if it is nothing else and has a unit.
fn literal(expr: &Expr) -> Option<&truing_syntax::tree::Figure> {
    match &expr.kind {
        ExprKind::Number(figure) if figure.unit.is_some() => Some(figure),
        ExprKind::Parens(inner) => literal(inner),
        _ => None,
    }
}

/// The step that the figures of an expression leave in its value, in the coherent unit: of a sum
/// the coarsest, of a product the coarsest share. `None` where every figure is exact.
fn step(typer: &Typer<'_, '_>, expr: &Expr) -> Option<f64> {
    let share = |of: &Expr| {
        let value = typer.number(of, None)?.constant()?.value;
        Some(step(typer, of)? / value.abs())
    };
    match &expr.kind {
        ExprKind::Number(figure) => {
            let unit = typer.cx.catalogue.unit(&figure.unit.as_ref()?.node).ok()?;
            let one = Measure { figure: figure.number.step(), unit };
            Some(one.coherent(truing_units::Place::Amount))
        }
        ExprKind::Parens(inner) => step(typer, inner),
        ExprKind::Unary { operand, .. } => step(typer, operand),
        ExprKind::Binary { operator, left, right } => match operator.node {
            BinaryOperator::Add | BinaryOperator::Subtract => {
                coarser(step(typer, left), step(typer, right))
            }
            _ => {
                let value = typer.number(expr, None)?.constant()?.value;
                coarser(share(left), share(right)).map(|share| share * value.abs())
            }
        },
        ExprKind::Call { arguments, .. } => {
            let value = typer.number(expr, None)?.constant()?.value;
            let shares = arguments.iter().filter_map(|argument| share(&argument.value));
            shares.reduce(f64::max).map(|share| share * value.abs())
        }
        _ => None,
    }
}

fn coarser(left: Option<f64>, right: Option<f64>) -> Option<f64> {
    match (left, right) {
        (Some(left), Some(right)) => Some(left.max(right)),
        (one, other) => one.or(other),
    }
}
