//! What a formula says of its selling: what it is packed in, what is paid for it, and the price.

use super::DeclId;
use crate::diagnostic::Place;
use crate::quantity::{Exact, Money};
use smol_str::SmolStr;

/// The header lines of cost and price. None of them changes what is weighed.
#[derive(Clone, Debug, Default)]
pub struct Selling {
    /// Colourants of a range of shades.
    pub may_contain: Vec<Shade>,
    /// The containers of one piece, as they stand; empty where the line is left out.
    pub packed_in: Vec<Packing>,
    /// What of the batch stays in the pot, in percent, under 100.
    pub loss: Option<StatedLine<Exact>>,
    /// The work on a batch.
    pub labour: Vec<Labour>,
    /// What is paid beside it.
    pub fees: Vec<Fee>,
    /// How the price comes about.
    pub price: Option<StatedLine<Pricing>>,
    /// The tax on top of the price, in percent.
    pub vat: Option<StatedLine<Exact>>,
}

/// A figure of the header, and the line it stands in.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct StatedLine<T> {
    /// What is stated.
    pub value: T,
    /// The line.
    pub place: Place,
}

/// A colourant that may be in one shade or another.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Shade {
    /// The name as written.
    pub name: SmolStr,
    /// Where it stands.
    pub place: Place,
    /// The material of that name; none where a substance is named.
    pub material: Option<DeclId>,
    /// The substances that are meant: those of the material that are marked as colourants, or all of them where none
    /// is; or the one that is named.
    pub substances: Vec<DeclId>,
}

/// A container that a piece is packed in.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Packing {
    /// The container.
    pub id: DeclId,
    /// Its name.
    pub name: SmolStr,
    /// Where it is named.
    pub place: Place,
}

/// `labour TIME at M per UNIT`.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Labour {
    /// How long, in seconds.
    pub seconds: Exact,
    /// What is paid.
    pub pay: Money,
    /// For so many seconds.
    pub per: Exact,
    /// The line.
    pub place: Place,
}

impl Labour {
    /// What the work costs.
    #[must_use]
    pub fn cost(&self) -> Option<Money> {
        let amount = (&self.pay.amount * &self.seconds).over(&self.per)?;
        Some(Money { amount, currency: self.pay.currency })
    }
}

/// A fee.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Fee {
    /// How much, and of what.
    pub what: FeeAmount,
    /// Why it is paid.
    pub because: Option<SmolStr>,
    /// The line.
    pub place: Place,
}

/// How much a fee is.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum FeeAmount {
    /// For the whole batch.
    Batch(Money),
    /// For each container.
    Each(Money),
    /// In percent of the price paid, under 100.
    OfPrice(Exact),
}

/// How a price comes about.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Pricing {
    /// So much of the price without tax is to be left, in percent, under 100.
    Margin(Exact),
    /// The price paid, tax included.
    Price(Money),
}
