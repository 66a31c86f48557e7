//! The language: what texts mean, what is refused, how it is told and mended; the shelf and the rules of markets.

#[path = "../common/mod.rs"]
mod common;

mod as_it_is;
mod bad_input;
mod documents;
mod examples;
mod format;
mod judged;
mod limits;
mod not_counted;
mod properties;
mod rules;
mod several;
mod shelf;
mod shelf_command;
mod shelf_figures;
mod silences;
mod slips;
mod stands_alone;
mod steps;
mod suite;
mod sure_fixes;
mod unpreserved;
mod wording;
