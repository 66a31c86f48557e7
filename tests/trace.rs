//! From a lot, a material or the code on a jar to every batch: through premixes of premixes, and without the formulas.

#![allow(clippy::disallowed_methods, reason = "tests read files of their own")]

mod common;

use assert_cmd::Command;
use common::{Folder, folder, valid_by};
use serde_json::Value;
use std::path::Path;

/// A gum stock of a gum base of a lot of gum, in two serums and not in a third; none of their formulas is there.
const RECORDS: &str = "\
batch gb-1 {
  formula  gum-base version \"1\"
  started  2026-09-01
  lot      xanthan-gum \"XG-5\"
  weighed  xanthan-gum 10 g
  filled   1 x 100 g as \"GB-1\"
}

batch gs-2 {
  formula  gum-stock version \"1\"
  started  2026-09-10
  lot      gum-base \"GB-1\"
  lot      glycerin \"GL-3\"
  weighed  gum-base 20 g
  weighed  glycerin 60 g
  filled   1 x 80 g as \"GS-2\"
}

batch serum-a {
  formula    serum version \"4\"
  started    2026-10-01
  lot        gum-stock \"GS-2\"
  lot        glycerin \"GL-3\"
  weighed    gum-stock 20 g
  weighed    glycerin 5 g
  waited     30 min
  reading    pH 5.6
  filled     10 x 10 mL as \"SA-A\"
  sold       6 to \"market, October\"
  complaint  \"specks after a week\"
}

batch serum-b {
  formula    serum version \"4\"
  started    2026-10-08
  lot        gum-stock \"GS-2\"
  lot        glycerin \"GL-4\"
  weighed    gum-stock 20 g
  weighed    glycerin 5 g
  waited     20 min
  reading    pH 5.5
  filled     10 x 10 mL as \"SA-B\"
  complaint  \"specks\"
}

batch serum-c {
  formula   serum version \"4\"
  started   2026-10-20
  lot       gum-stock \"GS-3\"
  lot       glycerin \"GL-4\"
  weighed   glycerin 5 g
  weighed   gum-stock 20 g
  waited    2 h
  reading   pH 5.2
  filled    10 x 10 mL as \"SA-C\"
  released
}
";

fn records() -> Folder {
    folder(&[("records/2026.still", RECORDS.as_bytes())])
}

fn run(at: &Path, arguments: &[&str]) -> (i32, String, String) {
    let output =
        Command::cargo_bin("stillroom").unwrap().arg("trace").args(arguments).current_dir(at).output().unwrap();
    let text = |bytes| String::from_utf8(bytes).unwrap();
    (output.status.code().unwrap(), text(output.stdout), text(output.stderr))
}

fn json(at: &Path, arguments: &[&str]) -> Value {
    let (code, out, err) = run(at, &[arguments, &["--format", "json"]].concat());
    assert_eq!(code, 0, "{err}");
    serde_json::from_str(&out).unwrap()
}

fn batches(json: &Value) -> Vec<(&str, Vec<&str>)> {
    let list = json["batches"].as_array().unwrap().iter();
    list.map(|one| {
        let through = one["through"].as_array().unwrap().iter().map(|name| name.as_str().unwrap()).collect();
        (one["batch"].as_str().unwrap(), through)
    })
    .collect()
}

#[test]
fn a_lot_is_followed_through_premixes_of_premixes() {
    let folder = records();
    let found = json(folder.dir.path(), &["XG-5"]);
    valid_by("docs/schema/trace.json", &found);
    assert_eq!(found["kinds"], serde_json::json!(["lot"]));
    assert_eq!(
        batches(&found),
        [("gb-1", vec![]), ("gs-2", vec!["gb-1"]), ("serum-a", vec!["gb-1"]), ("serum-b", vec!["gb-1"])]
    );
    let serum = &found["batches"][2];
    assert_eq!(serum["sold"][0]["to"], "market, October");
    assert_eq!(serum["complaints"][0], "specks after a week");
}

#[test]
fn a_jar_leads_to_every_lot_in_it_and_to_the_others_with_those() {
    let folder = records();
    let found = json(folder.dir.path(), &["SA-A"]);
    assert_eq!(batches(&found), [("serum-a", vec![])]);
    let lots = found["batches"][0]["lots"].as_array().unwrap();
    let lot = |code: &str| lots.iter().find(|lot| lot["lot"] == code).unwrap_or_else(|| panic!("{code}: {lots:?}"));
    assert_eq!(lot("XG-5")["through"], "gb-1");
    assert_eq!(lot("GS-2")["also_in"], serde_json::json!(["serum-b"]));
    assert_eq!(
        lot("GL-3")["also_in"],
        serde_json::json!(["gs-2", "serum-b"]),
        "by itself, and in the stock of another"
    );
}

#[test]
fn a_material_and_an_unknown_code() {
    let folder = records();
    let found = json(folder.dir.path(), &["gum-stock"]);
    assert_eq!(found["kinds"], serde_json::json!(["material"]));
    assert_eq!(batches(&found).len(), 3);
    let (code, _, err) = run(folder.dir.path(), &["XG-6"]);
    assert!(code == 2 && err.contains("Did you mean `XG-5`?"), "{err}");
}

#[test]
fn what_the_bad_ones_share_and_the_good_ones_lack() {
    let folder = records();
    let found = json(folder.dir.path(), &["--compare", "records"]);
    valid_by("docs/schema/comparison.json", &found);
    assert_eq!(found["bad"], serde_json::json!(["serum-a", "serum-b"]));
    assert_eq!(found["good"], serde_json::json!(["serum-c"]));
    let shared: Vec<&str> =
        found["shared"].as_array().unwrap().iter().map(|one| one["what"].as_str().unwrap()).collect();
    assert_eq!(shared, ["order", "lot", "lot", "lot", "lot", "last reading", "waiting time"], "{found:#}");
    // Two bad ones of three can be picked in three ways.
    assert_eq!(found["by_chance"], 0.3333);
    let (_, out, _) = run(folder.dir.path(), &["--compare"]);
    insta::assert_snapshot!("trace-compare", out);
    let (_, out, _) = run(folder.dir.path(), &["XG-5"]);
    insta::assert_snapshot!("trace-lot", out);
}
