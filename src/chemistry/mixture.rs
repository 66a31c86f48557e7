//! What is in the water: families of acids and bases, bare ions, and the water itself.

use std::sync::Arc;

/// The molar mass of water in kg/mol, as the reference engine has it.
pub const WATER_KG_PER_MOL: f64 = 0.018_015;

/// What is known of an acid, a base or an ampholyte. All its states of protonation are one family, so that an acid
/// and its salts are the same thing with more or less of a counter-ion beside it.
#[derive(Clone, Debug, PartialEq)]
pub struct Constants {
    /// Its pKa on the molal scale at 25 °C and no ionic strength, from the first proton lost to the last.
    pka: Vec<f64>,
    /// Ten to the power of minus each of them.
    dissociation: Vec<f64>,
    /// The charge of the form with every proton on.
    top_charge: f64,
    /// The interaction coefficients of its anions with sodium, by charge; see [`super::interaction`].
    with_sodium: Option<&'static [f64; 3]>,
    /// The most of its uncharged form that water takes, in mol/kg of water; none where nobody has said, and for a
    /// family without an uncharged form.
    saturation: Option<f64>,
    /// The metals that its forms hold.
    binds: Vec<Binding>,
    /// Of a metal that falls out as hydroxide: the negative logarithm of its solubility product.
    hydroxide: Option<f64>,
    /// Of a metal: the numbers of the families that it falls out with, once they have lost all their protons, and the
    /// negative logarithms of their solubility products.
    falls_out_with: Vec<(u64, f64)>,
}

/// How a family holds a metal.
#[derive(Clone, Debug, PartialEq)]
pub struct Binding {
    /// The number of the metal's family.
    pub metal: u64,
    /// The logarithm of the stability constant at no ionic strength, of its form without protons, of that with one, and
    /// so on.
    pub log_k: Vec<f64>,
}

/// A constant beyond these means all or nothing at any pH there is.
const LEAST_PKA: f64 = -40.0;
const MOST_PKA: f64 = 40.0;

impl Constants {
    /// An acid, base or ampholyte by its pKa and by the charge of the form with every proton on; the coefficients of
    /// its anions with sodium, where they are known.
    #[must_use]
    pub fn new(pka: &[f64], top_charge: f64, with_sodium: Option<&'static [f64; 3]>) -> Constants {
        let dissociation = pka.iter().map(|pka| 10f64.powf(-pka.clamp(LEAST_PKA, MOST_PKA))).collect();
        Constants {
            pka: pka.to_vec(),
            dissociation,
            top_charge,
            with_sodium,
            saturation: None,
            binds: Vec::new(),
            hydroxide: None,
            falls_out_with: Vec::new(),
        }
    }

    /// The same, of which water takes so much and no more, in mol/kg of water: all that dissolves of it alone, what has
    /// come apart among it.
    #[must_use]
    pub fn dissolving(self, most: f64) -> Constants {
        let uncharged = self.uncharged().map(|number| (number, self.dissociation.get(number).copied()));
        let saturation = uncharged.map(|(number, dissociation)| match dissociation {
            // Alone in water the uncharged form and its first ion share what dissolves: S = S0 + √(K S0).
            Some(dissociation) if number == 0 => {
                let root = dissociation.sqrt();
                let uncharged = 0.5 * ((root * root + 4.0 * most).sqrt() - root);
                uncharged * uncharged
            }
            _ => most,
        });
        Constants { saturation: saturation.filter(|most| most.is_finite() && *most > 0.0), ..self }
    }

    /// The same, with the metals that its forms hold.
    #[must_use]
    pub fn binding(self, binds: Vec<Binding>) -> Constants {
        Constants { binds, ..self }
    }

    /// The same of a metal, which falls out as hydroxide, and with the bare forms of other families: by the negative
    /// logarithms of the solubility products.
    #[must_use]
    pub fn falling_out(self, hydroxide: Option<f64>, with: Vec<(u64, f64)>) -> Constants {
        Constants { hydroxide, falls_out_with: with, ..self }
    }

    /// Of a metal: the families that it falls out with, and the negative logarithms of their solubility products.
    #[must_use]
    pub fn falls_out_with(&self) -> &[(u64, f64)] {
        &self.falls_out_with
    }

    /// The metals that its forms hold.
    #[must_use]
    pub fn binds(&self) -> &[Binding] {
        &self.binds
    }

    /// Of a metal that falls out as hydroxide: the negative logarithm of its solubility product.
    #[must_use]
    pub fn hydroxide(&self) -> Option<f64> {
        self.hydroxide
    }

    /// How many protons the uncharged form has lost; none where no form is uncharged.
    #[must_use]
    pub fn uncharged(&self) -> Option<usize> {
        let lost = self.top_charge.round();
        (lost >= 0.0 && lost as usize <= self.pka.len()).then_some(lost as usize)
    }

    /// The most of its uncharged form that water takes, in mol/kg of water.
    #[must_use]
    pub fn saturation(&self) -> Option<f64> {
        self.saturation
    }

    /// An acid: uncharged with every proton on.
    #[must_use]
    pub fn acid(pka: &[f64]) -> Constants {
        Constants::new(pka, 0.0, None)
    }

    /// A base: uncharged with every proton off.
    #[must_use]
    pub fn base(pka: &[f64]) -> Constants {
        Constants::new(pka, pka.len() as f64, None)
    }

    /// Its pKa, from the first proton lost to the last.
    #[must_use]
    pub fn pka(&self) -> &[f64] {
        &self.pka
    }

    /// Its dissociation constants, in the same order.
    #[must_use]
    pub fn dissociation(&self) -> &[f64] {
        &self.dissociation
    }

    /// The charge of the form with every proton on.
    #[must_use]
    pub fn top_charge(&self) -> f64 {
        self.top_charge
    }

    /// What its anion of this charge (1, 2 or 3 and over) pulls on sodium, in kg/mol.
    #[must_use]
    pub fn pull(&self, charge: f64) -> f64 {
        let at = (charge.abs().round() as usize).clamp(1, 3) - 1;
        match self.with_sodium.and_then(|known| known.get(at)) {
            Some(known) => *known,
            None => super::interaction::usual(charge),
        }
    }
}

/// Some of a family.
#[derive(Clone, Debug)]
pub struct AcidFamily {
    /// Which family: amounts of the same number are one.
    pub id: u64,
    /// What is known of it.
    pub constants: Arc<Constants>,
    /// How much, in mol.
    pub moles: f64,
    /// How much of its uncharged form what is there beside water takes, in mol.
    pub taken_elsewhere: f64,
}

/// Some of an ion that takes no part but by its charge.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Ion {
    /// Its charge.
    pub charge: f64,
    /// How much, in mol.
    pub moles: f64,
}

/// Water and what is dissolved in it. A difference of two mixtures is one too, with amounts below nought.
#[derive(Clone, Debug, Default)]
pub struct Mixture {
    /// The water that was weighed in, in kg.
    pub water_kg: f64,
    /// The hydroxide of strong bases, in mol: neutralised it turns to water.
    pub hydroxide: f64,
    /// The families, by their number.
    pub families: Vec<AcidFamily>,
    /// The bare ions, by their charge.
    pub ions: Vec<Ion>,
    /// What is there beside water, and moves every constant.
    pub solvent: Solvent,
}

/// How far alcohol and glycols move the pKa from what they are in water.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Solvent {
    /// Of acids: what gains a charge as it comes apart.
    pub acids: f64,
    /// Of bases: what loses a charge as it comes apart.
    pub bases: f64,
}

impl Mixture {
    /// Only water.
    #[must_use]
    pub fn water(kg: f64) -> Mixture {
        Mixture { water_kg: kg, ..Mixture::default() }
    }

    /// Puts in some of a family.
    pub fn put(&mut self, id: u64, constants: &Arc<Constants>, moles: f64) {
        match self.families.binary_search_by_key(&id, |family| family.id) {
            Ok(at) => {
                if let Some(family) = self.families.get_mut(at) {
                    family.moles += moles;
                }
            }
            Err(at) => self
                .families
                .insert(at, AcidFamily { id, constants: Arc::clone(constants), moles, taken_elsewhere: 0.0 }),
        }
    }

    /// What is there beside water takes so much more of a family's uncharged form, in mol.
    pub fn take_elsewhere(&mut self, id: u64, moles: f64) {
        if moles != 0.0
            && let Ok(at) = self.families.binary_search_by_key(&id, |family| family.id)
            && let Some(family) = self.families.get_mut(at)
        {
            family.taken_elsewhere += moles;
        }
    }

    /// Puts in some of a bare ion.
    pub fn put_ion(&mut self, charge: f64, moles: f64) {
        match self.ions.binary_search_by(|ion| ion.charge.total_cmp(&charge)) {
            Ok(at) => {
                if let Some(ion) = self.ions.get_mut(at) {
                    ion.moles += moles;
                }
            }
            Err(at) => self.ions.insert(at, Ion { charge, moles }),
        }
    }

    /// Puts in some of a strong base: a cation and its hydroxide.
    pub fn put_strong_base(&mut self, moles: f64) {
        self.put_ion(1.0, moles);
        self.hydroxide += moles;
    }

    /// This, and `factor` times another.
    #[must_use]
    pub fn plus(&self, other: &Mixture, factor: f64) -> Mixture {
        let mut sum = self.clone();
        sum.water_kg += factor * other.water_kg;
        sum.hydroxide += factor * other.hydroxide;
        for family in &other.families {
            sum.put(family.id, &family.constants, factor * family.moles);
            sum.take_elsewhere(family.id, factor * family.taken_elsewhere);
        }
        for ion in &other.ions {
            sum.put_ion(ion.charge, factor * ion.moles);
        }
        sum
    }

    /// Makes this `start` and so much of `unit`, both of the same families and ions in the same order as this.
    pub(super) fn set(&mut self, start: &Mixture, unit: &Mixture, factor: f64) {
        self.water_kg = start.water_kg + factor * unit.water_kg;
        self.hydroxide = start.hydroxide + factor * unit.hydroxide;
        for (own, (start, unit)) in self.families.iter_mut().zip(start.families.iter().zip(&unit.families)) {
            own.moles = start.moles + factor * unit.moles;
            own.taken_elsewhere = start.taken_elsewhere + factor * unit.taken_elsewhere;
        }
        for (own, (start, unit)) in self.ions.iter_mut().zip(start.ions.iter().zip(&unit.ions)) {
            own.moles = start.moles + factor * unit.moles;
        }
    }

    /// Whether anything in it takes or gives protons, or leaves a charge to be made up for.
    #[must_use]
    pub fn is_active(&self) -> bool {
        !self.families.is_empty() || !self.ions.is_empty()
    }
}
