//! What meters can decide before anyone measures, as a table for people.

use truing_engine::{Ability, Capability, alternatives};
use truing_model::{Check, CheckId, CheckRule, Spec};
use truing_units::{Place, Ty, Unit, from_coherent, significant_text};

use crate::layout::{counted, hanging, listed, shown, table};
use crate::style::{Style, Tone};
use crate::unfit_text::unfit_words;

/// Everything that was found of some meters with one spec.
#[derive(Clone, Debug)]
pub struct CapabilityReport<'a> {
    /// The spec.
    pub spec: &'a Spec,
    /// The meters' names, in the order in which they were asked about.
    pub meters: &'a [String],
    /// What was found, for each check and meter.
    pub capabilities: &'a [Capability],
    /// Only these checks; `None` is all.
    pub only: Option<Vec<CheckId>>,
}

impl<'a> CapabilityReport<'a> {
    /// What was found of the checks asked for.
    pub(crate) fn asked(&self) -> impl Iterator<Item = (&'a Check, &'a Capability)> + '_ {
        self.capabilities.iter().filter_map(|found| {
            let asked = self.only.as_ref().is_none_or(|only| only.contains(&found.check));
            asked.then_some((self.spec.check(found.check)?, found))
        })
    }

    /// Whether every check that a meter measures is decided by one of them, if only away from the
    /// edges.
    #[must_use]
    pub fn all_decided(&self) -> bool {
        let checks = self.asked().map(|(_, found)| found.check).collect::<Vec<_>>();
        checks.into_iter().all(|check| {
            let mut of_check = self.asked().filter(|(_, found)| found.check == check);
            let decided =
                |ability| matches!(ability, Ability::DecidesWell | Ability::DecidesExceptNearEdges);
            of_check.any(|(_, found)| decided(found.ability))
                || !self.asked().any(|(_, found)| {
                    found.check == check && found.ability == Ability::CannotDecide
                })
        })
    }

    pub(crate) fn alternatives(&self, found: &Capability) -> Vec<String> {
        let others = alternatives(self.spec, self.capabilities, found);
        others.iter().filter_map(|id| Some(self.spec.check(*id)?.label.clone())).collect()
    }
}

/// What was found, one table for each meter.
#[must_use]
pub fn render_capability(report: &CapabilityReport<'_>, style: Style) -> String {
    let mut out = format!("{}\n\n", style.paint(Tone::Heading, &shown(&report.spec.title)));
    for (place, meter) in report.meters.iter().enumerate() {
        let found: Vec<_> = report.asked().filter(|(_, found)| found.meter == place).collect();
        out.push_str(&of_meter(report, meter, &found, style));
    }
    let legend = "T is the tolerance, U the expanded uncertainty of a reading at the limit, \
                  C_m = T/(4u) the measurement capability index of JCGM 106. Of two quantities that are \
                  held against each other, U is that of their difference. A forecast: nothing is known \
                  yet of the machine.";
    out.push_str(&hanging("", legend, style.columns()));
    out
}

fn of_meter(
    report: &CapabilityReport<'_>,
    meter: &str,
    found: &[(&Check, &Capability)],
    style: Style,
) -> String {
    let mut out = format!("{}\n", style.paint(Tone::Heading, &shown(meter)));
    for (ability, tone) in [
        (Ability::CannotDecide, Tone::Bad),
        (Ability::DecidesExceptNearEdges, Tone::Worn),
        (Ability::DecidesWell, Tone::Good),
    ] {
        let group: Vec<_> = found.iter().filter(|(_, of)| of.ability == ability).collect();
        if group.is_empty() {
            continue;
        }
        let heading = format!("{}: {}", words(ability), counted(group.len(), "check", "checks"));
        out.push_str(&format!("  {}\n", style.paint(tone, &heading)));
        let mut rows = vec![["Check", "T", "U", "C_m"].map(str::to_owned).to_vec()];
        rows.extend(group.iter().map(|(check, of)| row(report.spec, check, of)));
        out.push_str(&table(&rows, 4, style.columns()));
        if ability == Ability::CannotDecide {
            for (check, of) in &group {
                out.push_str(&instead(report, check, of, style));
            }
        }
    }
    let rest = |ability| {
        let labels = found.iter().filter(|(_, of)| of.ability == ability);
        labels.map(|(check, _)| check.label.clone()).collect::<Vec<_>>()
    };
    for ability in [Ability::NotMeasured, Ability::NotStudied] {
        let labels = rest(ability);
        if !labels.is_empty() {
            let heading =
                format!("{}: {}", words(ability), counted(labels.len(), "check", "checks"));
            out.push_str(&format!("  {heading}\n"));
            out.push_str(&hanging("    ", &labels.join(", "), style.columns()));
        }
    }
    out.push('\n');
    out
}

/// Why not, and what decides in its place.
fn instead(
    report: &CapabilityReport<'_>,
    check: &Check,
    found: &Capability,
    style: Style,
) -> String {
    let mut told = Vec::new();
    if let Some(unfit) = found.unfit {
        told.push(unfit_words(unfit));
    }
    let others = report.alternatives(found);
    if !others.is_empty() {
        told.push(format!("the meter decides {}, which sees the same", listed(&others)));
    }
    let better: Vec<String> = report
        .capabilities
        .iter()
        .filter(|of| of.check == found.check && of.ability < Ability::CannotDecide)
        .filter_map(|of| report.meters.get(of.meter).cloned())
        .collect();
    if !better.is_empty() {
        told.push(format!("{} can", listed(&better)));
    }
    if told.is_empty() {
        return String::new();
    }
    hanging(&format!("    {}: ", check.label), &told.join("; "), style.columns())
}

/// The plain verdict.
#[must_use]
pub const fn words(ability: Ability) -> &'static str {
    match ability {
        Ability::DecidesWell => "decides well",
        Ability::DecidesExceptNearEdges => "decides except near the edges",
        Ability::CannotDecide => "cannot decide",
        Ability::NotMeasured => "not measured by it",
        Ability::NotStudied => "not studied",
    }
}

fn row(spec: &Spec, check: &Check, found: &Capability) -> Vec<String> {
    let Some((unit, _)) = unit_of(spec, check) else { return vec![check.label.clone()] };
    let amount = |coherent: f64| {
        format!("{} {unit}", significant_text(from_coherent(coherent, &unit, Place::Amount), 2))
    };
    let tolerance = match found.ends.as_slice() {
        [low, high] => amount(high.at - low.at),
        _ => String::new(),
    };
    let expanded = found.ends.iter().map(|end| end.uncertainty.expanded).reduce(f64::max);
    vec![
        check.label.clone(),
        tolerance,
        expanded.map_or(String::new(), |expanded| format!("± {}", amount(expanded))),
        found.index.map_or(String::new(), |index| significant_text(index, 2)),
    ]
}

/// The unit that a check's limit was printed in, and what it is a quantity of.
pub(crate) fn unit_of(spec: &Spec, check: &Check) -> Option<(Unit, Ty)> {
    match &check.rule {
        CheckRule::Within { limit, .. } => {
            let limit = spec.limit(*limit)?;
            Some((limit.unit.clone(), Ty::Kind(limit.kind)))
        }
        CheckRule::Compare { unit, ty, .. } => Some((unit.clone(), *ty)),
        CheckRule::Logic { .. } => None,
    }
}
