//! Properties, cautions, states and slots, with the checks of their bodies.

use truing_model::{
    Caution, Circuit, Domain, Extreme, Property, Reduction, Slot, SlotId, SlotKind, State, StateId,
};
use truing_syntax::tree::{self, Path, ReadingMember, StateMember};
use truing_units::Kind;

use super::Lowering;
use super::instruments::with_doubt;
use super::nodes::instance;
use crate::body::cautions;
use crate::context::{Measured, PropertyKind};
use crate::family::At;
use crate::lint;
use crate::names::{Sort, Wanted};
use crate::typing::kind_place;

const STATE: Wanted = Wanted::new(&[Sort::State], "a state");
const READ: Wanted = Wanted::new(&[Sort::Reading, Sort::Observation], "a reading");

impl Lowering<'_, '_> {
    pub(super) fn properties(&mut self) {
        for item in &self.cx.properties {
            let domain = match &item.domain {
                Some(PropertyKind::Words(words)) => {
                    Domain::Words(words.iter().map(|word| word.node.to_string()).collect())
                }
                Some(PropertyKind::Quantity(kind)) => Domain::Quantity(*kind),
                None => Domain::Quantity(Kind::RATIO),
            };
            self.parts.properties.push(Property {
                name: item.decl.name.node.to_string(),
                title: item.decl.title.node.to_string(),
                domain,
            });
        }
    }

    pub(super) fn cautions(&mut self) {
        for decl in &self.cx.cautions {
            let (name, text) = (decl.name.node.to_string(), decl.text.node.to_string());
            self.parts.cautions.push(Caution { name, text });
        }
    }

    pub(super) fn states(&mut self) {
        let cx = self.cx;
        for decl in &cx.states {
            let mut state = State {
                name: decl.name.node.to_string(),
                title: decl.title.node.to_string(),
                from: Vec::new(),
                takes: None,
                stays: false,
                brings: false,
                waived: Vec::new(),
                cautions: Vec::new(),
                notes: Vec::new(),
            };
            for member in &decl.members {
                match member {
                    StateMember::Stays => state.stays = true,
                    StateMember::Brings => state.brings = true,
                    // By checks, which are lowered later.
                    StateMember::Waived { .. } => {}
                    StateMember::From(names) => {
                        let from = names.iter().filter_map(|name| cx.find(name, STATE));
                        state.from.extend(from.map(|entry| StateId(entry.index as u32)));
                    }
                    StateMember::Takes(figure) => state.takes = cx.figure(figure, Kind::TIME),
                    StateMember::Caution(names) => state.cautions.extend(cautions(cx, names)),
                    StateMember::Note(text) => state.notes.push(text.node.to_string()),
                }
            }
            self.parts.states.push(state);
        }
    }

    pub(super) fn slots(&mut self) {
        let cx = self.cx;
        for measured in &cx.measured {
            let body = self.body(measured);
            for member in 0..cx.size(measured.family) {
                let slot = self.slot(measured, &body, member);
                self.parts.slots.push(slot);
            }
        }
    }

    /// The frequencies that readings are read at, member by member; behind the limits, whose curves
    /// they may ask.
    pub(super) fn frequencies(&mut self) {
        let cx = self.cx;
        for measured in &cx.measured {
            let Some(num) = measured.frequency.get().and_then(Option::as_ref) else { continue };
            for member in 0..cx.size(measured.family) {
                let frequency = self.number(num, instance(measured.family, member));
                let slot = measured.first_slot as usize + member;
                if let Some(slot) = self.parts.slots.get_mut(slot) {
                    slot.frequency = frequency;
                }
            }
        }
    }

    fn slot(&self, measured: &Measured<'_>, body: &Body, member: usize) -> Slot {
        let cx = self.cx;
        let name = measured.name().node.to_string();
        let label = cx.member_label(measured.family, member).map(str::to_owned);
        let fill = |text: &str| cx.fill(text, measured.family, member);
        let with = body.with.iter().flat_map(|(index, at)| {
            let Some(other) = cx.measured.get(*index) else { return Vec::new() };
            let slot = |member: usize| SlotId(other.first_slot + member as u32);
            match at {
                Some(At::Current) => vec![slot(member)],
                Some(At::Fixed(fixed)) => vec![slot(*fixed)],
                Some(At::Whole) => vec![slot(0)],
                Some(At::First | At::Second | At::Each) => Vec::new(),
                None => (0..cx.size(other.family)).map(slot).collect(),
            }
        });
        Slot {
            label: match &label {
                Some(label) => format!("{name}[{label}]"),
                None => name.clone(),
            },
            name,
            member: label,
            title: fill(&measured.title().node),
            kind: body.kind.clone(),
            during: body.during,
            with: with.collect(),
            red: body.red.as_deref().map(fill),
            black: body.black.as_deref().map(fill),
            takes: body.takes.clone(),
            frequency: None,
            circuit: body.circuit,
            cautions: body.cautions.clone(),
            tools: body.tools.iter().map(|text| fill(text)).collect(),
            notes: body.notes.iter().map(|text| fill(text)).collect(),
        }
    }

    /// The lines of a reading's body, checked once for all members.
    fn body(&self, measured: &Measured<'_>) -> Body {
        let cx = self.cx;
        let family = measured.family;
        cx.check_placeholders(measured.title(), family);
        let mut body = Body::default();
        let (mut plausible, mut printed, mut over) = (None, None, None);
        let (mut reduce, mut capture) = (Reduction::Mean, None);
        for member in measured.members() {
            match member {
                ReadingMember::During(name) => {
                    body.during = cx.find(name, STATE).map(|entry| StateId(entry.index as u32));
                }
                ReadingMember::Red(text) => {
                    cx.check_placeholders(text, family);
                    body.red = Some(text.node.to_string());
                }
                ReadingMember::Black(text) => {
                    cx.check_placeholders(text, family);
                    body.black = Some(text.node.to_string());
                }
                ReadingMember::With(paths) => {
                    body.with.extend(paths.iter().filter_map(|path| self.with(measured, path)));
                }
                ReadingMember::Takes(figure) => body.takes = cx.figure(figure, Kind::TIME),
                ReadingMember::Plausible(form) => {
                    let Some(kind) = measured.kind else { continue };
                    let span = crate::limit::form_span(form).unwrap_or(measured.name().span);
                    let what = format!("`{}` is", measured.name().node);
                    let place = kind_place(kind, measured.name().span, what);
                    plausible = cx.interval(form, &place, span);
                    printed = Some(cx.files.printed(span));
                }
                ReadingMember::Reduce(how) => {
                    reduce = match how.node {
                        tree::Reduction::Min => Reduction::Min,
                        tree::Reduction::Max => Reduction::Max,
                        tree::Reduction::Mean => Reduction::Mean,
                    };
                }
                ReadingMember::Capture(of) => {
                    if measured.words().is_some() {
                        cx.findings.push(lint::wrong_sort::seen(of.span, "capture"));
                    }
                    capture = Some(match of.node {
                        tree::Extreme::Min => Extreme::Min,
                        tree::Extreme::Max => Extreme::Max,
                    });
                }
                ReadingMember::Over(kind) => over = cx.kind(kind),
                ReadingMember::Frequency(expr) => {
                    if measured.words().is_some() {
                        cx.findings.push(lint::wrong_sort::seen(expr.span, "frequency"));
                    }
                }
                ReadingMember::Circuit { resistance, doubt } => {
                    if measured.words().is_some() {
                        cx.findings.push(lint::wrong_sort::seen(resistance.span, "circuit"));
                    }
                    body.circuit = with_doubt(cx, resistance, doubt.as_ref(), Kind::RESISTANCE)
                        .map(|(resistance, doubt)| Circuit { resistance, doubt });
                }
                ReadingMember::Tool(text) => {
                    cx.check_placeholders(text, family);
                    body.tools.push(text.node.to_string());
                }
                ReadingMember::Caution(names) => body.cautions.extend(cautions(cx, names)),
                ReadingMember::Note(text) => {
                    cx.check_placeholders(text, family);
                    body.notes.push(text.node.to_string());
                }
            }
        }
        body.kind = match measured.words() {
            Some(words) => {
                SlotKind::Words(words.iter().map(|word| word.node.to_string()).collect())
            }
            None => SlotKind::Quantity {
                kind: measured.kind.unwrap_or(Kind::RATIO),
                plausible_printed: printed.filter(|_| plausible.is_some()),
                plausible,
                reduce,
                capture,
                over,
            },
        };
        body
    }

    /// What is taken together with a reading; without an index, the same member or all of them.
    fn with(&self, measured: &Measured<'_>, path: &Path) -> Option<(usize, Option<At>)> {
        let cx = self.cx;
        let entry = cx.find(&path.name, READ)?;
        let other = cx.measured.get(entry.index)?;
        let current = measured.family.ok().flatten();
        let at = cx.written_index(path, other.family, current).ok()?;
        let same = current.is_some() && other.family == measured.family;
        let at = if at.is_none() && same { Some(At::Current) } else { at };
        Some((entry.index, at))
    }
}

/// What a reading's body says, before its members are told apart.
#[derive(Debug)]
struct Body {
    kind: SlotKind,
    during: Option<StateId>,
    with: Vec<(usize, Option<At>)>,
    red: Option<String>,
    black: Option<String>,
    takes: Option<truing_units::Measure>,
    circuit: Option<Circuit>,
    cautions: Vec<truing_model::CautionId>,
    tools: Vec<String>,
    notes: Vec<String>,
}

impl Default for Body {
    fn default() -> Self {
        Self {
            kind: SlotKind::Words(Vec::new()),
            during: None,
            with: Vec::new(),
            red: None,
            black: None,
            takes: None,
            circuit: None,
            cautions: Vec::new(),
            tools: Vec::new(),
            notes: Vec::new(),
        }
    }
}
