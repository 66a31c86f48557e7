//! Bad input through the real command line: a clear message or a right answer, the exit code as designed, nothing
//! written.

#![allow(clippy::disallowed_methods, reason = "tests read and write files of their own")]

use crate::common::{Folder, folder};
use assert_cmd::Command;
use std::fs;
use std::path::Path;
use std::time::{Duration, Instant};

/// Long enough for the slowest machine, short enough to show that nothing runs away.
const SECONDS: Duration = Duration::from_secs(60);

struct Ran {
    code: i32,
    out: String,
    err: String,
}

fn run(arguments: &[&str], input: &[u8], at: &Path) -> Ran {
    let started = Instant::now();
    let output = Command::cargo_bin("stillroom")
        .unwrap()
        .args(arguments)
        .current_dir(at)
        .write_stdin(input.to_vec())
        .timeout(SECONDS)
        .output()
        .unwrap();
    assert!(started.elapsed() < SECONDS, "{arguments:?} ran away");
    let text = |bytes: Vec<u8>| String::from_utf8(bytes).unwrap();
    let ran = Ran { code: output.status.code().unwrap_or(-1), out: text(output.stdout), err: text(output.stderr) };
    assert!(!ran.err.contains("fault of stillroom"), "{arguments:?} panicked: {}", ran.err);
    ran
}

fn in_folder(files: &[(&str, &[u8])], arguments: &[&str]) -> Ran {
    let folder: Folder = folder(files);
    let before = listing(folder.dir.path());
    let ran = run(arguments, b"", folder.dir.path());
    assert_eq!(before, listing(folder.dir.path()), "something was written");
    ran
}

fn listing(folder: &Path) -> Vec<String> {
    let mut names: Vec<String> =
        fs::read_dir(folder).unwrap().map(|entry| entry.unwrap().path().display().to_string()).collect();
    names.sort();
    names
}

fn codes(text: &[u8]) -> (i32, Vec<String>) {
    let ran = in_folder(&[("a.still", text)], &["check", "a.still", "--format", "json"]);
    let json: serde_json::Value = serde_json::from_str(&ran.out).unwrap();
    let list = json["diagnostics"].as_array().unwrap();
    (ran.code, list.iter().map(|one| one["code"].as_str().unwrap().to_string()).collect())
}

const WATER: &str = "substance water { inci \"Aqua\" }\nmaterial water { role solvent }\n";

#[test]
fn an_empty_file_is_no_fault_and_has_no_sheet() {
    assert_eq!(codes(b""), (0, vec![]));
    let ran = in_folder(&[("a.still", b"")], &["sheet", "a.still"]);
    assert_eq!((ran.code, ran.out.as_str()), (2, ""));
    assert!(ran.err.contains("no formula"), "{}", ran.err);
}

#[test]
fn folders_and_missing_files() {
    let ran = in_folder(&[("deep/a.still", WATER.as_bytes())], &["check", "."]);
    assert_eq!((ran.code, ran.out.as_str()), (0, ""));
    let ran = in_folder(&[("a.txt", b"")], &["check", "."]);
    assert_eq!(ran.code, 2);
    assert!(ran.err.contains("no `.still` file"), "{}", ran.err);
    let ran = in_folder(&[("a.txt", b"")], &["check", "gone.still"]);
    assert_eq!(ran.code, 2);
    assert!(ran.err.contains("`gone.still` cannot be opened: there is no such file."), "{}", ran.err);
}

#[test]
fn wrong_calls_are_exit_2() {
    for arguments in [
        &["chekc"][..],
        &["check", "--fromat", "json"],
        &["explain", "total-over-101"],
        &["sheet", "a.still", "--batch", "many"],
        &["sheet", "a.still", "--batch", "12"],
        &["sheet", "a.still", "--scale", "0g"],
        &["sheet", "a.still", "--formula", "gone"],
    ] {
        let ran = in_folder(&[("a.still", WATER.as_bytes())], arguments);
        assert_eq!((ran.code, ran.out.as_str()), (2, ""), "{arguments:?}");
        assert!(!ran.err.is_empty(), "{arguments:?}");
    }
}

#[test]
fn bytes_that_are_not_utf_8_are_one_fault() {
    assert_eq!(codes(b"let caf\xe9 = 1 %\nlet b = 3 blorps\n"), (1, vec!["not-utf-8".to_string()]));
}

#[test]
fn a_byte_order_mark_and_crlf_read_like_plain_text() {
    let text = format!(
        "\u{feff}{WATER}formula a {{\n  product stock\n  makes 10 g\n  scale 0.01 g\n  phase A {{\n    water 100 % # all\n  }}\n}}\n"
    );
    assert_eq!(codes(text.replace('\n', "\r\n").as_bytes()), (0, vec![]));
    let broken = text.replace("100 %", "100 %%").replace('\n', "\r\n");
    let ran = in_folder(&[("a.still", broken.as_bytes())], &["check", "a.still", "--format", "json"]);
    let json: serde_json::Value = serde_json::from_str(&ran.out).unwrap();
    assert_eq!(json["diagnostics"][0]["line"], 8);
}

/// Found by the fuzz target `text`: a place ended within a letter of several bytes, and so a letter too early.
#[test]
fn a_place_ends_after_a_letter_of_several_bytes() {
    let marked = |text: &str| {
        let ran = in_folder(&[("a.still", text.as_bytes())], &["check", "a.still", "--format", "json"]);
        let json: serde_json::Value = serde_json::from_str(&ran.out).unwrap();
        let one = json["diagnostics"].as_array().unwrap().iter().find(|one| one["code"] == "syntax").unwrap();
        (one["column"].as_u64(), one["end_column"].as_u64())
    };
    assert_eq!(marked("formula f {\n  title \"a\\é\"\n}\n"), (Some(11), Some(13)));
    assert_eq!(marked("formula f {\u{85}\n}\n"), (Some(12), Some(13)));
    assert_eq!(marked("material m {\n\u{85}  role humectant\n}\n"), (Some(1), Some(2)));
}

#[test]
fn a_file_over_the_limit_has_its_own_message() {
    let text = format!("{WATER}# {}\n", "x".repeat(16 * 1024 * 1024));
    assert_eq!(codes(text.as_bytes()), (1, vec!["file-too-large".to_string()]));
}

#[test]
fn nesting_100_000_deep_hides_no_fault_elsewhere() {
    let deep = "(".repeat(100_000);
    let closed = ")".repeat(100_000);
    let text = format!("let a = {deep}1 %{closed}\nlet b = 3 blorps\n");
    assert_eq!(codes(text.as_bytes()), (1, vec!["too-deep".to_string(), "unknown-unit".to_string()]));
    let open = format!("{}\nsubstance b {{ inky \"x\" }}\n", "{".repeat(100_000));
    assert_eq!(codes(open.as_bytes()), (1, vec!["too-deep".to_string(), "syntax".to_string()]));
    let braces = format!("{}{}", "formula a {".repeat(100_000), "}".repeat(100_000));
    assert_eq!(codes(braces.as_bytes()), (1, vec!["too-deep".to_string()]));
}

#[test]
fn numbers_of_10_000_digits() {
    let text = format!("let a = {} %\nlet b = 0.{}1 %\n", "9".repeat(10_000), "0".repeat(10_000));
    assert_eq!(codes(text.as_bytes()), (1, vec!["number-too-long".to_string(), "number-too-long".to_string()]));
}

#[test]
fn a_ring_of_imports_is_shown_whole() {
    let files: &[(&str, &[u8])] =
        &[("a.still", b"use \"b.still\"\n"), ("b.still", b"use \"c.still\"\n"), ("c.still", b"use \"a.still\"\n")];
    let ran = in_folder(files, &["check", "a.still"]);
    assert_eq!(ran.code, 1);
    assert!(ran.out.contains("`a.still` → `b.still` → `c.still` → `a.still`"), "{}", ran.out);
}

#[test]
fn an_import_never_leaves_the_workspace() {
    let files: &[(&str, &[u8])] =
        &[("in/.git/HEAD", b""), ("in/a.still", b"use \"../out.still\"\nuse \"/etc/hostname\"\n"), ("out.still", b"")];
    let ran = in_folder(files, &["check", "in/a.still", "--format", "json"]);
    assert_eq!(ran.code, 1);
    assert_eq!(ran.out.matches("\"use-outside\"").count(), 2, "{}", ran.out);
}

/// Without git there is nothing that says where a workspace ends: it is the folder that both files lie in.
#[test]
fn without_git_the_workspace_is_the_folder_that_the_files_share() {
    let files: &[(&str, &[u8])] = &[
        ("in/deep/a.still", b"use \"../../out.still\"\nuse \"b.still\"\n"),
        ("in/deep/b.still", b"let x = 3 blorps\n"),
        ("out.still", b"let y = 3 blorps\n"),
        ("own/.git/HEAD", b""),
        ("own/c.still", b""),
        ("in/d.still", b"use \"../own/c.still\"\n"),
        ("in/e.still", b"use \"../gone.still\"\nuse \"../../../../../../../../../../out.still\"\n"),
    ];
    let ran = in_folder(files, &["check", "in/deep/a.still", "--format", "sarif"]);
    assert!(!ran.out.contains("use-outside"), "{}", ran.out);
    assert!(ran.out.contains("\"in/deep/b.still\"") && ran.out.contains("\"out.still\""), "{}", ran.out);
    // What lies in a workspace of git is that one's; what is not there is in none.
    for (file, count) in [("in/d.still", 1), ("in/e.still", 2)] {
        let ran = in_folder(files, &["check", file, "--format", "json"]);
        assert_eq!(ran.out.matches("\"use-outside\"").count(), count, "{}", ran.out);
        assert!(ran.out.contains("git init"), "{}", ran.out);
    }
}

/// Two premixes on each of forty levels, each made of both below: 2^40 paths, eighty formulas.
#[test]
fn a_premix_graph_whose_paths_double_forty_times_is_worked_out_once() {
    let mut text = String::from(WATER);
    text.push_str("substance glycerin { inci \"Glycerin\" }\nmaterial glycerin { role humectant }\n");
    let formula = |name: &str, lines: &str| {
        format!("formula {name} {{\n  product stock\n  makes 100 g\n  scale 0.01 g\n  phase A {{\n{lines}  }}\n}}\n")
    };
    text += &formula("p0", "    water 50 %\n    glycerin 50 %\n");
    text += &formula("q0", "    water 40 %\n    glycerin 60 %\n");
    for level in 1..=40 {
        let below = level - 1;
        for kind in ["p", "q"] {
            text += &formula(&format!("{kind}{level}"), &format!("    p{below} 50 %\n    q{below} q.s.\n"));
        }
    }
    let ran = in_folder(&[("a.still", text.as_bytes())], &["sheet", "a.still", "--formula", "p40", "--format", "json"]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    let json: serde_json::Value = serde_json::from_str(&ran.out).unwrap();
    // Half of 50 % and half of 40 %, whatever the level.
    let water = json["substances"].as_array().unwrap().iter().find(|one| one["substance"] == "water").unwrap();
    assert_eq!(water["percent_low"], "45");
}

/// Digits multiply through premixes of premixes; past the limit the figure is refused, not carried at any cost.
#[test]
fn figures_that_outgrow_the_limit_are_told_of() {
    let mut text = String::from(WATER);
    text.push_str("substance glycerin { inci \"Glycerin\" }\nmaterial glycerin { role humectant }\n");
    let formula = |name: &str, lines: &str| {
        format!("formula {name} {{\n  product stock\n  makes 100 g\n  scale 0.01 g\n  phase A {{\n{lines}  }}\n}}\n")
    };
    text += &formula("p0", "    water 50 %\n    glycerin 50 %\n");
    for level in 1..=200 {
        let below = level - 1;
        text +=
            &formula(&format!("p{level}"), &format!("    p{below} 33.3333333333333333333333331 %\n    water q.s.\n"));
    }
    let (code, codes) = codes(text.as_bytes());
    assert_eq!((code, codes), (1, vec!["number-too-long".to_string()]));
}

#[test]
fn long_chains_need_no_deep_stack() {
    let mut lets = String::from("let a0 = 1 %\n");
    let mut likes = format!("{WATER}material m0 {{ contains water 100 % }}\n");
    for at in 1..5_000 {
        lets += &format!("let a{at} = a{} * 1\n", at - 1);
        likes += &format!("material m{at} like m{} {{ }}\n", at - 1);
    }
    let reversed: Vec<&str> = likes.lines().rev().collect();
    assert_eq!(codes(lets.as_bytes()), (0, vec![]));
    assert_eq!(codes(likes.as_bytes()), (0, vec![]));
    assert_eq!(codes(reversed.join("\n").as_bytes()), (0, vec![]));
    let sum = format!("let a = 1 %{}\n", " + 1 %".repeat(50_000));
    assert_eq!(codes(sum.as_bytes()), (0, vec![]));
}

#[test]
fn standard_input_is_a_file_of_this_folder() {
    let folder = folder(&[("materials.still", WATER.as_bytes())]);
    let text = b"use \"materials.still\"\nformula a {\n  product stock\n  makes 10 g\n  scale 0.1 g\n  phase A {\n    water 100 %\n  }\n}\n";
    let ran = run(&["sheet", "-", "--format", "text"], text, folder.dir.path());
    assert_eq!(ran.code, 0, "{}", ran.err);
    assert!(ran.out.contains("10.0 g"), "{}", ran.out);
}

#[test]
fn out_replaces_a_file_whole_and_only_when_asked() {
    let text = format!(
        "{WATER}formula a {{\n  product stock\n  makes 10 g\n  scale 0.1 g\n  phase A {{\n    water 100 %\n  }}\n}}\n"
    );
    let folder = folder(&[("a.still", text.as_bytes()), ("sheet.md", b"old")]);
    let ran = run(&["sheet", "a.still", "--out", "sheet.md"], b"", folder.dir.path());
    assert_eq!((ran.code, ran.out.as_str()), (0, ""), "{}", ran.err);
    assert!(fs::read_to_string(folder.dir.path().join("sheet.md")).unwrap().contains("10.0 g"));
    assert_eq!(listing(folder.dir.path()).len(), 2);
    let ran = run(&["sheet", "a.still", "--out", "gone/sheet.md"], b"", folder.dir.path());
    assert_eq!(ran.code, 2);
}

#[test]
fn new_makes_a_folder_that_compiles_and_never_overwrites() {
    let folder = folder(&[("a.txt", b"")]);
    let at = folder.dir.path();
    assert_eq!(run(&["new", "workroom"], b"", at).code, 0);
    let checked = run(&["check", "workroom"], b"", at);
    assert_eq!((checked.code, checked.out.as_str()), (0, ""), "{}", checked.err);
    assert_eq!(run(&["sheet", "workroom/first-serum.still"], b"", at).code, 0);
    let again = run(&["new", "workroom"], b"", at);
    assert_eq!(again.code, 2);
    assert!(again.err.contains("is there already"), "{}", again.err);
}
