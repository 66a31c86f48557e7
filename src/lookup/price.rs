//! What a material costs, where a maker's file says it.

use crate::model::{DeclId, Material};
use crate::quantity::{Dimension, Exact};
use crate::resolve::{Evaluator, Resolver};
use crate::syntax::tree::{Item, MaterialField, PriceBreak};

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

/// So many materials are looked at that are like one another.
const MAX_LIKE: usize = 100;

/// The price of a material, or of the one it is like where it says none. None where nobody says it, or where it is
/// for a volume and the density is not known.
#[must_use]
pub fn price_of(resolver: &Resolver<'_>, material: &Material) -> Option<Price> {
    let mut like = Some(material.id);
    for _ in 0..MAX_LIKE {
        let id = like?;
        if let Some(price) = stated(resolver, id, material) {
            return Some(price);
        }
        like = resolver.material(id)?.like;
    }
    None
}

fn stated(resolver: &Resolver<'_>, id: DeclId, material: &Material) -> Option<Price> {
    let Item::Material(declared) = resolver.scopes.item(id)? else { return None };
    let breaks = declared.facts.iter().filter_map(|fact| match &fact.field {
        MaterialField::Price(breaks) => Some(breaks),
        _ => None,
    });
    let PriceBreak { price, per } = breaks.flatten().next()?;
    let text = resolver.sources.text(id.file);
    let evaluator = Evaluator { file: id.file, text };
    let (money, amount) = (evaluator.quantity(price)?, evaluator.quantity(per)?);
    let grams = match amount.dimension {
        Dimension::Mass => amount.value,
        Dimension::Volume => &amount.value * material.density.as_ref()?,
        _ => return None,
    };
    let currency = String::from_utf8(money.currency?.to_vec()).ok()?;
    let written = format!("{} per {}", price.span.of(text), per.span.of(text));
    Some(Price { per_gram: money.value.over(&grams)?, currency, written })
}
