//! Why a check came out as it did, in one plain sentence.

use truing_engine::{Because, BudgetPart, Finding, Findings, Sheet, Spanned, Value};
use truing_model::{Band, Check, CheckRule, NumberId, Reading, Reduction, SlotId, SlotKind, Spec};

use crate::layout::listed;
use crate::limit_text::percent;
use crate::reading_text;
use crate::teller::{Scale, Teller};
use crate::value_text::{Fineness, half_width};

/// Why a check came out as it did, in one plain sentence.
#[must_use]
pub fn reason_text(spec: &Spec, sheet: &Sheet, findings: &Findings, finding: &Finding) -> String {
    Teller::new(spec, sheet, findings).why(finding)
}

impl Teller<'_> {
    /// Why a check came out as it did.
    pub(crate) fn why(&self, finding: &Finding) -> String {
        let Some(check) = self.check(finding.check) else { return String::new() };
        let text = match &finding.reason.because {
            Because::Inside
            | Because::InsideServiceOnly
            | Because::Below
            | Because::Above
            | Because::Beside => self.judged(check, finding),
            Because::Spans { .. } => self.spans(check, finding),
            _ => self.not_judged(check, finding),
        };
        sentence(&text)
    }

    /// What was judged came out clearly.
    fn judged(&self, check: &Check, finding: &Finding) -> String {
        let limit = self.limit_in_sentence(check, finding);
        let predicate = match finding.reason.because {
            Because::InsideServiceOnly => {
                let standard = finding.reason.limit.as_ref().map(|applied| &applied.band.standard);
                let scale = self.scale_of_limit(check);
                let standard = standard.zip(scale).map(|(s, scale)| scale.interval(s));
                let standard = standard.unwrap_or_default();
                format!("is inside {limit}, and outside the standard one, {standard}")
            }
            // "is not above 0 A", not "is below above 0 A".
            Because::Below | Because::Above if is_open(&limit) => format!("is not {limit}"),
            Because::Below => format!("is below {limit}"),
            Because::Above => format!("is above {limit}"),
            Because::Beside if has_ends(finding) => format!("lies beside {limit}"),
            Because::Beside => format!("is not {limit}"),
            _ if limit.starts_with("equal") || limit.starts_with("other") || is_open(&limit) => {
                format!("is {limit}")
            }
            _ => format!("is within {limit}"),
        };
        format!("{}{predicate}{}", self.subject_words(check, finding), self.doubt(check, finding))
    }

    /// What is possible spans an end.
    fn spans(&self, check: &Check, finding: &Finding) -> String {
        let Because::Spans { ends, passes, probability, settles, repeats } = finding.reason.because
        else {
            return String::new();
        };
        let end = match ends {
            Spanned::Low => "the lower end of ",
            Spanned::High => "the upper end of ",
            Spanned::Both => "",
        };
        let subject = self.subject_words(check, finding);
        let limit = self.limit_text(check, finding).unwrap_or_else(|| "the limit".to_owned());
        let with = self.scale_of_check(check).zip(finding.reason.doubt.filter(|d| *d > 0.0));
        let with = with.map_or(String::new(), |(s, doubt)| {
            let by = self.by_what(finding);
            format!(", with a doubt of ± {}{by},", s.amount(doubt))
        });
        // "12.40 V, with a doubt of ± 0.05 V, lies …" and "it is 12 %, which, with …, lies …".
        let mut text = format!("{}{with} lies across {end}{limit}", subject.trim_end());
        if passes {
            text.push_str("; it passes, but whether it is worn is not known");
        }
        if let Some(probability) = probability {
            text.push_str(&format!(
                "; the probability that it conforms is {}",
                percent(probability)
            ));
        }
        if let Some((scale, settles)) = self.scale_of_check(check).zip(settles.filter(|s| *s > 0.0))
        {
            text.push_str(&format!(
                "; a doubt of at most ± {} would settle it",
                scale.amount(settles)
            ));
        }
        if let Some(repeats) = repeats {
            text.push_str(&format!(", or {repeats} repeats"));
        }
        text
    }

    fn doubt(&self, check: &Check, finding: &Finding) -> String {
        match (self.scale_of_check(check), finding.reason.doubt) {
            (Some(scale), Some(doubt)) if doubt > 0.0 => {
                format!(", also with a doubt of ± {}{}", scale.amount(doubt), self.by_what(finding))
            }
            _ => String::new(),
        }
    }

    /// Whose doubt it is: the meters', or where none is named that of the digits alone.
    fn by_what(&self, finding: &Finding) -> String {
        let meters = self.meter_words(&finding.reason.used);
        let stated = finding.reason.budget.iter().any(|line| {
            matches!(line.part, BudgetPart::Stated | BudgetPart::Correlated | BudgetPart::Repeats)
        });
        match (meters.is_empty(), stated) {
            (false, _) => format!(" ({meters})"),
            (true, true) => String::new(),
            (true, false) => " by the digits alone".to_owned(),
        }
    }

    /// What a sentence on a check is about, with a blank or ", which " behind it.
    fn subject_words(&self, check: &Check, finding: &Finding) -> String {
        let (Some(subject), Some(scale)) = (self.subject(check), self.scale_of_check(check)) else {
            return "it ".to_owned();
        };
        if let Some(reading) = self.direct(subject).and_then(|slot| self.sheet.get(slot)) {
            if let Some(words) = reading_text::as_subject(reading) {
                return format!("{words} ");
            }
            let value = self.value_words(check, &scale, finding);
            return match (reading, self.direct(subject).and_then(|slot| self.reduction(slot))) {
                (Reading::Repeats(_), Some(word)) => format!("the {word}, {value}, "),
                _ => format!("{value} "),
            };
        }
        let label = subject_label(check);
        format!("{label} is {}, which ", self.value_words(check, &scale, finding))
    }

    fn reduction(&self, slot: SlotId) -> Option<&'static str> {
        match self.slot(slot)?.kind {
            SlotKind::Quantity { reduce: Reduction::Min, .. } => Some("least"),
            SlotKind::Quantity { reduce: Reduction::Max, .. } => Some("greatest"),
            SlotKind::Quantity { reduce: Reduction::Mean, .. } => Some("mean"),
            SlotKind::Words(_) => None,
        }
    }

    pub(crate) fn value_words(&self, check: &Check, scale: &Scale, finding: &Finding) -> String {
        let Some(value) = &finding.reason.value else { return "of unknown size".to_owned() };
        let fineness = self.fineness_of_check(check, finding, value);
        let edges: Vec<f64> = finding.reason.limit.iter().flat_map(|l| ends(&l.band)).collect();
        let fineness = value.best.map_or(fineness, |best| scale.apart(best, fineness, &edges));
        scale.known(value, fineness)
    }

    /// To which digit the quantity that a check judges is shown.
    fn fineness_of_check(&self, check: &Check, finding: &Finding, value: &Value) -> Fineness {
        if let Some(doubt) = finding.reason.doubt.filter(|doubt| *doubt > 0.0) {
            return Fineness::Doubt(doubt);
        }
        let derived = self.subject(check).and_then(|number| self.derived_at(number));
        if let Some(place) = derived {
            return self.fineness_of_derived(place, value);
        }
        let doubtful = self.doubtful().of(finding.check);
        let doubt = doubtful.and_then(|doubtful| half_width(doubtful.reason.value.as_ref()?));
        doubt.map_or_else(|| self.by_digits(&finding.reason.used, value), Fineness::Doubt)
    }

    /// To which digit a derived quantity, by its place, is shown.
    pub(crate) fn fineness_of_derived(&self, place: usize, value: &Value) -> Fineness {
        let doubtful = self.doubtful().derived.get(place);
        let doubt = doubtful.and_then(|doubtful| half_width(doubtful.value.as_ref()?));
        let used = self.findings.derived.get(place).map_or(&[][..], |derived| &derived.used);
        doubt.map_or_else(|| self.by_digits(used, value), Fineness::Doubt)
    }

    /// The place of the derived quantity that a number is.
    pub(crate) fn derived_at(&self, number: NumberId) -> Option<usize> {
        self.spec.derived.iter().position(|derived| derived.number == number)
    }

    /// To how many digits a value is shown whose doubt is not known: those of the coarsest
    /// reading that it was worked out from.
    pub(crate) fn by_digits(&self, used: &[SlotId], value: &Value) -> Fineness {
        if let Some(half) = half_width(value).filter(|_| value.best.is_some()) {
            return Fineness::Doubt(half);
        }
        let coarsest = used
            .iter()
            .filter_map(|slot| reading_text::digits(self.sheet.get(*slot)?))
            .min()
            .unwrap_or(4);
        Fineness::Digits(coarsest.clamp(2, 6))
    }

    /// "engine_speed was not read", "drain was not taken (no access)".
    pub(crate) fn missing_words(&self, slots: &[SlotId]) -> String {
        let mut told = Vec::new();
        let unsaid: Vec<String> = slots
            .iter()
            .filter(|slot| self.reason_not_taken(**slot).is_none())
            .map(|slot| self.slot_label(*slot).to_owned())
            .collect();
        if !unsaid.is_empty() {
            let verb = if unsaid.len() == 1 { "was" } else { "were" };
            told.push(format!("{} {verb} not taken", listed(&unsaid)));
        }
        for slot in slots {
            if let Some(reason) = self.reason_not_taken(*slot) {
                told.push(format!("{} was not taken ({reason})", self.slot_label(*slot)));
            }
        }
        listed(&told)
    }
}

/// What a check judges, as written.
pub(crate) fn subject_label(check: &Check) -> &str {
    match &check.rule {
        CheckRule::Within { subject_label, .. } | CheckRule::Compare { subject_label, .. } => {
            subject_label
        }
        CheckRule::Logic { label, .. } => label,
    }
}

fn ends(band: &Band) -> impl Iterator<Item = f64> {
    let intervals = std::iter::once(&band.standard).chain(&band.service);
    intervals.flat_map(|interval| interval.low.iter().chain(&interval.high)).map(|edge| edge.value)
}

/// Whether a limit is written with the author's word for an end that lies outside itself.
fn is_open(limit: &str) -> bool {
    limit.starts_with("above ") || limit.starts_with("below ")
}

fn has_ends(finding: &Finding) -> bool {
    finding
        .reason
        .limit
        .as_ref()
        .is_some_and(|applied| applied.band.standard.low != applied.band.standard.high)
}

/// One sentence with its full stop. What it begins with may be a name: nothing is capitalised.
fn sentence(text: &str) -> String {
    let text = text.trim();
    if text.is_empty() || text.ends_with(['.', '!', '?']) {
        text.to_owned()
    } else {
        format!("{text}.")
    }
}
