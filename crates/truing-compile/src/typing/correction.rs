//! The corrections of the trade: laws of windings, thermometers and the air.

use truing_engine::law_at;
use truing_model::Law;
use truing_syntax::Span;
use truing_syntax::tree::{Argument, Expr, ExprKind};
use truing_units::{Decimal, Exact, Kind, Rational, Ty};

use super::{Arithmetic, Num, NumKind, Place, Typer, Value, kind_place};
use crate::functions::{FunctionRow, material};
use crate::lint::{self, Said};

/// Arguments by label, in the order of the labels; `None` was not given.
type Labelled<'e, const N: usize> = [Option<&'e Expr>; N];

/// From what kind to what kind a law leads.
const fn kinds(law: Law) -> (Kind, Kind) {
    match law {
        Law::Platinum { .. } | Law::Beta { .. } => (Kind::RESISTANCE, Kind::TEMPERATURE),
        Law::ThermocoupleK { .. } => (Kind::DC_VOLTAGE, Kind::TEMPERATURE),
        Law::StandardPressure => (Kind::LENGTH, Kind::ABSOLUTE_PRESSURE),
    }
}

impl Typer<'_, '_> {
    /// A law of one quantity; what the call says of its constants stands for those of the row.
    pub(super) fn law(
        &self,
        law: Law,
        row: &FunctionRow,
        arguments: &[Argument],
        span: Span,
    ) -> Option<Num> {
        let (from, to) = kinds(law);
        let (of, law) = match law {
            Law::Platinum { .. } | Law::StandardPressure => {
                let (of, []) = self.arguments(row, arguments, [], Some(span))?;
                (of?, Some(law))
            }
            Law::ThermocoupleK { reference } => {
                let (of, [at]) = self.arguments(row, arguments, ["reference"], Some(span))?;
                let reference =
                    self.law_constant(at, Kind::TEMPERATURE, "`reference:` is", span, reference);
                (of?, reference.map(|reference| Law::ThermocoupleK { reference }))
            }
            Law::Beta { resistance, at, beta } => {
                let (of, [r, t, b]) =
                    self.arguments(row, arguments, ["r", "at", "beta"], Some(span))?;
                let r = self.law_constant(r, Kind::RESISTANCE, "`r:` is", span, resistance);
                let at = self.law_constant(t, Kind::TEMPERATURE, "`at:` is", span, at);
                let kelvins = Kind::TEMPERATURE_DIFFERENCE;
                let beta = self.law_constant(b, kelvins, "`beta:` is", span, beta);
                let law = r.zip(at).zip(beta);
                (of?, law.map(|((resistance, at), beta)| Law::Beta { resistance, at, beta }))
            }
        };
        let of = self.number_in(of, &kind_place(from, span, format!("`{}` takes", row.name)));
        let (law, of) = (law?, of?);
        if !self.is_sound(law, span) {
            return None;
        }
        let kind = match of.constant() {
            None => NumKind::Law(law, Box::new(of)),
            Some(value) => match law_at(law, value.value) {
                Ok(at) => NumKind::Constant(Value::rounded(at.value)),
                Err(outside) => {
                    self.cx.findings.push(lint::no_value::outside_law(of.span, &outside));
                    return None;
                }
            },
        };
        Some(Num { kind, ty: Ty::Kind(to), span, shown: None })
    }

    /// A constant of a law: as given, else as the row has it. `None` where a finding was made.
    fn law_constant(
        &self,
        given: Option<&Expr>,
        kind: Kind,
        what: &'static str,
        span: Span,
        usual: f64,
    ) -> Option<f64> {
        let Some(given) = given else { return Some(usual) };
        let num = self.constant_in(given, &kind_place(kind, span, what))?;
        num.constant().map(|value| value.value)
    }

    /// Whether the constants make a law: at the point that they state it has to hold.
    fn is_sound(&self, law: Law, span: Span) -> bool {
        let point = match law {
            Law::Platinum { nominal: resistance } | Law::Beta { resistance, .. } => resistance,
            Law::ThermocoupleK { .. } | Law::StandardPressure => 0.0,
        };
        match law_at(law, point) {
            Ok(_) => true,
            Err(outside) => {
                self.cx.findings.push(lint::no_value::outside_law(span, &outside));
                false
            }
        }
    }

    /// R·(k + to)/(k + from), temperatures in °C (IEC 60028).
    pub(super) fn refer(
        &self,
        row: &FunctionRow,
        arguments: &[Argument],
        span: Span,
    ) -> Option<Num> {
        let (resistance, given) =
            self.arguments(row, arguments, ["from", "to", "of"], Some(span))?;
        let [Some(from), Some(to), Some(of)] = given else {
            return self.too_few(row, arguments, span, 4);
        };
        let takes = |kind, what| kind_place(kind, span, what);
        let resistance = self.number_in(resistance?, &takes(Kind::RESISTANCE, "`refer` takes"));
        let from = self.number_in(from, &takes(Kind::TEMPERATURE, "`from:` is"));
        let to = self.number_in(to, &takes(Kind::TEMPERATURE, "`to:` is"));
        let k = self.material(of);
        let (resistance, from, to, k) = (resistance?, from?, to?, k?);
        let shown = resistance.shown.clone();
        let kind = NumKind::Refer {
            resistance: Box::new(resistance),
            from: Box::new(from),
            to: Box::new(to),
            k,
        };
        Some(Num { kind, ty: Ty::Kind(Kind::RESISTANCE), span, shown })
    }

    /// (R2/R1)·(k + t1) − k, temperatures in °C (IEC 60034-1, 8.6.2; from memory). The nodes carry
    /// kelvins, so that k − 273.15 stands for k.
    pub(super) fn hot_temperature(
        &self,
        row: &FunctionRow,
        arguments: &[Argument],
        span: Span,
    ) -> Option<Num> {
        let (_, given) = self.arguments(row, arguments, ["hot", "cold", "at", "of"], None)?;
        let [Some(hot), Some(cold), Some(at), Some(of)] = given else {
            return self.too_few(row, arguments, span, 4);
        };
        let takes = |kind, what| kind_place(kind, span, what);
        let hot = self.number_in(hot, &takes(Kind::RESISTANCE, "`hot:` is"));
        let cold = self.number_in(cold, &takes(Kind::RESISTANCE, "`cold:` is"));
        let at = self.number_in(at, &takes(Kind::TEMPERATURE, "`at:` is"));
        let k = self.material(of);
        let (hot, cold, at, k) = (hot?, cold?, at?, k?);
        let zero = Value::exact(Exact::from(Rational::new(27315, 100)?));
        let offset = k.combined(Arithmetic::Subtract, zero)?;
        let num = |kind| Num { kind, ty: Ty::RATIO, span, shown: None };
        let offset = num(NumKind::Constant(offset));
        let warm = num(self.combined(Arithmetic::Add, at, offset.clone())?);
        let ratio = num(self.combined(Arithmetic::Divide, hot, cold)?);
        let above = num(self.combined(Arithmetic::Multiply, ratio, warm)?);
        let kind = self.combined(Arithmetic::Subtract, above, offset)?;
        Some(Num { kind, ty: Ty::Kind(Kind::TEMPERATURE), span, shown: None })
    }

    /// Sorts arguments by label. With `one`, the span of the call, there is exactly one without a
    /// label, else none. `None` where a finding was made.
    fn arguments<'e, const N: usize>(
        &self,
        row: &FunctionRow,
        arguments: &'e [Argument],
        labels: [&'static str; N],
        one: Option<Span>,
    ) -> Option<(Option<&'e Expr>, Labelled<'e, N>)> {
        let findings = &self.cx.findings;
        let mut bare = None;
        let mut labelled: Labelled<'e, N> = [None; N];
        let mut sound = true;
        for argument in arguments {
            let Some(label) = &argument.label else {
                let at = argument.value.span;
                match (one, bare) {
                    (Some(_), None) => bare = Some(&argument.value),
                    (Some(span), Some(_)) if labels.is_empty() => {
                        findings.push(lint::wrong_argument::number(span, row, arguments.len(), 1));
                        self.look_at(arguments);
                        return None;
                    }
                    (Some(_), Some(_)) => {
                        sound = false;
                        findings.push(lint::wrong_argument::unlabelled(at, row.name, &labels));
                    }
                    (None, _) => {
                        sound = false;
                        findings.push(lint::wrong_argument::by_label(at, row.name, &labels));
                    }
                }
                continue;
            };
            let slot = labels.iter().position(|known| *known == &*label.node);
            match slot.and_then(|slot| labelled.get_mut(slot)) {
                Some(place) if place.is_none() => *place = Some(&argument.value),
                Some(_) => {
                    sound = false;
                    findings.push(lint::wrong_argument::twice(label));
                }
                None => {
                    sound = false;
                    findings.push(lint::wrong_argument::label(label, row.name, &labels));
                }
            }
        }
        if let Some(span) = one
            && bare.is_none()
            && sound
        {
            let wanted = if row.form == crate::functions::Form::Refer { 4 } else { 1 };
            findings.push(lint::wrong_argument::number(span, row, arguments.len(), wanted));
            sound = false;
        }
        if !sound {
            self.look_at(arguments);
            return None;
        }
        Some((bare, labelled))
    }

    fn too_few(
        &self,
        row: &FunctionRow,
        arguments: &[Argument],
        span: Span,
        wanted: usize,
    ) -> Option<Num> {
        self.cx.findings.push(lint::wrong_argument::number(span, row, arguments.len(), wanted));
        self.look_at(arguments);
        None
    }

    /// k of a material, by its name or as a number in °C.
    fn material(&self, of: &Expr) -> Option<Value> {
        if let ExprKind::Name(path) = &of.kind
            && path.index.is_none()
            && self.cx.scope.get(&path.name.node).is_none()
        {
            let Some((digits, exponent)) = material(&path.name.node) else {
                self.cx.findings.push(lint::wrong_argument::material(&path.name));
                return None;
            };
            let rational = Decimal::new(i128::from(digits), exponent).to_rational()?;
            return Some(Value::exact(Exact::from(rational)));
        }
        let said = Said::words(of.span, "`of:` is a material, or the number k in °C");
        let num = self.constant_in(of, &Place { ty: Ty::RATIO, said, soft: false })?;
        num.constant()
    }
}
