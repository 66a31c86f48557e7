//! How much of a weak acid is free at a pH, by the simplest rule there is.

use crate::quantity::Exact;

/// The share of a weak acid that is free, not dissociated, at a pH: 1 ÷ (1 + 10^(pH − pKa)), from Henderson and
/// Hasselbalch. Between 0 and 1; concentrations stand for activities, which is near enough to judge a preservative.
#[must_use]
pub fn free_share(ph: &Exact, pka: &Exact) -> f64 {
    1.0 / (1.0 + 10f64.powf((ph - pka).to_f64()))
}

/// The share of an acid with any number of protons that has all of them on at a pH, by the same rule.
#[must_use]
pub fn undissociated(ph: f64, pka: &[f64]) -> f64 {
    let forms = pka.iter().scan(0.0, |power, pka| {
        *power += ph - pka;
        Some(10f64.powf(*power))
    });
    1.0 / (1.0 + forms.sum::<f64>())
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

    /// Source: by hand. Citric acid of pKa 3.128, 4.761 and 6.396 at pH 3.128: as much with two protons as with three,
    /// 10^(2 × 3.128 − 7.889) = 0.02328 with one, and next to nothing with none.
    #[test]
    fn several_protons_come_off_one_by_one() {
        let pka = [3.128, 4.761, 6.396];
        assert!((undissociated(3.128, &pka) - 1.0 / (2.0 + 0.023_281 + 0.000_012_6)).abs() < 1e-6);
        assert!((undissociated(4.0, &[4.2]) - free_share(&Exact::whole(4), &Exact::ratio(42, 10))).abs() < 1e-12);
    }

    #[test]
    fn far_from_the_pka_it_is_all_or_nothing() {
        assert!(free_share(&Exact::whole(-400), &Exact::whole(4)) > 0.999);
        assert!(free_share(&Exact::whole(400), &Exact::whole(4)) < 0.001);
    }
}
