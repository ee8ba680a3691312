//! From the names of a sheet to the places of a spec.

use std::collections::BTreeMap;

use truing_model::{PropertyId, Slot, SlotId, Spec, StateId};

use crate::error::{SheetError, quoted};
use crate::nearest::nearest;
use crate::slugs;

/// What a path of a sheet means.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) enum Target {
    /// One reading or observation.
    Slot(SlotId),
    /// A reading of a family, without a member.
    Family(Vec<SlotId>),
    /// A property of the machine.
    Property(PropertyId),
}

/// The names of a spec, for looking up.
pub(crate) struct Names<'s> {
    pub(crate) spec: &'s Spec,
    slots: BTreeMap<&'s str, Vec<SlotId>>,
    properties: BTreeMap<&'s str, PropertyId>,
    states: BTreeMap<&'s str, StateId>,
}

impl<'s> Names<'s> {
    pub(crate) fn new(spec: &'s Spec) -> Self {
        let mut slots: BTreeMap<&str, Vec<SlotId>> = BTreeMap::new();
        for (id, slot) in (0..).zip(&spec.slots) {
            slots.entry(slot.name.as_str()).or_default().push(SlotId(id));
        }
        let properties = (0..).zip(&spec.properties);
        let states = (0..).zip(&spec.states);
        Self {
            spec,
            slots,
            properties: properties.map(|(id, it)| (it.name.as_str(), PropertyId(id))).collect(),
            states: states.map(|(id, it)| (it.name.as_str(), StateId(id))).collect(),
        }
    }

    pub(crate) fn is_property(&self, path: &str) -> bool {
        self.properties.contains_key(path.trim())
    }

    /// What `path` means.
    pub(crate) fn find(&self, path: &str) -> Result<Target, SheetError> {
        let (name, member) = parts(path);
        if let Some(property) = self.properties.get(name) {
            return match member {
                None => Ok(Target::Property(*property)),
                Some(member) => Err(no_members(name, &member)),
            };
        }
        let Some(slots) = self.slots.get(name) else { return Err(self.unknown(name)) };
        let named: Vec<&Slot> = slots.iter().filter_map(|id| self.slot(*id)).collect();
        let family = named.iter().any(|slot| slot.member.is_some());
        match (member, slots.first()) {
            (None, Some(only)) if !family => Ok(Target::Slot(*only)),
            (None, _) => Ok(Target::Family(slots.clone())),
            (Some(member), _) if !family => Err(no_members(name, &member)),
            (Some(member), _) => {
                let is_it = |slot: &&Slot| slot.member.as_deref() == Some(member.as_str());
                match slots.iter().zip(&named).find(|(_, slot)| is_it(slot)) {
                    Some((id, _)) => Ok(Target::Slot(*id)),
                    None => Err(unknown_member(name, &member, &named)),
                }
            }
        }
    }

    /// A property by its name.
    pub(crate) fn property(&self, path: &str) -> Result<PropertyId, SheetError> {
        let name = path.trim();
        if let Some(property) = self.properties.get(name) {
            return Ok(*property);
        }
        let message = format!("{} is no property of the machine in this spec", quoted(name));
        let error = SheetError::new(slugs::UNKNOWN_PROPERTY, message);
        if self.slots.contains_key(parts(path).0) {
            return Err(error.mend("it is a reading: write it in the round that it was taken in"));
        }
        let known: Vec<&str> = self.properties.keys().copied().collect();
        Err(error.mend(match nearest(name, known.iter().copied()) {
            Some(near) => format!("did you mean `{near}`?"),
            None if known.is_empty() => "the spec has no properties".to_owned(),
            None => format!("the properties are {}", known.join(", ")),
        }))
    }

    /// A state by its name.
    pub(crate) fn state(&self, name: &str) -> Result<StateId, SheetError> {
        let name = name.trim();
        self.states.get(name).copied().ok_or_else(|| {
            let message = format!("{} is no state of this spec", quoted(name));
            let known: Vec<&str> = self.states.keys().copied().collect();
            SheetError::new(slugs::UNKNOWN_STATE, message).mend(
                match nearest(name, known.iter().copied()) {
                    Some(near) => format!("did you mean `{near}`?"),
                    None if known.is_empty() => "the spec has no states".to_owned(),
                    None => format!("the states are {}", known.join(", ")),
                },
            )
        })
    }

    /// A slot by its place.
    pub(crate) fn slot(&self, id: SlotId) -> Option<&'s Slot> {
        self.spec.slots.get(usize::try_from(id.0).ok()?)
    }

    /// What is wrong with a family's path that names no member.
    pub(crate) fn member_missing(&self, path: &str, slots: &[SlotId]) -> SheetError {
        let name = path.trim();
        let members = slots.iter().filter_map(|id| self.slot(*id)?.member.as_deref());
        let members: Vec<&str> = members.collect();
        let all = members.join(", ");
        let message = format!("`{name}` is read for each of {all}, and this says not for which");
        let first = members.first().copied().unwrap_or("");
        SheetError::new(slugs::MEMBER_MISSING, message)
            .mend(format!("write `{name}[{first}]`, or a table: {name} = {{ {first} = \"…\" }}"))
    }

    fn unknown(&self, name: &str) -> SheetError {
        let message = format!("{} is no reading of this spec", quoted(name));
        let known = self.slots.keys().chain(self.properties.keys()).copied();
        let mend = nearest(name, known).map(|near| format!("did you mean `{near}`?"));
        SheetError::new(slugs::UNKNOWN_READING, message).mend_if(mend)
    }
}

/// `to_ground [ U ]` in its two parts, without blanks; the member of a pair as the spec writes it.
pub(crate) fn parts(path: &str) -> (&str, Option<String>) {
    let path = path.trim();
    let bracketed = path.strip_suffix(']').and_then(|rest| rest.split_once('['));
    match bracketed {
        Some((name, member)) => {
            (name.trim(), Some(member.chars().filter(|c| !c.is_whitespace()).collect()))
        }
        None => (path, None),
    }
}

fn no_members(name: &str, member: &str) -> SheetError {
    let message = format!("`{name}` has no members, and so no {}", quoted(member));
    SheetError::new(slugs::UNKNOWN_MEMBER, message).mend(format!("write `{name}`"))
}

fn unknown_member(name: &str, member: &str, slots: &[&Slot]) -> SheetError {
    let members = || slots.iter().filter_map(|slot| slot.member.as_deref());
    let message = format!("`{name}` has no member {}", quoted(member));
    let error = SheetError::new(slugs::UNKNOWN_MEMBER, message);
    let turned = member.split_once('-').map(|(first, second)| format!("{second}-{first}"));
    if let Some(known) = members().find(|known| turned.as_deref() == Some(*known)) {
        return error.mend(format!("the pair is `{known}`: the leads go the other way round"));
    }
    let mend = match nearest(member, members()) {
        Some(near) if near.eq_ignore_ascii_case(member) => format!("did you mean `{near}`?"),
        _ => format!("its members are {}", members().collect::<Vec<_>>().join(", ")),
    };
    error.mend(mend)
}
