//! The words that the ranking of faults is told in.

use truing_engine::suspects::{Points, Remedy, Unused, WhyUnused, counted_with};
use truing_model::{CheckBand, CheckId, FaultId, FixId, Spec, StateId};

use crate::layout::listed;

/// A spec's names for what a ranking speaks of.
#[derive(Copy, Clone)]
pub(crate) struct Words<'a> {
    pub spec: &'a Spec,
}

impl Words<'_> {
    pub fn check(&self, id: CheckId) -> String {
        self.spec.check(id).map_or(String::new(), |check| check.label.clone())
    }

    /// A check of a ranking: a family that counts as one by its own name.
    pub fn counted(&self, id: CheckId) -> String {
        match counted_with(self.spec, id).as_slice() {
            [] | [_] => self.check(id),
            _ => self.spec.check(id).map_or(String::new(), |check| check.name.clone()),
        }
    }

    /// What holds when a check of a ranking is in order: "Winding U is clear of ground, likewise V
    /// and W".
    pub fn title(&self, id: CheckId) -> String {
        let members = counted_with(self.spec, id);
        let others = members.iter().filter(|other| **other != id);
        let others: Vec<String> =
            others.filter_map(|id| self.spec.check(*id)?.member.clone()).collect();
        let title = self.spec.check(id).map_or("", |check| check.title.as_str());
        if others.is_empty() {
            title.to_owned()
        } else {
            format!("{title}; likewise {}", listed(&others))
        }
    }

    pub fn checks(&self, ids: &[CheckId]) -> String {
        listed(&ids.iter().map(|id| self.counted(*id)).collect::<Vec<_>>())
    }

    pub fn state(&self, id: StateId) -> String {
        self.spec.state(id).map_or(String::new(), |state| state.title.clone())
    }

    /// The names of checks, each once however many members are meant.
    pub fn names(&self, ids: &[CheckId]) -> String {
        let mut names: Vec<String> = Vec::new();
        for check in ids.iter().filter_map(|id| self.spec.check(*id)) {
            if !names.contains(&check.name) {
                names.push(check.name.clone());
            }
        }
        names.join(", ")
    }

    pub fn fault(&self, id: FaultId) -> String {
        self.spec.fault(id).map_or(String::new(), |fault| {
            if fault.title.is_empty() { fault.label.clone() } else { fault.title.clone() }
        })
    }

    pub fn fix_name(&self, id: FixId) -> String {
        self.spec.fix(id).map_or(String::new(), |fix| fix.name.clone())
    }

    /// The parts of a fix, or that it needs none.
    fn parts(&self, id: FixId) -> String {
        let Some(fix) = self.spec.fix(id) else { return String::new() };
        let parts: Vec<String> =
            fix.parts.iter().filter_map(|part| Some(self.spec.part(*part)?.name.clone())).collect();
        if parts.is_empty() { "no part".to_owned() } else { format!("part: {}", listed(&parts)) }
    }

    pub fn needs_no_part(&self, remedy: Remedy) -> bool {
        let Remedy::Fix(fix) = remedy else { return remedy == Remedy::Nothing };
        self.spec.fix(fix).is_some_and(|fix| fix.parts.is_empty())
    }

    /// What is to be done, with what has to be ordered.
    pub fn remedy(&self, remedy: Remedy) -> String {
        match remedy {
            Remedy::Nothing => "nothing is wrong".to_owned(),
            Remedy::Fix(id) => {
                let title = self.spec.fix(id).map_or("", |fix| fix.title.as_str());
                format!("{title} ({})", self.parts(id))
            }
            Remedy::Unmended(fault) => {
                format!("{}, for which the spec names no fix", self.fault(fault))
            }
            Remedy::NotListed => "a fault that is not listed".to_owned(),
        }
    }

    /// A cure by its name.
    pub fn short(&self, remedy: Remedy) -> String {
        match remedy {
            Remedy::Nothing => "nothing wrong".to_owned(),
            Remedy::Fix(fix) => self.fix_name(fix),
            Remedy::Unmended(fault) => self.fault(fault),
            Remedy::NotListed => "a fault that is not listed".to_owned(),
        }
    }

    pub fn points(&self, points: Points) -> String {
        match points {
            Points::None => "no fault".to_owned(),
            Points::Fault(fault) => self.fault(fault),
            Points::NotListed => "a fault that is not listed".to_owned(),
        }
    }

    pub const fn band(&self, band: CheckBand) -> &'static str {
        match band {
            CheckBand::Ok => "in order",
            CheckBand::Worn => "worn",
            CheckBand::High => "outside high",
            CheckBand::Low => "outside low",
            CheckBand::Fail => "outside",
        }
    }

    /// What was tried by itself is named by itself.
    pub fn unused_check(&self, unused: &Unused) -> String {
        match unused.why {
            WhyUnused::Blocked | WhyUnused::Undecided => self.check(unused.check),
            _ => self.counted(unused.check),
        }
    }

    pub fn unused(&self, unused: &Unused) -> String {
        let check = self.unused_check(unused);
        match unused.why {
            WhyUnused::Blocked => format!("{check}: it was tried, and not judged."),
            WhyUnused::Undecided => {
                format!("{check}: what is known of its value leaves every outcome open.")
            }
            WhyUnused::Needs { check: first, band } => format!(
                "{check}: it needs {} {}, and that was not measured.",
                self.counted(first),
                self.band(band)
            ),
            WhyUnused::NeedsOther { check: first, band, found } if band == found => format!(
                "{check}: it needs {} {}, and that is not certain enough.",
                self.counted(first),
                self.band(band)
            ),
            WhyUnused::NeedsOther { check: first, band, found } => format!(
                "{check}: it needs {} {}, and that was {}.",
                self.counted(first),
                self.band(band),
                self.band(found)
            ),
            WhyUnused::NeedsUnused { check: first } => {
                format!(
                    "{check}: it needs {}, which could not be used itself.",
                    self.counted(first)
                )
            }
            WhyUnused::OtherCondition { shows } => format!(
                "{check}: it is in order, and the complaint does not show there. It shows in this \
                 state: {}.",
                self.state(shows)
            ),
        }
    }
}

/// A probability as people say it; never a certain nought or one.
#[must_use]
pub fn chance(p: f64) -> String {
    let percent = (p * 100.0).round();
    if percent < 1.0 {
        "below 1 %".to_owned()
    } else if percent > 99.0 {
        "above 99 %".to_owned()
    } else {
        format!("{percent} %")
    }
}

/// "3 min", "2 h 10 min"
#[must_use]
pub fn minutes(minutes: f64) -> String {
    let whole = minutes.max(1.0).round();
    let hours = (whole / 60.0).floor();
    if hours < 1.0 {
        return format!("{whole} min");
    }
    match whole - hours * 60.0 {
        rest if rest >= 1.0 => format!("{hours} h {rest} min"),
        _ => format!("{hours} h"),
    }
}

#[cfg(test)]
mod tests {
    use super::{chance, minutes};

    #[test]
    fn chances_are_never_certain() {
        assert_eq!(chance(0.0), "below 1 %");
        assert_eq!(chance(1.0), "above 99 %");
        assert_eq!(chance(0.961), "96 %");
    }

    #[test]
    fn times_are_told_in_minutes_and_hours() {
        assert_eq!(minutes(0.1), "1 min");
        assert_eq!(minutes(41.6), "42 min");
        assert_eq!(minutes(130.0), "2 h 10 min");
        assert_eq!(minutes(480.0), "8 h");
    }
}
