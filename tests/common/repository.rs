//! A git repository for one test, made with the git program; the program under test reads it through its library.

use std::path::{Path, PathBuf};
use std::process::Command;

/// A repository, gone when dropped.
pub struct Repository {
    dir: tempfile::TempDir,
}

/// Who commits, and when: always the same.
const WHO: [(&str, &str); 6] = [
    ("GIT_AUTHOR_NAME", "Tests"),
    ("GIT_AUTHOR_EMAIL", "tests@example.org"),
    ("GIT_COMMITTER_NAME", "Tests"),
    ("GIT_COMMITTER_EMAIL", "tests@example.org"),
    ("GIT_CONFIG_GLOBAL", "/dev/null"),
    ("GIT_CONFIG_SYSTEM", "/dev/null"),
];

impl Repository {
    /// An empty one.
    pub fn new() -> Repository {
        let made = Repository { dir: tempfile::tempdir().unwrap() };
        made.git(&["init", "-q", "-b", "main"]);
        made
    }

    /// A copy of a repository, as `git clone` makes it.
    pub fn cloned(from: &Repository, options: &[&str]) -> Repository {
        let made = Repository { dir: tempfile::tempdir().unwrap() };
        let url = format!("file://{}", from.path().display());
        let mut arguments = vec!["clone", "-q"];
        arguments.extend(options);
        arguments.extend([url.as_str(), "."]);
        made.git(&arguments);
        made
    }

    /// Its folder.
    pub fn path(&self) -> PathBuf {
        std::fs::canonicalize(self.dir.path()).unwrap()
    }

    /// Runs git in it and gives what it prints.
    pub fn git(&self, arguments: &[&str]) -> String {
        self.git_at(1_700_000_000, arguments)
    }

    /// The same at a time, in seconds since 1970.
    pub fn git_at(&self, seconds: u64, arguments: &[&str]) -> String {
        let when = format!("{seconds} +0000");
        let mut git = Command::new("git");
        git.current_dir(self.dir.path()).args(["-c", "protocol.file.allow=always"]).args(arguments).envs(WHO);
        let output = git.env("GIT_AUTHOR_DATE", &when).env("GIT_COMMITTER_DATE", &when).output().unwrap();
        assert!(output.status.success(), "git {arguments:?}: {}", String::from_utf8_lossy(&output.stderr));
        String::from_utf8(output.stdout).unwrap()
    }

    /// Runs git in it and says whether that went well.
    pub fn tries_git(&self, arguments: &[&str]) -> bool {
        let mut git = Command::new("git");
        git.current_dir(self.dir.path()).args(arguments).envs(WHO).output().unwrap().status.success()
    }

    /// Writes a file.
    pub fn write(&self, name: &str, text: &str) {
        let path = self.dir.path().join(name);
        std::fs::create_dir_all(path.parent().unwrap()).unwrap();
        std::fs::write(path, text).unwrap();
    }

    /// Takes a file away.
    pub fn remove(&self, name: &str) {
        std::fs::remove_file(self.dir.path().join(name)).unwrap();
    }

    /// Commits everything there is; an hour after the commit before.
    pub fn commit(&self, message: &str) -> String {
        self.git(&["add", "-A"]);
        let count: u64 = match std::process::Command::new("git")
            .current_dir(self.dir.path())
            .args(["rev-list", "--count", "--all"])
            .output()
        {
            Ok(output) => String::from_utf8(output.stdout).unwrap().trim().parse().unwrap_or(0),
            Err(_) => 0,
        };
        self.git_at(1_700_000_000 + 3600 * count, &["commit", "-q", "--allow-empty", "-m", message]);
        self.git(&["rev-parse", "HEAD"]).trim().to_string()
    }

    /// Runs the program in it: exit code, standard output, standard error.
    pub fn run(&self, arguments: &[&str]) -> (i32, String, String) {
        run_in(self.dir.path(), arguments)
    }

    /// What the program prints as JSON.
    pub fn json(&self, arguments: &[&str]) -> serde_json::Value {
        let (_, out, err) = self.run(arguments);
        serde_json::from_str(&out).unwrap_or_else(|error| panic!("{arguments:?}: {error}\n{out}{err}"))
    }

    /// The codes that a command gives as JSON.
    pub fn codes(&self, arguments: &[&str]) -> Vec<String> {
        let json = self.json(arguments);
        json["diagnostics"].as_array().unwrap().iter().map(|one| one["code"].as_str().unwrap().to_string()).collect()
    }
}

/// Runs the program in a folder.
pub fn run_in(folder: &Path, arguments: &[&str]) -> (i32, String, String) {
    let output = Command::new(env!("CARGO_BIN_EXE_stillroom")).current_dir(folder).args(arguments).output().unwrap();
    let text = |bytes: Vec<u8>| String::from_utf8(bytes).unwrap();
    (output.status.code().unwrap(), text(output.stdout), text(output.stderr))
}
