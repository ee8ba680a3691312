//! Numbers and logic, node by node.

use truing_model::{
    CheckId, Fold, Function, LogicId, LogicNode, NumberId, NumberNode, Outcome, PropertyId,
    PropertyValue, Reading, Relation,
};
use truing_units::{Exact, Rational};

use super::judge::Judge;
use super::range::Range;
use super::readings::{Way, figure, possible};
use super::real::Real;
use super::standing::Standing;
use super::{Known, Unknown};

impl Judge<'_> {
    /// What is possible of a number; where errors are carried along in a straight line, by the
    /// readings alone.
    pub fn number(&self, id: NumberId, way: Way) -> Known<Range> {
        let Some(node) = self.spec.numbers.get(id.0 as usize) else {
            return Err(Unknown::Blocked);
        };
        let number = |id: &NumberId| self.number(*id, way);
        match node {
            NumberNode::Constant { value, exact } => Ok(Range::point(Real::figure(*value, *exact))),
            NumberNode::Slot(slot) => possible(self, *slot, way.widening()),
            NumberNode::Property(property) => self.property(*property),
            NumberNode::Negate(of) => Ok(number(of)?.negate()),
            NumberNode::Add(a, b) => both(number(a), number(b), Range::add),
            NumberNode::Subtract(a, b) => both(number(a), number(b), Range::subtract),
            NumberNode::Multiply(a, b) => both(number(a), number(b), Range::multiply),
            NumberNode::Divide(a, b) => both(number(a), number(b), Range::divide),
            NumberNode::Power(of, exponent) => number(of)?.power(*exponent),
            NumberNode::Apply(function, of) => number(of)?.apply(*function),
            NumberNode::Law { law, of } => number(of)?.law(*law),
            NumberNode::Fold(fold, members) => folded(*fold, &all(members.iter().map(number))?),
            NumberNode::Refer { resistance, from, to, k } => {
                let parts = all([resistance, from, to].into_iter().map(number))?;
                let [resistance, from, to] = parts.as_slice() else {
                    return Err(Unknown::Undecided);
                };
                refer(*resistance, *from, *to, *k)
            }
            NumberNode::CurveAt { curve, at } => self.curve_value(*curve, number(at)),
            NumberNode::Choose { condition, then, otherwise } => {
                let (then, otherwise) = (number(then), number(otherwise));
                match self.logic(*condition, way) {
                    Ok(true) => then,
                    Ok(false) => otherwise,
                    Err(Unknown::Undecided) if way.is_straight() => Err(Unknown::Bent),
                    // Either may be meant: all that either makes possible.
                    Err(Unknown::Undecided) => both(then, otherwise, |a, b| Ok(a.hull(b))),
                    Err(unknown) => Err(unknown),
                }
            }
        }
    }

    fn property(&self, property: PropertyId) -> Known<Range> {
        match self.sheet.property(property) {
            Some(PropertyValue::Figure(of)) => Ok(Range::point(figure(of))),
            _ => Err(Unknown::Blocked),
        }
    }

    /// Whether something holds.
    pub fn logic(&self, id: LogicId, way: Way) -> Known<bool> {
        let Some(node) = self.spec.logic.get(id.0 as usize) else {
            return Err(Unknown::Blocked);
        };
        match node {
            LogicNode::Constant(known) => Ok(*known),
            LogicNode::Compare { relation, left, right } => {
                self.comparison(*left, *relation, *right, way)
            }
            LogicNode::Within { subject, limit, at } => {
                let standing = self.stands(*subject, *limit, *at, way);
                let right = self.spec.limit(*limit).ok_or(Unknown::Blocked);
                let right = right.and_then(|of| self.conditions_met(of, way));
                both(standing, right, |standing, ()| match standing {
                    Standing::Within | Standing::Worn | Standing::Passes => Ok(true),
                    Standing::Outside(_) => Ok(false),
                    Standing::Undecided => Err(Unknown::Undecided),
                    Standing::NotSpecified | Standing::NotThisVariant => Err(Unknown::Blocked),
                })
            }
            LogicNode::Is { slot, words } => match self.sheet.get(*slot) {
                Some(Reading::Word(word)) => Ok(words.contains(word)),
                _ => Err(Unknown::NotTaken),
            },
            LogicNode::PropertyIs { property, words } => match self.sheet.property(*property) {
                Some(PropertyValue::Word(word)) => Ok(words.contains(word)),
                _ => Err(Unknown::Blocked),
            },
            LogicNode::Passes(check) => self.came_out(*check).map(Outcome::passes),
            LogicNode::Fails(check) => self.came_out(*check).map(Outcome::fails),
            LogicNode::Not(of) => self.logic(*of, way).map(|holds| !holds),
            LogicNode::All(of) => kleene(of.iter().map(|of| self.logic(*of, way)), false),
            LogicNode::Any(of) => kleene(of.iter().map(|of| self.logic(*of, way)), true),
        }
    }

    /// The outcome of another check, where it passes or fails.
    fn came_out(&self, check: CheckId) -> Known<Outcome> {
        match self.outcomes.get(&check) {
            Some(outcome) if outcome.passes() || outcome.fails() => Ok(*outcome),
            Some(Outcome::NotTaken) => Err(Unknown::NotTaken),
            Some(Outcome::Undecided) => Err(Unknown::Undecided),
            _ => Err(Unknown::Blocked),
        }
    }
}

/// One value settles it; else the greatest reason why it is not known; else the other value.
fn kleene(members: impl Iterator<Item = Known<bool>>, settles: bool) -> Known<bool> {
    let mut unknown = None;
    for member in members {
        match member {
            Ok(value) if value == settles => return Ok(settles),
            Ok(_) => {}
            Err(why) => unknown = unknown.max(Some(why)),
        }
    }
    unknown.map_or(Ok(!settles), Err)
}

/// Something of two numbers; where both are unknown, for the greater reason.
pub(super) fn both<A, B, T>(
    a: Known<A>,
    b: Known<B>,
    of: impl FnOnce(A, B) -> Known<T>,
) -> Known<T> {
    match (a, b) {
        (Ok(a), Ok(b)) => of(a, b),
        (Err(a), Err(b)) => Err(a.max(b)),
        (Err(why), _) | (_, Err(why)) => Err(why),
    }
}

/// All of them; where several are unknown, the greatest reason.
pub(super) fn all<T>(numbers: impl Iterator<Item = Known<T>>) -> Known<Vec<T>> {
    let mut known = Vec::new();
    let mut unknown = None;
    for number in numbers {
        match number {
            Ok(number) => known.push(number),
            Err(why) => unknown = unknown.max(Some(why)),
        }
    }
    unknown.map_or(Ok(known), Err)
}

pub(super) fn compare(relation: Relation, left: Range, right: Range) -> Known<bool> {
    match relation {
        Relation::Less => left.below(right),
        Relation::LessOrEqual => left.at_most(right),
        Relation::Greater => right.below(left),
        Relation::GreaterOrEqual => right.at_most(left),
        Relation::Equal => left.equal(right),
        Relation::NotEqual => left.equal(right).map(|equal| !equal),
    }
}

fn folded(fold: Fold, members: &[Range]) -> Known<Range> {
    let count = Range::point(Real::whole(members.len()));
    let reduce = |of: fn(Range, Range) -> Range| {
        members.iter().copied().reduce(of).ok_or(Unknown::Undecided)
    };
    let sum = || {
        let (first, rest) = members.split_first().ok_or(Unknown::Undecided)?;
        rest.iter().try_fold(*first, |sum, next| sum.add(*next))
    };
    match fold {
        Fold::Min => reduce(Range::least),
        Fold::Max => reduce(Range::greatest),
        Fold::Sum => sum(),
        Fold::Mean => sum()?.divide(count),
        Fold::Count => Ok(count),
        Fold::Spread => {
            let spread = reduce(Range::greatest)?.subtract(reduce(Range::least)?)?;
            // The greatest is never below the least.
            Ok(spread.not_negative())
        }
        Fold::SequenceUnbalance => sequence_unbalance(members),
        Fold::Unbalance => {
            let mean = sum()?.divide(count)?;
            let deviations = members.iter().map(|member| Ok(member.subtract(mean)?.abs()));
            let deviations = all(deviations)?;
            let most = deviations.into_iter().reduce(Range::greatest).ok_or(Unknown::Undecided)?;
            most.divide(mean)
        }
    }
}

/// √d/(1 + √(1 − d)) with d = 2·Σ(a² − b²)²/(Σa²)² (IEC 61000-4-30, 5.7.1).
fn sequence_unbalance(line: &[Range]) -> Known<Range> {
    let [a, b, c] = line else { return Err(Unknown::Undecided) };
    let (zero, one) = (Range::point(Real::ZERO), Range::point(Real::ONE));
    let square = |of: &Range| match of.at_most(zero) {
        Ok(false) => of.power(2),
        _ => Err(Unknown::Undecided),
    };
    let (a, b, c) = (square(a)?, square(b)?, square(c)?);
    let apart = |one: Range, other: Range| one.subtract(other)?.power(2);
    let spread = apart(a, b)?.add(apart(b, c)?)?.add(apart(c, a)?)?;
    let all = a.add(b)?.add(c)?.power(2)?;
    let d = Range::point(Real::whole(2)).multiply(spread)?.divide(all)?.not_negative();
    let rest = one.subtract(d)?.apply(Function::Sqrt)?;
    d.apply(Function::Sqrt)?.divide(one.add(rest)?)
}

/// R·(k + to)/(k + from) with temperatures in °C; the nodes carry kelvins.
fn refer(resistance: Range, from: Range, to: Range, k: Exact) -> Known<Range> {
    let zero_celsius = Rational::new(27315, 100).ok_or(Unknown::Undecided)?;
    let from_kelvin = match k.checked_sub(Exact::from(zero_celsius)) {
        Some(offset) => Range::point(Real::Exact(offset)),
        None => Range::point(Real::figure(k.to_f64() - 273.15, None)),
    };
    let ratio = from_kelvin.add(to)?.divide(from_kelvin.add(from)?)?;
    resistance.multiply(ratio)
}
