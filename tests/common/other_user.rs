//! The program run as a user to whom files can be closed: one who may do everything may read everything.

use std::os::unix::fs::{MetadataExt as _, PermissionsExt as _};
use std::os::unix::process::CommandExt as _;
use std::path::Path;
use std::process::Command;

/// A user that owns nothing, by number: `nobody` nearly everywhere.
const NOBODY: u32 = 65534;

/// Closes a file or folder to all.
pub fn close(path: &Path) {
    std::fs::set_permissions(path, std::fs::Permissions::from_mode(0o000)).unwrap();
}

/// Opens it again, so that it can be cleared away.
pub fn open(path: &Path) {
    std::fs::set_permissions(path, std::fs::Permissions::from_mode(0o755)).unwrap();
}

/// Runs the program in a folder: exit code, standard output, standard error. Who may do everything runs it as nobody.
pub fn run(folder: &Path, arguments: &[&str]) -> (i32, String, String) {
    let home = tempfile::tempdir().unwrap();
    let program = home.path().join("stillroom");
    let built = Path::new(env!("CARGO_BIN_EXE_stillroom"));
    // Where it was built may be closed to nobody.
    if std::fs::hard_link(built, &program).is_err() {
        std::fs::copy(built, &program).unwrap();
    }
    let mut command = Command::new(&program);
    if std::fs::metadata(home.path()).unwrap().uid() == 0 {
        open(home.path());
        open(folder);
        command.uid(NOBODY).gid(NOBODY);
    }
    let output = command.current_dir(folder).args(arguments).output().unwrap();
    let text = |bytes: Vec<u8>| String::from_utf8(bytes).unwrap();
    (output.status.code().unwrap(), text(output.stdout), text(output.stderr))
}
