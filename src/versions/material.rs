//! A raw material, a premix and a substance in names and words.

use super::line::line_meaning;
use super::meaning::{MaterialMeaning, NamedText, PartMeaning};
use super::words;
use crate::model::{AcidBase, Avoid, Component, Formula, LineMaterial, Material, Substance};
use crate::quantity::{Exact, Interval};
use crate::resolve::Resolver;
use crate::syntax::vocabulary::Role;
use rustc_hash::FxHashSet;

/// Each material and premix of a formula, through premixes, by name and once.
#[must_use]
pub fn materials(resolver: &Resolver<'_>, formula: &Formula) -> Vec<MaterialMeaning> {
    let mut found: Vec<MaterialMeaning> = Vec::new();
    let mut seen = FxHashSet::default();
    let mut waiting: Vec<&Formula> = vec![formula];
    while let Some(formula) = waiting.pop() {
        for line in &formula.lines {
            let id = match &line.material {
                Some(LineMaterial::Material(material)) => material.id,
                Some(LineMaterial::Premix(premix)) => premix.id,
                None => continue,
            };
            if !seen.insert(id) {
                continue;
            }
            match &line.material {
                Some(LineMaterial::Material(material)) => found.push(material_meaning(resolver, material)),
                Some(LineMaterial::Premix(premix)) => {
                    found.push(premix_meaning(resolver, premix));
                    waiting.push(premix);
                }
                None => {}
            }
        }
    }
    found
}

/// A raw material.
#[must_use]
pub fn material_meaning(resolver: &Resolver<'_>, material: &Material) -> MaterialMeaning {
    let part = |part: &Component| PartMeaning {
        substance: resolver.substance_name(part.substance),
        strength: (!part.undisclosed).then(|| part.strength.clone()),
        remainder: part.remainder,
    };
    let mut facts = facts(material);
    for part in material.contains.iter().chain(&material.brings) {
        // The shelf is the same on both sides: what stands beside it is what can have changed.
        if let Some(substance) =
            resolver.substance(part.substance).filter(|one| resolver.sources.home(one.id.file).is_some())
        {
            facts.extend(substance_facts(resolver, &substance));
        }
    }
    MaterialMeaning {
        name: material.name.to_string(),
        parts: material.contains.iter().map(part).collect(),
        brings: material.brings.iter().map(part).collect(),
        lines: Vec::new(),
        facts,
    }
}

/// A premix is its lines; its materials speak for themselves.
fn premix_meaning(resolver: &Resolver<'_>, premix: &Formula) -> MaterialMeaning {
    let lines = premix.lines.iter().map(|line| line_meaning(resolver, premix, line)).collect();
    MaterialMeaning { name: premix.name.to_string(), lines, ..MaterialMeaning::default() }
}

struct Facts {
    of: String,
    all: Vec<NamedText>,
}

impl Facts {
    fn say(&mut self, about: &str, says: Option<String>) {
        let what = self.of.clone();
        self.all.extend(says.map(|says| NamedText { what, about: Some(about.to_string()), says }));
    }

    fn say_list<'w>(&mut self, about: &str, list: impl Iterator<Item = &'w str>) {
        let mut list: Vec<&str> = list.collect();
        list.sort_unstable();
        self.say(about, (!list.is_empty()).then(|| list.join(", ")));
    }
}

fn facts(material: &Material) -> Vec<NamedText> {
    let mut facts = Facts { of: material.name.to_string(), all: Vec::new() };
    let text = |text: &Option<smol_str::SmolStr>| text.as_ref().map(ToString::to_string);
    let plain = |of: &Option<Exact>| of.as_ref().map(words::figure);
    facts.say("name", text(&material.title));
    facts.say_list("role", material.roles.iter().map(|role: &Role| role.word()));
    facts.say("phase", material.phase.map(|phase| phase.word().to_string()));
    for usage in &material.usages {
        let ends = words::range(&usage.range, |of: &Exact| format!("{} %", words::figure(of)));
        let says = if usage.active { format!("{ends} of its active") } else { ends };
        let products: Vec<&str> = usage.products.iter().map(|product| product.word()).collect();
        let about = if products.is_empty() { "use".to_string() } else { format!("use in {}", products.join(" ")) };
        facts.say(&about, Some(says));
    }
    facts.say("price", super::sold::packs(material));
    facts.say("works in pH", material.works_in.as_ref().map(words::window));
    let heat =
        |of: &Option<crate::model::Temperature>| of.as_ref().map(|of| format!("{} °C", words::figure(&of.celsius)));
    facts.say("stays below", heat(&material.stays_below));
    facts.say("needs", heat(&material.needs));
    for (solvent, limit, _) in &material.dissolves {
        facts.say(&format!("dissolves in {solvent}"), Some(format!("{} %", words::figure(limit))));
    }
    facts.say("hydrates", material.hydrates.as_ref().map(words::time));
    facts.say("hlb", plain(&material.hlb));
    facts.say("required-hlb", plain(&material.required_hlb));
    facts.say("keeps", material.keeps.as_ref().map(words::duration));
    facts.say_list("protects", material.protects.iter().map(|microbe| microbe.word()));
    for avoid in &material.avoids {
        facts.say(&format!("avoid with {}", avoid.name), Some(avoided(avoid)));
    }
    facts.say_list("also", material.also.iter().map(|name| name.as_str()));
    facts.say_list("does", material.does.iter().map(|doing| doing.word()));
    facts.say("melts", material.melts.as_ref().map(|of| words::range(of, |of| format!("{} °C", words::figure(of)))));
    for (borne, most, _) in &material.bears {
        facts.say(&format!("bears {}", borne.word()), Some(format!("{} %", words::figure(most))));
    }
    facts.say("turns rancid", material.turns_rancid.map(|_| "yes".to_string()));
    facts.say("density", material.density.as_ref().map(|density| format!("{} g/mL", words::figure(density))));
    facts.say(
        "pH as supplied",
        material.measured_ph.as_ref().map(|measured| match &measured.at {
            Some(at) => format!("{} at {} %", ends(&measured.ph, words::ph), words::figure(at)),
            None => ends(&measured.ph, words::ph),
        }),
    );
    let capacity = material.measured_ph.as_ref().and_then(|measured| measured.capacity.as_ref());
    facts.say("capacity", capacity.map(|of| format!("{} mmol/g", ends(of, words::figure))));
    facts.say("caution", joined(&material.cautions));
    facts.say("note", joined(&material.notes));
    facts.all
}

fn ends(of: &Interval, each: impl Fn(&Exact) -> String) -> String {
    match of.is_point() {
        true => each(&of.low),
        false => format!("{} to {}", each(&of.low), each(&of.high)),
    }
}

fn joined(all: &[smol_str::SmolStr]) -> Option<String> {
    (!all.is_empty()).then(|| all.join(" "))
}

fn avoided(avoid: &Avoid) -> String {
    let above = avoid.above.as_ref().map(|above| format!("above {} %", words::figure(above)));
    let outside = avoid.outside.as_ref().map(|range| format!("outside pH {}", words::window(range)));
    let parts: Vec<String> = above.into_iter().chain(outside).collect();
    if parts.is_empty() { "always".to_string() } else { parts.join(", ") }
}

fn substance_facts(resolver: &Resolver<'_>, substance: &Substance) -> Vec<NamedText> {
    let mut facts = Facts { of: substance.name.to_string(), all: Vec::new() };
    let text = |text: &Option<smol_str::SmolStr>| text.as_ref().map(ToString::to_string);
    facts.say("inci", text(&substance.inci));
    facts.say("us", text(&substance.us_name));
    facts.say("ci", text(&substance.colour_index));
    facts.say("cas", text(&substance.cas));
    facts.say("molar-mass", substance.molar_mass.as_ref().map(|mass| format!("{} g/mol", words::figure(mass))));
    facts.say("in water", substance.acid_base.as_ref().map(in_water));
    facts.say(
        "salt of",
        substance.salt.as_ref().map(|salt| {
            let (of, with) = (resolver.substance_name(salt.of), resolver.substance_name(salt.with));
            format!("{of} with {} {with}", words::figure(&salt.count))
        }),
    );
    for binds in &substance.binds {
        let log_k: Vec<String> = binds.log_k.iter().map(words::figure).collect();
        facts.say(
            &format!("binds {}", resolver.substance_name(binds.metal)),
            Some(format!("log K {}", log_k.join(", "))),
        );
    }
    let ends = |of: &Interval| format!("{} to {}", words::figure(&of.low), words::figure(&of.high));
    facts.say("precipitates as hydroxide", substance.hydroxide.as_ref().map(|of| format!("pKsp {}", ends(of))));
    for (acid, pksp) in &substance.falls_out_with {
        let name = resolver.substance_name(*acid);
        facts.say(&format!("precipitates with {name}"), Some(format!("pKsp {}", ends(pksp))));
    }
    for of in &substance.moves {
        let says = format!("of acids by {}, of bases by {}", ends(&of.acids), ends(&of.bases));
        facts.say(&format!("moves pKa at {} %", words::figure(&of.share)), Some(says));
    }
    facts.say("hydrolyses to", substance.hydrolyses_to.map(|to| resolver.substance_name(to)));
    facts.say("water", substance.water.as_ref().map(|water| format!("{} %", words::figure(water))));
    for (solvent, limit, _) in &substance.dissolves {
        facts.say(&format!("dissolves in {solvent}"), Some(format!("{} %", words::figure(limit))));
    }
    facts.say(
        "preserves",
        substance.preserves.as_ref().map(|preserves| format!("from {} % free", words::figure(&preserves.least))),
    );
    facts.say("spoils", substance.spoils_with_metals.then(|| "with metals".to_string()));
    facts.say("feeds", substance.feeds_microbes.then(|| "microbes".to_string()));
    facts.say("phototoxic", substance.phototoxic.as_ref().map(|(most, _)| format!("above {} %", words::figure(most))));
    facts.say_list("on the label", substance.marks.iter().map(|mark| mark.word()));
    facts.say("charge", substance.charge.map(|charge| charge.word().to_string()));
    facts.all
}

fn in_water(does: &AcidBase) -> String {
    let list = |pka: &[Exact]| pka.iter().map(words::figure).collect::<Vec<_>>().join(", ");
    match does {
        AcidBase::Acid(pka) => format!("acid, pKa {}", list(pka)),
        AcidBase::Groups(of) => format!(
            "acid groups, {} to {} mmol/g, pKa {} to {}",
            words::figure(&of.capacity.low),
            words::figure(&of.capacity.high),
            words::figure(&of.pka.low),
            words::figure(&of.pka.high)
        ),
        AcidBase::SolidBase(_, true) => "solid base, an oxide".to_string(),
        AcidBase::SolidBase(_, false) => "solid base, a hydroxide".to_string(),
        AcidBase::Base(pka) => format!("base, pKa {}", list(pka)),
        AcidBase::Ampholyte(pka, charge) => format!("ampholyte, pKa {}, charge {}", list(pka), words::figure(charge)),
        AcidBase::StrongAcid => "strong acid".to_string(),
        AcidBase::StrongBase => "strong base".to_string(),
        AcidBase::Ion(charge) => format!("ion, charge {}", words::figure(charge)),
        AcidBase::Neutral => "neutral".to_string(),
    }
}
