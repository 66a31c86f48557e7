//! All batch records of a session, and which of them went into which.

use crate::model::{Batch, Happened};
use crate::quantity::Exact;
use rustc_hash::{FxHashMap, FxHashSet};
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
    /// The first record of a formula by each code that it bears, in small letters.
    by_code: FxHashMap<SmolStr, FxHashMap<String, usize>>,
}

/// Something under the paths that were given that no record could be read from, or not all of one.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct NotRead {
    /// The file or folder.
    pub path: String,
    /// The line; none where nothing of it could be read.
    pub line: Option<usize>,
    /// The batch whose record it is in, where that is known.
    pub batch: Option<String>,
    /// Why, in a sentence.
    pub why: String,
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
    /// Records in the order of their files.
    #[must_use]
    pub fn new(all: Vec<Record>) -> Records {
        let mut by_code: FxHashMap<SmolStr, FxHashMap<String, usize>> = FxHashMap::default();
        for (number, record) in all.iter().enumerate() {
            let Some(formula) = &record.batch.formula else { continue };
            let of_formula = by_code.entry(formula.text.clone()).or_default();
            for code in record.codes().iter().chain([&record.batch.name]) {
                of_formula.entry(code.to_ascii_lowercase()).or_insert(number);
            }
        }
        Records { all, by_code }
    }

    /// The batch that a lot of a material was, where that material is a formula made in a batch of its own.
    #[must_use]
    pub fn made_of(&self, material: &str, code: &str) -> Option<usize> {
        self.by_code.get(material)?.get(&code.to_ascii_lowercase()).copied()
    }

    /// The batches that a record's lots were, and theirs, each once, nearest first.
    #[must_use]
    pub fn below(&self, number: usize) -> Vec<usize> {
        let mut found = vec![number];
        let mut met = FxHashSet::from_iter([number]);
        let mut at = 0;
        while let Some(record) = found.get(at).and_then(|number| self.all.get(*number)) {
            for lot in &record.batch.lots {
                let inner = self.made_of(&lot.material.text, &lot.code);
                found.extend(inner.filter(|inner| met.insert(*inner)));
            }
            at += 1;
        }
        found.remove(0);
        found
    }
}
