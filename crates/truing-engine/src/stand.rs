//! How a number stands to a limit: which arm, where on its curve, by which measure.

use truing_model::{Function, Indication, Interpolation, Reading, Side};

use crate::arithmetic::{Arithmetic, Cause, Ends, Known, Lack, Mode, Order, Stand, Truth, Width};
use crate::budget::Conformance;
use crate::decide::{Aim, Asked};
use crate::finding::Spanned;
use crate::flat::FlatReading;
use crate::program::{FlatCurve, FlatInterval, FlatPoint, FlatRule, NumberOp, Root};
use crate::run::{Position, Runner, both, position};
use crate::sheet::place;

/// The arm of a limit that is about this machine.
#[derive(Copy, Clone, Debug)]
pub(crate) struct Resolved {
    /// `None` where no arm is.
    pub rule: Option<FlatRule>,
    /// Which arm, where there are several.
    pub arm: Option<u32>,
}

/// How a number stands, and what it was held against.
#[derive(Copy, Clone, Debug)]
pub(crate) struct Stood<N> {
    pub stand: Stand,
    pub value: Option<N>,
    pub standard: Option<Ends<N>>,
    pub service: Option<Ends<N>>,
    pub at: Option<N>,
    /// The probability that the true value conforms, where it was asked for.
    pub conformance: Option<Conformance>,
    /// Of a sweep judged point by point, which decided.
    pub point: Option<usize>,
}

impl<N> Stood<N> {
    const fn only(stand: Stand) -> Self {
        Self {
            stand,
            value: None,
            standard: None,
            service: None,
            at: None,
            conformance: None,
            point: None,
        }
    }
}

/// Both ends of a curve somewhere: standard, and service where there is one.
type Borders<N> = (Ends<N>, Option<Ends<N>>);

impl<'a, A: Arithmetic> Runner<'a, A> {
    /// The arm of a limit that is about this machine. The registers hold its conditions.
    pub fn resolve(&self, rule: FlatRule) -> Known<Resolved> {
        let FlatRule::Variants(arms) = rule else {
            return Ok(Resolved { rule: Some(rule), arm: None });
        };
        for (arm, id) in arms.of(&self.program.arms).iter().zip(0_u32..) {
            match arm.condition.map_or(Truth::True, |condition| self.truth(condition)) {
                Truth::False => {}
                Truth::True => {
                    let inner = self.resolve(arm.rule)?;
                    return Ok(Resolved { arm: Some(id), ..inner });
                }
                Truth::Unclear => return Err(Lack::Unclear),
                Truth::Unknown(Cause::Property(property)) => return Err(Lack::Property(property)),
                Truth::Unknown(_) => return Err(Lack::Blocked),
            }
        }
        Ok(Resolved { rule: None, arm: None })
    }

    /// How a number stands to a limit. The registers hold the number.
    pub fn stand(
        &mut self,
        resolved: Resolved,
        limit: u32,
        subject: u32,
        at: Option<u32>,
        mode: Mode,
        root: Root,
    ) -> Known<Stood<A::Number>> {
        let aim = match resolved.rule {
            None => return Ok(Stood::only(Stand::NotThisVariant)),
            Some(FlatRule::NotSpecified | FlatRule::Variants(_)) => {
                return Ok(Stood::only(Stand::NotSpecified));
            }
            Some(FlatRule::Curve(curve)) => {
                let Some(curve) = self.program.curves.get(place(curve)) else {
                    return Err(Lack::Blocked);
                };
                if let Some((slot, points)) = self.sweep(subject, curve) {
                    return self.sweep_stands(slot, points, curve, limit, mode);
                }
                self.aim_at_curve(curve, limit, subject, at, mode)?
            }
            Some(FlatRule::Band(band)) => self.aim_at_band(band, subject)?,
        };
        self.hold(&aim, mode, root)
    }

    fn aim_at_band(&self, band: u32, subject: u32) -> Known<Aim<'a, A::Number>> {
        let value = self.number(subject)?;
        let band = self.program.bands.get(place(band)).ok_or(Lack::Blocked)?;
        let service = band.service.as_ref().map(|service| self.ends(service));
        Ok(Aim { subject, value, standard: self.ends(&band.standard), service, curve: None })
    }

    fn aim_at_curve(
        &self,
        curve: &'a FlatCurve,
        limit: u32,
        subject: u32,
        at: Option<u32>,
        mode: Mode,
    ) -> Known<Aim<'a, A::Number>> {
        let place_on = at.map_or(Err(Lack::Curve(limit)), |at| self.number(at));
        let (value, place_on) = both(self.number(subject), place_on)?;
        let (standard, service) = self.borders(curve, limit, place_on, mode)?;
        let curve = at.map(|at| (curve, at, place_on));
        Ok(Aim { subject, value, standard, service, curve })
    }

    /// A value against both ends: by its errors, or by all that is possible.
    pub fn hold(
        &mut self,
        aim: &Aim<'_, A::Number>,
        mode: Mode,
        root: Root,
    ) -> Known<Stood<A::Number>> {
        if let Mode::Linear(asked) = mode
            && asked != Asked::Reading
        {
            return self.decide(aim, asked, root);
        }
        let standard = position::<A>(aim.value, &aim.standard);
        let service = aim.service.as_ref().map(|service| position::<A>(aim.value, service));
        let stand = held(standard, service).ok_or(Lack::Unclear)?;
        Ok(aim.stood(stand))
    }

    /// The points of a sweep over the quantity that a curve goes by.
    fn sweep(&self, subject: u32, curve: &FlatCurve) -> Option<(u32, &'a [SweepPoint])> {
        let Some(NumberOp::Slot(slot)) = self.program.numbers.get(place(subject)) else {
            return None;
        };
        if !self.sheet.flat(*slot).has(FlatReading::SWEEP)
            || self.sheet.facts(*slot)?.over != Some(curve.by)
        {
            return None;
        }
        match self.sheet.judged(*slot) {
            Some(Reading::Sweep(points)) => Some((*slot, points)),
            _ => None,
        }
    }

    /// The worst of the points of a sweep.
    fn sweep_stands(
        &self,
        slot: u32,
        points: &[SweepPoint],
        curve: &FlatCurve,
        limit: u32,
        mode: Mode,
    ) -> Known<Stood<A::Number>> {
        let mut worst: Option<Stood<A::Number>> = None;
        let mut side_of_all: Option<Option<Side>> = None;
        for (place, (x, figure)) in points.iter().enumerate() {
            let x = A::indication(x, mode, Width::digit(x.half_step));
            let value = A::indication(figure, mode, self.width_of_point(slot, place, figure, mode));
            let mut stood = match self.borders(curve, limit, x, mode) {
                Ok((standard, service)) => {
                    let by_service = service.as_ref().map(|service| position::<A>(value, service));
                    let stand = held(position::<A>(value, &standard), by_service);
                    let standard = Some(standard);
                    let stood = Stood { standard, service, ..Stood::only(Stand::Within) };
                    Stood { stand: stand.ok_or(Lack::Unclear)?, ..stood }
                }
                Err(Lack::Unclear) => return Err(Lack::Unclear),
                Err(_) => Stood::only(Stand::Spans { ends: Spanned::Both, passes: false }),
            };
            stood.value = Some(value);
            stood.at = Some(x);
            stood.point = Some(place);
            if let Stand::Outside(side) = stood.stand {
                side_of_all = match side_of_all {
                    Some(other) if other != side => Some(None),
                    _ => Some(side),
                };
            }
            if worst.as_ref().is_none_or(|worst| severity(stood.stand) > severity(worst.stand)) {
                worst = Some(stood);
            }
        }
        let mut worst = worst.ok_or(Lack::Missing)?;
        if let Some(side) = side_of_all {
            worst.stand = Stand::Outside(side);
        }
        Ok(worst)
    }

    /// How uncertain one point of a sweep is, where the mode asks for it.
    fn width_of_point(&self, slot: u32, point: usize, figure: &Indication, mode: Mode) -> Width {
        match mode {
            Mode::Simple | Mode::Linear(_) => Width::NONE,
            _ if !self.sheet.flat(slot).has(FlatReading::METERED) => Width::digit(figure.half_step),
            _ => {
                let doubt = self.sheet.doubt_of_point(slot, point, self.frequency(slot));
                Width { digit: false, ..Width::of(&doubt, figure.half_step) }
            }
        }
    }

    /// A curve of single values at a point.
    pub fn curve_value(&self, limit: u32, at: Known<A::Number>, mode: Mode) -> Known<A::Number> {
        let rule = match self.program.limits.get(place(limit)) {
            Some(flat) => self.resolve(flat.rule).and_then(|resolved| match resolved.rule {
                Some(rule @ (FlatRule::Band(_) | FlatRule::Curve(_))) => Ok(rule),
                _ => Err(Lack::Blocked),
            }),
            None => Err(Lack::Blocked),
        };
        let (rule, at) = both(rule, at)?;
        let ends = match rule {
            FlatRule::Band(band) => {
                let band = self.program.bands.get(place(band)).ok_or(Lack::Blocked)?;
                self.ends(&band.standard)
            }
            FlatRule::Curve(curve) => {
                let curve = self.program.curves.get(place(curve)).ok_or(Lack::Blocked)?;
                self.borders(curve, limit, at, mode)?.0
            }
            FlatRule::NotSpecified | FlatRule::Variants(_) => return Err(Lack::Blocked),
        };
        match (ends.low, ends.high) {
            (Some((low, _)), Some((high, _))) => Ok(A::hull(low, high)),
            _ => Err(Lack::NoNumber(crate::finding::NoNumber::NoSingleValue)),
        }
    }

    /// Where the ends of a curve lie while its place runs over `at`.
    fn borders(
        &self,
        curve: &FlatCurve,
        limit: u32,
        at: A::Number,
        mode: Mode,
    ) -> Known<Borders<A::Number>> {
        let points = curve.points.of(&self.program.points);
        let beyond = Lack::Curve(limit);
        let (Some(first), Some(last)) = (points.first(), points.last()) else {
            return Err(beyond);
        };
        let inside = [A::at_most(A::fixed(&first.x), at), A::at_most(at, A::fixed(&last.x))];
        if inside.iter().any(|order| matches!(order, Order::No | Order::Depends)) {
            return Err(beyond);
        }
        if inside.contains(&Order::Unclear) {
            return Err(Lack::Unclear);
        }
        let (low, high) = A::low_end(at).zip(A::high_end(at)).ok_or(beyond)?;
        let reach = Reach {
            straight: matches!(mode, Mode::Linear(_)),
            ..reach::<A>(points, curve, low, high)?
        };
        let standard = self.curve_ends(&reach, curve.ends.standard, |point| point.band.standard)?;
        let service = match curve.ends.service {
            None => None,
            Some(ends) => {
                Some(self.curve_ends(&reach, ends, |point| point.band.service.unwrap_or_default())?)
            }
        };
        Ok((standard, service))
    }

    fn curve_ends(
        &self,
        reach: &Reach<'_, A::Number>,
        ends: FlatInterval,
        of: fn(&FlatPoint) -> FlatInterval,
    ) -> Known<Ends<A::Number>> {
        let low = match ends.low {
            None => None,
            Some(end) => {
                let low =
                    reach.border::<A>(|point| of(point).low.map(|edge| A::fixed(&edge.at)))?;
                Some((low, end.open))
            }
        };
        let high = match ends.high {
            None => None,
            Some(end) => {
                let high =
                    reach.border::<A>(|point| of(point).high.map(|edge| A::fixed(&edge.at)))?;
                Some((high, end.open))
            }
        };
        Ok(Ends { low, high })
    }
}

type SweepPoint = (Indication, Indication);

/// The part of a curve that a place runs over.
struct Reach<'a, N> {
    points: &'a [FlatPoint],
    curve: &'a FlatCurve,
    low: N,
    high: N,
    /// The point at or below the beginning.
    begin: usize,
    /// The last point that may be reached.
    end: usize,
    /// The same for the upper end by itself: the point surely at or below it.
    last: usize,
    /// Whether errors are carried along in a straight line.
    straight: bool,
}

fn reach<'a, A: Arithmetic>(
    points: &'a [FlatPoint],
    curve: &'a FlatCurve,
    low: A::Number,
    high: A::Number,
) -> Known<Reach<'a, A::Number>> {
    let (mut begin, mut end, mut last) = (0, 0, 0);
    for (place, point) in points.iter().enumerate() {
        let x = A::fixed(&point.x);
        match A::at_most(x, low) {
            Order::Yes => begin = place,
            Order::No | Order::Depends => {}
            Order::Unclear => return Err(Lack::Unclear),
        }
        match A::at_most(x, high) {
            Order::Yes => (last, end) = (place, place),
            Order::No => {}
            Order::Depends => end = place,
            Order::Unclear => return Err(Lack::Unclear),
        }
    }
    let (end, last) = (end.max(begin), last.max(begin));
    Ok(Reach { points, curve, low, high, begin, end, last, straight: false })
}

impl<N: Copy> Reach<'_, N> {
    /// Everywhere that one end lies.
    fn border<A: Arithmetic<Number = N>>(&self, of: impl Fn(&FlatPoint) -> Option<N>) -> Known<N> {
        let at = |place: usize| {
            let point = self.points.get(place).ok_or(Lack::Blocked)?;
            Ok((A::fixed(&point.x), of(point).ok_or(Lack::Blocked)?))
        };
        if self.curve.interpolation == Interpolation::Step {
            let (_, first) = at(self.begin)?;
            return (self.begin + 1..=self.end).try_fold(first, |hull, place| {
                let (_, next) = at(place)?;
                let level =
                    A::at_most(first, next) == Order::Yes && A::at_most(next, first) == Order::Yes;
                // There is no straight line about a place on both sides of a step.
                if self.straight && !level { Err(A::ON_A_STEP) } else { Ok(A::hull(hull, next)) }
            });
        }
        let mut hull = self.between::<A>(self.begin, self.low, &at)?;
        if self.begin != self.end || A::at_most(self.high, self.low) != Order::Yes {
            hull = A::hull(hull, self.between::<A>(self.last, self.high, &at)?);
        }
        (self.begin + 1..=self.end).try_fold(hull, |hull, place| Ok(A::hull(hull, at(place)?.1)))
    }

    /// An end at one place: y0 + (y1 - y0)·(x - x0)/(x1 - x0), or the same of its logarithm.
    fn between<A: Arithmetic<Number = N>>(
        &self,
        place: usize,
        x: N,
        at: &impl Fn(usize) -> Known<(N, N)>,
    ) -> Known<N> {
        let (x0, y0) = at(place)?;
        if place + 1 >= self.points.len() || A::at_most(x, x0) == Order::Yes {
            return Ok(y0);
        }
        let (x1, y1) = at(place + 1)?;
        let part = A::divide(A::subtract(x, x0)?, A::subtract(x1, x0)?)?;
        let line = |a: N, b: N| A::add(a, A::multiply(A::subtract(b, a)?, part)?);
        if self.curve.interpolation == Interpolation::Linear {
            return line(y0, y1);
        }
        let (low, high) = (A::apply(Function::Ln, y0)?, A::apply(Function::Ln, y1)?);
        A::apply(Function::Exp, line(low, high)?)
    }
}

/// How bad a point of a sweep is.
fn severity(stand: Stand) -> u8 {
    match stand {
        Stand::Outside(_) => 4,
        Stand::Spans { passes: false, .. } => 3,
        Stand::Worn => 2,
        Stand::Spans { passes: true, .. } => 1,
        Stand::Within | Stand::NotSpecified | Stand::NotThisVariant => 0,
    }
}

/// How something stands that lies so to the standard interval, and so to the service interval;
/// `None` where the doubles cannot tell.
pub(crate) fn held(standard: Position, service: Option<Position>) -> Option<Stand> {
    let spans = |ends: Spanned, passes: bool| Some(Stand::Spans { ends, passes });
    let Some(service) = service else {
        return match standard {
            Position::Inside => Some(Stand::Within),
            Position::Below => Some(Stand::Outside(Some(Side::Low))),
            Position::Above => Some(Stand::Outside(Some(Side::High))),
            Position::Unclear => None,
            Position::SpansLow => spans(Spanned::Low, false),
            Position::SpansHigh => spans(Spanned::High, false),
            Position::SpansBoth => spans(Spanned::Both, false),
        };
    };
    match (standard, service) {
        (Position::Inside, _) => Some(Stand::Within),
        (Position::Unclear, _) | (_, Position::Unclear) => None,
        (Position::Below | Position::Above, Position::Inside) => Some(Stand::Worn),
        (Position::Below | Position::Above, Position::Below) => {
            Some(Stand::Outside(Some(Side::Low)))
        }
        (Position::Below | Position::Above, Position::Above) => {
            Some(Stand::Outside(Some(Side::High)))
        }
        (Position::SpansLow, Position::Inside) => spans(Spanned::Low, true),
        (Position::SpansHigh, Position::Inside) => spans(Spanned::High, true),
        (Position::SpansBoth, Position::Inside) => spans(Spanned::Both, true),
        (_, Position::SpansLow) => spans(Spanned::Low, false),
        (_, Position::SpansHigh) => spans(Spanned::High, false),
        _ => spans(Spanned::Both, false),
    }
}
