//! What a batch is made of, from what was weighed, beside what it was to be.

use super::ledger::Ledger;
use crate::model::{Batch, Composition, DeclId, Formula, Thing};
use crate::quantity::Exact;
use crate::resolve::{NameSet, Resolver};

/// A substance as it was to be and as it was made, in percent of the whole; at the middle of what is a range.
#[derive(Clone, Debug)]
pub struct Made {
    /// The substance.
    pub substance: DeclId,
    /// Its name.
    pub name: String,
    /// What the formula asks for, without adjuster.
    pub target: Exact,
    /// What the beaker holds.
    pub made: Exact,
}

/// The composition as made of all that went in so far; empty where nothing did.
#[must_use]
pub fn made(resolver: &Resolver<'_>, formula: &Formula, batch: &Batch, ledger: &Ledger) -> Vec<Made> {
    let weighed = ledger.lines.iter().flat_map(|line| &line.entries);
    let mut parts: Vec<(&str, &Exact)> =
        weighed.chain(&ledger.strangers).map(|entry| (entry.material.text.as_str(), &entry.grams)).collect();
    let corrections = ledger.from_reserve.iter().filter(|entry| entry.correction);
    parts.extend(corrections.map(|entry| (entry.material.text.as_str(), &entry.grams)));
    let holding = ledger.holding.clone().unwrap_or_default();
    let topped = topped_up(ledger);
    parts.push((holding.as_str(), &topped));
    let whole: Exact = parts.iter().map(|(_, grams)| (*grams).clone()).sum();
    if !whole.is_positive() {
        return Vec::new();
    }
    let mut found = Composition::default();
    for (name, grams) in parts {
        if let Some(percent) = (grams * &Exact::HUNDRED).over(&whole) {
            put(resolver, batch, name, &percent, &mut found);
        }
    }
    let mut all: Vec<Made> = Vec::new();
    let target = formula.composition.iter().flat_map(|of| &of.parts);
    for (substance, share) in target {
        all.push(entry(resolver, *substance, share.middle(), &found));
    }
    for substance in found.parts.keys() {
        if !all.iter().any(|known| known.substance == *substance) {
            all.push(entry(resolver, *substance, Exact::ZERO, &found));
        }
    }
    all.sort_by(|a, b| b.target.cmp(&a.target));
    all
}

/// What was topped up: by sum, or what the scale says is left to the weight it was brought to.
#[must_use]
pub fn topped_up(ledger: &Ledger) -> Exact {
    let Some(to) = &ledger.topped_to else { return ledger.topped_up.clone() };
    let lines: Exact = ledger.lines.iter().map(|line| line.weighed()).sum();
    let others: Exact = ledger.strangers.iter().map(|entry| entry.grams.clone()).sum();
    (to - &(&lines + &others)).max(Exact::ZERO)
}

fn entry(resolver: &Resolver<'_>, substance: DeclId, target: Exact, found: &Composition) -> Made {
    let made = found.parts.get(&substance).map_or(Exact::ZERO, |share| share.middle());
    Made { substance, name: resolver.substance_name(substance), target, made }
}

fn put(resolver: &Resolver<'_>, batch: &Batch, name: &str, percent: &Exact, found: &mut Composition) {
    let Some(id) = resolver.scopes.find(batch.id.file, NameSet::Thing, name) else { return };
    let thing = match resolver.formula(id) {
        Some(premix) => Some(Thing::Premix(std::sync::Arc::clone(&premix.formula))),
        None => resolver.material(id).map(Thing::Material),
    };
    match thing {
        Some(Thing::Material(material)) => {
            let parts = material.contains.iter().map(|part| (part.substance, &part.strength));
            found.put(percent, parts, Some(&material.undisclosed));
        }
        Some(Thing::Premix(premix)) => {
            if let Some(inner) = &premix.composition {
                found.put(percent, inner.parts.iter().map(|(id, share)| (*id, share)), inner.undisclosed.as_ref());
            }
        }
        None => {}
    }
}
