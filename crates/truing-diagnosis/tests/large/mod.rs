//! A large invented network, the same each time.

use truing_diagnosis::{
    Band, Check, CheckDraft, Draft, Evidence, Fault, Hypothesis, Likelihood, Likely, MaxFaults,
    Part, Push, RepairCosts,
};

/// A plain generator (Knuth's MMIX constants), so that figures don't depend on a library's.
pub struct Dice(pub u64);

impl Dice {
    pub fn below(&mut self, n: usize) -> usize {
        self.0 =
            self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        ((self.0 >> 33) as usize) % n
    }

    pub fn unit(&mut self) -> f64 {
        (self.below(1_000_000) as f64 + 0.5) / 1e6
    }
}

/// Each fault touches 12 checks of three bands; five faults in eight share their part with another.
pub fn draft(faults: usize, checks: usize, max_faults: MaxFaults) -> Draft {
    let mut dice = Dice(7);
    let mut draft = Draft::new();
    draft.parts = faults * 5 / 8;
    draft.none_weight = 0.01;
    draft.other_weight = 0.001;
    draft.max_faults = max_faults;
    for f in 0..faults {
        let part = Part(f % draft.parts);
        draft.fault(Likely::Probability(0.001 + 0.02 * dice.unit()), vec![part]);
    }
    let mut pushes: Vec<Vec<Push>> = vec![Vec::new(); checks];
    for f in 0..faults {
        for _ in 0..12 {
            let at = dice.below(checks);
            if pushes[at].iter().all(|push| push.fault != Fault(f)) {
                let (often, seldom) = (0.2 + 0.7 * dice.unit(), 0.1 * dice.unit());
                let (one, two) = if dice.below(2) == 0 { (1, 2) } else { (2, 1) };
                let into = vec![(Band(one), often), (Band(two), seldom)];
                pushes[at].push(Push { fault: Fault(f), into });
            }
        }
    }
    for pushes in pushes {
        let mut check = CheckDraft::pass_fail(0.0, 0.02, 2.0 + 10.0 * dice.unit(), &[]);
        check.bands = 3;
        check.leak = vec![(Band(1), 0.01), (Band(2), 0.01)];
        check.pushes = pushes;
        draft.check(check);
    }
    draft.costs = Some(RepairCosts {
        part: (0..draft.parts).map(|_| 20.0 + 300.0 * dice.unit()).collect(),
        nothing: 5.0,
        verify: 10.0,
        escalate: 600.0,
    });
    draft
}

/// `n` readings as a machine with one fault would give them, each in its likeliest band: in turn of
/// checks that the fault touches and of others.
pub fn readings(draft: &Draft, fault: Fault, n: usize) -> Evidence {
    let network = draft.build().unwrap();
    let touches = |c: &usize| network.pushes(Check(*c)).any(|(f, _)| f == fault);
    let (near, far): (Vec<usize>, Vec<usize>) = (0..network.checks()).partition(touches);
    let mut near = near.into_iter();
    let mut order: Vec<usize> = Vec::new();
    for a in far.into_iter().take(n) {
        order.extend(near.next().into_iter().chain([a]));
    }
    let mut evidence = Evidence::new();
    for check in order.into_iter().take(n).map(Check) {
        let chance = network.outcome_read(check, Hypothesis::Single(fault)).unwrap();
        let seen = Likelihood::given(&chance).unwrap().likeliest();
        evidence.read(check, Likelihood::hard(seen, chance.len()).unwrap());
    }
    evidence
}
