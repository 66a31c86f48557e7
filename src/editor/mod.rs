//! The server an editor speaks to: faults as one types, weights beside the lines, help where the cursor is.
//!
//! [`serve`] answers one client over a connection, from one [`Session`](crate::session::Session) over all its folders. A
//! request is a plain function of what stands there ([`Standing`]) in `requests.rs`; `serve.rs` alone knows of order,
//! changes and cancelling.

mod actions;
mod addresses;
mod answers;
mod capabilities;
mod client;
pub mod complete;
mod diagnostics;
mod documents;
mod edits;
mod formatting;
pub mod hierarchy;
pub mod hints;
pub mod hover;
mod inbox;
pub mod known;
mod lens;
pub mod navigate;
pub mod occurrences;
pub mod outline;
mod positions;
mod refusal;
pub mod rename;
mod requests;
mod serve;
mod sheet_beside;
pub mod signature;
mod standing;
pub mod surveys;
pub mod tokens;
mod transport;
mod workroom;

pub use addresses::{address_of, path_of};
pub use client::Client;
pub use documents::{Document, Documents};
pub use positions::{Encoding, Positions};
pub use refusal::Refusal;
pub use serve::{End, serve};
pub use sheet_beside::SHOW_SHEET;
pub use standing::Standing;
pub use transport::over;
pub use workroom::Surroundings;
