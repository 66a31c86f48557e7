//! What left a batch beside what there was: more taken out of the beaker than was in it, more sold than was filled.

use crate::batch::Weights;
use crate::diagnostic::{Code, Diagnostic, Place};
use crate::model::{Batch, Happened};
use crate::quantity::Exact;

/// More removed than was in the beaker at that moment, more come out than had gone in, and more retained and sold than was filled.
pub fn more_than_there_was(batch: &Batch, faults: &mut Vec<Diagnostic>) {
    faults.extend(removed(batch));
    faults.extend(yielded(batch));
    faults.extend(sold(batch));
}

/// The first removal that takes more than the record says there was.
fn removed(batch: &Batch) -> Option<Diagnostic> {
    batch.events.iter().enumerate().find_map(|(number, event)| {
        let Happened::Removed(grams, _) = &event.what else { return None };
        let there = Weights::after(batch, number).total();
        if *grams <= there {
            return None;
        }
        let (grams, there) = (grams.to_significant(6), there.to_significant(6));
        let message = format!("{grams} g were taken out, and by the record {there} g were in the beaker.");
        Some(
            Diagnostic::new(Code::BatchMoreOutThanIn, event.place, message)
                .help("Check the weight; or write down, before it, what else was weighed in."),
        )
    })
}

/// A yield that is over all that was in the beaker by more than weighing explains: 1 %, as for a line.
fn yielded(batch: &Batch) -> Option<Diagnostic> {
    batch.events.iter().enumerate().find_map(|(number, event)| {
        let Happened::Yield(grams) = &event.what else { return None };
        let there = Weights::after(batch, number).total();
        if *grams <= &there * &Exact::ratio(101, 100) {
            return None;
        }
        let (grams, there) = (grams.to_significant(6), there.to_significant(6));
        let message = format!("{grams} g came out, and by the record {there} g were in the beaker.");
        Some(
            Diagnostic::new(Code::BatchMoreOutThanIn, event.place, message)
                .help("Take the weight of the beaker off; or write down what else was weighed in."),
        )
    })
}

/// The statement with which more was retained and sold than was filled before and after it.
fn sold(batch: &Batch) -> Option<Diagnostic> {
    let filled = |event: &&crate::model::Event| matches!(event.what, Happened::Filled { .. });
    let count = batch.events.iter().filter_map(|event| match &event.what {
        Happened::Filled { count, .. } => Some(count.clone()),
        _ => None,
    });
    let count: Exact = count.sum();
    let mut gone = Exact::ZERO;
    let mut over: Option<Place> = None;
    for event in &batch.events {
        let (Happened::Sold(some, _) | Happened::Retained(some)) = &event.what else { continue };
        gone = &gone + some;
        over = over.or((gone > count).then_some(event.place));
    }
    let message = match count.is_zero() {
        true => format!("{gone} are retained or sold, and none was filled."),
        false => format!("{gone} are retained or sold in all, and {count} were filled."),
    };
    let fault = Diagnostic::new(Code::BatchMoreOutThanIn, over?, message);
    let fault = match batch.events.iter().find(filled) {
        Some(filled) => fault.and(filled.place, "what was filled"),
        None => fault,
    };
    Some(fault.help("Check the counts; or write down what else was filled: `filled 12 x 30 mL`."))
}
