//! The elementary errors of one margin: from the sensitivities to the readings, what is own to each
//! and what several share. Allocates nothing once its buffers are as large as the sheet needs.

use truing_metrology::uncertainty::Shape;

use crate::budget::BudgetPart;
use crate::doubt::Doubt;
use crate::flat::FlatReading;
use crate::sheet::{Sheet, place};
use crate::sum::Sum;

/// One elementary error of a margin.
#[derive(Copy, Clone, Debug)]
pub(crate) struct Elementary {
    pub part: BudgetPart,
    /// The reading that it belongs to, or the first of those that share it.
    pub slot: u32,
    pub readings: u32,
    pub shape: Shape,
    /// Its standard uncertainty in the reading; of a shared one its contribution.
    pub standard: f64,
    /// What the margin changes by with the reading.
    pub sensitivity: Option<f64>,
    /// Its standard uncertainty in the margin.
    pub contribution: f64,
    pub dof: Option<f64>,
}

/// A sum that is nought where its terms cancel but for rounding.
#[derive(Copy, Clone, Debug, Default)]
pub(crate) struct Total {
    sum: f64,
    /// The sum of the magnitudes.
    size: f64,
}

impl Total {
    pub fn new(term: f64) -> Self {
        Self { sum: term, size: term.abs() }
    }

    pub fn add(&mut self, term: f64) {
        self.sum += term;
        self.size += term.abs();
    }

    pub fn value(self) -> f64 {
        let rounding = self.sum.is_finite() && self.sum.abs() <= 1e-12 * self.size;
        if rounding { 0.0 } else { self.sum }
    }
}

/// What the readings of one source add up to.
#[derive(Copy, Clone, Debug, Default)]
struct Shared {
    /// Σ c·gain, of leads and of zeroes Σ c·half-width.
    gain: Total,
    /// Σ c·offset.
    offset: Total,
    readings: u32,
    part: Option<BudgetPart>,
    slot: u32,
}

/// Buffers of the propagation.
#[derive(Clone, Debug)]
pub(crate) struct Scratch {
    /// For each number the derivative of the margin by it.
    pub adjoints: Vec<Total>,
    /// For each slot the derivative of the margin by its reading.
    pub sensitivities: Vec<Total>,
    shared: Vec<Shared>,
    touched: Vec<u32>,
    pub errors: Vec<Elementary>,
    /// What each reading contributes that the sheet correlates with another.
    correlated: Vec<f64>,
    pub sum: Sum,
}

impl Scratch {
    pub fn new(numbers: usize, slots: usize) -> Self {
        // Eight errors of each reading's own, and three that may be shared.
        let errors = slots.saturating_mul(11) + 1;
        Self {
            adjoints: vec![Total::default(); numbers],
            sensitivities: vec![Total::default(); slots],
            shared: Vec::new(),
            touched: Vec::with_capacity(slots.saturating_mul(3)),
            errors: Vec::with_capacity(errors),
            correlated: Vec::with_capacity(slots),
            sum: Sum::new(),
        }
    }

    /// Room for the sources of a sheet.
    pub fn make_room(&mut self, sheet: &Sheet) {
        let sources = place(sheet.source_total());
        if self.shared.len() < sources {
            self.shared.resize(sources, Shared::default());
        }
    }

    pub fn seed(&mut self, number: u32, by: f64) {
        if let Some(adjoint) = self.adjoints.get_mut(place(number)) {
            adjoint.add(by);
        }
    }

    fn sensitivity(&self, slot: u32) -> f64 {
        self.sensitivities.get(place(slot)).copied().unwrap_or_default().value()
    }

    fn share(&mut self, source: u32, part: BudgetPart, slot: u32, gain: f64, offset: f64) {
        let Some(shared) = self.shared.get_mut(place(source)) else { return };
        if shared.part.is_none() {
            *shared = Shared { part: Some(part), ..Shared::default() };
            self.touched.push(source);
        }
        shared.gain.add(gain);
        shared.offset.add(offset);
        if shared.readings == 0 {
            shared.slot = slot;
        }
        shared.readings += 1;
    }

    fn rectangular(&mut self, part: BudgetPart, slot: u32, sensitivity: f64, half: f64) {
        self.own(part, slot, Shape::Rectangular, sensitivity, half / 3.0_f64.sqrt(), None);
    }

    fn own(
        &mut self,
        part: BudgetPart,
        slot: u32,
        shape: Shape,
        sensitivity: f64,
        standard: f64,
        dof: Option<f64>,
    ) {
        let contribution = (sensitivity * standard).abs();
        if contribution > 0.0 {
            self.errors.push(Elementary {
                part,
                slot,
                readings: 1,
                shape,
                standard,
                sensitivity: Some(sensitivity),
                contribution,
                dof,
            });
        }
    }

    /// Every elementary error of a margin whose sensitivities to these slots are known.
    pub fn collect<'a>(&mut self, sheet: &Sheet, slots: &[u32], doubt: impl Fn(u32) -> &'a Doubt) {
        self.errors.clear();
        let mut correlated = 0_u32;
        let mut first = None;
        for slot in slots {
            let c = self.sensitivity(*slot);
            if c == 0.0 || !sheet.flat(*slot).has(FlatReading::POINT) {
                continue;
            }
            let doubt = doubt(*slot);
            if doubt.correlated {
                correlated += 1;
                first = first.or(Some(*slot));
            } else {
                self.of_reading(*slot, c, doubt);
            }
        }
        if let Some(first) = first {
            let together = self.together(sheet, slots, &doubt);
            self.of_correlated(first, together, correlated);
        }
        self.of_sources();
    }

    fn of_reading(&mut self, slot: u32, c: f64, doubt: &Doubt) {
        use BudgetPart as Part;
        self.rectangular(Part::Accuracy, slot, c, doubt.own_accuracy);
        self.rectangular(Part::Span, slot, c, doubt.span);
        self.rectangular(Part::Resolution, slot, c, doubt.resolution);
        self.rectangular(Part::Capture, slot, c, doubt.capture);
        self.rectangular(Part::Technique, slot, c, doubt.technique);
        self.rectangular(Part::Circuit, slot, c, doubt.circuit);
        if let Some(repeats) = doubt.repeats {
            let shape = Shape::Student { dof: repeats.dof };
            self.own(Part::Repeats, slot, shape, c, repeats.scale, Some(repeats.dof));
        }
        if let Some(stated) = doubt.stated {
            let shape = stated.dof.map_or(Shape::Normal, |dof| Shape::Student { dof });
            self.own(Part::Stated, slot, shape, c, stated.standard, stated.dof);
        }
        if let Some(accuracy) = doubt.accuracy {
            let (gain, offset) = (c * accuracy.gain, c * accuracy.offset);
            self.share(accuracy.source, Part::Accuracy, slot, gain, offset);
        }
        if let Some((source, half)) = doubt.leads {
            self.share(source, Part::Leads, slot, c * half, 0.0);
        }
        if let Some((source, half)) = doubt.zero {
            self.share(source, Part::Zero, slot, c * half, 0.0);
        }
    }

    fn of_sources(&mut self) {
        for place_of in 0..self.touched.len() {
            let Some(source) = self.touched.get(place_of).copied() else { break };
            let Some(shared) = self.shared.get_mut(place(source)) else { continue };
            let Shared { gain, offset, readings, part, slot } = std::mem::take(shared);
            let contribution = (gain.value().abs() + offset.value().abs()) / 3.0_f64.sqrt();
            let Some(part) = part else { continue };
            if contribution == 0.0 {
                continue;
            }
            let alone = readings == 1;
            let sensitivity = self.sensitivity(slot);
            let standard = if alone { contribution / sensitivity.abs() } else { contribution };
            self.errors.push(Elementary {
                part,
                slot,
                readings,
                shape: Shape::Rectangular,
                standard,
                sensitivity: alone.then_some(sensitivity),
                contribution,
                dof: None,
            });
        }
        self.touched.clear();
    }

    /// The combined standard uncertainty of the readings that the sheet correlates (JCGM 100:2008,
    /// eq. 16).
    fn together<'a>(
        &mut self,
        sheet: &Sheet,
        slots: &[u32],
        doubt: &impl Fn(u32) -> &'a Doubt,
    ) -> f64 {
        self.correlated.clear();
        for slot in sheet.correlations.named() {
            let slot = slot.0;
            let counts =
                slots.binary_search(&slot).is_ok() && sheet.flat(slot).has(FlatReading::POINT);
            let term = self.sensitivity(slot) * doubt(slot).standard();
            self.correlated.push(if counts { term } else { 0.0 });
        }
        sheet.correlations.combine(&self.correlated)
    }

    fn of_correlated(&mut self, slot: u32, contribution: f64, readings: u32) {
        if contribution > 0.0 {
            self.errors.push(Elementary {
                part: BudgetPart::Correlated,
                slot,
                readings,
                shape: Shape::Normal,
                standard: contribution,
                sensitivity: None,
                contribution,
                dof: None,
            });
        }
    }

    /// The standard uncertainty of the errors that were collected last (JCGM 100:2008, eq. 10);
    /// `None` where it is not finite.
    pub fn standard(&self) -> Option<f64> {
        let contributions = self.errors.iter().map(|error| error.contribution);
        let unit = contributions.clone().fold(f64::MIN_POSITIVE, f64::max);
        let squares: f64 = contributions.map(|of| (of / unit) * (of / unit)).sum();
        Some(squares.sqrt() * unit).filter(|standard| standard.is_finite())
    }

    pub fn add_up(&mut self) -> Option<f64> {
        self.sum.of(&self.errors)
    }
}
