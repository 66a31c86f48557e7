//! Versions that are kept: a git repository begun in a folder that has none, and a file added to one where there is no
//! git program to do it. Nothing outside the folder is touched.

use super::files::stills_under;
use super::locked_folder::{part_of, with_locked_folder};
use super::not_kept::NotKept;
use super::{Against, Patience};
use crate::render::{shown, shown_path};
use crate::workspace::{Repository, unread, unwritten};
use gix::ObjectId;
use gix::objs::tree::EntryKind;
use std::io;
use std::path::Path;

/// What the first version is called.
const FIRST: &str = "The formulas as they are";

/// A history that was begun.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Begun {
    /// How many files are in its first version.
    pub files: usize,
}

/// The name under which this machine's git keeps versions in any folder; none where it was told none.
#[must_use]
pub fn known_name() -> Option<String> {
    let name = gix::config::File::from_globals().ok()?.string("user.name")?.to_string();
    Some(name).filter(|name| !name.trim().is_empty())
}

/// Makes a git repository of a folder that lies in none, and a first version of its `.still` files under `name`. The
/// repository stands there whole or not at all.
///
/// # Errors
/// A folder that lies in a repository already, a name that is none, and a disk that takes nothing.
pub fn begin_history(folder: &Path, name: &str, patience: Patience<'_>) -> Result<Begun, NotKept> {
    let name = name.trim();
    if name.is_empty() || name.chars().any(|letter| letter.is_control() || matches!(letter, '<' | '>')) {
        return Err(NotKept::asked("Say under which name versions are kept: yours, without `<` and `>`.".to_string()));
    }
    with_locked_folder(folder, patience, |held| {
        match Repository::of(folder) {
            Ok(None) => {}
            Ok(Some(_)) => return Err(NotKept::asked("Versions are kept in this folder already.".to_string())),
            Err(error) => return Err(NotKept::asked(error.to_string())),
        }
        let home = folder.join(".git");
        let part = part_of(&home);
        cleared(&part).map_err(|error| unwritable(&part, &error))?;
        let begun = first_version(folder, &part, name);
        let placed = begun.and_then(|begun| {
            std::fs::rename(part.join(".git"), &home).map_err(|error| unwritable(&home, &error))?;
            Ok(begun)
        });
        let _ = cleared(&part);
        let _ = held.sync();
        placed
    })
}

/// The repository in a folder of its own, with the files of another in its first version.
#[allow(clippy::disallowed_methods, reason = "what is kept is read as it is, byte by byte")]
fn first_version(folder: &Path, part: &Path, name: &str) -> Result<Begun, NotKept> {
    let made = gix::init(part).map_err(not_kept)?;
    let repository = named(made, name)?;
    let (files, _) = stills_under(folder);
    let own = files.iter().filter(|file| !lies_in_another(folder, file));
    let mut tree = repository.edit_tree(ObjectId::empty_tree(repository.object_hash())).map_err(not_kept)?;
    let mut count = 0;
    for file in own {
        let bytes = std::fs::read(file)
            .map_err(|error| NotKept::disk(format!("`{}` cannot be opened: {}.", shown_path(file), unread(&error))))?;
        let Some(within) = within(folder, file) else { continue };
        let blob = repository.write_blob(bytes).map_err(not_kept)?;
        tree.upsert(within.as_str(), kind_of(file), blob).map_err(not_kept)?;
        count += 1;
    }
    let tree = tree.write().map_err(not_kept)?.detach();
    repository.commit("HEAD", FIRST, tree, None::<ObjectId>).map_err(not_kept)?;
    let mut index = repository.index_from_tree(&tree).map_err(not_kept)?;
    index.write(gix::index::write::Options::default()).map_err(not_kept)?;
    Ok(Begun { files: count })
}

/// The same repository, in which versions are kept under a name: told to it alone, and only where that is another one
/// than is known everywhere.
fn named(repository: gix::Repository, name: &str) -> Result<gix::Repository, NotKept> {
    let is_known = repository.committer().and_then(Result::ok).is_some_and(|known| known.name == name);
    if is_known {
        return Ok(repository);
    }
    let has_address = repository.config_snapshot().string("user.email").is_some();
    let mut config = repository.config_file_mut(repository.git_dir().join("config")).map_err(not_kept)?;
    config.set_raw_value("user.name", name).map_err(not_kept)?;
    if !has_address {
        // An address is not asked for: nobody has to be written to.
        config.set_raw_value("user.email", "").map_err(not_kept)?;
    }
    config.commit().map_err(not_kept)?;
    gix::open(repository.git_dir()).map_err(not_kept)
}

/// Adds a file as it is to the history of the repository it lies in, and nothing else. Gives the short number of the
/// version.
///
/// # Errors
/// A file in no repository, one that is as it was, a repository that knows no name, and a disk that takes nothing.
#[allow(clippy::disallowed_methods, reason = "what is kept is read as it is, byte by byte")]
pub fn add_to_history(file: &Path, message: &str, patience: Patience<'_>) -> Result<String, NotKept> {
    let folder = file.parent().unwrap_or(file);
    with_locked_folder(folder, patience, |_| {
        let repository = gix::discover(folder).map_err(not_kept)?;
        let home = repository.workdir().and_then(|home| std::fs::canonicalize(home).ok());
        let within = home.as_deref().and_then(|home| within(home, file));
        let within = within.ok_or_else(|| NotKept::asked("The file lies in no git repository.".to_string()))?;
        if repository.committer().is_none() {
            return Err(NotKept::asked("The git repository knows no name to keep versions under.".to_string()));
        }
        let head = repository.head_id().ok().map(gix::Id::detach);
        let before = match head {
            Some(head) => repository.find_commit(head).map_err(not_kept)?.tree_id().map_err(not_kept)?.detach(),
            None => ObjectId::empty_tree(repository.object_hash()),
        };
        let bytes = std::fs::read(file)
            .map_err(|error| NotKept::disk(format!("`{}` cannot be opened: {}.", shown_path(file), unread(&error))))?;
        let blob = repository.write_blob(bytes).map_err(not_kept)?.detach();
        let mut tree = repository.edit_tree(before).map_err(not_kept)?;
        tree.upsert(within.as_str(), kind_of(file), blob).map_err(not_kept)?;
        let tree = tree.write().map_err(not_kept)?.detach();
        if tree == before {
            return Err(NotKept::asked("It is in the last version as it is: there is nothing to keep.".to_string()));
        }
        let made = repository.commit("HEAD", message, tree, head).map_err(not_kept)?;
        let short = made.detach().to_hex_with_len(7).to_string();
        noted(&repository, &within, blob, kind_of(file))?;
        Ok(short)
    })
}

/// Puts a file into the index, as it is in the version that was just made; what else stands there stays.
fn noted(repository: &gix::Repository, within: &str, blob: ObjectId, kind: EntryKind) -> Result<(), NotKept> {
    use gix::index::entry::{Flags, Mode, Stage, Stat};
    let mut index = match repository.try_index().map_err(not_kept)? {
        Some(index) => gix::index::File::clone(&index),
        None => repository.index_from_tree(&ObjectId::empty_tree(repository.object_hash())).map_err(not_kept)?,
    };
    let mode = if kind == EntryKind::BlobExecutable { Mode::FILE_EXECUTABLE } else { Mode::FILE };
    let path: &gix::bstr::BStr = within.into();
    match index.entry_mut_by_path_and_stage(path, Stage::Unconflicted) {
        Some(entry) => (entry.id, entry.mode, entry.stat) = (blob, mode, Stat::default()),
        None => {
            index.dangerously_push_entry(Stat::default(), blob, Flags::empty(), mode, path);
            index.sort_entries();
        }
    }
    // What is remembered of its folders is that of before.
    index.remove_tree();
    index.write(gix::index::write::Options::default()).map_err(not_kept)
}

/// A path from a folder, with `/` between its parts; none of what git cannot name.
fn within(folder: &Path, file: &Path) -> Option<String> {
    let parts = file.strip_prefix(folder).ok()?.components().map(|part| part.as_os_str().to_str());
    Some(parts.collect::<Option<Vec<&str>>>()?.join("/"))
}

/// Whether a file lies in a folder with a history of its own.
fn lies_in_another(folder: &Path, file: &Path) -> bool {
    let between = file.ancestors().skip(1).take_while(|above| *above != folder);
    between.into_iter().any(|above| above.join(".git").exists())
}

/// How git keeps a file.
#[allow(clippy::disallowed_methods, reason = "whether a file may be run is kept with it")]
fn kind_of(file: &Path) -> EntryKind {
    #[cfg(unix)]
    {
        use std::os::unix::fs::PermissionsExt as _;
        if std::fs::metadata(file).is_ok_and(|there| there.permissions().mode() & 0o100 != 0) {
            return EntryKind::BlobExecutable;
        }
    }
    let _ = file;
    EntryKind::Blob
}

/// Takes away what a program that was killed left of a repository.
fn cleared(part: &Path) -> io::Result<()> {
    match std::fs::remove_dir_all(part) {
        Err(error) if error.kind() == io::ErrorKind::NotFound => Ok(()),
        removed => removed,
    }
}

fn unwritable(path: &Path, error: &io::Error) -> NotKept {
    NotKept::disk(format!("`{}` cannot be written: {}.", shown_path(path), unwritten(error)))
}

fn not_kept(error: impl std::fmt::Display) -> NotKept {
    NotKept::new(Against::Disk, format!("The version could not be kept: {}.", shown(&error.to_string())))
}

#[cfg(test)]
#[allow(clippy::disallowed_methods, reason = "tests read and write files of their own")]
mod tests {
    use super::{add_to_history, begin_history};
    use crate::keeping::{Against, Patience};
    use crate::workspace::Repository;
    use std::fs;
    use std::path::{Path, PathBuf};
    use std::process::Command;

    fn room() -> (tempfile::TempDir, PathBuf) {
        let held = tempfile::tempdir().unwrap();
        let folder = held.path().canonicalize().unwrap();
        fs::create_dir(folder.join("creams")).unwrap();
        for (name, text) in [("gel.still", "# one\n"), ("creams/day.still", "# two\n"), ("note.txt", "not mine\n")] {
            fs::write(folder.join(name), text).unwrap();
        }
        (held, folder)
    }

    /// What the git program says, which nobody has told a name.
    fn git(folder: &Path, words: &[&str]) -> String {
        let mut command = Command::new("git");
        command.current_dir(folder).args(words).env("GIT_CONFIG_GLOBAL", "/dev/null").env("GIT_CONFIG_NOSYSTEM", "1");
        let output = command.output().unwrap();
        assert!(output.status.success(), "{words:?}: {}", String::from_utf8_lossy(&output.stderr));
        String::from_utf8(output.stdout).unwrap()
    }

    #[test]
    fn a_history_is_begun_with_the_formulas_alone_and_goes_on() {
        let (_held, folder) = room();
        assert_eq!(begin_history(&folder, "A maker", Patience::GivesUp).unwrap().files, 2);
        assert_eq!(git(&folder, &["log", "--format=%an: %s"]), "A maker: The formulas as they are\n");
        assert_eq!(git(&folder, &["ls-tree", "-r", "--name-only", "HEAD"]), "creams/day.still\ngel.still\n");
        assert_eq!(git(&folder, &["status", "--porcelain"]), "?? note.txt\n");
        git(&folder, &["fsck", "--strict"]);
        assert!(Repository::of(&folder).unwrap().unwrap().head().unwrap().is_some());
        // It is not begun twice, and another's program goes on from there.
        assert_eq!(begin_history(&folder, "A maker", Patience::GivesUp).unwrap_err().against, Against::Asked);
        fs::write(folder.join("gel.still"), "# three\n").unwrap();
        fs::write(folder.join("creams/day.still"), "# four\n").unwrap();
        git(&folder, &["add", "creams/day.still"]);
        let short = add_to_history(&folder.join("gel.still"), "gel: more of it", Patience::GivesUp).unwrap();
        assert_eq!(git(&folder, &["log", "-1", "--format=%h %s", "--abbrev=7"]), format!("{short} gel: more of it\n"));
        assert_eq!(git(&folder, &["show", "HEAD:gel.still"]), "# three\n");
        assert_eq!(git(&folder, &["show", "HEAD:creams/day.still"]), "# two\n");
        // What was staged is staged still.
        assert_eq!(git(&folder, &["status", "--porcelain"]), "M  creams/day.still\n?? note.txt\n");
        git(&folder, &["fsck", "--strict"]);
        let again = add_to_history(&folder.join("gel.still"), "once more", Patience::GivesUp);
        assert_eq!(again.unwrap_err().against, Against::Asked);
        fs::write(folder.join("new.still"), "# five\n").unwrap();
        add_to_history(&folder.join("new.still"), "new", Patience::GivesUp).unwrap();
        assert_eq!(git(&folder, &["status", "--porcelain"]), "M  creams/day.still\n?? note.txt\n");
    }

    #[test]
    fn what_a_killed_one_left_is_cleared_and_a_folder_of_another_is_refused() {
        let (_held, folder) = room();
        fs::create_dir_all(folder.join("..git.part/.git/objects")).unwrap();
        begin_history(&folder, "A maker", Patience::GivesUp).unwrap();
        assert!(!folder.join("..git.part").exists());
        let within = begin_history(&folder.join("creams"), "A maker", Patience::GivesUp).unwrap_err();
        assert_eq!(within.against, Against::Asked);
        let (_held, other) = room();
        for name in ["", "  ", "a\nb", "a <b>"] {
            assert_eq!(begin_history(&other, name, Patience::GivesUp).unwrap_err().against, Against::Asked, "{name:?}");
        }
        assert!(!other.join(".git").exists());
    }
}
