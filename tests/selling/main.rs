//! From the jar back: the declaration, the cost, what to buy, and what is in the store room.
//! From the jar back: the cost of a batch and of a container.

#[path = "../common/mod.rs"]
mod common;

mod declaration;
mod declaration_case;
mod declaration_order;
mod declaration_properties;
mod declaration_rules;
mod declaration_scents;
mod cost;
mod cost_cases;
mod cost_properties;
