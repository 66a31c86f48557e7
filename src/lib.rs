//! Stillroom: formulas as text, turned into exact batch sheets, or a message that says which line is wrong.
//!
//! The phases, in the order in which data flows, each with its way in:
//!
//! 1. [`workspace::load`] reads the files named and all they `use`.
//! 2. [`syntax::parse`] turns a text into a tree with spans; what does not parse becomes a diagnostic.
//! 3. [`resolve::Resolver`] looks names up and works figures out, into the plain data of [`model`].
//! 4. [`lookup`] answers what the shelf knows under a name, and what could stand in for a material.
//! 5. [`plan::plan`] turns percentages into the weights on a scale.
//! 6. [`predict::outlook`] foresees the pH, by the [`chemistry`] of mixtures.
//! 7. [`check::check`] runs all of it over a session, and every check over every formula.
//! 8. [`why::why`] retells how a figure came about.
//! 9. [`record`] makes a statement of a batch out of words, and says where it goes.
//! 10. [`render`] turns the outcome into text.
//!
//! [`quantity`] and [`diagnostic`] are the words they all share; [`shelf`] is what the language knows by itself.
//! A module knows those before it and none after.

#![warn(missing_docs)]
#![deny(
    clippy::disallowed_methods,
    clippy::indexing_slicing,
    clippy::iter_over_hash_type,
    clippy::panic,
    clippy::print_stderr,
    clippy::print_stdout,
    clippy::todo,
    clippy::unimplemented,
    clippy::unreachable,
    clippy::unwrap_used,
    clippy::expect_used
)]
#![cfg_attr(test, allow(clippy::disallowed_methods, reason = "tests write files of their own"))]

pub mod batch;
pub mod check;
pub mod chemistry;
pub mod cli;
pub mod diagnostic;
pub mod fix;
pub mod lookup;
pub mod model;
pub mod quantity;
pub mod render;
pub mod resolve;
pub mod session;
pub mod sheet;
pub mod shelf;
pub mod syntax;
pub mod versions;
pub mod why;
pub mod workspace;
