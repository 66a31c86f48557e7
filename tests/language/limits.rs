//! Files of any length through the real command line: limits with a message of their own, output that stays in bounds,
//! and nothing read without an end.
//!
//! Where time is bounded here it is a guard against what never ends, for a slow machine and a debug build.

#![allow(clippy::disallowed_methods, reason = "tests read and write files of their own")]

use crate::common::{Folder, folder};
use assert_cmd::Command;
use std::path::Path;
use std::time::Duration;

const GUARD: Duration = Duration::from_secs(240);

const WATER: &str = "substance water { inci \"Aqua\" }\nmaterial water { role solvent }\n\
                     substance glycerin {\n  inci \"Glycerin\"\n  neutral\n}\nmaterial glycerin { role humectant }\n";

struct Ran {
    code: i32,
    out: String,
    err: String,
}

fn run(at: &Path, arguments: &[&str], input: &[u8]) -> Ran {
    let mut command = Command::cargo_bin("stillroom").unwrap();
    let output = command.args(arguments).current_dir(at).write_stdin(input.to_vec()).timeout(GUARD).output().unwrap();
    let text = |bytes: Vec<u8>| String::from_utf8(bytes).unwrap();
    let ran = Ran { code: output.status.code().unwrap_or(-1), out: text(output.stdout), err: text(output.stderr) };
    assert!(ran.code == 0 || ran.code == 1 || ran.code == 2, "{arguments:?}: exit {}, {}", ran.code, ran.err);
    ran
}

/// In short, as it is printed where nothing else is asked.
fn human(text: &str) -> Ran {
    let folder = folder(&[("a.still", text.as_bytes())]);
    run(folder.dir.path(), &["check", "a.still"], b"")
}

/// In full, with every place drawn.
fn drawn(text: &str) -> Ran {
    let folder = folder(&[("a.still", text.as_bytes())]);
    run(folder.dir.path(), &["check", "--verbose", "a.still"], b"")
}

fn codes_in(folder: &Folder, path: &str) -> Vec<String> {
    let ran = run(folder.dir.path(), &["check", path, "--format", "json"], b"");
    let json: serde_json::Value = serde_json::from_str(&ran.out).unwrap();
    json["diagnostics"].as_array().unwrap().iter().map(|one| one["code"].as_str().unwrap().to_string()).collect()
}

fn codes(text: &str) -> Vec<String> {
    codes_in(&folder(&[("a.still", text.as_bytes())]), "a.still")
}

fn formula(name: &str, lines: &str) -> String {
    format!("formula {name} {{\n  product stock\n  makes 100 g\n  scale 0.01 g\n  phase A {{\n{lines}  }}\n}}\n")
}

fn longest_line(text: &str) -> usize {
    text.lines().map(|line| line.chars().count()).max().unwrap_or(0)
}

#[test]
fn a_fault_past_column_65_535_is_drawn_with_its_true_column() {
    let text = format!("let a = {}3 blorps\n", "(1) + ".repeat(20_000));
    let short = human(&text);
    assert!(short.out.contains(" a.still:1:120011\n") && short.out.contains("3 blorps"), "{}", short.out);
    assert!(longest_line(&short.out) < 110, "{}", longest_line(&short.out));
    let ran = drawn(&text);
    assert_eq!(ran.code, 1);
    // Eight characters, twenty thousand times six, and the figure with its blank.
    assert!(ran.out.contains("a.still:1:120011]"), "{}", ran.out);
    assert!(ran.out.contains(" 1 │ …"), "{}", ran.out);
    assert!(ran.out.contains("3 blorps"), "{}", ran.out);
    assert!(longest_line(&ran.out) < 400, "{}", longest_line(&ran.out));
}

#[test]
fn wide_letters_and_letters_with_accents_are_kept_whole_where_a_line_is_cut() {
    for letter in ["e\u{301}", "漢", "👩\u{200d}🔬"] {
        for form in [human, drawn] {
            let ran = form(&format!("let a = 3 blorps # {}\n", letter.repeat(30_000)));
            assert!(ran.out.contains(&format!("{letter}…")), "{letter}: {}", ran.out);
            assert!(ran.out.len() < 10_000, "{letter}: {}", ran.out.len());
            let ran = form(&format!("substance a {{ inci \"{}\" blorps }}\n", letter.repeat(30_000)));
            assert!(ran.out.contains(&format!("…{letter}")), "{letter}: {}", ran.out);
            assert!(ran.out.len() < 10_000, "{letter}: {}", ran.out.len());
        }
    }
}

#[test]
fn two_places_far_apart_on_one_line_are_both_shown() {
    let blank = " ".repeat(70_000);
    let ran = drawn(&format!("{blank}let a = 1 %{blank}\n{blank}let a = 2 %{blank}\n"));
    assert_eq!(ran.code, 1);
    assert!(ran.out.contains("declared here first") && ran.out.contains(":2:70005]"), "{}", ran.out);
    assert!(longest_line(&ran.out) < 400, "{}", longest_line(&ran.out));
}

#[test]
fn two_hundred_faults_of_a_file_are_drawn_and_the_rest_is_counted() {
    let lines: String = (0..8_000).map(|at| format!("    q{at}-z 0.001 %\n")).collect();
    let text = format!("{WATER}{}", formula("a", &format!("{lines}    water q.s.\n")));
    let ran = human(&text);
    assert_eq!(ran.out.matches("error [name-unknown]").count(), 200);
    // A note on the glycerin, which is not used, comes to the eight thousand and gives way to them.
    assert!(ran.out.ends_with("and 7,801 more in `a.still`\n\n"), "{}", &ran.out[ran.out.len() - 200..]);
    assert!(ran.err.contains("8000 errors"), "{}", ran.err);
    assert_eq!(codes(&text).len(), 8_001, "for machines there are all of them");
}

#[test]
fn of_very_many_the_errors_are_drawn_before_the_notes() {
    let unused: String = (0..300).map(|at| format!("  let a{at} = 1 %\n")).collect();
    let whole = formula("a", "    water 100 %\n").replace("  product stock\n", &format!("{unused}  product stock\n"));
    let text = format!("{WATER}{whole}let last = 3 blorps\n");
    let all = codes(&text).len();
    assert!(all > 300);
    for form in [human, drawn] {
        let ran = form(&text);
        assert!(ran.out.starts_with("error [unknown-unit]"), "{}", ran.out);
        assert!(ran.out.contains(&format!("and {} more in `a.still`", all - 200)), "{}", ran.out);
    }
}

#[test]
fn a_name_has_a_limit_of_its_own() {
    let long = "a".repeat(60_000);
    assert_eq!(codes(&format!("{WATER}material {long} {{ contains water remainder }}\n")), ["name-too-long"]);
    let line = formula("f", &format!("    {long}b 5 %\n    glycerin 5 %\n    water q.s.\n"));
    assert_eq!(codes(&format!("{WATER}{line}")), ["name-too-long"]);
    let twice = format!("let {long}b = 1 %\nlet {long}c = {long}d\n");
    assert_eq!(codes(&twice), ["name-too-long"; 3]);
    let just = "a".repeat(100);
    assert_eq!(codes(&format!("let {just} = 1 %\nlet b = {just}\n")), Vec::<String>::new());
    assert_eq!(codes(&format!("let {just}b = 1 %\n")), ["name-too-long"]);
}

#[test]
fn a_thousand_unknown_names_beside_ten_thousand_known_ones() {
    let known: String =
        (0..10_000).map(|at| format!("material known-name-{at}-abc {{ contains water remainder }}\n")).collect();
    let lines: String = (0..1_000).map(|at| format!("    knwn-name-{}-abd 0.001 %\n", at * 7 + 20_000)).collect();
    let text = format!("{WATER}{known}{}", formula("f", &format!("{lines}    water q.s.\n")));
    let found = codes(&text);
    assert_eq!(found.iter().filter(|code| *code == "name-unknown").count(), 1_000);
}

#[test]
fn a_chain_of_ten_thousand_variants_is_told_of_once() {
    let chain = |length: usize| {
        let mut text = format!("{WATER}{}", formula("v0", "    glycerin 5 %\n    water q.s.\n"));
        for at in 1..=length {
            text += &format!("variant v{at} of v{} {{\n  set glycerin {} %\n}}\n", at - 1, at % 9 + 1);
        }
        text
    };
    assert_eq!(codes(&chain(100)), Vec::<String>::new());
    assert_eq!(codes(&chain(101)), ["chain-too-long"]);
    assert_eq!(codes(&chain(10_000)), ["chain-too-long"]);
}

#[test]
fn a_chain_of_two_thousand_premixes_is_told_of_once() {
    let chain = |length: usize, lines: &dyn Fn(usize) -> String| {
        let mut text = format!("{WATER}{}", formula("p0", "    glycerin 5 %\n    water q.s.\n"));
        text += &formula("p1", "    p0 50 %\n    water q.s.\n");
        for at in 2..=length {
            text += &formula(&format!("p{at}"), &lines(at));
        }
        text
    };
    let one_below = |at: usize| format!("    p{} 50 %\n    water q.s.\n", at - 1);
    let two_below = |at: usize| format!("    p{} 50 %\n    p{} q.s.\n", at - 1, at - 2);
    for lines in [&one_below as &dyn Fn(usize) -> String, &two_below] {
        assert_eq!(codes(&chain(100, lines)), Vec::<String>::new());
        assert_eq!(codes(&chain(101, lines)), ["chain-too-long"]);
        assert_eq!(codes(&chain(2_000, lines)), ["chain-too-long"]);
    }
}

/// Files that use one another in a row; the last uses `last`.
fn row_of_files(count: usize, last: &str) -> Folder {
    let names: Vec<String> = (0..count).map(|at| format!("f{at}.still")).collect();
    let texts: Vec<String> = (0..count)
        .map(|at| match names.get(at + 1) {
            Some(next) => format!("use \"{next}\"\n"),
            None => last.to_string(),
        })
        .collect();
    let files: Vec<(&str, &[u8])> =
        names.iter().zip(&texts).map(|(name, text)| (name.as_str(), text.as_bytes())).collect();
    folder(&files)
}

#[test]
fn files_that_use_one_another_in_a_long_row_or_ring() {
    assert_eq!(codes_in(&row_of_files(101, "let a = 1 %\n"), "f0.still"), Vec::<String>::new());
    assert_eq!(codes_in(&row_of_files(300, "let a = 1 %\n"), "f0.still"), ["chain-too-long"]);
    let ring = row_of_files(10_000, "use \"f0.still\"\n");
    assert_eq!(codes_in(&ring, "f0.still"), ["use-cycle"]);
    let ran = run(ring.dir.path(), &["check", "."], b"");
    assert!(ran.out.contains("→ … →") && ran.out.len() < 10_000, "{}", ran.out.len());
}

#[cfg(unix)]
mod what_is_no_file {
    use super::{WATER, codes_in, folder, run};

    fn pipe(at: &std::path::Path) {
        assert!(std::process::Command::new("mkfifo").arg(at).status().unwrap().success());
    }

    #[test]
    fn a_pipe_cannot_be_used() {
        let folder = folder(&[("a.still", b"use \"pipe\"\n")]);
        pipe(&folder.dir.path().join("pipe"));
        assert_eq!(codes_in(&folder, "a.still"), ["use-not-found"]);
        let ran = run(folder.dir.path(), &["check", "a.still"], b"");
        assert!(ran.out.contains("it is a pipe or a device, and no file"), "{}", ran.out);
    }

    #[test]
    fn a_stream_is_read_up_to_the_limit() {
        let folder = folder(&[("a.still", b"")]);
        let at = folder.dir.path();
        let ran = run(at, &["check", "/dev/stdin"], WATER.as_bytes());
        assert_eq!(ran.code, 0, "{}{}", ran.out, ran.err);
        let ran = run(at, &["check", "/dev/stdin"], &vec![b'#'; 17_000_000]);
        assert!(ran.out.contains("file-too-large"), "{}", ran.out);
    }

    /// Nobody writes into it: a program that opened it would wait for ever.
    #[test]
    fn a_pipe_or_a_device_that_is_named_is_refused() {
        let folder = folder(&[("a.still", b"let a = 1 %\n")]);
        let at = folder.dir.path();
        pipe(&at.join("pipe"));
        for command in ["check", "fmt", "sheet", "bench", "label", "cost"] {
            for name in ["pipe", "/dev/zero"] {
                let ran = run(at, &[command, name], b"");
                let said = format!("`{name}` cannot be opened: it is a pipe or a device, and no file");
                assert!(ran.code == 2 && ran.err.contains(&said), "{command} {name}: {} {}", ran.code, ran.err);
            }
        }
    }
}
