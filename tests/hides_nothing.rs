//! A statement that is broken hides nothing else, and costs no time: what is told in each case stands in
//! `tests/suite/hides-nothing`.

#![allow(clippy::disallowed_methods, reason = "tests read and write files of their own")]

mod common;

use assert_cmd::Command;
use common::folder;

/// How many faults are told of a text.
fn told(text: &str) -> usize {
    let folder = folder(&[("a.still", text.as_bytes())]);
    let output = Command::cargo_bin("stillroom")
        .unwrap()
        .args(["check", "a.still", "--format", "json"])
        .current_dir(folder.dir.path())
        .output()
        .unwrap();
    let json: serde_json::Value = serde_json::from_slice(&output.stdout).unwrap();
    json["diagnostics"].as_array().unwrap().len()
}

/// Lists that nothing ends, each with a word in it that opens a statement: read once, and not once from each line.
#[test]
fn long_lists_that_are_broken_take_no_longer_than_sound_ones() {
    let text = format!("material a {{\n{}  yeast $\n}}\n", "  protects against bacteria,\n".repeat(3_000));
    let started = std::time::Instant::now();
    assert_eq!(told(&text), 3_002);
    assert!(started.elapsed().as_secs() < 50, "{:?}", started.elapsed());
}
