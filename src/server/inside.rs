//! The one way from a name in a request to a file: a `.still` file under the folder that is open, by no link and by no
//! step upward.

use super::refusal::Refusal;
use crate::render::shown;
use std::path::{Component, Path, PathBuf};

/// A file of the language under the folder that is open. There is none but by [`Inside::of`].
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Inside {
    /// From the folder, with `/` between its parts.
    name: String,
    /// Where it is.
    path: PathBuf,
}

impl Inside {
    /// The file of a name that was decoded once. `folder` is without links.
    ///
    /// # Errors
    /// What is no `.still` file of the folder: nothing tells whether something else is there.
    pub fn of(folder: &Path, name: &str) -> Result<Inside, Refusal> {
        let inside = Inside::new(folder, name)?;
        // A link anywhere on the way would make another path of it.
        let is_plain = inside.path.canonicalize().is_ok_and(|found| found == inside.path);
        if is_plain && inside.path.is_file() { Ok(inside) } else { Err(not_here(name)) }
    }

    /// The same for a file that may not be there yet: its folder has to be.
    ///
    /// # Errors
    /// What is no name of a `.still` file of the folder.
    pub fn to_be(folder: &Path, name: &str) -> Result<Inside, Refusal> {
        let inside = Inside::new(folder, name)?;
        if inside.path.symlink_metadata().is_ok() {
            return Inside::of(folder, name);
        }
        let home = inside.path.parent().unwrap_or(folder);
        if home.canonicalize().is_ok_and(|found| found == home) { Ok(inside) } else { Err(not_here(name)) }
    }

    /// A name put together with the folder, where it is a name of plain parts.
    fn new(folder: &Path, name: &str) -> Result<Inside, Refusal> {
        let parts: Vec<&str> = name.split('/').collect();
        let is_plain = |part: &&str| {
            let mut components = Path::new(part).components();
            let only =
                matches!((components.next(), components.next()), (Some(Component::Normal(own)), None) if own == *part);
            only && !part.contains(['\\', ':', '\0']) && !part.starts_with('.')
        };
        let has_ending = Path::new(name).extension().is_some_and(|extension| extension == "still");
        if !has_ending || !parts.iter().all(is_plain) {
            return Err(not_here(name));
        }
        Ok(Inside {
            name: name.to_string(),
            path: parts.iter().fold(folder.to_path_buf(), |path, part| path.join(part)),
        })
    }

    /// The file of a path under the folder, as a page names it; none where it lies elsewhere or has no such name.
    pub fn name_of(folder: &Path, path: &Path) -> Option<String> {
        let parts = path.strip_prefix(folder).ok()?.components().map(|part| part.as_os_str().to_str());
        Some(parts.collect::<Option<Vec<&str>>>()?.join("/"))
    }

    /// From the folder, with `/` between its parts.
    pub fn name(&self) -> &str {
        &self.name
    }

    /// Where it is.
    pub fn path(&self) -> &Path {
        &self.path
    }
}

/// That there is no such file.
fn not_here(name: &str) -> Refusal {
    Refusal::not_found(format!("There is no `.still` file `{}` in the folder that is open.", shown(name)))
}

#[cfg(test)]
mod tests {
    use super::Inside;
    use std::fs;

    #[test]
    fn only_files_of_the_language_under_the_folder_are_inside() {
        let outer = tempfile::tempdir().unwrap();
        let outer = outer.path().canonicalize().unwrap();
        let folder = outer.join("room");
        fs::create_dir_all(folder.join("sub")).unwrap();
        for file in ["room/a.still", "room/sub/b.still", "room/c.txt", "outside.still", "room/.hidden.still"] {
            fs::write(outer.join(file), "").unwrap();
        }
        fs::create_dir(folder.join("folder.still")).unwrap();
        assert_eq!(Inside::of(&folder, "a.still").unwrap().path(), folder.join("a.still"));
        assert_eq!(Inside::of(&folder, "sub/b.still").unwrap().name(), "sub/b.still");
        let absolute = folder.join("a.still").to_string_lossy().into_owned();
        let refused = [
            "",
            ".",
            "..",
            "/",
            "c.txt",
            "../outside.still",
            "sub/../a.still",
            "sub/../../outside.still",
            "./a.still",
            "sub//b.still",
            "/a.still",
            &absolute,
            "..\\outside.still",
            "%2e%2e/outside.still",
            "a.still/",
            "a.still\0",
            ".hidden.still",
            "folder.still",
            "none.still",
            "C:a.still",
            "a.still/.",
            "a.STILL",
        ];
        for name in refused {
            assert!(Inside::of(&folder, name).is_err(), "{name}");
        }
        assert!(Inside::to_be(&folder, "sub/new.still").is_ok());
        for name in ["../new.still", "nowhere/new.still", "new.txt"] {
            assert!(Inside::to_be(&folder, name).is_err(), "{name}");
        }
    }

    #[cfg(unix)]
    #[test]
    fn no_link_is_followed() {
        use std::os::unix::fs::symlink;
        let outer = tempfile::tempdir().unwrap();
        let outer = outer.path().canonicalize().unwrap();
        let folder = outer.join("room");
        fs::create_dir_all(&folder).unwrap();
        fs::create_dir_all(outer.join("other")).unwrap();
        fs::write(outer.join("other/a.still"), "").unwrap();
        fs::write(folder.join("own.still"), "").unwrap();
        symlink(outer.join("other/a.still"), folder.join("out.still")).unwrap();
        symlink(outer.join("other"), folder.join("out")).unwrap();
        symlink(folder.join("own.still"), folder.join("in.still")).unwrap();
        symlink(outer.join("other/none.still"), folder.join("dangling.still")).unwrap();
        for name in ["out.still", "out/a.still", "in.still", "dangling.still"] {
            assert!(Inside::of(&folder, name).is_err(), "{name}");
            assert!(Inside::to_be(&folder, name).is_err(), "{name}");
        }
        assert!(Inside::to_be(&folder, "out/new.still").is_err());
    }
}
