//! Making the formula of a derived quantity, and laying it out.

use truing_model::{Fold, Function};

use super::operation::Operation;
use super::{Back, Formula, MOST, Registers};
use crate::program::{NumberOp, Program, Root, Step};
use crate::sheet::place;

/// The register of what nobody asks for.
const SINK: u8 = u8::MAX;

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
        Some(match fold {
            Fold::Count | Fold::Unbalance | Fold::SequenceUnbalance => return None,
            Fold::Min => self.chain(Kind::Least, members)?,
            Fold::Max => self.chain(Kind::Greatest, members)?,
            Fold::Sum => self.chain(Kind::Add, members)?,
            Fold::Mean => {
                let sum = self.chain(Kind::Add, members)?;
                let count = self.constant(members.len() as f64);
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
        if first + self.operations.len() >= usize::from(SINK) {
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
        let mut formula = Formula {
            first: u8::try_from(first).ok()?,
            result,
            delicate: operations.iter().any(|operation| operation.is_delicate()),
            back: way_back(&operations, self.slots.len(), first)?,
            slots: self.slots.into(),
            constants: self.constants.into(),
            operations,
            slopes: Box::default(),
        };
        formula.straighten();
        Some(formula)
    }
}

impl Formula {
    /// Derivatives that do not go by what is read are worked out once.
    fn straighten(&mut self) {
        let mut changes = [false; MOST];
        changes.iter_mut().take(self.slots.len()).for_each(|changes| *changes = true);
        let mut straight = true;
        for (operation, register) in self.operations.iter().zip(self.first..) {
            let of = |register: u8| changes.get(usize::from(register)) == Some(&true);
            straight &= operation.is_straight(of);
            let changed = operation.operands().into_iter().flatten().any(of);
            if let Some(kept) = changes.get_mut(usize::from(register)) {
                *kept = changed;
            }
        }
        if straight {
            let mut registers = Registers::new();
            self.constants_into(&mut registers);
            self.forwards(&mut registers.values);
            self.backwards(&registers.values, &mut registers.adjoints);
            self.slopes = self.slopes(&registers).into();
            self.back = Box::default();
        }
    }
}

/// The steps from the result back to the readings; `None` where they take too many registers.
fn way_back(operations: &[Operation], slots: usize, first: usize) -> Option<Box<[Back]>> {
    let mut uses = Uses::of(operations, first + operations.len());
    let mut back = Vec::new();
    for (at, operation) in operations.iter().enumerate().rev() {
        let register = u8::try_from(first + at).ok()?;
        // Nothing reads the last.
        if at + 1 < operations.len() {
            back.extend(uses.sum(register)?);
        }
        let mut into = [SINK; 2];
        for (into, operand) in into.iter_mut().zip(operation.operands().into_iter().flatten()) {
            let constant = (slots..first).contains(&usize::from(operand));
            if !constant {
                *into = uses.place(operand)?;
            }
        }
        back.push(Back::Through { operation: *operation, at: register, into });
    }
    for slot in 0..slots {
        back.extend(uses.sum(u8::try_from(slot).ok()?)?);
    }
    Some(back.into())
}

/// Where the derivative that comes of each reading of a register is kept: in the register of the same
/// number, or, where there are several, side by side behind all others.
struct Uses {
    /// By register: how often it is read, and from where on what comes of it is kept.
    times: Vec<(usize, usize)>,
    met: Vec<usize>,
}

impl Uses {
    fn of(operations: &[Operation], registers: usize) -> Self {
        let mut times = vec![(0, 0); registers];
        for operand in operations.iter().flat_map(|operation| operation.operands()).flatten() {
            if let Some((times, _)) = times.get_mut(usize::from(operand)) {
                *times += 1;
            }
        }
        let mut free = registers;
        for (register, (times, from)) in times.iter_mut().enumerate() {
            *from = if *times == 1 { register } else { free };
            free += if *times == 1 { 0 } else { *times };
        }
        Self { met: vec![0; registers], times }
    }

    /// The place of the next one; `None` where there are not so many registers.
    fn place(&mut self, register: u8) -> Option<u8> {
        let register = usize::from(register);
        let (_, from) = self.times.get(register)?;
        let met = self.met.get_mut(register)?;
        *met += 1;
        u8::try_from(from + *met - 1).ok().filter(|place| *place < SINK)
    }

    /// What adds them up, where there is not just one.
    fn sum(&self, into: u8) -> Option<Option<Back>> {
        let (times, from) = *self.times.get(usize::from(into))?;
        if times == 1 {
            return Some(None);
        }
        let first = u8::try_from(from).ok()?;
        Some(Some(Back::Sum { into, first, count: u8::try_from(times).ok()? }))
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
