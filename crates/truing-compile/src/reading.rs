//! What an instrument showed, from its text: in a case and on a job sheet by the same code.

use truing_model::{
    Domain, Indication, PropertyId, PropertyValue, Reading, Slot, SlotId, SlotKind, Spec,
};
use truing_syntax::tree::{Figure, Name, ReadingValue, ReadingValueKind, UnitText};
use truing_syntax::{Diagnostic, Span};
use truing_units::{Catalogue, Kind, Measure, Ty};

use crate::lint;
use crate::names::nearest;

/// The reading of a slot, as a job sheet or a case writes it.
///
/// # Errors
/// The finding where the value is not one that can stand there: a unit of another kind, no unit, a
/// word that the observation does not have.
pub fn lower_reading(
    spec: &Spec,
    slot: SlotId,
    value: &ReadingValue,
) -> Result<Reading, Diagnostic> {
    let catalogue = spec.catalogue();
    match spec.slots.get(slot.0 as usize) {
        Some(slot) => reading(&catalogue, slot, value),
        None => Err(lint::internal::finding(value.span, "a reading of no slot")),
    }
}

/// What a property of the machine is, likewise.
///
/// # Errors
/// As [`lower_reading`].
pub fn lower_property(
    spec: &Spec,
    property: PropertyId,
    value: &ReadingValue,
) -> Result<PropertyValue, Diagnostic> {
    let catalogue = spec.catalogue();
    match spec.properties.get(property.0 as usize) {
        Some(property) => property_value(&catalogue, &property.name, &property.domain, value),
        None => Err(lint::internal::finding(value.span, "a value of no property")),
    }
}

pub(crate) fn property_value(
    catalogue: &Catalogue,
    name: &str,
    domain: &Domain,
    value: &ReadingValue,
) -> Result<PropertyValue, Diagnostic> {
    match (domain, &value.kind) {
        (Domain::Words(words), ReadingValueKind::Word(word)) => {
            place_of(word, name, words).map(PropertyValue::Word)
        }
        (Domain::Quantity(kind), ReadingValueKind::Figure(figure)) => {
            let reader = Reader { catalogue, label: name, kind: *kind };
            reader.figure(figure, None).map(PropertyValue::Figure)
        }
        (Domain::Words(words), _) => Err(lint::wrong_sort::word_wanted(value.span, name, words)),
        (Domain::Quantity(_), _) => Err(lint::wrong_sort::figure_wanted(value.span, name)),
    }
}

/// The reading of this slot.
pub(crate) fn reading(
    catalogue: &Catalogue,
    slot: &Slot,
    value: &ReadingValue,
) -> Result<Reading, Diagnostic> {
    if let ReadingValueKind::NotTaken(reason) = &value.kind {
        let reason = reason.as_ref().map(|text| text.node.to_string());
        return Ok(Reading::NotTaken { reason });
    }
    match &slot.kind {
        SlotKind::Words(words) => match &value.kind {
            ReadingValueKind::Word(word) => place_of(word, &slot.label, words).map(Reading::Word),
            _ => Err(lint::wrong_sort::word_wanted(value.span, &slot.label, words)),
        },
        SlotKind::Quantity { kind, over, .. } => {
            let reader = Reader { catalogue, label: &slot.label, kind: *kind };
            reader.quantity(value, *over)
        }
    }
}

fn place_of(word: &Name, subject: &str, words: &[String]) -> Result<u16, Diagnostic> {
    let place = words.iter().position(|known| **known == *word.node);
    match place.and_then(|place| u16::try_from(place).ok()) {
        Some(place) => Ok(place),
        None => {
            let near = nearest(&word.node, words.iter().map(String::as_str));
            Err(lint::word_unknown::of_slot(word, subject, words, near))
        }
    }
}

/// Reads figures of one kind for one slot or property.
struct Reader<'r> {
    catalogue: &'r Catalogue,
    label: &'r str,
    kind: Kind,
}

impl Reader<'_> {
    fn quantity(&self, value: &ReadingValue, over: Option<Kind>) -> Result<Reading, Diagnostic> {
        Ok(match &value.kind {
            ReadingValueKind::Figure(figure) => Reading::Figure(self.figure(figure, None)?),
            ReadingValueKind::Overload { range } => Reading::Overload {
                range: match range {
                    Some(figure) => Some(self.figure(figure, None)?),
                    None => None,
                },
            },
            ReadingValueKind::Above { bound, inclusive } => {
                Reading::Above { bound: self.figure(bound, None)?, inclusive: *inclusive }
            }
            ReadingValueKind::Below { bound, inclusive } => {
                Reading::Below { bound: self.figure(bound, None)?, inclusive: *inclusive }
            }
            ReadingValueKind::Between { low, high } => {
                let (low, high) = self.rising(low, high)?;
                Reading::Between { low, high }
            }
            ReadingValueKind::Unsteady { low, high, moved_by } => {
                let (low, high) = self.rising(low, high)?;
                let moved_by = moved_by.as_ref().map(|text| text.node.to_string());
                Reading::Unsteady { low, high, moved_by }
            }
            ReadingValueKind::Repeats(figures) => {
                // A unit written once, at the end, serves all.
                let lent = figures.last().and_then(|figure| figure.unit.as_ref());
                let all = figures.iter().map(|figure| self.figure(figure, lent));
                Reading::Repeats(all.collect::<Result<_, _>>()?)
            }
            ReadingValueKind::Sweep(pairs) => self.sweep(pairs, over, value.span)?,
            ReadingValueKind::Word(_) => {
                return Err(lint::wrong_sort::figure_wanted(value.span, self.label));
            }
            ReadingValueKind::NotTaken(reason) => {
                Reading::NotTaken { reason: reason.as_ref().map(|text| text.node.to_string()) }
            }
        })
    }

    fn sweep(
        &self,
        pairs: &[(Figure, Figure)],
        over: Option<Kind>,
        span: Span,
    ) -> Result<Reading, Diagnostic> {
        let Some(over) = over else {
            return Err(lint::wrong_sort::no_sweep(span, self.label));
        };
        let across = Reader { kind: over, ..*self };
        let lent = pairs.last().and_then(|(at, _)| at.unit.as_ref());
        let lent_value = pairs.last().and_then(|(_, figure)| figure.unit.as_ref());
        let mut out: Vec<(Indication, Indication)> = Vec::new();
        for (at, figure) in pairs {
            let point = across.figure(at, lent)?;
            if out.last().is_some_and(|(before, _)| before.value >= point.value) {
                return Err(lint::curve_not_rising::finding(at.span));
            }
            out.push((point, self.figure(figure, lent_value)?));
        }
        Ok(Reading::Sweep(out))
    }

    fn rising(&self, low: &Figure, high: &Figure) -> Result<(Indication, Indication), Diagnostic> {
        let bottom = self.figure(low, high.unit.as_ref())?;
        let top = self.figure(high, low.unit.as_ref())?;
        if bottom.value > top.value {
            return Err(lint::upside_down_interval::finding(low.span.to(high.span)));
        }
        Ok((bottom, top))
    }

    /// A figure with its unit, or with the one that a neighbour lends it.
    fn figure(&self, figure: &Figure, lent: Option<&UnitText>) -> Result<Indication, Diagnostic> {
        let def = self.catalogue.kind(self.kind);
        let unit = match figure.unit.as_ref().or(lent) {
            Some(text) => self
                .catalogue
                .unit(&text.node)
                .map_err(|error| lint::unknown_unit::finding(text, &error))?,
            None if def.unit == "1" => self.catalogue.coherent_unit(self.kind),
            None => {
                return Err(lint::unit_missing::reading(
                    self.catalogue,
                    figure.span,
                    self.label,
                    self.kind,
                ));
            }
        };
        let shown = Measure { figure: figure.number, unit };
        if !shown.unit.fits(self.kind, self.catalogue) {
            return Err(self.misfit(&shown, figure.span));
        }
        let place = self.catalogue.place(Ty::Kind(self.kind));
        Ok(Indication {
            value: shown.coherent(place),
            exact: shown.exact(place),
            half_step: shown.half_step(),
            shown,
        })
    }

    /// "12.5 A is a dc current; battery_rest is a dc voltage"
    fn misfit(&self, shown: &Measure, span: Span) -> Diagnostic {
        let first = shown.unit.kinds().first();
        let found = first.map_or(Ty::Plain(shown.unit.dimension()), |kind| Ty::Kind(*kind));
        let words = |ty: Ty| lint::article(&ty.words(self.catalogue));
        let message = format!(
            "{shown} is {}; {} is {}",
            words(found),
            self.label,
            words(Ty::Kind(self.kind))
        );
        let same = shown.unit.dimension() == self.catalogue.kind(self.kind).dimension;
        let slug = if same { lint::kind_mismatch::DOC.slug } else { lint::unit_mismatch::DOC.slug };
        Diagnostic::error(slug, span, message)
    }
}
