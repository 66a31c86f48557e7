//! From the jar back: the cost of a batch and of a container.

#[path = "../common/mod.rs"]
mod common;

mod cost;
mod cost_cases;
mod cost_properties;
