//! The corrections of a batch: what went in beyond its plan, with the reason where one is written.

use super::ledger::Ledger;
use super::made::{Finished, finished};
use crate::model::{Batch, Event, Happened};
use crate::quantity::Exact;
use crate::resolve::Resolver;
use rustc_hash::FxHashMap;
use smol_str::SmolStr;

/// Something that went in as a correction.
#[derive(Clone, Debug)]
pub struct Correction {
    /// The material.
    pub material: SmolStr,
    /// How much, in grams.
    pub grams: Exact,
    /// Why, where the record says so; what went in of a line that was complete has no reason.
    pub because: Option<SmolStr>,
}

/// The corrections in the order of the record: what was added with its reason, and what was weighed in of a line whose
/// weight had been there already.
#[must_use]
pub fn corrections(batch: &Batch, ledger: &Ledger) -> Vec<Correction> {
    let mut so_far: FxHashMap<&str, Exact> = FxHashMap::default();
    let mut found = Vec::new();
    for event in &batch.events {
        let Some((material, grams, because)) = put_in(event) else { continue };
        let correction = || Correction { material: material.clone(), grams: grams.clone(), because: because.cloned() };
        if because.is_some() {
            found.push(correction());
            continue;
        }
        let line = ledger.lines.iter().find(|line| line.name == *material);
        let Some(planned) = line.and_then(|line| line.planned.as_ref()) else { continue };
        let before = so_far.entry(material.as_str()).or_insert(Exact::ZERO);
        let now = &*before + grams;
        // What completes a weighing is no correction, nor is a line weighed a little off in one go.
        let complete = before.is_positive() && planned - before <= planned * &Exact::ratio(1, 100);
        if complete && &now - planned > ledger.step {
            found.push(correction());
        }
        *before = now;
    }
    found
}

/// The actives, and what the corrections bring, as they are in the finished batch with them, acids at the last reading.
#[must_use]
pub fn corrected(
    resolver: &Resolver<'_>,
    formula: &crate::model::Formula,
    batch: &Batch,
    ledger: &Ledger,
    corrections: &[Correction],
) -> Vec<Finished> {
    if corrections.is_empty() {
        return Vec::new();
    }
    let bring: Vec<&str> = corrections.iter().map(|correction| correction.material.as_str()).collect();
    let ph = batch.readings().last().map(|(_, reading, _)| reading.middle().to_f64());
    finished(resolver, formula, batch, ledger, None, &bring, ph)
}

fn put_in(event: &Event) -> Option<(&SmolStr, &Exact, Option<&SmolStr>)> {
    match &event.what {
        Happened::Weighed(material, grams) => Some((&material.text, grams, None)),
        Happened::Added(material, grams, because) => Some((&material.text, grams, because.as_ref())),
        _ => None,
    }
}
