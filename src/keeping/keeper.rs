//! Who writes: the files as they are seen, what is done where another writes too, and who is told what came of it.

use super::not_kept::{Against, NotKept};
use crate::diagnostic::Diagnostic;
use crate::workspace::{Sources, World};
use std::path::PathBuf;

/// What is done where another program holds a folder for longer than any writing takes.
#[derive(Clone, Copy)]
pub enum Patience<'p> {
    /// It is waited for, and this is told first.
    Waits(&'p dyn Fn(&str)),
    /// Nothing is written.
    GivesUp,
}

impl Patience<'_> {
    /// Whether it is waited for.
    pub(super) fn waits(self, sentence: &str) -> Result<(), NotKept> {
        match self {
            Patience::Waits(told) => {
                told(&format!("{sentence} Waiting for it."));
                Ok(())
            }
            Patience::GivesUp => {
                Err(NotKept::new(Against::Busy, format!("{sentence} Nothing was written. Try again in a moment.")))
            }
        }
    }
}

/// Who writes.
#[derive(Clone)]
pub struct Keeper<'k> {
    /// The files as they are read.
    pub world: &'k dyn World,
    /// The folder from which paths are told.
    pub seen_from: Option<PathBuf>,
    /// What is done where another writes too.
    pub patience: Patience<'k>,
}

/// Who is told what came of it, in the order in which it is to be read.
pub trait Teller {
    /// What is wrong, or worth a word, with the files that it is about.
    fn faults(&mut self, sources: &Sources, faults: &[Diagnostic]);

    /// A sentence or several, each line with its end.
    fn words(&mut self, words: &str);
}
