//! The truth of a simulated batch: a beaker by another physics than the program's, written for the bench alone.
//!
//! The program reckons at 25 °C with the Davies equation. Here the activities follow Debye and Hückel with an ion size
//! for each ion (Kielland 1937) and a salting term that differs from batch to batch (as Truesdell and Jones 1974 have
//! it, 0 to 0.1 kg/mol); constants are of other tables than the shelf's and move with the temperature (van 't Hoff);
//! uncharged acids are salted out; bases have taken up carbonic acid. Nothing here calls the program's chemistry.

/// The gas constant, in kJ per mol and kelvin.
const GAS: f64 = 8.314_46e-3;
/// The temperature that constants are written for, in kelvin.
const WRITTEN_AT: f64 = 298.15;
/// Ion sizes in ångström (Kielland 1937): hydrogen, hydroxide; and organic ions of one, two, three charges.
const HYDROGEN: f64 = 9.0;
const HYDROXIDE: f64 = 3.5;
const ORGANIC: [f64; 3] = [4.25, 4.75, 5.0];
/// What an uncharged acid is salted out by, in kg/mol (common practice, no source).
const UNCHARGED: f64 = 0.1;
/// The ion product of water and its heat in kJ/mol (CRC Handbook, from memory).
const WATER: (f64, f64) = (13.995, 55.8);

/// An acid, base or ampholyte as it is in truth.
#[derive(Clone, Copy, Debug)]
pub struct Truly {
    /// Its pKa at 25 °C, from the first proton lost to the last.
    pub pka: &'static [f64],
    /// The heat of each step, in kJ/mol.
    pub heat: &'static [f64],
    /// The charge of the form with every proton on.
    pub top_charge: f64,
}

/// Carbonic acid, as a base takes it from the air (CRC Handbook, from memory).
pub const CARBONIC: Truly = Truly { pka: &[6.35, 10.33], heat: &[9.15, 14.7], top_charge: 0.0 };

/// A beaker. Amounts are in mol.
#[derive(Clone, Debug)]
pub struct Beaker {
    /// The temperature, in kelvin.
    pub kelvin: f64,
    /// The salting term, in kg/mol.
    pub salting: f64,
    /// Its water, in kg.
    pub water_kg: f64,
    /// Sodium.
    pub sodium: f64,
    /// Acids and bases: their pKa at 25 °C, the heats, the charge of the form with every proton on, and how much.
    pub parts: Vec<(Part, f64)>,
}

/// A family with constants of its own.
#[derive(Clone, Debug)]
pub struct Part {
    pka: Vec<f64>,
    heat: Vec<f64>,
    top_charge: f64,
}

impl Part {
    /// One of the tables.
    pub fn of(truly: &Truly) -> Part {
        Part { pka: truly.pka.to_vec(), heat: truly.heat.to_vec(), top_charge: truly.top_charge }
    }

    /// An acid of one proton.
    pub fn acid(pka: f64) -> Part {
        Part { pka: vec![pka], heat: vec![0.0], top_charge: 0.0 }
    }
}

impl Beaker {
    /// The pH: minus the logarithm of the activity of hydrogen ions at which the charges add to nothing.
    pub fn ph(&self) -> f64 {
        let (mut low, mut high) = (-1.0, 15.0);
        for _ in 0..44 {
            let middle = f64::midpoint(low, high);
            if self.charge(middle) > 0.0 { low = middle } else { high = middle }
        }
        f64::midpoint(low, high)
    }

    /// The charge per kg of water that is left over at a pH: above nought where the pH is higher in truth.
    fn charge(&self, ph: f64) -> f64 {
        let mut strength = 0.1;
        let mut charge = 0.0;
        for _ in 0..30 {
            let (balance, found) = self.at(ph, strength);
            charge = balance;
            let next = f64::midpoint(strength, found);
            if (next - strength).abs() < 1e-9 {
                break;
            }
            strength = next;
        }
        charge
    }

    /// The charge left over, and the ionic strength that comes out, at a pH in a medium of an ionic strength.
    fn at(&self, ph: f64, strength: f64) -> (f64, f64) {
        let gamma = |charge: f64, size: f64| self.gamma(charge, size, strength);
        let hydrogen = 10f64.powf(-ph) / gamma(1.0, HYDROGEN);
        let hydroxide = 10f64.powf(ph - self.moved(WATER.0, WATER.1)) / gamma(-1.0, HYDROXIDE);
        let sodium = self.sodium / self.water_kg;
        let (mut charge, mut sum) = (hydrogen - hydroxide + sodium, hydrogen + hydroxide + sodium.abs());
        for (part, moles) in &self.parts {
            let forms = self.forms(part, ph, &gamma);
            let whole: f64 = forms.iter().map(|(_, share)| share).sum();
            for (own, share) in forms {
                let molal = moles / self.water_kg * share / whole;
                charge += own * molal;
                sum += own * own * molal;
            }
        }
        (charge, sum / 2.0)
    }

    /// The forms of a family: charge, and how much of it there is beside the others.
    fn forms(&self, part: &Part, ph: f64, gamma: &impl Fn(f64, f64) -> f64) -> Vec<(f64, f64)> {
        let size = |charge: f64| ORGANIC[(charge.abs().round() as usize).clamp(1, 3) - 1];
        let mut activity = 1.0;
        let mut forms = vec![(part.top_charge, 1.0 / gamma(part.top_charge, size(part.top_charge)))];
        for (lost, (pka, heat)) in part.pka.iter().zip(&part.heat).enumerate() {
            let charge = part.top_charge - (lost + 1) as f64;
            activity *= 10f64.powf(ph - self.moved(*pka, *heat));
            forms.push((charge, activity / gamma(charge, size(charge))));
        }
        forms
    }

    /// A constant at the temperature of the beaker.
    fn moved(&self, pka: f64, heat: f64) -> f64 {
        pka + heat / (GAS * std::f64::consts::LN_10) * (1.0 / self.kelvin - 1.0 / WRITTEN_AT)
    }

    /// The activity coefficient of an ion.
    fn gamma(&self, charge: f64, size: f64, strength: f64) -> f64 {
        if charge == 0.0 {
            return 10f64.powf(UNCHARGED * strength);
        }
        // Both of the equation's figures in water between 0 and 50 °C (Truesdell and Jones 1974, from memory).
        let celsius = self.kelvin - 273.15;
        let (a, b) = (0.4883 + 8.074e-4 * celsius, 0.3241 + 1.6e-4 * celsius);
        let root = strength.sqrt();
        10f64.powf(-a * charge * charge * root / (1.0 + b * size * root) + self.salting * strength)
    }
}
