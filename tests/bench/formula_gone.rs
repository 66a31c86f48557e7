//! A record whose formula is gone is held to the rules of the market and the product that its plan keeps; an older plan,
//! which keeps neither, is held to what the formula says as long as it is there.
//!
//! Regulation (EC) No 1223/2009, Annex V, entry 1: benzoic acid and its sodium salt, at most 2.5 % of the acid in
//! products to be rinsed off, 0.5 % in others. By the molar masses 122.12 and 144.10 g/mol of the shelf, 1 g of the salt
//! counts as 0.847 g: the 1.00 g of the plan are 0.42 % of 200 g, and 2.40 g are 1.01 % of 201.40 g.

#![allow(clippy::disallowed_methods, reason = "tests read files of their own")]

use crate::common::folder;
use crate::common::repository::run_in;
use serde_json::Value;
use std::fs;
use std::path::Path;

const FORMULA: &str = "\
use shelf/all

formula toner {
  version  \"1\"
  product  leave-on face
  market   eu
  density  (1.02 g/mL)
  scale    0.01 g
  pH       4.0 to 5.0

  phase A {
    water            q.s.
    glycerin         5 %
    sodium-benzoate  0.5 %
    lactic-acid-80   0.2 %
  }
}
";

const KEPT: &str = "    product leave-on face\n    market eu\n    density 1.02 g/mL\n";

/// A batch with 2.40 g of the preservative for 1.00 g, recorded by the command line.
fn recorded(at: &Path) -> String {
    let new = ["record", "b.still", "--new", "t-9", "--formula", "toner", "--from", "toner.still", "--size", "200 g"];
    let begun = run_in(at, &new);
    assert_eq!(begun.0, 0, "{begun:?}");
    let said = ["water 188.60 g", "glycerin 10.00 g", "sodium-benzoate 2.40 g", "lactic-acid-80 0.40 g"]
        .map(|of| format!("weighed {of}"));
    for statement in said.into_iter().chain(["reading pH 4.5", "filled 4 x 50 g"].map(String::from)) {
        let written = run_in(at, &["record", "b.still", &statement]);
        assert_eq!(written.0, 0, "{statement}: {written:?}");
    }
    fs::read_to_string(at.join("b.still")).unwrap()
}

/// The rules that the batch is told it breaks.
fn broken(at: &Path) -> Vec<String> {
    let (_, out, err) = run_in(at, &["check", "b.still", "--format", "json"]);
    let told: Value = serde_json::from_str(&out).unwrap_or_else(|error| panic!("{error}\n{out}{err}"));
    let all = told["diagnostics"].as_array().unwrap().iter().filter(|one| one["code"] == "rule-broken");
    all.map(|one| one["message"].as_str().unwrap().to_string()).collect()
}

#[test]
fn a_batch_is_held_to_its_markets_by_its_plan_when_the_formula_is_gone() {
    let folder = folder(&[("toner.still", FORMULA.as_bytes())]);
    let at = folder.dir.path();
    let text = recorded(at);
    assert!(text.contains(KEPT), "{text}");
    let there = broken(at);
    assert_eq!(there.len(), 1, "{there:?}");
    assert!(there[0].starts_with("As made: ") && there[0].contains("0.5 %"), "{there:?}");

    fs::remove_file(at.join("toner.still")).unwrap();
    assert_eq!(broken(at), there);
    // Rinsed off it may hold 2.5 %: the product of the plan counts, and not its market alone.
    fs::write(at.join("b.still"), text.replace("product leave-on face", "product rinse-off face")).unwrap();
    assert_eq!(broken(at), Vec::<String>::new());
}

#[test]
fn the_plan_goes_before_the_formula_as_it_is_now() {
    let folder = folder(&[("toner.still", FORMULA.as_bytes())]);
    let at = folder.dir.path();
    let _ = recorded(at);
    let there = broken(at);
    let now = FORMULA.replace("  market   eu\n", "").replace("leave-on", "rinse-off");
    fs::write(at.join("toner.still"), now).unwrap();
    assert_eq!(broken(at), there);
}

#[test]
fn an_older_plan_asks_the_formula_as_before() {
    let folder = folder(&[("toner.still", FORMULA.as_bytes())]);
    let at = folder.dir.path();
    let text = recorded(at).replace(KEPT, "");
    let there = broken(at);
    fs::write(at.join("b.still"), &text).unwrap();
    assert_eq!(there.len(), 1);
    assert_eq!(broken(at), there);
    fs::remove_file(at.join("toner.still")).unwrap();
    assert_eq!(broken(at), Vec::<String>::new());
}

/// Wherever a density can stand it is one that something has.
#[test]
fn a_plan_keeps_no_density_that_nothing_has() {
    let folder = folder(&[("toner.still", FORMULA.as_bytes())]);
    let at = folder.dir.path();
    let text = recorded(at).replace("density 1.02 g/mL", "density 102 g/mL");
    fs::write(at.join("b.still"), text).unwrap();
    let (code, out, err) = run_in(at, &["check", "b.still"]);
    assert!(code == 1 && out.contains("figure-impossible"), "{out}{err}");
}
