//! Every target of `tests/fuzz/targets` on its corpus, and on edits of it: always the same ones, and so many that it
//! stays a matter of seconds. `STILLROOM_FUZZ=100000` tries as many of each.

#![allow(clippy::disallowed_methods, reason = "tests read and write files of their own")]

#[path = "fuzz/edits.rs"]
mod edits;
#[path = "fuzz/targets/mod.rs"]
mod targets;

use assert_cmd::Command;
use edits::{edited, edits};
use proptest::prelude::*;
use proptest::test_runner::{RngSeed, TestRunner};
use std::fmt;
use std::fs;
use std::path::{Path, PathBuf};
use targets::words::Ended;

fn folder() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/fuzz")
}

/// The corpus of a target, in the order of its names.
fn corpus(target: &str) -> Vec<(PathBuf, Vec<u8>)> {
    let entries = fs::read_dir(folder().join("corpus").join(target)).unwrap();
    let mut paths: Vec<PathBuf> = entries.map(|entry| entry.unwrap().path()).collect();
    paths.sort();
    assert!(paths.len() >= 12, "{target} has a corpus");
    paths.into_iter().map(|path| (path.clone(), fs::read(&path).unwrap())).collect()
}

/// The words of the language and of the command line, from the dictionary that the guided run has too.
fn dictionary() -> Vec<String> {
    let text = fs::read_to_string(folder().join("words.dict")).unwrap();
    let words = text.lines().filter_map(|line| line.strip_prefix('"')?.strip_suffix('"'));
    words.map(|word| word.replace("\\\"", "\"").replace("\\\\", "\\")).collect()
}

/// A text that was tried, to be read in a failure.
struct Tried(String);

impl fmt::Debug for Tried {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{:?}, which is\n{}", self.0, self.0)
    }
}

/// Tries a target on its corpus, and on so many edits of it.
fn tried(target: &str, cases: u32, run: impl Fn(&[u8])) {
    let corpus = corpus(target);
    for (path, bytes) in &corpus {
        // Shown only where it fails.
        println!("{}", path.display());
        run(bytes);
    }
    let cases = std::env::var("STILLROOM_FUZZ").ok().and_then(|cases| cases.parse().ok()).unwrap_or(cases);
    let texts: Vec<String> = corpus.into_iter().filter_map(|(_, bytes)| String::from_utf8(bytes).ok()).collect();
    let words = dictionary();
    let drawn = (0..texts.len(), 0..texts.len(), edits());
    let drawn = drawn.prop_map(|(one, other, edits)| Tried(edited(&texts[one], &edits, &texts[other], &words)));
    let config =
        ProptestConfig { cases, failure_persistence: None, rng_seed: RngSeed::Fixed(1), ..ProptestConfig::default() };
    let outcome = TestRunner::new(config).run(&drawn, |tried| {
        run(tried.0.as_bytes());
        Ok(())
    });
    if let Err(failure) = outcome {
        panic!("{failure}");
    }
}

#[test]
fn text_to_diagnostics() {
    tried("text", 500, targets::text::text);
}

#[test]
fn format_twice() {
    tried("format", 800, targets::format::format);
}

#[test]
fn fixes_mend_and_change_no_meaning() {
    tried("fixes", 400, targets::fixes::fixes);
}

#[test]
fn records_add_up() {
    tried("records", 50, targets::records::records);
}

#[test]
fn words_of_the_command_line() {
    tried("words", 100, |data| targets::words::words(data, &as_a_program));
}

/// The real program.
fn as_a_program(folder: &Path, words: &[String], input: &[u8]) -> Ended {
    let mut command = Command::cargo_bin("stillroom").unwrap();
    let output = command.current_dir(folder).args(words).write_stdin(input).output().unwrap();
    let err = String::from_utf8_lossy(&output.stderr).into_owned();
    Ended { code: output.status.code().unwrap_or(-1), err }
}

/// A word that the dictionary lacks is one that no edit puts in.
#[test]
fn the_dictionary_has_every_word_of_the_grammar() {
    let known = dictionary();
    let grammar = fs::read_to_string(folder().join("../../grammar/stillroom.pest")).unwrap();
    let rules = grammar.lines().filter(|line| !line.trim_start().starts_with("//"));
    let words = rules.flat_map(|line| line.split('"').skip(1).step_by(2)).filter(|word| {
        let first = word.starts_with(|c: char| c.is_ascii_alphabetic());
        first && word.len() > 1
    });
    let missing: Vec<&str> = words.filter(|word| !known.iter().any(|known| known == word)).collect();
    assert_eq!(missing, Vec::<&str>::new(), "add them to tests/fuzz/words.dict");
}
