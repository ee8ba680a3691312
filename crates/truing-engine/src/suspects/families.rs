//! Which checks count as one: the members of a family that every fault upsets alike.
//!
//! Three windings against ground are read with one meter in one sitting, and a grounded winding shows
//! on all three: that is one piece of evidence and not three. So such a family has one chance to come
//! out of order by itself, one chance for each fault to show, and one slip. It is in the band that
//! dominates among its members. Where some fault upsets a single member (a diode, a cylinder), or
//! where something waits for a single one, the members stand for themselves.

use std::collections::{BTreeMap, BTreeSet};

use truing_diagnosis::Band;
use truing_model::{Check, CheckBand, CheckId, LogicId, LogicNode, SpecParts};

/// The members of the check's family, itself among them, where they count as one; else the check
/// alone.
#[must_use]
pub fn counted_with(spec: &SpecParts, check: CheckId) -> Vec<CheckId> {
    let all = as_one(spec);
    all.into_iter().find(|unit| unit.contains(&check)).unwrap_or_else(|| vec![check])
}

/// All families that count as one, with their members in the order of the spec.
pub(super) fn as_one(spec: &SpecParts) -> Vec<Vec<CheckId>> {
    let mut families = families(spec);
    let mut effects: BTreeMap<CheckId, Vec<(usize, CheckBand, u64)>> = BTreeMap::new();
    for (fault, said) in spec.faults.iter().enumerate() {
        for of in &said.effects {
            let all = effects.entry(of.check).or_default();
            all.push((fault, of.band, of.chance.to_bits()));
        }
    }
    families.retain(|members| {
        let mut told = members.iter().map(|id| {
            let mut of = effects.get(id).cloned().unwrap_or_default();
            of.sort_by_key(|(fault, band, _)| (*fault, *band));
            (of, spec.bands_of(*id))
        });
        let first = told.next();
        told.all(|other| Some(other) == first)
    });
    for state in &spec.states {
        let waived: BTreeSet<CheckId> = state.waived.iter().map(|waiver| waiver.check).collect();
        families.retain(|members| !in_part(&waived, members));
    }
    // A family that falls asks for what its members ask for, one by one.
    loop {
        let mut asked: Vec<BTreeSet<CheckId>> = Vec::new();
        let mut met = BTreeSet::new();
        for members in &families {
            met.extend(members.iter().copied());
            asked.push(members.iter().flat_map(|id| ids(spec, *id)).collect());
        }
        let alone = checks(spec).map(|(id, _)| id).filter(|id| !met.contains(id));
        asked.extend(alone.map(|id| ids(spec, id).collect()));
        let before = families.len();
        families.retain(|members| !asked.iter().any(|asked| in_part(asked, members)));
        if families.len() == before {
            return families;
        }
    }
}

fn ids(spec: &SpecParts, id: CheckId) -> impl Iterator<Item = CheckId> {
    asked_before(spec, id).into_iter().map(|(check, _)| check)
}

fn checks(spec: &SpecParts) -> impl Iterator<Item = (CheckId, &Check)> {
    (0_u32..).map(CheckId).zip(&spec.checks)
}

/// Families of two members or more.
fn families(spec: &SpecParts) -> Vec<Vec<CheckId>> {
    let mut out: Vec<Vec<CheckId>> = Vec::new();
    let mut last: Option<&str> = None;
    for (id, check) in checks(spec) {
        match out.last_mut().filter(|_| check.member.is_some() && last == Some(&check.name)) {
            Some(members) => members.push(id),
            None => out.push(vec![id]),
        }
        last = Some(&check.name);
    }
    out.retain(|members| members.len() > 1);
    out
}

/// Whether some of the members are meant, and not all.
fn in_part(meant: &BTreeSet<CheckId>, members: &[CheckId]) -> bool {
    let count = members.iter().filter(|id| meant.contains(id)).count();
    count > 0 && count < members.len()
}

/// The checks whose outcome a check waits for, and in which band it waits for them: of what `when`
/// asks for all together, as far as one band says it.
pub(super) fn asked_before(spec: &SpecParts, id: CheckId) -> Vec<(CheckId, Band)> {
    let Some(when) = spec.check(id).and_then(|check| check.when) else {
        return Vec::new();
    };
    let order = |id: CheckId| spec.bands_of(id).map_or(&[][..], |bands| &bands.order);
    let mut found: BTreeMap<CheckId, Band> = BTreeMap::new();
    let mut todo: Vec<LogicId> = vec![when];
    // INVARIANT: children stand before parents, so this ends.
    while let Some(logic) = todo.pop() {
        match spec.logic.get(logic.0 as usize) {
            Some(LogicNode::All(all)) => todo.extend(all),
            Some(LogicNode::Passes(check)) => {
                // Within or worn passes: two bands, which one requirement cannot name.
                let one = order(*check).iter().filter(|band| band.passes()).count() == 1;
                found.extend(one.then_some((*check, Band::OK)));
            }
            Some(LogicNode::Fails(check)) => {
                let order = order(*check);
                let fails = |band: &CheckBand| !band.passes();
                let place = order.iter().position(fails);
                let one = order.iter().filter(|band| fails(band)).count() == 1;
                found.extend(place.filter(|_| one).map(|place| (*check, Band(place))));
            }
            _ => {}
        }
    }
    found.into_iter().collect()
}
