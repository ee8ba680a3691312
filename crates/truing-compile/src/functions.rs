//! The functions of the language: one row each.

use std::sync::LazyLock;

use truing_model::{Fold, Function};
use truing_units::{Conversion, conversions};

/// What a function does with the kinds of its arguments.
#[derive(Copy, Clone, Debug, PartialEq)]
pub enum Form {
    /// Several numbers of one kind, or a family, made one.
    Fold(Fold),
    /// A number of any kind that has a true zero; the same kind comes of it.
    Keeps(Function),
    /// A number without dimension; the same comes of it.
    Bare(Function),
    /// A root: the dimension halves.
    Root,
    /// A resistance at another temperature.
    Refer,
    /// The frequency of a shaft, or of the alternator on it.
    FrequencyOf,
    /// From one kind to another by a constant factor.
    Converts(&'static Conversion),
}

/// One function.
#[derive(Copy, Clone, Debug, PartialEq)]
pub struct FunctionRow {
    /// Its name.
    pub name: &'static str,
    /// What it takes, in words.
    pub takes: &'static str,
    /// What it gives, in words.
    pub gives: &'static str,
    /// What it does with kinds.
    pub form: Form,
}

const fn row(
    name: &'static str,
    takes: &'static str,
    gives: &'static str,
    form: Form,
) -> FunctionRow {
    FunctionRow { name, takes, gives, form }
}

const OWN: [FunctionRow; 14] = [
    row("abs", "an amount or a difference", "the same kind", Form::Keeps(Function::Abs)),
    row("min", "several of one kind, or a family", "that kind", Form::Fold(Fold::Min)),
    row("max", "several of one kind, or a family", "that kind", Form::Fold(Fold::Max)),
    row("mean", "several of one kind, or a family", "that kind", Form::Fold(Fold::Mean)),
    row("sum", "several amounts of one kind", "that kind", Form::Fold(Fold::Sum)),
    row("spread", "several of one kind", "greatest less least", Form::Fold(Fold::Spread)),
    row("count", "several", "how many", Form::Fold(Fold::Count)),
    row(
        "unbalance",
        "several amounts of one kind",
        "the largest deviation from the mean, over the mean",
        Form::Fold(Fold::Unbalance),
    ),
    row("sqrt", "a number, or a quantity whose dimension halves", "its square root", Form::Root),
    row("exp", "a number without dimension", "e to its power", Form::Bare(Function::Exp)),
    row("ln", "a number without dimension", "its natural logarithm", Form::Bare(Function::Ln)),
    row("log10", "a number without dimension", "its common logarithm", Form::Bare(Function::Log10)),
    row(
        "round",
        "a number without dimension",
        "the nearest whole number",
        Form::Bare(Function::Round),
    ),
    row(
        "refer",
        "a resistance, from: and to: a temperature, of: copper, aluminium or a number",
        "the resistance at the other temperature",
        Form::Refer,
    ),
];

static ROWS: LazyLock<Vec<FunctionRow>> = LazyLock::new(|| {
    let converts = conversions().iter().map(|conversion| match conversion.name {
        "frequency_of" => row(
            conversion.name,
            "a rotational speed; of an alternator poles: the number of its poles",
            "the turns per second as a frequency; with `poles:` the frequency of the alternator, n·p/120 with n in rpm",
            Form::FrequencyOf,
        ),
        name => row(name, "a quantity of one kind", conversion.doc, Form::Converts(conversion)),
    });
    OWN.into_iter().chain(converts).collect()
});

/// Every function, in the order of the reference.
#[must_use]
pub fn functions() -> &'static [FunctionRow] {
    &ROWS
}

/// The function of this name.
pub(crate) fn function(name: &str) -> Option<&'static FunctionRow> {
    ROWS.iter().find(|row| row.name == name)
}

/// The constant k of R·(k + to)/(k + from), in °C: the temperature below which the straight line
/// would reach nought.
pub(crate) fn material(name: &str) -> Option<(i64, i32)> {
    match name {
        // IEC 60028: R at 20 °C is R at t times 254.5/(234.5 + t).
        "copper" => Some((2345, -1)),
        // IEC 60889: 0.00403 per kelvin at 20 °C, so 1/0.00403 - 20 = 228.1; from memory.
        "aluminium" => Some((2281, -1)),
        _ => None,
    }
}
