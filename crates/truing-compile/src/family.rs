//! Families: members that share a rule, pairs of them, and what stands between brackets.

use std::sync::Arc;

use truing_syntax::tree::{FamilyDecl, FamilyMembers, Index, Name, Path};

use crate::context::{Context, Findings};
use crate::lint;

/// So many members a family may have.
pub(crate) const MAX_MEMBERS: usize = 64;
/// So many pairs a family of pairs may have: those of 24 members.
pub(crate) const MAX_PAIRS: usize = 276;

/// A family by its place.
#[derive(Copy, Clone, Debug, PartialEq, Eq)]
pub(crate) struct FamilyId(pub usize);

/// The family of an item: none, one, or one that could not be found (and was reported).
pub(crate) type FamilyRef = Result<Option<FamilyId>, Reported>;

/// A mistake that has its finding already: what depends on it says nothing more.
#[derive(Copy, Clone, Debug, PartialEq, Eq)]
pub(crate) struct Reported;

/// A family with its members.
#[derive(Debug)]
pub(crate) struct Family<'a> {
    pub name: &'a Name,
    pub members: Vec<Member>,
    /// Of a family of pairs, the family that the pairs are of.
    pub base: Option<FamilyId>,
    /// Its members could not be made out; indices into it are taken as they are.
    pub broken: bool,
}

/// One member: `U`, or `U-V` with the places of U and V.
#[derive(Debug)]
pub(crate) struct Member {
    pub label: Arc<str>,
    pub parts: Option<(usize, usize)>,
}

impl Family<'_> {
    pub(crate) fn member(&self, label: &str) -> Option<usize> {
        self.members.iter().position(|member| &*member.label == label)
    }
}

/// The members of a listed family, each once, with findings for repeats and for too many.
pub(crate) fn listed<'a>(
    decl: &'a FamilyDecl,
    names: &'a [Name],
    findings: &Findings,
) -> Family<'a> {
    let mut members: Vec<Member> = Vec::new();
    for (place, name) in names.iter().enumerate() {
        let before = names.iter().take(place).find(|other| other.node == name.node);
        match before {
            Some(first) => findings.push(lint::family_repeats::finding(name, first)),
            None => members.push(Member { label: name.node.clone(), parts: None }),
        }
    }
    if members.len() > MAX_MEMBERS {
        findings.push(lint::family_too_large::finding(&decl.name, members.len(), MAX_MEMBERS));
        members.truncate(MAX_MEMBERS);
    }
    Family { name: &decl.name, members, base: None, broken: false }
}

/// Every unordered pair of different members of `base`.
pub(crate) fn pairs<'a>(
    decl: &'a FamilyDecl,
    base: FamilyId,
    of: &Family<'_>,
    findings: &Findings,
) -> Family<'a> {
    let mut members = Vec::new();
    for (i, first) in of.members.iter().enumerate() {
        for (j, second) in of.members.iter().enumerate().skip(i + 1) {
            let label = format!("{}-{}", first.label, second.label).into();
            members.push(Member { label, parts: Some((i, j)) });
        }
    }
    if members.len() > MAX_PAIRS {
        findings.push(lint::family_too_large::finding(&decl.name, members.len(), MAX_PAIRS));
        members.truncate(MAX_PAIRS);
    }
    if members.is_empty() && !of.broken {
        findings.push(lint::family_too_large::no_pairs(&decl.name, of.name));
    }
    let broken = of.broken;
    Family { name: &decl.name, members, base: Some(base), broken }
}

/// Which member of an item with a family is meant.
#[derive(Copy, Clone, Debug, PartialEq, Eq, Hash)]
pub(crate) enum At {
    /// The item has no family.
    Whole,
    /// This member.
    Fixed(usize),
    /// The member that the enclosing item is about.
    Current,
    /// The first of the enclosing item's pair.
    First,
    /// The second of the enclosing item's pair.
    Second,
    /// Each member in turn, of the enclosing fold or quantifier.
    Each,
}

impl<'a> Context<'a> {
    pub(crate) fn family(&self, id: FamilyId) -> Option<&Family<'a>> {
        self.families.get(id.0)
    }

    pub(crate) fn family_name(&self, id: FamilyId) -> &str {
        self.family(id).map_or("", |family| &family.name.node)
    }

    /// The number of members of an item: one without a family.
    pub(crate) fn size(&self, family: FamilyRef) -> usize {
        match family {
            Ok(Some(id)) => self.family(id).map_or(0, |family| family.members.len()),
            Ok(None) => 1,
            Err(Reported) => 0,
        }
    }

    /// The label of a member, of an item with this family.
    pub(crate) fn member_label(&self, family: FamilyRef, member: usize) -> Option<&str> {
        let Ok(Some(id)) = family else { return None };
        self.family(id)?.members.get(member).map(|member| &*member.label)
    }

    /// What the written index of `path` means for an item with the family `of`, inside an item
    /// about `current`. `Ok(None)`: no index was written.
    pub(crate) fn written_index(
        &self,
        path: &Path,
        of: FamilyRef,
        current: Option<FamilyId>,
    ) -> Result<Option<At>, Reported> {
        let of = of?;
        let Some(index) = &path.index else {
            return Ok(if of.is_none() { Some(At::Whole) } else { None });
        };
        let Some(of) = of else {
            self.findings.push(lint::wrong_index::no_family(path));
            return Err(Reported);
        };
        let Some(family) = self.family(of) else { return Err(Reported) };
        match index {
            Index::One(name) => self.one(path, name, of, family, current).map(Some),
            Index::Pair(first, second) => self.pair(first, second, family).map(Some),
            Index::Part(name, part) => self.part_of_pair(path, (name, part), of, current).map(Some),
        }
    }

    fn one(
        &self,
        path: &Path,
        name: &Name,
        of: FamilyId,
        family: &Family<'_>,
        current: Option<FamilyId>,
    ) -> Result<At, Reported> {
        if let Some(member) = family.member(&name.node) {
            return Ok(At::Fixed(member));
        }
        if family.broken {
            return Err(Reported);
        }
        let named = self.families.iter().position(|other| other.name.node == name.node);
        if named.is_some()
            && let Some(entry) = self.scope.get(&name.node)
        {
            entry.used.set(true);
        }
        match named {
            Some(found) if FamilyId(found) == of && current == Some(of) => Ok(At::Current),
            Some(found) => {
                let runs = current.map(|id| self.family_name(id));
                let found_name = self.family_name(FamilyId(found));
                let finding =
                    lint::wrong_index::family(path, name, found_name, &family.name.node, runs);
                self.findings.push(finding);
                Err(Reported)
            }
            None => {
                let base = family.base.and_then(|id| self.family(id));
                let finding = match base.filter(|base| base.member(&name.node).is_some()) {
                    Some(base) => lint::wrong_index::member_of_base(name, family, base),
                    None => lint::unknown_member::finding(name, family),
                };
                self.findings.push(finding);
                Err(Reported)
            }
        }
    }

    fn pair(&self, first: &Name, second: &Name, family: &Family<'_>) -> Result<At, Reported> {
        let label = format!("{}-{}", first.node, second.node);
        if let Some(member) = family.member(&label) {
            return Ok(At::Fixed(member));
        }
        if family.broken {
            return Err(Reported);
        }
        let turned = format!("{}-{}", second.node, first.node);
        let span = first.span.to(second.span);
        let finding = match family.member(&turned) {
            Some(_) => lint::unknown_member::turned(span, &label, &turned),
            None => lint::unknown_member::pair(span, &label, family),
        };
        self.findings.push(finding);
        Err(Reported)
    }

    fn part_of_pair(
        &self,
        path: &Path,
        (name, part): (&Name, &Name),
        of: FamilyId,
        current: Option<FamilyId>,
    ) -> Result<At, Reported> {
        let at = match &*part.node {
            "first" => At::First,
            "second" => At::Second,
            _ => {
                self.findings.push(lint::wrong_index::part(part));
                return Err(Reported);
            }
        };
        let base = current.and_then(|id| self.family(id)).and_then(|family| family.base);
        let runs = current.filter(|id| self.family_name(*id) == &*name.node);
        if runs.is_none() || base.is_none() {
            let about = current.map(|id| self.family_name(id));
            self.findings.push(lint::wrong_index::not_pairs(path, name, about));
            return Err(Reported);
        }
        if base != Some(of) {
            let base = base.map_or("", |id| self.family_name(id));
            let wanted = self.family_name(of);
            self.findings.push(lint::wrong_index::family(path, name, base, wanted, None));
            return Err(Reported);
        }
        Ok(at)
    }

    /// Puts the member in the place of `{pair}`, `{pair.first}` and `{pair.second}`.
    pub(crate) fn fill(&self, text: &str, family: FamilyRef, member: usize) -> String {
        self.filled(text, family, member, &['{'])
    }

    /// The text of an expression with the member in the place of the family's name.
    pub(crate) fn fill_index(&self, text: &str, family: FamilyRef, member: usize) -> String {
        self.filled(text, family, member, &['{', '['])
    }

    fn filled(&self, text: &str, family: FamilyRef, member: usize, brackets: &[char]) -> String {
        let Ok(Some(id)) = family else { return text.to_owned() };
        let Some(family) = self.family(id) else { return text.to_owned() };
        let Some(here) = family.members.get(member) else { return text.to_owned() };
        let base = family.base.and_then(|id| self.family(id));
        let part = |second: bool| {
            let (first_place, second_place) = here.parts?;
            let place = if second { second_place } else { first_place };
            Some(base?.members.get(place).map_or("", |member| &*member.label))
        };
        let mut out = String::with_capacity(text.len());
        let mut rest = text;
        while let Some((before, after)) = rest.split_once(brackets) {
            let square = rest.get(before.len()..).is_some_and(|rest| rest.starts_with('['));
            let (open, close) = if square { ("[", ']') } else { ("{", '}') };
            out.push_str(before);
            let named = after.strip_prefix(&*family.name.node);
            let label = named.and_then(|named| match named.split_once(close)? {
                ("", rest) => Some((&*here.label, rest)),
                (".first", rest) => Some((part(false)?, rest)),
                (".second", rest) => Some((part(true)?, rest)),
                _ => None,
            });
            match label {
                Some((label, _)) if square => out.extend(["[", label, "]"]),
                Some((label, _)) => out.push_str(label),
                None => out.push_str(open),
            }
            rest = label.map_or(after, |(_, left)| left);
        }
        out.push_str(rest);
        out
    }

    /// The family that stands behind an item's name.
    pub(crate) fn check_placeholders(&self, text: &truing_syntax::tree::Text, family: FamilyRef) {
        let Ok(family) = family else { return };
        let family = family.and_then(|id| self.family(id));
        let mut rest: &str = &text.node;
        while let Some(start) = rest.find('{') {
            let Some(tail) = rest.get(start + 1..) else { break };
            let Some(end) = tail.find('}') else { break };
            let inner = tail.get(..end).unwrap_or("");
            let known = family.is_some_and(|family| {
                let name = &*family.name.node;
                let pairs = family.base.is_some() || family.broken;
                inner == name
                    || (pairs
                        && inner
                            .strip_prefix(name)
                            .is_some_and(|part| part == ".first" || part == ".second"))
            });
            if !known && !inner.is_empty() {
                let name = family.map(|family| &*family.name.node);
                self.findings.push(lint::undefined_name::placeholder(self, text.span, inner, name));
            }
            rest = tail.get(end + 1..).unwrap_or("");
        }
    }
}

/// The families of `decls`, listed ones first resolved, then the pairs.
pub(crate) fn resolve_base(decl: &FamilyDecl) -> Option<&Name> {
    match &decl.members {
        FamilyMembers::Listed(_) => None,
        FamilyMembers::PairsOf(base) => Some(base),
    }
}
