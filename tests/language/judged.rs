//! The formulas that the checker is judged by. What stands in `tests/judged/sound` was written by a formulator's knowledge
//! and apart from the checker: nothing may be told of it that a formulator would not nod at. What stands in
//! `tests/judged/unsound` has one grave fault each, and has to be caught for that and not for something else.
//!
//! A sound file says of what type it is, and `# nods at CODE because "…"` for a warning that is right. An unsound one says
//! what is wrong, `# caught by CODE, CODE` for the codes any of which tells it, and marks with `# here` the lines one of
//! which the message has to point at. Notes are told freely of a sound one. Nothing is ever allowed in either: a file that
//! the checker is wrong about stays as it is, and the checker is mended.

#![allow(clippy::disallowed_methods, reason = "tests read files of their own")]

use crate::common::repository::run_in;
use serde_json::Value;
use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::{Path, PathBuf};
use stillroom::diagnostic::Code;
use stillroom::shelf::{self, ShelfKind};

/// One file, and what it says of itself.
struct Judged {
    name: String,
    text: String,
    /// The codes after `# nods at`, each with its reason.
    nods: Vec<(String, String)>,
    /// The codes after `# caught by`.
    caught_by: Vec<String>,
    /// The lines marked `# here`, from one.
    here: BTreeSet<u64>,
}

impl Judged {
    fn read(name: &str, text: &str) -> Judged {
        let after = |opening: &'static str| text.lines().filter_map(move |line| line.strip_prefix(opening));
        let nods = after("# nods at ")
            .map(|rest| {
                let (code, reason) = rest.split_once(" because ").unwrap_or((rest, ""));
                (code.to_string(), reason.trim_matches('"').to_string())
            })
            .collect();
        let caught_by = after("# caught by ").flat_map(|rest| rest.split(", ")).map(str::to_string).collect();
        let marked = |line: &str| line.trim_end().ends_with("# here");
        let here = (1..).zip(text.lines()).filter(|(_, line)| marked(line)).map(|(number, _)| number).collect();
        Judged { name: name.to_string(), text: text.to_string(), nods, caught_by, here }
    }
}

/// What the program told of one file.
#[derive(Debug)]
struct Told {
    level: String,
    code: String,
    message: String,
    /// Every line of the file itself that it points at.
    lines: BTreeSet<u64>,
}

impl Told {
    fn read(one: &Value, file: &str) -> Told {
        let word = |key: &str| one[key].as_str().unwrap_or_default().to_string();
        let further = one["related"].as_array().into_iter().flatten();
        let places = std::iter::once(one).chain(further).filter(|place| place["file"] == file);
        let number = |place: &Value, key: &str| place[key].as_u64().unwrap_or_default();
        let lines = places.flat_map(|place| number(place, "line")..=number(place, "end_line")).collect();
        Told { level: word("level"), code: word("code"), message: word("message"), lines }
    }

    fn said(&self) -> String {
        let lines: Vec<String> = self.lines.iter().map(u64::to_string).collect();
        format!("        told {}[{}] line {}: {}", self.level, self.code, lines.join(", "), self.message)
    }
}

/// The folder of a set, and its files in the order of their names.
fn files(set: &str) -> (PathBuf, Vec<Judged>) {
    let folder = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("tests/judged").join(set);
    let mut names: Vec<String> =
        fs::read_dir(&folder).unwrap().map(|entry| entry.unwrap().file_name().into_string().unwrap()).collect();
    names.retain(|name| name.ends_with(".still"));
    names.sort();
    let all = names.iter().map(|name| Judged::read(name, &fs::read_to_string(folder.join(name)).unwrap())).collect();
    (folder, all)
}

/// All that is told of the files of a folder, by the name of the file.
fn told_of(folder: &Path, files: &[Judged]) -> BTreeMap<String, Vec<Told>> {
    let mut told: BTreeMap<String, Vec<Told>> = BTreeMap::new();
    for file in files {
        let (_, out, err) = run_in(folder, &["check", &file.name, "--format", "json"]);
        let json: Value = serde_json::from_str(&out).unwrap_or_else(|_| panic!("{}: {out}{err}", file.name));
        let of_it = json["diagnostics"].as_array().unwrap().iter().map(|one| Told::read(one, &file.name)).collect();
        told.insert(file.name.clone(), of_it);
    }
    told
}

/// What is told of a sound file that ought not to be, and what it nods at that is not told.
fn false_alarms(file: &Judged, told: &[Told]) -> Vec<String> {
    let heard: Vec<&Told> = told.iter().filter(|one| one.level != "note").collect();
    let nodded = |one: &&&Told| file.nods.iter().any(|(code, _)| *code == one.code && one.level == "warning");
    let mut problems: Vec<String> = heard.iter().filter(|one| !nodded(one)).map(|one| one.said()).collect();
    for (code, _) in &file.nods {
        if !heard.iter().any(|one| one.code == *code) {
            problems.push(format!("        nods at `{code}`, which is not told"));
        }
    }
    problems
}

/// Whether an unsound file is caught for one of its reasons, at the place that it marks.
fn caught(file: &Judged, told: &[Told]) -> bool {
    let there = |one: &Told| file.here.is_empty() || !file.here.is_disjoint(&one.lines);
    told.iter().any(|one| file.caught_by.contains(&one.code) && there(one))
}

#[test]
fn nothing_is_told_of_a_sound_formula_that_a_formulator_would_not_nod_at() {
    let (folder, files) = files("sound");
    let told = told_of(&folder, &files);
    let mut table = Vec::new();
    for file in &files {
        let problems = false_alarms(file, &told[&file.name]);
        if !problems.is_empty() {
            table.push(format!("    {}\n{}", file.name, problems.join("\n")));
        }
    }
    assert!(table.is_empty(), "\n{} of {} are told of falsely\n{}\n", table.len(), files.len(), table.join("\n"));
}

#[test]
fn every_unsound_formula_is_caught_for_the_right_reason() {
    let (folder, files) = files("unsound");
    let told = told_of(&folder, &files);
    let mut table = Vec::new();
    for file in files.iter().filter(|file| !caught(file, &told[&file.name])) {
        let said: Vec<String> = told[&file.name].iter().map(Told::said).collect();
        table.push(format!("    {} wants {}\n{}", file.name, file.caught_by.join(" or "), said.join("\n")));
    }
    assert!(table.is_empty(), "\n{} of {} are let pass\n{}\n", table.len(), files.len(), table.join("\n"));
}

#[test]
fn both_sets_are_whole_and_neither_makes_exceptions() {
    let (_, sound) = files("sound");
    let (_, unsound) = files("unsound");
    assert!(sound.len() >= 60 && unsound.len() >= 60, "{} sound, {} unsound", sound.len(), unsound.len());
    let nods: Vec<&(String, String)> = sound.iter().flat_map(|file| &file.nods).collect();
    assert!(nods.len() <= 12, "{} warnings nodded at", nods.len());
    assert!(nods.iter().all(|(_, reason)| reason.len() > 20), "a nod without its reason: {nods:?}");
    for file in sound.iter().chain(&unsound) {
        let allows =
            |line: &str| line.split('#').next().unwrap_or_default().split_whitespace().any(|word| word == "allow");
        assert!(!file.text.lines().any(allows), "{} allows something", file.name);
    }
    for file in &sound {
        assert!(file.text.contains("steps {") && file.text.contains("scale "), "{} is not whole", file.name);
        assert!(file.caught_by.is_empty() && file.here.is_empty(), "{} is sound", file.name);
    }
    for file in &unsound {
        assert!(
            !file.caught_by.is_empty() && file.text.starts_with("# Wrong: "),
            "{} does not say what is wrong",
            file.name
        );
    }
    let codes = sound.iter().flat_map(|file| file.nods.iter().map(|(code, _)| code));
    for code in codes.chain(unsound.iter().flat_map(|file| &file.caught_by)) {
        assert!(Code::from_name(code).is_some(), "`{code}` is no code");
    }
    let types: BTreeSet<&str> = sound.iter().filter_map(|file| file.text.lines().next()).collect();
    assert_eq!(types.len(), sound.len(), "two of one type");
}

/// Every text between quotation marks in the Rust of a folder, with its file.
fn quoted(folder: &Path, found: &mut Vec<(PathBuf, String)>) {
    for entry in fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        if path.is_dir() {
            quoted(&path, found);
        } else if path.extension().is_some_and(|extension| extension == "rs") {
            let text = fs::read_to_string(&path).unwrap();
            let code = text.lines().filter(|line| !line.trim_start().starts_with("//"));
            let parts =
                code.flat_map(|line| line.split('"').skip(1).step_by(2)).map(|part| (path.clone(), part.to_string()));
            found.extend(parts);
        }
    }
}

/// No check knows a formula of the sets or a material of the shelf by its name: what it goes by stands on the shelf.
#[test]
fn no_check_names_a_formula_or_a_material() {
    let mut texts = Vec::new();
    quoted(&PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("src/check"), &mut texts);
    assert!(texts.len() > 100, "only {} texts were read", texts.len());
    let opened = |text: &str, word: &str| -> Vec<String> {
        let name = |line: &str| line.strip_prefix(word)?.split_whitespace().next().map(str::to_string);
        text.lines().filter_map(name).collect()
    };
    let materials = shelf::ENTRIES.iter().filter(|entry| entry.kind == ShelfKind::Material && entry.name != "water");
    let mut names: BTreeSet<String> = materials.map(|entry| entry.name.to_string()).collect();
    for set in ["sound", "unsound"] {
        names.extend(files(set).1.iter().flat_map(|file| opened(&file.text, "formula ")));
    }
    let named: Vec<&(PathBuf, String)> = texts.iter().filter(|(_, text)| names.contains(text)).collect();
    assert!(named.is_empty(), "{named:#?}");
}

/// The judge fails where it has to.
#[test]
fn the_judge_hears_a_false_alarm_and_misses_no_fault() {
    let told = |level: &str, code: &str, line: u64| Told {
        level: level.to_string(),
        code: code.to_string(),
        message: String::new(),
        lines: BTreeSet::from([line]),
    };
    let sound = Judged::read("a", "# A gel.\n# nods at hlb-off because \"it is held by a gum\"\n");
    assert!(false_alarms(&sound, &[told("warning", "hlb-off", 3), told("note", "strength-range", 4)]).is_empty());
    assert_eq!(false_alarms(&sound, &[told("error", "hlb-off", 3)]).len(), 1, "an error is not nodded at");
    assert_eq!(false_alarms(&sound, &[told("warning", "hlb-off", 3), told("warning", "usage-over", 3)]).len(), 1);
    assert_eq!(false_alarms(&sound, &[]).len(), 1, "what is nodded at must be told");
    let unsound = Judged::read("b", "# Wrong: all of it.\n# caught by heat-clash, usage-over\nretinol  # here\n");
    assert!(caught(&unsound, &[told("note", "usage-over", 3)]));
    assert!(!caught(&unsound, &[told("error", "usage-over", 4)]), "another line");
    assert!(!caught(&unsound, &[told("error", "hlb-off", 3)]), "another reason");
}
