//! Stillroom.
pub mod diagnostic;
pub mod quantity;
pub mod shelf;
pub mod syntax;
pub mod workspace;
