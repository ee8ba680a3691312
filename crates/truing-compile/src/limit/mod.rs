//! Limits: from what is printed to intervals, curves and variants.

mod condition;
mod curve;
mod ends;
mod form;
mod interval;
mod printed;
pub(crate) mod variant;

use std::sync::Arc;

use truing_model::{Band, Cite, Curve, Interval, SourceId};
use truing_syntax::Span;
use truing_syntax::tree::{self, KindName, LimitDecl, LimitExpr};
use truing_units::{Kind, Measure, Ty, Unit};

pub(crate) use ends::form_span;
pub(crate) use interval::{contains, holds};

use crate::context::Context;
use crate::lint::{self, Said};
use crate::names::{Sort, Wanted, nearest};
use crate::typing::{Logic, Num, Place, Value, kind_place};

/// A limit, resolved and checked.
#[derive(Clone, Debug)]
pub(crate) struct LimitIr {
    pub name: Option<Arc<str>>,
    pub title: Option<Arc<str>>,
    pub kind: Kind,
    /// The kind that its curve goes by.
    pub by: Option<Kind>,
    pub unit: Unit,
    pub printed: String,
    pub rule: RuleIr,
    pub conditions: Vec<ConditionIr>,
    pub reference: Vec<Reference>,
    pub typical: Option<Measure>,
    pub cites: Vec<Cite>,
    pub span: Span,
}

/// What a limit says, with conditions not yet lowered.
#[derive(Clone, Debug)]
pub(crate) enum RuleIr {
    /// Left open by a library.
    Open,
    NotSpecified,
    Band(Box<Band>),
    Curve(Curve),
    Variants(Vec<ArmIr>),
}

/// One arm of a limit by variants; without a condition it is `otherwise`.
#[derive(Clone, Debug)]
pub(crate) struct ArmIr {
    pub condition: Option<Logic>,
    pub rule: RuleIr,
    pub printed: String,
}

/// `at engine_speed 1400 ± 100 rpm`
#[derive(Clone, Debug)]
pub(crate) struct ConditionIr {
    pub subject: Num,
    pub label: String,
    pub band: Interval,
    pub printed: String,
}

/// `at 20 degC`
#[derive(Clone, Debug)]
pub(crate) struct Reference {
    pub measure: Measure,
    pub ty: Ty,
    pub value: Value,
    pub span: Span,
}

const SOURCE: Wanted = Wanted::new(&[Sort::Source], "a source");

impl LimitIr {
    /// The curve's kind, where every point is a single value.
    pub(crate) fn curve_of_single_values(&self) -> Result<Kind, &'static str> {
        match (&self.rule, self.by) {
            (RuleIr::Open, Some(by)) => Ok(by),
            (RuleIr::Curve(curve), _) => {
                let single = |band: &Band| match (&band.standard.low, &band.standard.high) {
                    (Some(low), Some(high)) => low.value.total_cmp(&high.value).is_eq(),
                    _ => false,
                };
                let all = curve.points.iter().all(|point| single(&point.band));
                all.then_some(curve.by).ok_or("its points are bands, not single values")
            }
            _ => Err("it is no curve"),
        }
    }

    /// A finding where a constant lies outside the curve's points.
    pub(crate) fn ask(&self, cx: &Context<'_>, at: Value, span: Span) {
        let RuleIr::Curve(curve) = &self.rule else { return };
        let value = |point: &truing_model::CurvePoint| Value { value: point.x, exact: point.exact };
        let (Some(first), Some(last)) = (curve.points.first(), curve.points.last()) else { return };
        if at.compare(value(first)).is_lt() || at.compare(value(last)).is_gt() {
            cx.findings.push(lint::curve_outside::finding(
                span,
                self.span,
                &cx.files.printed(self.span),
            ));
        }
    }
}

impl<'a> Context<'a> {
    /// What a limit is a limit of, from its declaration or from the unit it is printed in.
    pub(crate) fn limit_kind(&self, index: usize) -> Option<Kind> {
        let item = self.limits.get(index)?;
        *item.kind.get_or_init(|| {
            let declared = self.declared_kind(item.first.kind.as_ref(), item.fill);
            declared.unwrap_or_else(|| {
                let open = self.limits.iter().filter(|other| other.first.kind.is_some());
                let names = open.map(|other| &*other.first.name.node);
                let name = &item.first.name;
                // What is meant by it is open: that nothing uses it says nothing more.
                if let Some(entry) = self.scope.get(&name.node) {
                    entry.used.set(true);
                }
                if self.scope.is_incomplete() {
                    return None;
                }
                self.findings.push(lint::kind_missing::limit(
                    self,
                    item.first,
                    nearest(&name.node, names),
                ));
                None
            })
        })
    }

    /// The kind that is written; `Some(None)` where one is written and unknown.
    #[expect(
        clippy::option_option,
        reason = "outer: whether one is written; inner: whether it is known"
    )]
    fn declared_kind(
        &self,
        first: Option<&KindName>,
        fill: Option<&LimitDecl>,
    ) -> Option<Option<Kind>> {
        let again = fill.and_then(|fill| fill.kind.as_ref());
        let kind = self.kind(first.or(again)?);
        if let (Some(first), Some(again), Some(kind)) = (first, again, kind)
            && let Some(other) = self.kind(again)
            && other != kind
        {
            let first = Said::named(first.span, "the library limits", Ty::Kind(kind));
            let again = Said::named(again.span, "here it is", Ty::Kind(other));
            self.findings.push(lint::mismatch(self, again.span, &again, &first));
        }
        Some(kind)
    }

    /// The limit, checked when it is first asked for.
    pub(crate) fn limit(&self, index: usize, asked_at: Span) -> Option<&LimitIr> {
        let item = self.limits.get(index)?;
        if let Some(known) = item.checked.get() {
            return known.as_ref();
        }
        if item.asking.replace(true) {
            self.findings.push(lint::check_cycle::definition(&item.first.name, asked_at));
            return None;
        }
        let checked = self.deeper(&item.first.name, || self.checked_limit(index));
        item.asking.set(false);
        item.checked.get_or_init(|| checked).as_ref()
    }

    fn checked_limit(&self, index: usize) -> Option<LimitIr> {
        let item = self.limits.get(index)?;
        let decl = item.valued();
        let cites = self.cites(&decl.cites);
        let kind = self.limit_kind(index)?;
        let declared_by = item.first.by.as_ref().or(item.fill.and_then(|fill| fill.by.as_ref()));
        let declared_by = match declared_by {
            Some(by) => Some(self.kind(by)?),
            None => None,
        };
        let title = decl.title.as_ref().or(item.first.title.as_ref()).map(|text| text.node.clone());
        let name = Some(decl.name.node.clone());
        let Some(value) = &decl.value else {
            return Some(LimitIr {
                name,
                title,
                kind,
                by: declared_by,
                unit: self.catalogue.coherent_unit(kind),
                printed: String::new(),
                rule: RuleIr::Open,
                conditions: Vec::new(),
                reference: Vec::new(),
                typical: None,
                cites,
                span: decl.name.span,
            });
        };
        let asks = item.first.kind.as_ref().map_or(decl.name.span, |kind| kind.span);
        let place = kind_place(kind, asks, format!("`{}` limits", decl.name.node));
        self.older_figures(decl, kind, &place);
        let mut ir = self.limit_of(value, kind, &place)?;
        if let (Some(wanted), Some(by)) = (declared_by, ir.by)
            && wanted != by
        {
            let first =
                Said::named(item.first.name.span, "the library's curve goes by", Ty::Kind(wanted));
            let here = Said::named(value.span, "this curve goes by", Ty::Kind(by));
            self.findings.push(lint::mismatch(self, value.span, &here, &first));
            return None;
        }
        (ir.name, ir.title, ir.cites) = (name, title, cites);
        // A flat limit in the place of an open curve holds at every point, but a check that says
        // where it asks must go on making sense.
        ir.by = ir.by.or(declared_by);
        Some(ir)
    }

    /// A limit written inside a check, for a subject of this type.
    pub(crate) fn inline_limit(
        &self,
        value: &LimitExpr,
        subject: Ty,
        said: Said,
    ) -> Option<LimitIr> {
        let kind = match subject {
            Ty::Kind(kind) => kind,
            Ty::RATIO => Kind::RATIO,
            Ty::Plain(dimension) => match self.first_ty(value)? {
                Ty::Kind(kind) if self.catalogue.kind(kind).dimension == dimension => kind,
                other => {
                    let here = Said::new(value.span, other, self.first_unit(value).as_ref());
                    self.findings.push(lint::mismatch(self, value.span, &here, &said));
                    return None;
                }
            },
        };
        let place = Place { ty: Ty::Kind(kind), said, soft: false };
        self.limit_of(value, kind, &place)
    }

    /// The figures that errata replaced are of the limit's kind too.
    fn older_figures(&self, decl: &LimitDecl, kind: Kind, place: &Place) {
        for was in decl.cites.iter().filter_map(|cite| cite.was.as_deref()) {
            let Some(unit) = self.first_unit(was) else { continue };
            if !unit.fits(kind, &self.catalogue) {
                let first = unit.kinds().first();
                let ty = first.map_or(Ty::Plain(unit.dimension()), |kind| Ty::Kind(*kind));
                let here = Said::new(was.span, ty, Some(&unit));
                self.findings.push(lint::mismatch(self, was.span, &here, &place.said));
            }
        }
    }

    /// Sources that are cited; findings for those that are not declared.
    pub(crate) fn cites(&self, cites: &[tree::Cite]) -> Vec<Cite> {
        for cite in cites {
            self.find(&cite.source, SOURCE);
            if let Some(mend) = &cite.mend {
                self.find(mend, SOURCE);
            }
        }
        self.quiet_cites(cites)
    }
}

impl Context<'_> {
    /// As [`Context::cites`], without findings: they were made when the item was checked.
    pub(crate) fn quiet_cites(&self, cites: &[tree::Cite]) -> Vec<Cite> {
        let source = |name: &tree::Name| {
            let entry = self.scope.get(&name.node).filter(|entry| entry.sort == Sort::Source)?;
            Some(SourceId(u32::try_from(entry.index).ok()?))
        };
        let resolved = cites.iter().filter_map(|cite| {
            Some(Cite {
                source: source(&cite.source)?,
                place: cite.place.as_ref().map(|text| text.node.to_string()),
                mend: cite.mend.as_ref().and_then(source),
                was: cite.was.as_ref().map(|was| self.files.printed(was.span)),
            })
        });
        resolved.collect()
    }
}
