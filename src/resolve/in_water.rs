//! What a gram of a raw material brings to water: acids, bases, ions, and the water in it.

use super::Resolver;
use super::gram::{InWater, Unsure};
use crate::chemistry::{Activity, Binding, Constants, Mixture, WATER_KG_PER_MOL, brought_to, equilibrium, interaction};
use crate::diagnostic::FileId;
use crate::model::{
    AcidBase, AcidGroups, Component, DeclId, Formula, Line, LineMaterial, Material, MeasuredPh, Substance, materials_of,
};
use crate::quantity::{Exact, Interval};
use std::sync::Arc;

/// The pH at which bicarbonate is half carbonic acid.
const GAS_PKA: f64 = 6.35;
/// How many acids the groups of a polymer are taken for.
const STEPS: u64 = 6;
/// How far the apparent pKa of a polymer's groups is off in another batch of it, or in another salt (common practice, no
/// source).
const APPARENT: f64 = 0.3;
/// How much less, and more, of its ions a salt of a polymer may have as it is bought (common practice, no source).
const FEWER: f64 = 0.1;
/// The other of the two.
const MORE: f64 = 0.02;
/// From this strength in percent on, hydroxy acids esterify with themselves (common practice, no source).
const ESTERIFIES: i64 = 80;

impl Resolver<'_> {
    /// What a gram of the thing a line weighs out brings to water; none where its name is unknown.
    #[must_use]
    pub fn line_in_water(&self, line: &Line) -> Option<Arc<InWater>> {
        Some(match line.material.as_ref()? {
            LineMaterial::Material(material) => self.material_in_water(material),
            LineMaterial::Premix(premix) => self.premix_in_water(premix),
        })
    }

    /// What a gram of a raw material brings to water.
    #[must_use]
    pub fn material_in_water(&self, material: &Material) -> Arc<InWater> {
        if let Some(known) = self.made.in_water.get(material.id) {
            return known;
        }
        let made = Arc::new(self.make_material_in_water(material));
        self.made.in_water.put(material.id, Arc::clone(&made));
        made
    }

    /// What a gram of a premix brings to water.
    #[must_use]
    pub fn premix_in_water(&self, premix: &Arc<Formula>) -> Arc<InWater> {
        if let Some(known) = self.made.in_water.get(premix.id) {
            return known;
        }
        let mut made = InWater::default();
        for (material, percent) in materials_of(premix) {
            let Some(percent) = percent else { continue };
            let of = self.material_in_water(&material);
            made.add(&of, percent.to_f64() / 100.0);
            made.unknown = &made.unknown + &(&percent.hundredth() * &of.unknown);
        }
        let made = Arc::new(made);
        self.made.in_water.put(premix.id, Arc::clone(&made));
        made
    }

    fn make_material_in_water(&self, material: &Material) -> InWater {
        let mut made = InWater { unknown: Exact::HUNDRED, ..InWater::default() };
        // What is named without a figure is anything from none to all of it: not known to the model.
        for component in material.contains.iter().filter(|component| !component.undisclosed) {
            let of = self.substance_in_water(component.substance);
            let middle = component.strength.middle();
            made.add(&of, middle.to_f64() / 100.0);
            let known = &middle.hundredth() * &(&Exact::HUNDRED - &of.unknown);
            made.unknown = &made.unknown - &known;
            if !component.strength.is_point() {
                made.unsure.push(unsure(component, &of.mixture));
            }
            if component.strength.low >= Exact::whole(ESTERIFIES) && component.strength.high < Exact::HUNDRED {
                made.esters += self.esterifies(component.substance) * middle.to_f64() / 100.0;
            }
        }
        if made.unknown.is_negative() {
            made.unknown = Exact::ZERO;
        }
        made.could_be = if made.unknown.is_positive() { self.could_be(material, &made.unknown) } else { 0.0 };
        if let Some(measured) = &material.measured_ph {
            let at = measured.at.as_ref().map_or(100.0, Exact::to_f64);
            let to = |ph: &Exact| meets(&made.mixture, ph.to_f64(), at);
            if let Some((missing, moles)) = to(&measured.ph.middle()) {
                // Whatever else is not sure of it, its pH was measured: what moves that is made up for.
                let held = |end: &Mixture| {
                    let other = made.mixture.plus(end, 1.0);
                    let met = meets(&other, measured.ph.middle().to_f64(), at);
                    met.map_or_else(|| end.clone(), |(met, _)| met.plus(&missing, -1.0))
                };
                let unsure = made.unsure.iter();
                made.unsure = unsure.map(|of| Unsure { low: held(&of.low), high: held(&of.high) }).collect();
                if let (false, Some((low, _)), Some((high, _))) =
                    (measured.ph.is_point(), to(&measured.ph.low), to(&measured.ph.high))
                {
                    made.unsure.push(Unsure { low: low.plus(&missing, -1.0), high: high.plus(&missing, -1.0) });
                }
                made.mixture = missing;
                made.drives_gas_out -= moles;
                made.unknown = Exact::ZERO;
                put_capacity(material.id, measured, &mut made);
            }
        }
        made
    }

    /// 1 where a substance is a hydroxy acid that esterifies with itself in strong solution.
    fn esterifies(&self, id: DeclId) -> f64 {
        let known = |substance: Arc<Substance>| {
            substance.is_known_as("50-21-5", "Lactic Acid") || substance.is_known_as("79-14-1", "Glycolic Acid")
        };
        if self.substance(id).is_some_and(known) { 1.0 } else { 0.0 }
    }

    /// What a gram of a substance brings to water.
    pub(super) fn substance_in_water(&self, id: DeclId) -> Arc<InWater> {
        if let Some(known) = self.made.in_water.get(id) {
            return known;
        }
        let made = Arc::new(match self.substance(id) {
            Some(substance) => self.make_substance_in_water(&substance),
            None => InWater { unknown: Exact::HUNDRED, ..InWater::default() },
        });
        self.made.in_water.put(id, Arc::clone(&made));
        made
    }

    fn make_substance_in_water(&self, substance: &Substance) -> InWater {
        let mut made = InWater::default();
        // The water of a crystal is water once that is dissolved.
        let water = if substance.is_water() { Exact::HUNDRED } else { substance.physical_water() };
        made.mixture.water_kg = water.to_f64() * 1e-5;
        made.solvents = if is_solvent(substance) { 1.0 } else { 0.0 };
        made.urea = if substance.is_known_as("57-13-6", "Urea") { 1.0 } else { 0.0 };
        if substance.is_water() || matches!(substance.acid_base, Some(AcidBase::Neutral)) {
            return made;
        }
        if let Some(AcidBase::Groups(groups)) = &substance.acid_base {
            self.put_groups(substance.id, groups, &mut made);
            return made;
        }
        let per_gram = substance.molar_mass.as_ref().map(|mass| 1.0 / mass.to_f64()).filter(|moles| moles.is_finite());
        if per_gram.is_none_or(|moles| !self.put_substance(substance, moles, &mut made)) {
            made.unknown = &Exact::HUNDRED - &water;
        }
        made
    }

    /// Puts a gram of a polymer in: its groups as acids of their own, each of an even share, their pKa evenly from the
    /// first to the last; and what is not sure of them, how many there are and where they come apart.
    fn put_groups(&self, id: DeclId, groups: &AcidGroups, made: &mut InWater) {
        let with = groups.with.as_ref().and_then(|(count, ion)| Some((count.to_f64(), self.substance(*ion)?)));
        let gram = |capacity: f64, moved: f64| {
            let mut gram = InWater::default();
            let moles = capacity * 1e-3;
            let (first, last) = (groups.pka.low.to_f64(), groups.pka.high.to_f64());
            for step in 0..STEPS {
                let pka = first + (last - first) * (step as f64 + 0.5) / STEPS as f64;
                // Steps that are moved are other acids than those in their place.
                let number = if moved == 0.0 { step } else { step + STEPS * (2 + moved.signum() as u64) };
                let constants = Arc::new(Constants::acid(&[pka + moved]));
                gram.mixture.put(group_of(id, number), &constants, moles / STEPS as f64);
                gram.drives_gas_out += if pka < GAS_PKA { moles / STEPS as f64 } else { 0.0 };
            }
            if let Some((count, ion)) = &with {
                let mut beside = InWater::default();
                self.put_part(ion, moles * count, &mut beside);
                beside.mixture.hydroxide = 0.0;
                gram.mixture = gram.mixture.plus(&beside.mixture, 1.0);
                gram.drives_gas_out -= moles * count;
            }
            gram
        };
        let (low, high) = (groups.capacity.low.to_f64(), groups.capacity.high.to_f64());
        let middle = gram(f64::midpoint(low, high), 0.0);
        if let Some((count, ion)) = &with {
            let mut beside = InWater::default();
            self.put_part(ion, f64::midpoint(low, high) * 1e-3 * count, &mut beside);
            beside.mixture.hydroxide = 0.0;
            let share = |factor: f64| Mixture::default().plus(&beside.mixture, factor);
            made.unsure.push(Unsure { low: share(-FEWER), high: share(MORE) });
        }
        let less = |other: InWater| other.mixture.plus(&middle.mixture, -1.0);
        made.unsure.push(Unsure { low: less(gram(low, 0.0)), high: less(gram(high, 0.0)) });
        let spread = |moved: f64| less(gram(f64::midpoint(low, high), moved));
        made.unsure.push(Unsure { low: spread(-APPARENT), high: spread(APPARENT) });
        made.add(&middle, 1.0);
    }

    /// Puts so many moles of a substance in; false where nobody has said what it does.
    fn put_substance(&self, substance: &Substance, moles: f64, made: &mut InWater) -> bool {
        let lactone = substance.hydrolyses_to.and_then(|acid| self.substance(acid));
        if let Some(acid) = lactone {
            let mut later = InWater { mixture: Mixture::water(-WATER_KG_PER_MOL * moles), ..InWater::default() };
            if self.put_part(&acid, moles, &mut later) {
                made.later = Some(later.mixture);
                return substance.acid_base.is_none() || self.put_part(substance, moles, made);
            }
        }
        if let Some(AcidBase::SolidBase(metal, is_oxide)) = &substance.acid_base {
            return self.put_solid_base(*metal, *is_oxide, moles, made);
        }
        if let Some(salt) = &substance.salt
            && let (Some(of), Some(with)) = (self.substance(salt.of), self.substance(salt.with))
        {
            let mut parts = made.clone();
            if self.put_part(&of, moles, &mut parts) && self.put_part(&with, moles * salt.count.to_f64(), &mut parts) {
                // A base written as the counter-ion is its cation: the salt has no hydroxide left.
                parts.mixture.hydroxide = made.mixture.hydroxide;
                parts.drives_gas_out = parts.drives_gas_out.max(0.0);
                *made = parts;
                return true;
            }
        }
        self.put_part(substance, moles, made)
    }

    /// Puts so many moles of what an acid, a base or an ion is by itself.
    fn put_part(&self, substance: &Substance, moles: f64, made: &mut InWater) -> bool {
        let id = family_of(substance.id);
        let constants = |pka: &[Exact], top_charge: f64| {
            let with_sodium = substance.cas.as_deref().and_then(interaction::of_acid);
            let pka: Vec<f64> = pka.iter().map(Exact::to_f64).collect();
            let known = Constants::new(&pka, top_charge, with_sodium).binding(self.bindings(substance));
            Arc::new(match dissolves_in_water(substance) {
                Some(most) => known.dissolving(most),
                None => known,
            })
        };
        let mut family = |constants: Arc<Constants>| {
            let below = constants.pka().iter().filter(|pka| **pka < GAS_PKA).count();
            made.drives_gas_out += moles * (below as f64 - constants.top_charge());
            made.mixture.put(id, &constants, moles);
        };
        match &substance.acid_base {
            Some(AcidBase::Acid(pka)) => family(constants(pka, 0.0)),
            Some(AcidBase::Base(pka)) => family(constants(pka, pka.len() as f64)),
            Some(AcidBase::Ampholyte(pka, charge)) => family(constants(pka, charge.to_f64())),
            Some(AcidBase::StrongAcid) => put_ion(made, -1.0, moles),
            Some(AcidBase::StrongBase) => {
                put_ion(made, 1.0, moles);
                made.mixture.hydroxide += moles;
            }
            Some(AcidBase::Ion(charge)) if *charge > Exact::ONE => self.put_metal(substance, charge, moles, made),
            Some(AcidBase::Ion(charge)) => put_ion(made, charge.to_f64(), moles),
            Some(AcidBase::Neutral) => {}
            // So many of a gram, and not of a mole; and what is made of other substances.
            Some(AcidBase::Groups(_) | AcidBase::SolidBase(..)) | None => return false,
        }
        if substance.is_known_as("463-79-6", "Carbonic Acid") || substance.name == "carbonic-acid" {
            made.carbonate += moles;
        }
        true
    }

    /// Puts so many moles of an ion of several charges in, which acids may hold and which may fall out.
    fn put_metal(&self, metal: &Substance, charge: &Exact, moles: f64, made: &mut InWater) {
        let pksp = self.hydroxide_of(metal).map(|pksp| pksp.middle().to_f64());
        let twin = if metal.falls_out_with.is_empty() { self.twin(metal) } else { None };
        let with = twin.as_ref().map_or(&metal.falls_out_with, |twin| &twin.falls_out_with);
        let with = with.iter().map(|(acid, pksp)| (family_of(*acid), pksp.middle().to_f64())).collect();
        let constants = Constants::new(&[], charge.to_f64(), None).falling_out(pksp, with);
        made.mixture.put(self.metal_of(metal), &Arc::new(constants), moles);
        made.drives_gas_out -= charge.to_f64() * moles;
    }

    /// Puts so many moles of a solid base in: the metal, and as many hydroxides as that has charges.
    fn put_solid_base(&self, metal: DeclId, is_oxide: bool, moles: f64, made: &mut InWater) -> bool {
        let Some(metal) = self.substance(metal) else { return false };
        let Some(AcidBase::Ion(charge)) = &metal.acid_base else { return false };
        let hydroxide = charge.to_f64() * moles;
        if hydroxide <= 0.0 || !self.put_part(&metal, moles, made) {
            return false;
        }
        made.mixture.hydroxide += hydroxide;
        if is_oxide {
            made.mixture.water_kg -= WATER_KG_PER_MOL * hydroxide / 2.0;
        }
        true
    }

    /// The number of a metal's family: that of the shelf's own record, which the shelf's acids speak of, where there is one.
    fn metal_of(&self, metal: &Substance) -> u64 {
        family_of(self.twin(metal).map_or(metal.id, |twin| twin.id))
    }

    /// The metals that an acid holds: by what it says itself, or what the shelf says of the same.
    fn bindings(&self, acid: &Substance) -> Vec<Binding> {
        let twin = if acid.binds.is_empty() { self.twin(acid) } else { None };
        let binds = twin.as_ref().map_or(&acid.binds, |twin| &twin.binds);
        let each = binds.iter().filter_map(|of| {
            let log_k = of.log_k.iter().map(Exact::to_f64).collect();
            Some(Binding { metal: self.metal_of(&*self.substance(of.metal)?), log_k })
        });
        each.collect()
    }

    /// The solubility product of a metal's hydroxide: by what it says itself, or what the shelf says of the same.
    #[must_use]
    pub fn hydroxide_of(&self, metal: &Substance) -> Option<Interval> {
        metal.hydroxide.clone().or_else(|| self.twin(metal)?.hydroxide.clone())
    }
}

/// The number that the chemistry knows a substance's family by.
#[must_use]
fn family_of(substance: DeclId) -> u64 {
    u64::from(substance.file.0) << 32 | u64::from(substance.item)
}

/// The bits of a family's number above those that its substance takes: the groups of a polymer are told apart there.
const GROUP: u32 = 56;

/// The number of a group of a polymer.
fn group_of(substance: DeclId, number: u64) -> u64 {
    family_of(substance) | (number + 1) << GROUP
}

/// The substance of a family.
#[must_use]
pub fn substance_of(family: u64) -> DeclId {
    let family = family & ((1 << GROUP) - 1);
    let low = u32::try_from(family & u64::from(u32::MAX)).unwrap_or_default();
    DeclId { file: FileId(u32::try_from(family >> 32).unwrap_or_default()), item: low }
}

/// How much of a substance water takes, in mol/kg; none where nobody has said.
fn dissolves_in_water(substance: &Substance) -> Option<f64> {
    let (_, most, _) = substance.dissolves.iter().find(|(solvent, ..)| solvent == "water")?;
    let most = most.to_f64() * 10.0 / substance.molar_mass.as_ref()?.to_f64();
    (most.is_finite() && most > 0.0).then_some(most)
}

fn put_ion(made: &mut InWater, charge: f64, moles: f64) {
    made.mixture.put_ion(charge, moles);
    made.drives_gas_out -= charge * moles;
}

/// A component at the ends of its range, less its middle; the water of a `remainder` makes up for it.
fn unsure(component: &Component, gram: &Mixture) -> Unsure {
    let spread = (&component.strength.high - &component.strength.low).to_f64() / 200.0;
    Unsure { low: Mixture::default().plus(gram, -spread), high: Mixture::default().plus(gram, spread) }
}

/// Whether it is one of the glycols and alcohols in which acids are weaker than in water.
fn is_solvent(substance: &Substance) -> bool {
    let name = substance.inci.as_deref().unwrap_or(&substance.name).to_ascii_lowercase();
    let glycol = name.ends_with("glycol") && !name.contains("stearate") && !name.contains("caprylate");
    let named = ["propanediol", "1,2-hexanediol", "hexanediol", "isopropyl alcohol", "isopentyldiol"];
    substance.is_ethanol() || glycol || named.contains(&name.as_str())
}

/// Puts in what a material of which the pH was measured holds that gives way as the pH leaves that one: as much as it
/// says, else anything from nothing to what it could be.
fn put_capacity(id: DeclId, measured: &MeasuredPh, made: &mut InWater) {
    let (low, high) = match &measured.capacity {
        Some(said) => (said.low.to_f64() * 1e-3, said.high.to_f64() * 1e-3),
        None => (0.0, made.could_be),
    };
    made.could_be = 0.0;
    let ph = measured.ph.middle().to_f64();
    let middle = if measured.capacity.is_some() { f64::midpoint(low, high) } else { 0.0 };
    if middle > 0.0 {
        made.mixture = made.mixture.plus(&giving_way(id, ph, middle), 1.0);
    }
    if low < high {
        let end = |moles: f64| giving_way(id, ph, moles - middle);
        made.unsure.push(Unsure { low: end(low), high: end(high) });
    }
}

/// Acids about a pH, neutralised so far that they add nothing there, and so many that the most they take up of acid, or of
/// base, is this many mol.
fn giving_way(id: DeclId, ph: f64, moles: f64) -> Mixture {
    let mut mixture = Mixture::default();
    for (number, pka) in [ph - 1.0, ph, ph + 1.0].into_iter().enumerate() {
        let share = 2.0 * moles / 3.0;
        mixture.put(group_of(id, number as u64), &Arc::new(Constants::acid(&[pka])), share);
        mixture.put_ion(1.0, share / (1.0 + 10f64.powf(pka - ph)));
    }
    mixture
}

/// Percent of a material up to which a solution of it is what batches hold of it (common practice, no source).
const THIN: f64 = 10.0;

/// A gram of a material with the strong acid or base beside it that gives the pH measured of it: what it holds that
/// nobody has said, with the moles of base, or below nought of acid.
fn meets(gram: &Mixture, ph: f64, percent: f64) -> Option<(Mixture, f64)> {
    let percent = percent.clamp(1e-6, 100.0);
    // A material measured as it is, with no water that is known of, is taken as water itself.
    let dry = gram.water_kg <= 0.0 && percent >= 100.0;
    let water = if dry { 1e-3 } else { (100.0 - percent) * 1e-5 };
    let solution = Mixture::water(water).plus(gram, percent / 100.0);
    let (moles, brought) = brought_to(&solution, ph, Activity::Davies)?;
    // In a strong solution the model says less of it than its own constants do. One as thin as what is sold holds all the
    // same: there the measurement is of what the batch is.
    if percent > THIN && equilibrium(&brought, Activity::Davies)?.ionic_strength > 0.5 {
        return None;
    }
    let mut with = gram.clone();
    let per_gram = moles * 100.0 / percent;
    with.put_ion(if moles > 0.0 { 1.0 } else { -1.0 }, per_gram.abs());
    Some((with, per_gram))
}
