//! What a spec's checks can show of its faults and tell apart, before anyone measures.
//!
//! The figures come of the band that each check is most probably in under each fault: they describe
//! what an author wrote, not a machine. How much two faults overlap goes by all bands.

use std::collections::BTreeMap;

use serde::Serialize;
use truing_diagnosis::{
    ALIKE, Band, Check, Fault, Hypothesis, LeastEffort, Puzzle, Signatures, StopRules, StrategyCost,
};
use truing_model::{CheckBand, CheckId, FaultId, Spec};

use super::learned::{effects_by_check, reweigh};
use super::network::{Complaint, SuspectPlan};
use super::rank::fault_id;
use super::ranking::Remedy;

/// What a spec's checks can show of its faults.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Worth {
    /// Every fault, in the order of the spec.
    pub faults: Vec<FaultWorth>,
    /// The checks that some fault acts on, in the order of the spec: the columns of the matrix whose
    /// rows are the faults.
    pub checks: Vec<CheckId>,
    /// The share of faults, by their odds, that some check shows (FFD).
    pub detected: f64,
    /// The same by number.
    pub detected_by_number: f64,
    /// The share of what is shown, by odds, that is told apart from every other fault (FFI).
    pub isolated: f64,
    /// The same with faults of one cure as one (FFI by part).
    pub isolated_to_cure: f64,
    /// How many faults are left on average, of one that is shown.
    pub mean_group: f64,
    /// Parts renewed in vain for each fault that is shown, if the likeliest goes first.
    pub false_removals: f64,
    /// Faults that show the same, two or more.
    pub groups: Vec<Group>,
    /// Faults that no check shows.
    pub undetected: Vec<FaultId>,
    /// Faults that are covered wholly by another where both are there: the cover first.
    pub hidden: Vec<(FaultId, FaultId)>,
    /// Faults whose readings overlap much, most first.
    pub alike: Vec<Alike>,
    /// Checks any one of which could be left out without telling less apart.
    pub redundant: Vec<CheckId>,
    /// Checks that come out alike under every fault, or that no fault acts on.
    pub useless: Vec<CheckId>,
    /// What the best order of checks takes until the cure is known.
    pub effort: Effort,
}

/// What is shown of one fault.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct FaultWorth {
    /// The fault.
    pub fault: FaultId,
    /// How often it is the cause, by its odds and what was learned.
    pub probability: f64,
    /// The same by the author's word alone.
    pub author: f64,
    /// What mends it.
    pub remedy: Remedy,
    /// What it does to checks, in the order of the spec.
    pub marks: Vec<Mark>,
}

/// What a fault does to one check.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Mark {
    /// The check.
    pub check: CheckId,
    /// The bands that the check is then in, and how often, as the author says it.
    pub bands: Vec<(CheckBand, f64)>,
    /// The band that the check is then most probably in, where that is not "in order".
    pub mostly: Option<CheckBand>,
}

impl Mark {
    /// The band that it drives the check into most often.
    #[must_use]
    pub fn band(&self) -> Option<CheckBand> {
        let mut most: Option<(CheckBand, f64)> = None;
        for (band, chance) in &self.bands {
            if most.is_none_or(|(_, best)| *chance > best) {
                most = Some((*band, *chance));
            }
        }
        self.mostly.or(most.map(|(band, _)| band))
    }

    /// How often the check is out of order then, in whichever band.
    #[must_use]
    pub fn chance(&self) -> f64 {
        self.bands.iter().map(|(_, chance)| chance).sum::<f64>().min(1.0)
    }
}

/// Faults that no check tells apart by its likeliest outcome.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Group {
    /// The faults.
    pub faults: Vec<FaultId>,
    /// Whether one cure mends them all.
    pub one_cure: bool,
    /// How much the readings of the two that are most alike overlap.
    pub overlap: f64,
}

/// Two faults whose readings overlap much.
#[derive(Copy, Clone, Debug, PartialEq, Serialize)]
pub struct Alike {
    /// The two.
    pub faults: [FaultId; 2],
    /// Whether one cure mends both.
    pub one_cure: bool,
    /// The Bhattacharyya coefficient over all checks: 0 for readings that never agree, 1 for
    /// readings that always do.
    pub overlap: f64,
}

/// What the best order of checks takes until the cure is known, of a machine that someone complained
/// of.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Effort {
    /// The order of the fewest measurements, if every check told the truth; nothing where there are
    /// too many faults.
    pub fewest: Option<Order>,
    /// The order of the fewest minutes, likewise.
    pub quickest: Option<Order>,
    /// What no order can do without, with readings as uncertain as the spec says, until one cure is
    /// [sure](Self::sure).
    pub uncertain: LeastEffort,
    /// So probable has one cure to be.
    pub sure: f64,
}

/// What an order of checks takes on average.
#[derive(Copy, Clone, Debug, PartialEq, Serialize)]
pub struct Order {
    /// What counts: measurements, or minutes with preparation and what has to be measured before.
    pub cost: f64,
    /// So many measurements.
    pub measurements: f64,
    /// Where it begins.
    pub first: Option<CheckId>,
    /// No order costs less. Where that is not so, it is one that looks ahead.
    pub exact: bool,
    /// No order costs less than this.
    pub at_least: f64,
}

impl SuspectPlan {
    /// What the checks of the plan's spec can show of its faults.
    #[must_use]
    pub fn worth(&self, spec: &Spec) -> Worth {
        let signatures = Signatures::of(self.network());
        let figures = signatures.testability();
        let ids =
            |faults: &[Fault]| faults.iter().map(|fault| fault_id(*fault)).collect::<Vec<_>>();
        let shown = |group: &&Vec<Fault>| {
            group.len() > 1 && !group.iter().any(|fault| figures.undetected.contains(fault))
        };
        let mut useless = self.acted(&figures.useless);
        useless.extend(spec.check_ids().map(|(id, _)| id).filter(|id| {
            self.network_check(*id).is_none_or(|check| self.touched.get(check.0) == Some(&false))
        }));
        useless.sort_unstable();
        let redundant = self.acted(&figures.redundant).into_iter();
        // Nothing shows the first of such a pair more than the second where both show the same; and
        // what nothing shows is told by itself.
        let hides = figures
            .hides
            .iter()
            .filter(|(f, g)| !figures.hides.contains(&(*g, *f)) && !figures.undetected.contains(g));
        Worth {
            faults: self.fault_worths(spec),
            checks: self.acted(&(0..self.members.len()).map(Check).collect::<Vec<_>>()),
            detected: figures.detected,
            detected_by_number: figures.detected_by_number,
            isolated: signatures.isolated(1),
            isolated_to_cure: figures.isolated_to_cure,
            mean_group: figures.mean_group,
            false_removals: figures.false_removals,
            groups: figures.groups.iter().filter(shown).map(|group| self.group(group)).collect(),
            undetected: ids(&figures.undetected),
            hidden: hides.map(|(f, g)| (fault_id(*f), fault_id(*g))).collect(),
            alike: self.alike(),
            redundant: redundant.filter(|id| !useless.contains(id)).collect(),
            useless,
            effort: self.effort(),
        }
    }

    /// The spec's checks of those that some fault acts on.
    fn acted(&self, checks: &[Check]) -> Vec<CheckId> {
        let acted = checks.iter().filter(|check| self.touched.get(check.0) == Some(&true));
        acted.filter_map(|check| self.check_id(*check)).collect()
    }

    fn one_cure(&self, group: &[Fault]) -> bool {
        let mut parts = group.iter().map(|fault| self.network().parts_of(*fault));
        let first = parts.next();
        parts.all(|other| Some(other) == first)
    }

    fn group(&self, faults: &[Fault]) -> Group {
        let pairs = faults
            .iter()
            .enumerate()
            .flat_map(|(at, f)| faults.iter().skip(at + 1).map(|g| self.network().overlap(*f, *g)));
        Group {
            faults: faults.iter().map(|fault| fault_id(*fault)).collect(),
            one_cure: self.one_cure(faults),
            overlap: pairs.fold(0.0, f64::max),
        }
    }

    fn alike(&self) -> Vec<Alike> {
        let each = self.network().alike(ALIKE).into_iter();
        each.map(|(f, g, overlap)| Alike {
            faults: [fault_id(f), fault_id(g)],
            one_cure: self.one_cure(&[f, g]),
            overlap,
        })
        .collect()
    }

    fn fault_worths(&self, spec: &Spec) -> Vec<FaultWorth> {
        let learned = spec.learned.as_ref().and_then(|learned| reweigh(spec, learned));
        let effects = effects_by_check(spec, learned.as_ref());
        let each = (0_u32..).zip(&spec.faults).map(|(id, said)| {
            let fault = Fault(id as usize);
            let part = self.network().parts_of(fault).first().copied();
            let odds = self.network().odds(fault);
            // What the author or the jobs say of each check: of a family that counts as one, of its
            // first member.
            let marks: BTreeMap<Check, Vec<(CheckBand, f64)>> = effects
                .iter()
                .filter_map(|(id, of)| Some((*id, of.get(&fault)?.clone())))
                .filter_map(|(id, bands)| Some((self.network_check(id)?, id, bands)))
                .filter(|(check, id, _)| self.check_id(*check) == Some(*id))
                .map(|(check, _, bands)| (check, bands))
                .collect();
            FaultWorth {
                fault: FaultId(id),
                probability: odds.map_or(said.prior, |odds| odds / (1.0 + odds)),
                author: said.prior,
                remedy: part.map_or(Remedy::NotListed, |part| self.remedy_of(part)),
                marks: marks
                    .into_iter()
                    .filter_map(|(check, bands)| self.mark(check, fault, bands))
                    .collect(),
            }
        });
        each.collect()
    }

    fn mark(&self, check: Check, fault: Fault, bands: Vec<(CheckBand, f64)>) -> Option<Mark> {
        let chances = self.network().outcome(check, Hypothesis::Single(fault))?;
        let mut most = (0, f64::NEG_INFINITY);
        for (band, chance) in chances.iter().enumerate() {
            if *chance > most.1 {
                most = (band, *chance);
            }
        }
        Some(Mark {
            check: self.check_id(check)?,
            bands,
            mostly: Some(Band(most.0))
                .filter(|band| *band != Band::OK)
                .and_then(|band| self.band(check, band)),
        })
    }

    fn effort(&self) -> Effort {
        let network = &self.networks(Complaint::Told).single;
        let sure = StopRules::default().certain;
        let order = |cost: StrategyCost| Order {
            cost: cost.found.cost,
            measurements: cost.found.checks,
            first: cost.found.first.and_then(|check| self.check_id(check)),
            exact: cost.exact,
            at_least: cost.least,
        };
        let fewest = Puzzle::in_measurements(network).ok().and_then(|puzzle| puzzle.cost());
        let quickest = Puzzle::in_minutes(network).ok().and_then(|puzzle| puzzle.cost());
        Effort {
            fewest: fewest.map(order),
            quickest: quickest.map(order),
            uncertain: network.least_effort(sure),
            sure,
        }
    }
}
