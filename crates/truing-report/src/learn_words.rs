//! What was learned, in words and figures that the terminal and the file share.

use truing_engine::suspects::{Lesson, WHOLE_JOB};
use truing_model::{CheckId, FaultId, Spec};

use crate::layout::listed;

/// The label of a fault.
pub(crate) fn fault(spec: &Spec, id: FaultId) -> String {
    spec.fault(id).map_or(String::new(), |fault| fault.label.clone())
}

/// The label of a check.
pub(crate) fn check(spec: &Spec, id: CheckId) -> String {
    spec.check(id).map_or(String::new(), |check| check.label.clone())
}

/// A share with one decimal: jobs move it by less than a per cent.
pub(crate) fn share(of: f64) -> String {
    format!("{:.1} %", of * 100.0)
}

/// A number of jobs, to the hundredths in which jobs are shared out.
pub(crate) fn jobs(of: f64) -> String {
    format!("{}", (of * 100.0).round() / 100.0)
}

/// What a job counts for: `stator_grounded`, `a 0.97 and b 0.03`.
pub(crate) fn causes(spec: &Spec, lesson: &Lesson) -> String {
    if let [(only, WHOLE_JOB)] = lesson.causes.as_slice() {
        return fault(spec, *only);
    }
    let each = lesson.causes.iter().map(|(id, part)| {
        let part = f64::from(*part) / f64::from(WHOLE_JOB);
        format!("{} {part}", fault(spec, *id))
    });
    listed(&each.collect::<Vec<_>>())
}
