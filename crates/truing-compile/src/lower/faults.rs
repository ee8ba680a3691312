//! Faults of every member, fixes with the parts that they replace, and what waives a state.

use std::collections::{BTreeMap, BTreeSet};

use truing_model::{
    Bands, CheckBand, CheckId, Effect, Fault, FaultId, Fix, FixId, Part, PartId, Waiver,
};
use truing_syntax::tree::{Path, StateMember};
use truing_syntax::{Diagnostic, Span};
use truing_units::Place;

use super::bands::band;
use super::checks::labelled;
use super::nodes::instance;
use super::{Instance, Lowering};
use crate::body::{self, CheckAt, FaultIr, Makes, driven};
use crate::context::Context;
use crate::family::{At, FamilyRef};
use crate::lint;

/// So far may the chances of one check lie above 1: figures are decimals, their sums are not.
const ROUNDING: f64 = 1e-9;

/// So many states are followed back from a reading: a way may also be a circle.
const LONGEST_WAY: usize = 64;

/// The id of the first member of each item, where the items run over these families.
pub(super) fn first_members(
    cx: &Context<'_>,
    families: impl Iterator<Item = FamilyRef>,
) -> Vec<u32> {
    let mut next = 0;
    let mut first = Vec::new();
    for family in families {
        first.push(next);
        next += cx.size(family) as u32;
    }
    first
}

impl Lowering<'_, '_> {
    pub(super) fn diagnosis(&mut self) {
        self.fixes();
        self.faults();
        self.waivers();
    }

    fn fixes(&mut self) {
        let cx = self.cx;
        let mut known: BTreeMap<String, PartId> = BTreeMap::new();
        let said = cx.bodies.fixes.borrow();
        for (decl, said) in cx.fixes.iter().zip(said.iter()) {
            let mut parts: Vec<PartId> = Vec::new();
            let mut seen = BTreeSet::new();
            for name in &said.parts {
                let part = *known.entry(name.clone()).or_insert_with(|| {
                    self.parts.parts.push(Part { name: name.clone() });
                    PartId(self.parts.parts.len() as u32 - 1)
                });
                if seen.insert(part) {
                    parts.push(part);
                }
            }
            let mut proves: Vec<CheckId> = Vec::new();
            let mut seen = BTreeSet::new();
            for at in &said.proves {
                let checks = self.checks_at(*at, Instance::default());
                proves.extend(checks.into_iter().filter(|check| seen.insert(*check)));
            }
            let verify_seconds = said.verify_seconds.unwrap_or_else(|| self.seconds_of(&proves));
            self.parts.fixes.push(Fix {
                name: decl.name.node.to_string(),
                title: decl.title.node.to_string(),
                parts,
                seconds: said.seconds,
                verify_seconds,
                price: said.price,
                proves,
                cautions: said.cautions.clone(),
                notes: said.notes.clone(),
            });
        }
    }

    /// What the readings of these checks take, each reading once.
    fn seconds_of(&self, checks: &[CheckId]) -> f64 {
        let checks = checks.iter().filter_map(|id| self.parts.check(*id));
        let slots: BTreeSet<_> = checks.flat_map(|check| check.slots.iter().copied()).collect();
        slots
            .into_iter()
            .filter_map(|slot| self.parts.slot(slot)?.takes.as_ref())
            .map(|takes| takes.coherent(Place::Amount))
            .sum()
    }

    fn faults(&mut self) {
        let cx = self.cx;
        let said = cx.bodies.faults.borrow();
        for ((decl, family), said) in cx.faults.iter().zip(said.iter()) {
            let name = decl.name.node.to_string();
            let mut told = false;
            let fixes: Vec<FixId> = said.fixes.iter().map(|fix| FixId(*fix as u32)).collect();
            for member in 0..cx.size(*family) {
                let label = cx.member_label(*family, member).map(str::to_owned);
                let fill = |text: &str| cx.fill(text, *family, member);
                let effects = self.effects(said, instance(*family, member), &mut told);
                self.parts.faults.push(Fault {
                    label: labelled(&name, label.as_deref()),
                    name: name.clone(),
                    member: label,
                    title: fill(&decl.title.node),
                    prior: said.prior,
                    effects,
                    fixes: fixes.clone(),
                    cautions: said.cautions.clone(),
                    notes: said.notes.iter().map(|text| fill(text)).collect(),
                });
            }
        }
    }

    /// What a fault does to each check, by member. What a spec's limit cannot show is left out: a
    /// library's fault may speak of a side that this machine's limit has not.
    fn effects(&mut self, said: &FaultIr, at: Instance, told: &mut bool) -> Vec<Effect> {
        let mut chances: BTreeMap<(CheckId, CheckBand), f64> = BTreeMap::new();
        let mut before: BTreeMap<CheckId, Vec<Makes>> = BTreeMap::new();
        for made in &said.makes {
            for check in self.checks_at(made.check, at) {
                let before = before.entry(check).or_default();
                if let Some(finding) = self.too_often(before, made, check) {
                    if !std::mem::replace(told, true) {
                        self.cx.findings.push(finding);
                    }
                    continue;
                }
                before.push(*made);
                let Some(bands) = self.parts.bands_of(check) else { continue };
                let (low, high) = (has(bands, CheckBand::Low), has(bands, CheckBand::High));
                let driven = driven(made.effect, low, high);
                let each = made.chance / driven.len() as f64;
                for band in driven.into_iter().map(band).filter(|band| has(bands, *band)) {
                    *chances.entry((check, band)).or_insert(0.0) += each;
                }
            }
        }
        let effect =
            |((check, band), chance): (_, f64)| Effect { check, band, chance: chance.min(1.0) };
        chances.into_iter().map(effect).collect()
    }

    /// The finding for an effect that was said `before`, or comes with those more often than always.
    fn too_often(&self, before: &[Makes], made: &Makes, check: CheckId) -> Option<Diagnostic> {
        let label = self.parts.check(check).map_or("", |check| &check.label);
        if let Some(first) = before.iter().find(|one| one.effect == made.effect) {
            return Some(lint::effects_too_often::twice(made.span, first.span, label));
        }
        let sum = made.chance + before.iter().map(|one| one.chance).sum::<f64>();
        let places: Vec<Span> = before.iter().map(|one| one.span).collect();
        (sum > 1.0 + ROUNDING)
            .then(|| lint::effects_too_often::finding(made.span, &places, label, sum))
    }

    fn waivers(&mut self) {
        let cx = self.cx;
        for (place, decl) in cx.states.iter().enumerate() {
            let mut waived = Vec::new();
            for member in &decl.members {
                let StateMember::Waived { check: path, passes } = member else { continue };
                let Some(at) = body::check(cx, path, None) else { continue };
                if at.at.is_none() {
                    let family =
                        cx.checks.get(at.check).and_then(|item| item.family.ok().flatten());
                    let family = family.and_then(|id| cx.family(id));
                    cx.findings.push(lint::wrong_index::missing(path, family));
                    continue;
                }
                if self.known_only_in(at, place) {
                    let state = &decl.name;
                    cx.findings.push(lint::waiver_too_late::finding(path, state));
                    continue;
                }
                for check in self.checks_at(at, Instance::default()) {
                    let Some(bands) = self.parts.bands_of(check) else { continue };
                    let fit = bands.order.iter().filter(|band| band.passes() == *passes);
                    waived.extend(fit.map(|band| Waiver { check, band: *band }));
                }
            }
            if let Some(state) = self.parts.states.get_mut(place) {
                state.waived = waived;
            }
        }
    }

    /// Whether a check needs a reading that is taken in this state, or behind it and nowhere else.
    fn known_only_in(&mut self, at: CheckAt, state: usize) -> bool {
        let checks = self.checks_at(at, Instance::default());
        let checks = checks.iter().filter_map(|id| self.parts.check(*id));
        let slots = checks.flat_map(|check| &check.slots);
        let mut taken = slots.filter_map(|slot| self.parts.slot(*slot)?.during);
        taken.any(|during| {
            let mut here = during;
            // The way of states that are each reached from one other only.
            for _ in 0..LONGEST_WAY {
                if here.0 as usize == state {
                    return true;
                }
                match self.parts.state(here).map(|state| state.from.as_slice()) {
                    Some([from]) => here = *from,
                    _ => return false,
                }
            }
            false
        })
    }

    /// The checks of the members that are meant.
    pub(super) fn checks_at(&mut self, meant: CheckAt, at: Instance) -> Vec<CheckId> {
        let Some(item) = self.cx.checks.get(meant.check) else { return Vec::new() };
        let members = self.members_at(meant.at, item.family, at);
        members.into_iter().map(|member| CheckId(item.first_check + member as u32)).collect()
    }

    /// The members that are meant: one, or all where nothing says which.
    pub(super) fn members_at(
        &mut self,
        which: Option<At>,
        family: FamilyRef,
        at: Instance,
    ) -> Vec<usize> {
        let members: Vec<usize> = match which {
            Some(which) => self.member(which, family, at).into_iter().collect(),
            None => (0..self.cx.size(family)).collect(),
        };
        match self.room_for(members.len()) {
            Some(()) => members,
            None => Vec::new(),
        }
    }

    /// The faults that a path means, whose name is known.
    pub(super) fn fault_ids(&mut self, path: &Path, index: usize) -> Vec<FaultId> {
        let Some((_, family)) = self.cx.faults.get(index) else { return Vec::new() };
        let Ok(which) = self.cx.written_index(path, *family, None) else { return Vec::new() };
        let Some(first) = self.first_faults.get(index).copied() else { return Vec::new() };
        let members = self.members_at(which, *family, Instance::default());
        members.into_iter().map(|member| FaultId(first + member as u32)).collect()
    }
}

fn has(bands: &Bands, band: CheckBand) -> bool {
    bands.place(band).is_some()
}
