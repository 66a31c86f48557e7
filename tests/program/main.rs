//! The program: output for machines, terminals and pipes, derivations, comparisons and versions.

#[path = "../common/mod.rs"]
mod common;

mod book;
mod card;
mod diff;
mod diff_properties;
mod doses;
mod ends;
mod machine_formats;
mod one_definition;
mod output;
mod pages;
mod raw_text;
mod readme;
mod schemas;
mod session;
mod swaps;
mod versions;
mod watched;
mod why;
mod writers;
