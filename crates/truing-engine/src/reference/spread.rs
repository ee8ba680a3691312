//! From how fast a number changes with each reading, and from the errors of the readings, to the
//! errors of the number (JCGM 100:2008, 5.1 and 5.2).

use std::collections::BTreeMap;

use truing_metrology::uncertainty::{Component, ComponentError, Correlation, ErrorSum};
use truing_model::SlotId;

use super::dual::Dual;
use super::errors::{Errors, Source};
use super::judge::Judge;
use super::{Known, Unknown};

/// What readings of one source have together: the sum of their sensitivities times its parts.
#[derive(Copy, Clone, Debug, Default)]
struct Shared {
    gain: Sum,
    offset: Sum,
    zero: Sum,
    leads: Sum,
}

/// A sum of terms of either sign.
#[derive(Copy, Clone, Debug, Default)]
struct Sum {
    sum: f64,
    size: f64,
}

impl Sum {
    fn add(&mut self, term: f64) {
        self.sum += term;
        self.size += term.abs();
    }

    /// What is left of terms that cancel by rounding is nothing.
    fn abs(self) -> f64 {
        if self.sum.abs() > 1e-12 * self.size { self.sum.abs() } else { 0.0 }
    }
}

impl Judge<'_> {
    /// The errors of a number added up; none where one of them is endless.
    pub fn spread(&self, of: &Dual) -> Known<ErrorSum> {
        let mut sum = ErrorSum::new();
        for part in self.parts(of)? {
            sum.push(part.map_err(|_| Unknown::Bent)?);
        }
        Ok(sum)
    }

    /// The errors of a number, independent of each other.
    pub fn parts(&self, of: &Dual) -> Known<Vec<Result<Component, ComponentError>>> {
        let mut parts = Vec::new();
        let mut shared: BTreeMap<Source, Shared> = BTreeMap::new();
        let mut correlated: Vec<(SlotId, f64)> = Vec::new();
        for (slot, slope) in of.slopes()? {
            let (errors, _) = self.errors(*slot);
            if errors.correlated {
                correlated.push((*slot, slope * errors.standard()));
                continue;
            }
            let Errors { accuracy, zero, leads, own, repeats, stated, correlated: _ } = errors;
            if let Some((source, gain, offset)) = accuracy {
                let sum = shared.entry(source).or_default();
                sum.gain.add(slope * gain);
                sum.offset.add(slope * offset);
            }
            if let Some((source, half)) = zero {
                shared.entry(source).or_default().zero.add(slope * half);
            }
            if let Some((source, half)) = leads {
                shared.entry(source).or_default().leads.add(slope * half);
            }
            let slope = slope.abs();
            parts.extend(own.into_iter().map(|half| Component::rectangular(slope * half)));
            parts.extend(repeats.map(|(scale, dof)| Component::student(slope * scale, dof)));
            parts.extend(stated.map(|(standard, dof)| match dof {
                Some(dof) => Component::student(slope * standard, dof),
                None => Component::normal(slope * standard),
            }));
        }
        for sum in shared.values() {
            parts.push(Component::rectangular(sum.gain.abs() + sum.offset.abs()));
            parts.push(Component::rectangular(sum.zero.abs()));
            parts.push(Component::rectangular(sum.leads.abs()));
        }
        parts.push(Component::normal(self.together(&correlated)));
        Ok(parts)
    }

    /// The standard uncertainty of correlated errors together: u² = Σᵢ Σⱼ cᵢ cⱼ r(xᵢ, xⱼ) uᵢ uⱼ
    /// (JCGM 100:2008, eq. 16).
    fn together(&self, contributions: &[(SlotId, f64)]) -> f64 {
        let at = |slot: SlotId| contributions.iter().position(|(of, _)| *of == slot);
        let pairs = self.sheet.correlations.pairs().iter();
        let pairs: Vec<(usize, usize, f64)> =
            pairs.filter_map(|(one, other, r)| Some((at(*one)?, at(*other)?, *r))).collect();
        let contributions: Vec<f64> = contributions.iter().map(|(_, of)| *of).collect();
        let matrix = Correlation::new(contributions.len(), &pairs);
        // The sheet takes none that cannot hold together.
        matrix.map_or(f64::NAN, |matrix| matrix.combine(&contributions))
    }
}
