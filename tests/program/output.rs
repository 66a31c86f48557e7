//! Output that cannot be written is a fault of its own, told in a sentence; a reader that has gone away is none.

#![cfg(unix)]
#![allow(clippy::disallowed_methods, reason = "tests read and write files of their own")]

use crate::common::repository::Repository;
use crate::common::{Folder, folder};
use assert_cmd::cargo::CommandCargoExt as _;
use std::fs;
use std::path::Path;
use std::process::{Command, Output, Stdio};

/// A folder with a formula, a record, and a file that `fmt` lays out anew.
fn workshop() -> Folder {
    let example = |name: &str| fs::read(Path::new(env!("CARGO_MANIFEST_DIR")).join("examples").join(name)).unwrap();
    folder(&[
        ("acid-gel.still", &example("acid-gel.still")),
        ("acid-gel-batches.still", &example("acid-gel-batches.still")),
        ("stocks.still", &example("stocks.still")),
        ("materials.still", &example("materials.still")),
        ("untidy.still", b"material  m{contains water 100%}\n"),
        ("wrong.still", b"formula f {\n  makes 3 gramms\n}\n"),
        ("record.still", b"batch b {\n}\n"),
    ])
}

/// A run of every command that prints, by its words.
const PRINTING: &[&str] = &[
    "--help",
    "--version",
    "sheet --help",
    "check wrong.still",
    "check acid-gel.still --format json",
    "check acid-gel.still --format sarif",
    "check wrong.still --format github",
    "check untidy.still wrong.still --fix",
    "sheet acid-gel.still",
    "sheet acid-gel-batches.still --record ag-1114",
    "diff acid-gel.still acid-gel.still --format json",
    "why acid-gel.still water",
    "cost acid-gel.still",
    "ph acid-gel.still",
    "bench acid-gel-batches.still",
    "trace water acid-gel-batches.still",
    "record record.still note said",
    "fmt --diff untidy.still",
    "fmt untidy.still",
    "shelf",
    "shelf glycerin --format json",
    "explain",
    "explain total-over-100",
    "new bench",
];

fn command(folder: &Folder, words: &str) -> Command {
    let mut command = Command::cargo_bin("stillroom").unwrap();
    command.current_dir(folder.dir.path()).args(words.split(' ')).stdin(Stdio::null());
    command
}

fn full() -> fs::File {
    fs::OpenOptions::new().write(true).open("/dev/full").unwrap()
}

/// The writing end of a pipe that nobody reads.
fn unread() -> std::io::PipeWriter {
    let (reader, writer) = std::io::pipe().unwrap();
    drop(reader);
    writer
}

fn told(output: &Output) -> String {
    String::from_utf8(output.stderr.clone()).unwrap()
}

#[test]
fn every_command_fails_with_a_sentence_where_its_output_finds_the_disk_full() {
    for words in PRINTING {
        let folder = workshop();
        let plain = command(&folder, words).output().unwrap();
        assert!(!plain.stdout.is_empty(), "{words}: {}", told(&plain));
        let folder = workshop();
        let output = command(&folder, words).stdout(full()).output().unwrap();
        let told = told(&output);
        assert_eq!(output.status.code(), Some(2), "{words}: {told}");
        let sentence = "What was to be printed cannot be written: the disk is full.\n";
        assert!(told.ends_with(sentence) && told.matches(sentence).count() == 1, "{words}: {told}");
        assert!(!told.contains("os error"), "{words}: {told}");
    }
}

#[test]
fn a_log_fails_where_its_output_finds_the_disk_full() {
    let repository = Repository::new();
    repository.write("f.still", "formula f {\n  version \"1\"\n}\n");
    repository.commit("first");
    let mut command = Command::cargo_bin("stillroom").unwrap();
    let output = command.current_dir(repository.path()).args(["log", "f.still"]).stdout(full()).output().unwrap();
    assert_eq!(output.status.code(), Some(2), "{}", told(&output));
    assert!(told(&output).ends_with("What was to be printed cannot be written: the disk is full.\n"));
}

#[test]
fn what_was_asked_for_is_done_though_it_cannot_be_told() {
    let folder = workshop();
    let at = |name: &str| fs::read_to_string(folder.dir.path().join(name)).unwrap();
    let output = command(&folder, "record record.still note said").stdout(full()).output().unwrap();
    assert!(told(&output).contains("It stands in `record.still` all the same.\n"), "{}", told(&output));
    assert_eq!(at("record.still"), "batch b {\n  note  \"said\"\n}\n");
    let before = at("untidy.still");
    let output = command(&folder, "fmt untidy.still").stdout(full()).output().unwrap();
    assert!(told(&output).starts_with("1 file laid out anew.\n"), "{}", told(&output));
    assert_ne!(at("untidy.still"), before);
}

#[test]
fn a_standard_error_that_cannot_be_written_is_a_fault() {
    for words in ["check acid-gel.still", "check wrong.still --format json", "fmt untidy.still", "sheet gone.still"] {
        let folder = workshop();
        let silent = command(&folder, words).output().unwrap().stderr.is_empty();
        let folder = workshop();
        let output = command(&folder, words).stderr(full()).output().unwrap();
        let wanted = if silent { 1 } else { 2 };
        assert_eq!(output.status.code(), Some(wanted), "{words}");
    }
}

#[test]
fn a_reader_that_has_gone_away_is_no_fault() {
    for words in PRINTING {
        let (before, after) = (workshop(), workshop());
        let plain = command(&before, words).output().unwrap();
        let output = command(&after, words).stdout(unread()).output().unwrap();
        assert_eq!(output.status.code(), plain.status.code(), "{words}: {}", told(&output));
        assert_eq!(told(&output), told(&plain), "{words}");
        assert_eq!(contents(&after), contents(&before), "{words}");
    }
}

#[test]
fn a_standard_error_without_a_reader_changes_nothing_else() {
    for words in
        PRINTING.iter().copied().chain(["sheet gone.still", "wrong-command", "check", "fmt", "sheet wrong.still"])
    {
        let before = workshop();
        let plain = command(&before, words).output().unwrap();
        let gone = workshop();
        let output = command(&gone, words).stderr(unread()).output().unwrap();
        assert_eq!((output.status.code(), &output.stdout), (plain.status.code(), &plain.stdout), "{words}");
        assert_eq!(contents(&gone), contents(&before), "{words}");
        let closed = workshop();
        let program = assert_cmd::cargo::cargo_bin("stillroom");
        let script = format!("exec '{}' {words} 2>&-", program.display());
        let mut shell = Command::new("sh");
        let output = shell.current_dir(closed.dir.path()).args(["-c", &script]).stdin(Stdio::null()).output().unwrap();
        assert_eq!((output.status.code(), &output.stdout), (plain.status.code(), &plain.stdout), "{words}");
        assert_eq!(contents(&closed), contents(&before), "{words}");
    }
}

/// Every file of a folder with its text.
fn contents(folder: &Folder) -> Vec<(String, String)> {
    let mut all = Vec::new();
    let mut folders = vec![folder.dir.path().to_path_buf()];
    while let Some(within) = folders.pop() {
        for entry in fs::read_dir(&within).unwrap() {
            let path = entry.unwrap().path();
            match path.is_dir() {
                true => folders.push(path),
                false => {
                    let name = path.strip_prefix(folder.dir.path()).unwrap().display().to_string();
                    all.push((name, fs::read_to_string(&path).unwrap()));
                }
            }
        }
    }
    all.sort();
    all
}
