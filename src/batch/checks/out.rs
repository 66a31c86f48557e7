//! What left the beaker beside what there was: more taken out of it than was in it, more come out than had gone in, or
//! more filled than there was.

use super::context::BatchContext;
use crate::batch::{Filling, Weights};
use crate::diagnostic::{Code, Diagnostic};
use crate::model::{Batch, Event, Happened};
use crate::quantity::Exact;

/// More removed than was in the beaker at that moment, and more come out than had gone in.
pub fn more_than_there_was(batch: &Batch, faults: &mut Vec<Diagnostic>) {
    faults.extend(removed(batch));
    faults.extend(yielded(batch));
}

/// What is found first of an event and the beaker as it was before it.
fn before_each<T>(batch: &Batch, look: impl Fn(&Event, &Weights) -> Option<T>) -> Option<T> {
    let mut there = Weights::default();
    batch.events.iter().find_map(|event| {
        let found = look(event, &there);
        let _ = there.take(&event.what);
        found
    })
}

/// The first removal that takes more than the record says there was.
fn removed(batch: &Batch) -> Option<Diagnostic> {
    before_each(batch, |event, there| {
        let Happened::Removed(grams, _) = &event.what else { return None };
        let there = there.total();
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
    before_each(batch, |event, there| {
        let Happened::Yield(grams) = &event.what else { return None };
        let there = there.total();
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

/// More in the containers than there was, by more than filling by volume explains: 2 %, common practice, no source. What
/// the record does not say yet counts as in: that it is missing is told by itself.
pub fn filled_over(context: &BatchContext<'_, '_>, faults: &mut Vec<Diagnostic>) {
    let BatchContext { resolver, batch, setting, ledger } = context;
    let Some(filling) = Filling::of(resolver, setting, batch, ledger).filter(|_| batch.unread.is_empty()) else {
        return;
    };
    let Ok(filled) = &filling.filled else { return };
    let there = match filling.is_yield {
        true => filling.there,
        false => &(&filling.there + &ledger.to_come()) + &ledger.to_top_up(),
    };
    if *filled <= &there * &Exact::ratio(102, 100) {
        return;
    }
    let last = batch.events.iter().rev().find(|event| matches!(event.what, Happened::Filled { .. }));
    let message =
        format!("{} g were filled, and there were {} g to fill.", filled.to_significant(6), there.to_significant(6));
    faults.extend(last.map(|last| {
        Diagnostic::new(Code::BatchMoreOutThanIn, last.place, message)
            .help("Check how many there are and what each holds; or write down what else was weighed in.")
    }));
}
