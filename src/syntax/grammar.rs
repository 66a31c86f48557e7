//! The parser that pest makes from `grammar/stillroom.pest`.
//!
//! pest is built without `std`: with it, it asks the system for the room left on the stack at every rule. What keeps
//! recursion short here is that brackets are counted before the grammar sees them (`MAX_NESTING`).

#![allow(missing_docs, reason = "pest makes the rules; the grammar itself is commented")]

use pest_derive::Parser;

#[derive(Parser)]
#[grammar = "../grammar/stillroom.pest"]
pub struct Grammar;
