//! The examples: each compiles with nothing to say but that a pH drifts or, in a note, what a law asks of the label, each sheet holds together, and every output is fixed by a snapshot.

#![allow(clippy::disallowed_methods, reason = "tests read files of their own")]

use crate::common::{examples, valid_by};
use std::path::Path;
use stillroom::diagnostic::{Code, Diagnostic, Level};
use stillroom::quantity::Exact;
use stillroom::render::{Sheet, markdown, sheet, text};
use stillroom::session::check;
use stillroom::sheet::BatchOrder;
use stillroom::workspace::{Disk, load};

fn sheets(path: &Path) -> Vec<Sheet> {
    let loaded = load(&Disk, &[path.to_path_buf()], None);
    let report = check(&loaded.sources, &BatchOrder::default(), true);
    // A strong acid that drifts, an allergen that the label is to name, and a statement that is not asked on account of an
    // adjuster are told of in notes: the examples show them.
    let notes = [Code::PhDrifts, Code::DeclareAllergen, Code::AdjusterNotCounted];
    let is_known = |fault: &Diagnostic| notes.contains(&fault.code) && fault.level == Level::Note;
    let told = report.diagnostics.iter().filter(|fault| !is_known(fault)).collect::<Vec<_>>();
    assert!(told.is_empty(), "{}: {told:#?}", path.display());
    report
        .formulas
        .iter()
        .map(|formula| sheet(&loaded.sources, &report, formula, &BatchOrder::default()).unwrap())
        .collect()
}

#[test]
fn every_example_is_sound_and_there_are_enough() {
    let count: usize = examples().iter().map(|path| sheets(path).len()).sum();
    assert!(count >= 14, "{count} formulas");
}

/// Every number in a text: digits with at most one point between them.
fn numbers(text: &str) -> Vec<String> {
    let mut found = Vec::new();
    let mut current = String::new();
    for character in text.chars().chain([' ']) {
        if character.is_ascii_digit() || (character == '.' && !current.is_empty() && !current.contains('.')) {
            current.push(character);
        } else if !current.is_empty() {
            found.push(std::mem::take(&mut current).trim_end_matches('.').to_string());
        }
    }
    found
}

#[test]
fn every_number_in_the_markdown_stands_in_the_json() {
    for path in examples() {
        for sheet in sheets(&path) {
            let mut json = numbers(&serde_json::to_string(&sheet).unwrap());
            // Shares are printed in as many digits as a maker can use: four.
            let short = |number: &String| Some(Exact::parse(number)?.to_significant(4));
            json.extend(json.iter().filter_map(short).collect::<Vec<_>>());
            // What every sheet asks for after 24 h and 7 days is no figure of the formula, nor is the buffer of the meter.
            let mut printed = markdown(&sheet);
            for fixed in ["After 24 h: look", "After 7 days: look"] {
                assert!(printed.contains(fixed), "{fixed}");
                printed = printed.replace(fixed, "");
            }
            for buffer in ["1.68", "4.01", "7.00", "9.18", "10.01"] {
                printed = printed.replace(&format!("It shows the buffer of pH {buffer} as ______."), "");
            }
            for number in numbers(&printed) {
                assert!(json.contains(&number), "{}: {number} is not in the JSON of {}", path.display(), sheet.formula);
            }
            for number in numbers(&text(&sheet)) {
                let a_step_number = number.parse::<usize>().is_ok_and(|number| number <= sheet.steps.len());
                assert!(a_step_number || json.contains(&number), "{}: {number}", path.display());
            }
        }
    }
}

#[test]
fn sheets_look_as_they_did() {
    for path in examples() {
        let name = path.file_stem().unwrap().to_string_lossy().into_owned();
        let all: Vec<String> = sheets(&path).iter().map(markdown).collect();
        if !all.is_empty() {
            insta::assert_snapshot!(format!("sheet-{name}"), all.join("\n---\n\n"));
        }
    }
    let gel = sheets(&Path::new(env!("CARGO_MANIFEST_DIR")).join("examples/acid-gel.still")).remove(0);
    insta::assert_snapshot!("sheet-acid-gel-json", serde_json::to_string_pretty(&gel).unwrap());
    insta::assert_snapshot!("sheet-acid-gel-text", text(&gel));
}

/// The JSON is read back as it was, and is valid by the checked-in schema, with no key that the schema does not name.
#[test]
fn the_json_is_valid_by_its_schema() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("docs/schema/sheet.json");
    let schema: serde_json::Value = serde_json::from_str(&std::fs::read_to_string(root).unwrap()).unwrap();
    let validator = jsonschema::validator_for(&schema).unwrap();
    for path in examples() {
        for sheet in sheets(&path) {
            let json = serde_json::to_value(&sheet).unwrap();
            valid_by("docs/schema/sheet.json", &json);
            assert_eq!(serde_json::from_value::<Sheet>(json).unwrap(), sheet);
        }
    }
    let mut broken = serde_json::to_value(examples().iter().flat_map(|path| sheets(path)).next().unwrap()).unwrap();
    broken["batch_g"] = serde_json::json!(20);
    assert!(!validator.is_valid(&broken));
}
