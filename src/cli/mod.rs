//! The command line: one file a command.

mod arguments;
mod bench;
mod check;
mod diff;
mod explain;
mod failure;
mod fmt;
mod hold;
mod input;
mod log;
mod new;
mod ph;
mod record;
mod sheet;
mod shelf;
mod sides;
mod trace;
mod why;
mod write;

pub use arguments::Arguments;
pub use failure::Failure;

use arguments::Command;
use std::process::ExitCode;

/// What a command comes to.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Outcome {
    /// Nothing wrong.
    Clean,
    /// Errors were found.
    Errors,
}

impl From<Outcome> for ExitCode {
    fn from(outcome: Outcome) -> ExitCode {
        match outcome {
            Outcome::Clean => ExitCode::SUCCESS,
            Outcome::Errors => ExitCode::from(1),
        }
    }
}

/// Runs a command.
///
/// # Errors
/// Wrong use or input that cannot be read: exit code 2.
pub fn run(arguments: Arguments) -> Result<Outcome, Failure> {
    match arguments.command {
        Command::Check(arguments) => check::run(&arguments),
        Command::Sheet(arguments) => sheet::run(&arguments),
        Command::Diff(arguments) => diff::run(&arguments),
        Command::Log(arguments) => log::run(&arguments),
        Command::Why(arguments) => why::run(&arguments),
        Command::Ph(arguments) => ph::run(&arguments),
        Command::Bench(arguments) => bench::run(&arguments),
        Command::Trace(arguments) => trace::run(&arguments),
        Command::Record(arguments) => record::run(&arguments),
        Command::Fmt(arguments) => fmt::run(&arguments),
        Command::Shelf(arguments) => shelf::run(&arguments),
        Command::Explain(arguments) => explain::run(&arguments),
        Command::New(arguments) => new::run(&arguments),
    }
}
