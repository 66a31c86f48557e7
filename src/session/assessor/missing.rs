//! What the files do not say of a product.

use super::{AssessedMaterial, AssessedSubstance, MissingFact};
use crate::model::{Batch, Formula};

/// What the files do not say of what they could.
pub(super) fn missing(
    formula: &Formula,
    batch: Option<&Batch>,
    substances: &[AssessedSubstance],
    materials: &[AssessedMaterial],
) -> Vec<MissingFact> {
    let mut found: Vec<MissingFact> = Vec::new();
    let mut miss = |of: &str, what: &str| {
        let fact = MissingFact { of: of.to_string(), what: what.to_string() };
        if !found.contains(&fact) {
            found.push(fact);
        }
    };
    for of in substances {
        if of.named.inci.is_none() {
            miss(&of.named.key, "its INCI name");
        }
        if of.named.cas.is_none() {
            miss(&of.named.key, "its CAS number");
        }
    }
    for of in materials {
        let name = &of.material.name;
        if of.material.supplier.is_none() {
            miss(name, "who supplies it");
        }
        if of.sources.is_empty() {
            miss(name, "where its composition is from");
        }
        if !of.material.undisclosed.high.is_zero() || of.parts.iter().any(|(.., part)| part.undisclosed) {
            miss(name, "all of its composition: some of it is not disclosed");
        }
        if of.material.roles.is_empty() {
            miss(name, "what it is there for");
        }
        if batch.is_some() && of.lots.is_empty() {
            miss(name, "its lot in this batch");
        }
    }
    if formula.markets.is_empty() {
        miss(&formula.name, "where it is sold, so that no market's rules were looked at and no label was made");
    }
    for material in formula.adjusters().map(|line| &line.name).filter(|_| batch.is_none()) {
        miss(material, "how much of it goes in: it is weighed to the pH, and the file of a batch says it");
    }
    if formula.label.lasts.is_none() {
        miss(&formula.name, "how long it keeps unopened");
    } else if formula.label.lasts_because.is_none() {
        miss(&formula.name, "what its shelf life rests on, such as a stability trial");
    }
    if formula.label.opened.is_none() {
        miss(&formula.name, "how long it keeps once opened");
    }
    if formula.selling.packed_in.is_empty() {
        miss(&formula.name, "what it is packed in");
    }
    if formula.label.function.is_none() {
        miss(&formula.name, "what it is for");
    }
    if formula.label.directions.is_none() {
        miss(&formula.name, "how it is used");
    }
    if let Some(batch) = batch
        && batch.readings().next().is_none()
    {
        miss(&batch.name, "a reading of its pH");
    }
    found
}
