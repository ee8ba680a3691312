//! What can be said once everything is known: what is never used, never filled, never reached,
//! never judged.

use truing_syntax::tree::{LimitDecl, Name, StateMember};

use crate::context::Context;
use crate::lower::Lowered;
use crate::names::Sort;
use crate::{bounds, lint};

pub(crate) fn review(cx: &Context<'_>, lowered: &Lowered) {
    if !cx.is_library {
        open(cx);
        unsourced(cx);
    }
    states(cx);
    bounds::checks(cx, lowered);
    unused(cx, stray(cx).as_deref());
}

/// Marks what is named in stretches that could not be read. Gives the sorts named there: of another
/// sort the one that is missing may be the very thing that seems unused. `None` where all was read.
fn stray(cx: &Context<'_>) -> Option<Vec<Sort>> {
    let main = cx.files.main().filter(|main| !main.parsed.findings.is_empty())?;
    let mut sorts = Vec::new();
    for word in main.parsed.stray_words() {
        if let Some(entry) = cx.scope.get(word) {
            entry.used.set(true);
            sorts.push(entry.sort);
        }
    }
    Some(sorts)
}

/// Limits and constants that the spec never fills.
fn open(cx: &Context<'_>) {
    let report = |name: &Name, sort| {
        let own = cx.is_main(name.span);
        let by =
            if own { None } else { cx.files.of(name.span.file).and_then(|file| file.brought_by) };
        cx.findings.push(lint::limit_open::finding(name, sort, by.unwrap_or(name.span)));
    };
    for item in &cx.limits {
        let lost = cx.scope.is_unread(&item.first.name.node);
        if item.valued().value.is_none() && item.kind.get().is_some_and(Option::is_some) && !lost {
            report(&item.first.name, "limit");
        }
    }
    for item in &cx.constants {
        if item.valued().value.is_none() && item.checked.get().is_some_and(Option::is_some) {
            report(&item.first.name, "constant");
        }
    }
}

/// Limits of the spec that cite nothing.
fn unsourced(cx: &Context<'_>) {
    use truing_syntax::tree::LimitForm;
    let says_something =
        |decl: &LimitDecl| decl.value.as_ref().is_some_and(|v| v.form != LimitForm::NotSpecified);
    for item in &cx.limits {
        let decl = item.valued();
        if says_something(decl) && decl.cites.is_empty() && cx.is_main(decl.name.span) {
            cx.findings.push(lint::limit_without_source::finding(&decl.name));
        }
    }
}

/// States that no chain of `from` leads to.
fn states(cx: &Context<'_>) {
    let from = |index: usize| {
        let members = cx.states.get(index).map(|decl| decl.members.as_slice()).unwrap_or_default();
        members.iter().filter_map(|member| match member {
            StateMember::From(names) => Some(names),
            _ => None,
        })
    };
    let place = |name: &Name| {
        let entry = cx.scope.get(&name.node)?;
        (entry.sort == Sort::State).then_some(entry.index)
    };
    let count = cx.states.len();
    let mut onward: Vec<Vec<usize>> = vec![Vec::new(); count];
    let mut reached = vec![false; count];
    for index in 0..count {
        let mut begins = from(index).next().is_none();
        for name in from(index).flatten() {
            match place(name).and_then(|other| onward.get_mut(other)) {
                Some(onward) => onward.push(index),
                // A name that could not be found has its finding: the state counts as reached.
                None => begins = true,
            }
        }
        if let Some(here) = reached.get_mut(index) {
            *here = begins;
        }
    }
    let mut open: Vec<usize> =
        (0..count).filter(|index| reached.get(*index) == Some(&true)).collect();
    while let Some(here) = open.pop() {
        for next in onward.get(here).into_iter().flatten() {
            if let Some(fresh) = reached.get_mut(*next).filter(|reached| !**reached) {
                *fresh = true;
                open.push(*next);
            }
        }
    }
    for (decl, reached) in cx.states.iter().zip(reached) {
        if !reached {
            cx.findings.push(lint::state_unreachable::finding(&decl.name));
        }
    }
}

/// Names of the main file that nothing asks for.
fn unused(cx: &Context<'_>, stray: Option<&[Sort]>) {
    let main = cx.files.main_index();
    for entry in cx.scope.entries().filter(|entry| entry.file == main && !entry.used.get()) {
        if stray.is_some_and(|sorts| !sorts.contains(&entry.sort)) {
            continue;
        }
        let reported = match entry.sort {
            Sort::Source | Sort::Caution | Sort::Family | Sort::State => true,
            Sort::Limit | Sort::Constant | Sort::Derived | Sort::Fix | Sort::Property => {
                !cx.is_library
            }
            Sort::Reading | Sort::Observation => {
                if !cx.is_library {
                    cx.findings.push(lint::reading_never_asked::finding(entry.name));
                }
                false
            }
            Sort::Instrument | Sort::Check | Sort::Fault | Sort::Procedure => false,
        };
        if reported {
            cx.findings.push(lint::never_used::finding(entry.name, entry.sort));
        }
    }
}
