//! A network as the text of a spec, and its evidence as readings.

use std::collections::BTreeMap;
use std::fmt::Write as _;

use truing::{Compiled, SheetBuilder};

use super::cases::{self, BandsNetwork, File, Given};

/// A network in words of the language.
#[derive(Clone, Default)]
pub struct Text {
    pub none: f64,
    pub other: f64,
    pub faults: Vec<String>,
    pub prior: Vec<f64>,
    /// What is ordered for each fault.
    pub part: Vec<String>,
    pub checks: Vec<CheckText>,
    /// States: name, minutes, the one before, what waives it.
    pub states: Vec<(String, f64, Option<String>, Option<String>)>,
}

#[derive(Clone)]
pub struct CheckText {
    pub name: String,
    /// Of the bands over 0.
    pub leak: Vec<f64>,
    pub slip: f64,
    pub minutes: f64,
    pub state: Option<String>,
    /// Checks that have to pass first.
    pub when: Vec<String>,
    /// By fault: of the bands over 0.
    pub push: BTreeMap<String, Vec<f64>>,
    /// Of all bands.
    pub likelihood: Option<Vec<f64>>,
}

/// The first band over 0 is above the limit, the second below: in that order causes dominate.
const SIDES: [&str; 2] = ["high", "low"];

impl Text {
    pub fn of_posterior(case: &cases::Posterior) -> Self {
        let check = |at: usize| CheckText {
            name: case.checks[at].clone(),
            leak: vec![case.leak[at]],
            slip: case.slip[at],
            minutes: 1.0,
            state: None,
            when: Vec::new(),
            push: case
                .faults
                .iter()
                .zip(&case.fail[at])
                .map(|(fault, p)| (fault.clone(), vec![*p]))
                .collect(),
            likelihood: None,
        };
        let mut text = Self {
            none: f64::from(u8::from(case.none_allowed)),
            other: case.other_weight.unwrap_or(0.0),
            faults: case.faults.clone(),
            prior: case.prior.clone(),
            part: case.faults.clone(),
            checks: (0..case.checks.len()).map(check).collect(),
            states: Vec::new(),
        };
        text.reads(&case.evidence);
        text
    }

    /// `needs`: whether checks wait for those that they require.
    pub fn of_bands(file: &File, network: &str, needs: bool) -> Self {
        let def: &BandsNetwork = file.bands_network.iter().find(|n| n.id == network).unwrap();
        let over = |all: &[f64]| all[1..].to_vec();
        let check = |of: &cases::BandsCheck| CheckText {
            name: of.id.clone(),
            leak: over(&of.leak),
            slip: of.slip,
            minutes: of.minutes,
            state: of.setup.as_ref().map(|setup| deepest(setup.keys())),
            when: of.requires.iter().flatten().filter(|_| needs).map(|(n, _)| n.clone()).collect(),
            push: of.push.iter().map(|(fault, all)| (fault.clone(), over(all))).collect(),
            likelihood: None,
        };
        let mut states: Vec<(String, f64, Option<String>, Option<String>)> = Vec::new();
        for of in &def.check {
            for (name, minutes) in of.setup.iter().flatten() {
                let mut before = of.setup.iter().flatten().map(|(other, _)| other);
                let before = before.find(|other| *other == FIRST && name != FIRST).cloned();
                let waiver = of.waive.iter().flatten().find(|(setup, _)| *setup == name);
                let waiver = waiver.and_then(|(_, by)| by.keys().next().cloned());
                if !states.iter().any(|(known, ..)| known == name) {
                    states.push((name.clone(), *minutes, before, waiver));
                }
            }
        }
        Self {
            none: def.none_weight,
            other: def.other_weight,
            faults: def.faults.clone(),
            prior: def.prior.clone(),
            part: def.part.clone(),
            checks: def.check.iter().map(check).collect(),
            states,
        }
    }

    /// Puts the limits where the readings have these likelihoods.
    pub fn reads(&mut self, given: &[Given]) {
        for Given { check, likelihood } in given {
            let of = self.checks.iter_mut().find(|of| of.name == *check).unwrap();
            of.likelihood = Some(likelihood.clone());
        }
    }

    pub fn observes(&mut self, check: &str, band: usize) {
        let of = self.checks.iter_mut().find(|of| of.name == check).unwrap();
        of.likelihood = Some((0..=of.leak.len()).map(|k| f64::from(u8::from(k == band))).collect());
    }

    pub fn spec(&self) -> String {
        let mut out = format!(
            "spec written \"Written (invented)\" {{\n    edition \"1\"\n    odds none {} of 1\n    \
             odds other {} of 1\n}}\n",
            self.none, self.other
        );
        for (name, minutes, before, waiver) in &self.states {
            let from = before.as_ref().map_or(String::new(), |b| format!(" from {b}"));
            let waived =
                waiver.as_ref().map_or(String::new(), |w| format!(" waived by {w} passes"));
            writeln!(out, "state {name} \"S\" {{{from} takes {minutes} min stays{waived} }}")
                .unwrap();
            // A reading of no check: taken where the machine is to stand so already.
            writeln!(out, "reading at_{name} \"R\" : dc_voltage {{ during {name} }}").unwrap();
        }
        for check in &self.checks {
            check.write(&mut out);
        }
        for (at, fault) in self.faults.iter().enumerate() {
            write!(out, "fault {fault} \"F\" {{ odds {} of 1", self.prior[at]).unwrap();
            for check in &self.checks {
                check.makes(fault, &mut out);
            }
            writeln!(out, " fix renew_{} }}", self.part[at]).unwrap();
        }
        let mut parts = self.part.clone();
        parts.sort();
        parts.dedup();
        for part in parts {
            writeln!(out, "fix renew_{part} \"X\" {{ part \"{part}\" }}").unwrap();
        }
        out
    }

    pub fn compiled(&self) -> Compiled {
        let text = self.spec();
        Compiled::from_text("written.truing", &text).unwrap_or_else(|e| panic!("{e:?}\n{text}"))
    }

    /// A sheet of what was read, and of the states that the machine stands in.
    pub fn sheet(&self, spec: &Compiled, open: &[String]) -> SheetBuilder {
        let mut sheet = spec.sheet();
        for check in self.checks.iter().filter(|check| check.likelihood.is_some()) {
            sheet = sheet.read(&format!("read_{}", check.name), "10 V").unwrap();
        }
        for state in open {
            sheet = sheet.read(&format!("at_{state}"), "1 V").unwrap();
        }
        sheet
    }
}

const FIRST: &str = "seat_off";

fn deepest<'a>(names: impl Iterator<Item = &'a String>) -> String {
    let names: Vec<&String> = names.collect();
    let deep = names.iter().find(|name| **name != FIRST).or(names.first());
    deep.map(|name| (*name).clone()).unwrap()
}

impl CheckText {
    fn write(&self, out: &mut String) {
        let Self { name, minutes, .. } = self;
        let during = self.state.as_ref().map_or(String::new(), |s| format!(" during {s}"));
        writeln!(out, "reading read_{name} \"R\" : dc_voltage {{ takes {minutes} min{during} }}")
            .unwrap();
        let leak: Vec<String> =
            SIDES.iter().zip(&self.leak).map(|(side, p)| format!("{side} {p}")).collect();
        let when: Vec<String> = self.when.iter().map(|of| format!("{of} passes")).collect();
        let when =
            if when.is_empty() { String::new() } else { format!("when {} ", when.join(" and ")) };
        writeln!(
            out,
            "check {name} \"C\" : read_{name} within {} {{ {when}leak {}  slip {} }}",
            self.limit(),
            leak.join(", "),
            self.slip
        )
        .unwrap();
    }

    /// Where a reading of 9.5 V to 10.5 V, any value as likely as any other, has the likelihoods.
    fn ends(&self) -> (f64, f64) {
        let given = self.likelihood.clone().unwrap_or_else(|| vec![1.0, 0.0, 0.0]);
        let sum: f64 = given.iter().sum();
        let share = |band: usize| given.get(band).copied().unwrap_or(0.0) / sum;
        match (share(0), share(1), share(2)) {
            (_, _, low) if low >= 1.0 => (20.0, 21.0),
            (_, high, _) if high >= 1.0 => (1.0, 2.0),
            (ok, high, low) => {
                assert!(ok > 0.0, "no limit lies between high and low");
                let top = if high > 0.0 { 10.5 - high } else { 11.0 };
                (if low > 0.0 { 9.5 + low } else { 9.0 }, top)
            }
        }
    }

    fn limit(&self) -> String {
        let (bottom, top) = self.ends();
        if self.leak.len() == 2 { format!("{bottom} .. {top} V") } else { format!("max {top} V") }
    }

    /// A reading that is in order without doubt.
    pub fn passing(&self) -> String {
        let (bottom, top) = self.ends();
        format!("{:.6} V", (bottom + top) / 2.0)
    }

    /// An author says how often the check is out of order with the fault, leak included: of a push `q`
    /// of the sum `Q` beside a leak `l` that is `S = 1 - (1 - l) (1 - Q)`, shared as `q` is.
    fn makes(&self, fault: &str, out: &mut String) {
        let Some(push) = self.push.get(fault) else { return };
        let (leak, all): (f64, f64) = (self.leak.iter().sum(), push.iter().sum());
        let often = 1.0 - (1.0 - leak) * (1.0 - all);
        for (side, q) in SIDES.iter().zip(push).filter(|(_, q)| **q > 0.0) {
            write!(out, " makes {} {side} {}", self.name, q * (often / all)).unwrap();
        }
    }
}
