//! All that a batch costs.

use super::filling::Filled;
use super::materials::{Materials, Missing};
use super::packs::{NoPrice, UnitPrice};
use super::paid::Paid;
use super::price::{Price, Shares};
use super::sum::Sum;
use crate::model::{Content, Rate};
use crate::quantity::{Currency, Exact};
use smol_str::SmolStr;
use std::collections::BTreeMap;

/// What a batch costs, and what comes of it. Every sum is in [`Cost::currency`].
#[derive(Clone, Debug)]
pub struct Cost {
    /// The formula.
    pub formula: SmolStr,
    /// What it is called.
    pub title: Option<SmolStr>,
    /// Its version.
    pub version: Option<SmolStr>,
    /// The record of a batch that it is the cost of; none where it is of the formula.
    pub batch: Option<SmolStr>,
    /// The day that rates are read on.
    pub day: SmolStr,
    /// The currency of every sum; none where nothing has a price.
    pub currency: Option<Currency>,
    /// The rates that were used, in the order of their currencies.
    pub rates: Vec<Rate>,
    /// What there is to fill, in grams: the batch, or what came out of it.
    pub grams: Exact,
    /// The finest step of the scales, in grams.
    pub step: Exact,
    /// What the materials cost.
    pub materials: Materials,
    /// That for a hundred grams of the batch.
    pub per_100g: Option<Sum>,
    /// The work on it.
    pub labour: Vec<Paid>,
    /// What else is paid for the batch.
    pub fees: Vec<Paid>,
    /// What labour comes to.
    pub labour_sum: Exact,
    /// What the fees for the batch come to.
    pub fees_sum: Exact,
    /// Materials, labour and fees together.
    pub whole: Sum,
    /// What has no price, or none that can be added: materials, work and fees.
    pub missing: Vec<Missing>,
    /// What could not be added, in its own money.
    pub other: BTreeMap<Currency, Exact>,
    /// What one container costs; none where nothing says what it is filled into.
    pub piece: Option<Piece>,
    /// What is to be said beside the figures.
    pub cautions: Vec<String>,
}

/// What one container costs, and its price.
#[derive(Clone, Debug)]
pub struct Piece {
    /// What it holds by name.
    pub content: Content,
    /// How many there are.
    pub filled: Filled,
    /// What it is packed in.
    pub packing: Vec<Packed>,
    /// What that comes to.
    pub packing_sum: Exact,
    /// What is paid for each.
    pub fees: Vec<Paid>,
    /// What that comes to.
    pub fees_sum: Exact,
    /// What one costs in all; none where not one is full.
    pub cost: Option<Sum>,
    /// What a price has to carry beside it.
    pub shares: Shares,
    /// The price; none where the formula says nothing of one.
    pub price: Option<Price>,
    /// The same at the most that may be weighed to the pH; none where nothing is.
    pub price_at_most: Option<Price>,
    /// The margin that was asked for, in percent; none where a price is given.
    pub margin: Option<Exact>,
}

/// What a piece is packed in.
#[derive(Clone, Debug)]
pub struct Packed {
    /// The container; what it would hold, where none is known.
    pub name: SmolStr,
    /// Its price.
    pub price: Result<UnitPrice, NoPrice>,
}

impl Cost {
    /// Whether everything that is paid for has a price.
    #[must_use]
    pub fn is_complete(&self) -> bool {
        self.missing.is_empty() && self.piece.as_ref().is_none_or(Piece::is_complete)
    }
}

impl Piece {
    /// Whether all that it is packed in, and all that is paid for it, has a price.
    #[must_use]
    pub fn is_complete(&self) -> bool {
        self.packing.iter().all(|packed| packed.price.is_ok()) && self.fees.iter().all(|paid| paid.cost.is_some())
    }

    /// What of it has no price: the names.
    pub fn missing(&self) -> impl Iterator<Item = (&SmolStr, String)> {
        let packing =
            self.packing.iter().filter_map(|packed| Some((&packed.name, packed.price.as_ref().err()?.words())));
        let fees = self.fees.iter().filter(|paid| paid.cost.is_none());
        packing.chain(fees.map(|paid| (&paid.what, format!("no rate from {}", paid.money.currency))))
    }
}
