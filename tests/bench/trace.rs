//! From a lot, a material or the code on a jar to every batch: through premixes of premixes, and without the formulas.

#![allow(clippy::disallowed_methods, reason = "tests read files of their own")]

use crate::common::{Folder, folder, other_user, valid_by};
use assert_cmd::Command;
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
    assert_eq!(lot("GL-3")["through"], Value::Null);
    let everywhere = found["lots"].as_array().unwrap();
    let batches_of = |code: &str| &everywhere.iter().find(|lot| lot["lot"] == code).unwrap()["batches"];
    assert_eq!(batches_of("GS-2"), &serde_json::json!(["serum-a", "serum-b"]));
    assert_eq!(
        batches_of("GL-3"),
        &serde_json::json!(["gs-2", "serum-a", "serum-b"]),
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

/// The `not_read` of what is printed as JSON: path, line, batch.
fn not_read(json: &Value) -> Vec<(&str, Option<u64>, Option<&str>)> {
    let list = json["not_read"].as_array().unwrap().iter();
    list.map(|one| (one["path"].as_str().unwrap(), one["line"].as_u64(), one["batch"].as_str())).collect()
}

#[test]
fn a_record_with_a_fault_still_shows_and_the_fault_is_named() {
    let faulty =
        RECORDS.replace("  sold       6 to \"market, October\"", "  sold       6 of them to \"market, October\"");
    let folder = folder(&[("records/2026.still", faulty.as_bytes())]);
    let at = folder.dir.path();
    let (code, out, err) = run(at, &["XG-5", "--format", "json"]);
    assert_eq!(code, 1, "{err}");
    let found: Value = serde_json::from_str(&out).unwrap();
    valid_by("docs/schema/trace.json", &found);
    assert_eq!(batches(&found).len(), 4, "{found:#}");
    assert_eq!(found["batches"][2]["complaints"][0], "specks after a week");
    let line = faulty.lines().position(|line| line.contains("6 of them")).unwrap() as u64 + 1;
    assert_eq!(not_read(&found), [("records/2026.still", Some(line), Some("serum-a"))]);
    assert!(err.contains(&format!("`records/2026.still`, line {line}, in `serum-a`: ")), "{err}");
    assert!(err.contains("a batch may be missing"), "{err}");
    let (code, out, _) = run(at, &["XG-5"]);
    assert_eq!(code, 1);
    assert!(
        out.contains("**Not everything could be read") && out.contains(&format!("line {line}, in `serum-a`")),
        "{out}"
    );
    let (code, out, _) = run(at, &["--compare", "--format", "json"]);
    assert_eq!(code, 1);
    let found: Value = serde_json::from_str(&out).unwrap();
    valid_by("docs/schema/comparison.json", &found);
    assert_eq!(not_read(&found).len(), 1);
}

#[test]
fn a_record_that_is_none_for_its_first_line_is_named() {
    for (was, now) in [("batch serum-c {", "batch Serum C {"), ("batch serum-c {", "btach serum-c {")] {
        let folder = folder(&[("2026.still", RECORDS.replace(was, now).as_bytes())]);
        let (code, out, err) = run(folder.dir.path(), &["glycerin", "--format", "json"]);
        assert_eq!(code, 1, "{now}: {err}");
        let found: Value = serde_json::from_str(&out).unwrap();
        assert_eq!(batches(&found).len(), 3, "{now}");
        let line = RECORDS.lines().position(|line| line == was).unwrap() as u64 + 1;
        assert_eq!(not_read(&found).first().map(|one| one.1), Some(Some(line)), "{now}: {found:#}");
    }
}

#[test]
fn an_open_brace_swallows_no_batch_in_silence() {
    // A formula before them that is not closed leaves all of them whole; a record that is not closed is named.
    let of_a_formula = format!("formula open {{\n  title \"Open\"\n\n{RECORDS}");
    for (text, wanted) in [(of_a_formula, 0), (RECORDS.replacen("\n}\n", "\n", 1), 1)] {
        let folder = folder(&[("2026.still", text.as_bytes())]);
        let (code, out, err) = run(folder.dir.path(), &["XG-5", "--format", "json"]);
        assert_eq!(code, wanted, "{err}");
        assert_eq!(err.contains("`2026.still`, line "), wanted == 1, "{err}");
        assert_eq!(batches(&serde_json::from_str(&out).unwrap()).len(), 4, "{out}");
    }
}

#[test]
fn a_fault_in_something_that_is_no_record_is_no_matter() {
    let other = "formula draft {\n  title Draft\n}\n";
    let folder = folder(&[("2026.still", RECORDS.as_bytes()), ("draft.still", other.as_bytes())]);
    let (code, _, err) = run(folder.dir.path(), &["XG-5"]);
    assert!(code == 0 && err.is_empty(), "{code}: {err}");
}

#[test]
fn a_material_of_a_statement_with_a_figure_at_fault_leads_to_its_batch() {
    let text = format!("batch b-1 {{\n  formula  serum\n  weighed  propanediol {} g\n}}\n", "9".repeat(2_000));
    let folder = folder(&[("2026.still", text.as_bytes())]);
    let (code, out, err) = run(folder.dir.path(), &["propanediol", "--format", "json"]);
    assert_eq!(code, 1, "{err}");
    let found: Value = serde_json::from_str(&out).unwrap();
    assert_eq!(batches(&found), [("b-1", vec![])]);
    assert_eq!(not_read(&found), [("2026.still", Some(3), Some("b-1"))]);
}

#[test]
fn what_is_no_text_is_named() {
    let folder = folder(&[("a.still", RECORDS.as_bytes()), ("b.still", b"batch b { note \"\xff\" }")]);
    let (code, out, err) = run(folder.dir.path(), &["XG-5", "--format", "json"]);
    assert_eq!(code, 2, "{err}");
    let found: Value = serde_json::from_str(&out).unwrap();
    assert_eq!(batches(&found).len(), 4);
    assert_eq!(not_read(&found), [("b.still", None, None)]);
    assert!(err.contains("UTF-8"), "{err}");
}

#[test]
fn a_file_or_folder_that_may_not_be_read_is_named() {
    let files = [("a.still", RECORDS.as_bytes()), ("shut.still", b"".as_slice()), ("shut/b.still", b"")];
    let folder = folder(&files);
    let at = folder.dir.path();
    other_user::close(&at.join("shut.still"));
    other_user::close(&at.join("shut"));
    let (code, out, err) = other_user::run(at, &["trace", "XG-5", "--format", "json"]);
    let (unknown, _, told) = other_user::run(at, &["trace", "XG-99"]);
    other_user::open(&at.join("shut"));
    assert_eq!(code, 2, "{err}");
    let found: Value = serde_json::from_str(&out).unwrap();
    valid_by("docs/schema/trace.json", &found);
    assert_eq!(batches(&found).len(), 4);
    assert_eq!(not_read(&found), [("shut", None, None), ("shut.still", None, None)]);
    assert!(err.contains("`shut`: ") && err.contains("`shut.still`: ") && !err.contains("os error"), "{err}");
    assert!(unknown == 2 && told.contains("`shut.still`") && told.contains("may be missing"), "{told}");
}

/// So many batches: each of two lots of its own and of three that all share, one of them a premix.
fn many(batches: usize) -> Folder {
    let mut text = String::from(
        "batch base-0 {\n  formula  base\n  lot      xanthan-gum \"XG-1\"\n  lot      glycerin \"GL-1\"\n  \
         filled   1 x 900 g as \"BASE-0\"\n}\n",
    );
    for number in 0..batches {
        text.push_str(&format!(
            "\nbatch s-{number:05} {{\n  formula  serum version \"1\"\n  lot      base \"BASE-0\"\n  lot      water \
             \"W-1\"\n  lot      panthenol-75 \"PA-{number:05}\"\n  lot      fragrance \"FR-{number:05}\"\n  \
             weighed  water 80 g\n  filled   3 x 30 mL as \"S-{number:05}\"\n}}\n"
        ));
    }
    folder(&[("records.still", text.as_bytes())])
}

#[test]
fn what_is_printed_grows_as_the_records_do() {
    let (few, more) = (many(100), many(400));
    for format in ["json", "markdown"] {
        let size = |folder: &Folder| {
            let (code, out, err) = run(folder.dir.path(), &["XG-1", "--format", format]);
            assert_eq!(code, 0, "{err}");
            out.len()
        };
        let (few, more) = (size(&few), size(&more));
        assert!(more < few * 5, "{format}: {few} bytes for 100 batches, {more} for 400");
    }
    let found = json(few.dir.path(), &["XG-1"]);
    assert_eq!(found["batches"].as_array().unwrap().len(), 101);
    let lots = found["lots"].as_array().unwrap();
    let shared: Vec<&Value> = lots.iter().filter(|lot| lot["lot"] == "W-1").collect();
    assert_eq!(shared.len(), 1, "a lot and where it is stand there once");
    assert_eq!(shared[0]["batches"].as_array().unwrap().len(), 100);
}
