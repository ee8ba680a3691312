//! The part of the network that the next measurement is chosen over.

use std::borrow::Cow;

use crate::CHOICE_FAULTS;
use crate::cure::Cures;
use crate::index::{Check, Fault, Part};
use crate::network::Network;
use crate::posterior::{Paired, Posterior};
use crate::sight::{Sight, View};
use crate::triangle::Triangle;

/// What no reading changes of a choice over some faults.
#[derive(Clone, Debug)]
pub(crate) struct Grounds {
    pub cures: Cures,
    /// Of each check; none where all faults are chosen over, of which the network keeps them.
    sights: Vec<Sight>,
    /// The places of the faults whose repair replaces a part, by part.
    with_part: Vec<Vec<usize>>,
    /// Each fault's place with each of its parts.
    parts: Vec<(usize, usize)>,
}

impl Grounds {
    /// Over all faults of a network; nothing where there are too many for that.
    pub fn whole(network: &Network, pairs: bool) -> Option<Self> {
        let faults: Vec<Fault> = (0..network.faults()).map(Fault).collect();
        (faults.len() <= CHOICE_FAULTS).then(|| Self::without_sights(network, &faults, pairs))
    }

    fn over(network: &Network, faults: &[Fault], pairs: bool) -> Self {
        let place = |fault: Fault| faults.binary_search(&fault).ok();
        let triangle = Triangle(if pairs { faults.len() } else { 0 });
        let rows = network.checks.iter();
        let sights = rows.map(|row| Sight::of(row, place, triangle)).collect();
        Self { sights, ..Self::without_sights(network, faults, pairs) }
    }

    fn without_sights(network: &Network, faults: &[Fault], pairs: bool) -> Self {
        let mut with_part: Vec<Vec<usize>> = vec![Vec::new(); network.parts()];
        let mut parts = Vec::new();
        for (place, fault) in faults.iter().enumerate() {
            for part in network.parts_of(*fault) {
                parts.push((place, part.0));
                if let Some(list) = with_part.get_mut(part.0) {
                    list.push(place);
                }
            }
        }
        let cures = Cures::of(faults.iter().map(|fault| network.parts_of(*fault)), pairs);
        Self { cures, sights: Vec::new(), with_part, parts }
    }
}

/// The faults that are chosen over, and what each check says of them.
pub(crate) struct Suspects<'n> {
    pub network: &'n Network,
    /// The fault at each place.
    pub faults: Vec<Fault>,
    /// Pairs of places; of none, where one fault at a time is supposed.
    pub triangle: Triangle,
    grounds: Cow<'n, Grounds>,
}

impl<'n> Suspects<'n> {
    /// All faults, or the [`CHOICE_FAULTS`] likeliest.
    pub fn of(network: &'n Network, posterior: &Posterior) -> Self {
        let pairs = posterior.paired != Paired::No;
        let (faults, grounds) = match network.grounds() {
            Some(grounds) => ((0..network.faults()).map(Fault).collect(), Cow::Borrowed(grounds)),
            None => {
                let faults = likeliest(posterior);
                let grounds = Grounds::over(network, &faults, pairs);
                (faults, Cow::Owned(grounds))
            }
        };
        let triangle = Triangle(if pairs { faults.len() } else { 0 });
        Self { network, faults, triangle, grounds }
    }

    pub fn cures(&self) -> &Cures {
        &self.grounds.cures
    }

    pub fn check(&self, check: Check) -> Option<View<'_>> {
        let row = self.network.checks.get(check.0)?;
        let sight = match self.grounds.sights.get(check.0) {
            Some(sight) => sight,
            None => self.network.sight(check)?,
        };
        Some(View { row, sight })
    }

    /// The places of the faults whose repair replaces a part.
    pub fn with_part(&self, part: usize) -> &[usize] {
        self.grounds.with_part.get(part).map_or(&[], Vec::as_slice)
    }

    /// Each fault's place with each of its parts.
    pub fn places_and_parts(&self) -> &[(usize, usize)] {
        &self.grounds.parts
    }

    /// How many parts there are.
    pub fn parts(&self) -> usize {
        self.grounds.with_part.len()
    }

    /// The parts that the repair of the fault at a place replaces.
    pub fn parts_of(&self, place: usize) -> &[Part] {
        self.faults.get(place).map_or(&[], |fault| self.network.parts_of(*fault))
    }
}

fn likeliest(posterior: &Posterior) -> Vec<Fault> {
    let marginals = posterior.faults();
    let mut order: Vec<(usize, f64)> = marginals.into_iter().enumerate().collect();
    if order.len() > CHOICE_FAULTS {
        order.sort_by(|(a, p), (b, q)| q.total_cmp(p).then_with(|| a.cmp(b)));
        order.truncate(CHOICE_FAULTS);
    }
    let mut faults: Vec<Fault> = order.into_iter().map(|(at, _)| Fault(at)).collect();
    faults.sort_unstable();
    faults
}
