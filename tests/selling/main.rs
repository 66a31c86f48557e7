//! From the jar back: the declaration, the cost, what to buy, and what is in the store room.

#[path = "../common/mod.rs"]
mod common;

mod buy;
mod cost;
mod cost_cases;
mod cost_properties;
mod stock;
