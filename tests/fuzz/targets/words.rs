//! Words of the command line: run in a folder of their own, they end with 0, 1 or 2 and a sentence, never with a panic;
//! only the commands that are asked to write do, and none leaves a part of a file behind.
//!
//! The data are a command a line, and after a parting the text of `a.still`, which is also what stands on standard input.

use super::{parted, shell_words};
use std::collections::BTreeMap;
use std::fs;
use std::path::Path;

/// More commands show nothing new.
const COMMANDS: usize = 3;

/// How a command ended.
pub struct Ended {
    /// The exit code; below nought where there is none.
    pub code: i32,
    /// What it said on standard error; empty where that is not known.
    pub err: String,
}

/// Runs the program: in a folder, with these words and this standard input.
pub type Run = dyn Fn(&Path, &[String], &[u8]) -> Ended;

const FORMULA: &str = "\
use shelf/all

formula tonic {
  version \"1\"
  product leave-on face
  makes 100 g
  scale 0.01 g
  phase A {
    water q.s. hold back 10 %
    glycerin 4 %
    lactic-acid-80 1 % active
    phenoxyethanol-ethylhexylglycerin 1 %
    sodium-hydroxide-10 q.s. to pH
  }
  pH 3.8 to 4.2
}
";

const RECORD: &str = "\
use \"a.still\"

batch t-1 {
  formula tonic version \"1\"
  started 2026-11-20
  size 100 g
  lot water \"W-1\"
  weighed water 80 g
}
";

/// Tries commands.
pub fn words(data: &[u8], run: &Run) {
    let Ok(data) = std::str::from_utf8(data) else { return };
    let (lines, text) = parted(data);
    let text = text.unwrap_or(FORMULA);
    let folder = tempfile::tempdir().unwrap();
    fs::create_dir(folder.path().join("deep")).unwrap();
    for (name, text) in [("a.still", text), ("b.still", RECORD), ("deep/c.still", "let a = 1 %\n"), ("d.txt", "x")] {
        fs::write(folder.path().join(name), text).unwrap();
    }
    for line in lines.into_iter().take(COMMANDS) {
        let words: Vec<String> = shell_words(line).iter().map(|word| kept_inside(word)).collect();
        let before = files(folder.path());
        let ended = run(folder.path(), &words, text.as_bytes());
        let told = format!("{words:?} ended with {}: {}", ended.code, ended.err);
        assert!((0..=2).contains(&ended.code) && !ended.err.contains("fault of stillroom"), "{told}");
        let after = files(folder.path());
        assert!(writes(&words) || before == after, "{words:?} wrote something");
        let part = |name: &&String| name.starts_with('.') && (name.ends_with(".part") || name.contains(".tmp"));
        assert_eq!(after.keys().find(part), None, "{words:?} left a part behind");
    }
}

/// Whether a command may write.
fn writes(words: &[String]) -> bool {
    let asked = |word: &String| ["fmt", "record", "new"].contains(&word.as_str());
    words.iter().any(|word| asked(word) || word == "--fix" || word.starts_with("--out"))
}

/// A word that names nothing outside the folder: no way up, and no way down but into `deep`.
fn kept_inside(word: &str) -> String {
    let kept = word.replace('\0', "");
    let parts: Vec<&str> = kept.split('/').collect();
    let inside = |at: usize| parts.get(at).is_some_and(|part| *part == "deep" || part.ends_with("=deep"));
    let mut joined = String::new();
    for (at, part) in parts.iter().enumerate() {
        joined.push_str(part);
        if inside(at) && at + 1 < parts.len() {
            joined.push('/');
        }
    }
    while joined.contains("..") {
        joined = joined.replace("..", ".");
    }
    assert!(!joined.starts_with('/') && !joined.contains("..") && !joined.contains("=/"), "{joined:?} leads out");
    joined
}

/// Every file under a folder with what is in it.
fn files(folder: &Path) -> BTreeMap<String, Vec<u8>> {
    let mut found = BTreeMap::new();
    let mut folders = vec![folder.to_path_buf()];
    while let Some(next) = folders.pop() {
        for entry in fs::read_dir(&next).unwrap() {
            let path = entry.unwrap().path();
            let name = path.strip_prefix(folder).unwrap().to_string_lossy().into_owned();
            if path.is_dir() {
                found.insert(name, Vec::new());
                folders.push(path);
            } else {
                found.insert(name, fs::read(&path).unwrap());
            }
        }
    }
    found
}
