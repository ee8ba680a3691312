//! What an author says of a machine, before it is checked.

use crate::index::{Band, Check, Fault, Part, Setup, State};

/// How likely a fault is before anything is measured.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Likely {
    /// Its probability `p`, strictly between 0 and 1.
    Probability(f64),
    /// Its odds `p / (1 - p)`, over 0 and finite.
    Odds(f64),
}

impl Likely {
    pub(crate) fn odds(self) -> f64 {
        match self {
            Self::Probability(p) => p / (1.0 - p),
            Self::Odds(o) => o,
        }
    }
}

/// A fault: how likely, and which parts its repair replaces.
#[derive(Clone, Debug, PartialEq)]
pub struct FaultDraft {
    /// How likely it is.
    pub likely: Likely,
    /// What its repair replaces, at least one; faults may share parts.
    pub parts: Vec<Part>,
}

/// What a fault does to a check.
#[derive(Clone, Debug, PartialEq)]
pub struct Push {
    /// The fault.
    pub fault: Fault,
    /// The chance of each band over 0 that this fault alone drives the check into. What is missing
    /// to 1 stays ok.
    pub into: Vec<(Band, f64)>,
}

/// A check means something only where another was seen in a given band.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Requirement {
    /// The check that comes first.
    pub check: Check,
    /// The band it has to be in, mostly [`Band::OK`].
    pub band: Band,
}

/// A check: its bands, how it goes wrong by itself, and what it costs.
#[derive(Clone, Debug, PartialEq)]
pub struct CheckDraft {
    /// How many bands, 2 to 8. Band 0 is ok; **later bands dominate earlier ones**.
    pub bands: usize,
    /// The chance of each band over 0 without any fault. What is missing to 1 is ok.
    pub leak: Vec<(Band, f64)>,
    /// The chance that a reading says nothing at all (a slipped probe), from 0 to below 1.
    pub slip: f64,
    /// Minutes it takes where everything that it needs is open; over 0.
    pub minutes: f64,
    /// What the faults do to it; a fault that isn't named does nothing.
    pub pushes: Vec<Push>,
    /// The state of the machine it is made in.
    pub state: Option<State>,
    /// Teardown and preparation that it needs.
    pub setups: Vec<Setup>,
    /// The checks that come first.
    pub requires: Vec<Requirement>,
}

impl CheckDraft {
    /// A check of two bands, ok and not ok, that the faults in `pushes` fail with a given chance.
    #[must_use]
    pub fn pass_fail(leak: f64, slip: f64, minutes: f64, pushes: &[(Fault, f64)]) -> Self {
        let into = |chance| vec![(Band(1), chance)];
        Self {
            bands: 2,
            leak: into(leak),
            slip,
            minutes,
            pushes: pushes.iter().map(|&(fault, c)| Push { fault, into: into(c) }).collect(),
            state: None,
            setups: Vec::new(),
            requires: Vec::new(),
        }
    }
}

/// Teardown or preparation: done once, it stays.
#[derive(Clone, Debug, PartialEq)]
pub struct SetupDraft {
    /// Minutes it takes.
    pub minutes: f64,
    /// It isn't needed where a check was seen in a band: no charging of a battery that was read
    /// full.
    pub waived: Vec<(Check, Band)>,
}

/// Minutes from one state of the machine to another.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct StateChange {
    /// The state before; `None` where it isn't known.
    pub from: Option<State>,
    /// The state after.
    pub to: State,
    /// Minutes; a change that isn't listed takes none.
    pub minutes: f64,
}

/// How many faults at once are supposed.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default)]
pub enum MaxFaults {
    /// One.
    #[default]
    One,
    /// One, or any two.
    Two,
}

/// What repairs cost, in minutes or what an author counts as minutes (a part's price too).
#[derive(Clone, Debug, PartialEq)]
pub struct RepairCosts {
    /// For each part.
    pub part: Vec<f64>,
    /// For handing the machine back with nothing replaced.
    pub nothing: f64,
    /// For proving a repair, each time.
    pub verify: f64,
    /// For giving up and sending the machine on.
    pub escalate: f64,
}

/// The whole of what an author says.
#[derive(Clone, Debug, PartialEq)]
pub struct Draft {
    /// The faults.
    pub faults: Vec<FaultDraft>,
    /// How many parts there are.
    pub parts: usize,
    /// The checks, in the order in which the author wrote them.
    pub checks: Vec<CheckDraft>,
    /// Teardown and preparation.
    pub setups: Vec<SetupDraft>,
    /// How many states there are.
    pub states: usize,
    /// What it takes to go from one to another.
    pub state_changes: Vec<StateChange>,
    /// Weight of "no fault" beside the odds of the faults: 1 for independent priors, less where a
    /// customer complains, 0 where the machine is certainly faulty.
    pub none_weight: f64,
    /// Weight of "something that isn't listed"; 0 for none.
    pub other_weight: f64,
    /// How many faults at once.
    pub max_faults: MaxFaults,
    /// What repairs cost; without it nothing is said about whether measuring pays.
    pub costs: Option<RepairCosts>,
}

impl Default for Draft {
    fn default() -> Self {
        Self {
            faults: Vec::new(),
            parts: 0,
            checks: Vec::new(),
            setups: Vec::new(),
            states: 0,
            state_changes: Vec::new(),
            none_weight: 1.0,
            other_weight: 0.0,
            max_faults: MaxFaults::One,
            costs: None,
        }
    }
}

impl Draft {
    /// A draft with independent priors and no faults or checks yet.
    #[must_use]
    pub fn new() -> Self {
        Self::default()
    }

    /// Adds a part, and says its index.
    pub fn part(&mut self) -> Part {
        self.parts += 1;
        Part(self.parts - 1)
    }

    /// Adds a fault, and says its index.
    pub fn fault(&mut self, likely: Likely, parts: Vec<Part>) -> Fault {
        self.faults.push(FaultDraft { likely, parts });
        Fault(self.faults.len() - 1)
    }

    /// Adds a check, and says its index.
    pub fn check(&mut self, check: CheckDraft) -> Check {
        self.checks.push(check);
        Check(self.checks.len() - 1)
    }

    /// Adds teardown or preparation, and says its index.
    pub fn setup(&mut self, minutes: f64, waived: Vec<(Check, Band)>) -> Setup {
        self.setups.push(SetupDraft { minutes, waived });
        Setup(self.setups.len() - 1)
    }
}
