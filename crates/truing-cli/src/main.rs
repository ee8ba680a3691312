//! The `truing` command. Read in this order: [`arguments`] (what can be said on the command line),
//! [`command`] (one file for each subcommand), [`status`], [`output`], [`terminal`],
//! [`work`] (the session at the machine).

#![forbid(unsafe_code)]

mod arguments;
mod command;
mod failure;
mod input;
mod output;
mod rewrite;
mod selection;
mod simulation;
mod status;
mod terminal;
mod work;

use std::process::ExitCode;

use clap::Parser;

use crate::arguments::Arguments;
use crate::output::Output;
use crate::status::Status;

fn main() -> ExitCode {
    let arguments = match Arguments::try_parse() {
        Ok(arguments) => arguments,
        Err(usage) => return tell_usage(&usage),
    };
    let mut output = Output::new(&arguments.global);
    let status = command::run(arguments, &mut output);
    output.finish(status)
}

/// Help and version are answers; anything else is a call in error.
fn tell_usage(usage: &clap::Error) -> ExitCode {
    let status = if usage.use_stderr() { Status::Error } else { Status::Pass };
    match usage.print() {
        Ok(()) => status.into(),
        Err(error) => output::status_of_broken_output(&error),
    }
}
