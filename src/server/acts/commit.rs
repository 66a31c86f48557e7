//! A file committed by the maker's own git, so that her name, her hooks and her signature are as they are anywhere else;
//! without it where this machine has none.

use crate::keeping::{Patience, add_to_history};
use crate::render::shown;
use crate::server::inside::Inside;
use std::path::Path;
use std::process::{Command, Output, Stdio};

/// Commits a file and no other, whatever else is staged. Gives the short name of the commit.
///
/// # Errors
/// Why it was not committed, in a sentence.
pub fn commit(folder: &Path, file: &Inside, message: &str) -> Result<String, String> {
    if !has_git() {
        return add_to_history(file.path(), message, Patience::GivesUp).map_err(|why| why.sentence);
    }
    // A file that git does not know yet has to be told of first; of one that it knows this is what the commit does anyway.
    git(folder, &["add", "--"], file, "")?;
    git(folder, &["commit", "--quiet", "--only", "--file=-", "--cleanup=whitespace", "--"], file, message)?;
    let found = run(folder, &["rev-parse", "--short", "HEAD"], None, "")?;
    Ok(String::from_utf8_lossy(&found.stdout).trim().to_string())
}

/// Whether this machine has a git of its own.
fn has_git() -> bool {
    let mut command = Command::new("git");
    command.arg("--version").stdin(Stdio::null()).stdout(Stdio::null()).stderr(Stdio::null());
    command.status().is_ok()
}

fn git(folder: &Path, words: &[&str], file: &Inside, input: &str) -> Result<Output, String> {
    run(folder, words, Some(file), input)
}

/// Runs git in the folder. `words` come before the file, which is taken by the letter.
fn run(folder: &Path, words: &[&str], file: Option<&Inside>, input: &str) -> Result<Output, String> {
    use std::io::Write as _;
    let mut command = Command::new("git");
    command.arg("--literal-pathspecs").arg("-C").arg(folder).args(words).args(file.map(Inside::path));
    command.stdin(Stdio::piped()).stdout(Stdio::piped()).stderr(Stdio::piped());
    // No editor and no question at a terminal that nobody looks at.
    command.env("GIT_EDITOR", "true").env("GIT_TERMINAL_PROMPT", "0");
    let mut child = command.spawn().map_err(|error| format!("git cannot be started: {error}."))?;
    if let Some(mut stdin) = child.stdin.take() {
        let _ = stdin.write_all(input.as_bytes());
    }
    let output = child.wait_with_output().map_err(|error| format!("git cannot be waited for: {error}."))?;
    match output.status.success() {
        true => Ok(output),
        false => Err(why(&output)),
    }
}

/// What git says of it. What is not yet told to git is said in our words.
fn why(output: &Output) -> String {
    let all = [output.stderr.as_slice(), output.stdout.as_slice()].concat();
    let text = String::from_utf8_lossy(&all);
    if text.contains("user.email") || text.contains("user.name") {
        return "git does not know who you are yet. At a terminal: `git config --global user.name \"NAME\"` and \
                `git config --global user.email MAIL`."
            .to_string();
    }
    if text.contains("nothing to commit") || text.contains("nothing added") || text.contains("no changes added") {
        return "there is nothing that is not committed yet.".to_string();
    }
    let lines: Vec<&str> = text.lines().map(str::trim).filter(|line| !line.is_empty()).take(3).collect();
    format!("git says: {}", shown(&lines.join(" ")))
}
