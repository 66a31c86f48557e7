//! `stillroom completions`: made of the one definition of the commands.

use super::arguments::{Arguments, CompletionsArguments};
use super::stream::pipe;
use super::{Failure, Outcome};
use clap::CommandFactory as _;

/// Prints what a shell is to read so that it completes commands and options.
///
/// # Errors
/// None.
pub fn run(arguments: &CompletionsArguments) -> Result<Outcome, Failure> {
    let mut made = Vec::new();
    clap_complete::generate(arguments.shell, &mut Arguments::command(), "stillroom", &mut made);
    // For a shell to read and no one else; nothing of a file is in it.
    pipe(&String::from_utf8_lossy(&made));
    Ok(Outcome::Clean)
}
