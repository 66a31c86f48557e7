//! How much of something brings a mixture to a pH. At a pH that is given every charge is known, and the balance is a
//! straight line in the dose; only the medium has to be found by rounds.

use super::activity::{Activity, Medium};
use super::balance::Balance;
use super::equilibrium::{Equilibrium, STILL, equilibrium, halfway, has_water};
use super::mixture::Mixture;

/// A mixture, and what one unit of a dose does to it.
#[derive(Clone, Debug)]
pub struct Blend {
    /// The mixture without any.
    pub start: Mixture,
    /// What one unit brings, less what it takes the place of.
    pub per_unit: Mixture,
    /// The most there can be.
    pub most: f64,
}

/// A dose is found when a round moves it, and the medium, by less than this share: a tenth of the last digit printed.
const SETTLED: f64 = 1e-10;
/// The same of a medium in which nothing but the side of a pH is asked for: some hundred-thousandths of a pH.
const ROUGHLY: f64 = 1e-4;
/// Rounds of the medium at a fixed pH.
const ROUNDS: usize = 60;

impl Blend {
    /// The mixture at a dose.
    #[must_use]
    pub fn at(&self, dose: f64) -> Mixture {
        self.start.plus(&self.per_unit, dose)
    }

    /// Which way a little of it moves a mixture that stands at an equilibrium: above nought up, below it down, nought
    /// where it moves nothing.
    #[must_use]
    pub fn leads(&self, start: &Equilibrium, model: Activity) -> f64 {
        let ln_activity = -start.ph * std::f64::consts::LN_10;
        let charge = |dose: f64| Balance::new(&self.at(dose), &start.medium, model).at(ln_activity).charge;
        // What is positive once the pH is held still has to be made up for by fewer hydrogen ions.
        let moved = charge(self.most * 1e-3) - charge(0.0);
        if moved.abs() < 1e-15 * self.most { 0.0 } else { moved.signum() }
    }

    /// The dose that brings the mixture to a pH; none where none between nothing and the most does. Exact to the
    /// last few bits of the figure.
    #[must_use]
    pub fn dose(&self, ph: f64, model: Activity) -> Option<f64> {
        let straight = self.straight((0.0, Medium::default()), ph, model).map(|(dose, _)| dose);
        straight.or_else(|| self.by_halves(ph, model)).filter(|dose| *dose <= self.most)
    }

    /// The same with the state there, where the quick way finds it; none also where only the slow one does.
    #[must_use]
    pub fn dose_with_state(&self, ph: f64, model: Activity) -> Option<(f64, Equilibrium)> {
        self.dose_from(0.0, Medium::default(), ph, model)
    }

    /// The same from another dose and the medium there: the nearer they are, the sooner it is found.
    #[must_use]
    pub fn dose_from(&self, dose: f64, medium: Medium, ph: f64, model: Activity) -> Option<(f64, Equilibrium)> {
        self.straight((dose, medium), ph, model).filter(|(dose, _)| *dose <= self.most)
    }

    /// Whether so much of it, with something more in the mixture, brings the pH as far as this up or down.
    #[must_use]
    pub fn reaches(&self, dose: f64, extra: &Mixture, ph: f64, way: f64, model: Activity) -> bool {
        let mixture = self.at(dose).plus(extra, 1.0);
        let ln_activity = -ph * std::f64::consts::LN_10;
        let mut medium = Medium::default();
        for round in 0..ROUNDS {
            let balance = Balance::new(&mixture, &medium, model);
            let point = balance.at(ln_activity);
            let met = balance.medium_at(ln_activity, &point);
            if !has_water(&mixture) || !point.charge.is_finite() {
                return false;
            }
            if met.moved_from(&medium) <= ROUGHLY * (1.0 + met.ionic_strength) {
                return point.charge * way >= 0.0;
            }
            medium = if round < 8 { met } else { halfway(&medium, &met) };
        }
        false
    }

    /// By the straight line, in rounds of the medium from a dose. None where the rounds do not settle, or settle on no
    /// dose.
    fn straight(&self, (mut dose, mut medium): (f64, Medium), ph: f64, model: Activity) -> Option<(f64, Equilibrium)> {
        let ln_activity = -ph * std::f64::consts::LN_10;
        // The same families in the same order, so that both are reckoned in one medium by the same constants.
        let start = self.start.plus(&self.per_unit, 0.0);
        let unit = start.plus(&start, -1.0).plus(&self.per_unit, 1.0);
        let mut mixture = start.clone();
        if dose > 0.0 {
            mixture.set(&start, &unit, dose);
        }
        let mut before = None;
        for round in 0..ROUNDS {
            let balance = Balance::new(&mixture, &medium, model);
            balance.start_at(before);
            let point = balance.at(ln_activity);
            let next = dose - point.charge / balance.charge_of(&unit, ln_activity, &point);
            let met = balance.medium_at(ln_activity, &point);
            if !next.is_finite() || next < 0.0 || next > 2.0 * self.most {
                return None;
            }
            let settled = met.moved_from(&medium) <= SETTLED * (1.0 + met.ionic_strength);
            if settled && (next - dose).abs() <= SETTLED * next {
                let ionic_strength = met.ionic_strength;
                return Some((next, Equilibrium { ph, ionic_strength, water_kg: point.water, medium }));
            }
            dose = next;
            before = balance.start();
            mixture.set(&start, &unit, dose);
            if !has_water(&mixture) {
                return None;
            }
            // The strength at high molality pulls hard on itself: from there on go half of the way.
            medium = if round < 12 { met } else { halfway(&medium, &met) };
        }
        None
    }

    /// By halving between nothing and the most, on whole solutions: slow, and sure where the other way is not.
    fn by_halves(&self, ph: f64, model: Activity) -> Option<f64> {
        let above = |dose: f64| Some(equilibrium(&self.at(dose), model)?.ph - ph);
        let (mut low, mut high) = (0.0, self.most);
        let at_low = above(low)?;
        let at_high = above(high).or_else(|| {
            high *= 0.999;
            above(high)
        })?;
        if at_low == 0.0 {
            return Some(low);
        }
        if at_low.signum() == at_high.signum() {
            return None;
        }
        for _ in 0..100 {
            let middle = f64::midpoint(low, high);
            if above(middle)?.signum() == at_low.signum() {
                low = middle;
            } else {
                high = middle;
            }
            if high - low <= 1e-13 * self.most {
                break;
            }
        }
        Some(f64::midpoint(low, high))
    }
}

/// Whether a mixture stands farther up or down than a pH, in a medium that is about its own.
#[must_use]
pub fn is_beyond(mixture: &Mixture, medium: &Medium, ph: f64, way: f64, model: Activity) -> bool {
    Balance::new(mixture, medium, model).at(-ph * std::f64::consts::LN_10).charge * way >= 0.0
}

/// The strong base that brings a mixture to a pH, in mol, below nought for strong acid; and the mixture with it.
#[must_use]
pub fn brought_to(mixture: &Mixture, ph: f64, model: Activity) -> Option<(f64, Mixture)> {
    let ln_activity = -ph * std::f64::consts::LN_10;
    let (mut medium, mut moles) = (Medium::default(), f64::NAN);
    if !has_water(mixture) {
        return None;
    }
    let mut brought = mixture.clone();
    for round in 0..ROUNDS {
        if moles.is_finite() {
            brought.ions.clone_from(&mixture.ions);
            brought.hydroxide = mixture.hydroxide;
            add_strong(&mut brought, moles);
        }
        let balance = Balance::new(&brought, &medium, model);
        let point = balance.at(ln_activity);
        let next = if moles.is_finite() { moles } else { 0.0 } - point.charge;
        if !next.is_finite() {
            return None;
        }
        let met = balance.medium_at(ln_activity, &point);
        let still = met.moved_from(&medium) <= STILL * (1.0 + met.ionic_strength);
        if still && (next - moles).abs() <= STILL * next.abs() + 1e-15 {
            return Some((next, brought));
        }
        moles = next;
        medium = if round < 6 { met } else { halfway(&medium, &met) };
    }
    None
}

fn add_strong(mixture: &mut Mixture, moles: f64) {
    if moles >= 0.0 {
        mixture.put_strong_base(moles);
    } else {
        mixture.put_ion(-1.0, -moles);
    }
}

/// The buffer capacity of a mixture as it stands: mol of strong base per kg of the water weighed in that raise the pH
/// by one. A hundred-thousandth of a mol per kg of strong base, and of strong acid, tells the slope on both sides.
#[must_use]
pub fn buffer_capacity(mixture: &Mixture, model: Activity) -> Option<f64> {
    const STEP: f64 = 1e-5;
    let with = |moles: f64| {
        let mut beside = mixture.clone();
        add_strong(&mut beside, moles);
        Some(equilibrium(&beside, model)?.ph)
    };
    let (below, above) = (with(-STEP * mixture.water_kg)?, with(STEP * mixture.water_kg)?);
    let capacity = 2.0 * STEP / (above - below);
    capacity.is_finite().then_some(capacity)
}
