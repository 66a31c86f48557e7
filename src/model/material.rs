//! A raw material as bought, with its strength.

use super::{DeclId, Duration};
use crate::diagnostic::Place;
use crate::quantity::{Exact, Interval, Range};
use crate::syntax::vocabulary::{Borne, Charge, Doing, MaterialPhase, Microbe, Product, Role};
use smol_str::SmolStr;
use std::ops::Deref;

/// A raw material.
#[derive(Clone, Debug)]
pub struct Material {
    /// Which declaration.
    pub id: DeclId,
    /// Its name.
    pub name: SmolStr,
    /// Where the name stands.
    pub place: Place,
    /// What it is called on a sheet.
    pub title: Option<SmolStr>,
    /// What it contains, in percent.
    pub contains: Vec<Component>,
    /// How much of it nobody has said, in percent.
    pub undisclosed: Interval,
    /// Whether `contains` was at fault, so that nothing is to be made of it.
    pub faulty: bool,
    /// What it is there for.
    pub roles: Vec<Role>,
    /// Where it belongs.
    pub phase: Option<MaterialPhase>,
    /// How much of it a finished product may have, by kind of product.
    pub usages: Vec<Usage>,
    /// At which pH it works.
    pub works_in: Option<PhRange>,
    /// Below which temperature it stays.
    pub stays_below: Option<Temperature>,
    /// Which temperature it needs.
    pub needs: Option<Temperature>,
    /// How much of it a solvent takes, in percent of the solvent's weight.
    pub dissolves: Vec<(SmolStr, Exact, Place)>,
    /// How long it hydrates, in seconds.
    pub hydrates: Option<Exact>,
    /// Its HLB.
    pub hlb: Option<Exact>,
    /// The HLB it requires.
    pub required_hlb: Option<Exact>,
    /// How long it keeps once opened.
    pub keeps: Option<Duration>,
    /// What it protects against.
    pub protects: Vec<Microbe>,
    /// What it is to be kept apart from.
    pub avoids: Vec<Avoid>,
    /// What it has in it by nature, in percent of its whole: counted by limits and rules, never an entry of its own.
    pub brings: Vec<Component>,
    /// What it is called beside its name.
    pub also: Vec<SmolStr>,
    /// What it does.
    pub does: Vec<Doing>,
    /// From where to where it melts, in degrees Celsius.
    pub melts: Option<Range<Exact>>,
    /// How much of something it bears before it collapses, in percent of the batch.
    pub bears: Vec<(Borne, Exact, Place)>,
    /// Where it says that it is highly unsaturated and soon rancid.
    pub turns_rancid: Option<Place>,
    /// Its density in g/mL.
    pub density: Option<Exact>,
    /// Its pH as measured.
    pub measured_ph: Option<MeasuredPh>,
    /// What to take care of.
    pub cautions: Vec<SmolStr>,
    /// What else is worth knowing.
    pub notes: Vec<SmolStr>,
    /// The material it is like.
    pub like: Option<DeclId>,
    /// Whether its `contains` is the shelf's own.
    pub contains_from_shelf: bool,
    /// Where those of its facts stand that have no place of their own.
    pub stated: Vec<(Stated, Place)>,
}

impl Material {
    /// Where a fact stands; none where nobody states it.
    #[must_use]
    pub fn stated_at(&self, fact: Stated) -> Option<Place> {
        self.stated.iter().find(|(known, _)| *known == fact).map(|(_, place)| *place)
    }
}

/// A fact of a material that a check may rest on.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Stated {
    /// `phase …`.
    Phase,
    /// `hlb …`.
    Hlb,
    /// `required-hlb …`.
    RequiredHlb,
    /// `keeps …`.
    Keeps,
    /// `protects against …`.
    Protects,
}

/// One component of a material.
#[derive(Clone, Debug)]
pub struct Component {
    /// The substance.
    pub substance: DeclId,
    /// How much of the material it is, in percent.
    pub strength: Interval,
    /// Whether no figure was given for it.
    pub undisclosed: bool,
    /// Whether it is what the others leave, so that its strength follows theirs.
    pub remainder: bool,
    /// Whether `active` speaks of it.
    pub active: bool,
    /// Where it stands.
    pub place: Place,
}

impl Material {
    /// How much of it a product of these kinds may have: of the ranges that speak of it the most particular one, and of
    /// equals the first.
    #[must_use]
    pub fn usage_in(&self, products: &[Product]) -> Option<&Usage> {
        let speaks = |usage: &&Usage| usage.products.iter().all(|product| products.contains(product));
        self.usages.iter().filter(speaks).rev().max_by_key(|usage| usage.products.len())
    }

    /// How much of it a product may have of which nothing more is known.
    #[must_use]
    pub fn usual_usage(&self) -> Option<&Usage> {
        self.usage_in(&[])
    }
}

/// `use RANGE [active] [in PRODUCT]`.
#[derive(Clone, Debug)]
pub struct Usage {
    /// From the least to the most, in percent of the finished product.
    pub range: Range<Exact>,
    /// Whether it speaks of the active.
    pub active: bool,
    /// The kinds of product it is for, all of them at once; none where it is for every other kind.
    pub products: Vec<Product>,
    /// Where it stands.
    pub place: Place,
}

/// `avoid with NAME [above P] [outside pH RANGE] because "…"`.
#[derive(Clone, Debug)]
pub struct Avoid {
    /// The name as written.
    pub name: SmolStr,
    /// What the name speaks of: one declared thing, every substance of a group, a role, a charge.
    pub with: Vec<Avoided>,
    /// Above how much of it, in percent of the finished product.
    pub above: Option<Exact>,
    /// Outside which pH.
    pub outside: Option<PhRange>,
    /// Why.
    pub because: SmolStr,
    /// Where it stands.
    pub place: Place,
}

/// What is to be kept apart from a material.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Avoided {
    /// A material, and those that are like it.
    Material(DeclId),
    /// A substance.
    Substance(DeclId),
    /// Every material of a role.
    Role(Role),
    /// Every substance of a charge.
    Charge(Charge),
}

/// A range of pH, and where it stands.
#[derive(Clone, Debug)]
pub struct PhRange {
    /// The range.
    pub range: Range<Exact>,
    /// Where it stands.
    pub place: Place,
}

impl Deref for PhRange {
    type Target = Range<Exact>;

    fn deref(&self) -> &Range<Exact> {
        &self.range
    }
}

impl PhRange {
    /// The range as it is written.
    #[must_use]
    pub fn words(&self) -> String {
        ph_words(&self.range)
    }
}

/// A range of pH as it is written.
#[must_use]
pub fn ph_words(range: &Range<Exact>) -> String {
    range.text(Exact::to_string).map_or("pH".to_string(), |range| format!("pH {range}"))
}

/// A temperature in degrees Celsius, and where it stands.
#[derive(Clone, Debug)]
pub struct Temperature {
    /// Degrees Celsius.
    pub celsius: Exact,
    /// Where it stands.
    pub place: Place,
}

/// `as supplied pH N [to N] [at P] [capacity C]`.
#[derive(Clone, Debug)]
pub struct MeasuredPh {
    /// The pH, from where to where.
    pub ph: Interval,
    /// How much of the material there was in water, in percent; none where it was measured as it is.
    pub at: Option<Exact>,
    /// How much acid or base it holds that gives way as the pH leaves the measured one, in mol/kg; none where nobody said.
    pub capacity: Option<Interval>,
}
