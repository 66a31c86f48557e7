//! The index of the shelf, made by `build.rs` from its files.

use super::entry::ShelfKind::{Group, Material, Rule, Substance};
use super::entry::{ShelfEntry, ShelfFile, ShelfRule};
use crate::syntax::vocabulary::Market::*;

include!(concat!(env!("OUT_DIR"), "/shelf_index.rs"));
