//! Conflicts and what explains them (Reiter 1987; de Kleer & Williams 1987): a second opinion on
//! diagnoses, by sets alone. The engine doesn't use it.

use std::collections::BTreeSet;

/// A set of components, by number.
pub type Components = BTreeSet<usize>;

/// The minimal sets that have a component in common with every conflict ("these can't all be
/// fine"), smallest first, then in order. Worst-case exponential in the conflicts: `None` where
/// more than `most` sets are met on the way.
#[must_use]
pub fn minimal_hitting_sets(conflicts: &[Components], most: usize) -> Option<Vec<Components>> {
    let mut sets = vec![Components::new()];
    for conflict in conflicts {
        let (mut hit, missed): (Vec<_>, Vec<_>) =
            sets.into_iter().partition(|set| !set.is_disjoint(conflict));
        let mut longer = BTreeSet::new();
        for set in &missed {
            for component in conflict {
                let mut set = set.clone();
                set.insert(*component);
                if !hit.iter().any(|smaller| smaller.is_subset(&set)) {
                    longer.insert(set);
                }
            }
        }
        let minimal = |set: &&Components| {
            !longer.iter().any(|smaller| smaller.len() < set.len() && smaller.is_subset(set))
        };
        let minimal: Vec<Components> = longer.iter().filter(minimal).cloned().collect();
        hit.extend(minimal);
        if hit.len() > most {
            return None;
        }
        sets = hit;
    }
    sets.sort_by(|a, b| a.len().cmp(&b.len()).then_with(|| a.cmp(b)));
    Some(sets)
}

/// Every set of components that hits every conflict, with its probability: the prior of
/// independent components, restricted to these sets (a weak fault model: a faulty component may do
/// anything). Likeliest first. `None` above 20 components, or where nothing hits every conflict.
#[must_use]
pub fn diagnoses(prior: &[f64], conflicts: &[Components]) -> Option<Vec<(Components, f64)>> {
    if prior.len() > 20 {
        return None;
    }
    let mut out = Vec::new();
    for bits in 0..1_u32 << prior.len() {
        let is_in = |at: usize| bits >> at & 1 == 1;
        if conflicts
            .iter()
            .all(|conflict| conflict.iter().any(|at| *at < prior.len() && is_in(*at)))
        {
            let each = prior.iter().enumerate();
            let p: f64 = each.map(|(at, p)| if is_in(at) { *p } else { 1.0 - p }).product();
            out.push(((0..prior.len()).filter(|at| is_in(*at)).collect::<Components>(), p));
        }
    }
    let sum: f64 = out.iter().map(|(_, p)| p).sum();
    if sum.is_nan() || sum <= 0.0 {
        return None;
    }
    out.iter_mut().for_each(|(_, p)| *p /= sum);
    out.sort_by(|(a, p), (b, q)| q.total_cmp(p).then_with(|| a.cmp(b)));
    Some(out)
}
