//! By what rules and substances are found: a CAS number, or an INCI name in small letters; and by what everyday names
//! materials are.

use super::super::entry::{ShelfEntry, ShelfKind, ShelfRule, everyday_key};
use super::read::{Declaration, File, Statement};
use crate::syntax::vocabulary::Market;
use std::collections::{BTreeMap, BTreeSet};

/// What is found by what.
#[derive(Debug, Default)]
pub struct Keys {
    /// The numbers of the rules that speak to every formula of their market.
    pub for_all: Vec<usize>,
    /// The numbers of the rules that speak of a substance, by its keys.
    pub rules: BTreeMap<String, BTreeSet<usize>>,
    /// The number of a substance's entry, by its keys.
    pub substances: BTreeMap<String, u32>,
    /// The numbers of the entries of materials, by what they are called every day.
    pub everyday: BTreeMap<String, BTreeSet<u32>>,
}

/// A declaration with its entry.
type Declared = (ShelfEntry, Declaration<'static>);

/// The rules, and by what they and the substances are found.
pub fn of(declared: &[Declared], files: &[File]) -> Result<(Vec<ShelfRule>, Keys), String> {
    let mut keys = Keys::default();
    let mut rules = Vec::new();
    for ((entry, declaration), at) in
        declared.iter().zip(0u32..).filter(|((entry, _), _)| entry.kind == ShelfKind::Rule)
    {
        let file = files.get(entry.file as usize).map_or("", |file| file.name);
        let told = |what: String| format!("{file}.still: {} {what}", entry.name);
        let number = rules.len();
        rules.push(rule(at, declaration).map_err(told)?);
        let Some(names) = names_in(declaration).map_err(told)? else {
            keys.for_all.push(number);
            continue;
        };
        for name in names {
            for substance in substances_of(name, declared).map_err(told)? {
                for key in keys_of(substance) {
                    keys.rules.entry(key).or_default().insert(number);
                }
            }
        }
    }
    keys.substances = by_key(declared, files);
    keys.everyday = by_everyday_name(declared);
    Ok((rules, keys))
}

fn rule(entry: u32, declaration: &Declaration<'static>) -> Result<ShelfRule, String> {
    let fields = |word: &'static str| declaration.fields.iter().filter(move |field| field.word(0) == Some(word));
    // After the markets of a line a source may follow, in a text.
    let words = fields("market").flat_map(|line| line.words_from(1).take_while(|word| *word != "source"));
    let markets: Option<Vec<Market>> = words.map(Market::from_word).collect();
    let Some(markets) = markets else { return Err("names a market that is none".into()) };
    let day = |word: &'static str| fields(word).next().and_then(|field| field.word(1));
    Ok(ShelfRule { entry, markets: markets.leak(), from: day("from"), until: day("until") })
}

/// The names of which one must be in a formula for a rule to say anything of it; none where it speaks to every formula.
fn names_in(rule: &Declaration<'static>) -> Result<Option<Vec<&'static str>>, String> {
    let of_a_share = |field: &Statement<'_>| {
        field.word(0) == Some("when")
            && matches!((field.word(2), field.word(3)), (Some("above"), _) | (_, Some("least")))
    };
    let waits = rule.fields.iter().any(of_a_share);
    let mut names = Vec::new();
    for field in &rule.fields {
        match (field.word(0).unwrap_or(""), field.word(1)) {
            ("when", Some(name)) if of_a_share(field) => names.push(name),
            ("when", _) => return Ok(None),
            ("require" | "print", _) if waits => {}
            ("require" | "print", _) => return Ok(None),
            ("limit" | "forbid" | "declare", Some(name)) => names.push(name),
            ("market" | "product" | "from" | "until" | "level" | "because" | "source", _) => {}
            (word, _) => return Err(format!("says `{word}`, which the index does not know")),
        }
    }
    Ok(Some(names))
}

/// The substance of a name, or those of the group of that name.
fn substances_of<'d>(name: &str, declared: &'d [Declared]) -> Result<Vec<&'d Declaration<'static>>, String> {
    let find = |kind: ShelfKind, name: &str| {
        let at = declared.partition_point(|(entry, _)| (entry.kind, entry.name) < (kind, name));
        declared.get(at).filter(|(entry, _)| entry.kind == kind && entry.name == name).map(|(_, found)| found)
    };
    let members = match find(ShelfKind::Group, name) {
        Some(group) => group.head.words_from(2).collect(),
        None => vec![name],
    };
    let substance =
        |name| find(ShelfKind::Substance, name).ok_or_else(|| format!("speaks of {name}, which the shelf has not"));
    members.into_iter().map(substance).collect()
}

/// The CAS numbers of a substance, then its INCI name in small letters.
fn keys_of(substance: &Declaration<'_>) -> Vec<String> {
    let mut keys = Vec::new();
    for field in &substance.fields {
        match (field.word(0), field.text()) {
            (Some("cas"), Some(numbers)) => keys.extend(numbers.split(';').map(|number| number.trim().to_string())),
            (Some("inci"), Some(name)) => keys.push(name.to_lowercase()),
            _ => {}
        }
    }
    keys
}

/// Every substance by its keys. Where two share one, the one that materials are made of stands for both.
fn by_key(declared: &[Declared], files: &[File]) -> BTreeMap<String, u32> {
    let mut found: BTreeMap<String, (bool, u32)> = BTreeMap::new();
    for ((entry, substance), at) in declared.iter().zip(0u32..) {
        if entry.kind != ShelfKind::Substance {
            continue;
        }
        let of_rules = files.get(entry.file as usize).is_some_and(|file| file.name.starts_with("rules-"));
        for key in keys_of(substance) {
            let known = found.entry(key).or_insert((of_rules, at));
            if known.0 && !of_rules {
                *known = (of_rules, at);
            }
        }
    }
    found.into_iter().map(|(key, (_, at))| (key, at)).collect()
}

/// Every material by its everyday names, and by its own name as it may be written apart or together.
fn by_everyday_name(declared: &[Declared]) -> BTreeMap<String, BTreeSet<u32>> {
    let mut found: BTreeMap<String, BTreeSet<u32>> = BTreeMap::new();
    let materials = declared.iter().zip(0u32..).filter(|((entry, _), _)| entry.kind == ShelfKind::Material);
    for ((entry, material), at) in materials {
        let also = material.fields.iter().filter(|field| field.word(0) == Some("also")).flat_map(|field| field.texts());
        for name in also.chain([entry.name]) {
            found.entry(everyday_key(name)).or_default().insert(at);
        }
    }
    found
}
