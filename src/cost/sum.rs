//! A sum that what is weighed to the pH may still change: what it is with none of it, and from the least to the most.

use crate::quantity::Exact;

/// A sum of money.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Sum {
    /// With nothing weighed to the pH yet.
    pub at: Exact,
    /// The least and the most it may come to; none where nothing is weighed to the pH.
    pub range: Option<(Exact, Exact)>,
}

impl Sum {
    /// Each end carried through the same step.
    #[must_use]
    pub fn map(&self, step: impl Fn(&Exact) -> Exact) -> Sum {
        Sum { at: step(&self.at), range: self.range.as_ref().map(|(low, high)| (step(low), step(high))) }
    }

    /// More that is known.
    #[must_use]
    pub fn plus(&self, more: &Exact) -> Sum {
        self.map(|sum| sum + more)
    }

    /// Shared out; none among nought.
    #[must_use]
    pub fn over(&self, by: &Exact) -> Option<Sum> {
        let part = Exact::ONE.over(by)?;
        Some(self.map(|sum| sum * &part))
    }

    /// The most that it may come to.
    #[must_use]
    pub fn most(&self) -> &Exact {
        self.range.as_ref().map_or(&self.at, |(_, high)| high)
    }
}
