//! The parser that pest makes from `grammar/stillroom.pest`.

#![allow(missing_docs, reason = "pest makes the rules; the grammar itself is commented")]

use pest_derive::Parser;

#[derive(Parser)]
#[grammar = "../grammar/stillroom.pest"]
pub struct Grammar;
