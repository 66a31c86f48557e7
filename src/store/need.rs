//! What is needed for all that is planned: of each material what is weighed of it, of each container how many.
//!
//! The weights are those of the sheet. A premix is taken from what is on hand of it; what is missing is to be made first,
//! and its parts are needed for that, in their exact shares.

use super::list::Kind;
use super::room::{StoreRoom, Thing};
use crate::model::{DeclId, Formula, Line, LineAmount, LineMaterial, Material};
use crate::quantity::Exact;
use crate::sheet::Plan;
use crate::sheet::ph::Outlook;
use smol_str::SmolStr;
use std::cmp::Reverse;
use std::collections::BTreeMap;
use std::sync::Arc;

/// What is needed.
#[derive(Clone, Debug, Default)]
pub struct Needs {
    /// Of each material and container, how much.
    pub of: BTreeMap<Thing, Need>,
    /// Of each premix, what is to be made of it first.
    pub make_first: BTreeMap<SmolStr, Exact>,
    /// What is not known, in sentences.
    pub notes: Vec<String>,
    /// What is counted as the most that may be needed, in sentences.
    pub at_most: Vec<String>,
    /// The premixes that are needed, those that stand in others after them.
    premixes: BTreeMap<PremixKey, (Arc<Formula>, Exact)>,
}

/// How deep a premix is, its name, and its declaration.
type PremixKey = (Reverse<usize>, SmolStr, DeclId);

/// What is needed of one thing.
#[derive(Clone, Debug)]
pub struct Need {
    /// How much: grams, or how many.
    pub amount: Exact,
    /// What it is.
    pub kind: Kind,
    /// The declarations that lines mean by its name.
    pub materials: Vec<Arc<Material>>,
}

impl Needs {
    /// Adds what a batch of a formula asks for: of what is weighed to the pH the most that is foreseen, and where nothing
    /// is, all that is held back for it.
    pub fn add_batch(&mut self, formula: &Formula, plan: &Plan, foreseen: Option<&Outlook>) {
        for (at, (line, weight)) in formula.lines.iter().zip(&plan.lines).enumerate() {
            if line.amount != LineAmount::AtBench {
                self.add_line(formula, line, weight.printed.clone());
                continue;
            }
            let held = formula.reserve_of(line).and_then(|from| plan.lines.get(from)?.held.as_ref());
            let held = held.map(|held| held.held_back.clone());
            let most = foreseen.and_then(|of| most_foreseen(of, at, plan)).map(|most| most.up_to_step(&weight.step));
            let within = most.filter(|most| held.as_ref().is_none_or(|held| most <= held));
            if let Some(held) = held.as_ref().filter(|_| within.is_none()) {
                self.all_held_back(formula, line, held);
            }
            self.add_line(formula, line, within.or(held));
        }
    }

    /// All that is held back is counted of an adjuster: that is said, since it may be many times what it takes.
    fn all_held_back(&mut self, formula: &Formula, line: &Line, held: &Exact) {
        self.at_most.push(format!(
            "Of `{}` at most {} g are counted for `{}`, the whole of what is held back; a beaker test tells how much it \
             takes.",
            line.name,
            held.to_significant(6),
            formula.name
        ));
    }

    /// Adds so many containers of a name.
    pub fn add_containers(&mut self, name: &SmolStr, count: &Exact) {
        let thing = Thing { name: name.clone(), is_container: true };
        let need = self.of.entry(thing);
        let need = need.or_insert(Need { amount: Exact::ZERO, kind: Kind::Container, materials: Vec::new() });
        need.amount = &need.amount + count;
    }

    fn add_line(&mut self, formula: &Formula, line: &Line, grams: Option<Exact>) {
        let Some(grams) = grams else {
            self.notes.push(format!(
                "How much `{}` takes of `{}` is not known before it is weighed to the pH: nothing is held back for it.",
                formula.name, line.name
            ));
            return;
        };
        match &line.material {
            Some(LineMaterial::Material(material)) => self.add_material(&line.name, material, &grams),
            Some(LineMaterial::Premix(premix)) => {
                let key = (Reverse(premix.depth), line.name.clone(), premix.id);
                let need = self.premixes.entry(key).or_insert((Arc::clone(premix), Exact::ZERO));
                need.1 = &need.1 + &grams;
            }
            None => {}
        }
    }

    fn add_material(&mut self, name: &SmolStr, material: &Arc<Material>, grams: &Exact) {
        let need = self.of.entry(Thing::weighable(name));
        let need = need.or_insert(Need { amount: Exact::ZERO, kind: Kind::Material, materials: Vec::new() });
        need.amount = &need.amount + grams;
        if !need.materials.iter().any(|known| known.id == material.id) {
            need.materials.push(Arc::clone(material));
        }
    }

    /// Takes premixes from what is on hand, the outermost first, and asks for the parts of those that are to be made.
    #[must_use]
    pub fn with_premixes_made(mut self, room: &StoreRoom) -> Needs {
        let mut on_hand: BTreeMap<SmolStr, Exact> = BTreeMap::new();
        while let Some(((_, name, ..), (premix, grams))) = self.premixes.pop_first() {
            let left = on_hand.entry(name.clone()).or_insert_with(|| room.on_hand(&Thing::weighable(&name)).0);
            let taken = grams.clone().min(left.clone());
            *left = &*left - &taken;
            let short = &grams - &taken;
            if !short.is_positive() {
                continue;
            }
            let to_make = self.make_first.entry(name).or_default();
            *to_make = &*to_make + &short;
            for line in &premix.lines {
                let share = share_of(&premix, line).map(|percent| &percent.hundredth() * &short);
                if let Some(held) = share.as_ref().filter(|_| line.amount == LineAmount::AtBench) {
                    self.all_held_back(&premix, line, held);
                }
                self.add_line(&premix, line, share);
            }
        }
        self
    }
}

/// The most that is foreseen of the line of a number, in grams: the upper end of its largest dose that is told. None where
/// no dose is.
fn most_foreseen(outlook: &Outlook, line: usize, plan: &Plan) -> Option<Exact> {
    let adjuster = outlook.adjusters.iter().find(|adjuster| adjuster.line == line)?;
    let told = adjuster.told();
    let ends = [told.near, told.middle, told.far].into_iter().zip(adjuster.ranges);
    let highest = ends.filter_map(|(dose, range)| Some(range.and_then(|range| range.high)?.max(dose?)));
    let per_100_g = highest.reduce(f64::max).filter(|most| most.is_finite() && *most > 0.0)?;
    let grams = per_100_g * plan.total.to_f64() / 100.0;
    Some(Exact::ratio((grams * 1e6).ceil() as i64, 1_000_000))
}

/// The percentage of a line in its premix; of an adjuster, that of what is held back for it at the most.
fn share_of(premix: &Formula, line: &Line) -> Option<Exact> {
    if line.amount != LineAmount::AtBench {
        return line.percent.clone();
    }
    premix.lines.get(premix.reserve_of(line)?)?.hold_back.as_ref()?.percent.clone()
}
