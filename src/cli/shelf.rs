//! `stillroom shelf`.

use super::arguments::{ShelfArguments, ShelfFormat};
use super::input::pretty;
use super::stream::{print, tell_line};
use super::{Failure, Outcome};
use stillroom::render::{shelf_answer, shelf_text, shown};

/// Prints what the shelf knows under a name, or what words lead to, or the list of its files.
///
/// # Errors
/// With `--in`, what cannot be read or is not there; else none but a fault of the program.
pub fn run(arguments: &ShelfArguments) -> Result<Outcome, Failure> {
    if let Some(path) = &arguments.within {
        return super::swaps::run(arguments, path);
    }
    let answer = shelf_answer(&arguments.words);
    let nothing = !answer.asked.is_empty() && answer.known.is_empty() && answer.found.is_empty();
    match arguments.format {
        ShelfFormat::Json => print(&pretty(&answer)?),
        ShelfFormat::Text if nothing => {}
        ShelfFormat::Text => print(&shelf_text(&answer)),
    }
    if !nothing {
        return Ok(Outcome::Clean);
    }
    let near: Vec<String> = answer.nearest.iter().map(|name| format!("`{name}`")).collect();
    let hint = if near.is_empty() { String::new() } else { format!(" Did you mean {}?", near.join(" or ")) };
    tell_line(&format!("The shelf has nothing under `{}`.{hint}", shown(&answer.asked.join(" "))));
    Ok(Outcome::Errors)
}
