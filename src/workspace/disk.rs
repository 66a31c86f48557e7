//! What the compiler asks of the world outside it.

use std::io;
use std::path::{Path, PathBuf};

/// Files as the compiler sees them. The command line has [`Disk`]; an editor or a test may have another.
pub trait World: Sync {
    /// The whole of a file.
    ///
    /// # Errors
    /// What the system says when it cannot be read.
    fn read(&self, path: &Path) -> io::Result<Vec<u8>>;

    /// The size of a file in bytes.
    ///
    /// # Errors
    /// What the system says when it cannot be found.
    fn size(&self, path: &Path) -> io::Result<u64>;

    /// The path with every link followed.
    ///
    /// # Errors
    /// What the system says when it cannot be found.
    fn canonical(&self, path: &Path) -> io::Result<PathBuf>;

    /// Whether something is at a path.
    fn exists(&self, path: &Path) -> bool;
}

/// The disk.
#[derive(Clone, Copy, Debug, Default)]
pub struct Disk;

#[allow(clippy::disallowed_methods, reason = "the one place that reads files")]
impl World for Disk {
    fn read(&self, path: &Path) -> io::Result<Vec<u8>> {
        std::fs::read(path)
    }

    fn size(&self, path: &Path) -> io::Result<u64> {
        let meta = std::fs::metadata(path)?;
        if meta.is_dir() {
            return Err(io::Error::new(io::ErrorKind::IsADirectory, "is a folder"));
        }
        Ok(meta.len())
    }

    fn canonical(&self, path: &Path) -> io::Result<PathBuf> {
        std::fs::canonicalize(path)
    }

    fn exists(&self, path: &Path) -> bool {
        path.exists()
    }
}
