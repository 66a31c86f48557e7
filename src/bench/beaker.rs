//! What the beaker holds at a moment of the record, as the chemistry sees it: adjuster on top of what was weighed.

use super::setting::Setting;
use crate::chemistry::Mixture;
use crate::model::{Batch, Happened, LineAmount};
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

/// What the beaker holds once so many events have happened.
#[must_use]
pub fn contents(resolver: &Resolver<'_>, setting: &Setting<'_>, batch: &Batch, events: usize) -> Contents {
    let resolver = setting.resolver(resolver);
    let adjuster = adjuster_of(setting);
    let mut found = Contents::default();
    for event in batch.events.iter().take(events) {
        let (name, grams) = match &event.what {
            Happened::Weighed(material, grams) | Happened::Added(material, grams, _) => {
                (&material.text, grams.to_f64())
            }
            Happened::ToppedUp { material, grams, to: false } => (&material.text, grams.to_f64()),
            _ => continue,
        };
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
    let id = resolver.scopes.find(batch.id.file, NameSet::Thing, name)?;
    match resolver.formula(id) {
        Some(premix) => Some(resolver.premix_in_water(&premix.formula)),
        None => Some(resolver.material_in_water(resolver.material(id)?.as_ref())),
    }
}
