//! From what was checked to the parts of a spec: flat lists, families written out.

mod bands;
mod case;
mod checks;
mod faults;
mod instruments;
mod learned;
mod limits;
mod nodes;
mod procedures;
mod ranges;
mod reach;
mod slots;

use std::collections::HashMap;

use truing_model::{
    Beside, DecideRule, LimitId, LogicId, LogicNode, Machine, NumberId, NumberNode, Source, Spec,
    SpecParts,
};
use truing_syntax::tree::{self, Figure, SpecMember};
use truing_syntax::{Span, Spanned};

use crate::context::Context;
use crate::lint;

use faults::first_members;
pub(crate) use procedures::StepPlace;
use reach::KnownSlots;
pub(crate) use reach::Reach;

/// So many nodes a spec may have: families inside families multiply.
const MAX_NODES: usize = 200_000;

/// The parts, with what is known of them beside.
#[derive(Debug)]
pub(crate) struct Lowered {
    pub parts: SpecParts,
    /// The checks, by id, whose rule could be lowered.
    pub sound: Vec<bool>,
    /// Of each procedure where its steps are written.
    pub step_places: Vec<Vec<StepPlace>>,
}

/// Lowers everything that is sound.
pub(crate) fn lower(cx: &Context<'_>) -> Lowered {
    let mut lowering = Lowering::new(cx);
    lowering.header();
    lowering.instruments();
    lowering.properties();
    lowering.cautions();
    lowering.states();
    lowering.slots();
    lowering.limits();
    lowering.derived();
    lowering.frequencies();
    lowering.checks();
    lowering.order();
    lowering.bands();
    lowering.diagnosis();
    lowering.learned();
    lowering.procedures();
    lowering.cases();
    lowering.units_of_derived();
    let Lowering { parts, sound, step_places, .. } = lowering;
    Lowered { parts, sound, step_places }
}

/// The spec, if its parts hold together; if not, this program has a defect and says so.
pub(crate) fn seal(cx: &Context<'_>, lowered: Lowered) -> Option<Spec> {
    match Spec::seal(lowered.parts) {
        Ok(spec) => Some(spec),
        Err(broken) => {
            let span = cx.spec.map(|spec| spec.name.span)?;
            cx.findings.push(lint::internal::finding(span, &broken.to_string()));
            None
        }
    }
}

/// The members at hand: of the enclosing item, and of the enclosing fold or quantifier.
#[derive(Copy, Clone, Debug, Default)]
pub(crate) struct Instance {
    pub current: Option<usize>,
    pub family: Option<crate::family::FamilyId>,
    pub each: Option<usize>,
}

pub(crate) struct Lowering<'c, 'a> {
    pub cx: &'c Context<'a>,
    pub parts: SpecParts,
    slot_nodes: HashMap<u32, NumberId>,
    property_nodes: HashMap<usize, NumberId>,
    derived_nodes: HashMap<(usize, usize), Option<NumberId>>,
    derived_slots: KnownSlots,
    named_limits: Vec<Option<LimitId>>,
    inline_limits: Vec<Option<LimitId>>,
    sound: Vec<bool>,
    step_places: Vec<Vec<StepPlace>>,
    /// The id of the first member of each fault.
    first_faults: Vec<u32>,
    /// And of each derived quantity.
    first_derived: Vec<u32>,
    /// How many things faults, fixes and procedures name, member by member.
    named: usize,
    /// How many line breaks stand before the byte of the last case.
    counted: (usize, usize),
    /// The arena is full: nothing more is lowered.
    full: bool,
}

impl<'c, 'a> Lowering<'c, 'a> {
    fn new(cx: &'c Context<'a>) -> Self {
        Self {
            cx,
            parts: SpecParts::default(),
            slot_nodes: HashMap::new(),
            property_nodes: HashMap::new(),
            derived_nodes: HashMap::new(),
            derived_slots: KnownSlots::new(),
            named_limits: Vec::new(),
            inline_limits: Vec::new(),
            sound: Vec::new(),
            step_places: Vec::new(),
            first_faults: first_members(cx, cx.faults.iter().map(|(_, family)| *family)),
            first_derived: first_members(cx, cx.derived.iter().map(|item| item.family)),
            named: 0,
            counted: (0, 0),
            full: false,
        }
    }

    fn push_number(&mut self, node: NumberNode) -> NumberId {
        self.parts.numbers.push(node);
        NumberId(self.parts.numbers.len() as u32 - 1)
    }

    fn push_logic(&mut self, node: LogicNode) -> LogicId {
        self.parts.logic.push(node);
        LogicId(self.parts.logic.len() as u32 - 1)
    }

    fn header(&mut self) {
        let cx = self.cx;
        self.parts.own_kinds = cx.own_kinds.clone();
        self.parts.own_units = cx.own_units.clone();
        self.parts.sources = cx
            .sources
            .iter()
            .map(|decl| Source {
                name: decl.name.node.to_string(),
                title: decl.title.node.to_string(),
            })
            .collect();
        let Some(spec) = cx.spec else { return };
        self.parts.name = spec.name.node.to_string();
        self.parts.title = spec.title.node.to_string();
        for member in &spec.members {
            match member {
                SpecMember::Edition(text) => self.parts.edition = Some(text.node.to_string()),
                SpecMember::Machine { maker, model, years } => {
                    let (from, to) = years.clone().unwrap_or((None, None));
                    years_rise(cx, from.as_ref(), to.as_ref());
                    self.parts.machines.push(Machine {
                        maker: maker.node.to_string(),
                        model: model.node.to_string(),
                        from_year: from.map(|year| year.node),
                        to_year: to.map(|year| year.node),
                    });
                }
                SpecMember::Decide(rule) => {
                    cx.decide(rule);
                    self.parts.decide = decide(cx, &rule.node).unwrap_or_default();
                }
                SpecMember::Meter(names) => self.meters(names),
                SpecMember::OddsNone { count, of } => {
                    let said = beside(cx, count, of);
                    self.parts.beside.none = said.unwrap_or(self.parts.beside.none);
                }
                SpecMember::OddsOther { count, of } => {
                    let said = beside(cx, count, of);
                    self.parts.beside.other = said.unwrap_or(self.parts.beside.other);
                }
            }
        }
    }
}

/// What is possible beside the faults: some among more, none among them too.
fn beside(cx: &Context<'_>, count: &Figure, of: &Figure) -> Option<f64> {
    let (some, all) = (cx.ratio(count)?, cx.ratio(of)?);
    let weight = some / all;
    let sound = all > 0.0 && (0.0..=Beside::MOST).contains(&weight);
    if !sound {
        cx.findings.push(lint::chance_outside::beside(count.span));
    }
    sound.then_some(weight)
}

fn years_rise(cx: &Context<'_>, from: Option<&Spanned<u16>>, to: Option<&Spanned<u16>>) {
    if let (Some(from), Some(to)) = (from, to)
        && from.node > to.node
    {
        let span: Span = from.span.to(to.span);
        cx.findings.push(lint::upside_down_interval::finding(span));
    }
}

/// The rule with its figures; what is wrong with them was reported.
pub(crate) fn decide(cx: &Context<'_>, rule: &tree::DecideRule) -> Option<DecideRule> {
    Some(match rule {
        tree::DecideRule::Simple => DecideRule::Simple,
        tree::DecideRule::Guarded(figure) => DecideRule::Guarded { k: quiet(cx, figure)? },
        tree::DecideRule::At(figure) => DecideRule::At { probability: quiet(cx, figure)? },
    })
}

fn quiet(cx: &Context<'_>, figure: &tree::Figure) -> Option<f64> {
    match &figure.unit {
        None => Some(figure.number.to_f64()),
        Some(unit) => {
            let unit = cx.catalogue.unit(&unit.node).ok()?;
            let measure = truing_units::Measure { figure: figure.number, unit };
            Some(measure.coherent(truing_units::Place::Amount))
        }
    }
}
