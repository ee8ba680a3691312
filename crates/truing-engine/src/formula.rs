//! A derived quantity as a short list of operations on doubles: forwards for its value, backwards
//! for its derivatives by the readings (JCGM 100:2008, 5.1.3), and from these its standard
//! uncertainty (eq. 10). Nothing is enclosed and nothing is exact, as nothing is held against a limit
//! here: where doubles could lose the value, or where there is no such list, the caller goes the long
//! way round by [`crate::run`]. Allocates nothing.

use truing_model::{Fold, Function};

use crate::errors::Total;
use crate::flat::FlatReading;
use crate::program::{NumberOp, Program, Root, Step};
use crate::sheet::{Sheet, place};

/// The registers that a byte can name. The last one stays free.
const MOST: usize = 256;

/// What a sum may lose of its terms before doubles are not trusted with dividing by it: two such
/// losses still leave every quotient four digits.
const LOSS: f64 = 1e-6;

/// The squares that neither overflow nor lose digits below.
const SQUARES: std::ops::Range<f64> = 1e-280..1e280;

/// One operation; operands are registers.
#[derive(Copy, Clone, Debug)]
enum Operation {
    Negate(u8),
    Add(u8, u8),
    Subtract(u8, u8),
    Multiply(u8, u8),
    Divide(u8, u8),
    Power(u8, i8),
    Least(u8, u8),
    Greatest(u8, u8),
    Abs(u8),
    Sqrt(u8),
    Exp(u8),
    Ln(u8),
    Log10(u8),
}

/// The operations of one derived quantity. Its registers are first the readings, then the constants,
/// then what comes of each operation.
#[derive(Clone, Debug)]
pub(crate) struct Formula {
    slots: Box<[u32]>,
    constants: Box<[f64]>,
    operations: Box<[Operation]>,
    /// The register of the first operation.
    first: u8,
    result: u8,
    /// It divides, or has no value somewhere: a sum that should be nought must not pass for a number.
    delicate: bool,
    /// No register is read twice: derivatives are single terms, in which nothing can cancel.
    single: bool,
}

/// The registers of a formula.
#[derive(Clone, Debug)]
pub(crate) struct Registers {
    values: [f64; MOST],
    adjoints: [Total; MOST],
    /// The same of a formula that reads no register twice.
    plain: [f64; MOST],
}

/// A derivative while its terms are added up.
trait Adjoint: Copy + Default {
    fn term(&mut self, term: f64);
    fn told(self) -> f64;
}

impl Adjoint for Total {
    fn term(&mut self, term: f64) {
        self.add(term);
    }

    fn told(self) -> f64 {
        self.value()
    }
}

impl Adjoint for f64 {
    fn term(&mut self, term: f64) {
        *self += term;
    }

    fn told(self) -> f64 {
        self
    }
}

fn seed<A: Adjoint>(adjoints: &mut [A; MOST], register: u8, by: f64) {
    if let Some(adjoint) = adjoints.get_mut(usize::from(register)) {
        adjoint.term(by);
    }
}

/// What a formula comes to.
#[derive(Copy, Clone, Debug)]
pub(crate) enum Told {
    /// Value and standard uncertainty.
    Quantity(f64, f64),
    /// The value; some errors are shared or correlated. The sensitivities stand in the registers.
    Shared(f64),
}

impl Registers {
    pub fn new() -> Self {
        Self { values: [0.0; MOST], adjoints: [Total::default(); MOST], plain: [0.0; MOST] }
    }

    fn at(&self, register: u8) -> f64 {
        self.values.get(usize::from(register)).copied().unwrap_or(f64::NAN)
    }
}

impl Formula {
    /// The value of the quantity with its standard uncertainty; `None` where that has to be told the
    /// long way round.
    pub fn tell(&self, sheet: &Sheet, registers: &mut Registers) -> Option<Told> {
        let value = self.value(sheet, registers)?;
        let (variance, shared) = if self.single {
            self.backwards(&registers.values, &mut registers.plain);
            self.variance(sheet, &registers.plain)
        } else {
            self.backwards(&registers.values, &mut registers.adjoints);
            self.variance(sheet, &registers.adjoints)
        };
        if shared {
            if self.single {
                self.backwards(&registers.values, &mut registers.adjoints);
            }
            // What is not finite shows in the variance, whichever way its terms add up.
            return variance.is_finite().then_some(Told::Shared(value));
        }
        SQUARES.contains(&variance).then(|| Told::Quantity(value, variance.sqrt()))
    }

    /// The variance, and whether any of the errors is shared.
    fn variance<A: Adjoint>(&self, sheet: &Sheet, adjoints: &[A; MOST]) -> (f64, bool) {
        let (mut variance, mut shared) = (0.0, 0);
        for (slot, adjoint) in self.slots.iter().zip(adjoints) {
            let flat = sheet.flat(*slot);
            let part = adjoint.told() * flat.standard;
            variance += part * part;
            shared |= flat.flags & FlatReading::SHARED;
        }
        (variance, shared != 0)
    }

    /// The slots with the derivatives by their readings, after [`Formula::tell`].
    pub fn sensitivities<'a>(
        &'a self,
        registers: &'a Registers,
    ) -> impl Iterator<Item = (u32, f64)> + 'a {
        self.slots.iter().copied().zip(registers.adjoints.iter().map(|adjoint| adjoint.value()))
    }

    fn value(&self, sheet: &Sheet, registers: &mut Registers) -> Option<f64> {
        const PLAIN: u16 = FlatReading::TAKEN | FlatReading::POINT;
        let mut places = registers.values.iter_mut();
        for (slot, at) in self.slots.iter().zip(places.by_ref()) {
            let flat = sheet.flat(*slot);
            if flat.flags & (PLAIN | FlatReading::BANDED) != PLAIN {
                return None;
            }
            *at = 0.5 * flat.near.lo + 0.5 * flat.near.hi;
        }
        let rest = registers.values.iter_mut().skip(self.slots.len());
        for (constant, at) in self.constants.iter().zip(rest) {
            *at = *constant;
        }
        let mut sound = true;
        for (operation, at) in self.operations.iter().zip(self.first..) {
            let value = match *operation {
                Operation::Negate(of) => -registers.at(of),
                Operation::Add(a, b) => {
                    let (a, b) = (registers.at(a), registers.at(b));
                    sound &= !self.delicate || (a + b).abs() > LOSS * a.abs();
                    a + b
                }
                Operation::Subtract(a, b) => {
                    let (a, b) = (registers.at(a), registers.at(b));
                    sound &= !self.delicate || (a - b).abs() > LOSS * a.abs();
                    a - b
                }
                Operation::Multiply(a, b) => registers.at(a) * registers.at(b),
                Operation::Divide(a, b) => registers.at(a) / registers.at(b),
                Operation::Power(of, exponent) => power(registers.at(of), exponent),
                Operation::Least(a, b) => registers.at(a).min(registers.at(b)),
                Operation::Greatest(a, b) => registers.at(a).max(registers.at(b)),
                Operation::Abs(of) => registers.at(of).abs(),
                Operation::Sqrt(of) => registers.at(of).sqrt(),
                Operation::Exp(of) => libm::exp(registers.at(of)),
                Operation::Ln(of) => libm::log(registers.at(of)),
                Operation::Log10(of) => libm::log10(registers.at(of)),
            };
            sound &= value.is_finite();
            if let Some(register) = registers.values.get_mut(usize::from(at)) {
                *register = value;
            }
        }
        sound.then(|| registers.at(self.result))
    }

    fn backwards<A: Adjoint>(&self, values: &[f64; MOST], adjoints: &mut [A; MOST]) {
        let value = |register: u8| values.get(usize::from(register)).copied().unwrap_or(f64::NAN);
        let count = self.slots.len() + self.constants.len() + self.operations.len();
        adjoints.iter_mut().take(count).for_each(|of| *of = A::default());
        seed(adjoints, self.result, 1.0);
        let mut at = self.result;
        for operation in self.operations.iter().rev() {
            let by = adjoints.get(usize::from(at)).copied().unwrap_or_default().told();
            match *operation {
                Operation::Negate(of) => seed(adjoints, of, -by),
                Operation::Add(a, b) => {
                    seed(adjoints, a, by);
                    seed(adjoints, b, by);
                }
                Operation::Subtract(a, b) => {
                    seed(adjoints, a, by);
                    seed(adjoints, b, -by);
                }
                Operation::Multiply(a, b) => {
                    seed(adjoints, a, by * value(b));
                    seed(adjoints, b, by * value(a));
                }
                Operation::Divide(a, b) => {
                    let part = by / value(b);
                    seed(adjoints, a, part);
                    seed(adjoints, b, -part * value(at));
                }
                Operation::Power(of, exponent) => {
                    let below = power(value(of), exponent.saturating_sub(1));
                    seed(adjoints, of, by * f64::from(exponent) * below);
                }
                Operation::Least(a, b) => {
                    let (at_a, at_b) = (value(a), value(b));
                    seed(adjoints, if is_beyond(-at_b, -at_a) { b } else { a }, by);
                }
                Operation::Greatest(a, b) => {
                    let (at_a, at_b) = (value(a), value(b));
                    seed(adjoints, if is_beyond(at_b, at_a) { b } else { a }, by);
                }
                Operation::Abs(of) => {
                    seed(adjoints, of, if value(of) < 0.0 { -by } else { by });
                }
                Operation::Sqrt(of) => seed(adjoints, of, by * 0.5 / value(at)),
                Operation::Exp(of) => seed(adjoints, of, by * value(at)),
                Operation::Ln(of) => seed(adjoints, of, by / value(of)),
                Operation::Log10(of) => {
                    seed(adjoints, of, by / (value(of) * std::f64::consts::LN_10));
                }
            }
            at = at.saturating_sub(1);
        }
    }
}

/// Whether one of two numbers is the greater by more than rounding.
fn is_beyond(other: f64, foremost: f64) -> bool {
    other - foremost > 1e-12 * foremost.abs()
}

/// By multiplying, so that it comes out alike everywhere.
fn power(of: f64, exponent: i8) -> f64 {
    let raised = (0..exponent.unsigned_abs()).fold(1.0, |product, _| product * of);
    if exponent < 0 { 1.0 / raised } else { raised }
}

/// A register whose number is not known yet.
#[derive(Copy, Clone)]
enum Place {
    Slot(usize),
    Constant(usize),
    Operation(usize),
}

/// Makes the formula of a root.
struct Maker<'a> {
    program: &'a Program,
    places: Vec<(u32, Place)>,
    slots: Vec<u32>,
    constants: Vec<f64>,
    operations: Vec<(Kind, Place, Place)>,
}

/// An operation without its operands.
#[derive(Copy, Clone)]
enum Kind {
    Negate,
    Add,
    Subtract,
    Multiply,
    Divide,
    Power(i8),
    Least,
    Greatest,
    Apply(Function),
}

impl Formula {
    /// The formula of a number; `None` where it takes more than doubles know.
    pub fn new(program: &Program, number: u32, root: Root) -> Option<Self> {
        if root.rough {
            return None;
        }
        let (places, slots, constants, operations) = Default::default();
        let mut maker = Maker { program, places, slots, constants, operations };
        for step in root.steps.of(&program.steps) {
            let Step::Number(id) = step else { return None };
            let place = maker.number(*program.numbers.get(place(*id))?)?;
            maker.places.push((*id, place));
        }
        maker.formula(number)
    }
}

impl Maker<'_> {
    fn number(&mut self, op: NumberOp) -> Option<Place> {
        Some(match op {
            NumberOp::Slot(slot) => {
                let known = self.slots.iter().position(|known| *known == slot);
                Place::Slot(known.unwrap_or_else(|| {
                    self.slots.push(slot);
                    self.slots.len() - 1
                }))
            }
            NumberOp::Constant(id) => self.fixed(id)?,
            NumberOp::Negate(of) => self.one(Kind::Negate, of)?,
            NumberOp::Add(a, b) => self.two(Kind::Add, a, b)?,
            NumberOp::Subtract(a, b) => self.two(Kind::Subtract, a, b)?,
            NumberOp::Multiply(a, b) => self.two(Kind::Multiply, a, b)?,
            NumberOp::Divide(a, b) => self.two(Kind::Divide, a, b)?,
            NumberOp::Power(_, 0) => self.constant(1.0),
            NumberOp::Power(of, exponent) => self.one(Kind::Power(exponent), of)?,
            NumberOp::Apply(Function::Round, _) => return None,
            NumberOp::Apply(function, of) => self.one(Kind::Apply(function), of)?,
            NumberOp::Fold(fold, members) => self.fold(fold, members.of(&self.program.members))?,
            NumberOp::Refer { resistance, from, to, offset } => {
                let (offset, from, to) = (self.fixed(offset)?, self.at(from)?, self.at(to)?);
                let top = self.push(Kind::Add, offset, to);
                let base = self.push(Kind::Add, offset, from);
                let ratio = self.push(Kind::Divide, top, base);
                let resistance = self.at(resistance)?;
                self.push(Kind::Multiply, resistance, ratio)
            }
            NumberOp::Property(_)
            | NumberOp::CurveAt { .. }
            | NumberOp::Choose { .. }
            | NumberOp::Law { .. } => return None,
        })
    }

    fn fold(&mut self, fold: Fold, members: &[u32]) -> Option<Place> {
        let count = self.constant(members.len() as f64);
        Some(match fold {
            Fold::Count | Fold::Unbalance | Fold::SequenceUnbalance => return None,
            Fold::Min => self.chain(Kind::Least, members)?,
            Fold::Max => self.chain(Kind::Greatest, members)?,
            Fold::Sum => self.chain(Kind::Add, members)?,
            Fold::Mean => {
                let sum = self.chain(Kind::Add, members)?;
                self.push(Kind::Divide, sum, count)
            }
            Fold::Spread => {
                let most = self.chain(Kind::Greatest, members)?;
                let least = self.chain(Kind::Least, members)?;
                self.push(Kind::Subtract, most, least)
            }
        })
    }

    fn chain(&mut self, kind: Kind, members: &[u32]) -> Option<Place> {
        let (first, others) = members.split_first()?;
        let first = self.at(*first)?;
        others.iter().try_fold(first, |so_far, next| {
            let next = self.at(*next)?;
            Some(self.push(kind, so_far, next))
        })
    }

    fn at(&self, number: u32) -> Option<Place> {
        self.places.iter().find(|(id, _)| *id == number).map(|(_, place)| *place)
    }

    fn one(&mut self, kind: Kind, of: u32) -> Option<Place> {
        let of = self.at(of)?;
        Some(self.push(kind, of, of))
    }

    fn two(&mut self, kind: Kind, a: u32, b: u32) -> Option<Place> {
        let (a, b) = (self.at(a)?, self.at(b)?);
        Some(self.push(kind, a, b))
    }

    fn push(&mut self, kind: Kind, a: Place, b: Place) -> Place {
        self.operations.push((kind, a, b));
        Place::Operation(self.operations.len() - 1)
    }

    fn fixed(&mut self, id: u32) -> Option<Place> {
        let fixed = self.program.fixed.get(place(id))?;
        let value = fixed.exact.map(|exact| exact.to_f64()).or(fixed.near.middle())?;
        Some(self.constant(value))
    }

    fn constant(&mut self, value: f64) -> Place {
        self.constants.push(value);
        Place::Constant(self.constants.len() - 1)
    }

    fn formula(self, number: u32) -> Option<Formula> {
        let first = self.slots.len() + self.constants.len();
        if first + self.operations.len() >= MOST {
            return None;
        }
        let register = |place: Place| {
            let register = match place {
                Place::Slot(of) => of,
                Place::Constant(of) => self.slots.len() + of,
                Place::Operation(of) => first + of,
            };
            u8::try_from(register).ok()
        };
        let operations: Option<Box<[Operation]>> = self
            .operations
            .iter()
            .map(|(kind, a, b)| Some(operation(*kind, register(*a)?, register(*b)?)))
            .collect();
        let result = register(self.at(number)?)?;
        let operations = operations?;
        // The passes run over all operations: the last one is the result, or there is none.
        let last = register(Place::Operation(operations.len().checked_sub(1)?))?;
        if result != last {
            return None;
        }
        let first = u8::try_from(first).ok()?;
        let delicate = operations.iter().any(|operation| operation.is_delicate());
        let mut read = [0_u8; MOST];
        for operand in operations.iter().flat_map(|operation| operation.operands()).flatten() {
            if let Some(times) = read.get_mut(usize::from(operand)) {
                *times = times.saturating_add(1);
            }
        }
        let single = read.iter().all(|times| *times <= 1);
        let (slots, constants) = (self.slots.into(), self.constants.into());
        Some(Formula { slots, constants, operations, first, result, delicate, single })
    }
}

impl Operation {
    /// The registers that it reads.
    const fn operands(self) -> [Option<u8>; 2] {
        match self {
            Self::Add(a, b)
            | Self::Subtract(a, b)
            | Self::Multiply(a, b)
            | Self::Divide(a, b)
            | Self::Least(a, b)
            | Self::Greatest(a, b) => [Some(a), Some(b)],
            Self::Negate(of)
            | Self::Power(of, _)
            | Self::Abs(of)
            | Self::Sqrt(of)
            | Self::Exp(of)
            | Self::Ln(of)
            | Self::Log10(of) => [Some(of), None],
        }
    }
}

fn operation(kind: Kind, a: u8, b: u8) -> Operation {
    match kind {
        Kind::Negate => Operation::Negate(a),
        Kind::Add => Operation::Add(a, b),
        Kind::Subtract => Operation::Subtract(a, b),
        Kind::Multiply => Operation::Multiply(a, b),
        Kind::Divide => Operation::Divide(a, b),
        Kind::Power(exponent) => Operation::Power(a, exponent),
        Kind::Least => Operation::Least(a, b),
        Kind::Greatest => Operation::Greatest(a, b),
        Kind::Apply(Function::Sqrt) => Operation::Sqrt(a),
        Kind::Apply(Function::Exp) => Operation::Exp(a),
        Kind::Apply(Function::Ln) => Operation::Ln(a),
        Kind::Apply(Function::Log10) => Operation::Log10(a),
        // No formula is made of what rounds.
        Kind::Apply(Function::Abs | Function::Round) => Operation::Abs(a),
    }
}

impl Operation {
    const fn is_delicate(self) -> bool {
        match self {
            Self::Divide(..) | Self::Sqrt(_) | Self::Ln(_) | Self::Log10(_) => true,
            Self::Power(_, exponent) => exponent < 0,
            _ => false,
        }
    }
}
