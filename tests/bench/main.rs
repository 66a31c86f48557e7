//! At the bench: plans, sheets, corrections, set-backs, records, lots.

#[path = "../common/mod.rs"]
mod common;
#[path = "../../benches/workshop/mod.rs"]
mod workshop;

mod advise;
mod as_made;
mod asked;
mod bench;
mod check_meter;
mod first_weighing;
mod formula_gone;
mod frozen_steps;
mod hand_calculation;
mod left_over;
mod plans;
mod played;
mod record;
mod record_document;
mod setbacks;
mod simulated;
mod struck;
mod trace;
mod ways_back;
mod ways_on;
mod worked_examples;
