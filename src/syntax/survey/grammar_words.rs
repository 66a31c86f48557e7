//! The words of the language that the grammar has for each place, read from the grammar itself.

use super::grammar_part::Part;
use crate::syntax::context::Context;
use std::collections::BTreeSet;
use std::sync::OnceLock;

pub(super) type Words = BTreeSet<&'static str>;

/// Every rule of the grammar, by name; `build.rs` makes them of `grammar/stillroom.pest`.
static RULES: &[(&str, Part)] = include!(concat!(env!("OUT_DIR"), "/grammar_rules.rs"));

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

/// What a rule is made of; none for what is no rule of ours.
pub(super) fn rule(name: &str) -> Option<&'static Part> {
    let at = RULES.binary_search_by(|(one, _)| (*one).cmp(name)).ok()?;
    RULES.get(at).map(|(_, part)| part)
}

/// The words that may stand in the statements of a block, by the alphabet.
pub(super) fn words_in(context: Context) -> &'static [&'static str] {
    static WORDS: OnceLock<Vec<Vec<&'static str>>> = OnceLock::new();
    let of = |entry: &&'static str| words_of(&Part::Rule(entry)).into_iter().collect();
    let all = WORDS.get_or_init(|| ENTRIES.iter().map(of).collect());
    all.get(context as usize).map(Vec::as_slice).unwrap_or_default()
}

/// Every word that may stand in something.
pub(super) fn words_of(part: &Part) -> Words {
    let (mut seen, mut words) = (BTreeSet::new(), Words::new());
    gather(part, &mut seen, &mut words);
    words
}

fn gather(part: &Part, seen: &mut BTreeSet<&'static str>, words: &mut Words) {
    match part {
        Part::Look | Part::Other => {}
        Part::Letters(letters) => words.extend(Some(*letters).filter(|letters| is_word(letters))),
        Part::Rule(name) => {
            if let Some(body) = rule(name).filter(|_| seen.insert(*name)) {
                gather(body, seen, words);
            }
        }
        Part::Optional(inner) => gather(inner, seen, words),
        Part::Choice(parts) | Part::Sequence(parts) => parts.iter().for_each(|part| gather(part, seen, words)),
    }
}

/// Whether letters of the grammar are a word of the language.
pub(super) fn is_word(letters: &str) -> bool {
    letters.starts_with(char::is_alphabetic)
        && letters.chars().all(|letter| letter.is_alphabetic() || "-./".contains(letter))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_block_has_its_rule_and_every_rule_is_found() {
        assert!(RULES.len() > 200, "{}", RULES.len());
        assert!(RULES.iter().all(|(name, _)| rule(name).is_some()), "they stand by the alphabet");
        assert!(ENTRIES.iter().all(|entry| rule(entry).is_some()));
        assert!(words_in(Context::Phase).contains(&"hold") && !words_in(Context::Phase).contains(&"makes"));
    }
}
