//! Running the program: one step after the other into registers, without allocating.

use truing_model::{Fold, Function, Outcome, PropertyId, PropertyValue, Relation};

use crate::arithmetic::{Arithmetic, Cause, Ends, Known, Lack, Mode, Order, Stand, Truth, Width};
use crate::enclosure::Fixed;
use crate::errors::Scratch;
use crate::finding::NoNumber;
use crate::flat::FlatReading;
use crate::program::{FlatInterval, LogicOp, NumberOp, Program, Root, Step, Stretch};
use crate::propagate::Banded;
use crate::sheet::{Sheet, place};
use crate::stand::Stood;

/// A program, a sheet, what came of the checks so far, and the registers.
pub(crate) struct Runner<'a, A: Arithmetic> {
    pub program: &'a Program,
    pub sheet: &'a Sheet,
    pub outcomes: &'a [Outcome],
    pub numbers: &'a mut [Known<A::Number>],
    pub truths: &'a mut [Truth],
    /// The slots whose errors go by a frequency, with these errors.
    pub banded: &'a [Banded],
    pub scratch: &'a mut Scratch,
}

impl<'a, A: Arithmetic> Runner<'a, A> {
    /// Works out some nodes, parts before wholes.
    pub fn run(&mut self, root: Root, mode: Mode) {
        let program = self.program;
        for step in root.steps.of(&program.steps) {
            match *step {
                Step::Number(id) => {
                    let value = self.number_op(id, mode, root);
                    if let Some(register) = self.numbers.get_mut(place(id)) {
                        *register = value;
                    }
                }
                Step::Logic(id) => {
                    let value = self.logic_op(id, mode, root);
                    if let Some(register) = self.truths.get_mut(place(id)) {
                        *register = value;
                    }
                }
            }
        }
    }

    /// What a number register holds.
    pub fn number(&self, id: u32) -> Known<A::Number> {
        self.numbers.get(place(id)).copied().unwrap_or(Err(Lack::Blocked))
    }

    /// What a truth register holds.
    pub fn truth(&self, id: u32) -> Truth {
        self.truths.get(place(id)).copied().unwrap_or(Truth::Unknown(Cause::Blocked))
    }

    pub fn fixed(&self, id: u32) -> Known<A::Number> {
        self.program.fixed.get(place(id)).map(A::fixed).ok_or(Lack::Blocked)
    }

    fn number_op(&mut self, id: u32, mode: Mode, root: Root) -> Known<A::Number> {
        let program = self.program;
        let Some(op) = program.numbers.get(place(id)) else { return Err(Lack::Blocked) };
        match *op {
            NumberOp::Constant(id) => self.fixed(id),
            NumberOp::Slot(slot) => self.reading(slot, mode),
            NumberOp::Property(property) => match self.sheet.property(PropertyId(property)) {
                Some(PropertyValue::Figure(of)) => Ok(A::indication(of, Mode::Simple, Width::NONE)),
                _ => Err(Lack::Property(property)),
            },
            NumberOp::Negate(of) => Ok(A::negate(self.number(of)?)),
            NumberOp::Add(a, b) => self.of_two(a, b, A::add),
            NumberOp::Subtract(a, b) => self.of_two(a, b, A::subtract),
            NumberOp::Multiply(a, b) => self.of_two(a, b, A::multiply),
            NumberOp::Divide(a, b) => self.of_two(a, b, A::divide),
            NumberOp::Power(of, exponent) => A::power(self.number(of)?, exponent),
            NumberOp::Apply(function, of) => {
                let number = self.number(of)?;
                let applied = A::apply(function, number)?;
                if matches!(mode, Mode::Linear(_)) {
                    match function {
                        Function::Abs => self.sign_is_certain(of, root)?,
                        Function::Sqrt => self.is_above_nought(number)?,
                        _ => {}
                    }
                }
                Ok(applied)
            }
            NumberOp::Law { law, of } => {
                let law = program.laws.get(place(law)).ok_or(Lack::Blocked)?;
                A::law(*law, self.number(of)?)
            }
            NumberOp::Fold(fold, members) => {
                let members = members.of(&program.members);
                let folded = self.fold(fold, members)?;
                if matches!(mode, Mode::Linear(_)) {
                    self.order_is_certain(fold, members, root)?;
                }
                Ok(folded)
            }
            NumberOp::Refer { resistance, from, to, offset } => {
                self.refer(resistance, from, to, offset)
            }
            NumberOp::CurveAt { limit, at } => self.curve_value(limit, self.number(at), mode),
            NumberOp::Choose { condition, then, otherwise } => match self.truth(condition) {
                Truth::True => self.number(then),
                Truth::False => self.number(otherwise),
                Truth::Unclear => Err(Lack::Unclear),
                Truth::Unknown(Cause::Rough) => Err(Lack::Rough),
                Truth::Unknown(Cause::Undecided) if matches!(mode, Mode::Linear(_)) => {
                    Err(Lack::Rough)
                }
                // Either may be meant: all that either makes possible.
                Truth::Unknown(Cause::Undecided) => {
                    self.of_two(then, otherwise, |a, b| Ok(A::hull(a, b)))
                }
                Truth::Unknown(Cause::Blocked) => Err(Lack::Blocked),
                Truth::Unknown(Cause::Property(property)) => Err(Lack::Property(property)),
                Truth::Unknown(Cause::NotTaken) => Err(Lack::Missing),
            },
        }
    }

    fn reading(&self, slot: u32, mode: Mode) -> Known<A::Number> {
        let flat = self.sheet.flat(slot);
        match (self.sheet.facts(slot), self.sheet.judged(slot)) {
            (Some(facts), Some(reading))
                if flat.has(FlatReading::TAKEN) && !flat.has(FlatReading::WORD) =>
            {
                Ok(A::reading(facts, flat, reading, mode, self.width(slot, flat, mode)))
            }
            _ => Err(Lack::Missing),
        }
    }

    /// How uncertain a reading is, where the mode asks for it.
    pub fn width(&self, slot: u32, flat: &FlatReading, mode: Mode) -> Width {
        match mode {
            Mode::Simple | Mode::Linear(_) => Width::NONE,
            _ if flat.has(FlatReading::BANDED) => Width::of(self.doubt(slot), f64::NAN),
            _ => Width {
                reach: flat.half,
                standard: flat.standard,
                digit: !flat.has(FlatReading::METERED),
            },
        }
    }

    fn of_two(
        &self,
        a: u32,
        b: u32,
        of: impl FnOnce(A::Number, A::Number) -> Known<A::Number>,
    ) -> Known<A::Number> {
        let (a, b) = both(self.number(a), self.number(b))?;
        of(a, b)
    }

    fn refer(&self, resistance: u32, from: u32, to: u32, offset: u32) -> Known<A::Number> {
        let ends = both(self.number(from), self.number(to));
        let (resistance, (from, to)) = both(self.number(resistance), ends)?;
        let offset = self.fixed(offset)?;
        A::multiply(resistance, A::divide(A::add(offset, to)?, A::add(offset, from)?)?)
    }

    fn fold(&self, fold: Fold, members: &[u32]) -> Known<A::Number> {
        let lack = members.iter().filter_map(|member| self.number(*member).err());
        if let Some(lack) = lack.reduce(Lack::stronger) {
            return Err(lack);
        }
        let of = |of: fn(A::Number, A::Number) -> A::Number| {
            let mut each = members.iter().map(|member| self.number(*member));
            let first = each.next().unwrap_or(Err(Lack::Blocked))?;
            each.try_fold(first, |most, next| Ok(of(most, next?)))
        };
        let sum = || {
            let mut each = members.iter().map(|member| self.number(*member));
            let first = each.next().unwrap_or(Err(Lack::Blocked))?;
            each.try_fold(first, |sum, next| A::add(sum, next?))
        };
        let whole = |value: f64| A::fixed(&Fixed::new(value, None));
        let count = || whole(members.len() as f64);
        match fold {
            Fold::Min => of(A::least),
            Fold::Max => of(A::greatest),
            Fold::Sum => sum(),
            Fold::Mean => A::divide(sum()?, count()),
            Fold::Count => Ok(count()),
            Fold::Spread => {
                // The greatest is never below the least.
                Ok(A::greatest(A::subtract(of(A::greatest)?, of(A::least)?)?, whole(0.0)))
            }
            Fold::SequenceUnbalance => self.sequence_unbalance(members),
            Fold::Unbalance => {
                let mean = A::divide(sum()?, count())?;
                let mut most = None;
                for member in members {
                    let deviation = A::subtract(self.number(*member)?, mean)?;
                    let deviation = A::apply(Function::Abs, deviation)?;
                    most = Some(most.map_or(deviation, |most| A::greatest(most, deviation)));
                }
                A::divide(most.ok_or(Lack::Blocked)?, mean)
            }
        }
    }

    /// √d/(1 + √(1 − d)) with d = 2·Σ(a² − b²)²/(Σa²)², from the differences of the squares
    /// (IEC 61000-4-30, 5.7.1, written so that nothing cancels near balance).
    fn sequence_unbalance(&self, members: &[u32]) -> Known<A::Number> {
        let [a, b, c] = members else { return Err(Lack::NoNumber(NoNumber::OutsideLaw)) };
        let whole = |value: f64| A::fixed(&Fixed::new(value, None));
        let square = |member: u32| {
            let number = self.number(member)?;
            match A::at_most(number, whole(0.0)) {
                Order::No => A::power(number, 2),
                Order::Unclear => Err(Lack::Unclear),
                Order::Yes | Order::Depends => Err(Lack::NoNumber(NoNumber::OutsideLaw)),
            }
        };
        let (a, b, c) = (square(*a)?, square(*b)?, square(*c)?);
        let apart = |one, other| A::power(A::subtract(one, other)?, 2);
        let spread = A::add(A::add(apart(a, b)?, apart(b, c)?)?, apart(c, a)?)?;
        let all = A::power(A::add(A::add(a, b)?, c)?, 2)?;
        // A sum of squares is never below nought.
        let d = A::greatest(A::divide(A::multiply(whole(2.0), spread)?, all)?, whole(0.0));
        let rest = A::apply(Function::Sqrt, A::subtract(whole(1.0), d)?)?;
        A::divide(A::apply(Function::Sqrt, d)?, A::add(whole(1.0), rest)?)
    }

    fn logic_op(&mut self, id: u32, mode: Mode, root: Root) -> Truth {
        let Some(op) = self.program.logic.get(place(id)) else {
            return Truth::Unknown(Cause::Blocked);
        };
        match *op {
            LogicOp::Constant(known) => known.into(),
            LogicOp::Compare(relation, left, right) => {
                match (both(self.number(left), self.number(right)), mode) {
                    (Ok((at_left, at_right)), Mode::Linear(asked)) => {
                        self.compare_by(relation, (left, at_left), (right, at_right), asked, root)
                    }
                    (Ok((left, right)), _) => compare::<A>(relation, left, right),
                    (Err(lack), _) => Truth::lacking(lack),
                }
            }
            LogicOp::Within { subject, limit, at } => self.within(subject, limit, at, mode, root),
            LogicOp::Is { slot, words } => {
                let flat = self.sheet.flat(slot);
                if flat.has(FlatReading::WORD) {
                    words.of(&self.program.words).contains(&flat.word).into()
                } else {
                    Truth::Unknown(Cause::NotTaken)
                }
            }
            LogicOp::PropertyIs { property, words } => {
                match self.sheet.property(PropertyId(property)) {
                    Some(PropertyValue::Word(word)) => {
                        words.of(&self.program.words).contains(word).into()
                    }
                    _ => Truth::Unknown(Cause::Property(property)),
                }
            }
            LogicOp::Passes(check) => self.came_out(check, Outcome::passes),
            LogicOp::Fails(check) => self.came_out(check, Outcome::fails),
            LogicOp::Not(of) => self.truth(of).negate(),
            LogicOp::All(of) => self.kleene(of, Truth::False),
            LogicOp::Any(of) => self.kleene(of, Truth::True),
        }
    }

    fn came_out(&self, check: u32, how: fn(Outcome) -> bool) -> Truth {
        match self.outcomes.get(place(check)) {
            Some(outcome) if outcome.passes() || outcome.fails() => how(*outcome).into(),
            Some(Outcome::NotTaken) => Truth::Unknown(Cause::NotTaken),
            Some(Outcome::Undecided) => Truth::Unknown(Cause::Undecided),
            _ => Truth::Unknown(Cause::Blocked),
        }
    }

    /// One member settles it; else one that is unclear leaves it so; else the greatest cause.
    fn kleene(&self, members: Stretch, settles: Truth) -> Truth {
        let mut cause = None;
        let mut unclear = false;
        for member in members.of(&self.program.members) {
            match self.truth(*member) {
                truth if truth == settles => return settles,
                Truth::Unclear => unclear = true,
                Truth::Unknown(why) => cause = cause.max(Some(why)),
                Truth::True | Truth::False => {}
            }
        }
        match cause {
            _ if unclear => Truth::Unclear,
            Some(why) => Truth::Unknown(why),
            None => settles.negate(),
        }
    }

    /// `x within limit` as part of a rule: the limit's conditions are part of the question.
    fn within(
        &mut self,
        subject: u32,
        limit: u32,
        at: Option<u32>,
        mode: Mode,
        root: Root,
    ) -> Truth {
        let Some(flat) = self.program.limits.get(place(limit)) else {
            return Truth::Unknown(Cause::Blocked);
        };
        let stood = match self.resolve(flat.rule) {
            Ok(resolved) => self.stand(resolved, limit, subject, at, mode, root),
            Err(lack) => Err(lack),
        };
        let conditions = match self.conditions_hold(flat.conditions) {
            Truth::True => Ok(()),
            Truth::Unclear => Err(Lack::Unclear),
            Truth::Unknown(Cause::Rough) => Err(Lack::Rough),
            Truth::False | Truth::Unknown(_) => Err(Lack::Blocked),
        };
        match both(stood, conditions) {
            Err(lack) => Truth::lacking(lack),
            Ok((Stood { conformance: Some(of), .. }, ())) if let Mode::Linear(asked) = mode => {
                asked.holds(of.passes)
            }
            Ok((stood, ())) => match stood.stand {
                Stand::Within | Stand::Worn | Stand::Spans { passes: true, .. } => Truth::True,
                Stand::Outside(_) => Truth::False,
                Stand::Spans { .. } => Truth::Unknown(Cause::Undecided),
                Stand::NotSpecified | Stand::NotThisVariant => Truth::Unknown(Cause::Blocked),
            },
        }
    }

    /// Whether every condition is surely met.
    fn conditions_hold(&self, conditions: Stretch) -> Truth {
        let mut unclear = false;
        let each = || conditions.of(&self.program.conditions).iter();
        if each().any(|of| matches!(self.number(of.subject), Err(Lack::Rough))) {
            return Truth::Unknown(Cause::Rough);
        }
        for condition in each() {
            let met = self
                .number(condition.subject)
                .map(|value| position::<A>(value, &self.ends(&condition.band)));
            match met {
                Ok(Position::Inside) => {}
                Ok(Position::Unclear) | Err(Lack::Unclear) => unclear = true,
                Ok(_) | Err(_) => return Truth::False,
            }
        }
        if unclear { Truth::Unclear } else { Truth::True }
    }

    /// Fixed ends as numbers.
    pub fn ends(&self, interval: &FlatInterval) -> Ends<A::Number> {
        Ends {
            low: interval.low.map(|edge| (A::fixed(&edge.at), edge.open)),
            high: interval.high.map(|edge| (A::fixed(&edge.at), edge.open)),
        }
    }
}

/// Both, or the stronger reason why not.
pub(crate) fn both<T, U>(a: Known<T>, b: Known<U>) -> Known<(T, U)> {
    match (a, b) {
        (Ok(a), Ok(b)) => Ok((a, b)),
        (Err(a), Err(b)) => Err(a.stronger(b)),
        (Err(lack), _) | (_, Err(lack)) => Err(lack),
    }
}

fn at_most(order: Order) -> Truth {
    match order {
        Order::Yes => Truth::True,
        Order::No => Truth::False,
        Order::Depends => Truth::Unknown(Cause::Undecided),
        Order::Unclear => Truth::Unclear,
    }
}

/// How two numbers compare.
pub(crate) fn compare<A: Arithmetic>(
    relation: Relation,
    left: A::Number,
    right: A::Number,
) -> Truth {
    let up = || at_most(A::at_most(left, right));
    let down = || at_most(A::at_most(right, left));
    match relation {
        Relation::LessOrEqual => up(),
        Relation::GreaterOrEqual => down(),
        Relation::Less => down().negate(),
        Relation::Greater => up().negate(),
        Relation::Equal => equal(up(), down()),
        Relation::NotEqual => equal(up(), down()).negate(),
    }
}

fn equal(up: Truth, down: Truth) -> Truth {
    match (up, down) {
        (Truth::False, _) | (_, Truth::False) => Truth::False,
        (Truth::Unclear, _) | (_, Truth::Unclear) => Truth::Unclear,
        (Truth::True, Truth::True) => Truth::True,
        _ => Truth::Unknown(Cause::Undecided),
    }
}

/// How a value lies to one interval.
#[derive(Copy, Clone, Debug, PartialEq, Eq)]
pub(crate) enum Position {
    Below,
    Inside,
    Above,
    SpansLow,
    SpansHigh,
    SpansBoth,
    Unclear,
}

/// How a value lies to an interval.
pub(crate) fn position<A: Arithmetic>(value: A::Number, ends: &Ends<A::Number>) -> Position {
    let above_low = ends.low.map_or(Truth::True, |(low, open)| {
        compare::<A>(if open { Relation::Greater } else { Relation::GreaterOrEqual }, value, low)
    });
    let below_high = ends.high.map_or(Truth::True, |(high, open)| {
        compare::<A>(if open { Relation::Less } else { Relation::LessOrEqual }, value, high)
    });
    placed(above_low, below_high)
}

/// How something lies to an interval that lies so to its ends.
pub(crate) fn placed(above_low: Truth, below_high: Truth) -> Position {
    match (above_low, below_high) {
        (Truth::False, _) => Position::Below,
        (_, Truth::False) => Position::Above,
        (Truth::True, Truth::True) => Position::Inside,
        (Truth::Unclear, _) | (_, Truth::Unclear) => Position::Unclear,
        (Truth::True, _) => Position::SpansHigh,
        (_, Truth::True) => Position::SpansLow,
        _ => Position::SpansBoth,
    }
}
