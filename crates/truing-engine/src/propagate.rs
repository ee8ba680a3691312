//! From the errors of readings to those of a margin: one pass backwards over the program gives the
//! exact derivatives (JCGM 100:2008, 5.1.3), and with them each elementary error its contribution.
//! Allocates nothing once its buffers are as large as the sheet needs.

use truing_metrology::uncertainty::Shape;
use truing_model::{Fold, Function, Interpolation};

use crate::arithmetic::{Arithmetic, Known, Lack, Truth};
use crate::budget::BudgetPart;
use crate::doubt::Doubt;
use crate::fitness::Unfit;
use crate::flat::FlatReading;
use crate::program::{FlatCurve, FlatPoint, FlatRule, NumberOp, Root, Step, Stretch};
use crate::run::Runner;
use crate::sheet::{Sheet, place};
use crate::sum::Sum;

/// A slot whose errors go by the frequency that it is read at.
#[derive(Copy, Clone, Debug)]
pub(crate) struct Banded {
    pub slot: u32,
    /// The frequency, where it is known.
    pub frequency: Option<f64>,
    pub doubt: Doubt,
    pub unfit: Option<Unfit>,
}

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
struct Total {
    sum: f64,
    /// The sum of the magnitudes.
    size: f64,
}

impl Total {
    fn add(&mut self, term: f64) {
        self.sum += term;
        self.size += term.abs();
    }

    fn value(self) -> f64 {
        if self.sum.abs() <= 1e-12 * self.size { 0.0 } else { self.sum }
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
    adjoints: Vec<Total>,
    /// For each slot the derivative of the margin by its reading.
    sensitivities: Vec<Total>,
    shared: Vec<Shared>,
    touched: Vec<u32>,
    pub errors: Vec<Elementary>,
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

    fn seed(&mut self, number: u32, by: f64) {
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
    fn collect<'a>(&mut self, sheet: &Sheet, slots: &[u32], doubt: impl Fn(u32) -> &'a Doubt) {
        self.errors.clear();
        let mut variance = 0.0;
        let mut correlated = 0_u32;
        let mut first = None;
        for slot in slots {
            let c = self.sensitivity(*slot);
            if c == 0.0 || !sheet.flat(*slot).has(FlatReading::POINT) {
                continue;
            }
            let doubt = doubt(*slot);
            if doubt.correlated {
                variance += (c * doubt.standard()).powi(2);
                correlated += 1;
                first = first.or(Some(*slot));
            } else {
                self.of_reading(*slot, c, doubt);
            }
        }
        if let Some(first) = first {
            variance += self.covariances(sheet, slots, &doubt);
            self.correlated(first, variance.max(0.0).sqrt(), correlated);
        }
        self.of_sources();
    }

    fn of_reading(&mut self, slot: u32, c: f64, doubt: &Doubt) {
        use BudgetPart as Part;
        self.rectangular(Part::Accuracy, slot, c, doubt.own_accuracy);
        self.rectangular(Part::Span, slot, c, doubt.span);
        self.rectangular(Part::Resolution, slot, c, doubt.resolution);
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

    /// Twice the sum of the covariances of the pairs that the sheet states (JCGM 100:2008, eq. 16).
    fn covariances<'a>(
        &self,
        sheet: &Sheet,
        slots: &[u32],
        doubt: &impl Fn(u32) -> &'a Doubt,
    ) -> f64 {
        let counts = |slot: u32| {
            slots.binary_search(&slot).is_ok() && sheet.flat(slot).has(FlatReading::POINT)
        };
        let pairs = sheet.correlations.iter().filter(|(a, b, _)| counts(a.0) && counts(b.0));
        let term = |slot: u32| self.sensitivity(slot) * doubt(slot).standard();
        pairs.map(|(a, b, coefficient)| 2.0 * coefficient * term(a.0) * term(b.0)).sum()
    }

    fn correlated(&mut self, slot: u32, contribution: f64, readings: u32) {
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

    fn add_up(&mut self) -> Option<f64> {
        self.sum.of(&self.errors)
    }
}

/// Numbers by whose change a margin changes, each with by how much.
pub(crate) type Seeds<'s> = &'s [(u32, f64)];

impl<A: Arithmetic> Runner<'_, A> {
    /// The errors of a slot's reading.
    pub fn doubt(&self, slot: u32) -> &Doubt {
        doubt_of(self.sheet, self.banded, slot)
    }

    /// Why a slot's meter is not fit for its reading.
    pub fn unfit(&self, slot: u32) -> Option<Unfit> {
        match self.banded.iter().find(|banded| banded.slot == slot) {
            Some(banded) => banded.unfit,
            None => self.sheet.unfit(slot),
        }
    }

    /// The frequency that a slot is read at, where its errors go by it.
    pub fn frequency(&self, slot: u32) -> Option<f64> {
        self.banded.iter().find(|banded| banded.slot == slot)?.frequency
    }

    /// The errors of a margin whose parts the registers hold, added up; `None` where they have no
    /// finite sum. What it comes to is the standard uncertainty.
    pub fn errors(&mut self, seeds: Seeds<'_>, steps: Stretch, stretch: Stretch) -> Option<f64> {
        if let [(number, by)] = seeds
            && let Some(NumberOp::Slot(slot)) = self.program.numbers.get(place(*number))
        {
            return self.errors_of_slot(*slot, *by);
        }
        self.errors_of_seeds(steps, stretch, |scratch| {
            seeds.iter().for_each(|(number, by)| scratch.seed(*number, *by));
        })
    }

    fn errors_of_seeds(
        &mut self,
        steps: Stretch,
        slots: Stretch,
        seed: impl FnOnce(&mut Scratch),
    ) -> Option<f64> {
        let slots = slots.of(&self.program.slots);
        for slot in slots {
            if let Some(sensitivity) = self.scratch.sensitivities.get_mut(place(*slot)) {
                *sensitivity = Total::default();
            }
        }
        self.backwards(seed, steps)?;
        let (sheet, banded) = (self.sheet, self.banded);
        self.scratch.collect(sheet, slots, |slot| doubt_of(sheet, banded, slot));
        self.scratch.add_up()
    }

    /// The same of a single reading.
    pub fn errors_of_slot(&mut self, slot: u32, by: f64) -> Option<f64> {
        *self.scratch.sensitivities.get_mut(place(slot))? = Total { sum: by, size: by.abs() };
        let (sheet, banded) = (self.sheet, self.banded);
        self.scratch.collect(sheet, &[slot], |slot| doubt_of(sheet, banded, slot));
        self.scratch.add_up()
    }

    /// The derivatives of a margin by the readings; `None` where one is not finite.
    fn backwards(&mut self, seed: impl FnOnce(&mut Scratch), steps: Stretch) -> Option<()> {
        let steps = steps.of(&self.program.steps);
        for step in steps {
            if let Step::Number(id) = step
                && let Some(adjoint) = self.scratch.adjoints.get_mut(place(*id))
            {
                *adjoint = Total::default();
            }
        }
        seed(self.scratch);
        for step in steps.iter().rev() {
            let Step::Number(id) = step else { continue };
            let by = self.scratch.adjoints.get(place(*id)).copied().unwrap_or_default().value();
            if by != 0.0 {
                if !by.is_finite() {
                    return None;
                }
                self.hand_on(*id, by)?;
            }
        }
        Some(())
    }

    /// The value that a number has by the readings alone.
    fn at(&self, number: u32) -> Option<f64> {
        self.number(number).ok().and_then(A::nearest)
    }

    /// Hands the derivative by a number on to its parts.
    fn hand_on(&mut self, id: u32, by: f64) -> Option<()> {
        match *self.program.numbers.get(place(id))? {
            NumberOp::Constant(_) | NumberOp::Property(_) => {}
            NumberOp::Slot(slot) => self.scratch.sensitivities.get_mut(place(slot))?.add(by),
            NumberOp::Negate(of) => self.scratch.seed(of, -by),
            NumberOp::Add(a, b) => {
                self.scratch.seed(a, by);
                self.scratch.seed(b, by);
            }
            NumberOp::Subtract(a, b) => {
                self.scratch.seed(a, by);
                self.scratch.seed(b, -by);
            }
            NumberOp::Multiply(a, b) => {
                let (at_a, at_b) = (self.at(a)?, self.at(b)?);
                self.scratch.seed(a, by * at_b);
                self.scratch.seed(b, by * at_a);
            }
            NumberOp::Divide(a, b) => {
                let (at_a, at_b) = (self.at(a)?, self.at(b)?);
                self.scratch.seed(a, by / at_b);
                self.scratch.seed(b, -by * at_a / (at_b * at_b));
            }
            NumberOp::Power(of, exponent) => {
                if exponent != 0 {
                    let power = i32::from(exponent);
                    self.scratch.seed(of, by * f64::from(exponent) * self.at(of)?.powi(power - 1));
                }
            }
            NumberOp::Apply(function, of) => {
                let slope = slope(function, self.at(of)?, self.at(id)?);
                self.scratch.seed(of, by * slope);
            }
            NumberOp::Fold(fold, members) => self.hand_on_fold(fold, members, by)?,
            NumberOp::Refer { resistance, from, to, offset } => {
                let offset = self.fixed(offset).ok().and_then(A::nearest)?;
                let (top, base) = (offset + self.at(to)?, offset + self.at(from)?);
                let (at, resistance_at) = (top / base, self.at(resistance)?);
                self.scratch.seed(resistance, by * at);
                self.scratch.seed(to, by * resistance_at / base);
                self.scratch.seed(from, -by * resistance_at * top / (base * base));
            }
            NumberOp::CurveAt { limit, at } => {
                let rule = self.program.limits.get(place(limit))?.rule;
                if let Ok(resolved) = self.resolve(rule)
                    && let Some(FlatRule::Curve(curve)) = resolved.rule
                {
                    let curve = self.program.curves.get(place(curve))?;
                    let (x, y) = (self.at(at)?, self.at(id)?);
                    let low = |point: &FlatPoint| {
                        point.band.standard.low.and_then(|edge| edge.at.near.middle())
                    };
                    let slope = self.slope_of_curve(curve, x, y, low)?;
                    self.scratch.seed(at, by * slope);
                }
            }
            NumberOp::Choose { condition, then, otherwise } => match self.truth(condition) {
                Truth::True => self.scratch.seed(then, by),
                Truth::False => self.scratch.seed(otherwise, by),
                Truth::Unknown(_) | Truth::Unclear => return None,
            },
        }
        Some(())
    }

    fn hand_on_fold(&mut self, fold: Fold, members: Stretch, by: f64) -> Option<()> {
        let members = members.of(&self.program.members);
        let count = members.len() as f64;
        match fold {
            Fold::Count => {}
            Fold::Sum => members.iter().for_each(|member| self.scratch.seed(*member, by)),
            Fold::Mean => members.iter().for_each(|member| self.scratch.seed(*member, by / count)),
            Fold::Min => {
                let least = self.foremost(members, |value| -value)?;
                self.scratch.seed(least, by);
            }
            Fold::Max => {
                let greatest = self.foremost(members, |value| value)?;
                self.scratch.seed(greatest, by);
            }
            Fold::Spread => {
                let greatest = self.foremost(members, |value| value)?;
                let least = self.foremost(members, |value| -value)?;
                self.scratch.seed(greatest, by);
                self.scratch.seed(least, -by);
            }
            Fold::Unbalance => {
                let mut mean = 0.0;
                for member in members {
                    mean += self.at(*member)? / count;
                }
                let most = self.foremost(members, |value| (value - mean).abs())?;
                let at = self.at(most)?;
                let side = if at < mean { -1.0 } else { 1.0 };
                // d(|x − m|/m): by x itself, and by all through their mean.
                let through_mean = -by * side * at / (mean * mean) / count;
                self.scratch.seed(most, by * side / mean);
                members.iter().for_each(|member| self.scratch.seed(*member, through_mean));
            }
        }
        Some(())
    }

    /// Whether it is certain which member a fold follows: none comes as near to it as the errors of
    /// their difference reach.
    pub fn order_is_certain(&mut self, fold: Fold, members: &[u32], root: Root) -> Known<()> {
        let (least, greatest) = (|value: f64| -value, |value: f64| value);
        let certain = match fold {
            Fold::Mean | Fold::Sum | Fold::Count => Some(true),
            Fold::Min => self.stands_out(members, least, root),
            Fold::Max => self.stands_out(members, greatest, root),
            Fold::Spread => self
                .stands_out(members, least, root)
                .zip(self.stands_out(members, greatest, root))
                .map(|(least, greatest)| least && greatest),
            Fold::Unbalance => self.deviates_most(members, root),
        };
        if certain == Some(true) { Ok(()) } else { Err(Lack::Rough) }
    }

    /// Whether a number keeps its sign as far as its errors reach.
    pub fn sign_is_certain(&mut self, number: u32, root: Root) -> Known<()> {
        let value = self.at(number).ok_or(Lack::Rough)?;
        let seed = |scratch: &mut Scratch| scratch.seed(number, 1.0);
        let certain = self.is_beyond(value, root, seed);
        if certain == Some(true) { Ok(()) } else { Err(Lack::Rough) }
    }

    fn stands_out(&mut self, members: &[u32], of: fn(f64) -> f64, root: Root) -> Option<bool> {
        let foremost = self.foremost(members, of)?;
        for member in members {
            let distance = self.at(foremost)? - self.at(*member)?;
            let seed = |scratch: &mut Scratch| {
                scratch.seed(foremost, 1.0);
                scratch.seed(*member, -1.0);
            };
            if !self.is_beyond(distance, root, seed)? {
                return Some(false);
            }
        }
        Some(true)
    }

    /// Whether it is certain which member deviates most from the mean of all, and to which side.
    fn deviates_most(&mut self, members: &[u32], root: Root) -> Option<bool> {
        let count = members.len() as f64;
        let mut mean = 0.0;
        for member in members {
            mean += self.at(*member)? / count;
        }
        let most = self.foremost(members, |value| (value - mean).abs())?;
        let deviation = self.at(most)? - mean;
        let side = |deviation: f64| if deviation < 0.0 { -1.0 } else { 1.0 };
        let by_itself = |scratch: &mut Scratch| {
            scratch.seed(most, 1.0);
            members.iter().for_each(|member| scratch.seed(*member, -1.0 / count));
        };
        if !self.is_beyond(deviation, root, by_itself)? {
            return Some(false);
        }
        for member in members {
            let other = self.at(*member)? - mean;
            let (here, there) = (side(deviation), side(other));
            let seed = |scratch: &mut Scratch| {
                scratch.seed(most, here);
                scratch.seed(*member, -there);
                members.iter().for_each(|all| scratch.seed(*all, (there - here) / count));
            };
            if !self.is_beyond(deviation.abs() - other.abs(), root, seed)? {
                return Some(false);
            }
        }
        Some(true)
    }

    /// Whether a value lies farther from nought than its errors reach: the sum of their half-widths,
    /// where those without ends count with three standard uncertainties. Without errors it is where
    /// it is.
    fn is_beyond(
        &mut self,
        value: f64,
        root: Root,
        seed: impl FnOnce(&mut Scratch),
    ) -> Option<bool> {
        self.errors_of_seeds(root.steps, root.slots, seed)?;
        let reach = |error: &Elementary| match error.shape {
            Shape::Rectangular => 3.0_f64.sqrt() * error.contribution,
            _ => 3.0 * error.contribution,
        };
        let reach: f64 = self.scratch.errors.iter().map(reach).sum();
        Some(self.scratch.errors.is_empty() || value.abs() > reach)
    }

    /// The first of the members for which something is greatest; what differs by rounding only is
    /// equal.
    fn foremost(&self, members: &[u32], of: impl Fn(f64) -> f64) -> Option<u32> {
        let mut foremost: Option<(u32, f64)> = None;
        for member in members {
            let value = of(self.at(*member)?);
            let more = foremost.is_none_or(|(_, best)| value - best > 1e-12 * best.abs());
            if more {
                foremost = Some((*member, value));
            }
        }
        foremost.map(|(member, _)| member)
    }

    /// How fast an end of a curve rises where it is `y`: on the stretch that begins at the point
    /// at or below the place, at the last point on the one before it.
    pub fn slope_of_curve(
        &self,
        curve: &FlatCurve,
        x: f64,
        y: f64,
        of: impl Fn(&FlatPoint) -> Option<f64>,
    ) -> Option<f64> {
        if curve.interpolation == Interpolation::Step {
            return Some(0.0);
        }
        let points = curve.points.of(&self.program.points);
        let place_of = |point: &FlatPoint| {
            point.x.exact.map(|exact| exact.to_f64()).or_else(|| point.x.near.middle())
        };
        let below = points.iter().filter(|point| place_of(point).is_some_and(|at| at <= x)).count();
        let begin = below.saturating_sub(1).min(points.len().saturating_sub(2));
        let (from, to) = (points.get(begin)?, points.get(begin + 1)?);
        let run = place_of(to)? - place_of(from)?;
        let (low, high) = (of(from)?, of(to)?);
        let rise = match curve.interpolation {
            Interpolation::Log => y * (libm::log(high) - libm::log(low)),
            Interpolation::Linear | Interpolation::Step => high - low,
        };
        Some(rise / run)
    }
}

fn doubt_of<'a>(sheet: &'a Sheet, banded: &'a [Banded], slot: u32) -> &'a Doubt {
    match banded.iter().find(|banded| banded.slot == slot) {
        Some(banded) => &banded.doubt,
        None => sheet.doubt(slot),
    }
}

/// The derivative of a function at `x`, where it comes to `y`.
fn slope(function: Function, x: f64, y: f64) -> f64 {
    match function {
        Function::Abs if x < 0.0 => -1.0,
        Function::Abs => 1.0,
        Function::Sqrt => 0.5 / y,
        Function::Exp => y,
        Function::Ln => 1.0 / x,
        Function::Log10 => 1.0 / (x * std::f64::consts::LN_10),
        // A rule with one is decided by intervals.
        Function::Round => 0.0,
    }
}
