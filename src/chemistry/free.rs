//! How much of a weak acid is free at a pH, by the simplest rule there is.

use crate::quantity::Exact;

/// The share of a weak acid that is free, not dissociated, at a pH: 1 ÷ (1 + 10^(pH − pKa)), from Henderson and
/// Hasselbalch. Between 0 and 1; concentrations stand for activities, which is near enough to judge a preservative.
#[must_use]
pub fn free_share(ph: &Exact, pka: &Exact) -> f64 {
    1.0 / (1.0 + 10f64.powf((ph - pka).to_f64()))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Source: the project's free-acid table for benzoic acid, pKa 4.2 (J. Soc. Cosmet. Chem. vol 18), computed by
    /// Henderson and Hasselbalch: 61.3 % at pH 4, 4.8 % at 5.5, 1.6 % at 6.
    #[test]
    fn benzoic_acid_is_free_as_published() {
        let pka = Exact::ratio(42, 10);
        for (ph, percent) in [(40, 61.3), (55, 4.8), (60, 1.6)] {
            let free = 100.0 * free_share(&Exact::ratio(ph, 10), &pka);
            assert!((free - percent).abs() < 0.06, "{ph}: {free}");
        }
    }

    #[test]
    fn far_from_the_pka_it_is_all_or_nothing() {
        assert!(free_share(&Exact::whole(-400), &Exact::whole(4)) > 0.999);
        assert!(free_share(&Exact::whole(400), &Exact::whole(4)) < 0.001);
    }
}
