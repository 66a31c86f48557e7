//! The store room: what is on hand, by material and lot, and what to buy for what is planned.
//!
//! [`StoreRoom::of`] adds up what was counted, bought, made and used; [`Needs`] are those of all that is planned;
//! [`ShoppingList::of`] finds the packs that cover what is short for the least money ([`cheapest`]).

mod account;
mod buying;
mod list;
mod moved;
mod need;
mod packs;
mod room;
mod unread;
mod vessels;
mod whole;

pub use account::{Account, Lacked, Lot, Moved, Movement};
pub use buying::PlannedBatch;
pub use list::{Bought, Kind, NotBought, Offer, PackToBuy, Row, ShoppingList, Wanted};
pub use need::{Need, Needs};
pub use packs::{Pack, Purchase, cheapest};
pub use room::{StoreRoom, Thing};
pub use unread::not_read;
pub use whole::make_formulas;
