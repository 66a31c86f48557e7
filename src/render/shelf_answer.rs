//! What the shelf answers to a name or to words.

use super::shelf_json::{FoundJson, KnownJson, ShelfFileJson, ShelfJson};
use crate::lookup::{called, files, held_by, known, nearest_names, search, stand_ins};
use crate::shelf::{EDITION, ENTRIES, ShelfKind, called_every_day};

fn is_material(entry: u32) -> bool {
    ENTRIES.get(entry as usize).is_some_and(|entry| entry.kind == ShelfKind::Material)
}

/// What the shelf knows under words: one word that is a name, and what one material alone is called every day, is looked
/// up; anything else is searched for. Without words, its files.
#[must_use]
pub fn shelf_answer(words: &[String]) -> ShelfJson {
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
