//! The chemistry: pH against published standards and an outside engine.

#[path = "../common/mod.rs"]
mod common;

mod beyond_solutions;
mod chemistry;
mod chemistry_properties;
mod foreseen;
mod metals_and_solvents;
mod ph_command;
mod ph_formulas;
mod said_and_figures;
mod titrated;
