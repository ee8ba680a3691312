//! The words that a walk through a procedure is told in.

use truing_engine::procedure::{Asked, AskedOf, Now, Took};
use truing_model::{LogicId, LogicNode, Procedure, SlotId, Spec, StepId, Taken};

use crate::layout::listed;

/// A spec's names for what a procedure speaks of.
#[derive(Copy, Clone)]
pub(crate) struct Names<'a> {
    pub spec: &'a Spec,
}

impl<'a> Names<'a> {
    /// `to_ground[V]`
    pub fn slot(self, id: SlotId) -> &'a str {
        self.spec.slot(id).map_or("", |slot| slot.label.as_str())
    }

    pub fn slots(self, ids: &[SlotId]) -> Vec<String> {
        ids.iter().map(|id| self.slot(*id).to_owned()).collect()
    }

    /// What a step takes: its label, its name without a member, its title, and of what sort it is.
    pub fn taken(self, taken: Taken) -> TakenNames<'a> {
        let spec = self.spec;
        let found = match taken {
            Taken::Check(id) => spec.check(id).map(|of| (&of.label, &of.name, of.title.as_str())),
            Taken::Slot(id) => spec.slot(id).map(|of| (&of.label, &of.name, of.title.as_str())),
            Taken::Derived(id) => {
                let title = |of: &'a truing_model::Derived| of.title.as_deref().unwrap_or("");
                spec.derived_at(id).map(|of| (&of.label, &of.name, title(of)))
            }
        };
        let sort = match taken {
            Taken::Check(_) => "check",
            Taken::Slot(_) => "reading",
            Taken::Derived(_) => "derived",
        };
        let (label, name, title) = found.map_or(("", "", ""), |(l, n, t)| (l, n, t));
        TakenNames { label, name, title, sort }
    }

    /// The condition of a step, as written.
    pub fn condition(self, procedure: &'a Procedure, step: StepId) -> &'a str {
        match procedure.step(step) {
            Some(truing_model::Step::If { label, .. }) => label,
            _ => "",
        }
    }

    /// "charges_high is outside low"; of a rule that no check has what the condition says.
    pub fn asked(self, asked: &Asked, condition: &str) -> String {
        match asked.of {
            AskedOf::Passes(check) | AskedOf::Fails(check) => {
                let label = self.spec.check(check).map_or("", |check| check.label.as_str());
                format!("{label} is {}", asked.outcome.words())
            }
            AskedOf::Rule(rule) => {
                let how = match asked.holds {
                    Some(true) => "it is so that",
                    Some(false) => "it is not so that",
                    None => "it is not known whether",
                };
                format!("{how} {}", self.rule(rule, condition))
            }
        }
    }

    /// What a rule says that no check has: "connector is clean or green".
    fn rule(self, rule: LogicId, condition: &str) -> String {
        match self.spec.logic.get(rule.0 as usize) {
            Some(LogicNode::Is { slot, words }) => {
                let Some(of) = self.spec.slot(*slot) else { return String::new() };
                let truing_model::SlotKind::Words(all) = &of.kind else { return String::new() };
                let named: Vec<String> =
                    words.iter().filter_map(|at| all.get(usize::from(*at)).cloned()).collect();
                format!("{} is {}", of.label, listed(&named).replace(" and ", " or "))
            }
            Some(LogicNode::PropertyIs { property, words }) => {
                let Some(of) = self.spec.property(*property) else { return String::new() };
                let truing_model::Domain::Words(all) = &of.domain else { return String::new() };
                let named: Vec<String> =
                    words.iter().filter_map(|at| all.get(usize::from(*at)).cloned()).collect();
                format!("{} is {}", of.name, listed(&named).replace(" and ", " or "))
            }
            _ => condition.to_owned(),
        }
    }

    /// Things with how they stand, members of one name that stand alike put together: "insulated:
    /// within", "upper_conducts[V]: outside high".
    pub fn took(self, took: &[Took]) -> Vec<(String, &'static str)> {
        let words: Vec<(TakenNames<'a>, &'static str)> =
            took.iter().map(|of| (self.taken(of.taken), now_words(of.now))).collect();
        let mut told: Vec<(String, &'static str)> = Vec::new();
        let mut done: Vec<&str> = Vec::new();
        for (names, how) in &words {
            if done.contains(&names.name) {
                continue;
            }
            let same: Vec<_> = words.iter().filter(|(of, _)| of.name == names.name).collect();
            if same.iter().all(|(_, other)| other == how) {
                told.push((one_name(&same), how));
                done.push(names.name);
            } else {
                told.push((names.label.to_owned(), how));
            }
        }
        told
    }
}

/// The name of several members, or the label of one.
fn one_name(same: &[&(TakenNames<'_>, &'static str)]) -> String {
    match same {
        [(only, _)] => only.label.to_owned(),
        [(first, _), ..] => first.name.to_owned(),
        [] => String::new(),
    }
}

/// What something is called that a step takes.
#[derive(Copy, Clone)]
pub(crate) struct TakenNames<'a> {
    pub label: &'a str,
    pub name: &'a str,
    pub title: &'a str,
    pub sort: &'static str,
}

/// How something stands that a step takes.
pub(crate) const fn now_words(now: Now) -> &'static str {
    match now {
        Now::Came { outcome, .. } => outcome.words(),
        Now::Read => "read",
        Now::SetDown => "set down as not taken",
        Now::Barred => "not made, since what it needs first does not hold",
        Now::Gone => "not taken while the machine stood as it came in",
        Now::Open => "not taken yet",
    }
}
