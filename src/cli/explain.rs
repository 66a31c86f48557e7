//! `stillroom explain`.

use super::arguments::ExplainArguments;
use super::input::did_you_mean;
use super::stream::print;
use super::{Failure, Outcome};
use std::fmt::Write as _;
use stillroom::diagnostic::{CATALOGUE, Code};
use stillroom::render::shown;

/// Prints the page of a code, or the list of all codes.
///
/// # Errors
/// A code that there is not.
pub fn run(arguments: &ExplainArguments) -> Result<Outcome, Failure> {
    let Some(code) = &arguments.code else {
        print(&list());
        return Ok(Outcome::Clean);
    };
    let Some(code) = Code::from_name(code) else {
        let hint = did_you_mean(code, CATALOGUE.iter().map(|entry| entry.name));
        return Err(Failure(format!(
            "There is no diagnostic called `{}`.{hint} `stillroom explain` lists them all.",
            shown(code)
        )));
    };
    let entry = code.entry();
    let allowed = if entry.allowable { "may be allowed with a reason" } else { "cannot be allowed" };
    print(&format!("{}\nLevel: {}; {allowed}.\n", entry.page, entry.level.word()));
    Ok(Outcome::Clean)
}

/// All codes by family, with the first sentence of each page.
fn list() -> String {
    let mut out = String::new();
    let mut family = None;
    let width = CATALOGUE.iter().map(|entry| entry.name.len()).max().unwrap_or(0);
    for entry in CATALOGUE {
        if family != Some(entry.family) {
            let gap = if family.is_some() { "\n" } else { "" };
            let _ = writeln!(out, "{gap}{}", stillroom::resolve::capital(entry.family.about()));
            family = Some(entry.family);
        }
        let sentence = entry.page.lines().skip(1).find(|line| !line.trim().is_empty()).unwrap_or("");
        let _ = writeln!(out, "  {:width$}  {:7}  {sentence}", entry.name, entry.level.word());
    }
    out
}
