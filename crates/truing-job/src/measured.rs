//! With what a reading was taken: from the names of a sheet to what the engine takes.

use std::sync::Arc;

use jiff::civil::Date;
use truing_engine::{MeterUse, Sheet};
use truing_model::{Instrument, Reading, SlotId, SlotKind, Spec};
use truing_units::{Decimal, Kind, Place};

use crate::error::{SheetError, quoted};
use crate::names::{Names, Target};
use crate::nearest::nearest;
use crate::profiles::Profiles;
use crate::reading_text::Reader;
use crate::sheet::{self, Conditions, Correlation, Entry, JobSheet};
use crate::slugs;

/// One instrument at hand, ready to be used.
#[derive(Clone, Debug)]
struct AtHand {
    name: String,
    instrument: Arc<Instrument>,
    zeroed: bool,
    since_calibration: Option<f64>,
}

/// What one round of a sheet says of how its readings were taken.
#[derive(Debug, Default)]
pub(crate) struct Taken<'s> {
    profiles: Option<&'s Profiles>,
    at_hand: Vec<AtHand>,
    /// Described, but wrongly: that was told once, and readings taken with them go without.
    broken: Vec<String>,
    /// In the order in which they are tried.
    usual: Vec<AtHand>,
    ambient: Option<f64>,
}

impl<'s> Taken<'s> {
    /// Of nothing but what instruments there are: for readings that come by themselves.
    pub(crate) fn with_profiles(profiles: &'s Profiles) -> Self {
        Self { profiles: Some(profiles), ..Self::default() }
    }

    /// Of a round of a sheet, with every mistake in it.
    pub(crate) fn of_round(
        sheet: &JobSheet,
        round: Option<&Conditions>,
        profiles: &'s Profiles,
        reader: &Reader<'_>,
    ) -> (Self, Vec<SheetError>) {
        let mut taken = Self::with_profiles(profiles);
        let mut mistakes = Vec::new();
        for written in &sheet.instruments {
            match taken.describe(written, sheet.date.as_deref()) {
                Ok(at_hand) => taken.at_hand.push(at_hand),
                Err(error) => {
                    taken.broken.push(written.name.clone());
                    mistakes.push(error.at(written.place).of("instrument"));
                }
            }
        }
        let named = round.filter(|round| !round.meters.is_empty()).unwrap_or(&sheet.conditions);
        for name in &named.meters {
            match taken.find(name) {
                Ok(at_hand) => taken.usual.extend(at_hand),
                Err(error) => mistakes.push(error.at(named.place).of("meter")),
            }
        }
        let ambient = round.and_then(|round| round.ambient.as_ref());
        if let Some(text) = ambient.or(sheet.conditions.ambient.as_ref()) {
            match reader.quantity_of(Kind::TEMPERATURE, text) {
                Ok(kelvins) => taken.ambient = Some(kelvins),
                Err(error) => mistakes.push(error.at(sheet.place_of("ambient")).of("ambient")),
            }
        }
        (taken, mistakes)
    }

    /// Says of a reading on a bound sheet with what it was taken.
    pub(crate) fn put(
        &self,
        sheet: &mut Sheet,
        slot: SlotId,
        kind: Kind,
        entry: &Entry,
        reader: &Reader<'_>,
    ) -> Result<(), SheetError> {
        let refused =
            |error: truing_engine::SheetError| SheetError::new(slugs::METER_USE, error.to_string());
        if let Some(at_hand) = self.chosen(kind, entry)? {
            let frequency = entry.frequency.as_deref();
            let frequency =
                frequency.map(|text| reader.quantity_of(Kind::FREQUENCY, text)).transpose()?;
            let range = entry.range.as_deref();
            let range = range.map(|text| reader.range(slot, kind, text)).transpose()?;
            let meter = MeterUse {
                range,
                zeroed: entry.zeroed.unwrap_or(at_hand.zeroed),
                ambient: self.ambient,
                since_calibration: at_hand.since_calibration,
                frequency,
                ..MeterUse::new(at_hand.name, at_hand.instrument)
            };
            sheet.measure_with(slot, meter).map_err(refused)?;
        }
        if let Some(text) = &entry.uncertainty {
            let standard = reader.amount(slot, kind, text)?;
            let dof = entry.degrees_of_freedom.as_deref().map(number).transpose()?;
            sheet.state_uncertainty(slot, standard, dof).map_err(refused)?;
        }
        Ok(())
    }

    /// The instrument of an entry: the one that it names, else the first usual one that measures
    /// its kind.
    fn chosen(&self, kind: Kind, entry: &Entry) -> Result<Option<AtHand>, SheetError> {
        match &entry.meter {
            Some(name) => self.find(name),
            None => {
                let fits = |at_hand: &&AtHand| at_hand.instrument.function(kind).is_some();
                Ok(self.usual.iter().find(fits).cloned())
            }
        }
    }

    fn describe(
        &self,
        written: &sheet::Instrument,
        date: Option<&str>,
    ) -> Result<AtHand, SheetError> {
        if self.at_hand.iter().any(|other| other.name == written.name) {
            let message = format!("the instrument {} is there twice", quoted(&written.name));
            return Err(SheetError::new(slugs::KEY_TWICE, message)
                .mend("give each its own name, by which readings are told apart"));
        }
        let instrument = self.profile(&written.profile)?;
        let since_calibration = match &written.calibrated {
            None => None,
            Some(calibrated) => since(calibrated, date)?,
        };
        let (name, zeroed) = (written.name.clone(), written.zeroed);
        Ok(AtHand { name, instrument, zeroed, since_calibration })
    }

    /// An instrument at hand, or a profile by its own name; none where its description is wrong.
    fn find(&self, name: &str) -> Result<Option<AtHand>, SheetError> {
        let name = name.trim();
        if let Some(at_hand) = self.at_hand.iter().find(|at_hand| at_hand.name == name) {
            return Ok(Some(at_hand.clone()));
        }
        if self.broken.iter().any(|broken| broken == name) {
            return Ok(None);
        }
        let (name, instrument) = (name.to_owned(), self.profile(name)?);
        Ok(Some(AtHand { name, instrument, zeroed: false, since_calibration: None }))
    }

    fn profile(&self, name: &str) -> Result<Arc<Instrument>, SheetError> {
        let found = self.profiles.and_then(|profiles| profiles.find(name));
        found.cloned().ok_or_else(|| self.unknown(name))
    }

    fn unknown(&self, name: &str) -> SheetError {
        let message = format!("there is no instrument {}", quoted(name));
        let mut known: Vec<&str> = self.at_hand.iter().map(|it| it.name.as_str()).collect();
        known.extend(self.profiles.iter().flat_map(|profiles| profiles.names()));
        SheetError::new(slugs::UNKNOWN_INSTRUMENT, message).mend(
            match nearest(name, known.iter().copied()) {
                Some(near) => format!("did you mean `{near}`?"),
                None if known.is_empty() => "the spec brings no instruments".to_owned(),
                None => format!("the instruments are {}", known.join(", ")),
            },
        )
    }
}

/// Puts what a round says of correlations on its sheet.
pub(crate) fn correlate(
    spec: &Spec,
    names: &Names<'_>,
    sheet: &mut Sheet,
    correlations: &[Correlation],
) -> Vec<SheetError> {
    let (mut pairs, mut mistakes) = (Vec::new(), Vec::new());
    for written in correlations {
        match of_pairs(spec, names, written) {
            Ok(found) => pairs.extend(found),
            Err(error) => mistakes.push(error.at(written.place).of("correlation")),
        }
    }
    if let (true, Some(first)) = (mistakes.is_empty(), correlations.first())
        && let Err(error) = sheet.correlate(&pairs)
    {
        let error = SheetError::new(slugs::CORRELATION, error.to_string())
            .mend("readings that move with a third one move with each other: state every pair");
        mistakes.push(error.at(first.place).of("correlation"));
    }
    mistakes
}

fn of_pairs(
    spec: &Spec,
    names: &Names<'_>,
    written: &Correlation,
) -> Result<Vec<(SlotId, SlotId, f64)>, SheetError> {
    let coefficient = number(&written.coefficient)?;
    if !(-1.0..=1.0).contains(&coefficient) {
        let message = format!("{} is no correlation coefficient", quoted(&written.coefficient));
        return Err(SheetError::new(slugs::CORRELATION, message).mend("it lies from -1 to 1"));
    }
    let mut slots = Vec::new();
    for path in &written.readings {
        match names.find(path)? {
            Target::Slot(slot) if is_figure(spec, slot) => slots.push(slot),
            Target::Family(family) => slots.extend(family),
            Target::Slot(_) | Target::Property(_) => {
                let message = format!("{} is no reading of a figure", quoted(path));
                return Err(SheetError::new(slugs::CORRELATION, message));
            }
        }
    }
    let mut pairs = Vec::new();
    for (place, one) in slots.iter().enumerate() {
        let others = slots.get(place + 1..).unwrap_or_default();
        pairs.extend(others.iter().map(|other| (*one, *other, coefficient)));
    }
    Ok(pairs)
}

fn is_figure(spec: &Spec, slot: SlotId) -> bool {
    spec.slot(slot).is_some_and(|slot| matches!(slot.kind, SlotKind::Quantity { .. }))
}

/// The time between two days, in seconds; `None` where the sheet has no date.
fn since(calibrated: &str, date: Option<&str>) -> Result<Option<f64>, SheetError> {
    const DAY: f64 = 86_400.0;
    let calibrated_on = day(calibrated)?;
    let Some(date) = date else { return Ok(None) };
    // What a sheet's date says in other words than these is for people.
    let Ok(date_on) = day(date) else { return Ok(None) };
    let days = (date_on - calibrated_on).get_days();
    if days < 0 {
        let message = format!("calibrated on {calibrated}, after the job of {date}");
        return Err(SheetError::new(slugs::METER_USE, message).mend("look at both dates"));
    }
    Ok(Some(f64::from(days) * DAY))
}

fn day(text: &str) -> Result<Date, SheetError> {
    text.trim().parse().map_err(|_| {
        let message = format!("{} is no date", quoted(text));
        SheetError::new(slugs::METER_USE, message).mend("write year, month and day: 2026-01-15")
    })
}

fn number(text: &str) -> Result<f64, SheetError> {
    Decimal::parse(text.trim())
        .map(Decimal::to_f64)
        .map_err(|_| SheetError::new(slugs::NOT_A_NUMBER, format!("{} is no number", quoted(text))))
}

impl Reader<'_> {
    /// A figure of a kind that is no reading's: in the coherent unit.
    fn quantity_of(&self, kind: Kind, text: &str) -> Result<f64, SheetError> {
        let measure = self.figure(text)?;
        if measure.unit.fits(kind, self.catalogue()) {
            let place = self.catalogue().place(truing_units::Ty::Kind(kind));
            return Ok(measure.coherent(place));
        }
        let words = &self.catalogue().kind(kind).words;
        let message = format!("{} is not of this kind: {words}", quoted(text));
        Err(SheetError::new(slugs::READING_KIND, message))
    }

    /// The top of a range, in the coherent unit of the reading.
    fn range(&self, slot: SlotId, kind: Kind, text: &str) -> Result<f64, SheetError> {
        match self.quantity(slot, kind, &format!("OL on {}", text.trim()))? {
            Reading::Overload { range: Some(range) } => Ok(range.value),
            _ => {
                let message = format!("{} is no range", quoted(text));
                Err(SheetError::new(slugs::METER_USE, message))
            }
        }
    }

    /// An amount of what is read, without the offset of its unit.
    fn amount(&self, slot: SlotId, kind: Kind, text: &str) -> Result<f64, SheetError> {
        match self.quantity(slot, kind, text.trim())? {
            Reading::Figure(figure) => Ok(figure.shown.coherent(Place::Amount)),
            _ => {
                let message = format!("{} is no standard uncertainty", quoted(text));
                Err(SheetError::new(slugs::METER_USE, message)
                    .mend("write a figure with its unit: \"0.02 V\""))
            }
        }
    }
}
