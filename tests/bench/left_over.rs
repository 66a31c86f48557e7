//! What a filled batch leaves over: by weight, by volume with a density, and not known without one; and more filled than
//! there was. The figures are worked by hand beside each; that 2 % more is too much is common practice, no source.

#![allow(clippy::disallowed_methods, reason = "tests read files of their own")]

use crate::common::gel::fed;
use crate::common::repository::run_in;
use crate::common::{folder, valid_by};
use serde_json::Value;
use std::fs;

const FORMULA: &str = "\
use shelf/all

formula drops {
  version  \"1\"
  product  stock
  density  1.05 g/mL
  scale    0.01 g

  phase A {
    water     q.s.
    glycerin  50 %
  }
}
";

/// A batch of 22 g, weighed in full.
const WEIGHED: &str = "  weighed water 11.00 g\n  weighed glycerin 11.00 g\n";

fn record(then: &str) -> String {
    let head = "\nbatch d-1 {\n  formula  drops version \"1\"\n  size     22.00 g\n";
    format!("{FORMULA}{head}{WEIGHED}{then}}}\n")
}

/// What `bench` says in grams and in words, as JSON; the words stand in its text and on the sheet too.
fn left_over(text: &str) -> (Option<String>, Option<String>) {
    let json = |arguments: &[&str]| -> Value {
        let (out, err) = fed(text, arguments);
        serde_json::from_str(&out).unwrap_or_else(|error| panic!("{error}: {err}"))
    };
    let bench = json(&["bench", "-", "--format", "json"]);
    let sheet = json(&["sheet", "-", "--record", "d-1", "--format", "json"]);
    valid_by("docs/schema/bench.json", &bench);
    valid_by("docs/schema/record.json", &sheet);
    for key in ["left_over_g", "left_over"] {
        assert_eq!(bench[key], sheet[key]);
    }
    let words = |key: &str| bench[key].as_str().map(String::from);
    if let Some(said) = words("left_over") {
        let (screen, _) = fed(text, &["bench", "-"]);
        assert!(screen.contains(&said), "{said}\n{screen}");
        let (document, _) = fed(text, &["sheet", "-", "--record", "d-1"]);
        assert!(document.contains(said.split_at(1).1), "{said}\n{document}");
    }
    (words("left_over_g"), words("left_over"))
}

fn told(then: &str) -> (Option<String>, String) {
    let (grams, words) = left_over(&record(then));
    (grams, words.unwrap_or_default())
}

fn some(grams: &str, words: &str) -> (Option<String>, String) {
    (Some(grams.to_string()), words.to_string())
}

#[test]
fn it_is_what_is_not_in_the_containers() {
    // Before it is filled, and where the filling was struck out, nothing is said.
    assert_eq!(told(""), (None, String::new()));
    assert_eq!(told("  struck filled 2 x 10 mL because \"typed wrong\"\n"), (None, String::new()));
    // 22 − 2 × 10 = 2; 2 × 10 mL × 1.05 g/mL = 21.
    assert_eq!(told("  filled 2 x 10 g\n"), some("2.00", "filled: 20.00 g of 22.00 g; 2.00 g are left over"));
    assert_eq!(told("  filled 2 x 10 mL\n"), some("1.00", "filled: 21.00 g of 22.00 g; 1.00 g are left over"));
    // Some by volume, the rest by weight: 10.5 + 11.5 = 22.
    let both = "  filled 1 x 10 mL\n  filled 1 x 11.5 g\n";
    assert_eq!(told(both), some("0.00", "filled: 22.00 g of 22.00 g; nothing is left over"));
    // A sample of 1 g taken out before, and the rest thrown away after: 22 − 1 − 1 − 20 = 0.
    let sampled = "  removed 1.00 g because \"a sample\"\n  filled 2 x 10 g\n  removed 1.00 g because \"the rest\"\n";
    assert_eq!(told(sampled), some("0.00", "filled: 20.00 g of 20.00 g; nothing is left over"));
    // The yield, where it is written down: 21.4 − 20; less what was taken out of it since.
    let yielded = "  yield 21.40 g\n  filled 2 x 10 g\n";
    assert_eq!(told(yielded), some("1.40", "filled: 20.00 g of the 21.40 g that came out; 1.40 g are left over"));
    let (grams, _) = told("  yield 21.40 g\n  removed 0.40 g because \"a sample\"\n  filled 2 x 10 g\n");
    assert_eq!(grams.as_deref(), Some("1.00"));
}

#[test]
fn without_a_density_it_is_not_known_and_why_is_said() {
    let text = record("  filled 2 x 10 mL\n").replace("  density  1.05 g/mL\n", "");
    let (grams, words) = left_over(&text);
    assert_eq!(grams, None);
    assert!(words.unwrap().contains("filled by volume, and no density is known"));
    let (grams, _) = left_over(&text.replace("10 mL", "10 g"));
    assert_eq!(grams.as_deref(), Some("2.00"));
}

#[test]
fn more_filled_than_there_was_is_told_where_it_was_filled() {
    let over = |then: &str| {
        let (out, err) = fed(&record(then), &["check", "-", "--format", "json"]);
        let json: Value = serde_json::from_str(&out).unwrap_or_else(|error| panic!("{error}: {err}"));
        let all = json["diagnostics"].as_array().unwrap().iter().filter(|one| one["code"] == "batch-more-out-than-in");
        all.map(|one| one["message"].as_str().unwrap().to_string()).collect::<Vec<_>>()
    };
    // 22 g and 2 % are 22.44 g: that much may be the filling.
    assert_eq!(over("  filled 2 x 11.22 g\n"), Vec::<String>::new());
    assert_eq!(over("  filled 2 x 11.23 g\n"), ["22.46 g were filled, and there were 22 g to fill."]);
    assert_eq!(over("  filled 1 x 10 g\n  filled 2 x 10 mL\n").len(), 1);
    // 20 g came out, and 20.4 g are 2 % more.
    assert_eq!(over("  yield 20.00 g\n  filled 1 x 20.4 g\n"), Vec::<String>::new());
    assert_eq!(over("  yield 20.00 g\n  filled 1 x 20.5 g\n").len(), 1);
    let (grams, words) = told("  filled 2 x 11.22 g\n");
    assert_eq!(grams.as_deref(), Some("-0.44"));
    assert!(words.ends_with("0.44 g more than there was by the record"), "{words}");
}

#[test]
fn what_was_never_written_down_is_told_by_itself_alone() {
    let text = record("  filled 2 x 10 g\n").replace("  weighed glycerin 11.00 g\n", "");
    let (out, _) = fed(&text, &["check", "-", "--format", "json"]);
    assert!(out.contains("batch-line-missing") && !out.contains("batch-more-out-than-in"), "{out}");
}

#[test]
fn record_says_it_and_the_plan_keeps_the_density() {
    let folder = folder(&[("drops.still", FORMULA.as_bytes())]);
    let at = folder.dir.path();
    let begin = ["record", "b.still", "--new", "d-1", "--formula", "drops", "--from", "drops.still", "--size", "22 g"];
    for arguments in [begin.as_slice(), &["record", "b.still", "weighed water 11.00 g"]] {
        let (code, _, err) = run_in(at, arguments);
        assert_eq!((code, err.contains("left over")), (0, false), "{err}");
    }
    run_in(at, &["record", "b.still", "weighed glycerin 11.00 g"]);
    fs::remove_file(at.join("drops.still")).unwrap();
    let (code, _, err) = run_in(at, &["record", "b.still", "filled 2 x 10 mL"]);
    assert_eq!(code, 0, "{err}");
    assert!(err.contains("filled: 21.00 g of 22.00 g; 1.00 g are left over\n"), "{err}");

    // An older plan keeps no density: it is asked of the formula as long as that is there.
    let text = fs::read_to_string(at.join("b.still")).unwrap();
    let older = text.replace("    density 1.05 g/mL\n", "");
    assert_ne!(text, older);
    fs::write(at.join("b.still"), older).unwrap();
    let words = || run_in(at, &["bench", "b.still"]).1;
    assert!(words().contains("no density is known"), "{}", words());
    fs::write(at.join("drops.still"), FORMULA).unwrap();
    assert!(words().contains("1.00 g are left over"), "{}", words());
}
