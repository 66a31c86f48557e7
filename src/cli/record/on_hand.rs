//! The lots that are on hand, each one digit away: those of the store room in the folder of the record.

use super::talk::Talk;
use crate::cli::input::{here, named};
use std::path::{Path, PathBuf};
use stillroom::batch::writing::quoted;
use stillroom::quantity::Exact;
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
    let account = room.things.get(&Thing::weighable(material)).map(|(_, account)| account);
    let coded = account.into_iter().flat_map(|account| &account.lots).filter(|lot| lot.code.is_some());
    let mut lots: Vec<Lot> = coded.cloned().collect();
    // The order of age stays among those that may be used, and among those that may not.
    lots.sort_by_key(|lot| lot.is_past(Some(&room.day)));
    lots.truncate(DIGITS);
    (lots, room.day.to_string())
}

fn words(lot: &Lot, day: &str) -> String {
    let left: &Exact = &lot.amount;
    let until = match &lot.expires {
        Some(expires) if lot.is_past(Some(day)) => format!(", past its day since {expires}"),
        Some(expires) => format!(", to {expires}"),
        None => String::new(),
    };
    let since = lot.since.as_ref().map(|since| format!(", since {since}")).unwrap_or_default();
    format!("{}: {left} g left{since}{until}", shown(lot.code.as_deref().unwrap_or_default()))
}
