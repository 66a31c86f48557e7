//! The language: what texts mean, what is refused, how it is told and mended; the shelf and the rules of markets.

#[path = "../common/mod.rs"]
mod common;

mod as_it_is;
mod bad_input;
mod common_types;
mod documents;
mod examples;
mod expected_shelf;
mod followed;
mod format;
mod judged;
mod levels_follow_sources;
mod limits;
mod not_counted;
mod properties;
mod rules;
mod selling;
mod several;
mod shelf;
mod shelf_command;
mod shelf_figures;
mod silences;
mod slips;
mod source_form;
mod stand_in;
mod stands_alone;
mod steps;
mod suite;
mod sure_fixes;
mod unpreserved;
mod wording;
