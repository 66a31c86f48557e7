//! What a plan says of the premixes, materials and substances that are not the shelf's: all that the batch, its pH and
//! its record will ever ask of them.

use super::amount::{amount_text, decimal, is_decimal};
use super::quoted;
use crate::model::{
    AcidBase, AmountIs, Basis, Component, DeclId, Duration, Formula, Line, LineAmount, LineMaterial, Material,
    Substance, Target,
};
use crate::quantity::{Exact, Interval};
use crate::resolve::Resolver;
use crate::shelf;
use rustc_hash::{FxHashMap, FxHashSet};
use smol_str::SmolStr;
use std::sync::Arc;

/// A statement for each premix, material and substance of a formula that the shelf does not know; none where an amount
/// in a premix is not known.
pub fn own(resolver: &Resolver<'_>, formula: &Formula) -> Option<Vec<String>> {
    let mut own = LocalDefinition::new(resolver);
    // The lines of the formula name their substances as they are declared.
    let asked = formula.lines.iter().filter_map(|line| line.target.as_ref());
    for target in asked.filter(|target| target.is == AmountIs::Of) {
        own.substance_name(target.substance);
    }
    let mut met = Met::default();
    own.meet_all(&formula.lines, &mut met);
    own.say(met)
}

/// A statement for each of these premixes and materials, and for all that they are made of, that is neither the shelf's
/// nor known; none where something about them is not known.
pub(super) fn own_of(mut own: LocalDefinition<'_, '_>, things: &[LineMaterial]) -> Option<Vec<String>> {
    let mut met = Met::default();
    for material in things {
        own.meet(material, &mut met);
    }
    own.say(met)
}

/// What is said, and under which names.
#[derive(Clone)]
pub(super) struct LocalDefinition<'r, 's> {
    resolver: &'r Resolver<'s>,
    /// The names of premixes and materials.
    pub(super) things: Names,
    /// The names of substances.
    pub(super) substances: Names,
    /// What is said already.
    pub(super) said: FxHashSet<DeclId>,
    /// The substances that something in the plan speaks of, each once.
    asked: Vec<DeclId>,
    all: Vec<String>,
}

/// The premixes and the materials that the shelf does not know, from the outside in, each once.
#[derive(Default)]
struct Met {
    premixes: Vec<Arc<Formula>>,
    materials: Vec<Arc<Material>>,
}

/// What each thing is called in the plan: as it is declared. Of two that files apart call alike, as a home glycerin and
/// the shelf's inside a premix, the later gets a number.
#[derive(Clone, Default)]
pub(super) struct Names {
    known: FxHashMap<DeclId, SmolStr>,
    taken: FxHashSet<SmolStr>,
}

impl Names {
    /// Keeps a name for what has it already.
    pub(super) fn keep(&mut self, name: &str, id: Option<DeclId>) {
        self.taken.insert(SmolStr::new(name));
        if let Some(id) = id {
            self.known.entry(id).or_insert_with(|| SmolStr::new(name));
        }
    }

    fn of(&mut self, id: DeclId, declared: &str) -> SmolStr {
        if let Some(known) = self.known.get(&id) {
            return known.clone();
        }
        let mut name = SmolStr::new(declared);
        let mut number = 2;
        while self.taken.contains(&name) {
            name = SmolStr::new(format!("{declared}-{number}"));
            number += 1;
        }
        self.taken.insert(name.clone());
        self.known.insert(id, name.clone());
        name
    }

    /// Whether the shelf knows it by the name that it has here.
    fn is_the_shelfs(&self, id: DeclId, declared: &str) -> bool {
        let on_shelf = shelf::FILES.get(id.file.0 as usize).is_some();
        on_shelf && self.known.get(&id).is_some_and(|name| name == declared)
    }
}

impl<'r, 's> LocalDefinition<'r, 's> {
    /// Nothing said yet, and no name taken.
    pub(super) fn new(resolver: &'r Resolver<'s>) -> LocalDefinition<'r, 's> {
        LocalDefinition {
            resolver,
            things: Names::default(),
            substances: Names::default(),
            said: FxHashSet::default(),
            asked: Vec::new(),
            all: Vec::new(),
        }
    }

    /// Says all that was met, and all that it leads to.
    fn say(mut self, mut met: Met) -> Option<Vec<String>> {
        let mut at = 0;
        while let Some(premix) = met.premixes.get(at).map(Arc::clone) {
            self.meet_all(&premix.lines, &mut met);
            at += 1;
        }
        for premix in &met.premixes {
            let statement = self.premix(premix)?;
            self.all.push(statement);
        }
        for material in &met.materials {
            self.material(material)?;
        }
        self.substances();
        Some(self.all)
    }

    fn meet_all(&mut self, lines: &[Line], met: &mut Met) {
        for line in lines {
            self.asked.extend(line.target.as_ref().map(|target| target.substance));
            if let Some(material) = &line.material {
                self.meet(material, met);
            }
        }
    }

    fn meet(&mut self, material: &LineMaterial, met: &mut Met) {
        match material {
            LineMaterial::Premix(premix) if self.said.insert(premix.id) => {
                self.things.of(premix.id, &premix.name);
                met.premixes.push(Arc::clone(premix));
            }
            LineMaterial::Material(material) if self.said.insert(material.id) => {
                self.things.of(material.id, &material.name);
                if !self.things.is_the_shelfs(material.id, &material.name) {
                    met.materials.push(Arc::clone(material));
                }
            }
            _ => {}
        }
    }

    fn premix(&mut self, premix: &Formula) -> Option<String> {
        if !premix.total_known || premix.incomplete {
            return None;
        }
        let mut parts = Vec::with_capacity(premix.lines.len());
        for line in &premix.lines {
            let name = match line.material.as_ref()? {
                LineMaterial::Material(material) => self.things.of(material.id, &material.name),
                LineMaterial::Premix(inner) => self.things.of(inner.id, &inner.name),
            };
            let percent = || Some(decimal(line.percent.as_ref()?));
            parts.push(match (&line.amount, &line.target) {
                (LineAmount::AtBench, _) => format!("{name} q.s. to pH"),
                (LineAmount::QuantumSatis, _) => format!("{name} {} % q.s.", percent()?),
                (_, None) => format!("{name} {} %", percent()?),
                (_, Some(target)) => format!("{name} {} % {}", percent()?, self.amount(line, target, premix.basis)?),
            });
        }
        let name = self.things.of(premix.id, &premix.name);
        let title = premix.title.as_ref().map(|title| format!(" {}", quoted(title))).unwrap_or_default();
        Some(format!("premix {name}{title} {}", parts.join(", ")))
    }

    /// An amount asked for by a strength, with the name that its substance has here.
    fn amount(&mut self, line: &Line, target: &Target, basis: Basis) -> Option<String> {
        let text = amount_text(line, basis)?;
        if target.is == AmountIs::Active {
            return Some(text);
        }
        let name = self.substance_name(target.substance);
        Some(format!("{} of {name}", text.rsplit_once(" of ")?.0))
    }

    fn material(&mut self, material: &Material) -> Option<()> {
        if material.faulty {
            return None;
        }
        let name = self.things.of(material.id, &material.name);
        let parts: Vec<String> = material.contains.iter().map(|part| self.part(part)).collect();
        if !parts.is_empty() {
            self.all.push(format!("contains {name} {}", parts.join(", ")));
        }
        let brought: Vec<String> = material.brings.iter().map(|part| self.part(part)).collect();
        if !brought.is_empty() {
            self.all.push(format!("brings {name} {}", brought.join(", ")));
        }
        let mut facts = Vec::new();
        facts.extend(material.title.as_ref().map(|title| format!("name {}", quoted(title))));
        if let Some(measured) = &material.measured_ph {
            let at = measured.at.as_ref().map(|at| format!(" at {} %", decimal(at))).unwrap_or_default();
            let ph = match measured.ph.is_point() {
                true => decimal(&measured.ph.low),
                false => format!("{} to {}", decimal(&measured.ph.low), decimal(&measured.ph.high)),
            };
            let capacity = measured.capacity.as_ref().map(|of| match of.is_point() {
                true => format!(" capacity {} mmol/g", decimal(&of.low)),
                false => format!(" capacity {} to {} mmol/g", decimal(&of.low), decimal(&of.high)),
            });
            facts.push(format!("as supplied pH {ph}{at}{}", capacity.unwrap_or_default()));
        }
        facts.extend(material.keeps.as_ref().map(|keeps| format!("keeps {}", time(keeps))));
        if !facts.is_empty() {
            self.all.push(format!("material {name} {}", facts.join(", ")));
        }
        Some(())
    }

    fn part(&mut self, part: &Component) -> String {
        let of = &part.strength;
        let strength = match of.is_point() {
            _ if part.undisclosed => String::new(),
            // What makes up for a range goes down where that goes up: two ranges would say less.
            point if part.remainder && !(point && is_decimal(&of.low)) => " remainder".to_string(),
            true => format!(" {} %", decimal(&of.low)),
            false => format!(" {} % to {} %", decimal(&of.low), decimal(&of.high)),
        };
        self.asked.push(part.substance);
        format!("{}{strength}{}", self.substance_name(part.substance), if part.active { " active" } else { "" })
    }

    fn substance_name(&mut self, id: DeclId) -> SmolStr {
        self.substances.of(id, &self.resolver.substance_name(id))
    }

    /// A statement for each substance spoken of that the shelf does not know, and for those that it leads to.
    fn substances(&mut self) {
        let mut at = 0;
        while let Some(id) = self.asked.get(at).copied() {
            at += 1;
            if !self.said.insert(id) {
                continue;
            }
            let Some(substance) = self.resolver.substance(id) else { continue };
            let name = self.substance_name(id);
            if self.substances.is_the_shelfs(id, &substance.name) {
                continue;
            }
            let facts = self.facts(&substance);
            let parting = if facts.is_empty() { "" } else { " " };
            self.all.push(format!("substance {name}{parting}{}", facts.join(", ")));
        }
    }

    /// What the pH and the names of a record ask of a substance.
    fn facts(&mut self, of: &Substance) -> Vec<String> {
        let mut facts = Vec::new();
        facts.extend(of.inci.as_ref().map(|inci| format!("inci {}", quoted(inci))));
        facts.extend(of.cas.as_ref().map(|cas| format!("cas {}", quoted(cas))));
        facts.extend(of.molar_mass.as_ref().map(|mass| format!("molar-mass {} g/mol", decimal(mass))));
        if let Some(AcidBase::Groups(groups)) = &of.acid_base
            && let Some((_, ion)) = groups.with
        {
            self.asked.push(ion);
        }
        facts.extend(of.acid_base.as_ref().map(|of| self.acid_base(of)));
        facts.extend(
            of.dissolves.iter().map(|(solvent, most, _)| format!("dissolves in {solvent} up to {} %", decimal(most))),
        );
        for binds in &of.binds {
            self.asked.push(binds.metal);
            let log_k: Vec<String> = binds.log_k.iter().map(decimal).collect();
            facts.push(format!("binds {} log K {}", self.substance_name(binds.metal), log_k.join(", ")));
        }
        facts.extend(of.hydroxide.as_ref().map(|of| format!("precipitates as hydroxide pKsp {}", ends(of))));
        for (acid, pksp) in &of.falls_out_with {
            self.asked.push(*acid);
            facts.push(format!("precipitates with {} pKsp {}", self.substance_name(*acid), ends(pksp)));
        }
        facts.extend(of.moves.iter().map(|of| {
            let (acids, bases) = (ends(&of.acids), ends(&of.bases));
            format!("moves pKa of acids by {acids}, of bases by {bases} at {} %", decimal(&of.share))
        }));
        if let Some(AcidBase::SolidBase(metal, _)) = &of.acid_base {
            self.asked.push(*metal);
        }
        if let Some(salt) = &of.salt {
            self.asked.extend([salt.of, salt.with]);
            let (acid, ion) = (self.substance_name(salt.of), self.substance_name(salt.with));
            facts.push(format!("salt of {acid} with {} {ion}", decimal(&salt.count)));
        }
        if let Some(into) = of.hydrolyses_to {
            self.asked.push(into);
            facts.push(format!("hydrolyses to {}", self.substance_name(into)));
        }
        facts.extend(of.water.as_ref().map(|water| format!("water {} %", decimal(water))));
        facts
    }

    fn acid_base(&mut self, of: &AcidBase) -> String {
        let list = |figures: &[Exact]| figures.iter().map(decimal).collect::<Vec<_>>().join(", ");
        let signed = |charge: &Exact| format!("{}{}", if charge.is_positive() { "+" } else { "" }, decimal(charge));
        match of {
            AcidBase::Acid(pka) => format!("acid pKa {}", list(pka)),
            AcidBase::Groups(groups) => {
                let with = groups.with.as_ref();
                let with = with.map(|(count, ion)| format!(" with {} {}", decimal(count), self.substance_name(*ion)));
                let end = |of: &Exact| decimal(of);
                format!(
                    "acid capacity {} mmol/g to {} mmol/g pKa {} to {}{}",
                    end(&groups.capacity.low),
                    end(&groups.capacity.high),
                    end(&groups.pka.low),
                    end(&groups.pka.high),
                    with.unwrap_or_default()
                )
            }
            AcidBase::SolidBase(metal, is_oxide) => {
                format!("{} of {}", if *is_oxide { "oxide" } else { "hydroxide" }, self.substance_name(*metal))
            }
            AcidBase::Base(pka) => format!("base pKa {}", list(pka)),
            AcidBase::Ampholyte(pka, charge) => format!("ampholyte pKa {} charge {}", list(pka), signed(charge)),
            AcidBase::StrongAcid => "strong acid".to_string(),
            AcidBase::StrongBase => "strong base".to_string(),
            AcidBase::Ion(charge) => format!("ion {}", signed(charge)),
            AcidBase::Neutral => "neutral".to_string(),
        }
    }
}

/// A range, or one figure.
fn ends(of: &Interval) -> String {
    match of.is_point() {
        true => decimal(&of.low),
        false => format!("{} to {}", decimal(&of.low), decimal(&of.high)),
    }
}

/// A stretch of time; in days where it is whole days.
fn time(of: &Duration) -> String {
    match of {
        Duration::Months(months) => format!("{} months", decimal(months)),
        Duration::Seconds(seconds) => match seconds.over(&Exact::whole(86_400)) {
            Some(days) if days.decimals() == Some(0) => format!("{days} d"),
            _ => format!("{} s", decimal(seconds)),
        },
    }
}
