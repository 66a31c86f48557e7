//! Sessions over the examples and over texts of a test, for all that asks of a place.

use std::collections::BTreeMap;
use std::io;
use std::path::{Path, PathBuf};
use stillroom::diagnostic::FileId;
use stillroom::editor::occurrences::Names;
use stillroom::editor::surveys::Surveys;
use stillroom::session::{Report, Session};
use stillroom::sheet::BatchOrder;
use stillroom::workspace::{Disk, Sources, World};

/// The folder of the examples.
pub fn examples() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("examples")
}

/// Every example, as it stands on disk, by its path.
pub fn example_files() -> Vec<PathBuf> {
    let mut found = Vec::new();
    let mut waiting = vec![examples()];
    while let Some(folder) = waiting.pop() {
        for entry in std::fs::read_dir(folder).unwrap() {
            let path = entry.unwrap().path();
            if path.is_dir() {
                waiting.push(path);
            } else if path.extension().is_some_and(|kind| kind == "still") {
                found.push(path);
            }
        }
    }
    found.sort();
    assert!(found.len() > 10, "{found:?}");
    found
}

/// All examples as one session.
pub fn all_examples() -> Session<'static> {
    Session::open(Disk, &example_files(), None)
}

/// Files that are only in memory, all in one folder.
#[derive(Clone, Default)]
pub struct InMemory(pub BTreeMap<PathBuf, String>);

impl World for InMemory {
    fn canonical(&self, path: &Path) -> io::Result<PathBuf> {
        let is_there = self.0.contains_key(path) || self.0.keys().any(|file| file.starts_with(path));
        if is_there { Ok(path.to_path_buf()) } else { Err(io::ErrorKind::NotFound.into()) }
    }

    fn read(&self, path: &Path) -> io::Result<Vec<u8>> {
        self.0.get(path).map(|text| text.clone().into_bytes()).ok_or_else(|| io::ErrorKind::NotFound.into())
    }

    fn size(&self, path: &Path) -> io::Result<u64> {
        self.read(path).map(|bytes| bytes.len() as u64)
    }

    fn exists(&self, path: &Path) -> bool {
        self.0.keys().any(|file| file.starts_with(path))
    }
}

/// A session over texts, each with its name.
pub fn texts(files: &[(&str, &str)]) -> Session<'static> {
    let at = |name: &str| Path::new("/room").join(name);
    let world = InMemory(files.iter().map(|(name, text)| (at(name), text.to_string())).collect());
    let paths: Vec<PathBuf> = files.iter().map(|(name, _)| at(name)).collect();
    Session::open(world, &paths, None)
}

/// The report that the server asks for.
pub fn report<'s>(session: &'s Session<'_>) -> Report<'s> {
    session.check_to_foresee(&BatchOrder::default())
}

/// The names of a report.
pub fn names<'a>(session: &'a Session<'_>, report: &'a Report<'a>, surveys: &'a Surveys) -> Names<'a> {
    Names { sources: session.sources(), scopes: &report.resolver.scopes, surveys }
}

/// The file of a session with this name.
pub fn file(sources: &Sources, name: &str) -> FileId {
    let found = sources.files.iter().find(|source| source.absolute.file_name().is_some_and(|last| last == name));
    found.unwrap_or_else(|| panic!("no {name}")).id
}

/// Where the nth of some words stands in a file.
pub fn offset(sources: &Sources, file: FileId, words: &str, nth: usize) -> u32 {
    let found = sources.text(file).match_indices(words).nth(nth);
    u32::try_from(found.unwrap_or_else(|| panic!("no {words}")).0).unwrap()
}
