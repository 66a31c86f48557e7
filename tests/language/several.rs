//! Files with several faults that have nothing to do with each other: all are told in one run, none twice, none made up.
//!
//! Each file says beside each line what is to be told of it: `# ! CODE, CODE`.

#![allow(clippy::disallowed_methods, reason = "tests read files of their own")]

use std::collections::BTreeSet;
use std::fs;
use std::path::{Path, PathBuf};
use stillroom::diagnostic::{Code, Family};
use stillroom::session::check;
use stillroom::sheet::BatchOrder;
use stillroom::workspace::{Disk, LineIndex, load};

/// What opens the expectation of a line.
const MARK: &str = "# ! ";

fn files() -> Vec<PathBuf> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/language/several");
    let mut files: Vec<PathBuf> = fs::read_dir(folder).unwrap().map(|entry| entry.unwrap().path()).collect();
    files.retain(|path| path.extension().is_some_and(|extension| extension == "still"));
    files.sort();
    files
}

/// The line and code of everything that a file says is wrong with it, in order; a code as often as it is written.
fn expected(text: &str) -> Vec<(usize, String)> {
    let of_line = |(at, line): (usize, &str)| {
        let codes = line.split_once(MARK).map(|(_, codes)| codes).unwrap_or_default().to_string();
        codes
            .split(", ")
            .filter(|code| !code.is_empty())
            .map(|code| (at + 1, code.trim().to_string()))
            .collect::<Vec<_>>()
    };
    let mut all: Vec<(usize, String)> = text.lines().enumerate().flat_map(of_line).collect();
    all.sort();
    all
}

/// The line and code of everything that is told of a file, in order.
fn told(path: &Path) -> Vec<(usize, String)> {
    let loaded = load(&Disk, &[path.to_path_buf()], None);
    let report = check(&loaded.sources, &BatchOrder::default(), false);
    let of = |fault: &stillroom::diagnostic::Diagnostic| {
        let place = fault.primary.place;
        let (line, _) = LineIndex::new(loaded.sources.text(place.file)).line_column(place.span.start);
        (line, fault.code.to_string())
    };
    let mut all: Vec<(usize, String)> = report.diagnostics.iter().map(of).collect();
    all.sort();
    all
}

#[test]
fn every_fault_of_a_file_is_told_once_in_one_run() {
    let files = files();
    assert!(files.len() >= 10, "{} files", files.len());
    let mut wrong = Vec::new();
    for path in &files {
        let (expected, told) = (expected(&fs::read_to_string(path).unwrap()), told(path));
        let name = path.file_name().unwrap().to_string_lossy().into_owned();
        let missing: Vec<_> = expected.iter().filter(|one| !told.contains(one)).collect();
        let made_up: Vec<_> = told.iter().filter(|one| !expected.contains(one)).collect();
        if expected != told {
            wrong.push(format!("{name}: not told {missing:?}, made up {made_up:?}, in all {told:?}"));
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn each_file_has_faults_of_several_families() {
    let mut with_syntax = 0;
    for path in files() {
        let codes: Vec<Code> = expected(&fs::read_to_string(&path).unwrap())
            .iter()
            .filter_map(|(_, code)| Code::from_name(code))
            .collect();
        let families: BTreeSet<String> = codes.iter().map(|code| format!("{:?}", code.entry().family)).collect();
        assert!((4..=8).contains(&codes.len()), "{}: {} faults", path.display(), codes.len());
        assert!(families.len() >= 4, "{}: {families:?}", path.display());
        with_syntax += usize::from(codes.iter().any(|code| code.entry().family == Family::Syntax));
    }
    assert!(with_syntax >= 4, "{with_syntax} files with a fault of syntax");
}
