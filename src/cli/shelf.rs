//! `stillroom shelf`.

use super::arguments::{ShelfArguments, ShelfFormat};
use super::input::pretty;
use super::stream::{print, tell_line};
use super::{Failure, Outcome};
use stillroom::lookup::{called, files, held_by, known, nearest_names, search, stand_ins};
use stillroom::render::{FoundJson, KnownJson, ShelfFileJson, ShelfJson, shelf_text, shown};
use stillroom::shelf::{EDITION, ENTRIES, ShelfKind, called_every_day};

/// Prints what the shelf knows under a name, or what words lead to, or the list of its files.
///
/// # Errors
/// With `--in`, what cannot be read or is not there; else none but a fault of the program.
pub fn run(arguments: &ShelfArguments) -> Result<Outcome, Failure> {
    if let Some(path) = &arguments.within {
        return super::swaps::run(arguments, path);
    }
    let answer = answer(&arguments.words);
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

fn is_material(entry: u32) -> bool {
    ENTRIES.get(entry as usize).is_some_and(|entry| entry.kind == ShelfKind::Material)
}

/// One word that is a name, and what one material alone is called every day, is looked up; anything else is searched
/// for.
fn answer(words: &[String]) -> ShelfJson {
    let asked: Vec<String> = words.iter().filter(|word| !word.trim().is_empty()).cloned().collect();
    let mut answer = ShelfJson {
        schema: "stillroom.shelf/1".to_string(),
        edition: EDITION.to_string(),
        files: Vec::new(),
        known: Vec::new(),
        found: Vec::new(),
        nearest: Vec::new(),
        asked,
    };
    let words: Vec<&str> = answer.asked.iter().map(String::as_str).collect();
    let mut entries = match words.as_slice() {
        [] => {
            answer.files = files().iter().map(ShelfFileJson::from).collect();
            return answer;
        }
        [name] => called(&name.trim().to_lowercase()),
        _ => Vec::new(),
    };
    // The materials of an everyday name that a substance has too stand before it.
    match called_every_day(&words.concat()) {
        [only] if entries.is_empty() => entries.push(*only),
        several if !entries.is_empty() && !entries.iter().any(|entry| is_material(*entry)) => {
            entries.splice(..0, several.iter().copied());
        }
        _ => {}
    }
    let all_known = entries.iter().filter_map(|entry| {
        let known = known(*entry)?;
        Some(KnownJson::new(&known, &held_by(*entry), &stand_ins(*entry)))
    });
    answer.known = all_known.collect();
    if answer.known.is_empty() {
        answer.found = search(&words).iter().map(FoundJson::from).collect();
        if answer.found.is_empty() {
            answer.nearest = nearest_names(&words).into_iter().map(String::from).collect();
        }
    }
    answer
}
