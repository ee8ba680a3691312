//! Whether a job was judged by the limits at hand, in words; and the limits that it is held against.

use std::collections::BTreeMap;

use truing_engine::{Finding, Findings, Sheet};
use truing_job::Judged;
use truing_job::edition::{Changes, LimitChange, Standing};
use truing_model::{CheckId, Outcome, Spec};

use crate::layout::{counted, shown};
use crate::teller::Teller;

/// The limits that the rounds of a job were held against, as printed, in the order of the spec: of
/// each check the last one.
#[must_use]
pub fn judged_limits(spec: &Spec, rounds: &[(&Sheet, &Findings)]) -> Vec<Judged> {
    let mut found: BTreeMap<CheckId, Judged> = BTreeMap::new();
    for (sheet, findings) in rounds {
        let teller = Teller::new(spec, sheet, findings);
        for finding in findings.findings.iter().filter(|it| was_held(it)) {
            let Some(check) = spec.check(finding.check) else { continue };
            if let Some(limit) = teller.limit_text(check, finding) {
                let (check, source) = (check.label.clone(), teller.source_text(check));
                let judged = Judged { check, limit, source, ..Judged::default() };
                found.insert(finding.check, judged);
            }
        }
    }
    found.into_values().collect()
}

/// Whether a value was held against a limit; of a check that was not taken its limit is known all the
/// same.
fn was_held(finding: &Finding) -> bool {
    let judged = matches!(
        finding.outcome,
        Outcome::Within | Outcome::Worn | Outcome::Outside(_) | Outcome::Undecided
    );
    judged && finding.reason.limit.is_some()
}

/// What there is to say of a spec that is not the one that a job was judged by, in one sentence;
/// nothing where it is, or where the job does not say.
#[must_use]
pub fn standing_text(standing: &Standing) -> Option<String> {
    match standing {
        Standing::Unrecorded | Standing::Same => None,
        Standing::OtherText { changes } => Some(format!(
            "the text of the spec or of a library that it uses is not the one that the job was \
             judged by, though the edition is the same; {}",
            changes_text(changes)
        )),
        Standing::OtherEdition { recorded, at_hand, changes } => {
            let now = match at_hand {
                Some(at_hand) => format!("is edition {}", shown(at_hand)),
                None => "says no edition".to_owned(),
            };
            Some(format!(
                "the job was judged by edition {}, and this spec {now}; {}",
                shown(recorded),
                changes_text(changes)
            ))
        }
    }
}

/// More changes than this are only counted.
const MOST_CHANGES: usize = 8;

fn changes_text(changes: &Changes) -> String {
    let changes = match changes {
        Changes::No => {
            return "which limits changed is not known, since the sheet does not list those that it \
                    was judged by"
                .to_owned();
        }
        Changes::Yes(changes) if changes.is_empty() => {
            return "no limit of its readings changed".to_owned();
        }
        Changes::Yes(changes) => changes,
    };
    let told: Vec<String> = changes.iter().take(MOST_CHANGES).map(change_text).collect();
    let more = match changes.len().saturating_sub(MOST_CHANGES) {
        0 => String::new(),
        more => format!("; and {more} more"),
    };
    format!("{} changed: {}{more}", counted(changes.len(), "limit", "limits"), told.join("; "))
}

fn change_text(change: &LimitChange) -> String {
    let limit = |text: &Option<String>| text.as_deref().map(shown);
    match (limit(&change.was), limit(&change.now)) {
        (Some(was), Some(now)) => format!("{} was {was}, is {now}", shown(&change.check)),
        (Some(was), None) => format!("{} was {was}, is not judged now", shown(&change.check)),
        (None, now) => {
            format!("{} was not judged, is {}", shown(&change.check), now.unwrap_or_default())
        }
    }
}
