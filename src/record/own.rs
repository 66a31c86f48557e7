//! What a plan says of the premixes, materials and substances that are not the shelf's: all that the batch, its pH and
//! its record will ever ask of them.

use super::freeze::{amount_text, decimal, is_decimal};
use super::quoted;
use crate::model::{AcidBase, Component, DeclId, Formula, Line, LineAmount, Material, Substance, Thing};
use crate::quantity::Exact;
use crate::resolve::Resolver;
use crate::shelf;
use rustc_hash::{FxHashMap, FxHashSet};
use smol_str::SmolStr;
use std::sync::Arc;

/// A statement for each premix, material and substance of a formula that the shelf does not know; none where an amount
/// in a premix is not known.
pub fn own(resolver: &Resolver<'_>, formula: &Formula) -> Option<Vec<String>> {
    let mut own =
        Own { resolver, things: Names::default(), substances: Names::default(), asked: Vec::new(), all: Vec::new() };
    let (premixes, materials) = own.things_of(formula);
    for premix in premixes {
        let statement = own.premix(&premix)?;
        own.all.push(statement);
    }
    for material in materials {
        own.material(&material);
    }
    own.substances();
    Some(own.all)
}

struct Own<'r, 's> {
    resolver: &'r Resolver<'s>,
    things: Names,
    substances: Names,
    /// The substances that something in the plan speaks of, each once.
    asked: Vec<DeclId>,
    all: Vec<String>,
}

/// What each thing is called in the plan: as it is declared. Of two that files apart call alike, as a home glycerin and
/// the shelf's inside a premix, the later gets a number.
#[derive(Default)]
struct Names {
    known: FxHashMap<DeclId, SmolStr>,
    taken: FxHashSet<SmolStr>,
}

impl Names {
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

impl Own<'_, '_> {
    /// The premixes and the materials of a formula that the shelf does not know, from the outside in, each once.
    fn things_of(&mut self, formula: &Formula) -> (Vec<Arc<Formula>>, Vec<Arc<Material>>) {
        let (mut premixes, mut materials): (Vec<Arc<Formula>>, Vec<Arc<Material>>) = (Vec::new(), Vec::new());
        let mut seen = FxHashSet::default();
        self.met(&formula.lines, &mut seen, &mut premixes, &mut materials);
        let mut at = 0;
        while let Some(premix) = premixes.get(at).map(Arc::clone) {
            self.met(&premix.lines, &mut seen, &mut premixes, &mut materials);
            at += 1;
        }
        (premixes, materials)
    }

    fn met(
        &mut self,
        lines: &[Line],
        seen: &mut FxHashSet<DeclId>,
        premixes: &mut Vec<Arc<Formula>>,
        materials: &mut Vec<Arc<Material>>,
    ) {
        for line in lines {
            self.asked.extend(line.target.as_ref().map(|target| target.substance));
            match &line.thing {
                Some(Thing::Premix(premix)) if seen.insert(premix.id) => {
                    self.things.of(premix.id, &premix.name);
                    premixes.push(Arc::clone(premix));
                }
                Some(Thing::Material(material)) if seen.insert(material.id) => {
                    self.things.of(material.id, &material.name);
                    if !self.things.is_the_shelfs(material.id, &material.name) {
                        materials.push(Arc::clone(material));
                    }
                }
                _ => {}
            }
        }
    }

    fn premix(&mut self, premix: &Formula) -> Option<String> {
        let mut parts = Vec::with_capacity(premix.lines.len());
        for line in &premix.lines {
            let name = match line.thing.as_ref()? {
                Thing::Material(material) => self.things.of(material.id, &material.name),
                Thing::Premix(inner) => self.things.of(inner.id, &inner.name),
            };
            let percent = || Some(decimal(line.percent.as_ref()?));
            parts.push(match (&line.amount, &line.target) {
                (LineAmount::AtBench, _) => format!("{name} q.s. to pH"),
                (LineAmount::QuantumSatis, _) => format!("{name} {} % q.s.", percent()?),
                (_, None) => format!("{name} {} %", percent()?),
                (_, Some(_)) => format!("{name} {} % {}", percent()?, amount_text(line, premix.basis)?),
            });
        }
        Some(format!("premix {} {}", self.things.of(premix.id, &premix.name), parts.join(", ")))
    }

    fn material(&mut self, material: &Material) {
        let name = self.things.of(material.id, &material.name);
        let parts: Vec<String> = material.contains.iter().map(|part| self.part(part)).collect();
        if !parts.is_empty() {
            self.all.push(format!("contains {name} {}", parts.join(", ")));
        }
        let mut facts = Vec::new();
        if let Some(measured) = &material.measured_ph {
            let at = measured.at.as_ref().map(|at| format!(" at {} %", decimal(at))).unwrap_or_default();
            facts.push(format!("as supplied pH {}{at}", decimal(&measured.ph)));
        }
        facts.extend(material.keeps.as_ref().map(|keeps| format!("keeps {} months", decimal(keeps))));
        if !facts.is_empty() {
            self.all.push(format!("material {name} {}", facts.join(", ")));
        }
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
        let mut seen = FxHashSet::default();
        let mut at = 0;
        while let Some(id) = self.asked.get(at).copied() {
            at += 1;
            if !seen.insert(id) {
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
        facts.extend(of.acid_base.as_ref().map(acid_base));
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
}

fn acid_base(of: &AcidBase) -> String {
    let list = |figures: &[Exact]| figures.iter().map(decimal).collect::<Vec<_>>().join(", ");
    let signed = |charge: &Exact| format!("{}{}", if charge.is_positive() { "+" } else { "" }, decimal(charge));
    match of {
        AcidBase::Acid(pka) => format!("acid pKa {}", list(pka)),
        AcidBase::Base(pka) => format!("base pKa {}", list(pka)),
        AcidBase::Ampholyte(pka, charge) => format!("ampholyte pKa {} charge {}", list(pka), signed(charge)),
        AcidBase::StrongAcid => "strong acid".to_string(),
        AcidBase::StrongBase => "strong base".to_string(),
        AcidBase::Ion(charge) => format!("ion {}", signed(charge)),
        AcidBase::Neutral => "neutral".to_string(),
    }
}
