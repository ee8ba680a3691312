//! Items: one function for each keyword; heads apart from bodies, so that recovery can use them.

use pest::iterators::Pair;

use super::{Builder, Built};
use crate::grammar::Rule;
use crate::slugs;
use crate::tree::{
    CaseDecl, CautionDecl, CheckDecl, ConstantDecl, DerivedDecl, FamilyDecl, FamilyMembers,
    FaultDecl, FixDecl, InstrumentDecl, ItemKind, KindDecl, KindName, LearnedDecl, LibraryDecl,
    LimitDecl, Name, ObservationDecl, ProcedureDecl, PropertyDecl, PropertyDomain, ReadingDecl,
    SourceDecl, SpecDecl, StateDecl, Text, UnitDecl, UseDecl,
};

impl Builder<'_> {
    /// A whole item, body and all.
    pub(crate) fn item(&mut self, pair: Pair<'_, Rule>) -> Built<ItemKind> {
        match pair.as_rule() {
            Rule::limit => self.limit_item(pair).map(ItemKind::Limit),
            Rule::constant => self.constant(pair).map(ItemKind::Constant),
            Rule::derived => self.derived(pair).map(ItemKind::Derived),
            Rule::caution => self
                .named_text(pair)
                .map(|(name, text)| ItemKind::Caution(CautionDecl { name, text })),
            Rule::source => self
                .named_text(pair)
                .map(|(name, title)| ItemKind::Source(SourceDecl { name, title })),
            Rule::library => self
                .named_text(pair)
                .map(|(name, title)| ItemKind::Library(LibraryDecl { name, title })),
            Rule::r#use => {
                let path = self.only_text(pair)?;
                Ok(ItemKind::Use(UseDecl { path }))
            }
            Rule::family => self.family(pair).map(ItemKind::Family),
            Rule::property => self.property(pair).map(ItemKind::Property),
            Rule::kind => self.kind(pair).map(ItemKind::Kind),
            Rule::unit_item => self.unit_item(pair).map(ItemKind::Unit),
            _ => self.item_with_body(pair),
        }
    }

    fn item_with_body(&mut self, pair: Pair<'_, Rule>) -> Built<ItemKind> {
        let mut children = self.children(pair);
        let head = self.need_any(&mut children)?;
        let mut item = self.head(head)?;
        self.said.clear();
        if let Some(body) = children.take_any() {
            let mut members = self.children(body);
            while let Some(member) = members.take_any() {
                // A line that is refused is reported; the others are kept.
                let _reported = self.member(&mut item, member);
            }
        }
        Ok(item)
    }

    /// An item with a body that is still empty.
    pub(crate) fn head(&mut self, pair: Pair<'_, Rule>) -> Built<ItemKind> {
        match pair.as_rule() {
            Rule::reading_head => self.reading_head(pair).map(ItemKind::Reading),
            Rule::observation_head => self.observation_head(pair).map(ItemKind::Observation),
            Rule::check_head => self.check_head(pair).map(ItemKind::Check),
            Rule::fault_head => self.fault_head(pair).map(ItemKind::Fault),
            Rule::learned_head => {
                let of = self.only_name(pair)?;
                Ok(ItemKind::Learned(LearnedDecl { of, members: Vec::new() }))
            }
            rule => {
                let (name, title) = self.named_text(pair)?;
                Ok(match rule {
                    Rule::spec_head => {
                        ItemKind::Spec(SpecDecl { name, title, members: Vec::new() })
                    }
                    Rule::state_head => {
                        ItemKind::State(StateDecl { name, title, members: Vec::new() })
                    }
                    Rule::fix_head => ItemKind::Fix(FixDecl { name, title, members: Vec::new() }),
                    Rule::procedure_head => {
                        ItemKind::Procedure(ProcedureDecl { name, title, steps: Vec::new() })
                    }
                    Rule::case_head => {
                        ItemKind::Case(CaseDecl { name, title, members: Vec::new() })
                    }
                    Rule::instrument_head => {
                        ItemKind::Instrument(InstrumentDecl { name, title, members: Vec::new() })
                    }
                    _ => return self.mismatch(name.span, rule),
                })
            }
        }
    }

    /// A name and a text: `source sheet "…"`.
    fn named_text(&mut self, pair: Pair<'_, Rule>) -> Built<(Name, Text)> {
        let mut children = self.children(pair);
        let name = self.need(&mut children, Rule::name)?;
        let name = self.name(&name)?;
        let text = self.need(&mut children, Rule::string)?;
        Ok((name, self.text(&text)))
    }

    /// The text that is the pair's only one: `note "…"`.
    pub(crate) fn only_text(&mut self, pair: Pair<'_, Rule>) -> Built<Text> {
        let mut children = self.children(pair);
        let text = self.need(&mut children, Rule::string)?;
        Ok(self.text(&text))
    }

    fn limit_item(&mut self, pair: Pair<'_, Rule>) -> Built<LimitDecl> {
        let mut children = self.children(pair);
        let mut limit = self.limit_opening(&mut children)?;
        if let Some(value) = children.take(Rule::limit_value) {
            limit.value = Some(self.limit_value(value)?);
        }
        limit.cites = self.cites(&mut children)?;
        Ok(limit)
    }

    /// `limit NAME ["title"] [: KIND [by KIND]]`
    pub(crate) fn limit_opening(&mut self, children: &mut super::Children<'_>) -> Built<LimitDecl> {
        let name = self.need(children, Rule::name)?;
        let name = self.name(&name)?;
        let title = children.take(Rule::string).map(|text| self.text(&text));
        let (mut kind, mut by) = (None, None);
        if let Some(kinds) = children.take(Rule::limit_kind) {
            let mut kinds = self.children(kinds);
            let first = self.need(&mut kinds, Rule::name)?;
            kind = Some(self.name(&first)?);
            if let Some(second) = kinds.take(Rule::name) {
                by = Some(self.name(&second)?);
            }
        }
        Ok(LimitDecl { name, title, kind, by, value: None, cites: Vec::new() })
    }

    fn constant(&mut self, pair: Pair<'_, Rule>) -> Built<ConstantDecl> {
        let mut children = self.children(pair);
        let name = self.need(&mut children, Rule::name)?;
        let name = self.name(&name)?;
        let title = children.take(Rule::string).map(|text| self.text(&text));
        let kind = self.optional_name(&mut children)?;
        let value = match children.take(Rule::expr) {
            Some(value) => Some(self.whole_expression(value)?),
            None => None,
        };
        Ok(ConstantDecl { name, title, kind, value, cites: self.cites(&mut children)? })
    }

    fn optional_name(&mut self, children: &mut super::Children<'_>) -> Built<Option<KindName>> {
        match children.take(Rule::name) {
            Some(name) => self.name(&name).map(Some),
            None => Ok(None),
        }
    }

    /// `NAME[family] "title"`, as readings, observations, checks and faults begin.
    fn titled(&mut self, children: &mut super::Children<'_>) -> Built<(Name, Option<Name>, Text)> {
        let name = self.need(children, Rule::name)?;
        let name = self.name(&name)?;
        let family = self.over_family(children)?;
        let title = self.need(children, Rule::string)?;
        Ok((name, family, self.text(&title)))
    }

    fn over_family(&mut self, children: &mut super::Children<'_>) -> Built<Option<Name>> {
        match children.take(Rule::over_family) {
            Some(family) => {
                let mut parts = self.children(family);
                let name = self.need(&mut parts, Rule::name)?;
                self.name(&name).map(Some)
            }
            None => Ok(None),
        }
    }

    fn derived(&mut self, pair: Pair<'_, Rule>) -> Built<DerivedDecl> {
        let mut children = self.children(pair);
        let name = self.need(&mut children, Rule::name)?;
        let name = self.name(&name)?;
        let family = self.over_family(&mut children)?;
        let title = children.take(Rule::string).map(|text| self.text(&text));
        let kind = self.optional_name(&mut children)?;
        let value = self.need(&mut children, Rule::expr)?;
        let value = self.whole_expression(value)?;
        Ok(DerivedDecl { name, family, title, kind, value, cites: self.cites(&mut children)? })
    }

    fn family(&mut self, pair: Pair<'_, Rule>) -> Built<FamilyDecl> {
        let mut children = self.children(pair);
        let name = self.need(&mut children, Rule::name)?;
        let name = self.name(&name)?;
        if let Some(pairs) = children.take(Rule::pairs_of) {
            let mut parts = self.children(pairs);
            let of = self.need(&mut parts, Rule::name)?;
            let members = FamilyMembers::PairsOf(self.name(&of)?);
            return Ok(FamilyDecl { name, members });
        }
        let mut listed = Vec::new();
        while let Some(member) = children.take(Rule::member) {
            listed.push(self.name(&member)?);
        }
        Ok(FamilyDecl { name, members: FamilyMembers::Listed(listed) })
    }

    fn property(&mut self, pair: Pair<'_, Rule>) -> Built<PropertyDecl> {
        let mut children = self.children(pair);
        let name = self.need(&mut children, Rule::name)?;
        let name = self.name(&name)?;
        let title = self.need(&mut children, Rule::string)?;
        let title = self.text(&title);
        let first = self.need(&mut children, Rule::word)?;
        let first = self.name(&first)?;
        let mut words = Vec::new();
        while let Some(word) = children.take(Rule::word) {
            words.push(self.name(&word)?);
        }
        // One word is a kind of quantity: a property that can be one thing only says nothing.
        let domain = if words.is_empty() {
            PropertyDomain::Kind(first)
        } else {
            words.insert(0, first);
            PropertyDomain::Words(words)
        };
        Ok(PropertyDecl { name, title, domain })
    }

    fn kind(&mut self, pair: Pair<'_, Rule>) -> Built<KindDecl> {
        let mut children = self.children(pair);
        let name = self.need(&mut children, Rule::name)?;
        let name = self.name(&name)?;
        let title = self.need(&mut children, Rule::string)?;
        let title = self.text(&title);
        let like = self.optional_name(&mut children)?;
        let unit = match children.take(Rule::unit) {
            Some(unit) => Some(self.unit(&unit)?),
            None => None,
        };
        Ok(KindDecl { name, title, like, unit })
    }

    fn unit_item(&mut self, pair: Pair<'_, Rule>) -> Built<UnitDecl> {
        let mut children = self.children(pair);
        let name = self.need(&mut children, Rule::name)?;
        let name = self.name(&name)?;
        let title = self.need(&mut children, Rule::string)?;
        let title = self.text(&title);
        let kind = self.need(&mut children, Rule::name)?;
        let kind = self.name(&kind)?;
        Ok(UnitDecl { name, title, kind, value: self.need_figure(&mut children)? })
    }

    fn reading_head(&mut self, pair: Pair<'_, Rule>) -> Built<ReadingDecl> {
        let mut children = self.children(pair);
        let (name, family, title) = self.titled(&mut children)?;
        let kind = self.need(&mut children, Rule::name)?;
        Ok(ReadingDecl { name, family, title, kind: self.name(&kind)?, members: Vec::new() })
    }

    fn observation_head(&mut self, pair: Pair<'_, Rule>) -> Built<ObservationDecl> {
        let mut children = self.children(pair);
        let (name, family, title) = self.titled(&mut children)?;
        let words = self.need(&mut children, Rule::words)?;
        let words = self.name_list(words)?;
        Ok(ObservationDecl { name, family, title, words, members: Vec::new() })
    }

    fn check_head(&mut self, pair: Pair<'_, Rule>) -> Built<CheckDecl> {
        let mut children = self.children(pair);
        let (name, family, title) = self.titled(&mut children)?;
        let rule = self.need(&mut children, Rule::expr)?;
        let rule = self.whole_expression(rule)?;
        Ok(CheckDecl { name, family, title, rule, members: Vec::new() })
    }

    fn fault_head(&mut self, pair: Pair<'_, Rule>) -> Built<FaultDecl> {
        let mut children = self.children(pair);
        let (name, family, title) = self.titled(&mut children)?;
        Ok(FaultDecl { name, family, title, members: Vec::new() })
    }

    /// Adds one line of a body to its item.
    pub(crate) fn member(&mut self, item: &mut ItemKind, pair: Pair<'_, Rule>) -> Built<()> {
        self.once(&pair)?;
        match item {
            ItemKind::Spec(spec) => spec.members.push(self.spec_member(pair)?),
            ItemKind::State(state) => state.members.push(self.state_member(pair)?),
            ItemKind::Reading(reading) => reading.members.push(self.reading_member(pair)?),
            ItemKind::Observation(seen) => seen.members.push(self.reading_member(pair)?),
            ItemKind::Check(check) => check.members.push(self.check_member(pair)?),
            ItemKind::Fault(fault) => fault.members.push(self.fault_member(pair)?),
            ItemKind::Fix(fix) => fix.members.push(self.fix_member(pair)?),
            ItemKind::Learned(learned) => learned.members.push(self.learned_member(pair)?),
            ItemKind::Procedure(procedure) => procedure.steps.push(self.step(pair)?),
            ItemKind::Case(case) => case.members.push(self.case_member(pair)?),
            ItemKind::Instrument(meter) => meter.members.push(self.instrument_member(pair)?),
            _ => {
                let place = self.span(&pair);
                return self.error(slugs::SYNTAX, place, "this item has no body");
            }
        }
        Ok(())
    }
}
