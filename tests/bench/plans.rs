//! The reference plans: 40 formulas and 27 whole files whose weights were worked out outside this project, in exact
//! fractions. Source: the project's reference plans (`tests/data/plans`, `tests/data/plans-whole`), recomputed
//! independently by the rules of *Exactness*; checked here through the real command line.

#![allow(clippy::disallowed_methods, reason = "tests read and write files of their own")]

use assert_cmd::Command;
use serde_json::Value;
use std::fs;
use std::path::{Path, PathBuf};
use stillroom::quantity::Exact;

fn data(folder: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/data").join(folder)
}

fn sheet(file: &Path, arguments: &[String]) -> Value {
    let output = Command::cargo_bin("stillroom")
        .unwrap()
        .arg("sheet")
        .arg(file)
        .args(["--format", "json"])
        .args(arguments)
        .output()
        .unwrap();
    assert!(output.status.success(), "{}: {}", file.display(), String::from_utf8_lossy(&output.stderr));
    serde_json::from_slice(&output.stdout).unwrap()
}

/// A fraction as the reference writes it, which need not be reduced.
fn fraction(text: &str) -> Exact {
    let (num, den) = text.split_once('/').unwrap_or((text, "1"));
    big(num).over(&big(den)).unwrap()
}

/// A whole number of any length.
fn big(text: &str) -> Exact {
    let ten_to_9 = Exact::whole(1_000_000_000);
    let head = text.len() % 9;
    let first = text[..head].parse().map_or(Exact::ZERO, Exact::whole);
    text.as_bytes()[head..].chunks(9).fold(first, |total, digits| {
        &(&total * &ten_to_9) + &Exact::whole(std::str::from_utf8(digits).unwrap().parse().unwrap())
    })
}

fn compare(case: &Value, sheet: &Value) {
    let name = case["formula"].as_str().unwrap();
    assert_eq!(sheet["formula"], case["formula"]);
    assert_eq!(sheet["batch_g"], case["batch_g"], "{name}");
    assert_eq!(sheet["total_g"], case["batch_g"], "{name}");
    assert_eq!(sheet["total_percent_exact"], "100", "{name}");
    let lines: Vec<&Value> =
        sheet["phases"].as_array().unwrap().iter().flat_map(|phase| phase["lines"].as_array().unwrap()).collect();
    let expected = case["lines"].as_array().unwrap();
    assert_eq!(lines.len(), expected.len(), "{name}");
    for (line, expected) in lines.iter().zip(expected) {
        let what = format!("{name}: {}", expected["material"]);
        assert_eq!(line["material"], expected["material"], "{what}");
        for key in ["percent_exact", "grams_exact"] {
            match expected[key].as_str() {
                Some(text) => {
                    let ours = line[key].as_str().unwrap();
                    assert_eq!(fraction(ours), fraction(text), "{what} {key}");
                    assert_eq!(fraction(ours).to_fraction(), ours, "{what} {key} is not reduced");
                }
                None => assert_eq!(line[key], Value::Null, "{what} {key}"),
            }
        }
        for key in ["grams", "held_back_g", "first_weighing_g"] {
            assert_eq!(line[key], expected[key], "{what} {key}");
        }
        assert_eq!(line["at_bench"], expected["at_bench"].as_bool().unwrap_or(false), "{what}");
    }
}

fn cases(folder: &str) -> Vec<Value> {
    serde_json::from_str(&fs::read_to_string(data(folder).join("expected.json")).unwrap()).unwrap()
}

#[test]
fn the_forty_reference_plans_are_exact() {
    let cases = cases("plans");
    assert_eq!(cases.len(), 40);
    for case in cases {
        let number: usize = case["formula"].as_str().unwrap().trim_start_matches("ref-").parse().unwrap();
        compare(&case, &sheet(&data("plans").join(format!("ref-{number:03}.still")), &[]));
    }
}

#[test]
fn the_twenty_seven_whole_plans_are_exact() {
    let cases = cases("plans-whole");
    assert_eq!(cases.len(), 27);
    for case in cases {
        let arguments: Vec<String> =
            case["args"].as_array().unwrap().iter().map(|argument| argument.as_str().unwrap().to_string()).collect();
        let mut arguments = arguments;
        if !arguments.contains(&"--formula".to_string()) {
            arguments.extend(["--formula".to_string(), case["formula"].as_str().unwrap().to_string()]);
        }
        compare(&case, &sheet(&data("plans-whole").join(case["file"].as_str().unwrap()), &arguments));
    }
}
