//! The forms of a family that differ by their protons: their constants in a medium, and how it is shared among them.

use super::activity::{Activity, Medium};
use super::mixture::{Constants, Mixture};

/// The step from one state of protonation to the next is not let beyond this, so that six of them stay a number.
const STEEPEST: f64 = 1e45;

/// The most that dissolves of a family at an activity, in mol, where so much water and what is there beside it take its
/// uncharged form: that and every other form, as many times as much as it is more; none where nobody has said.
pub(super) fn saturated(
    known: &Constants,
    constants: &[f64],
    per_activity: f64,
    water: f64,
    elsewhere: f64,
) -> Option<f64> {
    let most = known.saturation()?.mul_add(water, elsewhere);
    let uncharged = known.uncharged()?;
    let mut share = 0.0;
    each_state(constants, per_activity, |lost, of| {
        if lost as usize == uncharged {
            share = of;
        }
    });
    Some(most / share)
}

/// Appends the constants of a family in a medium: each with the coefficients of the two forms that it stands between.
pub(super) fn in_medium(known: &Constants, medium: &Medium, model: Activity, hydrogen: f64, constants: &mut Vec<f64>) {
    let charge_after = |lost: u32| known.top_charge() - f64::from(lost);
    if model != Activity::Best {
        // Coefficients go by the square of the charge alone: that of the hydrogen ion serves for all of them.
        constants.extend((1_u32..).zip(known.dissociation()).map(|(lost, dissociation)| {
            let (before, after) = (charge_after(lost - 1), charge_after(lost));
            dissociation * hydrogen.powi((before * before - after * after).round() as i32)
        }));
        return;
    }
    let coefficient = |charge: f64| match charge {
        charge if charge < 0.0 => medium.anion(charge, known.pull(charge), model),
        charge if charge > 0.0 => medium.cation(charge, model),
        _ => 0.0,
    };
    constants.extend((1_u32..).zip(known.dissociation()).map(|(lost, dissociation)| {
        dissociation * 10f64.powf(coefficient(charge_after(lost - 1)) - coefficient(charge_after(lost)))
    }));
}

/// Moves the constants of all families as alcohol and glycols do.
pub(super) fn in_solvent(mixture: &Mixture, constants: &mut [f64]) {
    let factor = |moved: f64| 10f64.powf(-moved);
    let (acids, bases) = (factor(mixture.solvent.acids), factor(mixture.solvent.bases));
    let each = mixture.families.iter().flat_map(|family| {
        let charges = (0_u32..).map(|lost| family.constants.top_charge() - f64::from(lost));
        charges.take(family.constants.pka().len())
    });
    for (constant, charge) in constants.iter_mut().zip(each) {
        *constant *= if charge > 0.0 { bases } else { acids };
    }
}

/// How many protons a family has lost in the mean, and how widely its states are spread about that.
pub(super) fn protons_lost(constants: &[f64], per_activity: f64) -> (f64, f64) {
    if let [only] = constants {
        let weight = (only * per_activity).min(STEEPEST);
        let mean = weight / (1.0 + weight);
        return (mean, mean / (1.0 + weight));
    }
    let (mut weight, mut all, mut lost, mut squared) = (1.0, 1.0, 0.0, 0.0);
    let mut protons = 0.0;
    for constant in constants {
        weight *= (constant * per_activity).min(STEEPEST);
        protons += 1.0;
        all += weight;
        lost += protons * weight;
        squared += protons * protons * weight;
    }
    let mean = lost / all;
    (mean, (squared / all - mean * mean).max(0.0))
}

pub(super) fn each_state(constants: &[f64], per_activity: f64, mut tell: impl FnMut(u32, f64)) {
    let weight_after = |weight: f64, constant: f64| weight * (constant * per_activity).min(STEEPEST);
    let all = constants.iter().scan(1.0, |weight, constant| {
        *weight = weight_after(*weight, *constant);
        Some(*weight)
    });
    let all = 1.0 + all.sum::<f64>();
    let mut weight = 1.0;
    tell(0, weight / all);
    for (protons, constant) in (1_u32..).zip(constants) {
        weight = weight_after(weight, *constant);
        tell(protons, weight / all);
    }
}
