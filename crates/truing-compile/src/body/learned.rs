//! What was learned: which faults and checks are meant, and whether it can have been counted so.

use std::collections::BTreeMap;

use truing_model::Learned;
use truing_syntax::tree::{Effect, Figure, LearnedDecl, LearnedMember, Name, Path};
use truing_syntax::{Diagnostic, Span, Spanned};

use super::{CheckAt, check};
use crate::context::Context;
use crate::family::At;
use crate::lint;
use crate::names::{Sort, Wanted};

const FAULT: Wanted = Wanted::new(&[Sort::Fault], "a fault");

/// So far may what was seen lie above what was judged: figures are decimals, their sums are not.
const ROUNDING: f64 = 1e-9;

/// What was learned of the spec at hand.
#[derive(Clone, Debug)]
pub(crate) struct LearnedIr {
    pub edition: Option<String>,
    pub author_jobs: f64,
    /// A fault of one member, by place, and in how many jobs it was the cause.
    pub causes: Vec<(FaultAt, f64)>,
    pub shown: Vec<ShownIr>,
}

/// A fault of one member.
#[derive(Copy, Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) struct FaultAt {
    pub fault: usize,
    pub member: usize,
}

/// A band that a check of one member was in.
#[derive(Clone, Debug)]
pub(crate) struct ShownIr {
    pub fault: FaultAt,
    pub check: CheckAt,
    pub effect: Spanned<Effect>,
    pub seen: f64,
    pub judged: f64,
    /// From the fault to the band.
    pub span: Span,
}

/// Reads what was learned of the spec; in a library by itself only the counts.
pub(crate) fn learned(cx: &Context<'_>) {
    let mut first: Option<&Name> = None;
    for decl in &cx.learned {
        if let Some(first) = first {
            cx.findings.push(lint::learned_twice::block(&decl.of, first));
            continue;
        }
        first = Some(&decl.of);
        let ir = block(cx, decl);
        cx.bodies.learned.replace(ir);
    }
}

fn block(cx: &Context<'_>, decl: &LearnedDecl) -> Option<LearnedIr> {
    let mut reader = Reader {
        cx,
        named: false,
        sound: true,
        causes: BTreeMap::new(),
        judged: BTreeMap::new(),
        said: BTreeMap::new(),
    };
    if let Some(spec) = cx.spec {
        reader.named = spec.name.node == decl.of.node;
        if !reader.named {
            cx.findings.push(lint::learned_elsewhere::spec(&decl.of, &spec.name));
            return None;
        }
    }
    let mut ir = LearnedIr {
        edition: None,
        author_jobs: Learned::AUTHOR_JOBS,
        causes: Vec::new(),
        shown: Vec::new(),
    };
    // How often a fault was the cause may be said behind what it showed.
    for member in &decl.members {
        match member {
            LearnedMember::Edition(text) => ir.edition = Some(text.node.to_string()),
            LearnedMember::Author(figure) => {
                let known = reader.counted(figure, |jobs| jobs > 0.0, lint::learned_count::author);
                ir.author_jobs = known.unwrap_or(ir.author_jobs);
            }
            LearnedMember::Cause { fault, jobs } => {
                ir.causes.extend(reader.cause(fault, jobs));
            }
            LearnedMember::Shows { .. } => {}
        }
    }
    for member in &decl.members {
        if let LearnedMember::Shows { fault, check, effect, seen, judged } = member {
            ir.shown.extend(reader.shows([fault, check], effect, [seen, judged]));
        }
    }
    (reader.named && reader.sound).then_some(ir)
}

struct Reader<'c, 'a> {
    cx: &'c Context<'a>,
    /// Names are looked up: a spec is at hand.
    named: bool,
    sound: bool,
    causes: BTreeMap<FaultAt, f64>,
    /// By fault and check: how many were judged, and how many seen so far.
    judged: BTreeMap<(FaultAt, usize, usize), (f64, f64)>,
    /// Where each line was said first, by its words.
    said: BTreeMap<String, Span>,
}

impl Reader<'_, '_> {
    /// A finite count that is as it should be; a figure of another kind has its finding already.
    fn counted(
        &mut self,
        figure: &Figure,
        fits: impl Fn(f64) -> bool,
        finding: fn(Span) -> Diagnostic,
    ) -> Option<f64> {
        let Some(count) = self.cx.ratio(figure) else {
            self.sound = false;
            return None;
        };
        if !(0.0..=1e100).contains(&count) || !fits(count) {
            self.refuse(finding(figure.span));
            return None;
        }
        Some(count)
    }

    /// A count of jobs, nought or more.
    fn jobs(&mut self, figure: &Figure) -> Option<f64> {
        self.counted(figure, |_| true, lint::learned_count::below)
    }

    /// False, with a finding, where the same was said already.
    fn fresh(&mut self, words: String, span: Span) -> bool {
        if let Some(first) = self.said.get(&words) {
            self.cx.findings.push(lint::learned_twice::line(span, *first));
            self.sound = false;
            return false;
        }
        self.said.insert(words, span);
        true
    }

    fn cause(&mut self, path: &Path, jobs: &Figure) -> Option<(FaultAt, f64)> {
        let jobs = self.jobs(jobs);
        let fresh = self.fresh(written(path), path.span);
        let fault = self.fault(path);
        let (fault, jobs) = (fault?, jobs?);
        if !fresh {
            return None;
        }
        self.causes.insert(fault, jobs);
        Some((fault, jobs))
    }

    fn shows(
        &mut self,
        [fault, check_path]: [&Path; 2],
        effect: &Spanned<Effect>,
        [seen, judged]: [&Figure; 2],
    ) -> Option<ShownIr> {
        let span = fault.span.to(effect.span);
        let counts = (self.jobs(seen), self.jobs(judged));
        let words = format!("{} {} {:?}", written(fault), written(check_path), effect.node);
        let fresh = self.fresh(words, span);
        let at = self.fault(fault);
        let of_check = self.check(check_path);
        let (Some(seen_jobs), Some(judged_jobs)) = counts else { return None };
        if seen_jobs > judged_jobs * (1.0 + ROUNDING) {
            self.refuse(lint::learned_count::more(seen.span, judged.span));
            return None;
        }
        let (at, of_check) = (at?, of_check?);
        if !fresh {
            return None;
        }
        let jobs = self.causes.get(&at).copied().unwrap_or(0.0);
        if judged_jobs > jobs * (1.0 + ROUNDING) + ROUNDING {
            self.refuse(lint::learned_count::judged_more(judged.span, &written(fault), jobs));
            return None;
        }
        let member = match of_check.at {
            Some(At::Fixed(member)) => member,
            _ => 0,
        };
        let (before, sum) =
            self.judged.entry((at, of_check.check, member)).or_insert((judged_jobs, 0.0));
        *sum += seen_jobs;
        let differ = (judged_jobs - *before).abs() > ROUNDING * (1.0 + *before);
        let beyond = *sum > *before * (1.0 + ROUNDING);
        if differ || beyond {
            self.refuse(lint::learned_count::disagree(span, &written(check_path), differ));
            return None;
        }
        let effect = effect.clone();
        Some(ShownIr {
            fault: at,
            check: of_check,
            effect,
            seen: seen_jobs,
            judged: judged_jobs,
            span,
        })
    }

    fn refuse(&mut self, finding: Diagnostic) {
        self.cx.findings.push(finding);
        self.sound = false;
    }

    /// The fault of one member; nothing where no names are looked up.
    fn fault(&mut self, path: &Path) -> Option<FaultAt> {
        if !self.named {
            return None;
        }
        let found = self.cx.find(&path.name, FAULT).map(|entry| entry.index);
        let found = found.and_then(|index| Some((index, self.cx.faults.get(index)?.1)));
        let member = found.and_then(|(_, family)| self.member(path, family));
        self.sound &= member.is_some();
        Some(FaultAt { fault: found?.0, member: member? })
    }

    fn check(&mut self, path: &Path) -> Option<CheckAt> {
        if !self.named {
            return None;
        }
        let found = check(self.cx, path, None);
        if let Some(found) = found
            && found.at.is_none()
        {
            let family = self.cx.checks.get(found.check).map(|item| item.family);
            self.member(path, family?);
            self.sound = false;
            return None;
        }
        self.sound &= found.is_some();
        found
    }

    /// The member that an index names; what runs over a family needs one.
    fn member(&self, path: &Path, family: crate::family::FamilyRef) -> Option<usize> {
        match self.cx.written_index(path, family, None).ok()? {
            Some(At::Whole) => Some(0),
            Some(At::Fixed(member)) => Some(member),
            Some(_) => None,
            None => {
                let family = family.ok().flatten().and_then(|id| self.cx.family(id));
                self.cx.findings.push(lint::wrong_index::missing(path, family));
                None
            }
        }
    }
}

/// As it is written, without the blanks in it.
fn written(path: &Path) -> String {
    use truing_syntax::tree::Index;
    let name = &path.name.node;
    match &path.index {
        None => name.to_string(),
        Some(Index::One(member)) => format!("{name}[{}]", member.node),
        Some(Index::Pair(one, other)) => format!("{name}[{}-{}]", one.node, other.node),
        Some(Index::Part(of, part)) => format!("{name}[{}.{}]", of.node, part.node),
    }
}
