//! One file for each subcommand.

mod assess;
mod calc;
mod check;
mod explain;
mod fmt;
mod history;
mod next;
mod sheets;
mod study;
mod test;
mod work;

use crate::arguments::{Arguments, Command};
use crate::output::Output;
use crate::status::Status;

/// Does what was asked for.
pub fn run(arguments: Arguments, output: &mut Output) -> Status {
    match arguments.command {
        Command::Check(arguments) => check::run(&arguments, output),
        Command::Fmt(arguments) => fmt::run(&arguments, output),
        Command::Test(arguments) => test::run(&arguments, output),
        Command::Assess(arguments) => assess::run(&arguments, output),
        Command::Next(arguments) => next::run(&arguments, output),
        Command::History(arguments) => history::run(&arguments, output),
        Command::Work(arguments) => work::run(&arguments, output),
        Command::Study(arguments) => study::run(&arguments, output),
        Command::Calc(arguments) => calc::run(&arguments, output),
        Command::Explain(arguments) => explain::run(&arguments, output),
    }
}
