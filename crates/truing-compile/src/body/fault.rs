//! Faults: how often they are the cause, and what they upset how often.

use std::collections::{BTreeMap, HashMap, HashSet};

use truing_model::{Bands, CautionId, Fault};
use truing_syntax::tree::{Chance, Effect, FaultDecl, FaultMember, Figure, Likelihood, Name, Path};
use truing_syntax::{Span, Spanned};

use super::{CheckAt, cautions, check};
use crate::check::Possible;
use crate::context::Context;
use crate::family::{FamilyId, FamilyRef};
use crate::lint;
use crate::names::{Sort, Wanted};

/// Figures are decimals, their sums are not.
const ROUNDING: f64 = 1e-9;

const FIX: Wanted = Wanted::new(&[Sort::Fix], "a fix");

/// What a fault's body says.
#[derive(Clone, Debug)]
pub(crate) struct FaultIr {
    pub prior: f64,
    pub makes: Vec<Makes>,
    /// The fixes, by place.
    pub fixes: Vec<usize>,
    pub cautions: Vec<CautionId>,
    pub notes: Vec<String>,
    /// A mistake was found in it: nothing more is said.
    broken: bool,
}

/// A check that it upsets.
#[derive(Copy, Clone, Debug)]
pub(crate) struct Makes {
    pub check: CheckAt,
    pub effect: Effect,
    pub chance: f64,
    pub span: Span,
}

pub(crate) fn faults(cx: &Context<'_>) {
    let mut known = Vec::new();
    let mut groups: BTreeMap<Signature, Vec<(&Name, Vec<usize>)>> = BTreeMap::new();
    for (decl, family) in &cx.faults {
        let ir = fault(cx, decl, *family);
        if cx.is_main(decl.name.span) && !cx.is_torn(decl.name.span) && !ir.broken {
            if ir.makes.is_empty() {
                cx.findings.push(lint::fault_upsets_nothing::finding(&decl.name));
            }
            below_leak(cx, &ir);
            let signature = signature(cx, &ir);
            if signature != Signature::default() {
                let mut fixes = ir.fixes.clone();
                fixes.sort_unstable();
                groups.entry(signature).or_default().push((&decl.name, fixes));
            }
        }
        known.push(ir);
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
    cx.bodies.faults.replace(known);
}

fn fault(cx: &Context<'_>, decl: &FaultDecl, family: FamilyRef) -> FaultIr {
    let current = family.ok().flatten();
    let mut ir = FaultIr {
        prior: Fault::PRIOR,
        makes: Vec::new(),
        fixes: Vec::new(),
        cautions: Vec::new(),
        notes: Vec::new(),
        broken: family.is_err(),
    };
    let mut said = false;
    cx.check_placeholders(&decl.title, family);
    for member in &decl.members {
        match member {
            FaultMember::Odds { count, of } => {
                said = true;
                let prior = odds(cx, count, of);
                ir.broken |= prior.is_none();
                ir.prior = prior.unwrap_or(ir.prior);
            }
            FaultMember::Makes { check, effect, chance } => {
                let made = makes(cx, decl, check, effect, current);
                let chance = likely(cx, chance.as_ref());
                match (made, chance) {
                    (Some(at), Some(chance)) => {
                        let span = check.span.to(effect.span);
                        ir.makes.push(Makes { check: at, effect: effect.node, chance, span });
                    }
                    _ => ir.broken = true,
                }
            }
            FaultMember::Fix(names) => {
                for name in names {
                    match cx.find(name, FIX) {
                        Some(entry) => ir.fixes.push(entry.index),
                        None => ir.broken = true,
                    }
                }
            }
            FaultMember::Caution(names) => ir.cautions.extend(cautions(cx, names)),
            FaultMember::Note(text) => {
                cx.check_placeholders(text, family);
                ir.notes.push(text.node.to_string());
            }
        }
    }
    if !said && cx.is_main(decl.name.span) && !cx.is_torn(decl.name.span) {
        cx.findings.push(lint::odds_missing::finding(&decl.name));
    }
    ir
}

/// Effects that come no oftener than the check is out of order by itself: they change nothing.
fn below_leak(cx: &Context<'_>, ir: &FaultIr) {
    let checks = cx.bodies.checks.borrow();
    let mut told = HashSet::new();
    for made in &ir.makes {
        let same = ir.makes.iter().filter(|other| other.check == made.check);
        let often: f64 = same.map(|other| other.chance).sum();
        let leak = checks.get(made.check.check).map_or(Bands::LEAK, |bands| bands.leak.total());
        if often <= leak + ROUNDING && told.insert(made.check) {
            let name = cx.checks.get(made.check.check).map_or("", |item| &item.decl.name.node);
            cx.findings.push(lint::effect_below_leak::finding(made.span, name, often, leak));
        }
    }
}

/// Some among more, as a share.
fn odds(cx: &Context<'_>, count: &Figure, of: &Figure) -> Option<f64> {
    let (some, all) = (cx.ratio(count), cx.ratio(of));
    let (some, all) = (some?, all?);
    // So few among so many that nothing is left is not above nought either.
    let share = some / all;
    let sound = some > 0.0 && some < all && share > 0.0 && share < 1.0;
    if !sound {
        cx.findings.push(lint::chance_outside::odds(count.span));
    }
    sound.then_some(share)
}

fn likely(cx: &Context<'_>, chance: Option<&Chance>) -> Option<f64> {
    let figure = match chance {
        None => return Some(word_chance(Likelihood::Always)),
        Some(Chance::Word(word)) => return Some(word_chance(word.node)),
        Some(Chance::Figure(figure)) => figure,
    };
    let share = cx.ratio(figure)?;
    let sound = share > 0.0 && share <= 1.0;
    if !sound {
        cx.findings.push(lint::chance_outside::chance(figure.span));
    }
    sound.then_some(share)
}

/// What the words for chances stand for: estimates that keep their order.
const fn word_chance(word: Likelihood) -> f64 {
    match word {
        Likelihood::Always => 0.97,
        Likelihood::Usually => 0.85,
        Likelihood::Sometimes => 0.5,
        Likelihood::Rarely => 0.1,
    }
}

/// The check that is upset.
fn makes(
    cx: &Context<'_>,
    decl: &FaultDecl,
    path: &Path,
    effect: &Spanned<Effect>,
    current: Option<FamilyId>,
) -> Option<CheckAt> {
    let at = check(cx, path, current)?;
    // A library's fault is held against the library's own limits, when the library is checked: a
    // spec may fill a limit with one side less.
    if !cx.is_main(decl.name.span) {
        return Some(at);
    }
    let possible = possible(cx, at)?;
    let (word, why) = match effect.node {
        Effect::Low if !possible.low => ("low", "it has no lower end"),
        Effect::High if !possible.high => ("high", "it has no upper end"),
        Effect::Worn if !possible.worn => ("worn", "it has no service limit"),
        _ => return Some(at),
    };
    let (check, can) = (&path.name.node, possible.words());
    cx.findings.push(lint::effect_impossible::finding(effect.span, check, word, why, &can));
    None
}

fn possible(cx: &Context<'_>, at: CheckAt) -> Option<Possible> {
    let item = cx.checks.get(at.check)?;
    Some(cx.possible(item.rule.get().and_then(Option::as_ref)?))
}

/// An effect as the bands that it drives a check into: `fail` is either side where there are two.
pub(crate) fn driven(effect: Effect, low: bool, high: bool) -> Vec<Effect> {
    match effect {
        Effect::Fail => match (low, high) {
            (true, true) => vec![Effect::High, Effect::Low],
            (true, false) => vec![Effect::Low],
            (false, true) => vec![Effect::High],
            (false, false) => vec![Effect::Fail],
        },
        other => vec![other],
    }
}

/// The chance of each band that the fault drives each check into.
fn driven_by(cx: &Context<'_>, ir: &FaultIr) -> HashMap<CheckAt, BTreeMap<u8, f64>> {
    let mut found: HashMap<CheckAt, BTreeMap<u8, f64>> = HashMap::new();
    for made in &ir.makes {
        let of = possible(cx, made.check).unwrap_or_default();
        let chances = found.entry(made.check).or_default();
        let bands = driven(made.effect, of.low, of.high);
        let each = made.chance / bands.len() as f64;
        for band in bands {
            *chances.entry(band as u8).or_insert(0.0) += each;
        }
    }
    found
}

/// What tells a fault from others.
#[derive(Debug, Default, PartialEq, Eq, PartialOrd, Ord)]
struct Signature {
    /// Every check that the fault most probably leaves out of order, with the bands in which.
    shown: Vec<(String, Vec<u8>)>,
    /// Of a fault that most probably shows nowhere, every effect with its chance.
    hidden: Vec<(String, u8, u64)>,
}

fn signature(cx: &Context<'_>, ir: &FaultIr) -> Signature {
    let mut signature = Signature::default();
    if ir.broken {
        return signature;
    }
    let checks = cx.bodies.checks.borrow();
    for (at, chances) in driven_by(cx, ir) {
        let leak = checks.get(at.check).map_or(Bands::LEAK, |bands| bands.leak.total());
        let ok = 1.0 - chances.values().sum::<f64>().max(leak);
        let most = chances.values().copied().fold(0.0, f64::max);
        let name = format!("{at:?}");
        if most > ok {
            let bands = chances.iter().filter(|(_, chance)| **chance >= most - 1e-9);
            signature.shown.push((name.clone(), bands.map(|(band, _)| *band).collect()));
        }
        let effect = |(band, chance): (u8, f64)| (name.clone(), band, chance.to_bits());
        signature.hidden.extend(chances.into_iter().map(effect));
    }
    if !signature.shown.is_empty() {
        signature.hidden.clear();
    }
    signature.shown.sort();
    signature.hidden.sort();
    signature
}
