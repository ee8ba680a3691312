//! What can be said on the command line.

use std::path::PathBuf;

use clap::{Args, Parser, Subcommand, ValueEnum};

use truing::model::Learned;

use crate::simulation::trials;

const STATUS_HELP: &str = "\
Exit status:
  0  everything passes
  1  something is outside its limit, a case failed, or `fmt --check` found a file to change
  2  the spec, the sheet or the call is in error
  3  nothing is outside, but something is undecided, blocked or not taken";

const ASSESS_HELP: &str = "\
Examples:
  truing assess trike.truing monday.toml
  truing assess trike.truing --set battery_rest='12.71 V' --set connector=clean
  truing assess trike.truing - --sheet-format csv < readings.csv
  truing assess trike.truing monday.toml --decide 'at 95 %' --monte-carlo 1000000

A sheet that was judged by another edition of the spec is refused, with the limits that changed since:
what it says then must not change behind anybody's back. `--this-edition` judges it anew. Where the
edition is the same and the text of the spec is another, the report says so.

With several rounds in a sheet every round is shown, then before and after side by side; the exit
status is that of the last round. With several sheets it is that of the gravest.";

const CAPABILITY_HELP: &str = "\
Examples:
  truing study capability trike.truing --instrument handheld_2000
  truing study capability trike.truing -i handheld_6000 -i milliohm_meter --only winding_level

Exit status:
  0  every check that the instruments measure is decided, if only away from the edges
  1  a check cannot be decided with any of them
  2  the spec or the call is in error";

const FAULTS_HELP: &str = "\
Examples:
  truing study faults trike.truing
  truing study faults trike.truing --html faults.html

Exit status:
  0  some check shows every fault, and faults that are mended differently are told apart
  1  a fault is shown by none, or two are not told apart
  2  the spec or the call is in error";

const NEXT_HELP: &str = "\
Examples:
  truing next trike.truing monday.toml
  truing next trike.truing --set battery_rest='12.31 V'

A round of a sheet may say `fitted = [\"renew_stator\"]`: the fixes of the spec that were done before
it. What was measured since then says whether the repair is proven.

Exit status:
  0  enough is known to act on, or the spec lists no fault
  2  the spec, the sheet or the call is in error
  3  something is left to measure, or the readings fit no listed fault";

const HISTORY_HELP: &str = "\
Examples:
  truing history jobs
  truing history jobs --by fault --specs specs/demo

Jobs are the .toml, .json, .csv and .journal files of the folder, to any depth; of several of one name
one is read. The spec that a job names is looked for in --specs, then in the folder, then in those above
it. Whether a repair is proven is judged anew each time.

Exit status:
  0  every job was read and judged
  2  the folder or the call is in error
  3  a file could not be read as a job sheet, or a job not be judged";
const WORK_HELP: &str = "\
Examples:
  truing work trike.truing PL-0702
  truing work trike.truing PL-0702 --procedure goes_flat
  truing work trike.truing PL-0702 --script answers.txt

The job is kept in two files: PL-0702.journal, to which every entry is added before it counts, and
PL-0702.toml, the sheet that it comes to, which `truing assess` and `truing report` read. The same
command opens the job again where it was left.

Lines come from a terminal, from a pipe, or from a script of answers in which `#` begins a remark.
Type help in the session to see what can be typed.

Exit status:
  0  the session ended
  2  the spec, the job or the call is in error";
const REPORT_HELP: &str = "\
Examples:
  truing report jobs/pl-0702.toml -o pl-0702.html
  truing report trike.truing monday.toml --format md

The report is one HTML file that asks no network for anything; `--format md` and `--format json` give the
same as Markdown and as data. Without SPEC the spec is looked for by the name that the sheet gives it:
beside the sheet, in the folders above it, and in their folders `specs`.

Exit status:
  0  the report is written, whatever it says
  2  the spec, the sheet or the call is in error";

const WALK_HELP: &str = "\
Examples:
  truing walk trike.truing
  truing walk trike.truing goes_flat
  truing walk trike.truing goes_flat monday.toml
  truing walk trike.truing goes_flat monday.toml --set connector=clean

Without a procedure those of the spec are listed. A reading counts in whichever order it was taken;
where a condition is not known, neither way is taken. Rounds of a job with no repair between them are
walked together; after a repair the order begins anew.

Exit status:
  0  the order has come to its end (of a job with repairs, that since the last)
  2  the spec, the sheet or the call is in error
  3  a step is still to be taken, or a condition is not known";

const PROCEDURES_HELP: &str = "\
Exit status:
  0  no procedure comes to a condition that is not known
  1  one does, or some ways through one were not followed
  2  the spec or the call is in error";

const LEARN_HELP: &str = "\
Examples:
  truing learn hauler.truing jobs
  truing learn hauler.truing jobs/2026 monday.toml --equivalent 50 -o hauler-learned.truing

A job counts where its repair is proven under this spec, once whichever files it stands in. Where its
repairs mend several faults, it is shared out by how probable each of them was. A job that was judged
by another edition is read again under this one, and refused by name where it cannot be. The counts go into
a library of their own, which the spec takes up with `use`; the spec is never changed. They are
always weighed with the author's own word: give all jobs, not only the new ones.

Exit status:
  0  every job was read: it counts, or it says why it does not
  2  the spec or the call is in error, or the file cannot be written
  3  a job was refused, or none counts";

const CALC_HELP: &str = "\
Examples:
  truing calc '34 N.m in lbf.ft'
  truing calc '12.6 V / 0.18 ohm'";

/// Measurement procedures and service limits, checked and applied.
#[derive(Debug, Parser)]
#[command(
    name = "truing",
    version,
    about = "Checks specs of service limits, and says what readings mean under them",
    after_help = STATUS_HELP,
    disable_help_subcommand = true,
    max_term_width = 100
)]
pub struct Arguments {
    /// What every subcommand takes.
    #[command(flatten)]
    pub global: Global,
    /// What to do.
    #[command(subcommand)]
    pub command: Command,
}

/// What every subcommand takes.
#[derive(Clone, Debug, Args)]
pub struct Global {
    /// Text for people, or one JSON document for programs
    #[arg(long, global = true, value_enum, default_value_t = Format::Human, value_name = "FORMAT")]
    pub format: Format,
    /// When to colour text; `auto` is on a terminal and without NO_COLOR
    #[arg(long, global = true, value_enum, default_value_t = ColorChoice::Auto, value_name = "WHEN")]
    pub color: ColorChoice,
}

/// Who reads the output.
#[derive(Copy, Clone, Debug, PartialEq, Eq, ValueEnum)]
pub enum Format {
    /// Text for people
    Human,
    /// One JSON document
    Json,
    /// One HTML file; of `truing report` alone
    #[value(hide = true)]
    Html,
    /// Markdown; of `truing report` alone
    #[value(hide = true)]
    Md,
}

/// When to colour text.
#[derive(Copy, Clone, Debug, PartialEq, Eq, ValueEnum)]
pub enum ColorChoice {
    /// On a terminal, without NO_COLOR
    Auto,
    /// Always
    Always,
    /// Never
    Never,
}

/// What to do.
#[derive(Debug, Subcommand)]
pub enum Command {
    /// Look for errors and weaknesses in specs and libraries
    #[command(after_help = STATUS_HELP)]
    Check(CheckArguments),
    /// Write files in the standard layout
    #[command(after_help = STATUS_HELP)]
    Fmt(FmtArguments),
    /// Run the cases that specs carry
    #[command(after_help = STATUS_HELP)]
    Test(TestArguments),
    /// Say what readings mean under a spec
    #[command(after_help = STATUS_HELP, after_long_help = format!("{ASSESS_HELP}\n\n{STATUS_HELP}"))]
    Assess(AssessArguments),
    /// Say what to measure next on a job, and why, or why to stop
    #[command(after_help = NEXT_HELP)]
    Next(NextArguments),
    /// List the jobs of a folder: machine, complaint, fault found, parts, proven or not
    #[command(after_help = HISTORY_HELP)]
    History(HistoryArguments),
    /// Lead through a job at the machine, from the complaint to the proof
    #[command(after_help = WORK_HELP)]
    Work(WorkArguments),
    /// Write the report on one job: HTML for customers and warranty clerks, Markdown or JSON
    #[command(after_help = REPORT_HELP)]
    Report(ReportArguments),
    /// Say where a job stands in a written procedure, and what comes next
    #[command(after_help = WALK_HELP)]
    Walk(WalkArguments),
    /// Learn from proven jobs how often each fault of a spec is the cause
    #[command(after_help = LEARN_HELP)]
    Learn(LearnArguments),
    /// Study what a spec is good for, before anyone measures
    Study(StudyArguments),
    /// Work out or convert a quantity
    #[command(after_help = CALC_HELP)]
    Calc(CalcArguments),
    /// Say more about a finding, by the name in its brackets
    Explain(ExplainArguments),
}

/// `truing check`
#[derive(Debug, Args)]
pub struct CheckArguments {
    /// Files, or directories to search for *.truing
    #[arg(value_name = "PATH", default_value = ".")]
    pub paths: Vec<PathBuf>,
    /// Treat warnings as errors
    #[arg(long)]
    pub deny_warnings: bool,
}

/// `truing fmt`
#[derive(Debug, Args)]
pub struct FmtArguments {
    /// Files, or directories to search for *.truing; `-` reads standard input and writes the
    /// result to standard output
    #[arg(value_name = "PATH", default_value = ".")]
    pub paths: Vec<PathBuf>,
    /// Change nothing; name the files that would change and exit with 1 if there are any
    #[arg(long)]
    pub check: bool,
}

/// `truing test`
#[derive(Debug, Args)]
pub struct TestArguments {
    /// Files, or directories to search for *.truing
    #[arg(value_name = "PATH", default_value = ".")]
    pub paths: Vec<PathBuf>,
    /// Show every case and expectation, not only what failed
    #[arg(long, short)]
    pub verbose: bool,
}

/// Job sheets and readings, and how they are judged.
#[derive(Debug, Args)]
pub struct SheetArguments {
    /// The spec
    #[arg(value_name = "SPEC")]
    pub spec: PathBuf,
    /// Job sheets: .toml, .json or .csv; `-` is standard input
    #[arg(value_name = "SHEET")]
    pub sheets: Vec<PathBuf>,
    /// The form of a sheet whose name does not tell
    #[arg(long, value_enum, value_name = "FORM")]
    pub sheet_format: Option<SheetForm>,
    /// A reading, or a property of the machine, given here; goes before what a sheet says
    #[arg(long = "set", value_name = "NAME=READING")]
    pub set: Vec<String>,
    /// Only this round, by its name or its number from 1
    #[arg(long, value_name = "ROUND")]
    pub round: Option<String>,
    /// The decision rule, in place of the sheet's and the spec's: 'simple', 'at 95 %', 'guarded 2'
    #[arg(long, value_name = "RULE")]
    pub decide: Option<String>,
    /// Judge a sheet by this edition of the spec though it says that it was judged by another
    #[arg(long)]
    pub this_edition: bool,
    /// Nothing has to be measured yet.
    #[arg(skip)]
    pub may_be_empty: bool,
}

/// `truing assess`
#[derive(Debug, Args)]
pub struct AssessArguments {
    /// What is assessed.
    #[command(flatten)]
    pub sheets: SheetArguments,
    /// Only these checks, by name (all members) or by label
    #[arg(long, value_name = "CHECK", num_args = 1.., value_delimiter = ',')]
    pub only: Vec<String>,
    /// Show also what is within in full
    #[arg(long)]
    pub all: bool,
    /// Show the uncertainty budget of every value that was judged
    #[arg(long)]
    pub budget: bool,
    /// Beneath each budget what so many random trials of the errors come to (200000 without a
    /// number), and whether the budget agrees; implies --budget
    #[arg(
        long,
        value_name = "TRIALS",
        num_args = 0..=1,
        default_missing_value = "200000",
        value_parser = trials
    )]
    pub monte_carlo: Option<usize>,
    /// The seed of the trials: the same one gives the same figures
    #[arg(long, value_name = "NUMBER", default_value_t = 1, requires = "monte_carlo")]
    pub seed: u64,
}

impl AssessArguments {
    /// Whether uncertainty budgets are shown.
    pub fn budgets(&self) -> bool {
        self.budget || self.monte_carlo.is_some()
    }
}

/// `truing next`
#[derive(Debug, Args)]
pub struct NextArguments {
    /// The spec
    #[arg(value_name = "SPEC")]
    pub spec: PathBuf,
    /// A job sheet: .toml, .json or .csv; `-` is standard input
    #[arg(value_name = "SHEET")]
    pub sheet: Option<PathBuf>,
    /// The form of a sheet whose name does not tell
    #[arg(long, value_enum, value_name = "FORM")]
    pub sheet_format: Option<SheetForm>,
    /// A reading, or a property of the machine, given here; goes before what a sheet says
    #[arg(long = "set", value_name = "NAME=READING")]
    pub set: Vec<String>,
    /// Judge a sheet by this edition of the spec though it says that it was judged by another
    #[arg(long)]
    pub this_edition: bool,
}

/// `truing walk`
#[derive(Debug, Args)]
pub struct WalkArguments {
    /// The spec
    #[arg(value_name = "SPEC")]
    pub spec: PathBuf,
    /// The procedure; without one those of the spec are listed
    #[arg(value_name = "PROCEDURE")]
    pub procedure: Option<String>,
    /// A job sheet: .toml, .json or .csv; `-` is standard input; without one the order begins
    #[arg(value_name = "SHEET")]
    pub sheet: Option<PathBuf>,
    /// The form of a sheet whose name does not tell
    #[arg(long, value_enum, value_name = "FORM")]
    pub sheet_format: Option<SheetForm>,
    /// A reading, or a property of the machine, given here; goes before what a sheet says
    #[arg(long = "set", value_name = "NAME=READING")]
    pub set: Vec<String>,
    /// Only this round, by its name or its number from 1
    #[arg(long, value_name = "ROUND")]
    pub round: Option<String>,
    /// The decision rule, in place of the sheet's and the spec's: 'simple', 'at 95 %', 'guarded 2'
    #[arg(long, value_name = "RULE")]
    pub decide: Option<String>,
    /// Judge a sheet by this edition of the spec though it says that it was judged by another
    #[arg(long)]
    pub this_edition: bool,
}

/// `truing history`
#[derive(Debug, Args)]
pub struct HistoryArguments {
    /// The folder of jobs
    #[arg(value_name = "FOLDER")]
    pub folder: PathBuf,
    /// Put jobs together by the sort of machine, or by the fault that was found
    #[arg(long, value_enum, value_name = "WHAT")]
    pub by: Option<HistoryBy>,
    /// A spec, or a folder to search for *.truing; may be given several times
    #[arg(long = "specs", value_name = "PATH")]
    pub specs: Vec<PathBuf>,
    /// Judge jobs by the edition that is found though they were judged by another
    #[arg(long)]
    pub this_edition: bool,
}

/// What jobs are put together by.
#[derive(Copy, Clone, Debug, PartialEq, Eq, ValueEnum)]
pub enum HistoryBy {
    /// The sort of machine
    Machine,
    /// The fault that was found
    Fault,
}

/// `truing work`
#[derive(Debug, Args)]
pub struct WorkArguments {
    /// The spec
    #[arg(value_name = "SPEC")]
    pub spec: PathBuf,
    /// The work order, or the path of the job's sheet; without it the work order is asked for
    #[arg(value_name = "JOB")]
    pub job: Option<PathBuf>,
    /// Follow this written procedure of the spec, in place of the measurement that tells most
    #[arg(long, value_name = "NAME")]
    pub procedure: Option<String>,
    /// Read the answers from a file
    #[arg(long, value_name = "FILE")]
    pub script: Option<PathBuf>,
    /// Go on by this edition of the spec though the job was judged by another
    #[arg(long)]
    pub this_edition: bool,
    /// No line editing on a terminal: whole lines, for screen readers and slow lines
    #[arg(long)]
    pub plain: bool,
}

/// `truing report`
#[derive(Debug, Args)]
pub struct ReportArguments {
    /// The job sheet; before it, if need be, the spec
    #[arg(value_name = "[SPEC] JOB", num_args = 1..=2, required = true)]
    pub paths: Vec<PathBuf>,
    /// The spec, where it does not stand before the job
    #[arg(long, value_name = "PATH")]
    pub spec: Option<PathBuf>,
    /// Where to write it; without this to standard output
    #[arg(long, short, value_name = "FILE")]
    pub output: Option<PathBuf>,
    /// The decision rule, in place of the sheet's and the spec's: 'simple', 'at 95 %', 'guarded 2'
    #[arg(long, value_name = "RULE")]
    pub decide: Option<String>,
    /// Judge a sheet by this edition of the spec though it says that it was judged by another
    #[arg(long)]
    pub this_edition: bool,
}

/// `truing learn`
#[derive(Debug, Args)]
pub struct LearnArguments {
    /// The spec
    #[arg(value_name = "SPEC")]
    pub spec: PathBuf,
    /// Jobs: sheets, journals, or folders of them
    #[arg(value_name = "JOBS", required = true)]
    pub jobs: Vec<PathBuf>,
    /// The author's word counts as so many jobs
    #[arg(long, value_name = "JOBS", default_value_t = Learned::AUTHOR_JOBS, value_parser = jobs)]
    pub equivalent: f64,
    /// Write the counts into this library, `NAME.truing`
    #[arg(long, short, value_name = "FILE")]
    pub output: Option<PathBuf>,
}

/// A number of jobs, above nought.
fn jobs(text: &str) -> Result<f64, String> {
    match text.trim().parse::<f64>() {
        Ok(jobs) if jobs > 0.0 && jobs <= 1e6 => Ok(jobs),
        _ => Err("a number of jobs, above 0 and not above 1000000".to_owned()),
    }
}

/// `truing study`
#[derive(Debug, Args)]
pub struct StudyArguments {
    /// What to study
    #[command(subcommand)]
    pub study: Study,
}

/// What can be studied.
#[derive(Debug, Subcommand)]
pub enum Study {
    /// What instruments can decide of a spec's limits
    #[command(after_help = CAPABILITY_HELP)]
    Capability(CapabilityArguments),
    /// What a spec's checks can show of its faults, and tell apart
    #[command(after_help = FAULTS_HELP)]
    Faults(FaultsArguments),
    /// What the procedures of a spec are expected to take, beside the engine's own order
    #[command(after_help = PROCEDURES_HELP)]
    Procedures(ProceduresArguments),
}

/// `truing study procedures`
#[derive(Debug, Args)]
pub struct ProceduresArguments {
    /// The spec
    #[arg(value_name = "SPEC")]
    pub spec: PathBuf,
    /// Of the engine's own order only one branch is followed behind those less probable than this
    #[arg(long, value_name = "PROBABILITY", default_value_t = 0.05, value_parser = probability)]
    pub cut_off: f64,
    /// What the draws of that branch begin with: the same number gives the same figures
    #[arg(long, value_name = "NUMBER", default_value_t = 1)]
    pub seed: u64,
}

/// A probability.
fn probability(text: &str) -> Result<f64, String> {
    let probability: f64 = text.parse().map_err(|_| format!("`{text}` is no number"))?;
    if (0.0..=1.0).contains(&probability) {
        Ok(probability)
    } else {
        Err("a probability lies between 0 and 1".to_owned())
    }
}

/// `truing study faults`
#[derive(Debug, Args)]
pub struct FaultsArguments {
    /// The spec
    #[arg(value_name = "SPEC")]
    pub spec: PathBuf,
    /// Write it as one page for a browser or a printer too
    #[arg(long, value_name = "FILE")]
    pub html: Option<PathBuf>,
}

/// `truing study capability`
#[derive(Debug, Args)]
pub struct CapabilityArguments {
    /// The spec
    #[arg(value_name = "SPEC")]
    pub spec: PathBuf,
    /// An instrument: the name of one that the spec or the built-in library has, or a file of
    /// instruments; without any, those that the spec names
    #[arg(long = "instrument", short, value_name = "NAME|FILE")]
    pub instruments: Vec<String>,
    /// The leads are not zeroed before a reading
    #[arg(long)]
    pub not_zeroed: bool,
    /// Only these checks, by name (all members) or by label
    #[arg(long, value_name = "CHECK", num_args = 1.., value_delimiter = ',')]
    pub only: Vec<String>,
}

/// The form of a job sheet.
#[derive(Copy, Clone, Debug, PartialEq, Eq, ValueEnum)]
pub enum SheetForm {
    /// TOML
    Toml,
    /// JSON
    Json,
    /// Comma-separated values
    Csv,
}

/// `truing calc`
#[derive(Debug, Args)]
pub struct CalcArguments {
    /// The expression, with `in UNIT` behind it for a conversion
    #[arg(value_name = "EXPRESSION", allow_hyphen_values = true, required = true)]
    pub expression: Vec<String>,
    /// The same as --format json
    #[arg(long)]
    pub json: bool,
}

/// `truing explain`
#[derive(Debug, Args)]
pub struct ExplainArguments {
    /// The name of the finding
    #[arg(value_name = "NAME", required_unless_present = "list")]
    pub name: Option<String>,
    /// All names with what they mean
    #[arg(long)]
    pub list: bool,
}

#[cfg(test)]
mod tests {
    use clap::CommandFactory;

    use super::Arguments;

    #[test]
    fn the_definition_is_sound() {
        Arguments::command().debug_assert();
    }
}
