//! What a batch, a hundred grams and a container cost, and a price.
//!
//! [`of`] prices a formula, [`of_batch`] the record of a batch. All sums are exact until they are printed; two currencies
//! are never added without a rate, and what has no price is listed and never counted as nothing.

mod cautions;
mod coin;
mod exchange;
mod fill;
mod filling;
mod materials;
mod packs;
mod paid;
mod parts;
mod price;
mod reckoning;
mod sum;
mod vessel;
mod whole;

pub use coin::{coin_of, to_coin};
pub use exchange::{Exchange, rate_words};
pub use fill::Fill;
pub use filling::Filled;
pub use materials::{CostLine, CostPart, Materials, Missing};
pub use packs::{NoPrice, UnitPrice, size_text};
pub use paid::Paid;
pub use price::{Price, Shares};
pub use reckoning::{of, of_batch};
pub use sum::Sum;
pub use vessel::content_words;
pub use whole::{Cost, Packed, Piece};
