//! Stillroom.
pub mod check;
pub mod cli;
pub mod diagnostic;
pub mod plan;
pub mod quantity;
pub mod shelf;
pub mod syntax;
pub mod model;
pub mod render;
pub mod resolve;
pub mod workspace;
