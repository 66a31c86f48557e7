//! What has to hold of the chemistry for any mixture whatever.

use proptest::prelude::*;
use std::sync::Arc;
use stillroom::chemistry::{Activity, Blend, Constants, Mixture, brought_to, equilibrium};

/// Acids, bases and ampholytes as they are met: pKa and the charge with every proton on. `tests/data/acid-base.json`.
const KNOWN: [(&[f64], f64); 12] = [
    (&[3.86], 0.0),
    (&[3.128, 4.761, 6.396], 0.0),
    (&[2.148, 7.198, 12.35], 0.0),
    (&[4.202], 0.0),
    (&[2.97, 13.6], 0.0),
    (&[4.55, 5.5], 0.0),
    (&[0.0, 1.5, 2.0, 2.69, 6.13, 10.37], 2.0),
    (&[7.762], 1.0),
    (&[9.694], 1.0),
    (&[3.35], 1.0),
    (&[1.823, 8.991, 13.8], 2.0),
    (&[2.351, 9.78], 1.0),
];

fn constants(id: u64) -> Arc<Constants> {
    let (pka, top_charge) = KNOWN[id as usize];
    Arc::new(Constants::new(pka, top_charge, None))
}

fn mixture(water: f64, parts: &[(u64, f64)], base: f64, acid: f64) -> Mixture {
    let mut mixture = Mixture::water(water);
    for (id, moles) in parts {
        mixture.put(*id, &constants(*id), *moles);
    }
    mixture.put_strong_base(base);
    mixture.put_ion(-1.0, acid);
    mixture
}

/// Amounts over ten powers of ten, in mol per kg of water.
fn amount() -> impl Strategy<Value = f64> {
    (-9.0..0.7).prop_map(|power: f64| 10f64.powf(power))
}

fn parts() -> impl Strategy<Value = Vec<(u64, f64)>> {
    prop::collection::vec((0_u64..KNOWN.len() as u64, amount()), 0..6)
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 400, failure_persistence: None, ..ProptestConfig::default() })]

    /// Every mixture has a pH, and at it nothing is left over in any model.
    #[test]
    fn every_mixture_has_a_ph(parts in parts(), base in amount(), acid in amount(), water in 0.001..2.0_f64) {
        let parts: Vec<(u64, f64)> = parts.iter().map(|(id, molality)| (*id, molality * water)).collect();
        let mixture = mixture(water, &parts, base * water, acid * water);
        for model in [Activity::Davies, Activity::Best, Activity::Ideal] {
            let found = equilibrium(&mixture, model).unwrap();
            prop_assert!(found.ph > -13.9 && found.ph < 27.9, "{model:?}: {}", found.ph);
            prop_assert!(found.water_kg > 0.0 && found.ionic_strength >= 0.0);
        }
    }

    /// More base never lowers the pH, as long as the model is on its ground.
    #[test]
    fn base_never_lowers_the_ph(parts in parts(), base in 1e-9..0.2_f64, more in 1e-6..0.2_f64) {
        let parts: Vec<(u64, f64)> = parts.iter().map(|(id, moles)| (*id, moles.min(0.15))).collect();
        let less = equilibrium(&mixture(1.0, &parts, base, 0.0), Activity::Davies).unwrap();
        let more = equilibrium(&mixture(1.0, &parts, base + more, 0.0), Activity::Davies).unwrap();
        prop_assume!(more.ionic_strength < 1.0);
        prop_assert!(more.ph > less.ph, "{} then {}", less.ph, more.ph);
    }

    /// A dose worked out for a pH leads to that pH.
    #[test]
    fn a_dose_leads_where_it_was_worked_out_for(
        parts in parts(), further in 0.05..3.0_f64, model in prop::sample::select(vec![Activity::Davies, Activity::Best, Activity::Ideal]),
    ) {
        let parts: Vec<(u64, f64)> = parts.iter().map(|(id, moles)| (*id, moles.min(0.3))).collect();
        let start = mixture(1.0, &parts, 0.0, 1e-4);
        let before = equilibrium(&start, model).unwrap().ph;
        prop_assume!(before + further < 13.0);
        // A 10 % solution of sodium hydroxide, in grams, in place of water.
        let mut per_unit = Mixture::water(-0.1e-3);
        per_unit.put_strong_base(0.1 / 39.9971);
        let blend = Blend { start, per_unit, most: 1000.0 };
        if let Some(dose) = blend.dose(before + further, model) {
            let there = equilibrium(&blend.at(dose), model).unwrap().ph;
            prop_assert!((there - before - further).abs() < 1e-8, "{there} for {}", before + further);
        } else {
            prop_assert!(false, "no dose from {before} to {}", before + further);
        }
    }

    /// Strong base or acid in the right amount leads to any pH.
    #[test]
    fn any_ph_can_be_brought_about(parts in parts(), ph in 0.5..13.0_f64) {
        let parts: Vec<(u64, f64)> = parts.iter().map(|(id, moles)| (*id, moles.min(0.3))).collect();
        let (_, brought) = brought_to(&mixture(1.0, &parts, 0.0, 0.0), ph, Activity::Davies).unwrap();
        let there = equilibrium(&brought, Activity::Davies).unwrap().ph;
        prop_assert!((there - ph).abs() < 1e-8, "{there} for {ph}");
    }

    /// A salt is its acid and a base, and a substance may come in two parts.
    #[test]
    fn a_salt_is_its_acid_and_base(id in 0_u64..KNOWN.len() as u64, moles in 1e-6..0.5_f64, share in 0.0..1.0_f64) {
        // As the salt: the family and its counter-ion. As acid and base: the water of neutralisation is in the salt's.
        let mut salt = mixture(1.0, &[(id, moles)], 0.0, 0.0);
        salt.put_ion(1.0, moles);
        salt.water_kg += stillroom::chemistry::WATER_KG_PER_MOL * moles;
        let apart = mixture(1.0, &[(id, moles * share), (id, moles * (1.0 - share))], moles, 0.0);
        let (salt, apart) = (equilibrium(&salt, Activity::Davies), equilibrium(&apart, Activity::Davies));
        prop_assert!((salt.unwrap().ph - apart.unwrap().ph).abs() < 1e-9);
    }
}

#[test]
fn extremes_end_in_a_figure_or_in_none() {
    for model in [Activity::Davies, Activity::Best, Activity::Ideal] {
        let half_alkali = mixture(0.5, &[], 0.5 / 0.039_997, 0.0);
        assert!(equilibrium(&half_alkali, model).unwrap().ph > 12.0, "{model:?}: 50 % alkali");
        let strong_acid = mixture(0.63, &[], 0.0, 0.37 / 0.036_46);
        assert!(equilibrium(&strong_acid, model).unwrap().ph < 1.0, "{model:?}: 37 % acid");
        let syrup = mixture(0.001, &[(1, 0.999 / 0.192_1)], 0.0, 0.0);
        assert!(equilibrium(&syrup, model).is_some(), "{model:?}: acid with next to no water");
        assert!(equilibrium(&mixture(0.0, &[(0, 10.0)], 0.0, 0.0), model).is_none(), "{model:?}: no water at all");
        let trace = mixture(1.0, &[(0, 1e-9)], 0.0, 0.0);
        let ph = equilibrium(&trace, model).unwrap().ph;
        assert!((ph - 6.9975).abs() < 0.01, "{model:?}: a trace of acid is water, pH {ph}");
        let citrate = mixture(0.4, &[(1, 0.6 / 0.258)], 3.0 * 0.6 / 0.258, 0.0);
        assert!(equilibrium(&citrate, model).is_some(), "{model:?}: citrate at saturation");
    }
    assert!(equilibrium(&Mixture::water(f64::NAN), Activity::Davies).is_none());
}
