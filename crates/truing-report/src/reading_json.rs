//! Readings, properties and units for programs.

use serde_json::{Value, json};
use truing_model::{Domain, Indication, PropertyValue, Reading};
use truing_units::{Catalogue, Unit};

/// A unit: its printed symbol, and its UCUM code where it has one.
pub(crate) fn unit(unit: &Unit, catalogue: &Catalogue) -> Value {
    json!({ "symbol": unit.symbol(), "ucum": catalogue.ucum_of(unit) })
}

/// A figure: as shown with its digits, as a number, and its unit.
fn figure(indication: &Indication, catalogue: &Catalogue) -> Value {
    let shown = &indication.shown;
    json!({
        "figure": shown.figure.to_string(),
        "value": shown.figure.to_f64(),
        "unit": unit(&shown.unit, catalogue),
    })
}

/// A reading in whichever form it has.
pub(crate) fn reading(
    reading: &Reading,
    word: impl Fn(u16) -> String,
    catalogue: &Catalogue,
) -> Value {
    let figure = |indication| figure(indication, catalogue);
    match reading {
        Reading::Figure(shown) => json!({ "form": "figure", "shown": figure(shown) }),
        Reading::Overload { range } => {
            json!({ "form": "overload", "range": range.as_ref().map(figure) })
        }
        Reading::Above { bound, inclusive } => {
            json!({ "form": "above", "bound": figure(bound), "inclusive": inclusive })
        }
        Reading::Below { bound, inclusive } => {
            json!({ "form": "below", "bound": figure(bound), "inclusive": inclusive })
        }
        Reading::Between { low, high } => {
            json!({ "form": "between", "low": figure(low), "high": figure(high) })
        }
        Reading::Unsteady { low, high, moved_by } => json!({
            "form": "unsteady",
            "low": figure(low),
            "high": figure(high),
            "moved_by": moved_by,
        }),
        Reading::Repeats(figures) => json!({
            "form": "repeats",
            "shown": figures.iter().map(figure).collect::<Vec<_>>(),
        }),
        Reading::Sweep(points) => json!({
            "form": "sweep",
            "points": points
                .iter()
                .map(|(at, shown)| json!({ "at": figure(at), "shown": figure(shown) }))
                .collect::<Vec<_>>(),
        }),
        Reading::Word(place) => json!({ "form": "word", "word": word(*place) }),
        Reading::NotTaken { reason } => json!({ "form": "not-taken", "reason": reason }),
    }
}

/// What the machine is in one respect.
pub(crate) fn property(value: &PropertyValue, domain: &Domain, catalogue: &Catalogue) -> Value {
    match (value, domain) {
        (PropertyValue::Figure(shown), _) => {
            json!({ "form": "figure", "shown": figure(shown, catalogue) })
        }
        (PropertyValue::Word(place), Domain::Words(words)) => {
            json!({ "form": "word", "word": words.get(usize::from(*place)) })
        }
        (PropertyValue::Word(_), Domain::Quantity(_)) => Value::Null,
    }
}
