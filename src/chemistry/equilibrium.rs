//! The pH of a mixture: the charge balance, solved again until the medium it makes is the one it was solved in.

use super::activity::{Activity, Medium};
use super::balance::{Balance, Complex};
use super::mixture::Mixture;

/// The state of a mixture.
#[derive(Clone, Debug)]
pub struct Equilibrium {
    /// The pH: the negative logarithm of the activity of hydrogen ions, on the molal scale.
    pub ph: f64,
    /// The ionic strength, in mol/kg of water.
    pub ionic_strength: f64,
    /// The water there is, that of neutralisation counted, in kg.
    pub water_kg: f64,
    /// The medium it was solved in.
    pub medium: Medium,
}

/// Rounds of the medium; both ways below end long before.
const ROUNDS: usize = 400;
/// The medium is as it was when its ionic strength moves by less than this share.
pub(super) const STILL: f64 = 1e-13;

/// The pH of a mixture. None without water, or where a figure is no number.
#[must_use]
pub fn equilibrium(mixture: &Mixture, model: Activity) -> Option<Equilibrium> {
    if !has_water(mixture) {
        return None;
    }
    let (medium, ln_activity, balance) = match model {
        Activity::Ideal => {
            let balance = Balance::new(mixture, &Medium::default(), model);
            (Medium::default(), balance.solve(-16.0), balance)
        }
        Activity::Davies => by_ionic_strength(mixture),
        Activity::Best => by_rounds(mixture),
    };
    let point = balance.at(ln_activity);
    let found = Equilibrium {
        ph: -ln_activity / std::f64::consts::LN_10,
        ionic_strength: balance.medium_at(ln_activity, &point).ionic_strength,
        water_kg: point.water,
        medium,
    };
    (found.ph.is_finite() && found.ionic_strength.is_finite()).then_some(found)
}

pub(super) fn has_water(mixture: &Mixture) -> bool {
    let known = mixture.families.iter().all(|family| family.moles.is_finite());
    known && mixture.water_kg.is_finite() && mixture.water_kg > 0.0
}

/// With Davies the medium is one figure. What a guess at it leads to, less the guess, is above nought at nought and
/// below it at the strength of everything wholly charged; a root between is closed in on by secants, or by halves.
fn by_ionic_strength(mixture: &Mixture) -> (Medium, f64, Balance<'_>) {
    let (mut low, mut high) = (0.0, f64::INFINITY);
    let bare: f64 = mixture.ions.iter().map(|ion| ion.charge * ion.charge * ion.moles).sum();
    let mut strength = (bare / mixture.water_kg).clamp(0.0, 1.0);
    let (mut before, mut ln_activity) = (None, -16.0);
    let in_strength = |ionic_strength: f64| Medium { ionic_strength, ..Medium::default() };
    let mut balance = Balance::new(mixture, &in_strength(strength), Activity::Davies);
    for _ in 0..ROUNDS {
        balance.put_into(&in_strength(strength));
        ln_activity = balance.solve(ln_activity);
        let left = balance.medium(ln_activity).ionic_strength - strength;
        if left.abs() <= STILL * (1.0 + strength) || high - low <= STILL * (1.0 + strength) {
            break;
        }
        if left > 0.0 {
            low = strength;
        } else {
            high = strength;
        }
        let next = secant(strength, left, before).filter(|next| *next > low && *next < high);
        before = Some((strength, left));
        strength = match next {
            Some(next) => next,
            None if high.is_finite() => f64::midpoint(low, high),
            None => strength + left,
        };
    }
    balance.put_into(&in_strength(strength));
    (in_strength(strength), ln_activity, balance)
}

fn secant(at: f64, left: f64, before: Option<(f64, f64)>) -> Option<f64> {
    let (other, other_left) = before?;
    let slope = (left - other_left) / (at - other);
    (slope < 0.0).then(|| at - left / slope)
}

/// With specific interactions the medium is several figures. Each round goes to where it leads while the changes keep
/// shrinking, and half of the way where they do not: slow, and sure.
fn by_rounds(mixture: &Mixture) -> (Medium, f64, Balance<'_>) {
    let (mut medium, mut ln_activity, _) = by_ionic_strength(mixture);
    let mut balance = Balance::new(mixture, &medium, Activity::Best);
    let mut before = f64::INFINITY;
    for _ in 0..ROUNDS {
        balance.put_into(&medium);
        ln_activity = balance.solve(ln_activity);
        let next = balance.medium(ln_activity);
        let moved = next.moved_from(&medium);
        medium = if moved < 0.7 * before { next } else { halfway(&medium, &next) };
        before = moved;
        if moved <= STILL * (1.0 + medium.ionic_strength) {
            break;
        }
    }
    balance.put_into(&medium);
    (medium, ln_activity, balance)
}

/// The medium between two.
pub(super) fn halfway(one: &Medium, other: &Medium) -> Medium {
    Medium {
        ionic_strength: f64::midpoint(one.ionic_strength, other.ionic_strength),
        cations: f64::midpoint(one.cations, other.cations),
        hydrogen: f64::midpoint(one.hydrogen, other.hydrogen),
        anions: f64::midpoint(one.anions, other.anions),
        pull: f64::midpoint(one.pull, other.pull),
    }
}

/// How much of each family of a mixture is not dissolved at its equilibrium, in mol.
#[must_use]
pub fn undissolved(mixture: &Mixture, found: &Equilibrium, model: Activity) -> Vec<f64> {
    let balance = Balance::new(mixture, &found.medium, model);
    balance.forms(-found.ph * std::f64::consts::LN_10).into_iter().map(|(_, left)| left).collect()
}

/// The state of a mixture's dissolved species at its equilibrium: for each family its states from the one with every
/// proton on, as charge and molality, without what holds a metal.
#[must_use]
pub fn species(mixture: &Mixture, found: &Equilibrium, model: Activity) -> Vec<Vec<(f64, f64)>> {
    let balance = Balance::new(mixture, &found.medium, model);
    let forms = balance.forms(-found.ph * std::f64::consts::LN_10).into_iter();
    forms
        .map(|(states, _)| states.into_iter().map(|(charge, moles)| (charge, moles / found.water_kg)).collect())
        .collect()
}

/// What holds which metal in a mixture at its equilibrium.
#[must_use]
pub fn complexes(mixture: &Mixture, found: &Equilibrium, model: Activity) -> Vec<Complex> {
    Balance::new(mixture, &found.medium, model).complexes(-found.ph * std::f64::consts::LN_10)
}
