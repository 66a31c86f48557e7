//! What would change with a stand-in.

use super::profile::Profile;
use crate::lookup::facts::NameFacts;
use crate::model::Component;
use crate::quantity::{Exact, Interval};

/// What would change with a stand-in.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Difference {
    /// What it is about.
    pub about: &'static str,
    /// How it is with the material that is there; none where the shelf says nothing of it.
    pub from: Option<String>,
    /// How it would be.
    pub to: Option<String>,
}

/// The fields that are compared as they are told, with what they are about.
const COMPARED: &[(&str, &str)] = &[
    ("does", "does"),
    ("use", "use"),
    ("works", "works in"),
    ("stays", "stays below"),
    ("needs", "needs heat of"),
    ("melts", "melts"),
    ("hydrates", "hydrates in"),
    ("bears", "bears"),
    ("hlb", "HLB"),
    ("required-hlb", "required HLB"),
    ("protects", "protects against"),
];

/// What would change, field by field.
pub(super) fn between(wanted: &Profile, here: &NameFacts, other: &Profile, there: &NameFacts) -> Vec<Difference> {
    let strength = strength_change(wanted, other);
    let charge = |profile: &Profile| profile.charge().map(|charge| charge.word().to_string());
    let said = |known: &NameFacts, field: &str| {
        let says: Vec<&str> =
            known.facts.iter().filter(|fact| fact.field == field).map(|fact| fact.says.as_str()).collect();
        (!says.is_empty()).then(|| says.join("; "))
    };
    let mut pairs = vec![strength];
    pairs.extend(COMPARED.iter().map(|(field, about)| (*about, said(here, field), said(there, field))));
    pairs.push(("charge", charge(wanted), charge(other)));
    pairs
        .into_iter()
        .filter(|(_, from, to)| from != to)
        .map(|(about, from, to)| Difference { about, from, to })
        .collect()
}

/// The strength alone where both have the same active, else what either is made of.
fn strength_change(wanted: &Profile, other: &Profile) -> (&'static str, Option<String>, Option<String>) {
    match (&wanted.active, &other.active) {
        (Some((one, _)), Some((two, _))) if wanted.has_active_of(other) => {
            ("strength", Some(strength(one)), Some(strength(two)))
        }
        _ => ("made of", Some(made_of(wanted)), Some(made_of(other))),
    }
}

/// The active and its strength; of a blend without one, the first few names.
fn made_of(profile: &Profile) -> String {
    if let Some((component, substance)) = &profile.active {
        return format!("{} {}", substance.name, strength(component));
    }
    let names: Vec<&str> = profile.parts.iter().map(|(_, substance)| substance.name.as_str()).collect();
    match names.as_slice() {
        [one, two, three, _, ..] => format!("{one}, {two}, {three} and {} more", names.len() - 3),
        few => few.join(", "),
    }
}

/// How strong a component is.
pub(super) fn strength(component: &Component) -> String {
    let figure = |figure: &Exact| figure.to_significant(4);
    let Interval { low, high } = &component.strength;
    match component.undisclosed {
        true => "of a strength that is not disclosed".to_string(),
        false if component.strength.is_point() => format!("{} %", figure(low)),
        false => format!("{} % to {} %", figure(low), figure(high)),
    }
}
