//! What a material costs, where a maker's file says it.

use crate::model::{Material, Pack};
use crate::quantity::Exact;
use crate::resolve::Resolver;

/// A price as it is stated, of the first pack that is.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Price {
    /// For a gram.
    pub per_gram: Exact,
    /// In which money.
    pub currency: String,
    /// As it is written: `18.40 EUR per 500 g`.
    pub written: String,
}

/// The price of a material, its own or that of the one it is like. None where nobody says it, or where it is for a
/// volume and the density is not known.
#[must_use]
pub fn price_of(resolver: &Resolver<'_>, material: &Material) -> Option<Price> {
    let Pack { price, size, place } = material.packs.first()?;
    let grams = size.grams(material.density.as_ref())?;
    let written = resolver.sources.at(*place).to_string();
    Some(Price { per_gram: price.amount.over(&grams)?, currency: price.currency.to_string(), written })
}
