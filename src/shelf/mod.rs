//! The built-in shelf: substances, materials and rules, written in the language itself.
//!
//! The files are embedded as text. `build.rs` makes an index of them, by `make`, which says which declaration stands
//! where, so that only the slices that a file reaches for are ever parsed.

mod edition;
mod entry;
mod ethanol;
mod find;
mod index;
#[cfg(test)]
mod make;
mod rules;

pub use edition::{EDITION, EDITION_DATE};
pub use entry::{ShelfEntry, ShelfFile, ShelfKind, ShelfRule, everyday_key};
pub use ethanol::ethanol_by_weight;
pub use find::{called_every_day, file_by_name, find, find_anywhere, item};
pub use index::{ENTRIES, EVERYDAY_NAMES, FILES, RULE_KEYS, RULES, RULES_FOR_ALL, SUBSTANCE_KEYS};
pub use rules::{days_of, grown_out_of, has_rules, rules_by_key, substance_by_key};
