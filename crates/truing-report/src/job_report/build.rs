//! From a job and what came of it to the report as data.

use truing_engine::suspects::Stage;
use truing_job::closing::Obstacle;
use truing_model::{CheckId, Domain, Machine, PropertyId, PropertyValue, Spec};

use super::families::families;
use super::first_page;
use super::record;
use super::report::JobReport;
use super::stages::stages;
use super::summary;
use super::text::Text;
use super::view::{Head, JobView, MachineView, Named, SpecView};
use crate::account::Account;
use crate::comparison::capital;
use crate::edition_text::standing_text;
use crate::limit_text::rule_text;
use crate::report::Report;
use crate::suspects_words::Words;
use crate::teller::Teller;

const DISCLAIMER: &str = "This report advises. The maker's service information comes first. It \
                          does not certify that the machine is safe.";

/// A job as data: what every form of the report is written from.
#[must_use]
pub fn job_view(input: &JobReport<'_>) -> JobView {
    let stand = Stand::new(&input.report, input.obstacles);
    let closing = summary::closing(&stand);
    let mut view = JobView {
        format: "truing-job-report",
        version: 1,
        job: head(&stand),
        machine: machine(&stand),
        spec: spec(&stand, input.spec_hash),
        found: summary::found(&stand),
        done: summary::done(&stand),
        next: summary::next(&stand, &closing),
        closing,
        rounds: record::rounds(&stand),
        suspects: stages(&stand),
        not_tested: record::not_tested(&stand),
        left_out: record::left_out(&stand),
        not_applicable: record::not_applicable(&stand),
        instruments: record::instruments(&stand),
        cautions: record::cautions(&stand),
        remarks: record::remarks(&stand),
        photos: record::photos(&stand, input.pictures),
        bypasses: record::bypasses(&stand),
        readings: families(&stand),
        disclaimer: DISCLAIMER,
    };
    first_page::choose(&stand, &mut view);
    view
}

/// A job as the parts of the report look at it.
pub(super) struct Stand<'a> {
    pub report: &'a Report<'a>,
    pub rounds: Vec<RoundStand<'a>>,
    pub obstacles: &'a [Obstacle],
}

/// One round.
pub(super) struct RoundStand<'a> {
    pub name: Text,
    pub teller: Teller<'a>,
    pub accounts: Vec<Account>,
    /// Whether it stands after the last repair.
    pub after_repair: bool,
}

impl RoundStand<'_> {
    pub fn account(&self, check: CheckId) -> Option<&Account> {
        self.accounts.iter().find(|account| account.check == check)
    }
}

impl<'a> Stand<'a> {
    fn new(report: &'a Report<'a>, obstacles: &'a [Obstacle]) -> Self {
        let repaired = |place: usize| {
            let fixes =
                |place: usize| report.job?.rounds.get(place).map(|round| &round.fitted.fixes);
            (0..report.rounds.len())
                .rev()
                .find(|at| fixes(*at).is_some_and(|f| !f.is_empty()))
                .is_some_and(|last| place >= last)
        };
        let rounds = report.rounds.iter().enumerate().map(|(place, round)| {
            let teller = Teller::new(report.spec, round.sheet, round.findings);
            let accounts = teller.accounts(report.only.as_deref());
            let name = match round.name {
                "" => Text::line(&format!("round {}", place + 1)),
                name => Text::line(name),
            };
            RoundStand { name, teller, accounts, after_repair: repaired(place) }
        });
        Self { report, rounds: rounds.collect(), obstacles }
    }

    pub fn spec(&self) -> &'a Spec {
        self.report.spec
    }

    pub fn words(&self) -> Words<'a> {
        Words { spec: self.report.spec }
    }

    pub fn stages(&self) -> &'a [Stage] {
        self.report.suspects
    }

    /// The names of rounds, as people read them in a sentence.
    pub fn names(&self, places: &[usize]) -> Text {
        let names = places.iter().filter_map(|place| self.rounds.get(*place));
        let names: Vec<String> = names.map(|round| round.name.to_string()).collect();
        Text::line(&crate::layout::listed(&names))
    }

    /// The titles of checks, those of one family once.
    pub fn titles(&self, checks: &[CheckId]) -> String {
        let mut names: Vec<&str> = Vec::new();
        let mut titles: Vec<String> = Vec::new();
        for check in checks.iter().filter_map(|id| self.spec().check(*id)) {
            if names.contains(&check.name.as_str()) {
                continue;
            }
            names.push(&check.name);
            let more = checks.iter().filter_map(|id| self.spec().check(*id));
            let more = more.filter(|other| other.name == check.name).count() - 1;
            titles.push(match more {
                0 => format!("“{}”", check.title),
                n => format!("“{}” and {n} more of its kind", check.title),
            });
        }
        crate::layout::listed(&titles)
    }

    /// How much the checks of a name say between the suspects, in decibans either way.
    pub fn weight(&self, name: &str) -> f64 {
        let rankings = self.stages().iter().filter_map(|stage| stage.ranking.as_ref().ok());
        let weighings = rankings.filter_map(|ranking| ranking.weighing.as_ref());
        let of_name = |check: CheckId| self.spec().check(check).is_some_and(|c| c.name == name);
        let weights = weighings.flat_map(|weighing| {
            weighing.contributions.iter().filter(|of| of_name(of.check)).map(|of| of.decibans.abs())
        });
        weights.fold(0.0, f64::max)
    }
}

fn head(stand: &Stand<'_>) -> Head {
    let Some(job) = stand.report.job else { return Head::default() };
    let line = |text: &Option<String>| text.as_deref().map(Text::line).filter(|t| !t.is_empty());
    let lines = |text: &Option<String>| text.as_deref().map(Text::lines).filter(|t| !t.is_empty());
    let state = |name: &String| {
        let state = stand.spec().states.iter().find(|state| state.name == *name);
        Text::line(state.map_or(name.as_str(), |state| state.title.as_str()))
    };
    Head {
        number: line(&job.job),
        date: line(&job.date),
        technician: line(&job.technician),
        complaint: lines(&job.complaint),
        shows: job.shows.as_ref().map(state),
        note: lines(&job.note),
    }
}

fn machine(stand: &Stand<'_>) -> MachineView {
    let mut properties = Vec::new();
    if let Some(round) = stand.rounds.last() {
        let known = (0u32..).zip(&stand.spec().properties).filter_map(|(id, property)| {
            let value = round.teller.sheet.property(PropertyId(id))?;
            let title = if property.title.is_empty() { &property.name } else { &property.title };
            let text = Text::line(&property_words(value, &property.domain)?);
            Some(Named { name: Text::line(title), text })
        });
        properties.extend(known);
    }
    let fits = stand.spec().machines.iter().map(|machine| Text::line(&machine_words(machine)));
    let job = stand.report.job;
    let line = |text: Option<&String>| text.map(Text::from).filter(|text| !text.is_empty());
    MachineView {
        fits: fits.collect(),
        model: line(job.and_then(|job| job.model.as_ref())),
        year: line(job.and_then(|job| job.year.as_ref())),
        properties,
    }
}

fn property_words(value: &PropertyValue, domain: &Domain) -> Option<String> {
    match (value, domain) {
        // A word of the language stands for words.
        (PropertyValue::Word(word), Domain::Words(words)) => {
            words.get(usize::from(*word)).map(|word| word.replace('_', " "))
        }
        (PropertyValue::Figure(figure), _) => {
            let text = figure.shown.to_string();
            Some(text.strip_suffix(" 1").unwrap_or(&text).trim().to_owned())
        }
        (PropertyValue::Word(_), Domain::Quantity(_)) => None,
    }
}

fn machine_words(machine: &Machine) -> String {
    let years = match (machine.from_year, machine.to_year) {
        (Some(from), Some(to)) if from == to => format!(", {from}"),
        (Some(from), Some(to)) => format!(", {from} to {to}"),
        (Some(from), None) => format!(", from {from}"),
        (None, Some(to)) => format!(", to {to}"),
        (None, None) => String::new(),
    };
    format!("{} {}{years}", machine.maker, machine.model)
}

fn spec(stand: &Stand<'_>, hash: Option<&str>) -> SpecView {
    let spec = stand.spec();
    let rule = stand.report.rounds.last().and_then(|round| round.sheet.rule());
    SpecView {
        name: Text::line(&spec.name),
        title: Text::line(&spec.title),
        edition: spec.edition.as_deref().map(Text::line),
        hash: hash.map(Text::line),
        differs: standing_text(&stand.report.standing)
            .map(|text| Text::line(&format!("{}.", capital(&text)))),
        rule: Text::line(&rule_text(rule.unwrap_or(spec.decide))),
        sources: record::sources(stand),
    }
}
