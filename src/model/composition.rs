//! What a mixture is made of, by substance.

use super::DeclId;
use crate::quantity::{Exact, Interval};
use indexmap::IndexMap;
use rustc_hash::FxBuildHasher;

/// The share of each substance in a mixture, in percent, in the order they were met; and what nobody has said.
#[derive(Clone, Debug, Default)]
pub struct Composition {
    /// Each substance with its share.
    pub parts: IndexMap<DeclId, Interval, FxBuildHasher>,
    /// What wholes among them have in them by nature: counted by limits and rules beside the parts, never one of them.
    pub brought: IndexMap<DeclId, Interval, FxBuildHasher>,
    /// The impurities: counted by limits and rules beside the parts, and no ingredient.
    pub traces: IndexMap<DeclId, Interval, FxBuildHasher>,
    /// The share that is undisclosed.
    pub undisclosed: Option<Interval>,
}

impl Composition {
    /// Puts in `percent` of something: what it is made of, what it brings and its impurities, each in percent of it.
    pub fn put<'p>(
        &mut self,
        percent: &Exact,
        parts: impl Iterator<Item = (DeclId, &'p Interval)>,
        brought: impl Iterator<Item = (DeclId, &'p Interval)>,
        traces: impl Iterator<Item = (DeclId, &'p Interval)>,
        undisclosed: Option<&Interval>,
    ) {
        let share = percent.hundredth();
        add_to(&mut self.parts, &share, parts);
        add_to(&mut self.brought, &share, brought);
        add_to(&mut self.traces, &share, traces);
        if let Some(undisclosed) = undisclosed.filter(|undisclosed| !undisclosed.high.is_zero()) {
            let more = undisclosed.times(&share);
            self.undisclosed = Some(self.undisclosed.as_ref().map_or(more.clone(), |have| have + &more));
        }
    }

    /// Everything that limits and rules count: the substances, what wholes among them bring, and the impurities.
    pub fn counted(&self) -> impl Iterator<Item = (DeclId, &Interval)> {
        self.parts.iter().chain(&self.brought).chain(&self.traces).map(|(id, share)| (*id, share))
    }

    /// Whether any figure has outgrown what is carried on.
    #[must_use]
    pub fn is_oversized(&self) -> bool {
        let all = self.parts.values().chain(self.brought.values()).chain(self.traces.values());
        all.into_iter().any(|part| part.low.is_oversized() || part.high.is_oversized())
    }
}

fn add_to<'p>(
    all: &mut IndexMap<DeclId, Interval, FxBuildHasher>,
    share: &Exact,
    more: impl Iterator<Item = (DeclId, &'p Interval)>,
) {
    for (substance, interval) in more {
        let more = interval.times(share);
        match all.get_mut(&substance) {
            Some(have) => *have = &*have + &more,
            None => {
                all.insert(substance, more);
            }
        }
    }
}
