//! The code of a batch: proposed where one is begun, unlike any beside it, kept in the record, printed on the sheet; and
//! what a sheet says of the jars.

#![allow(clippy::disallowed_methods, reason = "tests read and write files of their own")]

use crate::common::folder;
use crate::common::repository::run_in;
use std::fs;
use std::path::Path;

const SHOP: &str = r#"use shelf/all

maker {
  name  "Hill House Stillroom"
  code  "HH-{yy}{mm}{dd}"
}

container jar-50 {
  holds     50 mL
  overfill  5 %
  price     0.62 EUR
}

formula balm {
  title    "Balm"
  version  "1"
  product  leave-on body
  makes    12 x 50 mL plus 4 %
  density  0.95 g/mL
  scale    0.01 g
  lasts    12 months because "trial 7"
  opened   6 months
  phase A {
    heat to 75 °C
    jojoba-oil  q.s.
    beeswax     20 %
  }
}

formula plain-stock {
  product  stock
  makes    100 g
  scale    0.01 g
  phase A { jojoba-oil 100 % }
}
"#;

fn record(at: &Path, arguments: &[&str]) -> (i32, String, String) {
    run_in(at, &[&["record"], arguments].concat())
}

fn begin(at: &Path, file: &str, name: &str, day: &[&str]) -> (i32, String, String) {
    record(at, &[&[file, "--new", name, "--formula", "balm", "--from", "shop.still"], day].concat())
}

fn code_in(text: &str) -> Vec<&str> {
    text.lines().filter_map(|line| line.trim().strip_prefix("code ").map(str::trim)).collect()
}

#[test]
fn a_batch_is_given_the_code_that_no_other_has() {
    let bench = folder(&[("shop.still", SHOP.as_bytes())]);
    let at = bench.dir.path();
    let day = ["--on", "2026-11-20"];
    let (exit, out, err) = begin(at, "a.still", "one", &day);
    assert_eq!((exit, code_in(&out), err.contains("code")), (0, vec!["\"HH-261120\""], false), "{out}{err}");
    // In the same record, in another beside it, and on another day.
    let (_, out, err) = begin(at, "a.still", "two", &day);
    assert_eq!(code_in(&out), ["\"HH-261120-2\""], "{err}");
    assert!(err.contains("The code is \"HH-261120-2\": \"HH-261120\" is another batch's."), "{err}");
    let (_, out, _) = begin(at, "b.still", "three", &day);
    assert_eq!(code_in(&out), ["\"HH-261120-3\""]);
    let (_, out, _) = begin(at, "b.still", "four", &["--on", "2026-11-21"]);
    assert_eq!(code_in(&out), ["\"HH-261121\""]);
    // What is on jars is taken too, and a code that is said is kept.
    let (exit, out, _) = begin(at, "b.still", "five", &[&day[..], &["code", "own"]].concat());
    assert_eq!((exit, code_in(&out)), (0, vec!["\"own\""]), "{out}");
    let (_, out, err) = begin(at, "b.still", "six", &[]);
    assert_eq!(code_in(&out), Vec::<&str>::new());
    assert!(err.contains("The batch has no code: say on which day it is begun, with `--on DATE`."), "{err}");
    for file in ["a.still", "b.still"] {
        let (exit, out, err) = run_in(at, &["fmt", "--check", file]);
        assert_eq!(exit, 0, "{out}{err}");
        let (_, out, _) = run_in(at, &["check", file, "--format", "json"]);
        assert!(!out.contains("\"level\": \"error\""), "{out}");
    }
    let (_, out, _) = run_in(at, &["sheet", "a.still", "--record", "two"]);
    assert!(out.contains("| two | HH-261120-2 | 2026-11-20 |"), "{out}");
    let (_, out, _) = run_in(at, &["sheet", "a.still", "--record", "two", "--format", "json"]);
    assert_eq!(json(&out)["code"], "HH-261120-2");
    for weighed in ["weighed jojoba-oil 474.24 g", "weighed beeswax 118.56 g"] {
        let (exit, _, err) = record(at, &["a.still", "--batch", "two", weighed]);
        assert_eq!(exit, 0, "{err}");
    }
    let (_, out, err) = run_in(at, &["label", "a.still", "--batch", "two", "--market", "eu", "--format", "json"]);
    assert_eq!(json(&out)["batch_code"], "HH-261120-2", "{err}");
}

/// Who has no way of calling batches is asked for nothing.
#[test]
fn without_a_pattern_nothing_is_proposed() {
    let shop = SHOP.replace("  code  \"HH-{yy}{mm}{dd}\"\n", "");
    let bench = folder(&[("shop.still", shop.as_bytes())]);
    let (exit, out, err) = begin(bench.dir.path(), "a.still", "one", &["--on", "2026-11-20"]);
    assert_eq!((exit, code_in(&out), err.contains("code")), (0, vec![], false), "{out}{err}");
    assert!(!fs::read_to_string(bench.dir.path().join("a.still")).unwrap().contains("code"));
}

fn json(text: &str) -> serde_json::Value {
    serde_json::from_str(text).unwrap_or_else(|error| panic!("{error}: {text}"))
}

#[test]
fn a_sheet_tells_of_the_jars() {
    let bench = folder(&[("shop.still", SHOP.as_bytes())]);
    let at = bench.dir.path();
    let ask = |more: &[&str]| run_in(at, &[&["sheet", "shop.still", "--formula", "balm"], more].concat()).1;
    let sheet = json(&ask(&["--format", "json", "--on", "2026-11-20"]));
    // 50 mL at 0.95 g/mL and 5 % over; 592.80 g are enough for eleven, and 592.8 - 11 x 49.875 is left.
    let fill = &sheet["fill"];
    assert_eq!(
        (&fill["container"], &fill["each_g"], &fill["each_g_exact"], &fill["planned"], &fill["filled"]),
        (&"jar-50".into(), &"49.88".into(), &"399/8".into(), &"12".into(), &"11".into())
    );
    assert_eq!(fill["left_over_g"], "44.18");
    assert_eq!(sheet["keeps"]["best_before"], "10/2027");
    assert_eq!((&sheet["keeps"]["lasts"], &sheet["keeps"]["opened"]), (&"12 months".into(), &"6 months".into()));
    assert_eq!(sheet["batch_code"], "HH-261120");
    let text = ask(&["--format", "text", "--on", "2026-11-20"]);
    assert!(
        text.contains(
            "49.88 g into each of 50 mL (`jar-50`), 5 % over its content; 12 were planned, and there is enough for 11"
        ),
        "{text}"
    );
    assert!(text.contains("made on 2026-11-20, best used before the end of 10/2027."), "{text}");
    assert!(text.contains("Batch code HH-261120"), "{text}");
    // Without a day there is none to keep to.
    let sheet = json(&ask(&["--format", "json"]));
    assert!(sheet["keeps"]["best_before"].is_null() && sheet["batch_code"].is_null(), "{sheet}");
    assert!(ask(&[]).contains("Keeps 12 months unopened, and 6 months once open."));
    // A stock is put into no jar.
    let stock =
        run_in(at, &["sheet", "shop.still", "--formula", "plain-stock", "--format", "json", "--on", "2026-11-20"]).1;
    let stock = json(&stock);
    assert!(stock["fill"].is_null() && stock["keeps"].is_null() && stock["batch_code"].is_null(), "{stock}");
}
