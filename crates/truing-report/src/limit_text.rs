//! A limit as printed, where it was printed, and the rule by which it was applied.

use truing_engine::{AppliedLimit, Finding};
use truing_model::{Band, Check, CheckRule, Cite, Curve, DecideRule, Limit, LimitRule, Relation};

use crate::teller::Teller;

impl Teller<'_> {
    /// The limit that a check was held against, as printed; of a curve and of variants the part
    /// that applied.
    pub(crate) fn limit_text(&self, check: &Check, finding: &Finding) -> Option<String> {
        let applied = finding.reason.limit.as_ref();
        match &check.rule {
            CheckRule::Within { limit, at, .. } => {
                let limit = self.limit(*limit)?;
                let mut text = match (applied, &limit.rule) {
                    (Some(AppliedLimit { at: Some(at_value), band, .. }), _) => {
                        let scale = at.and_then(|at| self.scale_of_number(at));
                        let point = scale.map(|scale| format!(" at {}", scale.point(*at_value)));
                        format!("{}{}", self.band_text(check, band), point.unwrap_or_default())
                    }
                    (Some(AppliedLimit { variant: Some(arm), .. }), LimitRule::Variants(arms)) => {
                        arms.get(*arm).map_or(&limit.printed, |arm| &arm.printed).clone()
                    }
                    // Which of its points is meant is not known.
                    (_, LimitRule::Curve(curve)) => self.curve_words(curve),
                    _ => limit.printed.clone(),
                };
                if let Some(typical) = &limit.typical {
                    text.push_str(&format!(", typically {typical}"));
                }
                Some(text)
            }
            CheckRule::Compare { relation, against_label, .. } => {
                Some(format!("{}{against_label}", relation_word(*relation)))
            }
            CheckRule::Logic { label, .. } => Some(label.clone()),
        }
    }

    fn curve_words(&self, curve: &Curve) -> String {
        let by = &self.catalogue.kind(curve.by).words;
        format!("by {by}, {} points", curve.points.len())
    }

    /// The limit as printed, without the conditions that it holds under.
    pub(crate) fn limit_without_conditions(
        &self,
        check: &Check,
        finding: &Finding,
    ) -> Option<String> {
        let text = self.limit_text(check, finding)?;
        let conditional = self
            .limit_of(check)
            .is_some_and(|limit| !limit.conditions.is_empty() || !limit.reference.is_empty());
        match text.split_once(" at ") {
            Some((band, _)) if conditional => Some(band.to_owned()),
            _ => Some(text),
        }
    }

    /// What a value was held against, as a sentence names it: the end that matters and no more.
    pub(crate) fn limit_in_sentence(&self, check: &Check, finding: &Finding) -> String {
        let applied = finding.reason.limit.as_ref();
        match (applied, &check.rule) {
            (Some(applied), CheckRule::Within { .. }) if applied.band.service.is_some() => {
                let service = applied.band.service.clone().unwrap_or_default();
                let scale = self.scale_of_limit(check);
                let text = scale.map_or(String::new(), |scale| scale.interval(&service));
                format!("the service limit, {text}")
            }
            (Some(applied), CheckRule::Compare { relation, against_label, .. }) => {
                let word = relation_word(*relation);
                let held = self.band_text(check, &applied.band);
                let written = format!("{word}{against_label}");
                // A figure needs no second telling; `2 * gap` does.
                let figure = against_label.chars().next().is_some_and(|c| c.is_ascii_digit());
                if figure || *relation == Relation::Equal || *relation == Relation::NotEqual {
                    written
                } else {
                    format!("{written} ({held})")
                }
            }
            _ => self.limit_text(check, finding).unwrap_or_else(|| "the limit".to_owned()),
        }
    }

    /// A band as a limit is written.
    pub(crate) fn band_text(&self, check: &Check, band: &Band) -> String {
        let Some(scale) = self.scale_of_limit(check) else { return String::new() };
        match &band.service {
            None => scale.interval(&band.standard),
            Some(service) => format!(
                "standard {}, service {}",
                scale.interval(&band.standard),
                scale.interval(service)
            ),
        }
    }

    /// Where the limit of a check was printed; where it has none of its own, where the check was.
    pub(crate) fn source_text(&self, check: &Check) -> Option<String> {
        let cites = self.cites(check);
        let told: Vec<String> = cites.iter().filter_map(|cite| self.cite_text(cite)).collect();
        (!told.is_empty()).then(|| told.join("; "))
    }

    /// The places where the limit of a check was printed.
    pub(crate) fn cites<'c>(&'c self, check: &'c Check) -> &'c [Cite] {
        match self.limit_of(check) {
            Some(limit) if !limit.cites.is_empty() => &limit.cites,
            _ => &check.cites,
        }
    }

    /// The limit that a check names.
    pub(crate) fn limit_of(&self, check: &Check) -> Option<&Limit> {
        match &check.rule {
            CheckRule::Within { limit, .. } => self.limit(*limit),
            _ => None,
        }
    }

    fn cite_text(&self, cite: &Cite) -> Option<String> {
        let title = |source: truing_model::SourceId| {
            self.spec.sources.get(source.0 as usize).map(|source| source.title.as_str())
        };
        let mut text = title(cite.source)?.to_owned();
        if let Some(place) = &cite.place {
            text.push_str(&format!(", {place}"));
        }
        if let Some(mend) = cite.mend.and_then(title) {
            text.push_str(&format!(", corrected by {mend}"));
        }
        if let Some(was) = &cite.was {
            text.push_str(&format!(" (was {was})"));
        }
        Some(text)
    }
}

/// A decision rule as a sheet writes it.
pub(crate) fn rule_name(rule: DecideRule) -> String {
    match rule {
        DecideRule::Simple => "simple".to_owned(),
        DecideRule::Guarded { k } => format!("guarded {k}"),
        DecideRule::At { probability } => format!("at {}", percent(probability)),
    }
}

/// A decision rule, with what it means.
pub(crate) fn rule_text(rule: DecideRule) -> String {
    match rule {
        DecideRule::Simple => "simple: the reading alone decides".to_owned(),
        DecideRule::Guarded { k } => {
            format!("guarded {k}: decided only where {k} standard uncertainties change nothing")
        }
        DecideRule::At { probability } => {
            let percent = percent(probability);
            format!("at {percent}: decided only where it is at least {percent} sure")
        }
    }
}

/// A probability in percent, as people write it.
pub(crate) fn percent(probability: f64) -> String {
    // 99.95 % must not be shown as certainty, nor 0.02 % as nothing.
    let percent = probability * 100.0;
    let digits = if percent > 0.0 && percent < 1.0 {
        truing_units::significant_text(percent, 1)
    } else if percent > 99.0 && percent < 100.0 {
        // Rounded away from 100, which would say that nothing else is possible.
        format!("{}", (percent * 100.0).floor() / 100.0)
    } else {
        let rounded = (percent * 10.0).round() / 10.0;
        if rounded.fract() == 0.0 || percent >= 10.0 {
            format!("{:.0}", percent)
        } else {
            rounded.to_string()
        }
    };
    format!("{digits} %")
}

const fn relation_word(relation: Relation) -> &'static str {
    match relation {
        Relation::Less => "below ",
        Relation::LessOrEqual => "max ",
        Relation::Greater => "above ",
        Relation::GreaterOrEqual => "min ",
        Relation::Equal => "equal to ",
        Relation::NotEqual => "other than ",
    }
}

#[cfg(test)]
mod tests {
    use super::percent;

    #[test]
    fn a_probability_is_never_shown_as_certain_where_it_is_not() {
        assert_eq!(percent(0.95), "95 %");
        assert_eq!(percent(0.5), "50 %");
        assert_eq!(percent(0.99999), "99.99 %");
        assert_eq!(percent(0.0002), "0.02 %");
        assert_eq!(percent(1.0), "100 %");
        assert_eq!(percent(0.0), "0 %");
        assert_eq!(percent(0.047), "4.7 %");
    }
}
