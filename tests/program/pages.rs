//! Pages in one file: what stands in them, and that the table of a sheet is what the bench says.

#![allow(clippy::disallowed_methods, reason = "tests read and write files of their own")]

use crate::common::{Folder, folder};
use assert_cmd::Command;
use serde_json::Value;
use std::fs;
use std::path::Path;

fn workshop() -> Folder {
    let example = |name: &str| fs::read(Path::new(env!("CARGO_MANIFEST_DIR")).join("examples").join(name)).unwrap();
    folder(&[
        ("acid-gel.still", &example("acid-gel.still")),
        ("balm.still", &example("balm.still")),
        ("stocks.still", &example("stocks.still")),
        ("materials.still", &example("materials.still")),
    ])
}

fn printed(folder: &Folder, words: &str) -> String {
    let mut command = Command::cargo_bin("stillroom").unwrap();
    let output = command.current_dir(folder.dir.path()).args(words.split(' ')).output().unwrap();
    assert!(output.status.success(), "{words}: {}", String::from_utf8_lossy(&output.stderr));
    String::from_utf8(output.stdout).unwrap()
}

/// What lies between two marks, taken out of a text, the marks left in it.
fn without(text: &str, from: &str, to: &str) -> String {
    let mut out = String::new();
    let mut rest = text;
    while let Some((before, after)) = rest.split_once(from) {
        let (_, after) = after.split_once(to).unwrap();
        out.extend([before, from, to]);
        rest = after;
    }
    out + rest
}

/// A page as it is looked at in a snapshot: an element a line, without its styles, its script and the data of that.
fn looked_at(page: &str) -> String {
    let page = without(&without(page, "<style>", "</style>"), "script-src '", "'");
    let page = without(&page, "<script", "</script>");
    page.replace("><", ">\n<")
}

#[test]
fn pages_look_as_they_did() {
    let folder = workshop();
    for (name, words) in [
        ("sheet-acid-gel", "sheet acid-gel.still --format html"),
        ("sheet-balm", "sheet balm.still --format html"),
        ("label-balm", "label balm.still --market eu --format html"),
        ("cost-balm", "cost balm.still --format html"),
    ] {
        insta::assert_snapshot!(format!("page-{name}"), looked_at(&printed(&folder, words)));
    }
}

/// What the script of a sheet goes by.
fn bench_of(page: &str) -> Value {
    let (_, data) = page.split_once(r#"<script type="application/json" id="bench-0">"#).unwrap();
    serde_json::from_str(data.split_once("</script>").unwrap().0).unwrap()
}

/// What the bench says to add to the gel, read so once so much is in, and so before that.
fn said(folder: &Folder, bench: &Value, first: Option<f64>, added: f64, ph: f64) -> Option<String> {
    let lines = bench["lines"].as_array().unwrap();
    let acts = bench["acts"].as_array().unwrap();
    let before = acts.iter().take_while(|act| act["what"] != "adjust").filter(|act| act["what"] == "weigh");
    let weighed = before.map(|act| {
        let line = &lines[usize::try_from(act["at"].as_u64().unwrap()).unwrap()];
        format!("weighed {} {} g", line["material"].as_str().unwrap(), line["now"].as_str().unwrap())
    });
    let before = first.map(|first| format!("reading pH {first:.2}"));
    let went_in = (added > 0.0).then(|| format!("added soda-2 {added:.2} g"));
    let all: Vec<String> = weighed.chain(before).chain(went_in).chain([format!("reading pH {ph:.2}")]).collect();
    let record = format!(
        "use \"acid-gel.still\"\n\nbatch now {{\n  formula acid-gel\n  size 20 g\n  {}\n}}\n",
        all.join("\n  ")
    );
    fs::write(folder.dir.path().join("now.still"), record).unwrap();
    let mut command = Command::cargo_bin("stillroom").unwrap();
    let output =
        command.current_dir(folder.dir.path()).args(["bench", "now.still", "--format", "json"]).output().unwrap();
    let told: Value = serde_json::from_slice(&output.stdout).unwrap();
    told["next_addition"]["grams"].as_str().map(ToString::to_string)
}

#[test]
fn the_table_of_a_sheet_is_what_the_bench_says() {
    let folder = workshop();
    let bench = bench_of(&printed(&folder, "sheet acid-gel.still --format html"));
    let rows = bench["adjust"]["doses"]["added"].as_array().unwrap();
    let mut compared = 0;
    // Every so many of the later rows, which are for each weight and each first reading.
    for row in rows.iter().take(1).chain(rows.iter().skip(1).step_by(6)) {
        let (added, first) = (row["grams"].as_f64().unwrap(), row["first"].as_f64());
        assert_eq!(first.is_none(), added == 0.0);
        let asks: Vec<&Value> = row["read"].as_array().unwrap().iter().filter(|dose| dose["says"] == "add").collect();
        let every = (asks.len() / if added == 0.0 { 12 } else { 2 }).max(1);
        for dose in asks.iter().step_by(every) {
            let ph = dose["ph"].as_f64().unwrap();
            let told = said(&folder, &bench, first, added, ph);
            assert_eq!(told, dose["grams"].as_f64().map(|grams| format!("{grams:.2}")), "pH {ph} with {added} g in");
            compared += 1;
        }
    }
    assert!(compared >= 25, "{compared}");
}

/// Before anything was added, each hundredth that asks for an addition has a row of its own: nothing is between two.
#[test]
fn before_anything_was_added_the_table_has_each_hundredth() {
    let bench = bench_of(&printed(&workshop(), "sheet acid-gel.still --format html"));
    let first = &bench["adjust"]["doses"]["added"][0];
    assert_eq!(first["grams"], 0.0);
    let asks = first["read"].as_array().unwrap().iter().filter(|dose| dose["says"] == "add");
    let hundredths: Vec<f64> = asks.map(|dose| (dose["ph"].as_f64().unwrap() * 100.0).round()).collect();
    assert!(hundredths.len() > 50, "{hundredths:?}");
    assert!(hundredths.windows(2).all(|pair| pair[1] - pair[0] == 1.0), "{hundredths:?}");
}
