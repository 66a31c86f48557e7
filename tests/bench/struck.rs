//! What is struck out of a record stays to be read and counts for nothing: every output is as if it had never stood
//! there, but for the line that shows it.

#![allow(clippy::disallowed_methods, reason = "tests read and write files of their own")]

use crate::common::{Folder, folder};
use assert_cmd::Command;
use serde_json::Value;
use std::fs;

/// A record that is done, and goes by a plan of its own.
const RECORD: &str = include_str!("../../examples/lactic-serum-batches.still");

/// The batch of it.
const NAME: &str = "ls-0611";

/// Each kind of statement, with figures that would change something if they counted, or would be refused.
const KINDS: [&str; 34] = [
    "formula no-such-formula version \"9\"",
    "started 2020-01-01",
    "size 9999 g",
    "lot water \"evil 7\" assay 5 % opened 2020-01-01 expires 2020-02-02",
    "lot our-lactic-acid \"evil 7\" assay 66 %",
    "calibrated pH 4.01 reads 4.61",
    "weighed water 900 g",
    "weighed unicorn 3 g",
    "weighed water 3 mL",
    "reading pH 38.6",
    "reading pH 3,86",
    "reading pH 9.9 at 22 °C",
    "reading pH 7 to 8 by strip",
    "reading pH 9 diluted 1 in 10",
    "added water 500 g",
    "added water 500 g because \"it was thick\"",
    "added unicorn 5 g because \"it was thick\"",
    "removed 200 g",
    "removed 200 g because \"spilt\"",
    "topped-up water 77 g",
    "topped-up water to 77 g",
    "topped-up water 77 g to 99 g",
    "waited 900 min",
    "heated 85 °C",
    "cooled 4000 °C",
    "yield 1 g",
    "filled 999 x 30 mL as \"EVIL-7\"",
    "retained 44",
    "sold 999 to \"nobody\"",
    "released",
    "rejected because \"it parted\"",
    "observed \"mould\"",
    "complaint \"it stings\"",
    "note \"nothing of this\"",
];

/// A folder with the record in it, a line put in at the end of its first batch, and the formula beside it.
fn with_line(line: &str) -> Folder {
    let end = RECORD.rfind('}').unwrap();
    let text = format!("{}  {line}\n{}", &RECORD[..end], &RECORD[end..]);
    let read = |name: &str| fs::read(format!("{}/examples/{name}", env!("CARGO_MANIFEST_DIR"))).unwrap();
    let others = ["lactic-serum.still", "stocks.still", "materials.still"].map(|name| (name, read(name)));
    let mut files: Vec<(&str, &[u8])> = vec![("record.still", text.as_bytes()), ("older.still", RECORD.as_bytes())];
    files.extend(others.iter().map(|(name, bytes)| (*name, bytes.as_slice())));
    folder(&files)
}

/// Exit code, standard output and standard error of a command.
fn run(folder: &Folder, words: &[&str]) -> (i32, String, String) {
    let output = Command::cargo_bin("stillroom").unwrap().current_dir(folder.dir.path()).args(words).output().unwrap();
    let text = |bytes: Vec<u8>| String::from_utf8(bytes).unwrap();
    (output.status.code().unwrap(), text(output.stdout), text(output.stderr))
}

/// Every output that tells of a record, one after another as it is asked for.
fn outputs(folder: &Folder) -> impl Iterator<Item = (String, (i32, String, String))> {
    let commands: [&'static [&'static str]; 12] = [
        &["check", "record.still", "--format", "json"],
        &["check", "record.still", "--strict"],
        &["bench", "record.still", "--batch", NAME],
        &["bench", "record.still", "--batch", NAME, "--format", "json"],
        &["sheet", "record.still", "--record", NAME],
        &["sheet", "record.still", "--record", NAME, "--format", "json"],
        &["trace", NAME, "record.still", "--format", "json"],
        &["trace", "evil 7", "record.still", "--format", "json"],
        &["trace", "EVIL-7", "record.still", "--format", "json"],
        &["trace", "unicorn", "record.still", "--format", "json"],
        &["trace", NAME, "record.still", "--compare", "--format", "json"],
        &["diff", "lactic-serum.still", "record.still", "--to", NAME, "--format", "json"],
    ];
    commands.into_iter().map(move |words| (words.join(" "), run(folder, words)))
}

/// An output without the lines that show what was struck out; and whether there were any.
fn without(out: &str) -> (String, bool) {
    if let Ok(mut value) = serde_json::from_str::<Value>(out) {
        let shown = value.as_object_mut().and_then(|all| all.remove("struck"));
        let shown = shown.is_some_and(|shown| shown.as_array().is_some_and(|all| !all.is_empty()));
        return (value.to_string(), shown);
    }
    let mut kept: Vec<&str> = Vec::new();
    let mut shown = false;
    let mut lines = out.lines();
    while let Some(line) = lines.next() {
        match line {
            line if line.starts_with("  struck out, line ") => shown = true,
            // In Markdown a blank line parts it from what follows.
            line if line.starts_with("- Line ") && line.contains(": ~~") => {
                shown = true;
                assert_eq!(lines.next(), Some(""));
            }
            line => kept.push(line),
        }
    }
    (kept.join("\n"), shown)
}

/// So long is each line that is struck, and the comment in its place: nothing else moves by a byte.
const LENGTH: usize = 200;

#[test]
fn every_output_is_as_if_it_had_never_stood_there() {
    let never: Vec<_> = outputs(&with_line(&"#".repeat(LENGTH))).collect();
    for kind in KINDS {
        let line = format!("struck {kind} at 10:00 by \"M.\" because \"typed wrong\" on 2026-11-30");
        let struck = with_line(&line.replace("wrong", &format!("wrong{}", "g".repeat(LENGTH - line.len()))));
        for ((command, with), (_, plain)) in outputs(&struck).zip(&never) {
            let ((kept, shown), (wanted, none)) = (without(&with.1), without(&plain.1));
            assert_eq!(kept, wanted, "{kind}: {command}");
            assert_eq!((with.0, &with.2), (plain.0, &plain.2), "{kind}: {command}");
            let shows = command.starts_with("bench") || command.starts_with("sheet");
            assert_eq!((shown, none), (shows, false), "{kind}: {command}: {}", with.1);
        }
    }
}

#[test]
fn the_same_statement_not_struck_is_seen() {
    for kind in KINDS {
        let (stands, never) = (with_line(kind), with_line(&"#".repeat(kind.len())));
        assert!(outputs(&stands).zip(outputs(&never)).any(|(one, other)| one != other), "{kind}");
    }
}

#[test]
fn what_was_struck_is_shown_with_its_reason() {
    let folder = with_line("struck  reading   pH 38.60 by strip because \"typed | wrong\" by \"M.\"");
    let line = RECORD.lines().count();
    let bench = run(&folder, &["bench", "record.still", "--batch", NAME]).1;
    let wanted = format!("  struck out, line {line}: reading pH 38.60 by strip, because typed | wrong (by M.)\n");
    assert!(bench.contains(&wanted), "{bench}");
    let json = run(&folder, &["bench", "record.still", "--batch", NAME, "--format", "json"]).1;
    let json: Value = serde_json::from_str(&json).unwrap();
    crate::common::valid_by("docs/schema/bench.json", &json);
    assert_eq!(
        json["struck"],
        serde_json::json!([{
            "statement": "reading pH 38.60 by strip", "because": "typed | wrong", "line": line,
            "on": null, "at": null, "by": "M."
        }])
    );
    let record = run(&folder, &["sheet", "record.still", "--record", NAME]).1;
    let wanted = format!("- Line {line}: ~~reading pH 38.60 by strip~~, because typed \\| wrong (by M.)\n");
    assert!(record.contains(&wanted), "{record}");
}

#[test]
fn what_is_struck_says_what_and_why() {
    for (line, wanted) in [
        ("struck reading pH 38.6", "What is struck out says why, and this does not."),
        ("struck removed 5 g on 2026-11-20", "What is struck out says why, and this does not."),
        ("struck raeding pH 38.6 because \"x\"", "`raeding` opens no statement that can be struck out."),
        ("struck plan because \"x\"", "`plan` cannot be struck out."),
        ("struck struck released because \"x\" because \"y\"", "`struck` cannot be struck out."),
        ("struck reading 38.6 because \"x\"", "Expected `pH`"),
    ] {
        let (code, out, err) = run(&with_line(line), &["check", "record.still"]);
        assert_eq!(code, 1, "{line}: {out}{err}");
        let said = format!("{out}{err}").replace(['\n', '│'], " ");
        let said = said.split_whitespace().collect::<Vec<_>>().join(" ");
        assert!(said.contains(wanted), "{line}: {said}");
    }
}

#[test]
fn of_two_reasons_the_last_is_the_strikes() {
    for (line, statement, because) in [
        ("struck added water 1 g because \"a\" because \"b\"", "added water 1 g because \"a\"", "b"),
        ("struck added water 1 g because \"b\"", "added water 1 g", "b"),
        ("struck removed 1 g because \"a\" at 10:00 because \"b\"", "removed 1 g because \"a\" at 10:00", "b"),
        ("struck rejected because \"b\"", "rejected", "b"),
        ("struck rejected because \"a\" because \"b\"", "rejected because \"a\"", "b"),
    ] {
        let json = run(&with_line(line), &["bench", "record.still", "--batch", NAME, "--format", "json"]).1;
        let json: Value = serde_json::from_str(&json).unwrap();
        assert_eq!(json["struck"][0]["statement"], statement, "{line}");
        assert_eq!(json["struck"][0]["because"], because, "{line}");
    }
}
