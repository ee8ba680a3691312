//! A large invented machine, the same each time for a size: its faults and checks as the diagnosis
//! takes them and as a spec says them. Both say the same.

use std::fmt::Write as _;

use truing_diagnosis::{
    Band, Check, CheckDraft, Draft, Evidence, Fault, Hypothesis, Likelihood, Likely, MaxFaults,
    Network, Part, Push, RepairCosts,
};

/// Checks that a fault acts on.
const TOUCHES: usize = 12;

/// Every check: what comes out of order without a fault, and what is read wrongly, in percent.
const LEAK: u32 = 2;
const SLIP: u32 = 2;

/// What a spec's faults are weighed beside (`truing_engine::suspects`).
const NONE_WEIGHT: f64 = truing_engine::suspects::NONE_WEIGHT;
const OTHER_WEIGHT: f64 = truing_engine::suspects::OTHER_WEIGHT;

/// A plain generator (Knuth's MMIX constants), so that no figure depends on a library's.
struct Dice(u64);

impl Dice {
    fn below(&mut self, n: u32) -> u32 {
        self.0 =
            self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 33) as u32 % n.max(1)
    }
}

/// Figures are whole thousandths, minutes and prices: a text says them exactly.
struct Act {
    fault: usize,
    /// Above the limit and below it, in thousandths.
    high: u32,
    low: u32,
}

/// The machine.
pub struct Machine {
    /// By fault: how often among 10,000 jobs.
    odds: Vec<u32>,
    /// By part: minutes of its repair, and its price.
    parts: Vec<(u32, u32)>,
    /// By check: minutes, and what acts on it.
    checks: Vec<(u32, Vec<Act>)>,
}

impl Machine {
    /// Of a size. Each fault acts on 12 checks of three bands; five faults in eight share their part
    /// with another.
    #[must_use]
    pub fn new(faults: usize, checks: usize) -> Self {
        let mut dice = Dice(7);
        let odds = (0..faults).map(|_| 10 + dice.below(200)).collect();
        let parts = (0..(faults * 5 / 8).max(1)).map(|_| (10 + dice.below(90), dice.below(300)));
        let parts = parts.collect();
        let mut acts: Vec<Vec<Act>> = (0..checks).map(|_| Vec::new()).collect();
        for fault in 0..faults {
            for _ in 0..TOUCHES {
                let at = dice.below(u32::try_from(checks).unwrap_or(1)) as usize;
                let act = act(&mut dice, fault);
                let list = acts.get_mut(at);
                if let Some(list) = list.filter(|list| list.iter().all(|a| a.fault != fault)) {
                    list.push(act);
                }
            }
        }
        // A spec's ranking knows no check that nothing acts on.
        for (at, list) in acts.iter_mut().enumerate().filter(|(_, list)| list.is_empty()) {
            list.push(act(&mut dice, at % faults.max(1)));
        }
        let checks = acts.into_iter().map(|acts| (2 + dice.below(10), acts)).collect();
        Self { odds, parts, checks }
    }

    fn part(&self, fault: usize) -> usize {
        fault % self.parts.len()
    }

    /// As the diagnosis takes it.
    #[must_use]
    pub fn draft(&self, max_faults: MaxFaults) -> Draft {
        let mut draft = Draft::new();
        draft.parts = self.parts.len();
        (draft.none_weight, draft.other_weight) = (NONE_WEIGHT, OTHER_WEIGHT);
        draft.max_faults = max_faults;
        for (fault, odds) in self.odds.iter().enumerate() {
            let likely = Likely::Probability(f64::from(*odds) / 10_000.0);
            draft.fault(likely, vec![Part(self.part(fault))]);
        }
        let thousandths = |of: u32| f64::from(of) / 1000.0;
        for (minutes, acts) in &self.checks {
            let slip = f64::from(SLIP) / 100.0;
            let mut check = CheckDraft::pass_fail(0.0, slip, f64::from(*minutes), &[]);
            check.bands = 3;
            check.leak = [1, 2].map(|band| (Band(band), f64::from(LEAK) / 200.0)).to_vec();
            // A spec says how often a check is out of order in all: 1 - S = (1 - leak) (1 - push).
            let leak = f64::from(LEAK) / 100.0;
            let push = |act: &Act| {
                let often = thousandths(act.high) + thousandths(act.low);
                let scale = ((often - leak) / (often * (1.0 - leak))).max(0.0);
                let into = [(Band(1), act.high), (Band(2), act.low)];
                Push {
                    fault: Fault(act.fault),
                    into: into.map(|(band, of)| (band, scale * thousandths(of))).to_vec(),
                }
            };
            check.pushes = acts.iter().map(push).collect();
            draft.check(check);
        }
        let part: Vec<f64> =
            self.parts.iter().map(|(minutes, price)| f64::from(minutes + price + 10)).collect();
        let dearest = part.iter().copied().fold(0.0, f64::max);
        draft.costs =
            Some(RepairCosts { part, nothing: 1.0, verify: 0.0, escalate: 2.0 * dearest });
        draft
    }

    /// As a spec says it.
    #[must_use]
    pub fn spec(&self) -> String {
        let mut out = "spec machine \"Invented machine\" { edition \"1\" }\n\
                       source sheet \"Invented\"\n"
            .to_owned();
        for (at, (minutes, _)) in self.checks.iter().enumerate() {
            let _ = writeln!(
                out,
                "limit limit_{at} : dc_voltage = 12.0 .. 13.2 V cite sheet \"{at}\"\n\
                 reading reading_{at} \"Reading {at}\" : dc_voltage {{ takes {minutes} min }}\n\
                 check check_{at} \"Check {at}\" : reading_{at} within limit_{at} {{\n    \
                 leak {LEAK} %\n    slip {SLIP} %\n}}",
            );
        }
        for (at, (minutes, price)) in self.parts.iter().enumerate() {
            let _ = writeln!(
                out,
                "fix fix_{at} \"Renew part {at}\" {{\n    part \"part {at}\"\n    \
                 takes {minutes} min\n    verify 10 min\n    price {price}\n}}",
            );
        }
        let percent = |of: u32| format!("{}.{} %", of / 10, of % 10);
        for (fault, odds) in self.odds.iter().enumerate() {
            let _ = writeln!(out, "fault fault_{fault} \"Fault {fault}\" {{");
            let _ = writeln!(out, "    odds {odds} of 10000");
            for (at, (_, acts)) in self.checks.iter().enumerate() {
                for act in acts.iter().filter(|act| act.fault == fault) {
                    let _ = writeln!(out, "    makes check_{at} high {}", percent(act.high));
                    let _ = writeln!(out, "    makes check_{at} low {}", percent(act.low));
                }
            }
            let _ = writeln!(out, "    fix fix_{}\n}}", self.part(fault));
        }
        out
    }

    /// So many checks to be read: in turn such as a fault acts on and others.
    #[must_use]
    pub fn looked_at(&self, fault: usize, n: usize) -> Vec<usize> {
        let acts = |at: &usize| {
            self.checks.get(*at).is_some_and(|(_, acts)| acts.iter().any(|a| a.fault == fault))
        };
        let (near, far): (Vec<usize>, Vec<usize>) = (0..self.checks.len()).partition(acts);
        let mut near = near.into_iter();
        let mut order = Vec::new();
        for other in far {
            order.extend(near.next().into_iter().chain([other]));
        }
        order.truncate(n);
        order.sort_unstable();
        order
    }
}

fn act(dice: &mut Dice, fault: usize) -> Act {
    let (often, seldom) = (200 + dice.below(700), 1 + dice.below(99));
    let (high, low) = if dice.below(2) == 0 { (often, seldom) } else { (seldom, often) };
    Act { fault, high, low }
}

/// The bands that a machine with one fault most probably shows, of some checks: 0 ok, 1 high, 2 low.
#[must_use]
pub fn shown(network: &Network, checks: &[usize], fault: usize) -> Vec<(usize, usize)> {
    let band = |check: usize| {
        let read = network.outcome_read(Check(check), Hypothesis::Single(Fault(fault)));
        let likeliest = read.and_then(|chance| Likelihood::given(&chance).ok());
        (check, likeliest.map_or(0, |likelihood| likelihood.likeliest().0))
    };
    checks.iter().copied().map(band).collect()
}

/// Bands as readings without doubt.
#[must_use]
pub fn evidence(network: &Network, shown: &[(usize, usize)]) -> Evidence {
    let mut evidence = Evidence::new();
    for (check, band) in shown {
        let bands = network.bands(Check(*check)).unwrap_or(0);
        if let Ok(likelihood) = Likelihood::hard(Band(*band), bands) {
            evidence.read(Check(*check), likelihood);
        }
    }
    evidence
}

/// A band as a technician reads it.
#[must_use]
pub fn reading_of(band: usize) -> &'static str {
    match band {
        1 => "13.95 V",
        2 => "11.25 V",
        _ => "12.60 V",
    }
}
