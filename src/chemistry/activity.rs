//! How far an ion falls short of its molality: activity coefficients.

use super::interaction;

/// The Debye-Hückel slope of the reference engine at 25 °C and 1 atm.
const DAVIES_A: f64 = 0.510_024_799;
/// The slope and the size term of the specific ion interaction theory at 25 °C.
const SIT_A: f64 = 0.509;
const SIT_SIZE: f64 = 1.5;

/// The model of activity.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Activity {
    /// The Davies equation: log γ = −A z² (√I ÷ (1 + √I) − 0.3 I). Good to an ionic strength of about 0.5.
    #[default]
    Davies,
    /// Specific ion interaction: log γ = −A z² √I ÷ (1 + 1.5 √I) + Σ ε m. Good to about 3.
    Best,
    /// Every coefficient is 1: concentrations alone.
    Ideal,
}

impl Activity {
    /// Its word on the command line and in output.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Activity::Davies => "davies",
            Activity::Best => "best",
            Activity::Ideal => "ideal",
        }
    }
}

/// What the coefficients depend on, all of it molalities.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Medium {
    /// Half the sum of every molality times its charge squared.
    pub ionic_strength: f64,
    /// The molality of all cations but hydrogen.
    pub cations: f64,
    /// The molality of hydrogen ions.
    pub hydrogen: f64,
    /// The molality of all anions.
    pub anions: f64,
    /// The sum of every anion's molality times its ε with sodium.
    pub pull: f64,
}

impl Medium {
    /// The decimal logarithm of the coefficient of the hydrogen ion.
    #[must_use]
    pub fn hydrogen_ion(&self, model: Activity) -> f64 {
        match model {
            Activity::Best => -self.screening() + interaction::HYDROGEN * self.anions,
            _ => self.shared(1.0, model),
        }
    }

    /// That of an anion with this ε.
    #[must_use]
    pub fn anion(&self, charge: f64, epsilon: f64, model: Activity) -> f64 {
        match model {
            Activity::Best => {
                -charge * charge * self.screening() + epsilon * self.cations + interaction::HYDROGEN * self.hydrogen
            }
            _ => self.shared(charge, model),
        }
    }

    /// That of a cation.
    #[must_use]
    pub fn cation(&self, charge: f64, model: Activity) -> f64 {
        match model {
            Activity::Best => -charge * charge * self.screening() + self.pull,
            _ => self.shared(charge, model),
        }
    }

    /// The most that any of its figures differs from another's.
    pub(super) fn moved_from(&self, other: &Medium) -> f64 {
        let pairs = [
            (self.ionic_strength, other.ionic_strength),
            (self.cations, other.cations),
            (self.hydrogen, other.hydrogen),
            (self.anions, other.anions),
            (self.pull, other.pull),
        ];
        pairs.into_iter().fold(0.0, |most, (one, other)| (one - other).abs().max(most))
    }

    fn screening(&self) -> f64 {
        let root = self.ionic_strength.sqrt();
        SIT_A * root / (1.0 + SIT_SIZE * root)
    }

    fn shared(&self, charge: f64, model: Activity) -> f64 {
        if model == Activity::Ideal {
            return 0.0;
        }
        let root = self.ionic_strength.sqrt();
        -DAVIES_A * charge * charge * (root / (1.0 + root) - 0.3 * self.ionic_strength)
    }
}
