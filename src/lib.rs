//! Stillroom.
pub mod diagnostic;
pub mod quantity;
pub mod syntax;
