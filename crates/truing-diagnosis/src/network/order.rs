//! Checks in the order of what they require, or the ring that forbids one.

use super::{CheckDraft, NetworkError};
use crate::index::Check;

/// The turn of each check, which comes after those of the checks that it requires.
pub(super) fn turns(checks: &[CheckDraft]) -> Result<Vec<usize>, NetworkError> {
    let mut turns = vec![0; checks.len()];
    for (at, check) in by_need(checks)?.into_iter().enumerate() {
        if let Some(turn) = turns.get_mut(check.0) {
            *turn = at;
        }
    }
    Ok(turns)
}

/// Depth-first: each check after those that it requires, otherwise in spec order.
fn by_need(checks: &[CheckDraft]) -> Result<Vec<Check>, NetworkError> {
    let mut order = Vec::with_capacity(checks.len());
    let mut mark = vec![Mark::New; checks.len()];
    for start in 0..checks.len() {
        visit(start, checks, &mut mark, &mut order)?;
    }
    Ok(order)
}

#[derive(Clone, Copy, PartialEq)]
enum Mark {
    New,
    Open,
    Done,
}

/// A stack of its own: a chain of ten thousand requirements mustn't overflow the thread's.
fn visit(
    start: usize,
    checks: &[CheckDraft],
    mark: &mut [Mark],
    order: &mut Vec<Check>,
) -> Result<(), NetworkError> {
    let mut stack = vec![(start, 0_usize)];
    while let Some((at, next)) = stack.pop() {
        let Some(state) = mark.get_mut(at) else { continue };
        if *state == Mark::Done {
            continue;
        }
        *state = Mark::Open;
        let Some(requirement) = checks.get(at).and_then(|c| c.requires.get(next)) else {
            *state = Mark::Done;
            order.push(Check(at));
            continue;
        };
        stack.push((at, next + 1));
        let need = requirement.check.0;
        match mark.get(need) {
            Some(Mark::Open) => return Err(ring(&stack, need)),
            Some(Mark::New) => stack.push((need, 0)),
            _ => {}
        }
    }
    Ok(())
}

fn ring(stack: &[(usize, usize)], need: usize) -> NetworkError {
    let checks = stack.iter().map(|(at, _)| *at).skip_while(|at| *at != need).map(Check);
    NetworkError::Ring { checks: checks.collect() }
}
