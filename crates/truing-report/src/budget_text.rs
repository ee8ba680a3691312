//! Uncertainty budgets as metrologists print them: quantity, value, standard uncertainty,
//! distribution, sensitivity, contribution, share (JCGM 100:2008, 7; EA-4/02, 7).

use truing_engine::{
    BudgetLine, BudgetPart, Finding, NotSimulated, SimulationFinding, Uncertainty,
};
use truing_metrology::uncertainty::Shape;
use truing_model::{Check, SlotId};
use truing_units::{Place, from_coherent, significant_text};

use crate::layout::{hanging, listed, shown, table};
use crate::limit_text::percent;
use crate::reading_text;
use crate::report::Round;
use crate::simulation_text;
use crate::style::{Style, Tone};
use crate::teller::{Scale, Teller};
use crate::value_text::Fineness;

const HEADS: [&str; 7] = ["Quantity", "Value", "u", "Distribution", "c", "|c|u", "Share"];

const LEGEND: &str = "u is the standard uncertainty, c the sensitivity, |c|u the contribution, the share \
                      one of the variance; U = k u.";

/// The budgets of the checks asked for, one table each.
pub(crate) fn render_budgets(
    teller: &Teller<'_>,
    round: &Round<'_>,
    asked: impl Fn(&Finding) -> bool,
    style: Style,
) -> String {
    let mut out = String::new();
    for finding in teller.findings.findings.iter().filter(|finding| asked(finding)) {
        let Some(check) = teller.check(finding.check) else { continue };
        let uncertainty = finding.reason.uncertainty.filter(|_| !finding.reason.budget.is_empty());
        let simulation = round.simulation(finding.check);
        // What was not simulated is told beneath a budget only.
        if uncertainty.is_some() || simulation.is_some_and(Result::is_ok) {
            out.push_str(&one(teller, check, finding, uncertainty, simulation, style));
        }
    }
    if out.is_empty() {
        out.push_str("  No value was judged that has an uncertainty.\n");
    }
    let heading = style.paint(Tone::Heading, "Uncertainty budgets");
    format!("{heading}\n{}\n{out}", hanging("  ", LEGEND, style.columns()))
}

fn one(
    teller: &Teller<'_>,
    check: &Check,
    finding: &Finding,
    uncertainty: Option<Uncertainty>,
    simulation: Option<&Result<SimulationFinding, NotSimulated>>,
    style: Style,
) -> String {
    let Some(scale) = teller.scale_of_check(check) else { return String::new() };
    let title = format!("{}  {}", check.label, shown(&check.title));
    let mut out = format!("  {}\n", style.paint(Tone::Heading, &title));
    if let Some(uncertainty) = uncertainty {
        let value = finding.reason.value.as_ref().and_then(|value| value.best);
        let value = value.map_or(String::new(), |value| {
            let fineness = Fineness::Doubt(uncertainty.standard / 10.0);
            format!("{}, ", scale.value(value, fineness))
        });
        let head = format!("{value}{}", uncertainty_words(&scale, uncertainty));
        out.push_str(&hanging("    ", &head, style.columns()));
        let mut rows = vec![HEADS.map(str::to_owned).to_vec()];
        rows.extend(finding.reason.budget.iter().map(|line| teller.row(line, &scale)));
        out.push_str(&table(&rows, 4, style.columns()));
    }
    if let Some(simulation) = simulation {
        out.push_str(&simulation_text::render(&scale, simulation, style));
    }
    out.push('\n');
    out
}

/// "u = 0.048 V, U = 0.079 V (k = 1.65, 95 %)"
pub(crate) fn uncertainty_words(scale: &Scale, uncertainty: Uncertainty) -> String {
    let dof = match uncertainty.dof {
        Some(dof) => format!(", {} degrees of freedom", significant_text(dof, 3)),
        None => String::new(),
    };
    format!(
        "u = {}, U = {} (k = {}, {}{dof})",
        scale.amount(uncertainty.standard),
        scale.amount(uncertainty.expanded),
        significant_text(uncertainty.coverage_factor, 3),
        percent(uncertainty.coverage),
    )
}

/// The name of a distribution, as budgets have it.
pub(crate) const fn shape_words(shape: Shape) -> &'static str {
    match shape {
        Shape::Normal => "normal",
        Shape::Rectangular => "rectangular",
        Shape::Triangular => "triangular",
        Shape::Trapezoidal { .. } => "trapezoidal",
        Shape::Arcsine => "U-shaped",
        Shape::Student { .. } => "Student's t",
    }
}

impl Teller<'_> {
    fn row(&self, line: &BudgetLine, judged: &Scale) -> Vec<String> {
        let own = line.slot.and_then(|slot| self.scale_of_slot(slot));
        let value = line.slot.and_then(|slot| reading_text::as_subject(self.sheet.get(slot)?));
        // The error of a single reading is in its unit, that of a shared one in the unit judged.
        let of_error = match (&own, line.sensitivity) {
            (Some(own), Some(_)) => own,
            _ => judged,
        };
        vec![
            self.quantity_words(line),
            value.filter(|_| line.readings == 1).unwrap_or_default(),
            of_error.amount(line.standard_uncertainty),
            shape_words(line.shape).to_owned(),
            line.sensitivity.zip(own).map_or(String::new(), |(c, own)| slope(c, judged, &own)),
            judged.amount(line.contribution),
            share(line.share),
        ]
    }

    /// "battery_rest: accuracy of M-B"
    fn quantity_words(&self, line: &BudgetLine) -> String {
        let meter = line.slot.and_then(|slot| self.sheet.meter(slot));
        let of = meter.map_or(String::new(), |meter| format!(" of {}", meter.meter));
        let what = match line.part {
            BudgetPart::Accuracy => format!("accuracy{of}"),
            BudgetPart::Span => format!("accuracy{of}, by the span"),
            BudgetPart::Resolution if meter.is_some() => format!("resolution{of}"),
            BudgetPart::Resolution => "last digit".to_owned(),
            BudgetPart::Leads => format!("leads{of}"),
            BudgetPart::Zero => format!("zeroing{of}"),
            BudgetPart::Technique => format!("technique with{}", of.replace(" of", "")),
            BudgetPart::Capture => format!("capture{}", of.replace(" of", " by")),
            BudgetPart::Repeats => "scatter of repeats".to_owned(),
            BudgetPart::Circuit => "load on the circuit".to_owned(),
            BudgetPart::Stated => "as stated".to_owned(),
            BudgetPart::Correlated => "correlated, as stated".to_owned(),
        };
        match line.slot {
            Some(slot) if line.readings == 1 => format!("{}: {what}", self.slot_label(slot)),
            _ => format!("{what}, shared by {} readings", line.readings),
        }
    }

    /// With what a reading was taken, for people: `M-B`.
    pub(crate) fn meter_words(&self, slots: &[SlotId]) -> String {
        let mut names: Vec<String> =
            slots.iter().filter_map(|slot| Some(self.sheet.meter(*slot)?.meter.clone())).collect();
        names.sort();
        names.dedup();
        listed(&names)
    }
}

/// How much the value judged changes with a reading, in the units in which both are shown.
fn slope(coherent: f64, judged: &Scale, own: &Scale) -> String {
    let figure = slope_figure(coherent, judged, own);
    let figure = significant_text(figure, 3).parse::<f64>().unwrap_or(figure);
    if judged.unit.symbol() == own.unit.symbol() {
        return figure.to_string();
    }
    format!("{figure} {}/{}", judged.unit, own.unit)
}

pub(crate) fn slope_figure(coherent: f64, judged: &Scale, own: &Scale) -> f64 {
    from_coherent(coherent, &judged.unit, Place::Amount)
        / from_coherent(1.0, &own.unit, Place::Amount)
}

fn share(share: f64) -> String {
    if share > 0.0 && share < 0.001 {
        return "< 0.1 %".to_owned();
    }
    format!("{:.1} %", share * 100.0)
}
