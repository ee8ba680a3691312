//! Why a check was not judged, or was judged by no quantity: the sentences of the other reasons.

use truing_engine::{Because, Finding, NoNumber, Slip, Value};
use truing_model::{
    Check, CheckId, CheckRule, LimitId, LogicId, LogicNode, Outcome, PropertyId, SlotId, SlotKind,
};

use crate::layout::listed;
use crate::reading_text;
use crate::teller::Teller;

impl Teller<'_> {
    pub(crate) fn not_judged(&self, check: &Check, finding: &Finding) -> String {
        match &finding.reason.because {
            Because::Precondition { unmet, checks, missing, properties } => {
                self.precondition(check, *unmet, checks, missing, properties)
            }
            Because::Applicability { checks, missing } => {
                let parts = self.asked(check.applies, checks, missing, &[]);
                format!("whether this machine has the part is not known: {}", parts.join("; "))
            }
            Because::Condition { limit, condition, unmet, value, missing } => {
                self.condition(*limit, *condition, *unmet, value.as_ref(), missing)
            }
            Because::StateOther { slot, wanted, taken } => {
                let name = |id| self.state(id).map_or("", |state| state.name.as_str());
                let slot = self.slot_label(*slot);
                format!(
                    "{slot} was taken in the state {}, and is judged only in the state {}",
                    name(*taken),
                    name(*wanted)
                )
            }
            Because::Implausible { slot, slip } => self.implausible(*slot, *slip),
            Because::OutsideCurve { at, first, last, .. } => {
                self.outside_curve(check, at.as_ref(), *first, *last)
            }
            Because::Overload { slot, range } => self.overload(*slot, range.is_some()),
            Because::Unfit { slot, unfit } => self.unfit(*slot, *unfit),
            Because::Missing { slots } => self.missing_words(slots),
            Because::NotSpecified => {
                "the maker gives no limit here: a reading is recorded, not judged".to_owned()
            }
            Because::NotThisVariant => "this is not for a machine like this one".to_owned(),
            Because::PropertyUnknown { property } => {
                let name = self.property(*property).map_or("", |property| property.name.as_str());
                format!("it goes by {name}, and the sheet does not say what that is")
            }
            Because::NoNumber { cause } => self.no_number(check, *cause),
            Because::WordSeen { slot, word } => self.word_seen(check, finding, *slot, *word),
            Because::Rule { holds, checks } => self.rule(check, *holds, checks),
            _ => String::new(),
        }
    }

    /// "needs battery_charged to pass, and it is outside low"
    fn precondition(
        &self,
        check: &Check,
        unmet: bool,
        checks: &[CheckId],
        missing: &[SlotId],
        properties: &[PropertyId],
    ) -> String {
        let mut parts = self.asked(check.when, checks, missing, properties);
        if let (true, true, Some(when)) = (parts.is_empty(), unmet, check.when) {
            self.unmet(when, &mut parts);
        }
        match (parts.is_empty(), unmet) {
            (true, true) => "what it needs first does not hold".to_owned(),
            (true, false) => "whether what it needs first holds is not known".to_owned(),
            (false, _) => parts.join("; "),
        }
    }

    /// What a condition asks about and did not get.
    fn asked(
        &self,
        condition: Option<LogicId>,
        checks: &[CheckId],
        missing: &[SlotId],
        properties: &[PropertyId],
    ) -> Vec<String> {
        let mut parts: Vec<String> = checks
            .iter()
            .filter_map(|id| {
                let label = &self.check(*id)?.label;
                let came = self.finding(*id).map_or(Outcome::NotTaken, |f| f.outcome);
                let wanted = if self.asks_for_failure(condition, *id) { "fail" } else { "pass" };
                Some(format!("needs {label} to {wanted}, and it is {}", came.words()))
            })
            .collect();
        if !missing.is_empty() {
            let named: Vec<String> =
                missing.iter().map(|slot| self.slot_label(*slot).to_owned()).collect();
            let verb = if missing.len() == 1 { "was" } else { "were" };
            parts.push(format!("needs {}, which {verb} not taken", listed(&named)));
        }
        if !properties.is_empty() {
            let named: Vec<String> =
                properties.iter().filter_map(|id| Some(self.property(*id)?.name.clone())).collect();
            parts.push(format!("needs to know {}, which the sheet does not say", listed(&named)));
        }
        parts
    }

    /// Whether a condition asks that a check fails (and nowhere that it passes).
    fn asks_for_failure(&self, condition: Option<LogicId>, check: CheckId) -> bool {
        let mut todo: Vec<LogicId> = condition.into_iter().collect();
        let mut fails = false;
        // INVARIANT: children stand before parents, so this ends.
        while let Some(id) = todo.pop() {
            match self.spec.logic.get(id.0 as usize) {
                Some(LogicNode::Passes(asked)) if *asked == check => return false,
                Some(LogicNode::Fails(asked)) if *asked == check => fails = true,
                Some(LogicNode::Not(inner)) => todo.push(*inner),
                Some(LogicNode::All(parts) | LogicNode::Any(parts)) => todo.extend(parts),
                _ => {}
            }
        }
        fails
    }

    /// "engine_speed is 4500 rpm; the limit holds at 5000 ± 200 rpm"
    fn condition(
        &self,
        limit: LimitId,
        place: usize,
        unmet: bool,
        value: Option<&Value>,
        missing: &[SlotId],
    ) -> String {
        let Some(condition) = self.limit(limit).and_then(|limit| limit.conditions.get(place))
        else {
            return "the limit does not hold under these conditions".to_owned();
        };
        let label = &condition.subject_label;
        let printed = condition.printed.trim_start_matches("at ");
        let printed = printed.strip_prefix(label.as_str()).unwrap_or(printed).trim();
        if !missing.is_empty() {
            return format!(
                "the limit holds at {label} {printed}, and {}",
                self.missing_words(missing)
            );
        }
        let Some(known) = value.zip(self.scale_of_number(condition.subject)) else {
            return format!("the limit holds at {label} {printed}, and that is not known");
        };
        let (value, scale) = known;
        let shown = self
            .direct(condition.subject)
            .and_then(|slot| reading_text::as_subject(self.sheet.get(slot)?))
            .unwrap_or_else(|| scale.known(value, self.by_digits(&[], value)));
        let but = if unmet { "" } else { ", which leaves open whether it holds" };
        format!("{label} is {shown}; the limit holds at {printed}{but}")
    }

    fn implausible(&self, slot: SlotId, slip: Option<Slip>) -> String {
        let shown = self.sheet.get(slot).and_then(reading_text::as_subject);
        let shown = shown.unwrap_or_else(|| "the reading".to_owned());
        let band = match self.slot(slot).map(|slot| &slot.kind) {
            Some(SlotKind::Quantity { plausible_printed: Some(printed), .. }) => {
                format!(" ({printed})")
            }
            _ => String::new(),
        };
        let label = self.slot_label(slot);
        let hint = match slip {
            None => "take it again before doubting the machine",
            Some(Slip::Sign) => "were the leads the wrong way round?",
            Some(Slip::ThousandTimesTooMuch) => {
                "it would be plausible a thousand times smaller: look at the unit on the display"
            }
            Some(Slip::ThousandTimesTooLittle) => {
                "it would be plausible a thousand times greater: look at the unit on the display"
            }
        };
        format!("{label}: {shown} is not plausible{band}: {hint}")
    }

    fn outside_curve(&self, check: &Check, at: Option<&Value>, first: f64, last: f64) -> String {
        let CheckRule::Within { at: Some(number), .. } = &check.rule else {
            return "the limit is not given there".to_owned();
        };
        let Some(scale) = self.scale_of_number(*number) else {
            return "the limit is not given there".to_owned();
        };
        let label = self.number_label(*number);
        let shown = self
            .direct(*number)
            .and_then(|slot| reading_text::as_subject(self.sheet.get(slot)?))
            .or_else(|| Some(scale.known(at?, self.by_digits(&[], at?))))
            .unwrap_or_else(|| "not known".to_owned());
        let (first, last) = (scale.point(first), scale.point(last));
        format!("{label} is {shown}; the limit is given from {first} to {last}")
    }

    fn number_label(&self, number: truing_model::NumberId) -> String {
        if let Some(slot) = self.direct(number) {
            return self.slot_label(slot).to_owned();
        }
        let derived = self.spec.derived.iter().find(|derived| derived.number == number);
        derived.map_or_else(|| "the place on the curve".to_owned(), |d| d.label.clone())
    }

    /// "OL on the 600 ohm range only says more than 600 ohm: change the range"
    fn overload(&self, slot: SlotId, range_known: bool) -> String {
        let reading = self.sheet.get(slot);
        let label = self.slot_label(slot);
        match reading {
            Some(truing_model::Reading::Overload { range: Some(range) }) => {
                let range = &range.shown;
                format!("OL on the {range} range only says more than {range}: change the range")
            }
            _ if range_known => {
                format!("{label}: OL on this range decides nothing: change the range")
            }
            _ => format!(
                "{label}: OL says only that the range was too small: give the range in use, or take \
                 it again on a greater one"
            ),
        }
    }

    fn no_number(&self, check: &Check, cause: NoNumber) -> String {
        let label = crate::reason_text::subject_label(check);
        let why = match cause {
            NoNumber::DivisionByZero => "it divides by what is or may be zero",
            NoNumber::RootOfNegative => "it takes the root of what is or may be negative",
            NoNumber::LogarithmOfNothing => {
                "it takes the logarithm of what is or may be zero or less"
            }
            NoNumber::TooLarge => "it is too large a number",
            NoNumber::OutsideLaw => "it takes a law of the trade where it does not reach",
            NoNumber::NoSingleValue => "its curve gives no single value there",
        };
        format!("{label} cannot be worked out from these readings: {why}")
    }

    /// "connector is burnt; in order it is clean"
    fn word_seen(&self, check: &Check, finding: &Finding, slot: SlotId, word: u16) -> String {
        let seen = format!("{} is {}", self.slot_label(slot), self.word(slot, word));
        match &check.rule {
            CheckRule::Logic { label, .. } if !finding.outcome.passes() && *label != seen => {
                format!("{seen}; the rule is: {label}")
            }
            _ => seen,
        }
    }

    fn rule(&self, check: &Check, holds: Option<bool>, checks: &[CheckId]) -> String {
        let label = crate::reason_text::subject_label(check);
        let told: Vec<String> = checks
            .iter()
            .filter_map(|id| {
                let came = self.finding(*id)?.outcome.words();
                Some(format!("{} is {came}", self.check(*id)?.label))
            })
            .collect();
        let because = if told.is_empty() { String::new() } else { format!(": {}", listed(&told)) };
        match holds {
            Some(true) => format!("the rule holds: {label}"),
            Some(false) => format!("the rule does not hold ({label}){because}"),
            None => format!("whether the rule holds is not known ({label}){because}"),
        }
    }
}
