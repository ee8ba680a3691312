//! A derived quantity as a short list of operations on doubles: forwards for its value, backwards
//! for its derivatives by the readings (JCGM 100:2008, 5.1.3), and from these its standard
//! uncertainty (eq. 10). Nothing is enclosed and nothing is exact, as nothing is held against a limit
//! here: where doubles could lose the value, or where there is no such list, the caller goes the long
//! way round by [`crate::run`]. Allocates nothing.
//!
//! `make` lays a formula out so that little is left to be done for each sheet: whatever can be known
//! of the operations beforehand (which derivative is a single term, which never changes) is.

mod make;
mod operation;

use operation::Operation;

use crate::errors::Total;
use crate::flat::FlatReading;
use crate::sheet::Sheet;

/// The registers that a byte can name.
const MOST: usize = 256;

/// What a sum may lose of its terms before doubles are not trusted with dividing by it: two such
/// losses still leave every quotient four digits.
const LOSS: f64 = 1e-6;

/// The squares that neither overflow nor lose digits below.
const SQUARES: std::ops::Range<f64> = 1e-280..1e280;

/// The operations of one derived quantity. Its registers are first the readings, then the constants,
/// then what comes of each operation.
#[derive(Clone, Debug)]
pub(crate) struct Formula {
    slots: Box<[u32]>,
    constants: Box<[f64]>,
    operations: Box<[Operation]>,
    /// The derivatives by the registers, from the last operation to the readings; none where they
    /// are known.
    back: Box<[Back]>,
    /// The derivatives by the readings, where they do not go by what is read.
    slopes: Box<[f64]>,
    /// The register of the first operation.
    first: u8,
    result: u8,
    /// It divides, or has no value somewhere: a sum that should be nought must not pass for a number.
    delicate: bool,
}

/// One step from a register to what it was made of.
#[derive(Copy, Clone, Debug)]
enum Back {
    /// The derivative by the register `at` gives those by its operands. Each has one place of its
    /// own to be put in: nothing has to be emptied beforehand.
    Through { operation: Operation, at: u8, into: [u8; 2] },
    /// A register that is read more than once, or never, has the sum of what each time gave.
    Sum { into: u8, first: u8, count: u8 },
}

/// The registers of a formula.
#[derive(Clone, Debug)]
pub(crate) struct Registers {
    values: [f64; MOST],
    /// The derivatives by them.
    adjoints: [f64; MOST],
    /// The standard uncertainties of the readings.
    standards: [f64; MOST],
}

/// What a formula comes to.
#[derive(Copy, Clone, Debug)]
pub(crate) enum Told {
    /// Value and standard uncertainty.
    Quantity(f64, f64),
    /// The value; some errors are shared or correlated. The sensitivities stand in the registers.
    Shared(f64),
}

fn at(values: &[f64; MOST], register: u8) -> f64 {
    values.get(usize::from(register)).copied().unwrap_or(f64::NAN)
}

fn put(values: &mut [f64; MOST], register: u8, value: f64) {
    if let Some(kept) = values.get_mut(usize::from(register)) {
        *kept = value;
    }
}

impl Registers {
    pub fn new() -> Self {
        Self { values: [0.0; MOST], adjoints: [0.0; MOST], standards: [0.0; MOST] }
    }
}

impl Formula {
    /// The value of the quantity with its standard uncertainty; `None` where that has to be told the
    /// long way round.
    #[inline(always)]
    pub fn tell(&self, sheet: &Sheet, registers: &mut Registers) -> Option<Told> {
        let flags = self.gather(sheet, registers)?;
        if !self.forwards(&mut registers.values) {
            return None;
        }
        let value = at(&registers.values, self.result);
        self.backwards(&registers.values, &mut registers.adjoints);
        let mut variance = 0.0;
        for (slope, standard) in self.slopes(registers).iter().zip(&registers.standards) {
            let part = slope * standard;
            variance += part * part;
        }
        if flags & FlatReading::SHARED != 0 {
            // What is not finite shows in the variance, whichever way its terms add up.
            return variance.is_finite().then_some(Told::Shared(value));
        }
        SQUARES.contains(&variance).then(|| Told::Quantity(value, variance.sqrt()))
    }

    /// The slots with the derivatives by their readings, after [`Formula::tell`].
    pub fn sensitivities<'a>(
        &'a self,
        registers: &'a Registers,
    ) -> impl Iterator<Item = (u32, f64)> + 'a {
        self.slots.iter().copied().zip(self.slopes(registers).iter().copied())
    }

    /// The derivatives by the readings, in the order of the slots.
    fn slopes<'a>(&'a self, registers: &'a Registers) -> &'a [f64] {
        if self.back.is_empty() {
            return &self.slopes;
        }
        registers.adjoints.get(..self.slots.len()).unwrap_or_default()
    }

    /// Readings and constants into their registers, and what any of the readings is; `None` where one
    /// is no single figure with errors of its own.
    #[inline(always)]
    fn gather(&self, sheet: &Sheet, registers: &mut Registers) -> Option<u16> {
        const PLAIN: u16 = FlatReading::TAKEN | FlatReading::POINT;
        let (mut all, mut any) = (PLAIN, 0);
        let places = registers.values.iter_mut().zip(&mut registers.standards);
        for (slot, (value, standard)) in self.slots.iter().zip(places) {
            let flat = sheet.flat(*slot);
            all &= flat.flags;
            any |= flat.flags;
            *value = 0.5 * flat.near.lo + 0.5 * flat.near.hi;
            *standard = flat.standard;
        }
        self.constants_into(registers);
        (all == PLAIN && any & FlatReading::BANDED == 0).then_some(any)
    }

    fn constants_into(&self, registers: &mut Registers) {
        let behind = self.slots.len()..self.slots.len() + self.constants.len();
        if let Some(values) = registers.values.get_mut(behind) {
            values.iter_mut().zip(&self.constants).for_each(|(value, of)| *value = *of);
        }
    }

    /// What comes of each operation; `false` where doubles cannot be trusted with it.
    #[inline(always)]
    fn forwards(&self, values: &mut [f64; MOST]) -> bool {
        if self.delicate { self.run::<true>(values) } else { self.run::<false>(values) }
    }

    #[inline(always)]
    fn run<const DELICATE: bool>(&self, values: &mut [f64; MOST]) -> bool {
        let (mut sound, mut last) = (true, f64::NAN);
        for (operation, register) in self.operations.iter().zip(self.first..) {
            last = operation.value::<DELICATE>(|of| at(values, of), &mut sound);
            put(values, register, last);
        }
        sound & last.is_finite()
    }

    #[inline(always)]
    fn backwards(&self, values: &[f64; MOST], adjoints: &mut [f64; MOST]) {
        put(adjoints, self.result, 1.0);
        for step in &self.back {
            match *step {
                Back::Through { ref operation, at: register, into: [into_a, into_b] } => {
                    let by = at(adjoints, register);
                    let [a, b] = operation.parts(by, register, |of| at(values, of));
                    put(adjoints, into_a, a);
                    put(adjoints, into_b, b);
                }
                Back::Sum { into, first, count } => {
                    let mut total = Total::default();
                    for further in 0..count {
                        total.add(at(adjoints, first.wrapping_add(further)));
                    }
                    put(adjoints, into, total.value());
                }
            }
        }
    }
}
