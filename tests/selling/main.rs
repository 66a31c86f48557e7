//! From the jar back: the declaration, the cost, what to buy, and what is in the store room.

#[path = "../common/mod.rs"]
mod common;

mod assessor;
mod batch_codes;
mod buy;
mod changes;
mod cost;
mod cost_cases;
mod cost_properties;
mod declaration;
mod declaration_case;
mod declaration_order;
mod declaration_properties;
mod declaration_rules;
mod declaration_scents;
mod jar;
mod label_cautions;
mod label_command;
mod stock;
