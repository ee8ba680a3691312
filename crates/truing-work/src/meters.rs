//! The instruments at hand: which one takes a reading, on which function and range.

use std::sync::Arc;

use truing::Profiles;
use truing::job::{Instrument as Described, JobSheet};
use truing::model::{Instrument, LimitRule, MeterRange, Slot, SlotId, SlotKind, Spec};
use truing::units::Kind;

/// One instrument at hand.
#[derive(Clone, Debug)]
pub struct AtHand {
    /// Its own name: `M-B`.
    pub name: String,
    /// What it can do.
    pub instrument: Arc<Instrument>,
}

/// The instruments at hand, those before others that are tried first.
#[derive(Clone, Debug, Default)]
pub struct Meters(Vec<AtHand>);

impl Meters {
    /// Those that a sheet describes, in its own order: first those that it names for all readings,
    /// then the others as they were described; the one that was named last in this sitting before all.
    #[must_use]
    pub fn of(sheet: &JobSheet, profiles: &Profiles, named_last: &[String]) -> Self {
        let mut order: Vec<&str> = named_last.iter().rev().map(String::as_str).collect();
        order.extend(sheet.conditions.meters.iter().map(String::as_str));
        order.extend(sheet.instruments.iter().map(|it| it.name.as_str()));
        let mut meters = Self::default();
        for name in order {
            let described = sheet.instruments.iter().find(|it| it.name == name);
            let profile = described.map_or(name, |it: &Described| it.profile.as_str());
            if let Some(instrument) = profiles.find(profile)
                && meters.named(name).is_none()
            {
                let instrument = Arc::clone(instrument);
                meters.0.push(AtHand { name: name.to_owned(), instrument });
            }
        }
        meters
    }

    /// The one that takes a reading: the first that measures its kind and reaches as far as it may go;
    /// where none does, the one that reaches farthest.
    #[must_use]
    pub fn for_slot(&self, spec: &Spec, id: SlotId) -> Option<&AtHand> {
        let slot = spec.slot(id)?;
        let SlotKind::Quantity { kind, .. } = &slot.kind else { return None };
        let most = expected_most(spec, id, slot);
        let top = |meter: &AtHand| meter.instrument.function(*kind)?.ranges.last().map(|it| it.top);
        let reaches =
            |meter: &&AtHand| top(meter).is_some_and(|top| most.is_none_or(|most| top >= most));
        self.0.iter().find(reaches).or_else(|| {
            let measuring = self.0.iter().filter(|meter| top(meter).is_some());
            // Of equals the first.
            measuring.reduce(|best, other| if top(other) > top(best) { other } else { best })
        })
    }

    /// One by its own name.
    #[must_use]
    pub fn named(&self, name: &str) -> Option<&AtHand> {
        self.0.iter().find(|meter| meter.name == name)
    }

    /// All of them, in the order in which they are tried.
    pub fn iter(&self) -> impl Iterator<Item = &AtHand> {
        self.0.iter()
    }
}

impl AtHand {
    /// How its display shows a kind: whether a lone 1 on it may be the over-range sign, as on one of
    /// 2000 counts.
    #[must_use]
    pub fn shows_a_lone_one(&self, kind: Kind) -> bool {
        const COUNTS: f64 = 2000.5;
        let counts = |range: &MeterRange| Some(range.top / range.step?);
        let function = self.instrument.function(kind);
        let ranges = function.map_or(&[][..], |function| &function.ranges);
        ranges.iter().filter_map(counts).any(|counts| counts <= COUNTS)
    }

    /// The ranges of a kind, by their tops as printed, each once.
    #[must_use]
    pub fn tops(&self, kind: Kind) -> Vec<String> {
        let function = self.instrument.function(kind);
        let ranges = function.map_or(&[][..], |function| &function.ranges);
        let mut tops: Vec<String> = ranges.iter().map(|range| range.printed.to_string()).collect();
        tops.dedup();
        tops
    }

    /// The least range that a reading of a slot is sure to fit in; of a function with one range none
    /// has to be set.
    #[must_use]
    pub fn range_for(&self, spec: &Spec, id: SlotId) -> Option<String> {
        let slot = spec.slot(id)?;
        let SlotKind::Quantity { kind, .. } = &slot.kind else { return None };
        let function = self.instrument.function(*kind)?;
        let most = expected_most(spec, id, slot)?;
        let fits = |range: &&MeterRange| range.top >= most;
        let least = function.ranges.iter().find(fits).or(function.ranges.last())?;
        (self.tops(*kind).len() > 1).then(|| least.printed.to_string())
    }
}

/// The most that a reading should come to: the top of what is plausible, else of its limits.
fn expected_most(spec: &Spec, id: SlotId, slot: &Slot) -> Option<f64> {
    if let SlotKind::Quantity { plausible: Some(plausible), .. } = &slot.kind
        && let Some(high) = &plausible.high
    {
        return Some(high.value);
    }
    let limits = crate::scale::limits_of(spec, id).filter_map(|limit| match &limit.rule {
        LimitRule::Band(band) => {
            let band = band.service.as_ref().unwrap_or(&band.standard);
            Some(band.high.as_ref().or(band.low.as_ref())?.value)
        }
        _ => None,
    });
    limits.reduce(f64::max)
}

/// What a meter is set to for a kind, in the workshop's words; of what no meter's dial says, nothing.
#[must_use]
pub fn function_words(kind: Kind) -> Option<&'static str> {
    const WORDS: [(Kind, &str); 10] = [
        (Kind::DC_VOLTAGE, "dc volts"),
        (Kind::AC_VOLTAGE, "ac volts"),
        (Kind::PEAK_VOLTAGE, "peak volts"),
        (Kind::DC_CURRENT, "dc amps"),
        (Kind::AC_CURRENT, "ac amps"),
        (Kind::RESISTANCE, "ohms"),
        (Kind::DIODE_DROP, "the diode test"),
        (Kind::CAPACITANCE, "capacitance"),
        (Kind::FREQUENCY, "hertz"),
        (Kind::TEMPERATURE, "temperature"),
    ];
    WORDS.iter().find(|(of, _)| *of == kind).map(|(_, words)| *words)
}

/// Whether a kind is read on the display of a multimeter.
#[must_use]
pub fn is_electrical(kind: Kind) -> bool {
    kind != Kind::TEMPERATURE && function_words(kind).is_some()
}
