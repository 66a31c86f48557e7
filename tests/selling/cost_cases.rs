//! The worked cases of cost, by the program, to the fraction. Source: the project's reference cases
//! (`tests/data/costs`), worked out elsewhere from what `docs/selling.md` says; the files and their answers are as they
//! came. Those of `buy` beside them are held elsewhere.

#![allow(clippy::disallowed_methods, reason = "tests read files of their own")]

use crate::common::repository::run_in;
use serde_json::Value;
use std::path::Path;

/// What is wrong with what was printed, where it differs from what was worked out: keys that are not asked for may stand
/// beside.
fn differs(wanted: &Value, got: &Value, at: &str, found: &mut Vec<String>) {
    match (wanted, got) {
        // Which other moneys there are is asked for whole.
        (Value::Object(_), _) if at.ends_with("/other_currencies") && wanted != got => {
            found.push(format!("{at}: {got} for {wanted}"));
        }
        (Value::Object(keys), Value::Object(_)) => {
            for (key, wanted) in keys {
                differs(wanted, &got[key], &format!("{at}/{key}"), found);
            }
        }
        (Value::Array(all), Value::Array(have)) if all.len() == have.len() => {
            for (number, (wanted, got)) in all.iter().zip(have).enumerate() {
                differs(wanted, got, &format!("{at}/{number}"), found);
            }
        }
        _ if wanted == got => {}
        _ => found.push(format!("{at}: {got} for {wanted}")),
    }
}

#[test]
fn every_worked_case_comes_out_to_the_fraction() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/data/costs");
    let cases: Vec<Value> =
        serde_json::from_str(&std::fs::read_to_string(folder.join("expected.json")).unwrap()).unwrap();
    let (mut seen, mut found) = (0, Vec::new());
    for case in cases.iter().filter(|case| case["command"] == "cost") {
        let name = case["case"].as_str().unwrap();
        let file = format!("{name}.still");
        let mut words = vec!["cost", &file, "--format", "json", "--formula", case["formula"].as_str().unwrap()];
        words.extend(case["args"].as_array().unwrap().iter().map(|word| word.as_str().unwrap()));
        let (code, out, err) = run_in(&folder, &words);
        assert_eq!(code, 0, "{name}: {err}");
        let got: Value = serde_json::from_str(&out).unwrap();
        crate::common::valid_by("docs/schema/cost.json", &got);
        differs(&case["cost"], &got, name, &mut found);
        seen += 1;
    }
    assert_eq!((seen, found), (13, Vec::new()));
}
