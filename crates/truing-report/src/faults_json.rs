//! What a spec's checks can show of its faults, for programs: `truing-faults`, version 1.

use serde_json::{Value, json};
use truing_engine::suspects::{Effort, FaultWorth, Order, Worth};
use truing_model::{CheckId, FaultId};

use crate::faults_text::FaultsReport;
use crate::suspects_words::Words;

/// What was found, as JSON; `schema/truing-faults.schema.json` describes it.
#[must_use]
pub fn faults_json(report: &FaultsReport<'_>) -> Value {
    let words = Words { spec: report.spec };
    json!({
        "format": "truing-faults",
        "version": 1,
        "spec": report.spec.name,
        "edition": report.spec.edition,
        "study": report.worth.map(|worth| study(&words, worth)),
    })
}

fn label(words: &Words<'_>, id: FaultId) -> String {
    words.spec.fault(id).map_or(String::new(), |fault| fault.label.clone())
}

fn study(words: &Words<'_>, worth: &Worth) -> Value {
    let label = |id: FaultId| label(words, id);
    let labels = |ids: &[FaultId]| ids.iter().map(|id| label(*id)).collect::<Vec<_>>();
    let checks = |ids: &[CheckId]| ids.iter().map(|id| words.check(*id)).collect::<Vec<_>>();
    let faults: Vec<Value> = worth.faults.iter().map(|of| fault(words, of)).collect();
    let groups = worth.groups.iter().map(|group| {
        json!({
            "faults": labels(&group.faults),
            "one_cure": group.one_cure,
            "overlap": group.overlap,
        })
    });
    let hidden = worth
        .hidden
        .iter()
        .map(|(cover, hidden)| json!({ "fault": label(*hidden), "behind": label(*cover) }));
    let alike = worth.alike.iter().map(|of| {
        json!({ "faults": of.faults.map(label), "one_cure": of.one_cure, "overlap": of.overlap })
    });
    json!({
        "faults": faults,
        "checks": checks(&worth.checks),
        "detected": worth.detected,
        "detected_by_number": worth.detected_by_number,
        "isolated": worth.isolated,
        "isolated_to_cure": worth.isolated_to_cure,
        "mean_group": worth.mean_group,
        "false_removals": worth.false_removals,
        "groups": groups.collect::<Vec<_>>(),
        "undetected": labels(&worth.undetected),
        "hidden": hidden.collect::<Vec<_>>(),
        "alike": alike.collect::<Vec<_>>(),
        "redundant": checks(&worth.redundant),
        "useless": checks(&worth.useless),
        "effort": effort(words, &worth.effort),
    })
}

fn fault(words: &Words<'_>, of: &FaultWorth) -> Value {
    let upsets = of.marks.iter().map(|mark| {
        let bands: Vec<Value> = mark
            .bands
            .iter()
            .map(|(band, chance)| json!({ "band": band, "chance": chance }))
            .collect();
        json!({ "check": words.check(mark.check), "bands": bands, "mostly": mark.mostly })
    });
    json!({
        "fault": label(words, of.fault),
        "title": words.fault(of.fault),
        "probability": of.probability,
        "author": of.author,
        "mended_by": words.short(of.remedy),
        "upsets": upsets.collect::<Vec<_>>(),
    })
}

fn effort(words: &Words<'_>, effort: &Effort) -> Value {
    let order = |order: &Option<Order>| {
        order.map(|order| {
            json!({
                "cost": order.cost,
                "measurements": order.measurements,
                "first": order.first.map(|check| words.check(check)),
                "exact": order.exact,
                "at_least": order.at_least,
            })
        })
    };
    json!({
        "fewest_measurements": order(&effort.fewest),
        "fewest_minutes": order(&effort.quickest),
        "uncertain": {
            "sure": effort.sure,
            "bits": effort.uncertain.bits,
            "measurements_at_least": effort.uncertain.measurements,
            "minutes_at_least": effort.uncertain.minutes,
        },
    })
}
