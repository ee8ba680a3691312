//! What a spec's checks can show of its faults, for programs: `truing-faults`, version 1.

use serde_json::{Value, json};
use truing_model::{CheckId, FaultId};

use crate::faults_text::FaultsReport;
use crate::suspects_words::Words;

/// What was found, as JSON; `schema/truing-faults.schema.json` describes it.
#[must_use]
pub fn faults_json(report: &FaultsReport<'_>) -> Value {
    let words = Words { spec: report.spec };
    let label =
        |id: FaultId| words.spec.fault(id).map_or(String::new(), |fault| fault.label.clone());
    let labels = |ids: &[FaultId]| ids.iter().map(|id| label(*id)).collect::<Vec<_>>();
    let checks = |ids: &[CheckId]| ids.iter().map(|id| words.check(*id)).collect::<Vec<_>>();
    let study = report.worth.map(|worth| {
        let faults = worth.faults.iter().map(|of| {
            let upsets = of
                .upsets
                .iter()
                .map(|(check, band)| json!({ "check": words.check(*check), "band": band }));
            json!({
                "fault": label(of.fault),
                "title": words.fault(of.fault),
                "probability": words.spec.fault(of.fault).map(|fault| fault.prior),
                "mended_by": words.short(of.remedy),
                "upsets": upsets.collect::<Vec<_>>(),
            })
        });
        let groups = worth
            .groups
            .iter()
            .map(|(group, one_cure)| json!({ "faults": labels(group), "one_cure": one_cure }));
        let hidden = worth
            .hidden
            .iter()
            .map(|(cover, hidden)| json!({ "fault": label(*hidden), "behind": label(*cover) }));
        let alike = worth.alike.iter().map(|(one, other, overlap)| {
            json!({ "faults": [label(*one), label(*other)], "overlap": overlap })
        });
        json!({
            "faults": faults.collect::<Vec<_>>(),
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
        })
    });
    json!({
        "format": "truing-faults",
        "version": 1,
        "spec": report.spec.name,
        "study": study,
    })
}
