//! Draws of the elementary errors of the readings, trial after trial, without allocating.

use std::collections::BTreeMap;

use truing_metrology::uncertainty::monte_carlo::Source;
use truing_metrology::uncertainty::{Component, Correlation, Shape};

use crate::doubt::Doubt;
use crate::flat::FlatReading;
use crate::full::Full;
use crate::run::Runner;

/// What one reading has of a limit of error that several share.
#[derive(Copy, Clone, Debug)]
struct Part {
    reading: usize,
    gain: f64,
    offset: f64,
}

/// Readings whose correlation the sheet states, with their standard uncertainties.
#[derive(Clone, Debug)]
struct Correlated {
    members: Vec<(usize, f64)>,
    matrix: Correlation,
    normals: Vec<f64>,
}

/// The elementary errors of readings, and those of one trial.
#[derive(Clone, Debug, Default)]
pub(super) struct Errors {
    /// Each reading's own.
    own: Vec<(usize, Component)>,
    /// One error from −1 to 1, times a half-width of each reading: leads and zeroes.
    common: Vec<Vec<(usize, f64)>>,
    /// One limit of error each.
    accuracies: Vec<Vec<Part>>,
    correlated: Option<Correlated>,
    /// The standard uncertainty of each reading by itself.
    pub standards: Vec<f64>,
    /// Of the trial: the error of each reading without its shared limits of error.
    errors: Vec<f64>,
    /// Of the trial: where between −1 and 1 each shared limit of error is.
    fractions: Vec<f64>,
}

/// What a shared limit of error does to each reading, for one quantity: reading, which limit, and the
/// error where that is taken up in full.
#[derive(Clone, Debug)]
pub(super) struct Weights(Vec<(usize, usize, f64)>);

impl Weights {
    pub const fn none() -> Self {
        Self(Vec::new())
    }
}

impl Errors {
    /// The errors of these slots; those that were not read, and words, have none.
    pub fn of(runner: &Runner<'_, Full>, slots: &[u32]) -> Self {
        let mut of = Self::default();
        let mut common: BTreeMap<u32, Vec<(usize, f64)>> = BTreeMap::new();
        let mut accuracies: BTreeMap<u32, Vec<Part>> = BTreeMap::new();
        let mut correlated = Vec::new();
        for (reading, slot) in slots.iter().enumerate() {
            if !runner.sheet.flat(*slot).has(FlatReading::POINT) {
                of.standards.push(0.0);
                continue;
            }
            let doubt = runner.doubt(*slot);
            of.standards.push(doubt.standard());
            if doubt.correlated {
                correlated.push((reading, *slot, doubt.standard()));
                continue;
            }
            of.add_own(reading, doubt);
            for (source, half) in [doubt.leads, doubt.zero].into_iter().flatten() {
                common.entry(source).or_default().push((reading, half));
            }
            if let Some(shared) = doubt.accuracy {
                let part = Part { reading, gain: shared.gain, offset: shared.offset };
                accuracies.entry(shared.source).or_default().push(part);
            }
        }
        of.common = common.into_values().collect();
        of.accuracies = accuracies.into_values().collect();
        of.correlated = bound_together(runner, &correlated);
        of.errors = vec![0.0; slots.len()];
        of.fractions = vec![0.0; of.accuracies.len()];
        of
    }

    fn add_own(&mut self, reading: usize, doubt: &Doubt) {
        let mut push = |component: Result<Component, _>| {
            if let Ok(component) = component
                && component.scale() > 0.0
            {
                self.own.push((reading, component));
            }
        };
        for half in [
            doubt.own_accuracy,
            doubt.span,
            doubt.resolution,
            doubt.capture,
            doubt.technique,
            doubt.circuit,
        ] {
            push(Component::rectangular(half));
        }
        if let Some(repeats) = doubt.repeats {
            push(Component::student(repeats.scale, repeats.dof));
        }
        if let Some(stated) = doubt.stated {
            let shape = stated.dof.map_or(Shape::Normal, |dof| Shape::Student { dof });
            push(Component::new(shape, stated.standard));
        }
    }

    /// Whether nothing is uncertain.
    pub fn is_empty(&self) -> bool {
        self.standards.iter().all(|standard| *standard == 0.0)
    }

    /// The shared limits of error for a quantity with these sensitivities to the readings. The agreed
    /// half-width on the quantity is |Σ c·gain| + |Σ c·offset|: the gain part and the offset part of
    /// one limit go together, each with the sign that makes them add. Where the sensitivities leave a
    /// sign open, as at the foot of a square, it is that of the sum of the parts themselves.
    pub fn weights(&self, sensitivities: &[f64]) -> Weights {
        let mut weights = Vec::new();
        for (which, parts) in self.accuracies.iter().enumerate() {
            let sign = |of: fn(&Part) -> f64| {
                let c = |part: &Part| sensitivities.get(part.reading).copied().unwrap_or(0.0);
                let felt: f64 = parts.iter().map(|part| c(part) * of(part)).sum();
                let size: f64 = parts.iter().map(|part| (c(part) * of(part)).abs()).sum();
                let felt = if felt.abs() > 1e-9 * size { felt } else { parts.iter().map(of).sum() };
                if felt < 0.0 { -1.0 } else { 1.0 }
            };
            let (gain, offset) = (sign(|part| part.gain), sign(|part| part.offset));
            weights.extend(
                parts
                    .iter()
                    .map(|part| (part.reading, which, part.gain * gain + part.offset * offset)),
            );
        }
        Weights(weights)
    }

    /// The errors of the next trial.
    pub fn draw(&mut self, source: &mut Source) {
        self.errors.fill(0.0);
        let errors = &mut self.errors;
        let mut add = |reading: usize, error: f64| {
            if let Some(kept) = errors.get_mut(reading) {
                *kept += error;
            }
        };
        for (reading, component) in &self.own {
            add(*reading, source.error(component));
        }
        for members in &self.common {
            let fraction = source.symmetric();
            for (reading, half) in members {
                add(*reading, fraction * half);
            }
        }
        if let Some(correlated) = &mut self.correlated {
            correlated.normals.iter_mut().for_each(|normal| *normal = source.normal());
            let rows = correlated.members.iter().zip(correlated.matrix.cholesky());
            for ((reading, standard), row) in rows {
                let parts = row.iter().zip(&correlated.normals);
                add(*reading, standard * parts.map(|(factor, z)| factor * z).sum::<f64>());
            }
        }
        self.fractions.iter_mut().for_each(|fraction| *fraction = source.symmetric());
    }

    /// The true values in the trial that was drawn last: the readings less their errors.
    pub fn take_off(&self, readings: &[f64], weights: &Weights, into: &mut [f64]) {
        for ((value, reading), error) in into.iter_mut().zip(readings).zip(&self.errors) {
            *value = reading - error;
        }
        for (reading, which, weight) in &weights.0 {
            if let (Some(value), Some(fraction)) =
                (into.get_mut(*reading), self.fractions.get(*which))
            {
                *value -= fraction * weight;
            }
        }
    }
}

/// The readings that are correlated, by the coefficients that the sheet states among them.
fn bound_together(
    runner: &Runner<'_, Full>,
    correlated: &[(usize, u32, f64)],
) -> Option<Correlated> {
    let at = |slot: u32| correlated.iter().position(|(_, of, _)| *of == slot);
    let pairs: Vec<(usize, usize, f64)> = runner
        .sheet
        .correlations
        .pairs()
        .iter()
        .filter_map(|(one, other, r)| Some((at(one.0)?, at(other.0)?, *r)))
        .collect();
    // The sheet takes none that cannot hold together, and a part of those that can is one too.
    let matrix = Correlation::new(correlated.len(), &pairs).ok()?;
    let members = correlated.iter().map(|(reading, _, standard)| (*reading, *standard)).collect();
    let normals = vec![0.0; correlated.len()];
    (!correlated.is_empty()).then_some(Correlated { members, matrix, normals })
}
