//! Readings put on a sheet by a program.

use std::any::TypeId;
use std::fmt::Display;

use truing_engine::{Findings, MeterUse, Sheet};
use truing_job::{Entry, SheetError, set_entry, set_entry_with, slugs};
use truing_model::{Indication, Reading, Slot, SlotId, SlotKind};
use truing_units::{Decimal, Dimension, Kind, Measure, Ty};
use uom::si::{Quantity, SI};
use uom::typenum::Integer;

use crate::compiled::Compiled;
use crate::error::Error;

/// A `uom` quantity whose dimension can be read.
pub trait Dimensioned: uom::si::Dimension + 'static {
    /// Its dimension.
    const DIMENSION: Dimension;
}

impl<D> Dimensioned for D
where
    D: uom::si::Dimension + ?Sized + 'static,
    D::L: Integer,
    D::M: Integer,
    D::T: Integer,
    D::I: Integer,
    D::Th: Integer,
    D::N: Integer,
    D::J: Integer,
{
    const DIMENSION: Dimension = Dimension::of::<D>();
}

/// A sheet while readings are put on it. Each call takes the builder and gives it back, or says what
/// does not fit the spec.
#[derive(Clone, Debug)]
pub struct SheetBuilder {
    compiled: Compiled,
    sheet: Sheet,
}

impl SheetBuilder {
    pub(crate) fn new(compiled: Compiled) -> Self {
        let sheet = Sheet::new(compiled.spec());
        Self { compiled, sheet }
    }

    /// A reading as the display showed it: `"12.71 V"`, `"OL on 60 Mohm"`, `"3.52, 3.50, 3.55 mm"`.
    ///
    /// # Errors
    /// Where the spec has no such reading, or the text is none that can stand there.
    pub fn read(self, reading: &str, text: &str) -> Result<Self, Error> {
        self.entry(Entry { path: reading.to_owned(), value: text.to_owned(), ..Entry::default() })
    }

    /// A reading with all that a job sheet may say of it: its state, its range, a note.
    ///
    /// # Errors
    /// As [`SheetBuilder::read`].
    pub fn entry(mut self, entry: Entry) -> Result<Self, Error> {
        if entry.meter.is_some() {
            let profiles = self.compiled.profiles();
            set_entry_with(self.compiled.spec(), &mut self.sheet, &entry, &profiles)?;
        } else {
            set_entry(self.compiled.spec(), &mut self.sheet, &entry)?;
        }
        Ok(self)
    }

    /// Says what a reading was taken with.
    ///
    /// # Errors
    /// Where the spec has no such reading, or the meter cannot have taken it.
    pub fn measured_with(mut self, reading: &str, meter: MeterUse) -> Result<Self, Error> {
        let (slot, _) = self.compiled.slot(reading)?;
        self.sheet
            .measure_with(slot, meter)
            .map_err(|error| SheetError::new(slugs::METER_USE, error.to_string()).of(reading))?;
        Ok(self)
    }

    /// A quantity taken as exact: no digit of a display limits it. Where an instrument with a
    /// resolution stands behind it, [`SheetBuilder::measure_to`].
    ///
    /// # Errors
    /// Where the spec has no such reading, or it is of another dimension or kind.
    pub fn measure<D>(self, reading: &str, value: Quantity<D, SI<f64>, f64>) -> Result<Self, Error>
    where
        D: Dimensioned + ?Sized,
    {
        self.put::<D>(reading, value.value, None)
    }

    /// A quantity as an instrument of this resolution gives it: the true indication lies within half
    /// a step to either side. The step of a temperature is a `TemperatureInterval`.
    ///
    /// # Errors
    /// As [`SheetBuilder::measure`]; and where the step is of another dimension or not above nought.
    pub fn measure_to<D, S>(
        self,
        reading: &str,
        value: Quantity<D, SI<f64>, f64>,
        step: Quantity<S, SI<f64>, f64>,
    ) -> Result<Self, Error>
    where
        D: Dimensioned + ?Sized,
        S: Dimensioned + ?Sized,
    {
        if S::DIMENSION != D::DIMENSION {
            let message = "the step is of another dimension than the value";
            return Err(SheetError::new(slugs::READING_KIND, message).of(reading).into());
        }
        self.put::<D>(reading, value.value, Some(step.value))
    }

    /// What was seen: one of the observation's words.
    ///
    /// # Errors
    /// As [`SheetBuilder::read`].
    pub fn see(self, observation: &str, word: &str) -> Result<Self, Error> {
        self.read(observation, word)
    }

    /// What the machine is: one of the property's words, or a number.
    ///
    /// # Errors
    /// As [`SheetBuilder::read`].
    pub fn machine(self, property: &str, value: impl Display) -> Result<Self, Error> {
        self.read(property, &value.to_string())
    }

    /// The sheet.
    #[must_use]
    pub fn build(self) -> Sheet {
        self.sheet
    }

    /// What comes of the sheet.
    #[must_use]
    pub fn assess(&self) -> Findings {
        self.compiled.assess(&self.sheet)
    }

    fn put<D>(mut self, reading: &str, value: f64, step: Option<f64>) -> Result<Self, Error>
    where
        D: Dimensioned + ?Sized,
    {
        let put = |sheet: &mut Sheet| {
            let (id, slot) = self.compiled.slot(reading)?;
            let kind = quantity_kind(slot)?;
            fits::<D>(&self.compiled, kind)?;
            let reading = Reading::Figure(indication(&self.compiled, kind, value, step)?);
            sheet
                .set(id, reading)
                .map_err(|error| SheetError::new(slugs::READING_SYNTAX, error.to_string()))
        };
        put(&mut self.sheet).map_err(|error: SheetError| error.of(reading))?;
        Ok(self)
    }
}

impl Compiled {
    fn slot(&self, path: &str) -> Result<(SlotId, &Slot), SheetError> {
        let id = truing_job::find_slot(self.spec(), path)?;
        let slot = usize::try_from(id.0).ok().and_then(|place| self.spec().slots.get(place));
        slot.map(|slot| (id, slot)).ok_or_else(|| {
            SheetError::new(slugs::UNKNOWN_READING, format!("`{path}` is no reading of this spec"))
        })
    }
}

fn quantity_kind(slot: &Slot) -> Result<Kind, SheetError> {
    match &slot.kind {
        SlotKind::Quantity { kind, .. } => Ok(*kind),
        SlotKind::Words(words) => {
            let message = "a word is seen here, and nothing is measured";
            Err(SheetError::new(slugs::READING_KIND, message)
                .mend(format!("the words are {}", words.join(", "))))
        }
    }
}

/// Whether a `uom` quantity can stand where this kind is read: by its dimension, and by what `uom`
/// tells apart beside it (angles, so that a rotational speed is no frequency and a torque no energy,
/// and temperatures).
fn fits<D: Dimensioned + ?Sized>(compiled: &Compiled, kind: Kind) -> Result<(), SheetError> {
    const BY_ANGLE: [Kind; 5] = [
        Kind::ANGLE,
        Kind::ROTATIONAL_SPEED,
        Kind::ANGULAR_ACCELERATION,
        Kind::TORQUE,
        Kind::ANGULAR_STIFFNESS,
    ];
    let catalogue = compiled.spec().catalogue();
    let wanted = catalogue.kind(kind);
    let found = TypeId::of::<D::Kind>();
    let angle = found == TypeId::of::<dyn uom::si::marker::AngleKind>();
    let temperature = found == TypeId::of::<dyn uom::si::marker::TemperatureKind>();
    if D::DIMENSION == wanted.dimension
        && angle == BY_ANGLE.contains(&kind)
        && temperature == (kind == Kind::TEMPERATURE)
    {
        return Ok(());
    }
    let given = catalogue.dimension_words(D::DIMENSION);
    let message =
        format!("this quantity is of the dimension {given}, and {} is read here", wanted.words);
    Err(SheetError::new(slugs::READING_KIND, message))
}

/// An indication in the coherent unit, which is `uom`'s base unit of the dimension.
fn indication(
    compiled: &Compiled,
    kind: Kind,
    value: f64,
    step: Option<f64>,
) -> Result<Indication, SheetError> {
    let catalogue = compiled.spec().catalogue();
    let refuse = |what: String| SheetError::new(slugs::NOT_A_NUMBER, what);
    let half_step = match step {
        Some(step) if step.is_finite() && step > 0.0 => step / 2.0,
        Some(step) => return Err(refuse(format!("a step of {step} is none"))),
        None => 0.0,
    };
    let figure = Decimal::parse(&format!("{value:e}"))
        .map_err(|_| refuse(format!("{value} is no number that can be read")))?;
    let shown = Measure::new(figure, catalogue.coherent_unit(kind));
    let place = catalogue.place(Ty::Kind(kind));
    Ok(Indication { exact: shown.exact(place), value, half_step, shown })
}
