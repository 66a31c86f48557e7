//! `stillroom open`.

use super::arguments::OpenArguments;
use super::record::now;
use super::stream::{print, tell_line};
use super::{Failure, Outcome};
use std::io::Read as _;
use std::path::PathBuf;
use stillroom::server::{LAN_MEANS, Opened, Settings, in_terminal, open};

/// Opens a folder as pages, and goes on until Ctrl-C.
///
/// # Errors
/// A folder that is none, and a port that is taken.
pub fn run(arguments: &OpenArguments) -> Result<Outcome, Failure> {
    let settings = Settings {
        folder: arguments.folder.clone().unwrap_or_else(|| PathBuf::from(".")),
        port: arguments.port,
        lan: arguments.lan,
        clock: now,
        until: arguments.until_eof.then_some(input_ends as fn()),
    };
    open(&settings, |opened| told(arguments, opened)).map_err(|error| Failure(error.to_string()))?;
    Ok(Outcome::Clean)
}

fn told(arguments: &OpenArguments, opened: &Opened) {
    let link = opened.here.link();
    print(&format!("Open {link}\n"));
    if let Some(lan) = &opened.lan {
        tell_line(LAN_MEANS);
        tell_line(&format!("For the phone: {}", lan.link()));
        tell_line(&in_terminal(&lan.link()));
    }
    if !arguments.no_browser && ::open::that_detached(&link).is_err() {
        tell_line("No browser could be opened: open the address above in one.");
    }
}

/// Waits for the end of standard input.
fn input_ends() {
    let mut some = [0; 1024];
    let mut input = std::io::stdin().lock();
    while matches!(input.read(&mut some), Ok(1..)) {}
}
