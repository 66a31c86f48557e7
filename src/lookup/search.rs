//! What a few words lead to.

use super::facts::{NameFacts, known};
use super::{called, numbered};
use crate::shelf::{ENTRIES, EVERYDAY_NAMES, ShelfKind, called_every_day, everyday_key};
use crate::syntax::{is_one_slip, nearest};

/// Something that all the words speak of.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct SearchHit {
    /// What it is.
    pub kind: ShelfKind,
    /// Its name.
    pub name: &'static str,
    /// What it is called, where that is known.
    pub title: Option<String>,
    /// The file of the shelf that has it.
    pub file: &'static str,
}

/// The declarations that all the words speak of: what the words are an everyday name of, then what has them in its name,
/// then in what it is called, then in its roles, then in what is noted of it. Materials come before substances, and
/// names go by the alphabet.
///
/// A word is found where another begins with it, in whatever case; an `s` at its end may be left over. Where nothing is
/// found, the name of a file of the shelf leads to what stands in it.
#[must_use]
pub fn search(words: &[&str]) -> Vec<SearchHit> {
    let words: Vec<String> = words.iter().flat_map(|word| tokens(word)).map(in_full).collect();
    if words.is_empty() {
        return Vec::new();
    }
    let everyday = called_every_day(&words.concat());
    let file = words.join("-");
    let mut of_file: Vec<SearchHit> = Vec::new();
    let mut found: Vec<(usize, bool, SearchHit)> = Vec::new();
    for (number, _) in numbered() {
        let Some(known) = known(number) else { continue };
        let layers = layers(&known);
        let rank = |word: &String| layers.iter().position(|layer| layer.iter().any(|token| begins(token, word)));
        let ranks: Option<Vec<usize>> = words.iter().map(rank).collect();
        let worst = ranks.and_then(|ranks| ranks.into_iter().max()).map(|worst| worst + 1);
        if known.file == file {
            let NameFacts { kind, name, file, ref title, .. } = known;
            of_file.push(SearchHit { kind, name, title: title.clone(), file });
        }
        if let Some(worst) = if everyday.contains(&number) { Some(0) } else { worst } {
            let NameFacts { kind, name, file, title, .. } = known;
            found.push((worst, kind != ShelfKind::Material, SearchHit { kind, name, title, file }));
        }
    }
    found.sort_by(|(rank, other, one), (rank_two, other_two, two)| {
        (rank, other, one.kind, one.name).cmp(&(rank_two, other_two, two.kind, two.name))
    });
    // A file's name leads to all that stands in it, where it leads to nothing else.
    if found.is_empty() { of_file } else { found.into_iter().map(|(_, _, found)| found).collect() }
}

/// The words of a declaration in layers, the most telling first: name, what it is called, roles, the rest.
fn layers(known: &NameFacts) -> [Vec<String>; 4] {
    let of = |fields: &[&str]| {
        let facts = known.facts.iter().filter(|fact| fields.contains(&fact.field));
        facts.flat_map(|fact| tokens(&fact.says)).collect::<Vec<_>>()
    };
    let mut called = of(&["name", "also", "inci", "us", "ci", "cas"]);
    called.extend(inci_of_parts(known));
    let notes = of(&["note", "caution", "protects", "contains", "charge", "group", "rule", "allergen", "nano"]);
    [tokens(known.name), called, of(&["role"]), notes]
}

/// The INCI names of what a material contains, so that it is found by what stands on its label.
fn inci_of_parts(known: &NameFacts) -> Vec<String> {
    if known.kind != ShelfKind::Material {
        return Vec::new();
    }
    let contains = known.facts.iter().find(|fact| fact.field == "contains");
    let names: Vec<&str> = match contains {
        Some(fact) => fact.says.split(", ").filter_map(|part| part.split(' ').next()).collect(),
        None => vec![known.name],
    };
    let titles = names.into_iter().flat_map(called).filter_map(super::known);
    let substances = titles.filter(|part| part.kind == ShelfKind::Substance && part.name != "water");
    substances.filter_map(|part| part.title).flat_map(|title| tokens(&title)).collect()
}

/// `vit` as makers write it for `vitamin`.
fn in_full(word: String) -> String {
    if word == "vit" { "vitamin".to_string() } else { word }
}

fn tokens(text: &str) -> Vec<String> {
    let lower = text.to_lowercase();
    lower.split(|c: char| !c.is_alphanumeric()).filter(|word| !word.is_empty()).map(String::from).collect()
}

fn begins(token: &str, word: &str) -> bool {
    let single = word.strip_suffix('s').filter(|single| single.chars().count() > 2);
    token.starts_with(word) || single.is_some_and(|single| token == single)
}

/// The names of the shelf nearest to words that led to nothing: names of its own, or materials by everyday
/// names.
#[must_use]
pub fn nearest_names(words: &[&str]) -> Vec<&'static str> {
    let asked = words.join("-").split_whitespace().collect::<Vec<_>>().join("-");
    let near = nearest(&asked, ENTRIES.iter().map(|entry| entry.name));
    let key = everyday_key(&asked);
    let everyday = nearest(&key, EVERYDAY_NAMES.iter().map(|(key, _)| *key));
    // One slip from an everyday name is nearer than what only resembles a name.
    let is_slip = |names: &[&str]| names.iter().any(|name| is_one_slip(&key, &everyday_key(name)));
    if !near.is_empty() && (is_slip(&near) || !is_slip(&everyday)) {
        return near;
    }
    let mut materials: Vec<&'static str> = Vec::new();
    for entry in everyday.into_iter().flat_map(called_every_day) {
        materials.extend(super::entry_of(*entry).map(|entry| entry.name).filter(|name| !materials.contains(name)));
    }
    materials
}
