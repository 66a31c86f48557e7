//! `stillroom check`.

use super::arguments::{CheckArguments, CheckFormat};
use super::input::{day, input, look, print, stdout_is_terminal};
use super::{Failure, Outcome};
use crate::check::check;
use crate::plan::Order;
use crate::render::{CheckJson, Summary, human};
use std::collections::BTreeSet;
use std::path::PathBuf;

/// Checks and prints what is wrong.
///
/// # Errors
/// Input that cannot be read.
pub fn run(arguments: &CheckArguments) -> Result<Outcome, Failure> {
    let on = arguments.on.as_deref().map(day).transpose()?;
    let order = Order { on, ..Order::default() };
    let here = [PathBuf::from(".")];
    let paths = if arguments.paths.is_empty() { &here[..] } else { &arguments.paths };
    let loaded = input(paths)?;
    let report = check(&loaded.sources, &order, false);
    let summary = Summary::of(&report.diagnostics);
    match arguments.format {
        CheckFormat::Json => {
            let json = serde_json::to_string_pretty(&CheckJson::new(&loaded.sources, &report.diagnostics));
            print(&(json.map_err(|error| Failure(error.to_string()))? + "\n"));
        }
        CheckFormat::Human => {
            print(&human(&loaded.sources, &report.diagnostics, look(stdout_is_terminal())));
            // Said once, however many formulas it holds for.
            let remarks: BTreeSet<&String> =
                report.formulas.iter().filter_map(|formula| formula.remark.as_ref()).collect();
            remarks.iter().for_each(|remark| eprintln!("{remark}"));
            let formulas = match report.formulas.len() {
                1 => "1 formula".to_string(),
                many => format!("{many} formulas"),
            };
            match summary.words() {
                words if words.is_empty() => eprintln!("{formulas} checked, nothing to mend."),
                words => eprintln!("{formulas} checked: {words}."),
            }
        }
    }
    Ok(if summary.errors > 0 { Outcome::Errors } else { Outcome::Clean })
}
