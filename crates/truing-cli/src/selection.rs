//! The checks and rounds that the command line asks for, by name.

use truing::job::{JobSheet, nearest, slugs};
use truing::model::{CheckId, Spec};
use truing::report::Problem;

/// The checks that `asked` names, each by its label or by its name for all members; `None` where
/// nothing is asked for, which is all of them.
///
/// # Errors
/// Every name that the spec does not have.
pub fn checks(spec: &Spec, asked: &[String]) -> Result<Option<Vec<CheckId>>, Vec<Problem>> {
    if asked.is_empty() {
        return Ok(None);
    }
    let mut found = Vec::new();
    let mut problems = Vec::new();
    for name in asked {
        let before = found.len();
        let ids = (0u32..).map(CheckId).zip(&spec.checks);
        let is_it = |label: &str, whole: &str| label == name || whole == name;
        found.extend(ids.filter(|(_, c)| is_it(&c.label, &c.name)).map(|(id, _)| id));
        if found.len() == before {
            problems.push(no_such_check(spec, name));
        }
    }
    found.sort();
    found.dedup();
    if problems.is_empty() { Ok(Some(found)) } else { Err(problems) }
}

fn no_such_check(spec: &Spec, name: &str) -> Problem {
    let labels = spec.checks.iter().flat_map(|check| [check.label.as_str(), check.name.as_str()]);
    let problem = Problem::new("unknown-check", format!("the spec has no check `{name}`"));
    match nearest(name, labels) {
        Some(near) => problem.file("--only").mend(format!("did you mean `{near}`?")),
        None => problem.file("--only"),
    }
}

/// The places of the rounds that `asked` names, by name or by number from 1; of nothing all.
///
/// # Errors
/// Where the sheet has no such round.
pub fn rounds(sheet: &JobSheet, asked: Option<&str>) -> Result<Vec<usize>, Problem> {
    let Some(asked) = asked else {
        // A sheet without a single round still has a head that can be wrong.
        return Ok((0..sheet.rounds.len().max(1)).collect());
    };
    let by_name = sheet.rounds.iter().position(|round| round.name == asked);
    let by_number = || {
        let number: usize = asked.trim().parse().ok()?;
        number.checked_sub(1).filter(|place| *place < sheet.rounds.len())
    };
    by_name.or_else(by_number).map(|place| vec![place]).ok_or_else(|| {
        let names: Vec<&str> = sheet.rounds.iter().map(|round| round.name.as_str()).collect();
        Problem::new(slugs::NO_SUCH_ROUND.0, format!("the sheet has no round `{asked}`"))
            .file(sheet.file.as_str())
            .mend(format!("its rounds are {}", names.join(", ")))
    })
}
