//! What left the beaker beside what there was: more taken out of it than was in it, more come out than had gone in.

use crate::batch::Weights;
use crate::diagnostic::{Code, Diagnostic};
use crate::model::{Batch, Happened};
use crate::quantity::Exact;

/// More removed than was in the beaker at that moment, and more come out than had gone in.
pub fn more_than_there_was(batch: &Batch, faults: &mut Vec<Diagnostic>) {
    faults.extend(removed(batch));
    faults.extend(yielded(batch));
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
