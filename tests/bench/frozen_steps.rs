//! The plan frozen into a record keeps temperatures and steps: what is next is the same with the formula and without it.
//!
//! The formula is invented, its figures are worked by hand: of 200 g 10 % wait, and 10.00, 0.33, 5.00, 2.00 and 40.00 g
//! of the others leave 142.67 g of water, 122.67 g at first and 20.00 g later.

#![allow(clippy::disallowed_methods, reason = "tests read files of their own")]

use assert_cmd::Command;
use serde_json::Value;
use std::fs;
use std::path::Path;

const FORMULA: &str = "\
use shelf/all

material our-glycerin {
  name      \"Glycerin, our \\\"blue\\\" can\"
  contains  glycerin 99.5 % active, water remainder
  role      humectant
}

formula soda-5 {
  title    \"Soda, 5 %\"
  version  \"1\"
  product  stock
  makes    100 g
  scale    0.01 g

  phase A \"All\" {
    water                q.s.
    sodium-hydroxide-10  50 %
  }
}

formula warm-gel {
  title    \"Warm gel\"
  version  \"1.0\"
  product  rinse-off
  makes    200 g
  scale    0.01 g
  pH       3.6 to 4.0

  phase A \"Water phase\" {
    heat to 70 °C
    water           q.s.  hold back 10 %
    our-glycerin    5 %
    sodium-phytate  (1/30 * our-glycerin)
  }
  phase B \"Cool\" {
    cool to 35 °C
    lactic-acid-80                     2 % active
    phenoxyethanol-ethylhexylglycerin  1 %
    rose-hydrosol                      20 %
    soda-5                             q.s. to pH
  }
  steps {
    \"Stir {our-glycerin} into {water first}: {{warm}; dissolve {sodium-phytate}.\"
    \"Stir in {lactic-acid-80}, {phenoxyethanol-ethylhexylglycerin} and {rose-hydrosol}.\"
    \"Leave {rose-hydrosol} in it for 30 min.\"
    \"Bring to {pH} with {soda-5}.\"
    \"Top up with {water rest}; read once more.\"
  }
}
";

const MIXED: &str = "  weighed lactic-acid-80 5.00 g\n  weighed phenoxyethanol-ethylhexylglycerin 2.00 g\n  \
                     weighed rose-hydrosol 40.00 g\n";

fn run(at: &Path, arguments: &[&str]) -> String {
    let output = Command::cargo_bin("stillroom").unwrap().args(arguments).current_dir(at).output().unwrap();
    assert!(output.status.success(), "{arguments:?}: {}", String::from_utf8_lossy(&output.stderr));
    String::from_utf8(output.stdout).unwrap()
}

fn bench(at: &Path) -> Value {
    serde_json::from_str(&run(at, &["bench", "record.still", "--format", "json"])).unwrap()
}

fn record(uses: &str, statements: &str) -> String {
    format!("{uses}batch wg-1 {{\n  formula  warm-gel version \"1.0\"\n  size     200.00 g\n{statements}}}\n")
}

/// The plan that the program freezes.
fn plan() -> String {
    let folder = tempfile::tempdir().unwrap();
    fs::write(folder.path().join("gel.still"), FORMULA).unwrap();
    fs::write(folder.path().join("record.still"), record("use \"gel.still\"\n", "")).unwrap();
    run(folder.path(), &["record", "record.still", "waited", "1", "min"]);
    let text = fs::read_to_string(folder.path().join("record.still")).unwrap();
    let start = text.find("  plan {\n").unwrap();
    text[start..text.find("  waited").unwrap()].to_string()
}

/// A batch with its formula in a file beside it, without a plan; and one with its plan, and nothing beside it.
fn both(statements: &str, plan: &str) -> (Value, Value) {
    let folder = tempfile::tempdir().unwrap();
    fs::write(folder.path().join("gel.still"), FORMULA).unwrap();
    fs::write(folder.path().join("record.still"), record("use \"gel.still\"\n", statements)).unwrap();
    let by_formula = bench(folder.path());
    fs::remove_file(folder.path().join("gel.still")).unwrap();
    fs::write(folder.path().join("record.still"), record("use shelf/all\n", &format!("{plan}{statements}"))).unwrap();
    let mut by_plan = bench(folder.path());
    // The plan stands before what happened, so that faults stand on other lines: of each its code is compared.
    let codes = |of: &Value| {
        let all = of["diagnostics"].as_array().unwrap();
        Value::from(all.iter().map(|one| one["code"].as_str().unwrap().to_string()).collect::<Vec<_>>())
    };
    assert_eq!(codes(&by_plan), codes(&by_formula));
    by_plan["diagnostics"] = by_formula["diagnostics"].clone();
    (by_formula, by_plan)
}

#[test]
fn what_is_next_is_the_same_by_the_formula_and_by_its_plan() {
    let plan = plan();
    assert!(plan.contains("    heat to 70 °C\n") && plan.contains("    cool to 35 °C\n"), "{plan}");
    let mut so_far = String::new();
    let mixed = "Stir in Lactic acid, 80 % solution (5.00 g), Phenoxyethanol and ethylhexylglycerin (2.00 g) and Rose flower water (40.00 g).";
    let stages = [
        (
            "",
            "heat",
            "Stir Glycerin, our \"blue\" can (10.00 g) into Purified water (122.67 g first): {warm}; dissolve",
        ),
        ("  heated 70 °C\n", "weigh", "(10.00 g) into Purified water (122.67 g first)"),
        ("  weighed water 122.67 g\n  weighed our-glycerin 10.00 g\n", "weigh", "dissolve Sodium phytate (0.33 g)."),
        ("  weighed sodium-phytate 0.33 g\n", "cool", mixed),
        ("  cooled 36 °C\n", "weigh", mixed),
        (MIXED, "wait", "Leave Rose flower water (40.00 g) in it for 30 min."),
        ("  waited 30 min\n", "read", "Bring to pH 3.6 to 4.0 with Soda, 5 %."),
        ("  reading pH 2.55\n", "add", "Bring to pH 3.6 to 4.0 with Soda, 5 %."),
    ];
    for (statements, what, step) in stages {
        so_far += statements;
        let (by_formula, by_plan) = both(&so_far, &plan);
        assert_eq!(by_formula["next"]["do"], what, "{so_far}{by_formula:#}");
        let said = by_formula["next"]["step"].as_str().unwrap_or_default();
        assert!(said.contains(step), "{so_far}{said}");
        assert_eq!(by_plan, by_formula, "{so_far}");
    }
}

/// The rest is what is held back until it is due, and then the top-up; after a loss the share that stays.
#[test]
fn the_rest_in_a_step_is_the_top_up_that_is_due() {
    let folder = tempfile::tempdir().unwrap();
    let formula = FORMULA.replace("    heat to 70 °C\n", "").replace("    cool to 35 °C\n", "");
    let steps = formula.replace("{soda-5}.\"", "{soda-5}; keep {water rest} by.\"");
    fs::write(folder.path().join("gel.still"), steps).unwrap();
    let said = |statements: &str| {
        fs::write(folder.path().join("record.still"), record("use \"gel.still\"\n", statements)).unwrap();
        let json = bench(folder.path());
        (
            json["next"]["do"].as_str().unwrap().to_string(),
            json["next"]["step"].as_str().unwrap_or_default().to_string(),
        )
    };
    let begun = "  weighed water 122.67 g\n  weighed our-glycerin 10.00 g\n  weighed sodium-phytate 0.33 g\n";
    let weighed = format!("{begun}{MIXED}  waited 30 min\n");
    assert_eq!(
        said(&weighed),
        (
            "read".to_string(),
            "Bring to pH 3.6 to 4.0 with Soda, 5 %; keep Purified water (20.00 g held back, less the adjuster) by."
                .to_string()
        )
    );
    // 20.00 g less the 16.00 g that went in.
    let inside = format!(
        "{weighed}  calibrated pH 4.01 reads 4.01\n  reading pH 2.35\n  added soda-5 16.00 g\n  reading pH 3.80\n"
    );
    assert_eq!(
        said(&inside),
        ("top-up".to_string(), "Top up with Purified water (4.00 g); read once more.".to_string())
    );
    // A tenth of the 180.00 g is taken out before the adjuster: nine tenths of 20.00 g are held back.
    let (_, step) = said(&format!("{weighed}  removed 18.00 g because \"spilt\"\n"));
    assert!(step.contains("(18.00 g held back, less the adjuster)"), "{step}");
    // A tenth of the 133.00 g taken out before anything else went in: nine tenths of it are asked for.
    let (what, step) = said(&format!("{begun}  removed 13.30 g because \"spilt\"\n"));
    assert_eq!(what, "weigh");
    assert!(step.contains("(4.50 g)") && step.contains("(1.80 g)") && step.contains("(36.00 g)"), "{step}");
}

/// A plan as it was frozen before plans knew of temperatures, steps and titles: the record goes on, line by line.
#[test]
fn a_record_with_an_older_plan_goes_on() {
    let plan = plan();
    let is_new = |line: &str| ["heat ", "cool ", "step "].iter().any(|word| line.trim_start().starts_with(word));
    let older: String = plan.lines().filter(|line| !is_new(line)).map(|line| format!("{line}\n")).collect();
    let older = older
        .replace(" name \"Glycerin, our \\\"blue\\\" can\"", "")
        .replace("premix soda-5 \"Soda, 5 %\"", "premix soda-5");
    let older = older.lines().filter(|line| line.trim() != "material our-glycerin").collect::<Vec<_>>().join("\n");
    assert!(!older.contains("blue") && !older.contains("°C") && !older.contains("Soda, 5 %"), "{older}");
    let folder = tempfile::tempdir().unwrap();
    let mut so_far = format!("{older}\n");
    for (statement, what, material) in [
        ("", "weigh", Some("water")),
        ("  weighed water 122.67 g\n  weighed our-glycerin 10.00 g\n", "weigh", Some("sodium-phytate")),
        ("  weighed sodium-phytate 0.33 g\n", "weigh", Some("lactic-acid-80")),
        (MIXED, "read", None),
    ] {
        so_far += statement;
        fs::write(folder.path().join("record.still"), record("use shelf/all\n", &so_far)).unwrap();
        let next = bench(folder.path())["next"].clone();
        assert_eq!((next["do"].as_str(), next["material"].as_str()), (Some(what), material), "{so_far}");
        assert!(next["step"].is_null(), "{next}");
    }
    // It is written on, and what stands there stays as it is.
    run(folder.path(), &["record", "record.still", "reading", "pH", "2.21"]);
    let text = fs::read_to_string(folder.path().join("record.still")).unwrap();
    assert!(
        text.starts_with(&record("use shelf/all\n", &so_far)[..200]) && text.contains("reading  pH 2.21"),
        "{text}"
    );
}

/// A temperature above the first phase belongs to none, and a thousand degrees are none.
#[test]
fn a_temperature_at_fault_is_told() {
    let folder = tempfile::tempdir().unwrap();
    let said = |plan: &str| {
        fs::write(folder.path().join("record.still"), record("use shelf/all\n", plan)).unwrap();
        let output = Command::cargo_bin("stillroom")
            .unwrap()
            .args(["check", "record.still"])
            .current_dir(folder.path())
            .output()
            .unwrap();
        String::from_utf8(output.stdout).unwrap()
    };
    let no_phase = said(&plan().replace("    phase A\n", ""));
    assert!(no_phase.contains("none is opened above it"), "{no_phase}");
    let hot = said(&plan().replace("heat to 70 °C", "heat to 1000 °C"));
    assert!(hot.contains("1000 °C"), "{hot}");
    let heavy = said(&plan().replace("heat to 70 °C", "heat to 70 g"));
    assert!(heavy.contains("`heat to`"), "{heavy}");
}
