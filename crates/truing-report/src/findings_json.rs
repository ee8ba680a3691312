//! A report for programs: `truing-findings`, version 1.
//!
//! Numbers are in the unit that stands beside them, unrounded; texts are as written. Every unit has
//! its printed symbol and, for interchange, its UCUM code where it has one.

use serde_json::{Map, Value, json};
use truing_engine::{Because, Bound, Finding};
use truing_job::JobSheet;
use truing_model::{
    Check, CheckId, Cite, DecideRule, Edge, Interval, Machine, Outcome, PropertyId, SlotId, Spec,
};
use truing_units::{Place, from_coherent};

use crate::budget_json;
use crate::reading_json;
use crate::report::{Report, Round};
use crate::simulation_json;
use crate::suspects_json;
use crate::suspects_text::SuspectsReport;
use crate::teller::{Scale, Teller};
use crate::verdict::exit_status;

/// Reports on one or several sheets against one spec, as JSON;
/// `schema/truing-findings.schema.json` describes it.
#[must_use]
pub fn findings_json(spec: &Spec, reports: &[Report<'_>]) -> Value {
    json!({
        "format": "truing-findings",
        "version": 1,
        "spec": {
            "name": spec.name,
            "title": spec.title,
            "edition": spec.edition,
            "machines": spec.machines.iter().map(machine).collect::<Vec<_>>(),
        },
        "sheets": reports.iter().map(sheet).collect::<Vec<_>>(),
    })
}

fn machine(machine: &Machine) -> Value {
    json!({
        "maker": machine.maker,
        "model": machine.model,
        "from_year": machine.from_year,
        "to_year": machine.to_year,
    })
}

fn sheet(report: &Report<'_>) -> Value {
    let verdict = report.verdict();
    json!({
        "job": report.job.map(job),
        "standing": report.standing,
        "verdict": verdict,
        "exit_status": exit_status(verdict),
        "rounds": report.rounds.iter().map(|r| round(report, r)).collect::<Vec<_>>(),
        "suspects": suspects(report),
    })
}

fn suspects(report: &Report<'_>) -> Vec<Value> {
    let rounds: Vec<String> = report.rounds.iter().map(|round| round.name.to_owned()).collect();
    let of = SuspectsReport { spec: report.spec, stages: report.suspects, rounds: &rounds };
    suspects_json::stages(&of)
}

fn job(job: &JobSheet) -> Value {
    json!({
        "file": job.file,
        "job": job.job,
        "date": job.date,
        "technician": job.technician,
        "complaint": job.complaint,
        "note": job.note,
    })
}

fn round(report: &Report<'_>, round: &Round<'_>) -> Value {
    let teller = Teller::new(report.spec, round.sheet, round.findings);
    let summary = report.summary(round);
    let asked = round.findings.findings.iter().filter(|f| report.asks_for(f.check));
    json!({
        "name": round.name,
        "rule": rule(round.sheet.rule().unwrap_or(report.spec.decide)),
        "verdict": summary.verdict(),
        "summary": summary,
        "machine": teller.properties_json(),
        "readings": teller.readings_json(),
        "derived": teller.derived_json(),
        "checks": asked.filter_map(|f| teller.check_json(f, round)).collect::<Vec<_>>(),
    })
}

/// The instruments at hand that would have decided a check.
fn remedies<'a>(round: &Round<'a>, check: CheckId) -> &'a [String] {
    let found = round.remedies.iter().find(|(of, _)| *of == check);
    found.map(|(_, meters)| meters.as_slice()).unwrap_or_default()
}

impl Teller<'_> {
    fn properties_json(&self) -> Vec<Value> {
        let known = (0u32..).zip(&self.spec.properties).filter_map(|(id, property)| {
            let value = self.sheet.property(PropertyId(id))?;
            Some(json!({
                "property": property.name,
                "value": reading_json::property(value, &property.domain, &self.catalogue),
            }))
        });
        known.collect()
    }

    fn readings_json(&self) -> Vec<Value> {
        let told = self.sheet.readings().filter_map(|(id, reading)| {
            let slot = self.slot(id)?;
            let word = |place| self.word(id, place).to_owned();
            Some(json!({
                "reading": slot.label,
                "title": slot.title,
                "state": self.sheet.state(id).and_then(|s| self.state(s)).map(|s| &s.name),
                "note": self.sheet.noted(id),
                "meter": self.meter_json(id),
                "text": crate::reading_text::as_written(reading, word),
                "value": reading_json::reading(reading, word, &self.catalogue),
            }))
        });
        told.collect()
    }

    fn derived_json(&self) -> Vec<Value> {
        let told = self.findings.derived.iter().enumerate().filter_map(|(place, finding)| {
            let derived = self.spec.derived.get(finding.derived.0 as usize)?;
            let value = finding.value.as_ref()?;
            let scale =
                Scale { unit: derived.unit.clone(), place: self.catalogue.place(derived.ty) };
            Some(json!({
                "derived": derived.label,
                "title": derived.title,
                "text": scale.known(value, self.fineness_of_derived(place, value)),
                "value": self.value_json(value, &scale),
                "uncertainty": budget_json::uncertainty(finding.uncertainty, Some(&scale)),
                "budget": self.budget_json(&finding.budget, Some(&scale)),
            }))
        });
        told.collect()
    }

    fn check_json(&self, finding: &Finding, round: &Round<'_>) -> Option<Value> {
        let check = self.check(finding.check)?;
        let reason = &finding.reason;
        let scale = self.scale_of_limit(check);
        let value = scale.as_ref().zip(reason.value.as_ref()).map(|(s, v)| self.value_json(v, s));
        let amount = |amount: f64| {
            scale.as_ref().map(|scale| from_coherent(amount, &scale.unit, Place::Amount))
        };
        let (outcome, side) = outcome_words(finding.outcome);
        let (probability, settles, repeats) = match reason.because {
            Because::Spans { probability, settles, repeats, .. } => {
                (probability, settles.and_then(amount), repeats)
            }
            _ => (None, None, None),
        };
        Some(json!({
            "check": check.label,
            "name": check.name,
            "member": check.member,
            "title": check.title,
            "outcome": outcome,
            "side": side,
            "because": tag(&reason.because),
            "why": self.why(finding),
            "needs": self.needs(&reason.because),
            "value": value,
            "doubt": reason.doubt.and_then(amount),
            "probability": probability,
            "conformance": budget_json::conformance(reason.conformance),
            "settles": settles,
            "repeats": repeats,
            "settled_by": remedies(round, finding.check),
            "uncertainty": budget_json::uncertainty(reason.uncertainty, scale.as_ref()),
            "budget": self.budget_json(&reason.budget, scale.as_ref()),
            "monte_carlo": simulation_json::monte_carlo(
                round.simulation(finding.check),
                scale.as_ref(),
            ),
            "limit": self.limit_json(check, finding),
            "rule": rule(reason.rule),
            "readings": self.slot_labels(&reason.used),
            "advice": check.advise,
        }))
    }

    fn limit_json(&self, check: &Check, finding: &Finding) -> Option<Value> {
        let printed = self.limit_text(check, finding)?;
        let scale = self.scale_of_limit(check);
        let applied = finding.reason.limit.as_ref();
        let band = |pick: fn(&truing_model::Band) -> Option<&Interval>| {
            let interval = pick(&applied?.band)?;
            Some(interval_json(interval, scale.as_ref()?))
        };
        Some(json!({
            "name": self.limit_of(check).and_then(|limit| limit.name.as_ref()),
            "printed": printed,
            "standard": band(|band| Some(&band.standard)),
            "service": band(|band| band.service.as_ref()),
            "unit": scale.as_ref().map(|s| reading_json::unit(&s.unit, &self.catalogue)),
            "sources": self.cites(check).iter().map(|cite| self.cite_json(cite)).collect::<Vec<_>>(),
        }))
    }

    fn cite_json(&self, cite: &Cite) -> Value {
        let title = |source: truing_model::SourceId| {
            self.spec.sources.get(source.0 as usize).map(|source| &source.title)
        };
        json!({
            "title": title(cite.source),
            "place": cite.place,
            "corrected_by": cite.mend.and_then(title),
            "was": cite.was,
        })
    }

    fn value_json(&self, value: &truing_engine::Value, scale: &Scale) -> Value {
        let figure = |coherent: f64| from_coherent(coherent, &scale.unit, scale.place);
        let end = |bound: Option<Bound>| {
            bound.map(|bound| json!({ "value": figure(bound.value), "open": bound.open }))
        };
        json!({
            "best": value.best.map(figure),
            "low": end(value.low),
            "high": end(value.high),
            "unit": reading_json::unit(&scale.unit, &self.catalogue),
        })
    }

    /// What a check asked for and did not get.
    fn needs(&self, because: &Because) -> Value {
        let (checks, missing, properties): (&[CheckId], &[SlotId], &[PropertyId]) = match because {
            Because::Precondition { checks, missing, properties, .. } => {
                (checks, missing, properties)
            }
            Because::Applicability { checks, missing } => (checks, missing, &[]),
            Because::Condition { missing, .. } => (&[], missing, &[]),
            Because::Missing { slots } => (&[], slots, &[]),
            Because::PropertyUnknown { property } => (&[], &[], std::slice::from_ref(property)),
            Because::Rule { checks, .. } => (checks, &[], &[]),
            _ => (&[], &[], &[]),
        };
        let checks = checks.iter().filter_map(|id| Some(&self.check(*id)?.label));
        let properties = properties.iter().filter_map(|id| Some(&self.property(*id)?.name));
        json!({
            "checks": checks.collect::<Vec<_>>(),
            "readings": self.slot_labels(missing),
            "properties": properties.collect::<Vec<_>>(),
        })
    }

    fn slot_labels(&self, slots: &[SlotId]) -> Vec<&str> {
        slots.iter().map(|slot| self.slot_label(*slot)).collect()
    }
}

fn interval_json(interval: &Interval, scale: &Scale) -> Value {
    let end = |edge: &Option<Edge>| {
        edge.as_ref().map(|edge| {
            let value = from_coherent(edge.value, &scale.unit, scale.place);
            json!({ "value": value, "open": edge.open })
        })
    };
    json!({ "low": end(&interval.low), "high": end(&interval.high) })
}

/// The outcome, and the side that it lies outside on.
pub(crate) const fn outcome_words(outcome: Outcome) -> (&'static str, Option<&'static str>) {
    match outcome {
        Outcome::Outside(Some(truing_model::Side::Low)) => ("outside", Some("low")),
        Outcome::Outside(Some(truing_model::Side::High)) => ("outside", Some("high")),
        other => (other.words(), None),
    }
}

/// The kind of reason, by the name that it has as data.
fn tag(because: &Because) -> Value {
    match serde_json::to_value(because) {
        Ok(Value::Object(mut fields)) => fields.remove("why").unwrap_or(Value::Null),
        _ => Value::Null,
    }
}

fn rule(rule: DecideRule) -> Value {
    let mut out = Map::new();
    let form = match rule {
        DecideRule::Simple => "simple",
        DecideRule::Guarded { k } => {
            out.insert("k".into(), k.into());
            "guarded"
        }
        DecideRule::At { probability } => {
            out.insert("probability".into(), probability.into());
            "at"
        }
    };
    out.insert("form".into(), form.into());
    out.into()
}
