//! The formulas that slips are made in: every example, the reference plans, and a few of the test's own for what none
//! of those has. All are held in memory, so that a slip never touches the disk.

use std::collections::BTreeMap;
use std::fs;
use std::io;
use std::path::{Path, PathBuf};
use stillroom::diagnostic::Level;
use stillroom::session::{Report, check};
use stillroom::sheet::BatchOrder;
use stillroom::workspace::{Loaded, World, load};

/// The folders the formulas stand in. Nobody tuned the reference plans to this test.
const FOLDERS: &[&str] = &["examples", "tests/data/plans", "tests/data/plans-whole", "tests/language/slips"];

/// A file, and what stands beside it.
pub struct Case {
    /// Its path from the root of the project.
    pub name: PathBuf,
    /// Its text.
    pub text: String,
    /// The files of its folder.
    beside: std::sync::Arc<BTreeMap<PathBuf, String>>,
}

/// What a check told of a text: how often each code stands at each level.
pub type Told = BTreeMap<(&'static str, Level), usize>;

impl Case {
    /// Checks a text in the place of the file's own, and gives what is found to `look`.
    pub fn checked<T>(&self, text: &str, look: impl FnOnce(&Loaded, &Report<'_>) -> T) -> T {
        let shelf = InPlace { case: self, text };
        let loaded = load(&shelf, std::slice::from_ref(&self.name), None);
        assert!(loaded.failures.is_empty(), "{:?}", loaded.failures);
        let report = check(&loaded.sources, &BatchOrder::default(), false);
        look(&loaded, &report)
    }

    /// What is told of a text in the place of the file's own.
    pub fn told(&self, text: &str) -> Told {
        self.checked(text, |_, report| {
            let mut told = Told::new();
            for fault in &report.diagnostics {
                *told.entry((fault.code.entry().name, fault.level)).or_default() += 1;
            }
            told
        })
    }

    /// Whether it is a reference plan, which nobody wrote to be a good formula.
    pub fn is_plan(&self) -> bool {
        self.name.starts_with("tests/data")
    }
}

/// What one check tells and another does not: the codes of which there are more.
pub fn more(before: &Told, after: &Told) -> Vec<(&'static str, Level)> {
    let count = |told: &Told, key| told.get(key).copied().unwrap_or_default();
    after.keys().filter(|key| count(after, key) > count(before, key)).copied().collect()
}

/// The files of a case, one of them with another text.
struct InPlace<'c> {
    case: &'c Case,
    text: &'c str,
}

impl InPlace<'_> {
    fn text_of(&self, path: &Path) -> io::Result<&str> {
        if path == self.case.name {
            return Ok(self.text);
        }
        self.case.beside.get(path).map(String::as_str).ok_or_else(|| io::ErrorKind::NotFound.into())
    }
}

impl World for InPlace<'_> {
    fn read(&self, path: &Path) -> io::Result<Vec<u8>> {
        self.text_of(path).map(|text| text.as_bytes().to_vec())
    }

    fn size(&self, path: &Path) -> io::Result<u64> {
        self.text_of(path).map(|text| text.len() as u64)
    }

    fn canonical(&self, path: &Path) -> io::Result<PathBuf> {
        self.text_of(path).map(|_| path.to_path_buf())
    }

    fn exists(&self, path: &Path) -> bool {
        self.text_of(path).is_ok()
    }
}

/// Every file that has formulas, in the order of folders and names.
pub fn cases() -> Vec<Case> {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let mut cases = Vec::new();
    for folder in FOLDERS {
        let files: BTreeMap<PathBuf, String> = fs::read_dir(root.join(folder))
            .unwrap()
            .map(|entry| entry.unwrap().path())
            .filter(|path| path.extension().is_some_and(|extension| extension == "still"))
            .map(|path| (Path::new(folder).join(path.file_name().unwrap()), fs::read_to_string(&path).unwrap()))
            .collect();
        assert!(!files.is_empty(), "{folder} has formulas");
        let beside = std::sync::Arc::new(files);
        cases.extend(beside.iter().map(|(name, text)| Case {
            name: name.clone(),
            text: text.clone(),
            beside: beside.clone(),
        }));
    }
    cases
}
