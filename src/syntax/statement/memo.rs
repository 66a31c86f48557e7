//! Each statement parsed once, wherever it stands: `water  q.s.` opens a thousand formulas.

use super::Parse;
use crate::syntax::context::Context;
use rustc_hash::{FxBuildHasher, FxHashMap};
use std::hash::BuildHasher as _;
use std::sync::{Arc, Mutex, PoisonError};

/// Tables for the statements of one context: files are read on several threads, which should not wait for one another.
const TABLES: usize = 8;

/// The longest statement that is kept. Longer ones hardly stand twice.
const LONGEST: usize = 256;

/// How many statements a table keeps before it begins anew: a session may run for a day.
const MOST: usize = 1 << 16;

type Table = FxHashMap<Box<str>, Arc<Parse>>;

/// The statements parsed so far, by their text and where they stand.
#[derive(Debug)]
pub struct Memo {
    tables: Vec<Mutex<Table>>,
}

impl Default for Memo {
    fn default() -> Memo {
        Memo { tables: (0..Context::COUNT * TABLES).map(|_| Mutex::default()).collect() }
    }
}

impl Memo {
    /// Parses a statement; none where it does not parse.
    #[must_use]
    pub fn parse(&self, context: Context, text: &str) -> Option<Arc<Parse>> {
        if text.len() > LONGEST {
            return Parse::new(context.rule(), text).map(Arc::new);
        }
        let number = context as usize * TABLES + (FxBuildHasher.hash_one(text) >> 40) as usize % TABLES;
        let table = self.tables.get(number)?;
        if let Some(known) = table.lock().unwrap_or_else(PoisonError::into_inner).get(text) {
            return Some(Arc::clone(known));
        }
        let parse = Arc::new(Parse::new(context.rule(), text)?);
        let mut table = table.lock().unwrap_or_else(PoisonError::into_inner);
        if table.len() >= MOST {
            table.clear();
        }
        table.insert(text.into(), Arc::clone(&parse));
        Some(parse)
    }
}
