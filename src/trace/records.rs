//! All batch records of a session, and which of them went into which.

use crate::model::{Batch, Happened};
use crate::quantity::Exact;
use smol_str::SmolStr;

/// A record, and where it stands.
#[derive(Clone, Debug)]
pub struct Record {
    /// The record.
    pub batch: Batch,
    /// The file it stands in.
    pub file: String,
}

/// The formula of a batch as it was when the batch was made, its lots as they were measured.
#[derive(Clone, Debug)]
pub struct AsItWas {
    /// The digest of it.
    pub digest: String,
    /// Each line with its percentage as supplied; none for what was weighed to the pH.
    pub lines: Vec<(SmolStr, Option<Exact>)>,
}

/// All records of a session, in the order of their files.
#[derive(Clone, Debug, Default)]
pub struct Records {
    /// The records.
    pub all: Vec<Record>,
}

impl Record {
    /// The codes that its jars bear; its name, where no jar bears any.
    #[must_use]
    pub fn codes(&self) -> Vec<SmolStr> {
        let codes: Vec<SmolStr> = self
            .batch
            .events
            .iter()
            .filter_map(|event| match &event.what {
                Happened::Filled { code, .. } => code.clone(),
                _ => None,
            })
            .collect();
        if codes.is_empty() { vec![self.batch.name.clone()] } else { codes }
    }

    /// Whether a code is one of its own: on a jar, or its name.
    #[must_use]
    pub fn bears(&self, code: &str) -> bool {
        self.batch.name.eq_ignore_ascii_case(code) || self.codes().iter().any(|own| own.eq_ignore_ascii_case(code))
    }

    /// What was complained of.
    pub fn complaints(&self) -> impl Iterator<Item = &SmolStr> {
        self.batch.events.iter().filter_map(|event| match &event.what {
            Happened::Complaint(said) => Some(said),
            _ => None,
        })
    }

    /// `released`, `rejected`, `filled` or `open`.
    #[must_use]
    pub fn standing(&self) -> &'static str {
        let has = |test: fn(&Happened) -> bool| self.batch.events.iter().any(|event| test(&event.what));
        if has(|what| matches!(what, Happened::Rejected(_))) {
            "rejected"
        } else if has(|what| matches!(what, Happened::Released)) {
            "released"
        } else if self.batch.is_filled() {
            "filled"
        } else {
            "open"
        }
    }
}

impl Records {
    /// The batch that a lot of a material was, where that material is a formula made in a batch of its own.
    #[must_use]
    pub fn made_of(&self, material: &str, code: &str) -> Option<usize> {
        self.all.iter().position(|record| {
            record.batch.formula.as_ref().is_some_and(|formula| formula.text == material) && record.bears(code)
        })
    }

    /// The batches that a record's lots were, and theirs, each once, nearest first.
    #[must_use]
    pub fn below(&self, number: usize) -> Vec<usize> {
        let mut found = vec![number];
        let mut at = 0;
        while let Some(record) = found.get(at).and_then(|number| self.all.get(*number)) {
            for lot in &record.batch.lots {
                if let Some(inner) = self.made_of(&lot.material.text, &lot.code).filter(|inner| !found.contains(inner))
                {
                    found.push(inner);
                }
            }
            at += 1;
        }
        found.remove(0);
        found
    }
}
