//! What several test files need: texts written to a folder of their own and checked through the library.

#![allow(clippy::disallowed_methods, reason = "tests read and write files of their own")]
#![allow(dead_code, reason = "each test file uses its own part")]

pub mod gel;
pub mod grammar;
pub mod mend;
pub mod other_user;
pub mod repository;

use std::fs;
use std::path::{Path, PathBuf};
use stillroom::diagnostic::Diagnostic;
use stillroom::render::{Sheet, sheet};
use stillroom::session::{Report, check};
use stillroom::sheet::BatchOrder;
use stillroom::workspace::{Disk, Loaded, load};

/// The files of the examples, by name.
pub fn examples() -> Vec<PathBuf> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("examples");
    let mut paths: Vec<PathBuf> = fs::read_dir(folder).unwrap().map(|entry| entry.unwrap().path()).collect();
    paths.retain(|path| path.extension().is_some_and(|extension| extension == "still"));
    paths.sort();
    paths
}

/// A folder with files in it, gone when dropped.
pub struct Folder {
    pub dir: tempfile::TempDir,
    pub first: PathBuf,
}

/// Writes files; the first is the one that is checked.
pub fn folder(files: &[(&str, &[u8])]) -> Folder {
    let dir = tempfile::tempdir().unwrap();
    for (name, bytes) in files {
        let path = dir.path().join(name);
        fs::create_dir_all(path.parent().unwrap()).unwrap();
        fs::write(path, bytes).unwrap();
    }
    let first = dir.path().join(files[0].0);
    Folder { dir, first }
}

impl Folder {
    pub fn load(&self) -> Loaded {
        let loaded = load(&Disk, std::slice::from_ref(&self.first), None);
        assert!(loaded.failures.is_empty(), "{:?}", loaded.failures);
        loaded
    }
}

/// Checks one text by itself and gives what is found to `look`.
pub fn checked<T>(text: &str, look: impl FnOnce(&Loaded, &Report<'_>) -> T) -> T {
    let folder = folder(&[("formula.still", text.as_bytes())]);
    let loaded = folder.load();
    let report = check(&loaded.sources, &BatchOrder::default(), false);
    look(&loaded, &report)
}

/// The diagnostics of one text.
pub fn diagnostics(text: &str) -> Vec<Diagnostic> {
    checked(text, |_, report| report.diagnostics.clone())
}

/// The codes of one text's diagnostics, in order.
pub fn codes(text: &str) -> Vec<String> {
    diagnostics(text).iter().map(|fault| fault.code.to_string()).collect()
}

/// The sheet of a formula of a text.
pub fn sheet_of(text: &str, formula: &str, order: &BatchOrder) -> Sheet {
    let folder = folder(&[("formula.still", text.as_bytes())]);
    let loaded = folder.load();
    let report = check(&loaded.sources, order, true);
    let found = report.formulas.iter().find(|report| report.formula.name == formula).expect("the formula");
    assert!(!found.is_blocked(), "{:#?}", found.diagnostics);
    sheet(&loaded.sources, &report, found, order).expect("a sheet")
}

/// Whether a value is valid by a schema of the project, given by its path from the root; what is wrong where not. Our
/// own schemas let keys be added by later versions; what is printed today has none that today's schema does not name.
pub fn valid_by(schema: &str, value: &serde_json::Value) {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join(schema);
    let mut read: serde_json::Value = serde_json::from_str(&fs::read_to_string(path).unwrap()).unwrap();
    if schema.starts_with("docs/schema/") {
        close(&mut read);
    }
    let validator = jsonschema::validator_for(&read).unwrap();
    let problems: Vec<String> = validator.iter_errors(value).map(|error| error.to_string()).collect();
    assert!(problems.is_empty(), "{problems:#?}");
}

/// Lets a schema take no key that it does not name.
fn close(schema: &mut serde_json::Value) {
    if schema["properties"].is_object() {
        schema["additionalProperties"] = false.into();
    }
    match schema {
        serde_json::Value::Object(keys) => keys.values_mut().for_each(close),
        serde_json::Value::Array(items) => items.iter_mut().for_each(close),
        _ => {}
    }
}
