//! One statement, parsed alone: its nodes with places of their own, wherever in a file it stands.
//!
//! [`Memo`] sees that each text is parsed once, [`token`] takes it apart for the layout, and [`fault`] says in trade
//! words what was expected where one does not parse.

pub mod fault;
mod loose;
mod memo;
mod node;
mod shape;
mod slip;
pub mod token;

pub use memo::Memo;
pub use node::{Node, Nodes, Parse};
