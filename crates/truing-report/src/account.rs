//! What there is to tell of one check, in words: the border between the engine's data and text.

use truing_engine::{Because, Finding};
use truing_model::{Check, CheckId, Outcome};

use crate::limit_text::rule_name;
use crate::reading_text::{as_subject, as_written};
use crate::reason_text::subject_label;
use crate::teller::Teller;

/// What there is to tell of one check.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Account {
    /// The check.
    pub check: CheckId,
    /// `insulated[V]`
    pub label: String,
    /// What holds when the machine is in order.
    pub title: String,
    /// What came.
    pub outcome: Outcome,
    /// What was read, as shown: `("to_ground[V]", "0.3 ohm")`.
    pub readings: Vec<(String, String)>,
    /// What the sheet says beside the readings: a state of its own, a note.
    pub remarks: Vec<String>,
    /// What was worked out from it, to the digits that it deserves: `("imbalance", "12 %")`.
    pub derived: Vec<(String, String)>,
    /// What was judged, in short: the value, the reading or the word; nothing where it was not.
    pub judged: String,
    /// The limit as printed.
    pub limit: Option<String>,
    /// The limit as printed, without the conditions that it holds under.
    pub band: Option<String>,
    /// Where it was printed.
    pub source: Option<String>,
    /// The decision rule, where one was applied.
    pub rule: Option<String>,
    /// Why the outcome is what it is, in one sentence.
    pub why: String,
    /// The instruments at hand that would have decided it.
    pub settled_by: Vec<String>,
    /// What the spec advises, where the check fails.
    pub advice: Vec<String>,
    /// Whether nothing at all was said of what it reads, as opposed to a word on why not.
    pub untouched: bool,
}

impl Teller<'_> {
    /// What there is to tell of each check that is asked for, in the order of the spec.
    pub(crate) fn accounts(&self, only: Option<&[CheckId]>) -> Vec<Account> {
        self.findings
            .findings
            .iter()
            .filter(|finding| only.is_none_or(|only| only.contains(&finding.check)))
            .filter_map(|finding| self.account(finding))
            .collect()
    }

    fn account(&self, finding: &Finding) -> Option<Account> {
        let check = self.check(finding.check)?;
        let judged = finding.reason.limit.is_some();
        Some(Account {
            check: finding.check,
            label: check.label.clone(),
            title: check.title.clone(),
            outcome: finding.outcome,
            readings: self.readings_of(check),
            remarks: self.remarks_on(check),
            derived: self.worked_out(check, finding),
            judged: self.judged_words(check, finding),
            limit: self.limit_text(check, finding),
            band: self.limit_without_conditions(check, finding),
            source: self.source_text(check),
            rule: judged.then(|| rule_name(finding.reason.rule)),
            why: self.why(finding),
            settled_by: Vec::new(),
            advice: if finding.outcome.fails() { check.advise.clone() } else { Vec::new() },
            untouched: self.untouched(check, finding),
        })
    }

    /// Every reading of a check that the sheet says something of, as written.
    fn readings_of(&self, check: &Check) -> Vec<(String, String)> {
        let told = check.slots.iter().filter_map(|slot| {
            let reading = self.sheet.get(*slot)?;
            let text = as_written(reading, |word| self.word(*slot, word).to_owned());
            Some((self.slot_label(*slot).to_owned(), text))
        });
        told.collect()
    }

    /// The state that a reading was taken in, where the sheet says it, and its note.
    fn remarks_on(&self, check: &Check) -> Vec<String> {
        let mut told = Vec::new();
        for slot in &check.slots {
            let label = self.slot_label(*slot);
            if let Some(state) = self.sheet.state(*slot).and_then(|state| self.state(state)) {
                told.push(format!("{label} was taken in the state {}", state.name));
            }
            if let Some(note) = self.sheet.noted(*slot) {
                told.push(format!("{label}: {note}"));
            }
        }
        told
    }

    /// What was worked out and judged; nothing where a reading was judged as it was.
    fn worked_out(&self, check: &Check, finding: &Finding) -> Vec<(String, String)> {
        let reading = self
            .subject(check)
            .and_then(|subject| self.direct(subject))
            .and_then(|slot| self.sheet.get(slot));
        if reading.is_some_and(|reading| as_subject(reading).is_some()) {
            return Vec::new();
        }
        match (self.scale_of_check(check), &finding.reason.value) {
            (Some(scale), Some(_)) => {
                let text = self.value_words(check, &scale, finding);
                vec![(subject_label(check).to_owned(), text)]
            }
            _ => Vec::new(),
        }
    }

    /// What was judged, or recorded where there is no limit, without its conditions.
    fn judged_words(&self, check: &Check, finding: &Finding) -> String {
        let recorded = matches!(finding.reason.because, Because::NotSpecified);
        if !recorded
            && matches!(
                finding.outcome,
                Outcome::Blocked | Outcome::NotTaken | Outcome::NotApplicable
            )
        {
            return String::new();
        }
        let direct = self.subject(check).and_then(|subject| self.direct(subject));
        if let Some(reading) = direct.and_then(|slot| self.sheet.get(slot)) {
            return as_written(reading, |_| String::new());
        }
        if let Some((_, text)) = self.worked_out(check, finding).into_iter().next() {
            return text;
        }
        if self.subject(check).is_some() {
            return self.recorded(check).unwrap_or_default();
        }
        let told: Vec<String> = self.readings_of(check).into_iter().map(|(_, text)| text).collect();
        told.join(", ")
    }

    /// A derived quantity that is not judged, for want of a limit.
    fn recorded(&self, check: &Check) -> Option<String> {
        let number = self.subject(check)?;
        let place = self.derived_at(number)?;
        let value = self.findings.derived.get(place)?.value.as_ref()?;
        let scale = self.scale_of_number(number)?;
        Some(scale.known(value, self.fineness_of_derived(place, value)))
    }

    /// Whether nothing more is to be told than that readings are missing: the sheet does not say
    /// why, and nothing else stops the check.
    fn untouched(&self, check: &Check, finding: &Finding) -> bool {
        match &finding.reason.because {
            Because::Missing { slots } => slots.iter().all(|slot| self.unsaid(*slot)),
            Because::Precondition { unmet: false, properties, .. } if properties.is_empty() => {
                check.slots.iter().all(|slot| self.unsaid(*slot))
            }
            _ => false,
        }
    }
}
