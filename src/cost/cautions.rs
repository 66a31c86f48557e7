//! What is to be said beside the figures of a cost.

use super::reckoning::Reckoned;
use super::vessel::content_words;
use super::whole::Cost;
use crate::batch::{Ledger, is_version};
use crate::model::{Batch, Formula, Happened, LineMaterial};

/// What is to be said beside the figures.
pub(super) fn cautions(from: &Reckoned<'_>, cost: &Cost) -> Vec<String> {
    let mut all = Vec::new();
    if let Some((vessel, filled)) = &from.vessel {
        if let Some((name, holds)) = vessel.other_size() {
            all.push(format!(
                "`{name}` holds {}, and {} go into it.",
                content_words(holds),
                content_words(&vessel.content)
            ));
        }
        match filled {
            None => all.push("What goes into a container is a volume, and the formula has no `density`.".to_string()),
            Some(filled) if filled.count.is_zero() => {
                all.push("There is not enough for one container, so one has no cost.".to_string());
            }
            Some(_) => {}
        }
    }
    all.extend(worked_premixes(from.formula));
    let is_sold = from.formula.selling.price.is_some();
    match &cost.piece {
        None if is_sold && from.vessel.is_none() && !from.is_record => {
            all.push("A price is of a container, and nothing says what this is filled into.".to_string());
        }
        Some(piece) if is_sold && piece.cost.is_some() && piece.price.is_none() => {
            all.push("The price is in another money, and no rate says what that is worth.".to_string());
        }
        _ => {}
    }
    all
}

/// Premixes with work or fees of their own: a premix costs its parts.
fn worked_premixes(formula: &Formula) -> Vec<String> {
    let mut names: Vec<&str> = Vec::new();
    for line in &formula.lines {
        if let Some(LineMaterial::Premix(premix)) = &line.material
            && !(premix.selling.labour.is_empty() && premix.selling.fees.is_empty())
            && !names.contains(&premix.name.as_str())
        {
            names.push(&premix.name);
        }
    }
    let told = |name| format!("`{name}` counts by what is in it: its own labour and fees are not in these sums.");
    names.into_iter().map(told).collect()
}

/// Whether something is still to be weighed or topped up.
pub(super) fn is_open(ledger: &Ledger) -> bool {
    ledger.to_come().is_positive() || ledger.to_top_up().is_positive()
}

/// The same of a record.
pub(super) fn cautions_of_record(batch: &Batch, formula: &Formula, ledger: &Ledger) -> Vec<String> {
    let mut all = Vec::new();
    if !batch.is_filled() && is_open(ledger) {
        all.push("The batch is not weighed in full: this is the cost of what went in so far.".to_string());
    }
    if ledger.weights.removed.is_positive() {
        all.push(format!("{} g were taken out, and are paid for all the same.", ledger.grams(&ledger.weights.removed)));
    }
    if !is_version(batch, formula) {
        let version = formula.version.as_ref().map_or_else(String::new, |version| format!(", version {version}"));
        all.push(format!("Labour, fees and price are those of the formula as it stands now{version}."));
    }
    let mut sizes = batch.events.iter().filter_map(|event| match &event.what {
        Happened::Filled { each: Some(size), .. } => Some(size),
        _ => None,
    });
    let first = sizes.next();
    if sizes.any(|size| Some(size) != first) {
        all.push("It was filled into several sizes: one container stands for them all, whatever it holds.".to_string());
    }
    all
}
