//! The words of the language that the grammar has for each place, read from the grammar itself.

use crate::syntax::context::Context;
use std::collections::{BTreeMap, BTreeSet};
use std::sync::OnceLock;

pub(super) const GRAMMAR: &str = include_str!("../../../grammar/stillroom.pest");

/// The words that may stand in the statements of a block, by the alphabet.
pub(super) fn words_in(context: Context) -> &'static [&'static str] {
    static WORDS: OnceLock<Vec<Vec<&'static str>>> = OnceLock::new();
    let all = WORDS.get_or_init(|| {
        let rules = rules();
        (0..Context::COUNT).map(|number| reached(&rules, number)).collect()
    });
    all.get(context as usize).map(Vec::as_slice).unwrap_or_default()
}

/// What each rule names: other rules, and words.
type Rules = BTreeMap<&'static str, (Vec<&'static str>, Vec<&'static str>)>;

fn rules() -> Rules {
    let mut rules = Rules::new();
    let mut current = "";
    for line in GRAMMAR.lines().filter(|line| !line.trim_start().starts_with("//")) {
        let mut body = line;
        if let Some((name, rest)) = line.split_once('=').filter(|(name, _)| is_rule_name(name.trim())) {
            current = name.trim();
            body = rest;
        }
        let (names, words) = rules.entry(current).or_default();
        for (number, piece) in body.split('"').enumerate() {
            if number % 2 == 1 {
                let is_word = piece.starts_with(char::is_alphabetic)
                    && piece.chars().all(|letter| letter.is_alphabetic() || "-./".contains(letter));
                words.extend(is_word.then_some(piece));
            } else {
                let ends = |letter: char| !letter.is_alphanumeric() && letter != '_';
                names.extend(piece.split(ends).filter(|name| is_rule_name(name)));
            }
        }
    }
    rules
}

pub(super) fn is_rule_name(text: &str) -> bool {
    text.starts_with(|letter: char| letter.is_ascii_lowercase())
        && text.chars().all(|letter| letter.is_ascii_lowercase() || letter == '_')
}

/// The rule of a block, and what it is called in the grammar.
pub(super) const ENTRIES: [&str; Context::COUNT] = [
    "in_file",
    "in_maker",
    "in_container",
    "in_stock",
    "in_substance",
    "in_material",
    "in_formula",
    "in_phase",
    "in_steps",
    "in_variant",
    "in_variant_phase",
    "in_rule",
    "in_batch",
    "in_plan",
];

fn reached(rules: &Rules, context: usize) -> Vec<&'static str> {
    let mut seen: BTreeSet<&str> = BTreeSet::new();
    let mut words: BTreeSet<&'static str> = BTreeSet::new();
    let mut waiting: Vec<&'static str> = ENTRIES.get(context).copied().into_iter().collect();
    while let Some(rule) = waiting.pop() {
        if !seen.insert(rule) {
            continue;
        }
        if let Some((names, own)) = rules.get(rule) {
            waiting.extend(names);
            words.extend(own);
        }
    }
    words.into_iter().collect()
}
