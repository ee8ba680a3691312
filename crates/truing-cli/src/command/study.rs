//! `truing study`: what a spec is good for, before anyone measures.

use std::path::Path;
use std::sync::Arc;

use truing::engine::procedure::OrderStudy;
use truing::engine::suspects::UnsoundFaults;
use truing::engine::{MeterUse, PolicyLimits, study};
use truing::job::nearest;
use truing::model::Instrument;
use truing::report::{
    CapabilityReport, FaultsReport, OrdersReport, Problem, capability_json, faults_html,
    faults_json, orders_json, render_capability, render_faults, render_orders,
};
use truing::{Compiled, Libraries, instruments_from_path};

use crate::arguments::{
    CapabilityArguments, FaultsArguments, ProceduresArguments, Study, StudyArguments,
};
use crate::failure;
use crate::output::Output;
use crate::rewrite::write;
use crate::selection::checks;
use crate::status::Status;

/// Studies what the arguments name.
pub fn run(arguments: &StudyArguments, output: &mut Output) -> Status {
    match &arguments.study {
        Study::Capability(arguments) => capability(arguments, output),
        Study::Faults(arguments) => faults(arguments, output),
        Study::Procedures(arguments) => procedures(arguments, output),
    }
}

fn capability(arguments: &CapabilityArguments, output: &mut Output) -> Status {
    let compiled = match Compiled::from_path(&arguments.spec) {
        Ok(compiled) => compiled,
        Err(error) => return failure::tell_error(output, &error),
    };
    let only = checks(compiled.spec(), &arguments.only);
    let meters = meters(arguments, &compiled);
    let (only, meters) = match (only, meters) {
        (Ok(only), Ok(meters)) => (only, meters),
        (only, meters) => {
            let problems = [only.err(), meters.err()].into_iter().flatten().flatten();
            return failure::tell(output, &problems.collect::<Vec<_>>());
        }
    };
    let names: Vec<String> = meters.iter().map(|meter| meter.meter.clone()).collect();
    let capabilities = study(compiled.spec(), &meters);
    let report = CapabilityReport {
        spec: compiled.spec(),
        meters: &names,
        capabilities: &capabilities,
        only,
    };
    if output.json() {
        output.document(&capability_json(&report));
    } else {
        output.say(&render_capability(&report, output.style));
    }
    if report.all_decided() { Status::Pass } else { Status::Outside }
}

fn faults(arguments: &FaultsArguments, output: &mut Output) -> Status {
    let compiled = match Compiled::from_path(&arguments.spec) {
        Ok(compiled) => compiled,
        Err(error) => return failure::tell_error(output, &error),
    };
    let worth = match compiled.suspect_plan() {
        Ok(plan) => plan.map(|plan| plan.worth(compiled.spec())),
        Err(error) => {
            let problem = Problem::new("faults-unsound", error.to_string());
            return failure::tell(output, &[problem]);
        }
    };
    let report = FaultsReport { spec: compiled.spec(), worth: worth.as_ref() };
    if let Some(path) = &arguments.html
        && let Err(problem) = page(&report, path)
    {
        return failure::tell(output, &[problem]);
    }
    if output.json() {
        output.document(&faults_json(&report));
    } else {
        output.say(&render_faults(&report, output.style));
    }
    if report.all_told() { Status::Pass } else { Status::Outside }
}

fn procedures(arguments: &ProceduresArguments, output: &mut Output) -> Status {
    let compiled = match Compiled::from_path(&arguments.spec) {
        Ok(compiled) => compiled,
        Err(error) => return failure::tell_error(output, &error),
    };
    let limits = PolicyLimits {
        cut_off: arguments.cut_off,
        seed: arguments.seed,
        ..PolicyLimits::default()
    };
    let report = match orders(&compiled, &limits) {
        Ok(report) => report,
        Err(error) => {
            let problem = Problem::new("faults-unsound", error.to_string());
            return failure::tell(output, &[problem]);
        }
    };
    if output.json() {
        output.document(&orders_json(&report));
    } else {
        output.say(&render_orders(&report, output.style));
    }
    let weak = |study: &OrderStudy| study.written.stuck > 0.0 || study.written.beyond > 0.0;
    let weak = report.written.iter().any(|(_, study)| study.as_ref().is_some_and(weak));
    if weak { Status::Outside } else { Status::Pass }
}

fn orders<'a>(
    compiled: &'a Compiled,
    limits: &PolicyLimits,
) -> Result<OrdersReport<'a>, UnsoundFaults> {
    let spec = compiled.spec();
    let written = spec.procedures.iter().map(|of| Ok((of, compiled.order_study(of)?)));
    let written = written.collect::<Result<Vec<_>, UnsoundFaults>>()?;
    // Of no procedure there is nothing to hold it against.
    let engine = if written.is_empty() { None } else { compiled.engine_order(limits)? };
    Ok(OrdersReport { spec, written, engine })
}

/// The study as a page in a file.
fn page(report: &FaultsReport<'_>, path: &Path) -> Result<(), Problem> {
    let page = faults_html(report)
        .map_err(|error| Problem::new("page-not-made", error.to_string()).file("--html"))?;
    write(path, &page).map_err(|error| {
        Problem::new("not-written", error.to_string()).file(path.display().to_string())
    })
}

/// The instruments that are asked about; where none is named, those that the spec names.
fn meters(
    arguments: &CapabilityArguments,
    compiled: &Compiled,
) -> Result<Vec<MeterUse>, Vec<Problem>> {
    let meter = |instrument: Arc<Instrument>| MeterUse {
        zeroed: !arguments.not_zeroed,
        ..MeterUse::new(instrument.name.clone(), instrument)
    };
    let (mut found, mut problems) = (Vec::new(), Vec::new());
    for asked in &arguments.instruments {
        match named(asked, compiled) {
            Ok(instruments) => found.extend(instruments),
            Err(problem) => problems.push(problem),
        }
    }
    if !problems.is_empty() {
        return Err(problems);
    }
    if arguments.instruments.is_empty() {
        let spec = compiled.spec();
        let meant = spec.meters.iter().filter_map(|id| spec.instrument(*id));
        found.extend(meant.cloned().map(Arc::new));
    }
    if found.is_empty() {
        let problem = Problem::new("no-instrument", "no instrument is named to be studied")
            .mend("name one with --instrument, or in the spec's header: `meter handheld_6000`");
        return Err(vec![problem]);
    }
    Ok(found.into_iter().map(meter).collect())
}

/// One instrument by its name, or all of a file.
fn named(asked: &str, compiled: &Compiled) -> Result<Vec<Arc<Instrument>>, Problem> {
    let profiles = compiled.profiles();
    if let Some(instrument) = profiles.find(asked) {
        return Ok(vec![Arc::clone(instrument)]);
    }
    if Path::new(asked).is_file() {
        let found = instruments_from_path(asked, &Libraries::new());
        return match found {
            Ok(instruments) if instruments.is_empty() => {
                Err(Problem::new("no-instrument", "there is no instrument in this file")
                    .file(asked))
            }
            Ok(instruments) => Ok(instruments),
            Err(error) => Err(error.problem()),
        };
    }
    let message = format!("there is no instrument `{asked}`");
    let problem = Problem::new("unknown-instrument", message).file("--instrument");
    Err(problem.mend(match nearest(asked, profiles.names()) {
        Some(near) => format!("did you mean `{near}`?"),
        None => {
            let known: Vec<&str> = profiles.names().collect();
            format!("the instruments are {}", known.join(", "))
        }
    }))
}
