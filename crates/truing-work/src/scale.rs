//! The units that a reading is typed in: which one goes without saying, and where none does.

use truing::compile::usual_units;
use truing::model::{Check, CheckRule, Limit, LimitRule, NumberNode, Slot, SlotId, SlotKind, Spec};
use truing::units::{Catalogue, Kind};

/// What a number without a unit means in one place.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Scale {
    /// Itself: a count, a ratio.
    Bare,
    /// A number of this unit.
    Sure(String),
    /// One of these: the display shows which, and the number alone does not.
    Doubtful(Vec<String>),
}

/// A place that takes a quantity, and how numbers are typed there.
#[derive(Clone, Debug)]
pub struct Gauge {
    /// What is known of kinds and units.
    pub catalogue: Catalogue,
    /// The kind that is read.
    pub kind: Kind,
    /// What a number without a unit means.
    pub scale: Scale,
    /// Whether a lone `1` may be the over-range sign of the meter.
    pub lone_one: bool,
}

/// Coherent units before which a display shows a prefix letter alone.
const PREFIXED: [&str; 7] = ["V", "A", "ohm", "F", "H", "Hz", "W"];

impl Gauge {
    /// How numbers are typed in a slot; nothing where words are seen.
    #[must_use]
    pub fn of(spec: &Spec, id: SlotId) -> Option<Self> {
        let slot = spec.slot(id)?;
        let SlotKind::Quantity { kind, .. } = &slot.kind else { return None };
        let catalogue = spec.catalogue();
        let scale = scale(spec, &catalogue, id, slot, *kind);
        Some(Self { catalogue, kind: *kind, scale, lone_one: false })
    }

    /// The unit that a word means here: a unit's symbol, a prefix letter alone (`20M` of ohms), a
    /// symbol in the wrong case where only one is meant. Nothing where it is none of these.
    #[must_use]
    pub fn unit(&self, word: &str) -> Option<String> {
        let known = |symbol: &str| {
            let unit = self.catalogue.unit(symbol).ok();
            let unit = unit.filter(|unit| unit.fits(self.kind, &self.catalogue));
            unit.map(|unit| unit.symbol().to_owned())
        };
        if let Some(symbol) = known(word) {
            return Some(symbol);
        }
        let base = self.catalogue.coherent_unit(self.kind);
        let base = base.symbol();
        if PREFIXED.contains(&base)
            && let Some(prefix) = prefix(word, base)
        {
            return known(&format!("{prefix}{base}"));
        }
        self.in_another_case(word)
    }

    /// `v`, `ma`, `RPM`: one symbol of the kind is meant, and its prefix is not `m` or `M`, which
    /// are a thousand million apart.
    fn in_another_case(&self, word: &str) -> Option<String> {
        let units = self.catalogue.units_of(self.kind);
        let alike: Vec<&str> = units
            .iter()
            .map(|def| def.unit.symbol())
            .filter(|symbol| symbol.eq_ignore_ascii_case(word))
            .collect();
        let milli = |text: &str| text.starts_with('m');
        match alike.as_slice() {
            [only] if milli(only) == milli(word) => Some((*only).to_owned()),
            _ => None,
        }
    }

    /// The units that a slip leads to: of `mV` the one a thousand times as large, of `mohm` also
    /// `Mohm`, which only a capital letter tells apart.
    #[must_use]
    pub fn neighbours(&self, unit: &str) -> Vec<String> {
        let Ok(of) = self.catalogue.unit(unit) else { return Vec::new() };
        let (factor, base) = (of.factor().to_f64(), self.catalogue.coherent_unit(self.kind));
        let near = |symbol: &str, other: f64| {
            let ratio = (other / factor).log10().abs();
            let letter = symbol != unit && symbol.eq_ignore_ascii_case(unit);
            (ratio - 3.0).abs() < 1e-9 || (letter && (ratio - 9.0).abs() < 1e-9)
        };
        let units = self.catalogue.units_of(self.kind).into_iter().map(|def| &def.unit);
        let near = units.filter(|other| {
            // No foreign unit that happens to lie a thousand apart.
            let alike = stem(other.symbol()) == stem(unit) || other.symbol() == base.symbol();
            alike && near(other.symbol(), other.factor().to_f64())
        });
        near.map(|unit| unit.symbol().to_owned()).collect()
    }
}

/// A unit's symbol without its prefix letter: `mV` and `V` are of one stem.
fn stem(symbol: &str) -> &str {
    let mut chars = symbol.chars();
    match chars.next() {
        Some('m' | 'k' | 'M' | 'u' | 'n' | 'G') if chars.as_str().chars().next().is_some() => {
            chars.as_str()
        }
        _ => symbol,
    }
}

/// The prefix that a letter alone stands for. Many displays and hands write a large K for ohms.
fn prefix(word: &str, base: &str) -> Option<&'static str> {
    match word {
        "u" | "\u{b5}" | "\u{3bc}" => Some("u"),
        "n" => Some("n"),
        "m" => Some("m"),
        "k" => Some("k"),
        "K" if base == "ohm" => Some("k"),
        "M" => Some("M"),
        _ => None,
    }
}

fn scale(spec: &Spec, catalogue: &Catalogue, id: SlotId, slot: &Slot, kind: Kind) -> Scale {
    let mut told: Vec<&str> = judged_in(spec, id, kind);
    if let SlotKind::Quantity { plausible_printed: Some(printed), .. } = &slot.kind {
        let word = printed.split_whitespace().last().unwrap_or_default();
        let fits = catalogue.unit(word).is_ok_and(|unit| unit.fits(kind, catalogue));
        told.extend(fits.then_some(word));
    }
    let mut units: Vec<String> = Vec::new();
    for symbol in told.into_iter().filter(|symbol| !matches!(*symbol, "" | "1")) {
        if units.iter().all(|known| known != symbol) {
            units.push(symbol.to_owned());
        }
    }
    let size = |symbol: &String| catalogue.unit(symbol).map_or(1.0, |unit| unit.factor().to_f64());
    // A display of ohms puts a small k or M behind the figure, and a hand may leave it out.
    let small = !units.is_empty() && units.iter().all(|symbol| size(symbol) < 1000.0);
    if kind == Kind::RESISTANCE && !small {
        return Scale::Doubtful(["ohm", "kohm", "Mohm"].map(str::to_owned).to_vec());
    }
    match units.as_slice() {
        [] if catalogue.coherent_unit(kind).symbol() == "1" => Scale::Bare,
        [] => usual_units(catalogue, kind).into_iter().next().map_or(Scale::Bare, Scale::Sure),
        [only] => Scale::Sure(only.clone()),
        _ => Scale::Doubtful(units),
    }
}

/// Whether a check judges a reading as it is, and nothing that is worked out from it.
pub(crate) fn judges(spec: &Spec, check: &Check, id: SlotId) -> bool {
    let (CheckRule::Within { subject, .. } | CheckRule::Compare { subject, .. }) = &check.rule
    else {
        return false;
    };
    let node = spec.numbers.get(subject.0 as usize);
    matches!(node, Some(NumberNode::Slot(slot)) if *slot == id)
}

/// The limits that a reading is held against as it is.
pub(crate) fn limits_of(spec: &Spec, id: SlotId) -> impl Iterator<Item = &Limit> {
    let of = spec.checks.iter().filter(move |check| judges(spec, check, id));
    of.filter_map(|check| match &check.rule {
        CheckRule::Within { limit, .. } => spec.limit(*limit),
        _ => None,
    })
}

/// The units of what a reading is held against as it is; where it is not, of the limits of its own
/// kind on what is worked out from it.
fn judged_in(spec: &Spec, id: SlotId, kind: Kind) -> Vec<&str> {
    let said = |limit: &&Limit| limit.rule != LimitRule::NotSpecified;
    let mut units: Vec<&str> =
        limits_of(spec, id).filter(said).map(|limit| limit.unit.symbol()).collect();
    if units.is_empty() {
        let reads = spec.checks.iter().filter(|check| check.slots.contains(&id));
        let limits = reads.filter_map(|check| match &check.rule {
            CheckRule::Within { limit, .. } => spec.limit(*limit),
            _ => None,
        });
        let alike = limits.filter(|limit| limit.kind == kind).filter(said);
        units.extend(alike.map(|limit| limit.unit.symbol()));
    }
    let of = spec.checks.iter().filter(|check| judges(spec, check, id));
    units.extend(of.filter_map(|check| match &check.rule {
        CheckRule::Compare { unit, .. } => Some(unit.symbol()),
        _ => None,
    }));
    units
}

#[cfg(test)]
mod tests {
    use truing::Compiled;

    use super::*;

    /// An invented spec with each sort of place.
    fn spec() -> Compiled {
        let text = "spec probe \"Probe\" { edition \"1\" }
            reading volts \"Volts\" : dc_voltage { plausible 0 .. 18 V }
            reading drain \"Drain\" : dc_current { plausible 0 .. 10 A }
            reading winding \"Winding\" : resistance
            reading to_ground \"To ground\" : resistance
            reading other_ohms \"Others\" : resistance
            reading speed \"Speed\" : rotational_speed
            reading teeth \"Teeth\" : count
            check no_drain \"No drain\" : drain within max 3.0 mA
            check wound \"Wound\" : winding within 0.15 .. 0.30 ohm
            check clear \"Clear\" : to_ground within min 1 Mohm
            ";
        Compiled::from_text("probe", text).unwrap()
    }

    fn gauge(spec: &Compiled, name: &str) -> Gauge {
        Gauge::of(spec.spec(), spec.spec().slot_labelled(name).unwrap()).unwrap()
    }

    #[test]
    fn one_unit_goes_without_saying_and_two_do_not() {
        let spec = spec();
        let scale = |name: &str| gauge(&spec, name).scale;
        let ohms = || Scale::Doubtful(["ohm", "kohm", "Mohm"].map(str::to_owned).to_vec());
        assert_eq!(scale("volts"), Scale::Sure("V".to_owned()));
        assert_eq!(scale("drain"), Scale::Doubtful(vec!["mA".to_owned(), "A".to_owned()]));
        assert_eq!(scale("winding"), Scale::Sure("ohm".to_owned()));
        assert_eq!(scale("to_ground"), ohms());
        assert_eq!(scale("other_ohms"), ohms());
        assert_eq!(scale("speed"), Scale::Sure("rpm".to_owned()));
        assert_eq!(scale("teeth"), Scale::Bare);
    }

    #[test]
    fn prefix_letters_alone_and_wrong_cases_are_understood_where_one_unit_is_meant() {
        let spec = spec();
        let of = |name: &str, word: &str| gauge(&spec, name).unit(word);
        let some = |unit: &str| Some(unit.to_owned());
        assert_eq!(of("to_ground", "M"), some("Mohm"));
        assert_eq!(of("to_ground", "K"), some("kohm"));
        assert_eq!(of("volts", "m"), some("mV"));
        assert_eq!(of("volts", "v"), some("V"));
        assert_eq!(of("speed", "RPM"), some("rpm"));
        assert_eq!(of("volts", "K"), None); // kelvins
        assert_eq!(of("to_ground", "MOHM"), None); // milli or mega
        assert_eq!(of("volts", "A"), None);
    }

    #[test]
    fn the_units_a_thousand_apart_are_of_the_same_stem() {
        let spec = spec();
        assert_eq!(gauge(&spec, "volts").neighbours("V"), ["mV", "kV"]);
        let of_milli = gauge(&spec, "to_ground").neighbours("mohm");
        assert!(of_milli.contains(&"Mohm".to_owned()), "{of_milli:?}");
        assert!(gauge(&spec, "speed").neighbours("rpm").contains(&"krpm".to_owned()));
    }
}
