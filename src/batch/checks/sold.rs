//! What was sold beside what may be: before it was released, and more than was filled.

use crate::diagnostic::{Code, Diagnostic, Place};
use crate::model::{Batch, Event, Happened};
use crate::quantity::Exact;

/// The first sale of a batch that was not released before it, and the statement with which more was retained and sold
/// than was filled.
pub fn over(batch: &Batch, faults: &mut Vec<Diagnostic>) {
    let more = more_than_filled(batch);
    let early = before_release(batch);
    faults.extend(early.filter(|early| more.as_ref().is_none_or(|more| more.primary.place != early.primary.place)));
    faults.extend(more);
}

fn before_release(batch: &Batch) -> Option<Diagnostic> {
    let before = batch.events.iter().take_while(|event| !matches!(event.what, Happened::Released));
    let sold = before.into_iter().find(|event| matches!(event.what, Happened::Sold(..)))?;
    let released = batch.events.iter().find(|event| matches!(event.what, Happened::Released));
    let message = match released {
        Some(_) => format!("`{}` was sold before it was released.", batch.name),
        None => format!("`{}` was sold, and it is not released.", batch.name),
    };
    let fault = Diagnostic::new(Code::BatchSoldOver, sold.place, message);
    let fault = released.into_iter().fold(fault, |fault, released| fault.and(released.place, "released only here"));
    Some(fault.help("If it was released before, `released` stands before `sold`; else call back what is out."))
}

/// Counted over all that was filled, whenever that is written down.
fn more_than_filled(batch: &Batch) -> Option<Diagnostic> {
    let filled = |event: &&Event| matches!(event.what, Happened::Filled { .. });
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
    let fault = Diagnostic::new(Code::BatchSoldOver, over?, message);
    let fault = match batch.events.iter().find(filled) {
        Some(filled) => fault.and(filled.place, "what was filled"),
        None => fault,
    };
    Some(fault.help("Check the counts; or write down what else was filled: `filled 12 x 30 mL`."))
}
