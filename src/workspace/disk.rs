//! What the compiler asks of the world outside it.

use crate::syntax::MAX_FILE;
use std::collections::BTreeMap;
use std::io::{self, Read as _};
use std::path::{Component, Path, PathBuf};
use std::sync::Arc;

/// Files as the compiler sees them. The command line has [`Disk`]; an editor or a test may have another.
pub trait World: Sync {
    /// The whole of a file; of one past the limit of 16 MB no more than shows that it is.
    ///
    /// # Errors
    /// What the system says when it cannot be read.
    fn read(&self, path: &Path) -> io::Result<Vec<u8>>;

    /// The size of a file in bytes.
    ///
    /// # Errors
    /// What the system says when it cannot be found.
    fn size(&self, path: &Path) -> io::Result<u64>;

    /// Whether a path leads to a file of its own: no folder, no pipe, no device.
    ///
    /// # Errors
    /// What the system says when it cannot be found.
    fn is_file(&self, path: &Path) -> io::Result<bool> {
        self.size(path).map(|_| true)
    }

    /// The path with every link followed.
    ///
    /// # Errors
    /// What the system says when it cannot be found.
    fn canonical(&self, path: &Path) -> io::Result<PathBuf>;

    /// Whether something is at a path.
    fn exists(&self, path: &Path) -> bool;
}

impl<W: World + ?Sized> World for &W {
    fn read(&self, path: &Path) -> io::Result<Vec<u8>> {
        (**self).read(path)
    }

    fn size(&self, path: &Path) -> io::Result<u64> {
        (**self).size(path)
    }

    fn is_file(&self, path: &Path) -> io::Result<bool> {
        (**self).is_file(path)
    }

    fn canonical(&self, path: &Path) -> io::Result<PathBuf> {
        (**self).canonical(path)
    }

    fn exists(&self, path: &Path) -> bool {
        (**self).exists(path)
    }
}

impl<W: World + Send + ?Sized> World for Arc<W> {
    fn read(&self, path: &Path) -> io::Result<Vec<u8>> {
        (**self).read(path)
    }

    fn size(&self, path: &Path) -> io::Result<u64> {
        (**self).size(path)
    }

    fn is_file(&self, path: &Path) -> io::Result<bool> {
        (**self).is_file(path)
    }

    fn canonical(&self, path: &Path) -> io::Result<PathBuf> {
        (**self).canonical(path)
    }

    fn exists(&self, path: &Path) -> bool {
        (**self).exists(path)
    }
}

/// A path seen from a folder, by its words alone: no link is followed.
#[must_use]
pub fn joined(folder: &Path, path: &Path) -> PathBuf {
    let mut clean = PathBuf::new();
    for part in folder.join(path).components() {
        match part {
            Component::CurDir => {}
            Component::ParentDir => {
                clean.pop();
            }
            part => clean.push(part),
        }
    }
    clean
}

/// A path as it is told to whoever stands in a folder: from there, upward too, as long as anything leads to both;
/// else from the root. With `/` between its parts.
#[must_use]
pub fn seen_from(folder: &Path, path: &Path) -> String {
    let words = |part: Component<'_>| part.as_os_str().to_string_lossy().into_owned();
    let (here, there): (Vec<_>, Vec<_>) = (folder.components().collect(), path.components().collect());
    let shared = here.iter().zip(&there).take_while(|(here, there)| here == there).count();
    let met = here.iter().take(shared).any(|part| matches!(part, Component::Normal(_)));
    let up = here.len() - shared;
    if up > 0 && !met {
        return path.to_string_lossy().into_owned();
    }
    let down = there.into_iter().skip(shared).map(words);
    std::iter::repeat_n("..".to_string(), up).chain(down).collect::<Vec<_>>().join("/")
}

/// The disk.
#[derive(Clone, Copy, Debug, Default)]
pub struct Disk;

#[allow(clippy::disallowed_methods, reason = "the one place that reads files")]
impl World for Disk {
    fn read(&self, path: &Path) -> io::Result<Vec<u8>> {
        // A file may grow while it is read, and a stream has no end: one byte past the limit is enough to know.
        let file = std::fs::File::open(path)?;
        let expected = file.metadata().map_or(0, |meta| meta.len()).min(MAX_FILE as u64);
        let mut bytes = Vec::with_capacity(usize::try_from(expected).unwrap_or_default());
        file.take(MAX_FILE as u64 + 1).read_to_end(&mut bytes)?;
        Ok(bytes)
    }

    fn size(&self, path: &Path) -> io::Result<u64> {
        let meta = std::fs::metadata(path)?;
        if meta.is_dir() {
            return Err(io::Error::new(io::ErrorKind::IsADirectory, "is a folder"));
        }
        Ok(meta.len())
    }

    fn is_file(&self, path: &Path) -> io::Result<bool> {
        Ok(std::fs::metadata(path)?.is_file())
    }

    fn canonical(&self, path: &Path) -> io::Result<PathBuf> {
        std::fs::canonicalize(path)
    }

    fn exists(&self, path: &Path) -> bool {
        path.exists()
    }
}

/// Another world, but for one file that has this text in it.
#[derive(Clone, Copy)]
pub struct Overlay<'o> {
    /// The world beneath.
    pub inner: &'o dyn World,
    /// The file, where its links lead.
    pub path: &'o Path,
    /// What is in it.
    pub bytes: &'o [u8],
}

impl World for Overlay<'_> {
    fn read(&self, path: &Path) -> io::Result<Vec<u8>> {
        if path == self.path { Ok(self.bytes.to_vec()) } else { self.inner.read(path) }
    }

    fn size(&self, path: &Path) -> io::Result<u64> {
        if path == self.path { Ok(self.bytes.len() as u64) } else { self.inner.size(path) }
    }

    fn is_file(&self, path: &Path) -> io::Result<bool> {
        if path == self.path { Ok(true) } else { self.inner.is_file(path) }
    }

    fn canonical(&self, path: &Path) -> io::Result<PathBuf> {
        if path == self.path { Ok(path.to_path_buf()) } else { self.inner.canonical(path) }
    }

    fn exists(&self, path: &Path) -> bool {
        path == self.path || self.inner.exists(path)
    }
}

/// Another world, with texts in some files that are not saved.
#[derive(Clone, Copy)]
pub struct Layered<'o> {
    /// The world beneath.
    pub beneath: &'o dyn World,
    /// What is in each file, by where its links lead.
    pub texts: &'o BTreeMap<PathBuf, Vec<u8>>,
}

impl Layered<'_> {
    /// A text by a path that leads to it, and where it lies.
    fn text(&self, path: &Path) -> Option<(PathBuf, &Vec<u8>)> {
        if let Some(bytes) = self.texts.get(path) {
            return Some((path.to_path_buf(), bytes));
        }
        if self.texts.is_empty() {
            return None;
        }
        let folder = path.parent().filter(|folder| !folder.as_os_str().is_empty()).unwrap_or(Path::new("."));
        let real = self
            .beneath
            .canonical(path)
            .or_else(|error| Ok(self.beneath.canonical(folder)?.join(path.file_name().ok_or(error)?)));
        let real: io::Result<PathBuf> = real;
        let real = real.ok()?;
        let bytes = self.texts.get(&real)?;
        Some((real, bytes))
    }
}

impl World for Layered<'_> {
    fn read(&self, path: &Path) -> io::Result<Vec<u8>> {
        match self.text(path) {
            Some((_, bytes)) => Ok(bytes.clone()),
            None => self.beneath.read(path),
        }
    }

    fn size(&self, path: &Path) -> io::Result<u64> {
        match self.text(path) {
            Some((_, bytes)) => Ok(bytes.len() as u64),
            None => self.beneath.size(path),
        }
    }

    fn is_file(&self, path: &Path) -> io::Result<bool> {
        if self.text(path).is_some() { Ok(true) } else { self.beneath.is_file(path) }
    }

    fn canonical(&self, path: &Path) -> io::Result<PathBuf> {
        match self.text(path) {
            Some((real, _)) => Ok(real),
            None => self.beneath.canonical(path),
        }
    }

    fn exists(&self, path: &Path) -> bool {
        self.text(path).is_some() || self.beneath.exists(path)
    }
}
