//! A text in a folder that is only in memory, with a few of the examples beside it.

use std::collections::BTreeMap;
use std::io;
use std::path::{Path, PathBuf};
use stillroom::diagnostic::{Diagnostic, FileId, Level, Place};
use stillroom::quantity::Exact;
use stillroom::session::Report;
use stillroom::sheet::Plan;
use stillroom::syntax::parse;
use stillroom::workspace::{Loaded, World, load};

/// Where the text stands.
const FILE: &str = "/workroom/tried.still";

/// What stands beside it.
const BESIDE: &[(&str, &str)] = &[
    ("/workroom/materials.still", include_str!("../../../examples/materials.still")),
    ("/workroom/stocks.still", include_str!("../../../examples/stocks.still")),
    ("/workroom/acid-gel.still", include_str!("../../../examples/acid-gel.still")),
];

struct Workroom<'t> {
    tried: &'t [u8],
}

impl Workroom<'_> {
    fn bytes(&self, path: &Path) -> io::Result<&[u8]> {
        if path == Path::new(FILE) {
            return Ok(self.tried);
        }
        let beside = BESIDE.iter().find(|(name, _)| path == Path::new(name));
        beside.map(|(_, text)| text.as_bytes()).ok_or_else(|| io::ErrorKind::NotFound.into())
    }
}

impl World for Workroom<'_> {
    fn read(&self, path: &Path) -> io::Result<Vec<u8>> {
        self.bytes(path).map(<[u8]>::to_vec)
    }

    fn size(&self, path: &Path) -> io::Result<u64> {
        self.bytes(path).map(|bytes| bytes.len() as u64)
    }

    fn canonical(&self, path: &Path) -> io::Result<PathBuf> {
        self.bytes(path).map(|_| path.to_path_buf())
    }

    fn exists(&self, path: &Path) -> bool {
        self.bytes(path).is_ok()
    }
}

/// The text, loaded with all it uses.
pub fn loaded(tried: &[u8]) -> Loaded {
    let loaded = load(&Workroom { tried }, &[PathBuf::from(FILE)], None);
    assert!(loaded.failures.is_empty(), "{:?}", loaded.failures);
    loaded
}

/// Every place that a diagnostic speaks of.
pub fn places(fault: &Diagnostic) -> impl Iterator<Item = Place> {
    let labels = std::iter::once(&fault.primary).chain(&fault.secondary).map(|label| label.place);
    labels.chain(fault.fix.iter().map(|fix| fix.place))
}

/// How often each code is told at each level.
pub fn told(report: &Report<'_>) -> BTreeMap<(String, Level), usize> {
    let mut told = BTreeMap::new();
    for fault in &report.diagnostics {
        *told.entry((fault.code.to_string(), fault.level)).or_default() += 1;
    }
    told
}

/// The digest of each formula.
pub fn digests(report: &Report<'_>) -> Vec<(String, String)> {
    let formulas = report.formulas.iter().map(|found| &found.formula);
    formulas.map(|formula| (formula.name.to_string(), report.resolver.digest(formula))).collect()
}

/// A tree with all places taken out. A place is written as two offsets with two dots between.
pub fn without_places(tree: &impl std::fmt::Debug) -> String {
    let written = format!("{tree:?}");
    let digits = |c: char| c.is_ascii_digit();
    written.split("..").map(|part| part.trim_matches(digits)).collect::<Vec<_>>().join("..")
}

/// The tree of a text without places; none where it does not parse.
pub fn tree(text: &str) -> Option<String> {
    let parsed = parse(FileId(0), text);
    parsed.faults.is_empty().then(|| without_places(&parsed.tree))
}

/// What holds of the weights of every plan.
pub fn adds_up(plan: &Plan) {
    let printed: Exact = plan.lines.iter().filter_map(|line| line.printed.clone()).sum();
    assert_eq!(printed, plan.total, "the weights do not add to their total");
    for line in &plan.lines {
        if let (Some(printed), Some(held)) = (&line.printed, &line.held) {
            assert_eq!(
                &(&held.held_back + &held.first_weighing),
                printed,
                "what is held back and what is weighed first are not the line"
            );
        }
    }
}
