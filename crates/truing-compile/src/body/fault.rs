//! Faults and what mends them.

use std::collections::BTreeMap;

use truing_syntax::Spanned;
use truing_syntax::tree::{Effect, FaultDecl, FaultMember, Figure, FixMember, Name, Path};
use truing_units::Kind;

use super::{cautions, check};
use crate::context::Context;
use crate::family::{FamilyId, FamilyRef};
use crate::lint;
use crate::names::{Sort, Wanted};

const FIX: Wanted = Wanted::new(&[Sort::Fix], "a fix");

/// A check as it is written, and what happens to it.
type Mark = (String, u8);

/// What a fault upsets, and how it is mended: what tells it from others.
#[derive(Debug, Default)]
struct Marks {
    makes: Vec<Mark>,
    fixes: Vec<String>,
    /// A mistake was found in it: nothing more is said.
    broken: bool,
}

pub(crate) fn faults(cx: &Context<'_>) {
    let mut groups: BTreeMap<Vec<Mark>, Vec<(&Name, Vec<String>)>> = BTreeMap::new();
    for (decl, family) in &cx.faults {
        let marks = fault(cx, decl, *family);
        let main = cx.is_main(decl.name.span);
        if marks.makes.is_empty() && !marks.broken && main && !cx.is_torn(decl.name.span) {
            cx.findings.push(lint::fault_upsets_nothing::finding(&decl.name));
        }
        if !marks.broken && !marks.makes.is_empty() && main && !cx.is_torn(decl.name.span) {
            groups.entry(marks.makes).or_default().push((&decl.name, marks.fixes));
        }
    }
    for group in groups.into_values() {
        let differ = group.windows(2).any(|pair| match pair {
            [(_, one), (_, other)] => one != other,
            _ => false,
        });
        if differ {
            let names: Vec<&Name> = group.iter().map(|(name, _)| *name).collect();
            cx.findings.extend(lint::ambiguity_group::finding(&names));
        }
    }
}

fn fault(cx: &Context<'_>, decl: &FaultDecl, family: FamilyRef) -> Marks {
    let current = family.ok().flatten();
    let mut marks = Marks { broken: family.is_err(), ..Marks::default() };
    cx.check_placeholders(&decl.title, family);
    for member in &decl.members {
        match member {
            FaultMember::Odds { count, of } => marks.broken |= !odds(cx, count, of),
            FaultMember::Makes { check, effect, chance } => {
                let made = makes(cx, decl, check, effect, current);
                let chance = chance.as_ref().is_none_or(|chance| likely(cx, chance));
                match made {
                    Some(mark) => marks.makes.push(mark),
                    None => marks.broken = true,
                }
                marks.broken |= !chance;
            }
            FaultMember::Fix(names) => {
                for name in names {
                    match cx.find(name, FIX) {
                        Some(_) => marks.fixes.push(name.node.to_string()),
                        None => marks.broken = true,
                    }
                }
            }
            FaultMember::Caution(names) => {
                cautions(cx, names);
            }
            FaultMember::Note(text) => cx.check_placeholders(text, family),
        }
    }
    marks.makes.sort();
    marks.makes.dedup();
    marks.fixes.sort();
    marks
}

/// Whether some among more are counted.
fn odds(cx: &Context<'_>, count: &Figure, of: &Figure) -> bool {
    let (Some(some), Some(all)) = (cx.ratio(count), cx.ratio(of)) else { return false };
    let sound = some > 0.0 && some < all;
    if !sound {
        cx.findings.push(lint::chance_outside::odds(count.span));
    }
    sound
}

fn likely(cx: &Context<'_>, chance: &Figure) -> bool {
    let Some(share) = cx.ratio(chance) else { return false };
    let sound = share > 0.0 && share <= 1.0;
    if !sound {
        cx.findings.push(lint::chance_outside::chance(chance.span));
    }
    sound
}

/// The check that is upset and how, as a mark.
fn makes(
    cx: &Context<'_>,
    decl: &FaultDecl,
    path: &Path,
    effect: &Spanned<Effect>,
    current: Option<FamilyId>,
) -> Option<Mark> {
    let index = check(cx, path, current)?;
    let mark = (cx.files.printed(path.span), effect.node as u8);
    // A library's fault is held against the library's own limits, when the library is checked: a
    // spec may fill a limit with one side less.
    if !cx.is_main(decl.name.span) {
        return Some(mark);
    }
    let item = cx.checks.get(index)?;
    let possible = cx.possible(item.rule.get().and_then(Option::as_ref)?);
    let (word, why) = match effect.node {
        Effect::Low if !possible.low => ("low", "it has no lower end"),
        Effect::High if !possible.high => ("high", "it has no upper end"),
        Effect::Worn if !possible.worn => ("worn", "it has no service limit"),
        _ => return Some(mark),
    };
    let (check, can) = (&path.name.node, possible.words());
    cx.findings.push(lint::effect_impossible::finding(effect.span, check, word, why, &can));
    None
}

pub(crate) fn fixes(cx: &Context<'_>) {
    for decl in &cx.fixes {
        for member in &decl.members {
            match member {
                FixMember::Takes(figure) => {
                    cx.figure(figure, Kind::TIME);
                }
                FixMember::Proves(paths) => {
                    for path in paths {
                        check(cx, path, None);
                    }
                }
                FixMember::Caution(names) => {
                    cautions(cx, names);
                }
                FixMember::Part(_) | FixMember::Note(_) => {}
            }
        }
    }
}
