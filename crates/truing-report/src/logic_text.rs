//! What a precondition asks for and does not get, where it asks about readings and properties and
//! not about checks.

use truing_model::{
    Domain, LogicId, LogicNode, NumberId, NumberNode, PropertyId, PropertyValue, Reading, Relation,
    SlotId, SlotKind,
};

use crate::layout::listed;
use crate::teller::{Scale, Teller};
use crate::value_text::Fineness;

/// A figure of the spec is shown to at most this many digits; it is written with fewer.
const WRITTEN: Fineness = Fineness::Digits(6);

impl Teller<'_> {
    /// Adds a phrase for each part of `logic` that is known not to hold.
    pub(crate) fn unmet(&self, logic: LogicId, parts: &mut Vec<String>) {
        match self.spec.logic.get(logic.0 as usize) {
            Some(LogicNode::All(inner)) => inner.iter().for_each(|part| self.unmet(*part, parts)),
            Some(LogicNode::Compare { relation, left, right }) => {
                parts.extend(self.unmet_comparison(*relation, *left, *right));
            }
            Some(LogicNode::Is { slot, words }) => parts.extend(self.unmet_word(*slot, words)),
            Some(LogicNode::PropertyIs { property, words }) => {
                parts.extend(self.unmet_property(*property, words));
            }
            _ => {}
        }
    }

    /// "needs regulator_voltage below 14.2 V, and it is 14.45 V"
    fn unmet_comparison(
        &self,
        relation: Relation,
        left: NumberId,
        right: NumberId,
    ) -> Option<String> {
        let scale = self.scale_of_number(left)?;
        let (has, wants) = (self.value_of(left)?, self.value_of(right)?);
        if holds(relation, has, wants) {
            return None;
        }
        let label = self.label_of(left)?;
        let wants = match self.label_of(right) {
            Some(other) => format!("{other} ({})", trimmed(&scale, wants)),
            None => trimmed(&scale, wants),
        };
        let words = relation_words(relation);
        Some(format!("needs {label} {words} {wants}, and it is {}", trimmed(&scale, has)))
    }

    /// The single value of a number, where it has one.
    fn value_of(&self, number: NumberId) -> Option<f64> {
        match self.spec.numbers.get(number.0 as usize)? {
            NumberNode::Constant { value, .. } => Some(*value),
            NumberNode::Slot(slot) => match self.sheet.get(*slot)? {
                Reading::Figure(figure) => Some(figure.value),
                _ => None,
            },
            _ => self.findings.derived.get(self.derived_at(number)?)?.value?.best,
        }
    }

    fn label_of(&self, number: NumberId) -> Option<String> {
        if let Some(slot) = self.direct(number) {
            return Some(self.slot_label(slot).to_owned());
        }
        Some(self.spec.derived.get(self.derived_at(number)?)?.label.clone())
    }

    fn unmet_word(&self, slot: SlotId, wanted: &[u16]) -> Option<String> {
        let SlotKind::Words(words) = &self.slot(slot)?.kind else { return None };
        let Reading::Word(seen) = self.sheet.get(slot)? else { return None };
        unmet_words(self.slot_label(slot), *seen, wanted, words)
    }

    fn unmet_property(&self, property: PropertyId, wanted: &[u16]) -> Option<String> {
        let known = self.property(property)?;
        let Domain::Words(words) = &known.domain else { return None };
        let PropertyValue::Word(has) = self.sheet.property(property)? else { return None };
        unmet_words(&known.name, *has, wanted, words)
    }
}

/// "needs connector to be clean, and it is burnt"
fn unmet_words(label: &str, has: u16, wanted: &[u16], words: &[String]) -> Option<String> {
    if wanted.contains(&has) {
        return None;
    }
    let name = |place: u16| words.get(usize::from(place)).cloned();
    let wanted: Vec<String> = wanted.iter().filter_map(|place| name(*place)).collect();
    let wanted = listed(&wanted).replace(" and ", " or ");
    Some(format!("needs {label} to be {wanted}, and it is {}", name(has)?))
}

fn trimmed(scale: &Scale, value: f64) -> String {
    let figure = scale.figure(value, WRITTEN);
    let figure = figure.parse::<f64>().map_or(figure, |value| value.to_string());
    format!("{figure} {}", scale.unit)
}

fn holds(relation: Relation, left: f64, right: f64) -> bool {
    match relation {
        Relation::Less => left < right,
        Relation::LessOrEqual => left <= right,
        Relation::Greater => left > right,
        Relation::GreaterOrEqual => left >= right,
        Relation::Equal => left == right,
        Relation::NotEqual => left != right,
    }
}

const fn relation_words(relation: Relation) -> &'static str {
    match relation {
        Relation::Less => "below",
        Relation::LessOrEqual => "at most",
        Relation::Greater => "above",
        Relation::GreaterOrEqual => "at least",
        Relation::Equal => "equal to",
        Relation::NotEqual => "other than",
    }
}
