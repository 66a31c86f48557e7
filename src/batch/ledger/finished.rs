//! The batch once all that is still to come is in.

use super::Ledger;
use crate::batch::Weights;
use crate::quantity::Exact;

impl Ledger {
    /// The beaker once the rest of the lines and what is left of the reserves are in, with so much more of something,
    /// which comes out of its reserve. As it stands: a batch over its reserve is not set right.
    #[must_use]
    pub fn finished(&self, dose: Option<(&str, &Exact)>) -> Weights {
        let mut weights = self.weights.clone();
        for line in &self.lines {
            weights.put(&line.name, &line.missing());
        }
        let source = dose.and_then(|(name, _)| self.reserve_of(name)).map(|reserve| reserve.material.clone());
        for (name, grams) in self.top_ups() {
            let dosed = dose.filter(|_| source.as_ref() == Some(&name)).map(|(_, grams)| grams);
            weights.put(&name, &dosed.map_or(grams.clone(), |dosed| (&grams - dosed).max(Exact::ZERO)));
        }
        if let Some((name, grams)) = dose {
            weights.put(name, grams);
        }
        weights
    }
}
