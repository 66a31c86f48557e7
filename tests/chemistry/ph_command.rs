//! `ph` through the real command line, in every format. What the checks make of the pH stands in `tests/suite/ph`.

#![allow(clippy::disallowed_methods, reason = "tests read files of their own")]

use crate::common;
use crate::common::valid_by;
use assert_cmd::Command;
use serde_json::Value;

fn ph(arguments: &[&str], input: &str) -> (i32, String, String) {
    let mut command = Command::cargo_bin("stillroom").unwrap();
    let output = command
        .arg("ph")
        .args(arguments)
        .current_dir(env!("CARGO_MANIFEST_DIR"))
        .write_stdin(input.as_bytes())
        .output()
        .unwrap();
    let text = |bytes| String::from_utf8(bytes).unwrap();
    (output.status.code().unwrap(), text(output.stdout), text(output.stderr))
}

/// A formula of the shelf's materials, with a head and the lines of one phase.
fn formula(head: &str, lines: &str) -> String {
    format!(
        "use shelf/all\n\nformula f {{\n  title \"F\"\n  version \"1\"\n  product stock\n  makes 100 g\n  scale 0.01 g\n  {head}\n  \
         phase A {{\n    {lines}\n  }}\n}}\n"
    )
}

#[test]
fn the_drawing_and_the_figures() {
    let (code, out, err) = ph(&["examples/acid-gel.still"], "");
    assert_eq!((code, err.as_str()), (0, ""));
    insta::assert_snapshot!("ph-text", out);
}

#[test]
fn json_is_valid_and_agrees_with_the_sheet() {
    let (_, out, _) = ph(&["examples/acid-gel.still", "--format", "json"], "");
    let json: Value = serde_json::from_str(&out).unwrap();
    valid_by("docs/schema/ph.json", &json);
    let sheet = Command::cargo_bin("stillroom")
        .unwrap()
        .args(["sheet", "examples/acid-gel.still", "--format", "json"])
        .current_dir(env!("CARGO_MANIFEST_DIR"))
        .output()
        .unwrap();
    let sheet: Value = serde_json::from_slice(&sheet.stdout).unwrap();
    for (key, value) in sheet["ph"].as_object().unwrap() {
        assert_eq!(&json["ph"][key], value, "{key}");
    }
    let curve = json["ph"]["curve"].as_array().unwrap();
    assert_eq!(curve[0]["ph"], json["ph"]["before"]);
    let rises = curve.windows(2).all(|pair| pair[0]["ph"].as_f64() < pair[1]["ph"].as_f64());
    assert!(curve.len() == 101 && rises, "a base only raises the pH");
    let (_, all, _) = ph(&["examples", "--format", "json"], "");
    valid_by("docs/schema/phs.json", &serde_json::from_str(&all).unwrap());
}

#[test]
fn values_and_picture() {
    let (_, csv, _) = ph(&["examples/acid-gel.still", "--format", "csv"], "");
    let lines: Vec<&str> = csv.lines().collect();
    assert_eq!(lines[0], "formula,adjuster,grams,ph");
    assert!(lines[1].starts_with("acid-gel,soda-2,0,2.38"), "{}", lines[1]);
    assert_eq!(lines.len(), 102);
    let (code, svg, _) = ph(&["examples/acid-gel.still", "--format", "svg"], "");
    assert!(code == 0 && svg.starts_with("<svg") && svg.contains("5.40 g held back"), "{svg}");
}

/// The model that was asked for is the one that is named and used.
#[test]
fn the_model_is_chosen_and_named() {
    let strong =
        formula("pH 4.0 to 4.4", "water q.s.  hold back 40 %\n glycolic-acid-70 12 %\n sodium-hydroxide-20 q.s. to pH");
    let middle = |model: &str| {
        let (_, out, _) = ph(&["-", "--format", "json", "--activity", model], &strong);
        let json: Value = serde_json::from_str(&out).unwrap();
        assert_eq!(json["ph"]["model"], model);
        json["ph"]["adjusters"][0]["grams_mid"].as_f64().unwrap()
    };
    let (davies, best, ideal) = (middle("davies"), middle("best"), middle("ideal"));
    assert!(davies != best && best != ideal && (davies - best).abs() < 2.0, "{davies} {best} {ideal}");
}

#[test]
fn it_says_what_cannot_be_foreseen() {
    let (code, _, err) =
        ph(&["-"], "use shelf/all\nformula f {\n  version \"1\"\n  phase A {\n    sunflower-oil  100 %\n  }\n}\n");
    assert_eq!(code, 2);
    assert!(err.contains("nothing of which a pH can be foreseen"), "{err}");
    let foaming = formula("pH 5.0 to 6.0", "water q.s.\n sodium-bicarbonate 1 %\n citric-acid 1 %");
    let (_, out, _) = ph(&["-"], &foaming);
    assert!(out.contains("Nothing can be foreseen of the pH") && out.contains("gas leaves"), "{out}");
    let (code, _, err) = ph(&["-", "--format", "svg"], &formula("pH 2.0 to 3.0", "water q.s.\n citric-acid 1 %"));
    assert!(code == 2 && err.contains("no line `q.s. to pH`"), "{err}");
}

/// A formula that misses its window is foreseen all the same: that is when one wants to see it.
#[test]
fn a_formula_at_fault_is_foreseen_and_exits_1() {
    let text =
        formula("pH 3.6 to 4.0", "water q.s.  hold back 2 %\n glycolic-acid-70 5 %\n sodium-hydroxide-10 q.s. to pH");
    let (code, out, err) = ph(&["-"], &text);
    assert!(code == 1 && err.contains("reserve-short") && out.contains("near edge"), "{out}{err}");
}

/// Nobody knows where either of them starts. What niacinamide and benzoate hold in the window makes its doses fairly sure,
/// and they stand there with their ranges; of gum and glycerin alone a trace decides, and no dose is told.
#[test]
fn a_start_that_nobody_knows_hides_no_dose_that_is_sure() {
    let window = "pH 4.6 to 5.0";
    let words = |lines: &str| -> Vec<String> {
        let text = formula(window, &format!("water q.s. hold back 4 %\n    {lines}\n    citric-acid-50 q.s. to pH"));
        let sheet = common::sheet_of(&text, "f", &stillroom::sheet::BatchOrder::default());
        sheet.ph.unwrap().words
    };
    let sure = words("niacinamide 4 %\n    sodium-benzoate 0.4 %");
    assert!(sure[0].contains("so little holds it there that traces decide"), "{sure:#?}");
    let doses = sure.iter().find(|said| said.starts_with("Foreseen of citric-acid-50: ")).unwrap();
    assert!(doses.contains(") to the near edge") && doses.contains(") to the far edge"), "{doses}");
    let unsure = words("glycerin 3 %\n    xanthan-gum 0.3 %");
    assert!(unsure[0].starts_with("Where its pH begins is not foreseen"), "{unsure:#?}");
    assert!(unsure.iter().all(|said| !said.starts_with("Foreseen")), "{unsure:#?}");
}
