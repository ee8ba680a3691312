//! One file for each subcommand.

mod assess;
mod calc;
mod check;
mod explain;
mod fmt;
mod history;
mod learn;
mod next;
mod report;
mod sheets;
mod study;
mod test;
mod walk;
mod work;

use truing::report::Problem;

use crate::arguments::{Arguments, Command, Format};
use crate::failure;
use crate::output::Output;
use crate::status::Status;

/// Does what was asked for.
pub fn run(arguments: Arguments, output: &mut Output) -> Status {
    let document = matches!(output.format, Format::Html | Format::Md);
    if document && !matches!(arguments.command, Command::Report(_)) {
        let problem =
            Problem::new("format", "HTML and Markdown are forms of `truing report` alone")
                .mend("leave --format out, or give --format json");
        return failure::tell(output, &[problem]);
    }
    match arguments.command {
        Command::Check(arguments) => check::run(&arguments, output),
        Command::Fmt(arguments) => fmt::run(&arguments, output),
        Command::Test(arguments) => test::run(&arguments, output),
        Command::Assess(arguments) => assess::run(&arguments, output),
        Command::Next(arguments) => next::run(&arguments, output),
        Command::History(arguments) => history::run(&arguments, output),
        Command::Work(arguments) => work::run(&arguments, output),
        Command::Report(arguments) => report::run(&arguments, output),
        Command::Walk(arguments) => walk::run(&arguments, output),
        Command::Learn(arguments) => learn::run(&arguments, output),
        Command::Study(arguments) => study::run(&arguments, output),
        Command::Calc(arguments) => calc::run(&arguments, output),
        Command::Explain(arguments) => explain::run(&arguments, output),
    }
}
