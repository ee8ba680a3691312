//! From a text to a reading or a property's value, by the one grammar of the language.

use truing_compile::{lower_property, lower_reading, usual_units};
use truing_model::{Domain, PropertyId, PropertyValue, Reading, Slot, SlotId, SlotKind, Spec};
use truing_syntax::tree::{ReadingValue, ReadingValueKind};
use truing_syntax::{Diagnostic, FileId, parse_reading};
use truing_units::{Catalogue, Kind, Measure};

use crate::display::spelled;
use crate::error::{SheetError, quoted};
use crate::nearest::nearest;
use crate::slugs;

/// Longer texts are no reading; a sweep of a thousand points is shorter.
const LONGEST: usize = 64 * 1024;

/// Reads texts against one spec.
pub(crate) struct Reader<'s> {
    spec: &'s Spec,
    catalogue: Catalogue,
}

impl<'s> Reader<'s> {
    pub(crate) fn new(spec: &'s Spec) -> Self {
        Self { spec, catalogue: spec.catalogue() }
    }

    /// The figure with the unit of a UCUM code behind it, as it would be written.
    pub(crate) fn with_unit(&self, value: &str, code: &str) -> Result<String, SheetError> {
        let unit = self.catalogue.unit_from_ucum(code.trim());
        let symbol = unit.ok().map(|unit| unit.symbol().to_owned());
        match symbol.filter(|symbol| self.catalogue.unit(symbol).is_ok()) {
            Some(symbol) => Ok(format!("{} {symbol}", value.trim())),
            None => {
                let message = format!("{} is no UCUM code of a unit known here", quoted(code));
                Err(SheetError::new(slugs::READING_UNIT, message).mend(
                    "write a code such as `V`, `Ohm`, `Cel` or `[psi]`, or the unit in `value`",
                ))
            }
        }
    }

    /// What was read. `range` is the top of the range in use, for `OL`.
    pub(crate) fn reading(
        &self,
        id: SlotId,
        slot: &Slot,
        text: &str,
        range: Option<&str>,
    ) -> Result<Reading, SheetError> {
        if text.len() > LONGEST {
            return Err(too_long(text));
        }
        match &slot.kind {
            SlotKind::Words(words) => self.word_or_not_taken(id, words, text),
            SlotKind::Quantity { kind, .. } => {
                let spelled = spelled(text, self.takes_bare_numbers(*kind))?;
                let reading = self.quantity(id, *kind, &spelled)?;
                let Some(range) = range else { return Ok(reading) };
                // The range says something of an overload alone, and must be a range all the same.
                let ranged = self.quantity(id, *kind, &format!("OL on {}", range.trim()))?;
                match reading {
                    Reading::Overload { range: None } => Ok(ranged),
                    other => Ok(other),
                }
            }
        }
    }

    pub(crate) fn quantity(
        &self,
        id: SlotId,
        kind: Kind,
        text: &str,
    ) -> Result<Reading, SheetError> {
        let value = parsed(text)?;
        if let ReadingValueKind::Word(word) = &value.kind {
            let message =
                format!("{} is a word, and {} is read here", quoted(&word.node), self.words(kind));
            return Err(SheetError::new(slugs::READING_KIND, message)
                .mend("write a number with its unit, `OL`, or `not taken \"why\"`"));
        }
        lower_reading(self.spec, id, &value).map_err(|found| self.refused(&found, kind, text))
    }

    /// What the compiler says of a reading, under a sheet's names where there are such.
    fn refused(&self, found: &Diagnostic, kind: Kind, text: &str) -> SheetError {
        match found.slug().0 {
            "unit-missing" => {
                let example = format!("\"{} {}\"", text.trim(), self.usual_unit(kind));
                SheetError::new(slugs::READING_UNIT, format!("{} has no unit", quoted(text)))
                    .mend(format!("write it as text with its unit: {example}"))
            }
            "unit-mismatch" | "kind-mismatch" => {
                let unit = self.usual_unit(kind);
                SheetError::new(slugs::READING_KIND, found.message())
                    .mend(format!("write it in {unit}, or under the reading that it is"))
            }
            _ => of_diagnostic(found, text),
        }
    }

    fn word_or_not_taken(
        &self,
        id: SlotId,
        words: &[String],
        text: &str,
    ) -> Result<Reading, SheetError> {
        let text = text.trim();
        if let Some(word) = place_of(words, text) {
            return Ok(Reading::Word(word));
        }
        let text = spelled(text, true).unwrap_or_else(|_| text.to_owned());
        if text.starts_with("not taken") {
            let value = parsed(&text)?;
            return lower_reading(self.spec, id, &value)
                .map_err(|found| of_diagnostic(&found, &text));
        }
        Err(unknown_word(words, &text, "can be seen here"))
    }

    /// What the machine is.
    pub(crate) fn property(&self, id: PropertyId, text: &str) -> Result<PropertyValue, SheetError> {
        let text = text.trim();
        if text.len() > LONGEST {
            return Err(too_long(text));
        }
        let property = self.spec.properties.get(id.0 as usize);
        match property.map(|property| &property.domain) {
            Some(Domain::Words(words)) => match place_of(words, text) {
                Some(word) => Ok(PropertyValue::Word(word)),
                None => Err(unknown_word(words, text, "can stand here")),
            },
            _ => {
                let value = parsed(text);
                let Ok(value @ ReadingValue { kind: ReadingValueKind::Figure(_), .. }) = value
                else {
                    let message = format!("{} is no single number", quoted(text));
                    return Err(
                        SheetError::new(slugs::PROPERTY_VALUE, message).mend("write a number")
                    );
                };
                lower_property(self.spec, id, &value).map_err(|found| of_diagnostic(&found, text))
            }
        }
    }

    /// What is known of kinds and units.
    pub(crate) const fn catalogue(&self) -> &Catalogue {
        &self.catalogue
    }

    /// One figure with its unit, of whatever kind.
    pub(crate) fn figure(&self, text: &str) -> Result<Measure, SheetError> {
        let refuse = || {
            let message = format!("{} is no figure with a unit", quoted(text));
            SheetError::new(slugs::READING_UNIT, message)
        };
        let ReadingValueKind::Figure(figure) = parsed(text.trim())?.kind else {
            return Err(refuse());
        };
        let unit = figure.unit.ok_or_else(refuse)?;
        let unit = self.catalogue.unit(&unit.node).map_err(|_| refuse())?;
        Ok(Measure::new(figure.number, unit))
    }

    fn takes_bare_numbers(&self, kind: Kind) -> bool {
        self.catalogue.coherent_unit(kind).symbol() == "1"
    }

    fn words(&self, kind: Kind) -> &str {
        &self.catalogue.kind(kind).words
    }

    /// The unit that the spec's limits use for this kind; else the coherent one.
    fn usual_unit(&self, kind: Kind) -> String {
        let of_limit = self.spec.limits.iter().find(|limit| limit.kind == kind);
        match of_limit {
            Some(limit) => limit.unit.symbol().to_owned(),
            None => usual_units(&self.catalogue, kind)
                .into_iter()
                .next()
                .unwrap_or_else(|| self.catalogue.coherent_unit(kind).symbol().to_owned()),
        }
    }
}

fn parsed(text: &str) -> Result<ReadingValue, SheetError> {
    parse_reading(FileId(0), text).map_err(|found| match found.first() {
        Some(first) => of_diagnostic(first, text),
        None => SheetError::new(slugs::READING_SYNTAX, format!("{} is no reading", quoted(text))),
    })
}

/// A finding of the language in a sheet's words: the text that it points into is the reading's, so
/// the change that mends it is shown whole.
fn of_diagnostic(found: &Diagnostic, text: &str) -> SheetError {
    let message = format!("{}: {}", quoted(text), found.message());
    let mend = found.mending().map(|mend| match mended(text, &mend.edits) {
        Some(mended) => format!("{}: {}", mend.text, quoted(&mended)),
        None => mend.text.to_string(),
    });
    // What the language calls its syntax is here that of a single reading.
    let of_language = found.slug() == truing_syntax::slugs::SYNTAX;
    let slug = if of_language { slugs::READING_SYNTAX } else { found.slug() };
    SheetError::new(slug, message).mend_if(mend)
}

/// The text with the edits made; `None` where there are none, or they lie outside of it.
fn mended(text: &str, edits: &[(truing_syntax::Span, String)]) -> Option<String> {
    let mut out = text.to_owned();
    for (span, new) in edits.iter().rev() {
        let place = span.start as usize..span.end as usize;
        out.get(place.clone())?;
        out.replace_range(place, new);
    }
    (!edits.is_empty()).then_some(out)
}

fn place_of(words: &[String], text: &str) -> Option<u16> {
    words.iter().position(|word| word == text).and_then(|place| u16::try_from(place).ok())
}

fn unknown_word(words: &[String], text: &str, what: &str) -> SheetError {
    let message = format!("{} is none of the words that {what}", quoted(text));
    // `badly burnt` is written `badly_burnt`.
    let joined = text.split_whitespace().collect::<Vec<_>>().join("_");
    let mend = match nearest(&joined, words.iter().map(String::as_str)) {
        Some(near) => format!("did you mean `{near}`?"),
        None => format!("the words are {}", words.join(", ")),
    };
    SheetError::new(slugs::UNKNOWN_WORD, message).mend(mend)
}

fn too_long(text: &str) -> SheetError {
    let message = format!(
        "{} has {} bytes, and no reading has more than {LONGEST}",
        quoted(text),
        text.len()
    );
    SheetError::new(slugs::READING_SYNTAX, message)
}
