//! What a spec's checks can show of its faults and tell apart, before anyone measures.
//!
//! The figures come of the band that each check is most probably in under each fault: they describe
//! what an author wrote, not a machine. How much two faults overlap goes by all bands.

use serde::Serialize;
use truing_diagnosis::{ALIKE, Fault, Signatures};
use truing_model::{CheckBand, CheckId, FaultId, Spec};

use super::network::SuspectPlan;
use super::rank::fault_id;
use super::ranking::Remedy;

/// What a spec's checks can show of its faults.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Worth {
    /// Every fault, in the order of the spec.
    pub faults: Vec<FaultWorth>,
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
    /// Faults that show the same, two or more, and whether one cure mends them.
    pub groups: Vec<(Vec<FaultId>, bool)>,
    /// Faults that no check shows.
    pub undetected: Vec<FaultId>,
    /// Faults that are covered wholly by another where both are there: the cover first.
    pub hidden: Vec<(FaultId, FaultId)>,
    /// Faults whose readings overlap much, with the Bhattacharyya coefficient, most first.
    pub alike: Vec<(FaultId, FaultId, f64)>,
    /// Checks any one of which could be left out without telling less apart.
    pub redundant: Vec<CheckId>,
    /// Checks that come out alike under every fault, or that no fault acts on.
    pub useless: Vec<CheckId>,
}

/// What is shown of one fault.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct FaultWorth {
    /// The fault.
    pub fault: FaultId,
    /// What mends it.
    pub remedy: Remedy,
    /// The checks that it most probably puts out of order, and in which band.
    pub upsets: Vec<(CheckId, CheckBand)>,
}

impl SuspectPlan {
    /// What the checks of the plan's spec can show of its faults.
    #[must_use]
    pub fn worth(&self, spec: &Spec) -> Worth {
        let signatures = Signatures::of(self.network());
        let figures = signatures.testability();
        let ids =
            |faults: &[Fault]| faults.iter().map(|fault| fault_id(*fault)).collect::<Vec<_>>();
        let groups = figures.groups.iter().filter(|group| {
            group.len() > 1 && !group.iter().any(|fault| figures.undetected.contains(fault))
        });
        let groups = groups.map(|group| (ids(group), self.one_cure(group)));
        let alike = self.network().alike(ALIKE).into_iter();
        let told = |check: truing_diagnosis::Check| self.check_id(check);
        let checks = |list: &[truing_diagnosis::Check]| {
            list.iter()
                .copied()
                .filter(|check| self.touched.get(check.0) == Some(&true))
                .filter_map(told)
                .collect::<Vec<_>>()
        };
        let mut useless = checks(&figures.useless);
        useless.extend(spec.check_ids().map(|(id, _)| id).filter(|id| {
            self.network_check(*id).is_none_or(|check| self.touched.get(check.0) == Some(&false))
        }));
        useless.sort_unstable();
        Worth {
            faults: (0_u32..)
                .zip(&spec.faults)
                .map(|(id, _)| self.fault_worth(FaultId(id)))
                .collect(),
            detected: figures.detected,
            detected_by_number: figures.detected_by_number,
            isolated: signatures.isolated(1),
            isolated_to_cure: figures.isolated_to_cure,
            mean_group: figures.mean_group,
            false_removals: figures.false_removals,
            groups: groups.collect(),
            undetected: ids(&figures.undetected),
            hidden: figures
                .hides
                .iter()
                .map(|(f, g)| (fault_id(*f), fault_id(*g)))
                .filter(|(f, g)| {
                    // Where both show the same, neither covers the other more.
                    !figures.hides.contains(&(Fault(g.0 as usize), Fault(f.0 as usize)))
                })
                .collect(),
            alike: alike.map(|(f, g, overlap)| (fault_id(f), fault_id(g), overlap)).collect(),
            redundant: checks(&figures.redundant)
                .into_iter()
                .filter(|id| !useless.contains(id))
                .collect(),
            useless,
        }
    }

    fn one_cure(&self, group: &[Fault]) -> bool {
        let mut parts = group.iter().map(|fault| self.network().parts_of(*fault));
        let first = parts.next();
        parts.all(|other| Some(other) == first)
    }

    fn fault_worth(&self, fault: FaultId) -> FaultWorth {
        let hypothesis = truing_diagnosis::Hypothesis::Single(Fault(fault.0 as usize));
        let upsets = self.members.iter().enumerate().filter_map(|(at, members)| {
            let id = members.first()?;
            let chances = self.network().outcome(truing_diagnosis::Check(at), hypothesis)?;
            let mut most = (0, f64::NEG_INFINITY);
            for (band, chance) in chances.iter().enumerate() {
                if *chance > most.1 {
                    most = (band, *chance);
                }
            }
            let band = self.band(truing_diagnosis::Check(at), truing_diagnosis::Band(most.0))?;
            (most.0 > 0).then_some((*id, band))
        });
        let part = self.network().parts_of(Fault(fault.0 as usize)).first().copied();
        let remedy = part.map_or(Remedy::NotListed, |part| self.remedy_of(part));
        FaultWorth { fault, remedy, upsets: upsets.collect() }
    }
}
