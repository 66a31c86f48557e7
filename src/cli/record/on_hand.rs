//! The lots that are on hand, each one digit away: those of the store room in the folder of the record.

use super::talk::Talk;
use crate::cli::input::{here, named};
use std::path::{Path, PathBuf};
use stillroom::batch::writing::quoted;
use stillroom::render::shown;
use stillroom::resolve::Resolver;
use stillroom::store::{Lot, StoreRoom, Thing, make_formulas};
use stillroom::workspace::{Disk, load};

/// How many lots fit under one digit.
const DIGITS: usize = 9;

/// Asks for the lot of a material, as the end of a statement: one that is on hand by its digit, any other by its code.
/// None where she goes back.
pub fn lot(talk: &mut Talk<'_>, record: &Path, today: Option<&str>, material: &str) -> Option<String> {
    let (lots, day) = lots(record, today, material);
    if lots.is_empty() {
        return talk.ask("Code: ").map(|code| quoted(&code));
    }
    talk.say("On hand, the oldest first:\n");
    for (number, lot) in lots.iter().enumerate() {
        talk.say(&format!("  {} {}\n", number + 1, words(lot, &day)));
    }
    let answer = talk.ask("Its digit, or the code on another: ")?;
    let digit = answer.parse::<usize>().ok().and_then(|digit| lots.get(digit.checked_sub(1)?));
    let Some(lot) = digit else { return Some(quoted(&answer)) };
    let expires = lot.expires.as_ref().map(|day| format!(" expires {day}")).unwrap_or_default();
    Some(format!("{}{expires}", quoted(lot.code.as_deref()?)))
}

/// The lots of a material that have a code, those that are past their day last; and the day that this is by.
fn lots(record: &Path, today: Option<&str>, material: &str) -> (Vec<Lot>, String) {
    let folder = record.parent().filter(|folder| !folder.as_os_str().is_empty()).unwrap_or(Path::new("."));
    let folder: Vec<PathBuf> = named(&[folder.to_path_buf()]).map(|input| input.files).unwrap_or_default();
    let files: Vec<PathBuf> = std::iter::once(record.to_path_buf()).chain(folder).collect();
    let loaded = load(&Disk, &files, None).seen_from(here());
    let resolver = Resolver::new(&loaded.sources, &mut Vec::new());
    make_formulas(&resolver);
    let room = StoreRoom::of_files(&resolver, today, &mut Vec::new());
    let lots = room.lots_to_hand(&Thing::weighable(material), DIGITS).into_iter().cloned().collect();
    (lots, room.day.to_string())
}

fn words(lot: &Lot, day: &str) -> String {
    format!("{}: {}", shown(lot.code.as_deref().unwrap_or_default()), lot.left_by(day))
}
