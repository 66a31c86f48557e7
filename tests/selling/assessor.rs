//! The file for a safety assessor: exact, whole, and saying what it is not.

#![allow(clippy::disallowed_methods, reason = "tests read files of their own")]

use crate::common::{folder, valid_by};
use assert_cmd::Command;
use serde_json::{Value, json};
use std::path::Path;

fn run(folder: &Path, arguments: &[&str]) -> (String, String, i32) {
    let run = Command::cargo_bin("stillroom")
        .unwrap()
        .current_dir(folder)
        .args(["sheet", "gel.still", "--for", "assessor"])
        .args(arguments)
        .output()
        .unwrap();
    let text = |bytes| String::from_utf8(bytes).unwrap();
    (text(run.stdout), text(run.stderr), run.status.code().unwrap())
}

const GEL: &str = r#"use shelf/all

material our-glycolic like glycolic-acid-70 {
  supplier  "A supplier"
  source    "the certificate of lot G-1"
}
material odd-extract {
  name      "Extract of something odd"
  role      conditioning
  contains  odd-leaf 20 %, water 80 %
}
substance odd-leaf { inci "Odd Leaf Extract" }

formula gel {
  title     "Glycolic gel"
  version   "2"
  product   leave-on face
  market    eu, uk
  makes     10 x 30 mL
  density   1.02 g/mL
  scale     0.01 g
  pH        3.6 to 4.0
  lasts     12 months because "six months at 40 °C"
  opened    6 months
  phase A "All" {
    water                              q.s.  hold back 8 %
    our-glycolic                       4 % active
    odd-extract                        1 %
    gum                                20 %
    sodium-hydroxide-10                q.s. to pH
    phenoxyethanol-ethylhexylglycerin  0.9 %
  }
}

formula gum {
  product  stock
  makes    100 g
  scale    0.01 g
  phase A {
    water                              q.s.
    xanthan-gum                        2 %
    phenoxyethanol-ethylhexylglycerin  0.9 %
  }
}

batch g-1 {
  formula   gel version "2"
  started   2026-11-20
  lot       our-glycolic "G-1" expires 2027-11-01
  weighed   water 190.00 g
  weighed   our-glycolic 17.00 g
  weighed   odd-extract 3.00 g
  weighed   gum 61.20 g
  weighed   phenoxyethanol-ethylhexylglycerin 2.75 g
  added     sodium-hydroxide-10 12.00 g
  reading   pH 3.8
  topped-up water 10 g
  complaint "stings"
}
"#;

fn json_of(arguments: &[&str]) -> Value {
    let folder = folder(&[("gel.still", GEL.as_bytes())]);
    let (out, told, _) = run(folder.dir.path(), &[&["--format", "json"], arguments].concat());
    let found = serde_json::from_str(&out).unwrap_or_else(|_| panic!("{told}"));
    valid_by("docs/schema/assessor.json", &found);
    found
}

fn of<'f>(file: &'f Value, list: &str, key: &str, name: &str) -> &'f Value {
    let all = file[list].as_array().unwrap();
    all.iter().find(|one| one[key] == name).unwrap_or_else(|| panic!("{name}: {:#}", file[list]))
}

#[test]
fn what_is_in_it_stands_there_exactly_with_cas_numbers_and_functions() {
    let file = json_of(&["--formula", "gel"]);
    assert_eq!(file["schema"], "stillroom.assessor/1");
    let acid = of(&file, "substances", "substance", "glycolic-acid");
    assert_eq!((&acid["percent_low_exact"], &acid["cas"]), (&json!("4"), &json!("79-14-1")));
    assert_eq!(acid["functions"], of(&file, "materials", "material", "our-glycolic")["functions"]);
    // The premix is seen through: 20 % of a gum with 2 %.
    let gum = of(&file, "substances", "substance", "xanthan-gum");
    assert_eq!((&gum["percent_low_exact"], &gum["percent_high_exact"]), (&json!("2/5"), &json!("2/5")));
    // What is weighed to the pH is anything up to what is held back: 8 % of a 10 % stock.
    let lye = of(&file, "substances", "substance", "sodium-hydroxide");
    assert_eq!(lye["percent_low_exact"], "0");
    let line = of(&file, "lines", "material", "our-glycolic");
    assert_eq!((&line["percent_exact"], &line["percent"]), (&json!("40/7"), &json!("5.714")));
    assert_eq!(of(&file, "lines", "material", "sodium-hydroxide-10")["percent_exact"], Value::Null);
    let all: Vec<&Value> = file["substances"].as_array().unwrap().iter().collect();
    assert!(all.iter().all(|of| of["presence"] == "ingredient"), "{all:#?}");
}

#[test]
fn the_label_the_rules_and_the_day_they_were_read_on_stand_in_it() {
    let file = json_of(&["--formula", "gel", "--on", "2026-12-24"]);
    assert_eq!((&file["on"], &file["on_by"]), (&json!("2026-12-24"), &json!("`--on`")));
    let markets: Vec<&Value> =
        file["label"]["labels"].as_array().unwrap().iter().map(|label| &label["market"]).collect();
    assert_eq!(markets, ["eu", "uk"]);
    assert!(file["label"]["labels"][0]["text"].as_str().unwrap().starts_with("Ingredients: Aqua, "));
    let rules = file["rules"].as_array().unwrap();
    assert!(rules.iter().any(|rule| rule["markets"].as_array().unwrap().contains(&json!("eu"))), "{rules:#?}");
    assert!(rules.iter().all(|rule| !rule["source"].is_null()));
    let lasts = of(&file, "stated", "what", "lasts");
    assert_eq!((&lasts["says"], &lasts["because"]), (&json!("12 months"), &json!("six months at 40 °C")));
}

#[test]
fn a_batch_stands_in_it_as_it_was_made() {
    let file = json_of(&["--batch", "g-1"]);
    assert_eq!(file["batch"]["name"], "g-1");
    // 17 g of 70 % in 295.95 g.
    let acid = of(&file, "substances", "substance", "glycolic-acid");
    assert_eq!((&acid["percent_low_exact"], &acid["formula_percent"]), (&json!("23800/5919"), &json!("4")));
    let lye = of(&file, "substances", "substance", "sodium-hydroxide");
    assert_eq!(lye["percent_low_exact"], lye["percent_high_exact"]);
    assert_eq!(of(&file, "materials", "material", "our-glycolic")["lots"][0]["lot"], "G-1");
    assert_eq!(file["complaints"], json!([{ "batch": "g-1", "says": "stings" }]));
    assert_eq!(file["batch"]["readings"], json!(["reading pH 3.8"]));
    // The blend that preserves is a range, so the whole lies between the sums of both ends.
    let sum = |end: &str| -> f64 { file["substances"].as_array().unwrap().iter().map(|of| decimal(&of[end])).sum() };
    let (low, high) = (sum("percent_low_exact"), sum("percent_high_exact"));
    assert!(low > 99.9 && low < 100.0 && high > 100.0 && high < 100.1, "{low} {high}");
    of(&file, "missing", "of", "xanthan-gum");
}

fn decimal(fraction: &Value) -> f64 {
    let text = fraction.as_str().unwrap();
    let (num, den) = text.split_once('/').unwrap_or((text, "1"));
    num.parse::<f64>().unwrap() / den.parse::<f64>().unwrap()
}

#[test]
fn what_the_files_do_not_say_is_named() {
    let file = json_of(&["--formula", "gel"]);
    let missing: Vec<String> = file["missing"]
        .as_array()
        .unwrap()
        .iter()
        .map(|of| format!("{}: {}", of["of"].as_str().unwrap(), of["what"].as_str().unwrap()))
        .collect();
    for wanted in [
        "odd-leaf: its CAS number",
        "odd-extract: who supplies it",
        "odd-extract: where its composition is from",
        "gel: what it is packed in",
        "the label (eu, uk): responsible person",
    ] {
        assert!(missing.iter().any(|of| of.contains(wanted)), "{wanted}: {missing:#?}");
    }
    assert!(!missing.iter().any(|of| of.starts_with("our-glycolic: who supplies it")), "{missing:#?}");
}

#[test]
fn it_says_first_and_last_that_it_is_no_assessment() {
    let folder = folder(&[("gel.still", GEL.as_bytes())]);
    let (out, ..) = run(folder.dir.path(), &["--formula", "gel"]);
    let says = "This is a file for a qualified safety assessor, and no assessment";
    assert_eq!(out.matches(says).count(), 2, "{out}");
    assert!(out.trim_end().lines().last().unwrap().starts_with(says));
    insta::assert_snapshot!("assessor_file", out);
    let (_, told, code) = run(folder.dir.path(), &["--formula", "gum"]);
    assert_eq!(code, 1);
    assert!(told.contains("`gum` is `product stock`"), "{told}");
    let (_, told, code) = run(folder.dir.path(), &["--batch", "g-2"]);
    assert_eq!(code, 2, "{told}");
}

const STATED: &str = r#"use shelf/all
material our-lavender like lavender-oil { supplier "A supplier" }
formula gel {
  title    "Lavender and acid"
  version  "1"
  product  leave-on face
  market   eu, us
  makes    10 x 50 g
  scale    0.01 g
  phase A {
    sunflower-oil  q.s.
    our-lavender   1 %
    lactic-acid-80    1 %
  }
}
batch g-1 {
  formula  gel version "1"
  started  2026-11-20
  weighed  sunflower-oil 98 g
  weighed  our-lavender 1 g
  weighed  lactic-acid-80 1 g
}
formula drug {
  title     "Sun and acid"
  version   "1"
  product   leave-on face
  function  "Fights acne"
  market    us
  makes     10 x 50 g
  scale     0.01 g
  phase A {
    sunflower-oil   q.s.
    lactic-acid-80  1 %
  }
}
"#;

fn outcomes(file: &Value) -> Vec<(&str, &str)> {
    let rules = file["rules"].as_array().unwrap().iter();
    rules.map(|rule| (rule["rule"].as_str().unwrap(), rule["outcome"].as_str().unwrap())).collect()
}

fn stated(arguments: &[&str]) -> Value {
    let folder = folder(&[("gel.still", STATED.as_bytes())]);
    let (out, told, _) = run(folder.dir.path(), &[&["--format", "json"], arguments].concat());
    serde_json::from_str(&out).unwrap_or_else(|_| panic!("{told}"))
}

#[test]
fn what_the_label_states_is_no_law_broken() {
    for asked in [["--formula", "gel"], ["--batch", "g-1"]] {
        let file = stated(&asked);
        let found = outcomes(&file);
        assert!(!found.iter().any(|(_, outcome)| *outcome == "not kept"), "{found:#?}");
        assert!(found.iter().any(|(_, outcome)| *outcome == "allergen named on the label"), "{found:#?}");
        assert!(found.iter().any(|(_, outcome)| *outcome == "statement printed on the label"), "{found:#?}");
        let told: Vec<&Value> = file["diagnostics"].as_array().unwrap().iter().map(|of| &of["code"]).collect();
        assert!(!told.iter().any(|code| *code == "declare-allergen" || *code == "rule-needs-statement"), "{told:?}");
    }
    // What is a drug by its claim has no label here, and nothing states it.
    let found = stated(&["--formula", "drug"]);
    let found = outcomes(&found);
    assert!(found.iter().any(|(_, outcome)| *outcome == "statement missing on the label"), "{found:#?}");
}

#[test]
fn figures_are_printed_for_people_and_a_batch_says_what_each_is_there_for() {
    let folder = folder(&[("gel.still", GEL.as_bytes())]);
    let (out, ..) = run(folder.dir.path(), &["--formula", "gel"]);
    assert!(!out.contains("5.714285714") && out.contains("5.714"), "{out}");
    let undisclosed: Vec<&str> = out.lines().filter(|line| line.starts_with("Not disclosed")).collect();
    assert!(!undisclosed.iter().any(|line| line.contains('/')), "{undisclosed:?}");
    let file = stated(&["--batch", "g-1"]);
    let all = file["materials"].as_array().unwrap();
    assert!(all.iter().all(|of| !of["functions"].as_array().unwrap().is_empty()), "{all:#?}");
}
