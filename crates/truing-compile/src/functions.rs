//! The functions of the language: one row each.

use std::sync::LazyLock;

use truing_model::{Fold, Function, Law};
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
    /// The temperature of a winding by its resistance.
    Hot,
    /// A law of the trade of one quantity, with the constants that hold where none are given.
    Law(Law),
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

/// 0 °C in kelvins.
const ZERO_CELSIUS: f64 = 273.15;

const OWN: [FunctionRow; 21] = [
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
    row(
        "sequence_unbalance",
        "three voltages between lines, or a family of three",
        "the negative over the positive sequence (IEC 61000-4-30)",
        Form::Fold(Fold::SequenceUnbalance),
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
        "a resistance, from: and to: a temperature, of: a material or its number k",
        "the resistance at the other temperature, R·(k + to)/(k + from) in °C",
        Form::Refer,
    ),
    row(
        "hot_temperature",
        "hot: and cold: a resistance, at: the temperature of the cold one, of: a material or its number k",
        "the temperature of a winding, hot/cold·(k + at) − k in °C (IEC 60034-1)",
        Form::Hot,
    ),
    row(
        "pt100",
        "a resistance",
        "the temperature of a platinum thermometer of 100 ohm at 0 degC, −200 to 850 degC (IEC 60751)",
        Form::Law(Law::Platinum { nominal: 100.0 }),
    ),
    row(
        "pt1000",
        "a resistance",
        "the same of one of 1000 ohm at 0 degC",
        Form::Law(Law::Platinum { nominal: 1000.0 }),
    ),
    row(
        "ntc",
        "a resistance; constants: r: 10 kohm, at: 25 degC, beta: 3950 K",
        "the temperature of a thermistor, R = r·exp(beta·(1/T − 1/at)) in kelvins",
        Form::Law(Law::Beta { resistance: 1e4, at: ZERO_CELSIUS + 25.0, beta: 3950.0 }),
    ),
    row(
        "thermocouple_k",
        "a DC voltage; a constant: reference: 0 degC, the temperature of the reference junction",
        "the temperature of a type K junction, −270 to 1372 degC (IEC 60584-1)",
        Form::Law(Law::ThermocoupleK { reference: ZERO_CELSIUS }),
    ),
    row(
        "standard_pressure",
        "a length: the altitude",
        "the absolute pressure of the standard atmosphere, −2000 to 11 000 m (ISO 2533)",
        Form::Law(Law::StandardPressure),
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

/// A material of windings: its name, and k in °C as digits and a power of ten.
struct Material(&'static str, i64, i32);

/// The constant k of R·(k + to)/(k + from), in °C: below nought by it, the straight line would reach
/// no resistance. Standards differ, so the name says whose figure is meant.
const MATERIALS: [Material; 4] = [
    // IEC 60028: R at 20 °C is R at t times 254.5/(234.5 + t).
    Material("copper", 2345, -1),
    // IEC 60034-1, 8.6.2: rotating machines; from memory.
    Material("copper_iec_60034", 235, 0),
    // IEC 60034-1, 8.6.2, and IEEE Std 112; from memory.
    Material("aluminium", 225, 0),
    // IEC 60889: 0.00403 per kelvin at 20 °C, so 1/0.00403 - 20, rounded; from memory.
    Material("aluminium_ec", 228, 0),
];

/// The constant k of a material.
pub(crate) fn material(name: &str) -> Option<(i64, i32)> {
    MATERIALS.iter().find(|material| material.0 == name).map(|material| (material.1, material.2))
}

/// The names of the materials.
pub(crate) fn materials() -> impl Iterator<Item = &'static str> {
    MATERIALS.iter().map(|material| material.0)
}
