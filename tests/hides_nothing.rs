//! A statement that is broken hides nothing else: what is wrong in its block, after it and before it is told in the
//! same run.

#![allow(clippy::disallowed_methods, reason = "tests read and write files of their own")]

mod common;

use assert_cmd::Command;
use common::folder;

/// The line and message of everything told of a text.
fn told(text: &str) -> Vec<(u64, String)> {
    let folder = folder(&[("a.still", text.as_bytes())]);
    let output = Command::cargo_bin("stillroom")
        .unwrap()
        .args(["check", "a.still", "--format", "json"])
        .current_dir(folder.dir.path())
        .output()
        .unwrap();
    let json: serde_json::Value = serde_json::from_slice(&output.stdout).unwrap();
    let list = json["diagnostics"].as_array().unwrap();
    list.iter().map(|one| (one["line"].as_u64().unwrap(), one["message"].as_str().unwrap().to_string())).collect()
}

fn assert_told(text: &str, expected: &[(u64, &str)]) {
    let told = told(text);
    let fits = |(told, expected): (&(u64, String), &(u64, &str))| told.0 == expected.0 && told.1.contains(expected.1);
    assert!(told.len() == expected.len() && told.iter().zip(expected).all(fits), "{text}\n{told:#?}");
}

#[test]
fn a_block_whose_opening_word_is_misspelt_is_read_all_the_same() {
    assert_told(
        "formla balm {\n  title  \"Balm\"\n  phase A {\n    beeswax  20 grm\n    oil  (20 % + )\n  }\n}\n",
        &[(1, "`formla` opens no statement"), (4, "`grm`"), (5, "`)` does not belong")],
    );
    // A word that is near by more than one letter may be anything.
    assert_told("mula balm {\n  title  \"Balm\"\n}\n", &[(1, "`mula` opens no statement")]);
}

#[test]
fn blocks_whose_heading_is_broken_are_read_wherever_they_stand() {
    assert_told("container 3x {\n  holds  30 mll\n}\n", &[(1, "no name"), (2, "`mll`")]);
    assert_told("maker of soap {\n  adress  \"1 Mill Lane\"\n}\n", &[(1, "`{`"), (2, "`adress`")]);
    assert_told(
        "variant b of a {\n  phase {\n    add water 3 mll\n  }\n}\n",
        &[(1, "`a`"), (2, "a phase's name"), (3, "`mll`")],
    );
    assert_told(
        "batch b {\n  plan x {\n    water 3 % 3 mll\n  }\n  waited 3 mll\n}\n",
        &[(1, "which formula"), (2, "found `x`"), (3, "`mll`"), (5, "`mll`")],
    );
}

#[test]
fn what_stands_on_the_line_of_a_block_hides_neither_of_them() {
    assert_told(
        "substance a { inky \"A\" } substance b { inci \"B\" }\nmaterial c { contains a 50 %, b remainder }\n",
        &[(1, "`inky` opens no statement"), (1, "`substance` does not belong here")],
    );
    assert_told("maker { nmae \"A\" } x\n", &[(1, "`nmae`"), (1, "`x` does not belong here")]);
}

#[test]
fn one_slip_is_one_fault() {
    // A brace too many, in the middle of a line.
    let text = "maker {\n  na}me  \"A\"\n  address  \"B\"\n}\n";
    assert_told(text, &[(2, "`me` does not belong here"), (3, "`address` opens"), (4, "closes nothing")]);
    // A line end within a text that has names in braces.
    let text = "maker {\n  name  \"Mill {house\n  and} barn\"\n  country  \"Ireland\"\n}\n";
    assert_told(text, &[(2, "The quote that opens here is not closed")]);
}

#[test]
fn a_list_that_goes_on_past_a_line_takes_no_sound_line_with_it() {
    // The comma is too much; what follows opens a statement of its own.
    assert_told(
        "maker {\n  name  \"Mill\"\n}\nrule a {\n  product  leave-on,\n  level  5\n}\n",
        &[(5, "ends too soon"), (6, "Expected a word, and found `5`")],
    );
    // So is a bracket that was never closed.
    assert_told("let a = (1 %\nlet b = 3 mll\n", &[(1, "ends too soon"), (2, "`mll`")]);
}

#[test]
fn a_list_over_lines_with_one_slip_has_one_fault() {
    let list = |second: &str| format!("group a =\n  water, # the most\n  {second},\n  urea\nlet b = 3 mll\n");
    assert_told(&list("glycerin of"), &[(3, "`of,` does not belong"), (5, "`mll`")]);
    assert_told(&list("\"glycerin"), &[(3, "The quote that opens here"), (5, "`mll`")]);
    let sum = "let a = (1 % # one\n  + 2 %\n  + 3 % 4 %)\nlet b = 3 mll\n";
    assert_told(sum, &[(3, "found `4`"), (4, "`mll`")]);
}

/// Lists that nothing ends, each with a word in it that opens a statement: read once, and not once from each line.
#[test]
fn long_lists_that_are_broken_take_no_longer_than_sound_ones() {
    let text = format!("material a {{\n{}  yeast $\n}}\n", "  protects against bacteria,\n".repeat(3_000));
    let started = std::time::Instant::now();
    assert_eq!(told(&text).len(), 3_002);
    assert!(started.elapsed().as_secs() < 50, "{:?}", started.elapsed());
}
