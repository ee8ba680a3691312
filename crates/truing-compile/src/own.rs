//! Kinds of quantity and units that the files declare themselves.

use truing_model::{OwnKind, OwnUnit};
use truing_syntax::tree::{ItemKind, KindDecl, UnitDecl};
use truing_units::{Exact, Floor, KindDef, Nature, Rational};

use crate::context::Context;
use crate::lint;

/// Adds them to the catalogue: all kinds, then all units.
pub(crate) fn add(cx: &mut Context<'_>) {
    let files = cx.files;
    let items = || files.members.iter().flat_map(|member| &member.parsed.tree.items);
    for item in items() {
        if let ItemKind::Kind(decl) = &item.kind {
            add_kind(cx, decl);
        }
    }
    for item in items() {
        if let ItemKind::Unit(decl) = &item.kind
            && add_unit(cx, decl).is_none()
        {
            cx.broken_units.insert(decl.name.node.clone());
        }
    }
    cx.units.borrow_mut().clear();
}

fn add_kind(cx: &mut Context<'_>, decl: &KindDecl) {
    let Some(mut def) = described(cx, decl) else {
        cx.broken_kinds.insert(decl.name.node.clone());
        return;
    };
    def.name = decl.name.node.to_string().into();
    def.words = decl.title.node.to_string().into();
    let own = OwnKind {
        name: def.name.to_string(),
        words: def.words.to_string(),
        dimension: def.dimension,
        nature: def.nature,
        unit: def.unit.to_string(),
        floor: def.floor,
    };
    match cx.catalogue.add_kind(def) {
        Ok(_) => cx.own_kinds.push(own),
        Err(error) => {
            cx.findings.push(lint::defined_twice::in_catalogue(&decl.name, "a kind", &error));
        }
    }
}

fn described(cx: &Context<'_>, decl: &KindDecl) -> Option<KindDef> {
    if let Some(like) = &decl.like {
        let like = cx.kind(like)?;
        return Some(cx.catalogue.kind(like).clone());
    }
    let unit = cx.unit(decl.unit.as_ref()?)?;
    let dimension = unit.dimension();
    // The coherent unit of a new kind is that of an old one of its dimension, if there is one.
    let coherent = cx
        .catalogue
        .kinds()
        .find(|(_, def)| def.dimension == dimension && def.nature == Nature::Amount)
        .map_or_else(|| dimension.to_string().into(), |(_, def)| def.unit.clone());
    Some(KindDef {
        name: "".into(),
        words: "".into(),
        dimension,
        nature: Nature::Amount,
        unit: coherent,
        floor: Floor::None,
        doc: decl.title.node.to_string().into(),
    })
}

fn add_unit(cx: &mut Context<'_>, decl: &UnitDecl) -> Option<()> {
    let kind = cx.kind(&decl.kind);
    let figure = &decl.value;
    let Some(unit_text) = &figure.unit else {
        let words = kind.map(|kind| cx.catalogue.kind(kind).words.to_string());
        cx.findings.push(lint::unit_missing::finding(cx, figure.span, kind, words.as_deref()));
        return None;
    };
    let (kind, unit) = (kind, cx.unit(unit_text));
    let (kind, unit) = (kind?, unit?);
    if !unit.fits(kind, &cx.catalogue) {
        cx.findings.push(lint::unit_mismatch::figure(cx, figure, &unit, kind, decl.kind.span));
        return None;
    }
    let value = figure.number.to_rational().map(Exact::from);
    let Some(factor) = value.and_then(|value| value.checked_mul(unit.factor())) else {
        cx.findings.push(lint::no_value::too_many_digits(figure.span));
        return None;
    };
    let (symbol, words) = (decl.name.node.to_string(), decl.title.node.to_string());
    let added = cx.catalogue.add_unit(&symbol, &words, vec![kind], factor, Rational::ZERO);
    let offset = Rational::ZERO;
    match added {
        Ok(()) => {
            cx.own_units.push(OwnUnit { symbol, words, kinds: vec![kind], factor, offset });
            Some(())
        }
        Err(error) => {
            cx.findings.push(lint::defined_twice::in_catalogue(&decl.name, "a unit", &error));
            None
        }
    }
}
