//! The record of a batch as a document: what ISO 22716, clause 7.2, asks of one stands in it.

#![allow(clippy::disallowed_methods, reason = "tests read files of their own")]

use crate::common;
use assert_cmd::Command;
use serde_json::Value;

fn record(arguments: &[&str]) -> (i32, String, String) {
    let output = Command::cargo_bin("stillroom")
        .unwrap()
        .args(["sheet", "examples/acid-gel-batches.still", "--record"])
        .args(arguments)
        .current_dir(env!("CARGO_MANIFEST_DIR"))
        .output()
        .unwrap();
    let text = |bytes| String::from_utf8(bytes).unwrap();
    (output.status.code().unwrap(), text(output.stdout), text(output.stderr))
}

/// Materials with lot and weight, in-process readings, additions, times, yield, deviations, room for signatures.
#[test]
fn it_holds_what_good_practice_asks_for() {
    let (code, out, err) = record(&["ag-1114"]);
    assert_eq!(code, 0, "{err}");
    insta::assert_snapshot!("record", out);
}

#[test]
fn the_json_is_valid_and_agrees() {
    let (_, out, _) = record(&["ag-1114", "--format", "json"]);
    let json: Value = serde_json::from_str(&out).unwrap();
    common::valid_by("docs/schema/record.json", &json);
    let (_, markdown, _) = record(&["ag-1114"]);
    for line in json["lines"].as_array().unwrap() {
        let weighed = line["weighed_g"].as_str().unwrap();
        assert!(markdown.contains(&format!("| {weighed} |")), "{weighed}");
    }
}

#[test]
fn an_unknown_batch() {
    let (code, _, err) = record(&["ag-1115"]);
    assert!(code == 2 && err.contains("Did you mean `ag-1114`?"), "{err}");
}

/// What a material does not disclose stands as what it may be, never as half of that.
#[test]
fn no_half_of_an_undisclosed_share_is_made_up() {
    let text = "use shelf/all\nsubstance odd-one { inci \"Odd One\" }\nmaterial blend {\n  role emulsifier\n  \
                contains odd-one, water\n}\nformula gel {\n  title \"Gel\"\n  version \"1\"\n  product stock\n  \
                makes 100 g\n  scale 0.01 g\n  phase A {\n    glycerin q.s.\n    blend 5 %\n  }\n}\n\
                batch g-1 {\n  formula gel version \"1\"\n  started 2026-11-20\n  weighed glycerin 95 g\n  \
                weighed blend 5 g\n}\n";
    let folder = common::folder(&[("gel.still", text.as_bytes())]);
    let output = Command::cargo_bin("stillroom")
        .unwrap()
        .current_dir(folder.dir.path())
        .args(["sheet", "gel.still", "--record", "g-1"])
        .output()
        .unwrap();
    let out = String::from_utf8(output.stdout).unwrap();
    assert!(out.contains("| odd-one | 0 to 5 | 0 to 5 |"), "{out}");
    assert!(out.contains("| glycerin | 94.62 | 94.62 |"), "{out}");
}
