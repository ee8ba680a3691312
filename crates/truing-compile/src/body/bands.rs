//! What checks say for diagnosis: which band shows, and how far they are to be trusted.

use truing_model::Bands;
use truing_syntax::Spanned;
use truing_syntax::tree::{BandLeak, CheckMember, Effect, Figure, Leak};

use crate::check::Possible;
use crate::context::{CheckItem, Context};
use crate::lint;

/// What a check's body says of it.
#[derive(Clone, Debug)]
pub(crate) struct BandsIr {
    pub leak: LeakIr,
    pub slip: f64,
    /// The bands that it names, the one that shows last.
    pub named: Vec<Effect>,
}

impl Default for BandsIr {
    fn default() -> Self {
        Self { leak: LeakIr::Even(Bands::LEAK), slip: Bands::SLIP, named: Vec::new() }
    }
}

/// How often a check comes out of order without any listed fault.
#[derive(Clone, Debug)]
pub(crate) enum LeakIr {
    /// In all, shared evenly.
    Even(f64),
    /// In each of these, and in no other.
    By(Vec<(Effect, f64)>),
}

impl LeakIr {
    pub fn total(&self) -> f64 {
        match self {
            Self::Even(all) => *all,
            Self::By(bands) => bands.iter().map(|(_, chance)| chance).sum(),
        }
    }
}

pub(crate) fn bands(cx: &Context<'_>) {
    let known = cx.checks.iter().map(|item| of_check(cx, item)).collect();
    cx.bodies.checks.replace(known);
}

fn of_check(cx: &Context<'_>, item: &CheckItem<'_>) -> BandsIr {
    let mut ir = BandsIr::default();
    let (mut leak, mut slip) = (None, None);
    for member in &item.decl.members {
        match member {
            CheckMember::Leak(said) => {
                leak = Some(said);
                ir.leak = self::leak(cx, item, said).unwrap_or(ir.leak);
            }
            CheckMember::Slip(figure) => {
                slip = Some(figure);
                ir.slip = share(cx, figure).unwrap_or(ir.slip);
            }
            CheckMember::Bands(words) => ir.named = named(cx, item, words),
            _ => {}
        }
    }
    if let (Some(leak), Some(slip)) = (leak, slip)
        && ir.slip == 0.0
        && (ir.leak.total() == 0.0 || leaves_out(cx, item, &ir.leak))
    {
        let leak = match leak {
            Leak::Even(figure) => Some(figure.span),
            Leak::By(bands) => bands.first().map(|of| of.chance.span),
        };
        let (name, leak) = (&item.decl.name, leak.unwrap_or(slip.span));
        cx.findings.push(match ir.leak.total() {
            0.0 => lint::leak_and_slip_nought::finding(name, leak, slip.span),
            _ => lint::leak_and_slip_nought::left_out(name, leak, slip.span),
        });
    }
    ir
}

/// Whether a check can come out in a band that its leak, said by band, never leads to.
fn leaves_out(cx: &Context<'_>, item: &CheckItem<'_>, leak: &LeakIr) -> bool {
    let LeakIr::By(bands) = leak else { return false };
    let rule = item.rule.get().and_then(Option::as_ref);
    let Some(rule) = rule.filter(|_| cx.is_main(item.decl.name.span)) else { return false };
    let possible = cx.possible(rule);
    let leaks = |band: Effect| bands.iter().any(|(of, chance)| *of == band && *chance > 0.0);
    ALL.into_iter().any(|band| has(possible, band) && !leaks(band))
}

fn leak(cx: &Context<'_>, item: &CheckItem<'_>, said: &Leak) -> Option<LeakIr> {
    let bands = match said {
        Leak::Even(figure) => return share(cx, figure).map(LeakIr::Even),
        Leak::By(bands) => bands,
    };
    let words: Vec<Spanned<Effect>> = bands.iter().map(|of| of.band.clone()).collect();
    let known = named(cx, item, &words);
    let mut all: Vec<(Effect, f64)> = Vec::new();
    let mut sum = 0.0;
    for BandLeak { band, chance } in bands {
        let Some(share) = share(cx, chance) else { continue };
        sum += share;
        if sum >= 1.0 {
            cx.findings.push(lint::chance_outside::trust(chance.span));
            return None;
        }
        if known.contains(&band.node) && all.iter().all(|(other, _)| *other != band.node) {
            all.push((band.node, share));
        }
    }
    Some(LeakIr::By(all))
}

/// A chance that may be nought, and is not certain.
fn share(cx: &Context<'_>, figure: &Figure) -> Option<f64> {
    let share = cx.ratio(figure)?;
    if (0.0..1.0).contains(&share) {
        return Some(share);
    }
    cx.findings.push(lint::chance_outside::trust(figure.span));
    None
}

/// The bands that are named, each once, of those that the rule has.
fn named(cx: &Context<'_>, item: &CheckItem<'_>, words: &[Spanned<Effect>]) -> Vec<Effect> {
    let mut named: Vec<Effect> = Vec::new();
    let name = &item.decl.name.node;
    // A spec may fill a library's limit with one side less.
    let possible = match item.rule.get().and_then(Option::as_ref) {
        Some(rule) if cx.is_main(item.decl.name.span) => Some(cx.possible(rule)),
        _ => None,
    };
    for word in words {
        if named.contains(&word.node) {
            cx.findings.push(lint::bands_wrong::twice(word.span, spelt(word.node)));
            continue;
        }
        if let Some(possible) = possible
            && !has(possible, word.node)
        {
            let can: Vec<&str> =
                ALL.into_iter().filter(|of| has(possible, *of)).map(spelt).collect();
            cx.findings.push(lint::bands_wrong::missing(word.span, name, spelt(word.node), &can));
            continue;
        }
        named.push(word.node);
    }
    named
}

const ALL: [Effect; 4] = [Effect::Worn, Effect::High, Effect::Low, Effect::Fail];

/// Whether a rule that can come out so has a band of this name; `fail` is one where nothing else
/// is.
fn has(possible: Possible, band: Effect) -> bool {
    match band {
        Effect::Worn => possible.worn,
        Effect::High => possible.high,
        Effect::Low => possible.low,
        Effect::Fail => !(possible.worn || possible.high || possible.low),
    }
}

pub(crate) const fn spelt(effect: Effect) -> &'static str {
    match effect {
        Effect::Worn => "worn",
        Effect::High => "high",
        Effect::Low => "low",
        Effect::Fail => "fail",
    }
}
