//! The file's charging system as a network, and the pass/fail networks of its small cases.

use std::collections::BTreeMap;

use truing_diagnosis::{
    Band, Check, CheckDraft, Cure, Draft, Evidence, Fault, Hypothesis, Likelihood, Likely,
    MaxFaults, Network, Part, Push, RepairCosts, Requirement, Setup, SetupDraft, State,
};

use super::cases::{BandsNetwork, File, Given, Model, at};

pub struct Charging {
    pub network: Network,
    pub faults: Vec<String>,
    pub parts: Vec<String>,
    pub checks: Vec<String>,
    pub bands: Vec<Vec<String>>,
    pub setups: Vec<String>,
}

/// Whether the network says which checks come first.
#[derive(Clone, Copy, PartialEq)]
pub enum Needs {
    Said,
    /// The tables that leave prerequisites aside.
    Left,
}

fn distinct<'a>(names: impl Iterator<Item = &'a String>) -> Vec<String> {
    let mut out: Vec<String> = Vec::new();
    for name in names {
        if !out.contains(name) {
            out.push(name.clone());
        }
    }
    out
}

/// The chances of the bands over 0.
pub fn over_ok(all: &[f64]) -> Vec<(Band, f64)> {
    all.iter().enumerate().skip(1).map(|(k, p)| (Band(k), *p)).collect()
}

impl Charging {
    pub fn of(file: &File, name: &str, model: Model, needs: Needs) -> Self {
        let def = file.bands_network.iter().find(|n| n.id == name).unwrap();
        let faults = def.faults.clone();
        let parts = distinct(def.part.iter());
        let checks: Vec<String> = def.check.iter().map(|c| c.id.clone()).collect();
        let bands: Vec<Vec<String>> = def.check.iter().map(|c| c.bands.clone()).collect();
        let setups = distinct(def.check.iter().flat_map(|c| c.setup.iter().flat_map(|s| s.keys())));
        let mut out =
            Self { network: Draft::new().build().unwrap(), faults, parts, checks, bands, setups };
        out.network = out.draft(def, model, needs).build().unwrap();
        out
    }

    pub fn draft(&self, def: &BandsNetwork, model: Model, needs: Needs) -> Draft {
        let states = distinct(def.check.iter().map(|c| &c.state));
        let mut draft = Draft::new();
        draft.parts = self.parts.len();
        draft.states = states.len();
        draft.none_weight = def.none_weight;
        draft.other_weight = def.other_weight;
        draft.max_faults = most(model);
        for (prior, part) in def.prior.iter().zip(&def.part) {
            draft.fault(Likely::Probability(*prior), vec![Part(at(&self.parts, part))]);
        }
        draft.setups = self.setups.iter().map(|name| self.setup(def, name)).collect();
        for check in &def.check {
            let push = |(fault, all): (&String, &Vec<f64>)| Push {
                fault: Fault(at(&self.faults, fault)),
                into: over_ok(all),
            };
            let need = |(name, bands): (&String, &Vec<String>)| {
                assert_eq!(bands.len(), 1, "a requirement is one band");
                let (check, band) = self.band(name, &bands[0]);
                Requirement { check, band }
            };
            let requires = check.requires.iter().flatten().map(need).collect();
            draft.check(CheckDraft {
                bands: check.bands.len(),
                leak: over_ok(&check.leak),
                slip: check.slip,
                minutes: check.minutes,
                pushes: check.push.iter().map(push).collect(),
                state: Some(State(at(&states, &check.state))),
                setups: check
                    .setup
                    .iter()
                    .flatten()
                    .map(|(s, _)| Setup(at(&self.setups, s)))
                    .collect(),
                requires: if needs == Needs::Said { requires } else { Vec::new() },
            });
        }
        draft.costs = Some(RepairCosts {
            part: self.parts.iter().map(|part| def.repair_minutes[part]).collect(),
            nothing: def.repair_minutes["none"],
            verify: def.verify_minutes,
            escalate: def.escalate_minutes,
        });
        draft
    }

    fn setup(&self, def: &BandsNetwork, name: &str) -> SetupDraft {
        let users =
            || def.check.iter().filter(|c| c.setup.iter().flatten().any(|(s, _)| s == name));
        let minutes: Vec<f64> = users().map(|c| c.setup.as_ref().unwrap()[name]).collect();
        assert!(minutes.iter().all(|m| *m == minutes[0]), "{name} takes the same time everywhere");
        let waived = users().flat_map(|c| c.waive.iter().flatten().filter(|(s, _)| *s == name));
        let waived = waived
            .flat_map(|(_, by)| by)
            .flat_map(|(check, bands)| bands.iter().map(move |band| self.band(check, band)));
        SetupDraft { minutes: minutes[0], waived: waived.collect() }
    }

    pub fn check(&self, name: &str) -> Check {
        Check(at(&self.checks, name))
    }

    pub fn band(&self, check: &str, band: &str) -> (Check, Band) {
        let check = self.check(check);
        (check, Band(at(&self.bands[check.0], band)))
    }

    pub fn evidence(&self, given: &[Given]) -> Evidence {
        evidence(&self.checks, given)
    }

    pub fn observed(&self, observed: &BTreeMap<String, String>) -> Evidence {
        let mut out = Evidence::new();
        for (check, band) in observed {
            let (check, band) = self.band(check, band);
            out.read(check, Likelihood::hard(band, self.bands[check.0].len()).unwrap());
        }
        out
    }

    pub fn cure_name(&self, cure: &Cure) -> String {
        match cure {
            Cure::Nothing => "none".into(),
            Cure::Unknown => "other".into(),
            Cure::Replace(parts) => {
                parts.iter().map(|p| self.parts[p.0].as_str()).collect::<Vec<_>>().join("+")
            }
        }
    }
}

pub fn most(model: Model) -> MaxFaults {
    match model {
        Model::Single => MaxFaults::One,
        Model::Upto2 => MaxFaults::Two,
        Model::Independent => panic!("the engine supposes two faults at most"),
    }
}

pub fn evidence(checks: &[String], given: &[Given]) -> Evidence {
    let mut out = Evidence::new();
    for Given { check, likelihood } in given {
        out.read(Check(at(checks, check)), Likelihood::given(likelihood).unwrap());
    }
    out
}

/// `none`, `other`, `a` or `a+b`.
pub fn hypothesis(faults: &[String], name: &str) -> Hypothesis {
    match name.split_once('+') {
        Some((a, b)) => Hypothesis::pair(Fault(at(faults, a)), Fault(at(faults, b))),
        None if name == "none" => Hypothesis::None,
        None if name == "other" => Hypothesis::Other,
        None => Hypothesis::Single(Fault(at(faults, name))),
    }
}
