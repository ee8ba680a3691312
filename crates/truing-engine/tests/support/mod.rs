//! Specs and sheets made up from a stream of choices: small figures, so that ties are common.

pub mod instruments;
pub mod meters;
pub mod small;

use truing_engine::Sheet;
use truing_model::*;
use truing_units::{Catalogue, Decimal, Exact, Kind, Measure, Place, Rational, Ty};

/// A stream of choices; when it runs dry, the first of everything.
pub struct Choices<'a> {
    rest: &'a [u16],
}

impl<'a> Choices<'a> {
    pub fn new(all: &'a [u16]) -> Self {
        Self { rest: all }
    }

    /// One of `count`.
    pub fn pick(&mut self, count: usize) -> usize {
        let Some((first, rest)) = self.rest.split_first() else { return 0 };
        self.rest = rest;
        usize::from(*first) % count
    }

    pub fn id(&mut self, count: usize) -> u32 {
        self.pick(count) as u32
    }

    pub fn chance(&mut self, of: usize) -> bool {
        self.pick(of) == of - 1
    }

    pub fn maybe<T>(&mut self, of: usize, some: impl FnOnce(&mut Self) -> T) -> Option<T> {
        if self.chance(of) { Some(some(self)) } else { None }
    }

    fn decimal(&mut self) -> Decimal {
        let coefficient = self.pick(40) as i128 - 8;
        Decimal::new(coefficient, -(self.pick(3) as i32))
    }
}

/// Choices without a source of chance: the multiplier is Knuth's for 64 bits (from memory), any
/// would do.
pub fn stream(seed: u64) -> Vec<u16> {
    let mut state = seed;
    let next = || {
        state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1);
        (state >> 40) as u16
    };
    std::iter::repeat_with(next).take(1500).collect()
}

/// What the made-up specs take their units from.
pub struct Maker {
    catalogue: Catalogue,
}

const UNITS: [&str; 4] = ["V", "mV", "rpm", "V"];

impl Maker {
    pub fn new() -> Self {
        Self { catalogue: Catalogue::standard() }
    }

    pub fn indication(&self, figure: Decimal, unit: &str) -> Indication {
        let shown = Measure { figure, unit: self.catalogue.unit(unit).unwrap() };
        let exact = shown.exact(Place::Amount);
        let (value, half_step) = (shown.coherent(Place::Amount), shown.half_step());
        Indication { shown, value, exact, half_step }
    }

    pub fn some_indication(&self, choices: &mut Choices) -> Indication {
        let figure = choices.decimal();
        let unit = UNITS[choices.pick(UNITS.len())];
        let mut indication = self.indication(figure, unit);
        if choices.chance(12) {
            // As if its digits exceeded what exact arithmetic holds.
            indication.exact = None;
        }
        indication
    }

    fn edge(&self, choices: &mut Choices) -> Edge {
        let indication = self.some_indication(choices);
        let exact = if choices.chance(8) { None } else { indication.exact };
        Edge { value: indication.value, exact, open: choices.chance(4) }
    }

    fn interval(&self, choices: &mut Choices) -> Interval {
        let (mut low, mut high) = (self.edge(choices), self.edge(choices));
        if low.value > high.value {
            std::mem::swap(&mut low, &mut high);
        }
        if low.value == high.value {
            low.open = false;
            high = low.clone();
        }
        match choices.pick(4) {
            0 => Interval { low: Some(low), high: None },
            1 => Interval { low: None, high: Some(high) },
            _ => Interval { low: Some(low), high: Some(high) },
        }
    }

    fn band(&self, choices: &mut Choices) -> Band {
        let standard = self.interval(choices);
        let service = choices.maybe(3, |choices| around(&standard, self.interval(choices)));
        Band { standard, service }
    }

    fn curve(&self, choices: &mut Choices) -> LimitRule {
        let mut xs: Vec<Indication> =
            (0..2 + choices.pick(3)).map(|_| self.some_indication(choices)).collect();
        xs.sort_by(|a, b| a.value.total_cmp(&b.value));
        xs.dedup_by(|a, b| a.value == b.value);
        let example = self.band(choices);
        let points: Vec<CurvePoint> = xs
            .into_iter()
            .map(|x| CurvePoint { x: x.value, exact: x.exact, band: self.moved(&example, choices) })
            .collect();
        if points.len() < 2 {
            return LimitRule::Band(example);
        }
        let by = [Kind::DC_VOLTAGE, Kind::RESISTANCE][choices.pick(2)];
        let interpolation = match choices.pick(3) {
            1 => Interpolation::Step,
            2 if points.iter().all(|point| is_positive(&point.band)) => Interpolation::Log,
            _ => Interpolation::Linear,
        };
        LimitRule::Curve(Curve { by, interpolation, points })
    }

    /// The same ends, elsewhere.
    fn moved(&self, band: &Band, choices: &mut Choices) -> Band {
        let by = Exact::from(Rational::from_integer(choices.pick(4) as i64));
        let edge = |edge: &Option<Edge>| {
            edge.as_ref().map(|edge| {
                let exact = edge.exact.and_then(|exact| exact.checked_add(by));
                let value = exact.map_or(edge.value + by.to_f64(), Exact::to_f64);
                Edge { value, exact, open: edge.open }
            })
        };
        let interval = |of: &Interval| Interval { low: edge(&of.low), high: edge(&of.high) };
        Band { standard: interval(&band.standard), service: band.service.as_ref().map(interval) }
    }

    pub fn spec(&self, choices: &mut Choices) -> Spec {
        let mut parts = SpecParts {
            name: "made_up".to_owned(),
            decide: rule(choices),
            properties: vec![
                property("variant", Domain::Words(vec!["a".to_owned(), "b".to_owned()])),
                property("number", Domain::Quantity(Kind::DC_VOLTAGE)),
            ],
            states: vec![state("rest"), state("run")],
            ..SpecParts::default()
        };
        self.slots(&mut parts, choices);
        // What limits' variants may go by.
        parts.logic.push(LogicNode::PropertyIs { property: PropertyId(0), words: vec![0] });
        parts.logic.push(LogicNode::PropertyIs { property: PropertyId(0), words: vec![1] });
        self.limit(&mut parts, choices);
        self.single_values(&mut parts, choices);
        for _ in 0..2 + choices.pick(4) {
            for _ in 0..choices.pick(6) {
                match choices.pick(3) {
                    0 | 1 => self.number(&mut parts, choices),
                    _ => self.logic(&mut parts, choices),
                }
            }
            self.limit(&mut parts, choices);
            self.check(&mut parts, choices);
        }
        parts.order = (0..parts.checks.len() as u32).map(CheckId).collect();
        for (place, id) in (0..parts.numbers.len()).zip(0..).skip(parts.slots.len()).take(4) {
            parts.derived.push(derived(place, NumberId(id), &self.catalogue));
        }
        Spec::seal(parts).expect("made sound")
    }

    fn slots(&self, parts: &mut SpecParts, choices: &mut Choices) {
        let alike = choices.chance(2);
        for place in 0..4_usize {
            let of = if alike {
                Kind::DC_VOLTAGE
            } else {
                [Kind::DC_VOLTAGE, Kind::RESISTANCE, Kind::DC_VOLTAGE, Kind::DIODE_DROP]
                    [choices.pick(4)]
            };
            let kind = SlotKind::Quantity {
                kind: of,
                plausible: choices.maybe(5, |choices| self.interval(choices)),
                plausible_printed: None,
                reduce: [Reduction::Mean, Reduction::Min, Reduction::Max][choices.pick(3)],
                capture: choices.maybe(5, |_| Extreme::Min),
                // A diode is not swept: what its function applies is one current.
                over: choices.maybe(2, |_| Kind::DC_VOLTAGE).filter(|_| of != Kind::DIODE_DROP),
            };
            let during = choices.maybe(4, |choices| StateId(choices.id(2)));
            parts.slots.push(Slot {
                frequency: choices.maybe(4, |choices| NumberId(choices.id(4))),
                circuit: choices.maybe(3, |choices| Circuit {
                    resistance: [0.5, 3.0, 0.0][choices.pick(3)],
                    doubt: [0.25, 0.0][choices.pick(2)],
                }),
                ..slot(&format!("s{place}"), kind, during)
            });
            parts.numbers.push(NumberNode::Slot(SlotId(place as u32)));
        }
        let words = vec!["clean".to_owned(), "burnt".to_owned(), "gone".to_owned()];
        parts.slots.push(slot("seen", SlotKind::Words(words), None));
    }

    fn number(&self, parts: &mut SpecParts, choices: &mut Choices) {
        let count = parts.numbers.len();
        // A third of them are readings.
        let any = |choices: &mut Choices| {
            let count = if choices.chance(3) { 4 } else { count };
            NumberId(choices.id(count))
        };
        let node = match choices.pick(17) {
            0 | 1 => {
                let indication = self.some_indication(choices);
                NumberNode::Constant { value: indication.value, exact: indication.exact }
            }
            2 => NumberNode::Property(PropertyId(1)),
            3 => NumberNode::Negate(any(choices)),
            4 => NumberNode::Add(any(choices), any(choices)),
            5 | 6 => NumberNode::Subtract(any(choices), any(choices)),
            7 => NumberNode::Multiply(any(choices), any(choices)),
            8 => NumberNode::Divide(any(choices), any(choices)),
            9 => NumberNode::Power(any(choices), choices.pick(7) as i8 - 3),
            10 => {
                let functions = [
                    Function::Abs,
                    Function::Sqrt,
                    Function::Exp,
                    Function::Ln,
                    Function::Log10,
                    Function::Round,
                ];
                NumberNode::Apply(functions[choices.pick(6)], any(choices))
            }
            11 | 12 => {
                let folds = [
                    Fold::Min,
                    Fold::Max,
                    Fold::Mean,
                    Fold::Sum,
                    Fold::Spread,
                    Fold::Count,
                    Fold::Unbalance,
                    Fold::SequenceUnbalance,
                ];
                let fold = folds[choices.pick(8)];
                let count = match fold {
                    Fold::SequenceUnbalance if !choices.chance(8) => 3,
                    _ => 1 + choices.pick(3),
                };
                let members = (0..count).map(|_| any(choices)).collect();
                NumberNode::Fold(fold, members)
            }
            13 => NumberNode::Refer {
                resistance: any(choices),
                from: any(choices),
                to: any(choices),
                k: Exact::from(Rational::new(2345, 10).unwrap()),
            },
            14 => {
                let single: Vec<u32> = (0..)
                    .zip(&parts.limits)
                    .filter(|(_, limit)| has_single_values(&limit.rule))
                    .map(|(id, _)| id)
                    .collect();
                NumberNode::CurveAt {
                    curve: LimitId(single[choices.pick(single.len())]),
                    at: any(choices),
                }
            }
            15 => NumberNode::Law { law: law(choices), of: any(choices) },
            _ => NumberNode::Choose {
                condition: LogicId(choices.id(parts.logic.len())),
                then: any(choices),
                otherwise: any(choices),
            },
        };
        parts.numbers.push(node);
    }

    fn logic(&self, parts: &mut SpecParts, choices: &mut Choices) {
        let (numbers, logic) = (parts.numbers.len(), parts.logic.len());
        let number = |choices: &mut Choices| NumberId(choices.id(numbers));
        let any = |choices: &mut Choices| LogicId(choices.id(logic));
        let checks = parts.checks.len();
        let node = match choices.pick(10) {
            0 => LogicNode::Is { slot: SlotId(4), words: words(choices, 3) },
            1 => LogicNode::PropertyIs { property: PropertyId(0), words: words(choices, 2) },
            2 | 3 => LogicNode::Compare {
                relation: relation(choices),
                left: number(choices),
                right: number(choices),
            },
            4 | 5 => LogicNode::Within {
                subject: number(choices),
                limit: LimitId(choices.id(parts.limits.len())),
                at: choices.maybe(2, number),
            },
            6 if checks > 0 => LogicNode::Passes(CheckId(choices.id(checks))),
            7 if checks > 0 => LogicNode::Fails(CheckId(choices.id(checks))),
            8 => LogicNode::Not(any(choices)),
            9 => LogicNode::All((0..choices.pick(4)).map(|_| any(choices)).collect()),
            _ => LogicNode::Any((0..choices.pick(4)).map(|_| any(choices)).collect()),
        };
        parts.logic.push(node);
    }

    fn limit(&self, parts: &mut SpecParts, choices: &mut Choices) {
        let one = |choices: &mut Choices| match choices.pick(6) {
            0..=2 => LimitRule::Band(self.band(choices)),
            3 | 4 => self.curve(choices),
            _ => LimitRule::NotSpecified,
        };
        let rule = if choices.chance(4) {
            let arm = |condition: Option<u32>, rule: LimitRule| Variant {
                condition: condition.map(LogicId),
                rule,
                printed: String::new(),
            };
            let mut arms = vec![arm(Some(0), one(choices)), arm(Some(1), one(choices))];
            arms.truncate(1 + choices.pick(2));
            if choices.chance(3) {
                arms.push(arm(None, one(choices)));
            }
            LimitRule::Variants(arms)
        } else {
            one(choices)
        };
        let rule = if choices.chance(4) { single(rule) } else { rule };
        let conditions = (0..choices.pick(6).saturating_sub(4))
            .map(|_| Condition {
                subject: NumberId(choices.id(parts.numbers.len())),
                subject_label: String::new(),
                band: self.interval(choices),
                printed: String::new(),
            })
            .collect();
        parts.limits.push(Limit {
            name: None,
            title: None,
            kind: Kind::DC_VOLTAGE,
            unit: self.catalogue.unit("V").unwrap(),
            printed: String::new(),
            rule,
            conditions,
            reference: Vec::new(),
            typical: None,
            cites: Vec::new(),
        });
    }

    /// A curve of single values, for the numbers that look one up.
    fn single_values(&self, parts: &mut SpecParts, choices: &mut Choices) {
        self.limit(parts, choices);
        let rule = self.curve(choices);
        if let Some(limit) = parts.limits.last_mut() {
            limit.rule = single(rule);
        }
    }

    fn check(&self, parts: &mut SpecParts, choices: &mut Choices) {
        let numbers = parts.numbers.len();
        let label = String::new;
        // Half of the checks are about a reading itself.
        let number = |choices: &mut Choices| {
            let count = if choices.chance(2) { numbers } else { 4 };
            NumberId(choices.id(count))
        };
        let logic = |choices: &mut Choices| LogicId(choices.id(parts.logic.len()));
        let rule = match choices.pick(6) {
            0..=2 => CheckRule::Within {
                subject: number(choices),
                subject_label: label(),
                limit: LimitId(choices.id(parts.limits.len())),
                at: choices.maybe(2, number),
            },
            3 | 4 => CheckRule::Compare {
                subject: number(choices),
                subject_label: label(),
                relation: relation(choices),
                against: NumberId(choices.id(numbers)),
                against_label: label(),
                unit: self.catalogue.unit("V").unwrap(),
                ty: Ty::Kind(Kind::DC_VOLTAGE),
            },
            _ => CheckRule::Logic { logic: logic(choices), label: label() },
        };
        let place = parts.checks.len();
        let check = Check {
            label: format!("c{place}"),
            name: format!("c{place}"),
            member: None,
            title: label(),
            rule,
            when: choices.maybe(4, logic),
            applies: choices.maybe(8, logic),
            decide: choices.maybe(4, self::rule),
            advise: Vec::new(),
            notes: Vec::new(),
            cites: Vec::new(),
            slots: Vec::new(),
        };
        parts.checks.push(check);
    }

    fn reading(&self, choices: &mut Choices) -> Reading {
        let one = |choices: &mut Choices| self.some_indication(choices);
        let two = |choices: &mut Choices| {
            let (a, b) = (self.some_indication(choices), self.some_indication(choices));
            if a.value <= b.value { (a, b) } else { (b, a) }
        };
        match choices.pick(20) {
            0..=9 => Reading::Figure(one(choices)),
            10 => Reading::Overload { range: choices.maybe(2, one) },
            11 => Reading::Above { bound: one(choices), inclusive: choices.chance(2) },
            12 => Reading::Below { bound: one(choices), inclusive: choices.chance(2) },
            13 => {
                let (low, high) = two(choices);
                Reading::Between { low, high }
            }
            14 => {
                let (low, high) = two(choices);
                Reading::Unsteady { low, high, moved_by: None }
            }
            15 | 16 => Reading::Repeats((0..1 + choices.pick(4)).map(|_| one(choices)).collect()),
            17 | 18 => Reading::Sweep(
                (0..1 + choices.pick(3)).map(|_| (one(choices), one(choices))).collect(),
            ),
            _ => Reading::NotTaken { reason: None },
        }
    }

    pub fn sheet(&self, spec: &Spec, choices: &mut Choices) -> Sheet {
        let mut sheet = Sheet::new(spec);
        // On half of the sheets every reading is a figure: their errors can be carried along.
        let figures = choices.chance(2);
        for place in 0..4 {
            if figures {
                let figure = Reading::Figure(self.some_indication(choices));
                sheet.set(SlotId(place), figure).unwrap();
                continue;
            }
            if choices.chance(8) {
                continue;
            }
            // A gauge pair of equal sizes is refused, and the slot stays empty.
            let _ = sheet.set(SlotId(place), self.reading(choices));
            if choices.chance(6) {
                sheet.set_state(SlotId(place), StateId(choices.id(2))).unwrap();
            }
        }
        if !choices.chance(5) {
            sheet.set(SlotId(4), Reading::Word(choices.pick(3) as u16)).unwrap();
        }
        if !choices.chance(4) {
            let word = PropertyValue::Word(choices.pick(2) as u16);
            sheet.set_property(PropertyId(0), word).unwrap();
        }
        if !choices.chance(4) {
            let figure = PropertyValue::Figure(self.some_indication(choices));
            sheet.set_property(PropertyId(1), figure).unwrap();
        }
        if let Some(rule) = choices.maybe(2, rule) {
            sheet.decide(rule).unwrap();
        }
        if choices.chance(2) {
            instruments::measured(&mut sheet, choices);
        }
        sheet
    }
}

pub fn rule(choices: &mut Choices) -> DecideRule {
    match choices.pick(6) {
        0 | 1 => DecideRule::Simple,
        2 => DecideRule::Guarded { k: 2.0 },
        3 => DecideRule::Guarded { k: choices.pick(3) as f64 },
        4 => DecideRule::At { probability: 0.95 },
        _ => DecideRule::At { probability: [0.6, 0.75, 0.9][choices.pick(3)] },
    }
}

/// Laws with constants for which the small figures of the made-up sheets lie about their ranges.
fn law(choices: &mut Choices) -> Law {
    [
        Law::Platinum { nominal: 1.0 },
        Law::Platinum { nominal: 100.0 },
        Law::ThermocoupleK { reference: 298.15 },
        Law::Beta { resistance: 2.5, at: 298.15, beta: 3950.0 },
        Law::StandardPressure,
    ][choices.pick(5)]
}

fn relation(choices: &mut Choices) -> Relation {
    [
        Relation::LessOrEqual,
        Relation::GreaterOrEqual,
        Relation::Less,
        Relation::Greater,
        Relation::Equal,
        Relation::NotEqual,
    ][choices.pick(6)]
}

/// A service limit lets through whatever the standard one does, and more.
fn around(standard: &Interval, service: Interval) -> Interval {
    let wider = |a: &Option<Edge>, b: Option<Edge>, outside: fn(f64, f64) -> bool| {
        let (a, b) = (a.clone()?, b?);
        if a.value == b.value {
            return Some(Edge { open: a.open && b.open, ..a });
        }
        Some(if outside(a.value, b.value) { a } else { b })
    };
    Interval {
        low: wider(&standard.low, service.low, |a, b| a < b),
        high: wider(&standard.high, service.high, |a, b| a > b),
    }
}

/// Whether every end lies above zero, as between the points of a logarithmic curve.
fn is_positive(band: &Band) -> bool {
    let intervals = [Some(&band.standard), band.service.as_ref()];
    let ends = intervals.into_iter().flatten().flat_map(|of| [&of.low, &of.high]);
    ends.flatten().all(|end| end.value > 0.0)
}

/// The same with both ends of every band where one of them is.
fn single(rule: LimitRule) -> LimitRule {
    let band = |band: Band| {
        let Interval { low, high } = band.standard;
        let end = low.or(high).map(|end| Edge { open: false, ..end });
        Band { standard: Interval { low: end.clone(), high: end }, service: None }
    };
    match rule {
        LimitRule::NotSpecified => LimitRule::NotSpecified,
        LimitRule::Band(of) => LimitRule::Band(band(of)),
        LimitRule::Curve(curve) => {
            let point = |point: CurvePoint| CurvePoint { band: band(point.band), ..point };
            LimitRule::Curve(Curve {
                points: curve.points.into_iter().map(point).collect(),
                ..curve
            })
        }
        LimitRule::Variants(arms) => {
            let arm = |arm: Variant| Variant { rule: single(arm.rule), ..arm };
            LimitRule::Variants(arms.into_iter().map(arm).collect())
        }
    }
}

fn has_single_values(rule: &LimitRule) -> bool {
    let is_single = |band: &Band| band.standard.low == band.standard.high;
    match rule {
        LimitRule::NotSpecified => true,
        LimitRule::Band(band) => is_single(band),
        LimitRule::Curve(curve) => curve.points.iter().all(|point| is_single(&point.band)),
        LimitRule::Variants(arms) => arms.iter().all(|arm| has_single_values(&arm.rule)),
    }
}

fn words(choices: &mut Choices, count: u16) -> Vec<u16> {
    (0..count).filter(|_| choices.chance(2)).collect()
}

fn property(name: &str, domain: Domain) -> Property {
    Property { name: name.to_owned(), title: name.to_owned(), domain }
}

fn state(name: &str) -> State {
    State {
        name: name.to_owned(),
        title: name.to_owned(),
        from: Vec::new(),
        takes: None,
        stays: false,
        brings: false,
        waived: Vec::new(),
        cautions: Vec::new(),
        notes: Vec::new(),
    }
}

pub fn slot(label: &str, kind: SlotKind, during: Option<StateId>) -> Slot {
    Slot {
        label: label.to_owned(),
        name: label.to_owned(),
        member: None,
        title: label.to_owned(),
        kind,
        during,
        with: Vec::new(),
        red: None,
        black: None,
        takes: None,
        frequency: None,
        circuit: None,
        cautions: Vec::new(),
        tools: Vec::new(),
        notes: Vec::new(),
    }
}

fn derived(place: usize, number: NumberId, catalogue: &Catalogue) -> Derived {
    Derived {
        label: format!("d{place}"),
        name: format!("d{place}"),
        member: None,
        title: None,
        number,
        ty: Ty::RATIO,
        unit: catalogue.unit("V").unwrap(),
        slots: Vec::new(),
        cites: Vec::new(),
    }
}

/// What matters of a spec and a sheet, a line for each entry.
pub fn shown(spec: &Spec, sheet: &Sheet) -> String {
    let mut text = format!("rule {:?}, sheet {:?}\n", spec.decide, sheet.rule());
    // What was stated and correlated is not to be had back but in its debug form.
    let kept = format!("{sheet:?}");
    text +=
        kept.split(" stated: ").nth(1).and_then(|of| of.split(", sources: ").next()).unwrap_or("");
    text += "\n";
    let mut line = |entry: String| text.push_str(&(entry + "\n"));
    for (id, slot) in spec.slot_ids() {
        line(format!("{id:?} {:?} during {:?}", slot.kind, slot.during));
        line(format!("    {:?} in {:?}", sheet.get(id).map(figures), sheet.state(id)));
        line(format!("    at {:?} in {:?}", slot.frequency, slot.circuit));
        if let (Some(meter), SlotKind::Quantity { kind, .. }) = (sheet.meter(id), &slot.kind) {
            line(instruments::shown(meter, *kind));
        }
    }
    for id in 0..2 {
        line(format!("property {id} {:?}", sheet.property(PropertyId(id))));
    }
    spec.numbers.iter().enumerate().for_each(|(id, node)| line(format!("n{id} {node:?}")));
    spec.logic.iter().enumerate().for_each(|(id, node)| line(format!("l{id} {node:?}")));
    for (id, limit) in spec.limits.iter().enumerate() {
        line(format!("limit {id} {:?} {:?}", limit.rule, limit.conditions));
    }
    for (id, check) in spec.check_ids() {
        line(format!(
            "{id:?} {:?} {:?} {:?} {:?}",
            check.rule, check.when, check.applies, check.decide
        ));
    }
    text
}

fn figures(reading: &Reading) -> String {
    let one = |of: &Indication| {
        format!("{}±{} ({:?})", of.value, of.half_step, of.exact.map(|e| e.to_string()))
    };
    match reading {
        Reading::Figure(of) => one(of),
        Reading::Overload { range } => format!("OL {:?}", range.as_ref().map(one)),
        Reading::Above { bound, inclusive } => format!("above {} {inclusive}", one(bound)),
        Reading::Below { bound, inclusive } => format!("below {} {inclusive}", one(bound)),
        Reading::Between { low, high } => format!("between {} {}", one(low), one(high)),
        Reading::Unsteady { low, high, .. } => format!("unsteady {} {}", one(low), one(high)),
        Reading::Repeats(all) => format!("repeats {:?}", all.iter().map(one).collect::<Vec<_>>()),
        Reading::Sweep(all) => {
            format!("sweep {:?}", all.iter().map(|(x, of)| (one(x), one(of))).collect::<Vec<_>>())
        }
        other => format!("{other:?}"),
    }
}
