//! The core inside another program: a text from standard input, which no disk has ever seen; its diagnostics and its
//! sheets as JSON, on a line each.

use std::io::{self, Read as _};
use std::path::{Path, PathBuf};
use stillroom::render::{CheckJson, Sheet, sheet};
use stillroom::session::check;
use stillroom::sheet::BatchOrder;
use stillroom::workspace::{World, load};

/// The one file there is.
const FILE: &str = "formula.still";

/// A world without a disk.
struct InMemory(Vec<u8>);

impl InMemory {
    fn bytes(&self, path: &Path) -> io::Result<&[u8]> {
        if path == Path::new(FILE) { Ok(&self.0) } else { Err(io::ErrorKind::NotFound.into()) }
    }
}

impl World for InMemory {
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

fn main() -> io::Result<()> {
    let mut text = Vec::new();
    io::stdin().read_to_end(&mut text)?;
    let loaded = load(&InMemory(text), &[PathBuf::from(FILE)], None);
    let order = BatchOrder::default();
    let report = check(&loaded.sources, &order, true);
    let sound = report.formulas.iter().filter(|formula| !formula.is_blocked());
    let sheets: Vec<Sheet> =
        sound.filter_map(|formula| sheet(&loaded.sources, &report, formula, &order)).collect();
    println!("{}", serde_json::to_string(&CheckJson::new(&loaded.sources, &report.diagnostics))?);
    println!("{}", serde_json::to_string(&sheets)?);
    Ok(())
}
