//! The suite: every file of `tests/suite` is checked by the real program and told of exactly what stands in it.
//!
//! To write one: put a file into the folder of its subject, with a comment at the end of each line at fault, or on lines of
//! its own directly under it:
//!
//! ```text
//! tender  1 %  # error[heat-clash] is not to get as hot as 40 °C
//! lye-5   0.1 %
//! # warning[below-scale] at `0.1 %` one step … Make 200 g or more
//! ```
//!
//! After `error`, `warning` or `note` and the code, all may be left out: the text that is marked, after `at`, and parts of
//! the message, its help or its source, in the order they stand, with ` … ` between them. Everything that is told must be
//! stated, so that a file without such comments is one that has no fault. `# arguments: --on 2027-01-01` on the first line
//! goes to `check`. Of a file that is used nothing may be told that its own comments do not state. Run `cargo test --test language suite`.

#![allow(clippy::disallowed_methods, reason = "tests read files of their own")]

use crate::common::repository::run_in;
use serde_json::Value;
use std::collections::BTreeSet;
use std::fmt;
use std::fs;
use std::path::{Path, PathBuf};
use stillroom::diagnostic::Code;

/// What a comment states.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Stated {
    line: usize,
    level: String,
    pub code: String,
    at: Option<String>,
    parts: Vec<String>,
}

impl Stated {
    /// What a line states, given the last line before it that states nothing on a line of its own.
    fn read(number: usize, line: &str, above: usize) -> Option<Stated> {
        let levels = ["error", "warning", "note"];
        let (at, level) = levels.iter().find_map(|level| Some((line.rfind(&format!("# {level}["))?, *level)))?;
        let rest = &line[at + level.len() + 3..];
        let (code, rest) = rest.split_once(']').unwrap_or_else(|| panic!("line {number}: no `]` in {line}"));
        assert!(Code::from_name(code).is_some(), "line {number}: `{code}` is no code");
        let alone = line[..at].trim().is_empty();
        let (marked, said) = match rest.trim().strip_prefix("at `").and_then(|rest| rest.split_once('`')) {
            Some((marked, said)) => (Some(marked.to_string()), said),
            None => (None, rest),
        };
        let parts = said.split(" … ").map(|part| part.trim().to_string()).filter(|part| !part.is_empty()).collect();
        let line = if alone { above } else { number };
        Some(Stated { line, level: level.to_string(), code: code.to_string(), at: marked, parts })
    }

    /// Whether this is what was told. The parts stand in the message, the help and the source in order.
    fn fits(&self, told: &Told) -> bool {
        let mut rest = told.words.as_str();
        let all_said = self.parts.iter().all(|part| match rest.find(part) {
            Some(at) => {
                rest = &rest[at + part.len()..];
                true
            }
            None => false,
        });
        let there = (self.line, &self.level, &self.code) == (told.line, &told.level, &told.code);
        there && all_said && self.at.as_ref().is_none_or(|at| *at == told.marked)
    }
}

impl fmt::Display for Stated {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(out, "{}[{}]", self.level, self.code)?;
        if let Some(at) = &self.at {
            write!(out, " at `{at}`")?;
        }
        if self.parts.is_empty() { Ok(()) } else { write!(out, " {}", self.parts.join(" … ")) }
    }
}

/// Everything that the comments of a text state.
pub fn stated(text: &str) -> Vec<Stated> {
    let mut above = 1;
    let mut all = Vec::new();
    for (number, line) in (1..).zip(text.lines()) {
        let found = Stated::read(number, line, above);
        if found.as_ref().is_none_or(|one| one.line == number) {
            above = number;
        }
        all.extend(found);
    }
    all
}

/// What the program told.
#[derive(Clone, Debug)]
struct Told {
    line: usize,
    level: String,
    code: String,
    /// The text that is marked, as far as its first line goes.
    marked: String,
    /// Message, help and source.
    words: String,
}

impl Told {
    fn read(one: &Value, text: &str) -> Told {
        let word = |key: &str| one[key].as_str().unwrap_or_default().to_string();
        let number = |key: &str| usize::try_from(one[key].as_u64().unwrap()).unwrap();
        let (line, from) = (number("line"), number("column") - 1);
        let length = if number("end_line") == line { number("end_column") - 1 - from } else { usize::MAX };
        let marked = text.lines().nth(line - 1).unwrap_or_default().chars().skip(from).take(length).collect();
        let words = [word("message"), word("help"), word("source")].join("\n");
        Told { line, level: word("level"), code: word("code"), marked, words }
    }
}

impl fmt::Display for Told {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        let words = self.words.trim_end().replace('\n', "\n        ");
        write!(out, "{}[{}] at `{}`\n        {words}", self.level, self.code, self.marked)
    }
}

/// What is not as it is stated, each with its place, in the order of the lines.
fn differences(path: &str, stated: &[Stated], told: &[Told]) -> Vec<String> {
    // Who says most is heard first.
    let mut open: Vec<&Stated> = stated.iter().collect();
    open.sort_by_key(|one| std::cmp::Reverse((one.at.is_some(), one.parts.len())));
    let mut left: Vec<&Told> = told.iter().collect();
    open.retain(|one| match left.iter().position(|told| one.fits(told)) {
        Some(at) => {
            left.remove(at);
            false
        }
        None => true,
    });
    let missing = open.iter().map(|one| (one.line, format!("{path}:{}: expected {one}", one.line)));
    let unexpected = left.iter().map(|one| (one.line, format!("{path}:{}: told     {one}", one.line)));
    let mut all: Vec<(usize, String)> = missing.chain(unexpected).collect();
    all.sort();
    all.into_iter().map(|(_, said)| said).collect()
}

/// The root of the project, and the files of the suite from there.
pub fn files() -> (PathBuf, Vec<String>) {
    let root = PathBuf::from(env!("CARGO_MANIFEST_DIR"));
    let mut open = vec![root.join("tests/suite")];
    let mut found = Vec::new();
    while let Some(folder) = open.pop() {
        for entry in fs::read_dir(folder).unwrap() {
            let path = entry.unwrap().path();
            if path.is_dir() {
                open.push(path);
            } else if path.extension().is_some_and(|extension| extension == "still") {
                found.push(path.strip_prefix(&root).unwrap().to_str().unwrap().to_string());
            }
        }
    }
    found.sort();
    (root, found)
}

/// What is not as a file of the suite says.
fn problems_of(root: &Path, path: &str) -> Vec<String> {
    let text = fs::read_to_string(root.join(path)).unwrap();
    let more = text.lines().next().and_then(|line| line.strip_prefix("# arguments: ")).unwrap_or_default();
    let arguments: Vec<&str> = ["check", path, "--format", "json"].into_iter().chain(more.split_whitespace()).collect();
    let (exit, out, err) = run_in(root, &arguments);
    let Ok(json) = serde_json::from_str::<Value>(&out) else { return vec![format!("{path}: {out}{err}")] };
    let of_all = json["diagnostics"].as_array().unwrap();
    let mut problems = Vec::new();
    let files: BTreeSet<&str> = of_all.iter().filter_map(|one| one["file"].as_str()).chain([path]).collect();
    for file in files {
        let text = fs::read_to_string(root.join(file)).unwrap_or_default();
        let of_file = of_all.iter().filter(|one| one["file"] == file);
        let told: Vec<Told> = of_file.map(|one| Told::read(one, &text)).collect();
        let found = differences(file, &stated(&text), &told);
        // Who uses a file is not told of all that is told of it by itself.
        problems.extend(found.into_iter().filter(|said| file == path || said.contains(": told ")));
    }
    let errors = of_all.iter().any(|one| one["level"] == "error");
    if exit != i32::from(errors) {
        problems.push(format!("{path}: exit code {exit}"));
    }
    problems
}

#[test]
fn every_file_of_the_suite_is_told_of_what_it_states() {
    let (root, files) = files();
    let problems: Vec<String> = files.iter().flat_map(|path| problems_of(&root, path)).collect();
    assert!(problems.is_empty(), "\n{}\n", problems.join("\n"));
    let cases: usize = files.iter().map(|path| stated(&fs::read_to_string(root.join(path)).unwrap()).len()).sum();
    println!("{} files, {cases} diagnostics stated", files.len());
}

/// The runner fails where it has to: one fault of a text, and comments that are each wrong in one way.
#[test]
fn a_comment_that_is_wrong_in_any_way_is_found() {
    let text = "formula f {\n  pH  55\n}\n";
    let told = [Told {
        line: 2,
        level: "error".to_string(),
        code: "figure-impossible".to_string(),
        marked: "55".to_string(),
        words: "A pH of 55 is not.\nWrite 5.5.\nRFC 1".to_string(),
    }];
    let problems = |comment: &str| differences("a.still", &stated(&text.replace("55\n", comment)), &told).len();
    for right in [
        "55  # error[figure-impossible]\n",
        "55\n  # error[figure-impossible] pH of 55\n",
        "55\n# error[figure-impossible] at `55`\n",
        "55 # error[figure-impossible] at `55` of 55 … Write 5.5 … RFC\n",
    ] {
        assert_eq!(problems(right), 0, "{right}");
    }
    for (wrong, count) in [
        ("55\n", 1),
        ("55 # warning[figure-impossible]\n", 2),
        ("55 # error[amount-zero]\n", 2),
        ("55 # error[figure-impossible] of 56\n", 2),
        ("55 # error[figure-impossible] Write … of 55\n", 2),
        ("55 # error[figure-impossible] at `5`\n", 2),
        ("55\n}\n# error[figure-impossible]\n", 2),
        ("55 # error[figure-impossible]\n # error[figure-impossible]\n", 1),
    ] {
        assert_eq!(problems(wrong), count, "{wrong}");
    }
}
