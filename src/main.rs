//! The program: arguments to a command, nothing else.

use clap::Parser as _;
use std::process::ExitCode;
use stillroom::cli::{Arguments, run};

fn main() -> ExitCode {
    std::panic::set_hook(Box::new(|panic| {
        eprintln!(
            "This is a fault of stillroom {}, not of your formula. Please send this message and the file it was given.\n{panic}",
            env!("CARGO_PKG_VERSION")
        );
    }));
    match run(Arguments::parse()) {
        Ok(outcome) => outcome.into(),
        Err(failure) => {
            eprintln!("{failure}");
            ExitCode::from(2)
        }
    }
}
