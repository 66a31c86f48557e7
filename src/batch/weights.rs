//! What the beaker holds by weight, event by event: what went in, what was taken out, and what went into the air.
//!
//! That what a top-up to a tared weight takes beyond the weights that went in has evaporated is common practice, no
//! source. What is taken out takes its share of everything with it.

use crate::model::{Batch, Happened};
use crate::quantity::Exact;
use indexmap::IndexMap;
use rustc_hash::FxBuildHasher;
use smol_str::SmolStr;

/// The beaker by weight, in grams.
#[derive(Clone, Debug, Default)]
pub struct Weights {
    /// Each material in it, in the order in which it first went in.
    pub parts: IndexMap<SmolStr, Exact, FxBuildHasher>,
    /// What evaporated, or was lost otherwise, before a top-up to a tared weight; none where the record does not tell.
    pub evaporated: Option<Exact>,
    /// Whether something was heated, and the record does not tell what evaporated of it.
    pub untold: bool,
    /// What was taken out of the whole.
    pub removed: Exact,
    /// What was in the beaker and did not come out as the yield; none without a yield.
    pub short: Option<Exact>,
}

impl Weights {
    /// The beaker once so many events have happened.
    #[must_use]
    pub fn after(batch: &Batch, events: usize) -> Weights {
        let mut weights = Weights::default();
        for event in batch.events.iter().take(events) {
            let _ = weights.take(&event.what);
        }
        weights
    }

    /// The share of what was in the beaker at an event that was not taken out of it since: one, where nothing was.
    #[must_use]
    pub fn kept_since(batch: &Batch, event: usize) -> f64 {
        let mut weights = Weights::default();
        let events = batch.events.iter().enumerate();
        let left = events.filter_map(|(number, happened)| Some((number, weights.take(&happened.what)?)));
        left.filter(|(number, _)| *number > event).map(|(_, left)| left.to_f64()).product()
    }

    /// The beaker as it stands at the end of the record.
    #[must_use]
    pub fn of(batch: &Batch) -> Weights {
        Weights::after(batch, batch.events.len())
    }

    /// All that is in it.
    #[must_use]
    pub fn total(&self) -> Exact {
        self.parts.values().cloned().sum()
    }

    /// Puts something in.
    pub fn put(&mut self, material: &str, grams: &Exact) {
        let have = self.parts.entry(SmolStr::new(material)).or_insert(Exact::ZERO);
        *have = &*have + grams;
    }

    /// Takes up what happened next; gives back the share of the beaker that stays where something was taken out of it.
    pub fn take(&mut self, what: &Happened) -> Option<Exact> {
        match what {
            Happened::Weighed(material, grams) | Happened::Added(material, grams, _) => self.put(&material.text, grams),
            Happened::ToppedUp { material, grams, to } => self.top_up(&material.text, grams.as_ref(), to.as_ref()),
            Happened::Removed(grams, _) => return self.remove(grams),
            Happened::Heated(_) => self.untold = true,
            Happened::Yield(grams) => self.short = Some(&self.total() - grams),
            _ => {}
        }
        None
    }

    /// A tared weight settles what is in the beaker, whatever evaporated. How much that was, only the weight of the
    /// water tells, or that the beaker is lighter than all that went in.
    fn top_up(&mut self, material: &str, grams: Option<&Exact>, to: Option<&Exact>) {
        if let Some(grams) = grams {
            self.put(material, grams);
        }
        let Some(to) = to else { return };
        let missing = &self.total() - to;
        if grams.is_some() || missing.is_positive() {
            let before = self.evaporated.take().unwrap_or(Exact::ZERO);
            self.evaporated = Some(&before + &missing.clone().max(Exact::ZERO));
            self.untold = false;
        }
        self.put(material, &(&Exact::ZERO - &missing));
        // No water is less than none, whatever a slip of the pen says that the scale said.
        for have in self.parts.values_mut().filter(|have| have.is_negative()) {
            *have = Exact::ZERO;
        }
    }

    fn remove(&mut self, grams: &Exact) -> Option<Exact> {
        self.removed = &self.removed + grams;
        let whole = self.total();
        let left = (&whole - grams).max(Exact::ZERO).over(&whole)?;
        for have in self.parts.values_mut() {
            *have = &*have * &left;
            // Each portion taken out multiplies digits; a billionth of a gram is below any scale.
            if have.is_oversized() {
                *have = have.to_step(&Exact::ratio(1, 1_000_000_000));
            }
        }
        Some(left)
    }
}
