//! The files as the pages may read them: those of the language under the folder that is open, and nothing that a link or
//! a `use` leads to elsewhere.

use crate::workspace::{Disk, World};
use std::io;
use std::path::{Path, PathBuf};

/// The disk, but for what lies outside a folder.
#[derive(Clone, Debug)]
pub struct Confined {
    folder: PathBuf,
}

impl Confined {
    /// The files under a folder, which is without links.
    pub fn to(folder: &Path) -> Confined {
        Confined { folder: folder.to_path_buf() }
    }

    /// Where a path leads, if that is a file that may be read.
    fn allowed(&self, path: &Path) -> io::Result<PathBuf> {
        let found = Disk.canonical(path)?;
        if !found.starts_with(&self.folder) {
            return Err(io::Error::other("it lies outside the folder that is open"));
        }
        if found.extension().is_none_or(|extension| extension != "still") {
            return Err(io::Error::other("only files that end in `.still` are read here"));
        }
        Ok(found)
    }
}

impl World for Confined {
    fn read(&self, path: &Path) -> io::Result<Vec<u8>> {
        Disk.read(&self.allowed(path)?)
    }

    fn size(&self, path: &Path) -> io::Result<u64> {
        Disk.size(&self.allowed(path)?)
    }

    fn is_file(&self, path: &Path) -> io::Result<bool> {
        Disk.is_file(&self.allowed(path)?)
    }

    fn canonical(&self, path: &Path) -> io::Result<PathBuf> {
        let found = Disk.canonical(path)?;
        match found.starts_with(&self.folder) {
            true => Ok(found),
            false => Err(io::Error::other("it lies outside the folder that is open")),
        }
    }

    fn exists(&self, path: &Path) -> bool {
        Disk.exists(path)
    }
}

#[cfg(test)]
mod tests {
    use super::Confined;
    use crate::session::Session;
    use crate::sheet::BatchOrder;
    use crate::workspace::World as _;
    use std::fs;

    #[test]
    fn a_use_that_leads_out_brings_nothing() {
        let outer = tempfile::tempdir().unwrap();
        let outer = outer.path().canonicalize().unwrap();
        let folder = outer.join("room");
        fs::create_dir(&folder).unwrap();
        fs::write(outer.join("own.still"), "material secret-thing { inci \"SECRET\" }\n").unwrap();
        fs::write(folder.join("a.still"), "use \"../own.still\"\n").unwrap();
        fs::write(folder.join("note.txt"), "secret").unwrap();
        let world = Confined::to(&folder);
        assert!(world.read(&outer.join("own.still")).is_err() && world.read(&folder.join("note.txt")).is_err());
        assert!(world.read(&folder.join("a.still")).is_ok());
        let session = Session::open(world, &[folder.join("a.still")], None);
        let found = session.check(&BatchOrder::default()).diagnostics;
        assert_eq!(found[0].message, "`../own.still` lies outside this workspace.");
        assert_eq!(session.sources().files.len(), 1);
    }
}
