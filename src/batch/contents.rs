//! What the beaker holds at a moment of the record, as the chemistry sees it: adjuster on top of what was weighed.

use super::setting::Setting;
use super::weights::Weights;
use crate::chemistry::Mixture;
use crate::model::{Batch, DeclId, LineAmount};
use crate::resolve::{InWater, NameSet, Resolver};
use smol_str::SmolStr;
use std::sync::Arc;

/// The beaker, in absolute amounts.
#[derive(Clone, Debug, Default)]
pub struct Contents {
    /// Everything but adjuster.
    pub without_adjuster: Mixture,
    /// The adjuster in it, in grams.
    pub adjuster_grams: f64,
}

impl Contents {
    /// A share of it, which reads as the whole does.
    #[must_use]
    pub fn share(self, share: f64) -> Contents {
        Contents {
            without_adjuster: Mixture::default().plus(&self.without_adjuster, share),
            adjuster_grams: self.adjuster_grams * share,
        }
    }
}

/// What the beaker holds once so many events have happened.
#[must_use]
pub fn contents(resolver: &Resolver<'_>, setting: &Setting<'_>, batch: &Batch, events: usize) -> Contents {
    let resolver = setting.resolver(resolver);
    let adjuster = adjuster_of(setting);
    let mut found = Contents::default();
    for (name, grams) in &Weights::after(batch, events).parts {
        let grams = grams.to_f64();
        if adjuster.as_ref() == Some(name) {
            found.adjuster_grams += grams;
        } else if let Some(of) = in_water(resolver, batch, name) {
            found.without_adjuster = found.without_adjuster.plus(&of.mixture, grams);
        }
    }
    found
}

/// The line that is weighed to the pH; the first, where there are several.
#[must_use]
pub fn adjuster_of(setting: &Setting<'_>) -> Option<SmolStr> {
    let mut lines = setting.formula.lines.iter();
    lines.find(|line| line.amount == LineAmount::AtBench).map(|line| line.name.clone())
}

/// What a gram of the adjuster brings.
#[must_use]
pub fn adjuster_per_gram(resolver: &Resolver<'_>, setting: &Setting<'_>, batch: &Batch) -> Option<Mixture> {
    let of = in_water(setting.resolver(resolver), batch, &adjuster_of(setting)?)?;
    Some(of.mixture.clone())
}

/// What a gram of something that a record names brings to water.
pub(super) fn in_water(resolver: &Resolver<'_>, batch: &Batch, name: &str) -> Option<Arc<InWater>> {
    in_water_of(resolver, resolver.scopes.find(batch.id.file, NameSet::Weighable, name)?)
}

/// What a gram of something brings to water.
pub(super) fn in_water_of(resolver: &Resolver<'_>, id: DeclId) -> Option<Arc<InWater>> {
    match resolver.formula(id) {
        Some(premix) => Some(resolver.premix_in_water(&premix.formula)),
        None => Some(resolver.material_in_water(resolver.material(id)?.as_ref())),
    }
}
