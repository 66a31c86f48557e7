//! What did not come out of a batch, or went into the air.

use super::ledger::Ledger;
use crate::model::{Batch, Happened};
use crate::quantity::Exact;

/// What a batch lost, in grams.
#[derive(Clone, Debug)]
pub struct Losses {
    /// What evaporated, or was lost otherwise, before a top-up to a tared weight; none where the record does not tell.
    pub evaporated: Option<Exact>,
    /// Why the record does not tell what evaporated; none where nothing was heated, or it does.
    pub untold: Option<Untold>,
    /// What was taken out of the whole; none where nothing was.
    pub removed: Option<Exact>,
    /// What was in the beaker and did not come out as the yield; none without a yield. Below nought where more came out
    /// than went in.
    pub short: Option<Exact>,
}

/// Why a record does not tell what evaporated.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Untold {
    /// The beaker was brought to its weight, and how much water that took is not written down.
    BroughtToWeight,
    /// It was topped up by sum after it was heated.
    ToppedUpBySum,
    /// It was not on the scale since.
    NotYet,
}

impl Losses {
    /// What a batch lost.
    #[must_use]
    pub fn of(batch: &Batch, ledger: &Ledger) -> Losses {
        let weights = &ledger.weights;
        let untold = ledger.water.as_ref().filter(|_| weights.untold).map(|_| {
            if ledger.topped_to.is_some() && !ledger.heated {
                Untold::BroughtToWeight
            } else if ledger.topped_up().is_positive() && is_topped_up_by_sum(batch) {
                Untold::ToppedUpBySum
            } else {
                Untold::NotYet
            }
        });
        Losses {
            evaporated: weights.evaporated.clone(),
            untold,
            removed: Some(weights.removed.clone()).filter(Exact::is_positive),
            short: weights.short.clone(),
        }
    }
}

/// Whether the last thing that was done of heating and topping up is topping up by sum.
fn is_topped_up_by_sum(batch: &Batch) -> bool {
    use Happened::{Heated, ToppedUp};
    let last = batch.events.iter().rev().find(|event| matches!(event.what, Heated(_) | ToppedUp { .. }));
    last.is_some_and(|event| matches!(event.what, ToppedUp { to: None, .. }))
}
