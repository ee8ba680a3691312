//! Where a job stands in a written order, for people: what can hurt stands before what is to be done.

use truing_engine::procedure::{
    Asked, AskedOf, End, EngineOrder, OrderStudy, Passed, StageWalk, Stand, Took, Walk, WalkStep,
    What,
};
use truing_job::JobSheet;
use truing_model::{CautionId, FaultId, Outcome, Procedure, Spec, Step, StepId};

use crate::layout::{hanging, listed, shown, table};
use crate::order_text::expected;
use crate::reason_text::reason_text;
use crate::report::Round;
use crate::style::{Style, Tone};
use crate::suspects_words::{Words, minutes};
use crate::walk_words::Names;

/// Where a job stands in a written order.
#[derive(Clone, Debug)]
pub struct WalkReport<'a> {
    /// The spec.
    pub spec: &'a Spec,
    /// The procedure.
    pub procedure: &'a Procedure,
    /// The job, where there is a sheet.
    pub job: Option<&'a JobSheet>,
    /// Its rounds, in order.
    pub rounds: Vec<Round<'a>>,
    /// One walk for the rounds before any repair, and one for those since each.
    pub stages: &'a [StageWalk],
    /// What the order is expected to take; nothing where the spec lists no fault.
    pub written: Option<&'a OrderStudy>,
    /// And the engine's own.
    pub engine: Option<&'a EngineOrder>,
}

/// The procedures of a spec by name.
#[must_use]
pub fn render_procedures(spec: &Spec, style: Style) -> String {
    let mut out = format!("{}\n\n", style.paint(Tone::Heading, &shown(&spec.title)));
    if spec.procedures.is_empty() {
        out.push_str(&hanging("", "This spec has no procedures.", style.columns()));
        return out;
    }
    let mut rows = vec![["Procedure", "Complaint", "Steps"].map(str::to_owned).to_vec()];
    for of in &spec.procedures {
        rows.push(vec![of.name.clone(), shown(&of.title), of.steps.len().to_string()]);
    }
    out.push_str(&table(&rows, 2, style.columns()));
    out
}

/// Where the job stands, stage by stage.
#[must_use]
pub fn render_walk(report: &WalkReport<'_>, style: Style) -> String {
    let columns = style.columns();
    let title = format!("{} ({})", shown(&report.procedure.title), report.procedure.name);
    let mut out = format!("{}\n", style.paint(Tone::Heading, &title));
    out.push_str(&hanging("  Spec       ", &shown(&report.spec.title), columns));
    if let Some(job) = report.job {
        let number = job.job.as_deref().map(shown);
        out.extend(number.map(|number| hanging("  Job        ", &number, columns)));
        let complaint = job.complaint.as_deref().map(shown);
        out.extend(complaint.map(|text| hanging("  Complaint  ", &text, columns)));
    }
    for stage in report.stages {
        out.push('\n');
        Telling { report, stage, names: Names { spec: report.spec }, style }.tell(&mut out);
    }
    if let Some(text) = expected(report.written, report.engine) {
        out.push('\n');
        out.push_str(&hanging("Expected  ", &text, columns));
    }
    let advice = "The order advises. The maker's service information comes first. It does not \
                  certify that the machine is safe.";
    out.push_str(&hanging("", advice, columns));
    out
}

struct Telling<'a, 'r> {
    report: &'a WalkReport<'r>,
    stage: &'a StageWalk,
    names: Names<'r>,
    style: Style,
}

impl Telling<'_, '_> {
    fn walk(&self) -> &Walk {
        &self.stage.walk
    }

    fn tell(&self, out: &mut String) {
        let heading = self.heading();
        if !heading.is_empty() {
            out.push_str(&format!("{}\n", self.style.paint(Tone::Heading, &heading)));
        }
        for passed in &self.walk().trail {
            self.passed(passed, out);
        }
        self.end(out);
        self.left_out(out);
        if let Some(next) = &self.walk().next {
            self.next(next, out);
        }
    }

    fn heading(&self) -> String {
        let named = self.stage.rounds.iter().filter_map(|at| self.report.rounds.get(*at));
        let named: Vec<String> =
            named.map(|round| shown(round.name)).filter(|name| !name.is_empty()).collect();
        let words = Words { spec: self.report.spec };
        let fixes: Vec<String> = self.stage.fitted.iter().map(|fix| words.fix_name(*fix)).collect();
        match (named.is_empty(), fixes.is_empty()) {
            (true, true) => String::new(),
            (false, true) => capital(&listed(&named)),
            (true, false) => format!("After {}", listed(&fixes)),
            (false, false) => format!("{}, after {}", capital(&listed(&named)), listed(&fixes)),
        }
    }

    fn line(&self, step: StepId, depth: usize, verb: &str, text: &str, out: &mut String) {
        let lead = format!("{:>4}  {}{verb:<8} ", step.0 + 1, "  ".repeat(depth.min(8)));
        out.push_str(&hanging(&lead, &shown(text), self.style.columns()));
    }

    fn passed(&self, passed: &Passed, out: &mut String) {
        let (step, depth) = (passed.step, passed.depth);
        let mut say = |verb: &str, text: &str| self.line(step, depth, verb, text, out);
        match &passed.what {
            What::Took(took) => {
                let told: Vec<String> = self
                    .names
                    .took(took)
                    .into_iter()
                    .map(|(name, how)| format!("{name}: {how}"))
                    .collect();
                say("take", &told.join("; "));
            }
            What::Turned { holds, asked } => {
                let condition = self.names.condition(self.report.procedure, step);
                let how = if *holds { "yes" } else { "no" };
                let because = self.names.asked_all(asked, condition);
                say("if", &format!("{condition}: {how}, {}", listed(&because)));
            }
            What::Advised => {
                if let Some(Step::Advise(text)) = self.report.procedure.step(step) {
                    say("advise", text);
                }
            }
            What::Suspected(faults) => {
                let named: Vec<String> =
                    self.families(faults).into_iter().map(|(n, _)| n).collect();
                say("suspect", &named.join(", "));
            }
            What::Cautioned(cautions) => {
                self.cautions(cautions).iter().for_each(|text| say("caution", text));
            }
        }
    }

    fn cautions(&self, ids: &[CautionId]) -> Vec<String> {
        let of = |id: &CautionId| self.report.spec.cautions.get(id.0 as usize);
        ids.iter().filter_map(of).map(|caution| caution.text.clone()).collect()
    }

    fn end(&self, out: &mut String) {
        let columns = self.style.columns();
        let text = match &self.walk().end {
            End::Stopped(step) => {
                format!("the order has ended, at the stop of step {}.", step.0 + 1)
            }
            End::Finished => "the order has ended, behind its last step.".to_owned(),
            End::Takes(step) => {
                format!("at step {}: what it takes comes before anything more is said.", step.0 + 1)
            }
            End::Unknown { step, asked } => {
                let condition = self.names.condition(self.report.procedure, *step);
                self.line(*step, 0, "if", &format!("{condition}: not known"), out);
                format!(
                    "at step {}: neither way is taken, since {}",
                    step.0 + 1,
                    self.unknown(asked, condition)
                )
            }
        };
        out.push_str(&hanging("  Stands     ", &text, columns));
        let suspects = self.walk().suspects();
        if !suspects.is_empty() {
            let words = Words { spec: self.report.spec };
            let named: Vec<String> = self
                .families(&suspects)
                .iter()
                .filter_map(|(_, members)| {
                    let (first, others) = members.split_first()?;
                    let others: Vec<String> = others
                        .iter()
                        .filter_map(|id| self.report.spec.fault(*id)?.member.clone())
                        .collect();
                    let title = words.fault(*first);
                    Some(match others.is_empty() {
                        true => title,
                        false => format!("{title} (also {})", listed(&others)),
                    })
                })
                .collect();
            out.push_str(&hanging("  Suspects   ", &shown(&listed(&named)), columns));
        }
    }

    /// Faults by the name that they share, with the members that are meant.
    fn families(&self, faults: &[FaultId]) -> Vec<(String, Vec<FaultId>)> {
        let mut families: Vec<(String, Vec<FaultId>)> = Vec::new();
        for id in faults {
            let Some(fault) = self.report.spec.fault(*id) else { continue };
            match families.iter_mut().find(|(name, _)| *name == fault.name) {
                Some((_, members)) => members.push(*id),
                None => families.push((fault.name.clone(), vec![*id])),
            }
        }
        for (name, members) in &mut families {
            if self.report.spec.faults_named(name).count() > members.len() {
                let labels = members.iter().filter_map(|id| self.report.spec.fault(*id));
                let labels: Vec<String> = labels.map(|fault| fault.label.clone()).collect();
                *name = labels.join(", ");
            }
        }
        families
    }

    /// What is not known, and why, each check of one name once.
    fn unknown(&self, asked: &[Asked], condition: &str) -> String {
        let mut told: Vec<String> = Vec::new();
        for of in asked {
            let why = self.why(of);
            let text = format!("{}{why}", self.names.asked(of, condition));
            if !told.contains(&text) {
                told.push(text);
            }
        }
        format!("{}.", told.join("; ").trim_end_matches('.'))
    }

    fn why(&self, asked: &Asked) -> String {
        if !asked.missing.is_empty() {
            return format!(": it needs {}", listed(&self.names.slots(&asked.missing)));
        }
        let properties: Vec<String> = asked
            .properties
            .iter()
            .filter_map(|id| Some(self.report.spec.property(*id)?.name.clone()))
            .collect();
        if !properties.is_empty() {
            return format!(": the sheet does not say {}", listed(&properties));
        }
        let (AskedOf::Passes(check) | AskedOf::Fails(check)) = asked.of else {
            return String::new();
        };
        if asked.outcome == Outcome::NotTaken && asked.again.is_empty() {
            return ": it could be read only while the machine stood as it came in".to_owned();
        }
        let round = asked.round.and_then(|round| self.stage.rounds.get(round));
        let round = round.and_then(|at| self.report.rounds.get(*at));
        let told = round.and_then(|round| {
            let finding = round.findings.of(check)?;
            Some(reason_text(self.report.spec, round.sheet, round.findings, finding))
        });
        told.filter(|text| !text.is_empty()).map_or(String::new(), |text| format!(": {text}"))
    }

    /// What was passed over on the way, if the order did not wait for it.
    fn left_out(&self, out: &mut String) {
        let next = self.walk().next.as_ref().map(|next| next.step);
        let mut steps: Vec<(StepId, Vec<Took>)> = Vec::new();
        for (step, took) in self.walk().left_out().filter(|(step, _)| Some(*step) != next) {
            match steps.last_mut().filter(|(last, _)| *last == step) {
                Some((_, all)) => all.push(*took),
                None => steps.push((step, vec![*took])),
            }
        }
        let told: Vec<String> = steps
            .iter()
            .flat_map(|(step, took)| {
                let named = self.names.took(took).into_iter();
                named.map(|(name, _)| format!("{name} (step {})", step.0 + 1))
            })
            .collect();
        if !told.is_empty() {
            let text = format!("{}.", listed(&told));
            out.push_str(&hanging("  Left out   ", &text, self.style.columns()));
        }
    }

    fn next(&self, next: &WalkStep, out: &mut String) {
        let columns = self.style.columns();
        for text in self.cautions(&next.cautions) {
            let lead = format!("  {}    ", self.style.paint(Tone::Open, "Caution"));
            out.push_str(&hanging_painted(&lead, "  Caution    ", &shown(&text), columns));
        }
        let what: Vec<String> = match next.takes.is_empty() {
            true => self.names.slots(&next.slots().collect::<Vec<_>>()),
            false => {
                next.takes.iter().map(|taken| self.names.taken(*taken).label.to_owned()).collect()
            }
        };
        let again = if next.again { " again, or after all" } else { "" };
        let text = format!(
            "step {}: take {}{again}, about {}.",
            next.step.0 + 1,
            listed(&what),
            minutes(next.minutes)
        );
        out.push_str(&hanging("  Next       ", &text, columns));
        for stand in &next.stands {
            self.stand(stand, out);
        }
    }

    fn stand(&self, stand: &Stand, out: &mut String) {
        let columns = self.style.columns();
        let state = stand.state.and_then(|state| self.report.spec.state(state));
        if let Some(state) = state {
            let through: Vec<String> = stand
                .way
                .iter()
                .filter(|id| Some(**id) != stand.state)
                .filter_map(|id| Some(shown(&self.report.spec.state(*id)?.title)))
                .collect();
            let through = match through.is_empty() {
                true => String::new(),
                false => format!(" (by way of: {})", through.join("; ")),
            };
            let text =
                format!("{}{through}, about {}", shown(&state.title), minutes(stand.minutes));
            out.push_str(&hanging("    State    ", &text, columns));
        }
        for read in &stand.readings {
            let Some(slot) = self.report.spec.slot(read.slot) else { continue };
            let leads = [("red", &slot.red), ("black", &slot.black)];
            let leads: Vec<String> = leads
                .into_iter()
                .filter_map(|(lead, on)| Some(format!("{lead} on {}", shown(on.as_deref()?))))
                .collect();
            let leads = match leads.is_empty() {
                true => String::new(),
                false => format!("; {}", leads.join(", ")),
            };
            let text = format!("{} ({}){leads}", shown(&read.title), slot.label);
            out.push_str(&hanging("    Read     ", &text, columns));
        }
    }
}

/// As `hanging`, with a lead that is painted: its width is that of the plain one.
fn hanging_painted(painted: &str, plain: &str, text: &str, columns: usize) -> String {
    hanging(plain, text, columns).replacen(plain, painted, 1)
}

fn capital(text: &str) -> String {
    let mut chars = text.chars();
    chars.next().map_or(String::new(), |first| first.to_uppercase().chain(chars).collect())
}
