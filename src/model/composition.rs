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
    /// The share that is undisclosed.
    pub undisclosed: Option<Interval>,
}

impl Composition {
    /// Puts in `percent` of something that is made of `parts`, each in percent of it.
    pub fn put<'p>(
        &mut self,
        percent: &Exact,
        parts: impl Iterator<Item = (DeclId, &'p Interval)>,
        undisclosed: Option<&Interval>,
    ) {
        let share = percent.hundredth();
        for (substance, interval) in parts {
            let more = interval.times(&share);
            match self.parts.get_mut(&substance) {
                Some(have) => *have = &*have + &more,
                None => {
                    self.parts.insert(substance, more);
                }
            }
        }
        if let Some(undisclosed) = undisclosed.filter(|undisclosed| !undisclosed.high.is_zero()) {
            let more = undisclosed.times(&share);
            self.undisclosed = Some(self.undisclosed.as_ref().map_or(more.clone(), |have| have + &more));
        }
    }

    /// Whether any figure has outgrown what is carried on.
    #[must_use]
    pub fn is_oversized(&self) -> bool {
        self.parts.values().any(|part| part.low.is_oversized() || part.high.is_oversized())
    }
}
