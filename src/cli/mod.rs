//! The command line: one file a command.

mod arguments;
mod assessor;
mod bench;
mod book;
mod buy;
mod card;
mod check;
mod completions;
mod cost;
mod diff;
mod explain;
mod failure;
mod fmt;
mod input;
mod label;
mod locked_folder;
mod log;
mod lsp;
mod man;
mod mend;
mod new;
mod open;
mod out;
mod ph;
mod record;
mod sheet;
mod shelf;
mod shelf_folder;
mod sides;
mod stock;
mod store_files;
mod stream;
mod swaps;
mod trace;
mod watch;
mod why;

pub use arguments::Arguments;
pub use failure::Failure;
pub use stream::tell;

use arguments::Command;
use clap::Parser as _;
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

/// Runs the command of the command line.
#[must_use]
pub fn start() -> ExitCode {
    let arguments = match Arguments::try_parse() {
        Ok(arguments) => arguments,
        Err(asked) => return stream::answer(&asked),
    };
    match run(arguments) {
        Ok(outcome) => outcome.into(),
        Err(failure) => {
            stream::tell_line(&failure.to_string());
            ExitCode::from(2)
        }
    }
}

/// Runs a command.
///
/// # Errors
/// Wrong use, input that cannot be read, and output that cannot be written: exit code 2.
pub fn run(arguments: Arguments) -> Result<Outcome, Failure> {
    let outcome = carried_out(arguments.command);
    match stream::taken_lost() {
        None => outcome,
        Some(lost) => Err(Failure(outcome.err().map(|failure| failure.0 + "\n").unwrap_or_default() + &lost)),
    }
}

fn carried_out(command: Command) -> Result<Outcome, Failure> {
    match command {
        Command::Check(arguments) => check::run(&arguments),
        Command::Sheet(arguments) => sheet::run(&arguments),
        Command::Label(arguments) => label::run(&arguments),
        Command::Card(arguments) => card::run(&arguments),
        Command::Diff(arguments) => diff::run(&arguments),
        Command::Log(arguments) => log::run(&arguments),
        Command::Why(arguments) => why::run(&arguments),
        Command::Cost(arguments) => cost::run(&arguments),
        Command::Ph(arguments) => ph::run(&arguments),
        Command::Bench(arguments) => bench::run(&arguments),
        Command::Book(arguments) => book::run(&arguments),
        Command::Trace(arguments) => trace::run(&arguments),
        Command::Buy(arguments) => buy::run(&arguments),
        Command::Stock(arguments) => stock::run(&arguments),
        Command::Record(arguments) => record::run(&arguments),
        Command::Fmt(arguments) => fmt::run(&arguments),
        Command::Shelf(arguments) => shelf::run(&arguments),
        Command::Explain(arguments) => explain::run(&arguments),
        Command::New(arguments) => new::run(&arguments),
        Command::Open(arguments) => open::run(&arguments),
        Command::Lsp(arguments) => lsp::run(&arguments),
        Command::Completions(arguments) => completions::run(&arguments),
        Command::Man(arguments) => man::run(&arguments),
    }
}
