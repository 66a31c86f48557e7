//! Both ways of finding how metals stand agree, and the slope of the charge is that of the charge.

use super::super::activity::{Activity, Medium};
use super::super::mixture::{Binding, Constants, Mixture};
use super::{Metals, State};
use std::sync::Arc;

/// Constants as in `tests/data/ph-metals.json`: citric acid, carbonic acid, and an acid of which 0.03 mol/kg dissolve; with
/// calcium and zinc.
fn mixture(acids: [f64; 3], metals: [f64; 2]) -> Mixture {
    let mut mixture = Mixture::water(1.0);
    let binding = |calcium: &[f64], zinc: &[f64]| {
        let each = [(0, calcium), (1, zinc)].into_iter();
        each.map(|(metal, log_k)| Binding { metal, log_k: log_k.to_vec() }).collect::<Vec<_>>()
    };
    let known = [
        Constants::acid(&[3.128, 4.761, 6.396]).binding(binding(&[4.87, 2.864, 1.1], &[6.21, 3.804, 1.683])),
        Constants::acid(&[6.351, 10.329]).binding(binding(&[3.2, 1.27], &[4.76, 1.5])),
        Constants::acid(&[4.2]).dissolving(0.03).binding(binding(&[1.2], &[2.0])),
    ];
    for (id, (known, moles)) in (10..).zip(known.into_iter().zip(acids)) {
        mixture.put(id, &Arc::new(known), moles);
    }
    for (id, (moles, (hydroxide, with))) in
        (0..).zip(metals.into_iter().zip([(5.19, vec![(11, 8.48)]), (16.1, vec![(11, 10.0)])]))
    {
        let known = Constants::new(&[], 2.0, None).falling_out(Some(hydroxide), with);
        mixture.put(id, &Arc::new(known), moles);
    }
    mixture
}

fn cases() -> [Mixture; 6] {
    [
        mixture([0.05, 0.0, 0.0], [0.03, 0.0]),
        mixture([0.05, 0.0, 0.1], [0.0, 0.04]),
        mixture([0.01, 0.02, 0.0], [0.02, 0.001]),
        mixture([0.001, 1.0, 0.2], [1.0, 0.5]),
        mixture([0.2, 0.001, 0.01], [1e-5, 0.3]),
        mixture([1e-7, 0.3, 0.0], [0.01, 1e-6]),
    ]
}

/// How the metals of a mixture stand at a pH, and all constants in it.
fn at(mixture: &Mixture, ph: f64) -> (Metals, State, impl Fn(&Metals, &mut State, f64)) {
    let medium = Medium { ionic_strength: 0.1, ..Medium::default() };
    let metals = Metals::of(mixture, &medium, Activity::Davies).expect("it has metals");
    let constants: Vec<f64> =
        mixture.families.iter().flat_map(|family| family.constants.dissociation().to_vec()).collect();
    let owned = mixture.clone();
    let settle = move |metals: &Metals, state: &mut State, ph: f64| {
        let ln_activity = -ph * std::f64::consts::LN_10;
        metals.settle(state, &owned, &constants, (ln_activity, ln_activity.exp()), (0.99, 0.98));
    };
    let mut state = State::default();
    settle(&metals, &mut state, ph);
    (metals, state, settle)
}

fn figures(state: &State) -> Vec<f64> {
    let of_holders = state.ready.iter().flat_map(|ready| [ready.free, ready.dissolved]);
    let of_metals = state.free.iter().chain(&state.fallen).chain(&state.taken).copied();
    of_metals.chain(of_holders).collect()
}

/// All of each is somewhere, and nothing is over what its hydroxide or a solid of it lets, nor under where that lies.
#[test]
fn what_lies_is_at_its_product() {
    for (number, mixture) in cases().iter().enumerate() {
        for ph in [2.0, 4.0, 5.5, 7.0, 7.3, 8.0, 10.0, 12.5] {
            let (metals, state, _) = at(mixture, ph);
            assert!(!state.was_in_turn(), "{number} at pH {ph}");
            for (metal, all) in state.totals.iter().enumerate() {
                let held: f64 = state.ready.iter().map(|ready| ready.free * ready.count(metal, &state.free)).sum();
                let solids = metals.solids.iter().zip(&state.taken).filter(|(solid, _)| solid.metal == metal);
                let found = state.water * state.free[metal] + held + state.fallen[metal];
                let found = found + solids.map(|(_, taken)| taken).sum::<f64>();
                assert!((found - all).abs() <= 1e-10 * all, "{number} at pH {ph}: {found} of {all}");
                let over = state.ln_free[metal] - state.most[metal];
                assert!(over < 1e-9 && (over > -1e-9 || state.fallen[metal] == 0.0), "{number} at pH {ph}: {over}");
            }
            for (holder, ready) in state.ready.iter().enumerate().filter(|(_, ready)| ready.saturated.is_infinite()) {
                let solids = metals.solids.iter().zip(&state.taken).filter(|(solid, _)| solid.holder == holder);
                let found = ready.free * ready.all(&state.free) + solids.map(|(_, taken)| taken).sum::<f64>();
                assert!((found - ready.moles).abs() <= 1e-10 * ready.moles, "{number} at pH {ph}: {found}");
            }
            for (solid, taken) in metals.solids.iter().zip(&state.taken) {
                let over = metals.over(solid, &state.ready[solid.holder], &state.ln_free, state.water);
                assert!(*taken == 0.0 && over < 1e-9 || over.abs() < 1e-9, "{number} at pH {ph}: {over} with {taken}");
            }
        }
    }
}

/// Where several solids share an acid the other way does not always end.
#[test]
fn at_once_and_in_turn_are_the_same() {
    for (number, mixture) in cases().iter().enumerate().filter(|(number, _)| *number != 3) {
        for ph in [2.0, 4.0, 5.5, 7.0, 8.0, 10.0, 12.5] {
            let (metals, mut state, _) = at(mixture, ph);
            assert!(!state.was_in_turn(), "{number} at pH {ph}");
            let at_once = figures(&state);
            metals.in_turn(&mut state);
            for (one, other) in at_once.iter().zip(figures(&state)) {
                assert!((one - other).abs() <= 1e-8 * one.abs().max(1e-6), "{number} at pH {ph}: {one} and {other}");
            }
        }
    }
}

/// Where they are found does not depend on where they were looked for from.
#[test]
fn the_way_there_makes_no_difference() {
    for (number, mixture) in cases().iter().enumerate() {
        let (metals, mut state, settle) = at(mixture, 3.0);
        for ph in [12.0, 4.0, 9.0, 8.99, 1.0, 7.0] {
            settle(&metals, &mut state, ph);
            let (_, anew, _) = at(mixture, ph);
            for (one, other) in figures(&state).iter().zip(figures(&anew)) {
                assert!((one - other).abs() <= 1e-10 * one.abs().max(1e-4), "{number} at pH {ph}: {one} and {other}");
            }
        }
    }
}

#[test]
fn the_slope_is_that_of_the_charge() {
    const BESIDE: f64 = 1e-5;
    for (number, mixture) in cases().iter().enumerate() {
        for ph in [2.0, 4.0, 5.5, 7.3, 8.0, 10.0, 12.5] {
            let (metals, mut state, settle) = at(mixture, ph);
            let (_, slope) = metals.charge(&mut state);
            assert!(!state.was_in_turn(), "{number} at pH {ph}");
            let mut beside = [BESIDE, -BESIDE].map(|by| {
                settle(&metals, &mut state, ph + by);
                metals.charge(&mut state).0
            });
            beside.iter_mut().for_each(|charge| *charge /= -2.0 * BESIDE * std::f64::consts::LN_10);
            let [above, below] = beside;
            assert!(
                (above - below - slope).abs() < 1e-6 + 1e-4 * slope,
                "{number} at pH {ph}: {slope} for {}",
                above - below
            );
        }
    }
}
