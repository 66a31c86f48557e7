//! What is compared of a material.

use crate::model::{Component, DeclId, Material, Substance};
use crate::quantity::{Exact, Interval};
use crate::resolve::Resolver;
use crate::syntax::vocabulary::Charge;
use std::sync::Arc;

/// What is compared of a material.
pub(super) struct Profile {
    /// The material.
    pub material: Arc<Material>,
    /// What `active` speaks of in it.
    pub active: Option<(Component, Arc<Substance>)>,
    /// What it contains.
    pub parts: Vec<(Component, Arc<Substance>)>,
    /// How much of it a finished product may have, as supplied.
    pub usage: Option<Interval>,
}

impl Profile {
    pub fn of(resolver: &Resolver<'_>, material: Arc<Material>) -> Profile {
        let with_substance = |part: &Component| Some((part.clone(), resolver.substance(part.substance)?));
        let active = resolver.active_of(&material).and_then(with_substance);
        let parts = material.contains.iter().filter_map(with_substance).collect();
        let usage = usage_as_supplied(&material, active.as_ref().map(|(component, _)| component));
        Profile { material, active, parts, usage }
    }

    fn active_id(&self) -> Option<DeclId> {
        self.active.as_ref().map(|(component, _)| component.substance)
    }

    /// Whether both have the same active.
    pub fn has_active_of(&self, other: &Profile) -> bool {
        self.active_id().is_some() && self.active_id() == other.active_id()
    }

    /// Whether the actives are one acid or base and its salts, or turn into the same thing in water.
    pub fn is_kin_of(&self, other: &Profile) -> bool {
        let root = |profile: &Profile| {
            let (component, substance) = profile.active.as_ref()?;
            let salt_of = substance.salt.as_ref().map(|salt| salt.of);
            salt_of.or(substance.hydrolyses_to).or(Some(component.substance))
        };
        root(self).is_some() && root(self) == root(other)
    }

    /// Its charge: that of the part in it which is pickiest about what stands beside it.
    pub fn charge(&self) -> Option<Charge> {
        let charges = || self.parts.iter().filter_map(|(_, substance)| substance.charge);
        let pickiest = [Charge::Cationic, Charge::Anionic, Charge::Amphoteric, Charge::NonIonic];
        pickiest.into_iter().find(|charge| charges().any(|other| other == *charge))
    }

    /// The pH at which it works, within 0 to 14.
    pub fn ph_span(&self) -> Option<Interval> {
        let range = self.material.works_in.as_ref()?;
        let (low, high) = (range.low.clone().unwrap_or(Exact::ZERO), range.high.clone().unwrap_or(Exact::whole(14)));
        Some(Interval::new(low, high))
    }

    /// Where it melts, in degrees Celsius: halfway through its range.
    pub fn melts_at(&self) -> Option<Exact> {
        let range = self.material.melts.as_ref()?;
        let (low, high) = (range.low.as_ref().or(range.high.as_ref())?, range.high.as_ref().or(range.low.as_ref())?);
        Some(Interval::new(low.clone(), high.clone()).middle())
    }
}

/// A usage of the active as a usage of the material, by the middle of its strength.
fn usage_as_supplied(material: &Material, active: Option<&Component>) -> Option<Interval> {
    let usage = material.usual_usage()?;
    let strength = if usage.active { active.map(|component| component.strength.middle()) } else { None };
    let as_supplied = |end: &Exact| match &strength {
        Some(strength) => (end * &Exact::HUNDRED).over(strength),
        None => Some(end.clone()),
    };
    let low = usage.range.low.as_ref().map_or(Some(Exact::ZERO), as_supplied)?;
    let high = usage.range.high.as_ref().map_or(Some(Exact::HUNDRED), as_supplied)?;
    Some(Interval::new(low, high.min(Exact::HUNDRED)))
}
