//! Why a check says nothing, in words: the range of values that decided.

use truing_model::{CheckRule, LogicId, LogicNode, NumberId, NumberNode, Relation, SlotKind};
use truing_units::{Floor, Kind, Ty, Unit, from_coherent, significant_text};

use super::range::Range;
use super::{Ranges, collect, inverse};
use crate::context::Context;
use crate::lint::article;
use crate::usual_unit::usual_units;

/// Gives coherent values in a unit.
struct Scale<'c> {
    cx: &'c Context<'c>,
    ty: Ty,
    unit: &'c Unit,
}

impl Scale<'_> {
    fn bare(&self, value: f64) -> String {
        let value = from_coherent(value, self.unit, self.cx.catalogue.place(self.ty));
        let text = significant_text(value, 10);
        match text.contains('.') {
            true => text.trim_end_matches('0').trim_end_matches('.').to_owned(),
            false => text,
        }
    }

    fn text(&self, value: f64) -> String {
        match self.unit.symbol() {
            "1" | "" => self.bare(value),
            symbol => format!("{} {symbol}", self.bare(value)),
        }
    }

    /// "20 V and more"; `None` for all values.
    fn permitted(&self, range: Range) -> Option<String> {
        Some(match (range.low.is_finite(), range.high.is_finite()) {
            (true, true) if range.low == range.high => self.text(range.low),
            (true, true) => format!("{} to {}", self.bare(range.low), self.text(range.high)),
            (true, false) if range.low_open => format!("more than {}", self.text(range.low)),
            (true, false) => format!("{} and more", self.text(range.low)),
            (false, true) if range.high_open => format!("less than {}", self.text(range.high)),
            (false, true) => format!("{} and less", self.text(range.high)),
            (false, false) => return None,
        })
    }

    /// "lies between 0 and 18 V"; `None` for all values.
    fn lies(&self, range: Range) -> Option<String> {
        Some(match (range.low.is_finite(), range.high.is_finite()) {
            (true, true) if range.low == range.high => format!("is {}", self.text(range.low)),
            (true, true) => {
                format!("lies between {} and {}", self.bare(range.low), self.text(range.high))
            }
            (true, false) => format!("is never below {}", self.text(range.low)),
            (false, true) => format!("is never above {}", self.text(range.high)),
            (false, false) => return None,
        })
    }
}

impl Ranges<'_> {
    /// Why a rule can only come out one way; `None` where no single range decides.
    pub(super) fn reason(
        &self,
        cx: &Context<'_>,
        rule: &CheckRule,
        passes: bool,
    ) -> Option<String> {
        match rule {
            CheckRule::Within { subject, subject_label, limit, .. } => {
                let limit = self.parts.limits.get(limit.0 as usize)?;
                let scale = Scale { cx, ty: Ty::Kind(limit.kind), unit: &limit.unit };
                let lies = self.lies(&scale, *subject, subject_label)?;
                let mut bands = Vec::new();
                collect(&limit.rule, &mut bands);
                let permits = match bands.as_slice() {
                    [band] => scale
                        .permitted(Range::of(band.service.as_ref().unwrap_or(&band.standard)))?,
                    _ if passes => "all of that".to_owned(),
                    _ => "none of that".to_owned(),
                };
                Some(format!("{lies}, and the limit permits {permits}"))
            }
            CheckRule::Compare { subject, against, .. } if subject == against => {
                Some("this is compared with itself".to_owned())
            }
            CheckRule::Compare { subject, subject_label, relation, against, unit, ty, .. } => {
                let scale = Scale { cx, ty: *ty, unit };
                let lies = self.lies(&scale, *subject, subject_label)?;
                let against = self.get(*against);
                let asked = match relation {
                    Relation::Less | Relation::LessOrEqual => Range {
                        high: against.high,
                        high_open: *relation == Relation::Less,
                        ..Range::ALL
                    },
                    Relation::Greater | Relation::GreaterOrEqual => Range {
                        low: against.low,
                        low_open: *relation == Relation::Greater,
                        ..Range::ALL
                    },
                    Relation::Equal if against.low == against.high => against,
                    Relation::Equal | Relation::NotEqual => return None,
                };
                // Of a bound that is no fixed figure, nothing short is true.
                let fixed = against.low == against.high;
                let permits = scale.permitted(asked).filter(|_| fixed)?;
                Some(format!("{lies}, and the check permits {permits}"))
            }
            CheckRule::Logic { logic, .. } => self.contradiction(cx, *logic, passes),
        }
    }

    /// "`rest` lies between 0 and 18 V (plausible)", "a resistance is never below 0 ohm"
    fn lies(&self, scale: &Scale<'_>, id: NumberId, label: &str) -> Option<String> {
        let words = scale.lies(self.get(id))?;
        let (kind, plausible) = match self.quantity(id) {
            Some((kind, plausible, _)) => (Some(kind), plausible),
            None => (None, false),
        };
        let floor =
            kind.map(|kind| scale.cx.catalogue.kind(kind)).filter(|def| def.floor == Floor::Zero);
        Some(match floor {
            _ if plausible => format!("`{label}` {words} (plausible)"),
            Some(def) => format!("{} {words}", article(&def.words)),
            None => format!("`{label}` {words}"),
        })
    }

    /// The kind of a reading, whether it has a plausible band, and what it is called.
    fn quantity(&self, id: NumberId) -> Option<(Kind, bool, &str)> {
        let NumberNode::Slot(slot) = self.parts.numbers.get(id.0 as usize)? else { return None };
        let slot = self.parts.slots.get(slot.0 as usize)?;
        match &slot.kind {
            SlotKind::Quantity { kind, plausible, .. } => {
                Some((*kind, plausible.is_some(), &slot.label))
            }
            SlotKind::Words(_) => None,
        }
    }

    /// "`rest` is never 15 V and more and 13 V and less at once"
    fn contradiction(&self, cx: &Context<'_>, logic: LogicId, passes: bool) -> Option<String> {
        let members = match (self.parts.logic.get(logic.0 as usize)?, passes) {
            (LogicNode::All(members), false) | (LogicNode::Any(members), true) => members,
            _ => return None,
        };
        let mut flat = Vec::new();
        self.flatten(members, !passes, &mut flat);
        let own = |number: NumberId| flat.iter().filter(move |(_, other, _)| *other == number);
        for (_, number, _) in &flat {
            let together = own(*number).filter_map(|(relation, _, value)| {
                super::allowed(if passes { inverse(*relation) } else { *relation }, *value)
            });
            let range = together.reduce(Range::intersection)?;
            let Some((kind, _, label)) = self.quantity(*number).filter(|_| range.is_empty()) else {
                continue;
            };
            let symbol = usual_units(&cx.catalogue, kind).into_iter().next();
            let unit = symbol.and_then(|symbol| cx.catalogue.unit(&symbol).ok());
            let unit = unit.unwrap_or_else(|| cx.catalogue.coherent_unit(kind));
            let scale = Scale { cx, ty: Ty::Kind(kind), unit: &unit };
            let parts: Vec<String> = own(*number)
                .map(|(relation, _, value)| {
                    format!("{} {}", relation_words(*relation), scale.text(*value))
                })
                .collect();
            return Some(match passes {
                true => format!("`{label}` is always {}", parts.join(" or ")),
                false => format!("`{label}` cannot be {} at once", parts.join(" and ")),
            });
        }
        None
    }
}

const fn relation_words(relation: Relation) -> &'static str {
    match relation {
        Relation::Less => "below",
        Relation::LessOrEqual => "at most",
        Relation::Greater => "above",
        Relation::GreaterOrEqual => "at least",
        Relation::Equal => "exactly",
        Relation::NotEqual => "other than",
    }
}
