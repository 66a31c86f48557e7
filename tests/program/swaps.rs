//! `stillroom shelf NAME --in PATH`: what comes of a formula with each candidate, and that what is called clean is
//! clean when it is really swapped and really checked.

#![allow(clippy::disallowed_methods, reason = "tests read and write files of their own")]

use crate::common::{Folder, examples, folder};
use assert_cmd::Command;
use std::collections::BTreeSet;
use std::fmt::Write as _;
use std::fs;
use std::path::Path;
use stillroom::model::{DeclId, LineMaterial};
use stillroom::render::{CheckJson, SwapJson, SwapsJson};
use stillroom::session::{Session, swaps};
use stillroom::sheet::BatchOrder;
use stillroom::workspace::Disk;

fn run(place: &Path, arguments: &[&str], code: i32) -> (String, String) {
    let mut command = Command::cargo_bin("stillroom").unwrap();
    let output = command.current_dir(place).args(arguments).assert().code(code).get_output().clone();
    (String::from_utf8(output.stdout).unwrap(), String::from_utf8(output.stderr).unwrap())
}

/// The answer as JSON: by its schema, and the same twice.
fn json(place: &Path, arguments: &[&str]) -> SwapsJson {
    let arguments: Vec<&str> = ["shelf"].iter().chain(arguments).copied().chain(["--format", "json"]).collect();
    let (out, _) = run(place, &arguments, 0);
    assert_eq!(out, run(place, &arguments, 0).0);
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("docs/schema/swaps.json");
    let schema = serde_json::from_str(&fs::read_to_string(path).unwrap()).unwrap();
    let value = serde_json::from_str(&out).unwrap();
    let validator = jsonschema::validator_for(&schema).unwrap();
    let faults: Vec<String> = validator.iter_errors(&value).map(|fault| fault.to_string()).collect();
    assert!(faults.is_empty(), "{arguments:?}: {faults:?}");
    serde_json::from_str(&out).unwrap()
}

fn candidate<'a>(answer: &'a SwapsJson, name: &str) -> &'a SwapJson {
    let mut all = answer.formulas.iter().flat_map(|formula| &formula.candidates);
    all.find(|one| one.name == name).unwrap_or_else(|| panic!("{name} is no candidate for {}", answer.material))
}

const BALM: &str = r#"use shelf/emollients

material cocoa-butter like cocoa-butter { price 24.00 EUR per 1 kg }
material our-shea like shea-butter { price 12.50 EUR per 500 g }

formula balm {
  title    "Balm"
  version  "1"
  product  leave-on body
  makes    100 g
  scale    0.01 g
  phase A "Melt" {
    heat to 75 °C
    beeswax     12 %
    jojoba-oil  q.s.
  }
  phase B "Soften" {
    heat to 55 °C
    our-shea  20 %
  }
}
"#;

#[test]
fn a_balm_says_what_comes_of_each() {
    let place = folder(&[("balm.still", BALM.as_bytes())]);
    let before = fs::read(&place.first).unwrap();
    let (out, err) = run(place.dir.path(), &["shelf", "our-shea", "--in", "balm.still"], 0);
    assert!(err.is_empty(), "{err}");
    for part in [
        "our-shea in balm (balm.still)\n  now: 20 % as supplied; 0.5 EUR in 100 g (12.50 EUR per 500 g)\n",
        "\nClean: the check finds nothing new\n  shea-butter: Shea butter\n",
        "  cocoa-butter: Cocoa butter\n    softens, hardens and occludes too; melts at 31 °C to 35 °C, \
         beside 31 °C to 38 °C\n    20 % as supplied; 0.48 EUR in 100 g (24.00 EUR per 1 kg)\n    -> swap our-shea for cocoa-butter\n",
    ] {
        assert!(out.contains(part), "no {part:?} in\n{out}");
    }
    assert_eq!(fs::read(&place.first).unwrap(), before, "nothing is written");
    assert_eq!(fs::read_dir(place.dir.path()).unwrap().count(), 1, "nor beside it");
}

#[test]
fn clean_ones_come_first_then_by_the_gravest_fault() {
    let place = folder(&[("balm.still", BALM.as_bytes())]);
    let answer = json(place.dir.path(), &["jojoba-oil", "--in", "balm.still"]);
    let candidates = &answer.formulas[0].candidates;
    assert!(candidates.len() >= 8, "{candidates:?}");
    let rank = |one: &SwapJson| {
        let of = |level: &str| one.faults.iter().any(|fault| fault.level == level);
        [of("error"), of("warning"), of("note")].iter().position(|there| *there).map_or(0, |at| 3 - at)
    };
    assert!(candidates.iter().map(rank).is_sorted(), "clean ones first, then by the gravest fault");
    assert!(candidates.iter().all(|one| one.clean == one.faults.is_empty()));
    assert_eq!(answer.formulas[0].now.percent.as_deref(), Some("68"));
}

const SERUM: &str = r#"use shelf/all

formula serum {
  title    "Serum"
  version  "1"
  product  leave-on face
  makes    100 g
  scale    0.001 g
  meter    0.05
  pH       3.8 to 4.2
  phase A "Water phase" {
    water                q.s.  hold back 25 %
    glycerin             4 %
    lactic-acid-80       5 % active
    panthenol-75         2 %
    xanthan-gum          0.3 %
    sodium-hydroxide-10  q.s. to pH
    phenoxyethanol-ethylhexylglycerin  1 %
  }
  steps {
    "Stir {glycerin}, {lactic-acid-80}, {panthenol-75} and {xanthan-gum} into {water first}."
    "Bring to {pH} with {sodium-hydroxide-10}; stir in {phenoxyethanol-ethylhexylglycerin}; top up with {water rest}."
  }
}
"#;

#[test]
fn the_active_is_kept_where_both_have_it() {
    let place = folder(&[("serum.still", SERUM.as_bytes())]);
    let acid = json(place.dir.path(), &["lactic-acid-80", "--in", "serum.still", "--formula", "serum"]);
    let weaker = candidate(&acid, "lactic-acid-60");
    assert_eq!(
        (weaker.statement.as_str(), weaker.kept.as_str()),
        ("swap lactic-acid-80 for lactic-acid-60", "as written")
    );
    // 5 % of the acid: 8.333 % of the weaker solution, where it is 6.25 % of the strong one.
    assert_eq!(weaker.outcome.percent.as_deref(), Some("8.333"));
    assert_eq!(acid.formulas[0].now.percent.as_deref(), Some("6.25"));
    // An amount as supplied is that of the active then: 2 % of a 75 % solution is 1.5 %.
    let panthenol = json(place.dir.path(), &["panthenol-75", "--in", "serum.still"]);
    let dry = candidate(&panthenol, "panthenol");
    assert_eq!((dry.statement.as_str(), dry.kept.as_str()), ("swap panthenol-75 for panthenol 1.5 % active", "active"));
    assert_eq!(dry.outcome.percent.as_deref(), Some("1.5"));
    assert_eq!(dry.outcome.usage_left.as_deref(), Some("3.5"), "of 5 %");
}

#[test]
fn the_dose_of_the_adjuster_follows() {
    let place = folder(&[("serum.still", SERUM.as_bytes())]);
    let answer = json(place.dir.path(), &["sodium-hydroxide-10", "--in", "serum.still"]);
    let dose = |one: &SwapJson| one.outcome.ph.as_ref().unwrap().adjusters[0].grams_mid.unwrap();
    let (half, lye) = (candidate(&answer, "sodium-hydroxide-5"), candidate(&answer, "potassium-hydroxide-10"));
    let now = answer.formulas[0].now.ph.as_ref().unwrap().adjusters[0].grams_mid.unwrap();
    // Half the strength takes twice the weight; potassium hydroxide weighs 56.11 where sodium hydroxide weighs 40.00.
    assert!((dose(half) / now - 2.0).abs() < 0.05, "{} and {now}", dose(half));
    assert!((dose(lye) / now - 56.11 / 40.0).abs() < 0.05, "{} and {now}", dose(lye));
    assert!(half.outcome.percent.is_none(), "it is weighed at the bench");
    let (out, _) = run(place.dir.path(), &["shelf", "sodium-hydroxide-10", "--in", "serum.still"], 0);
    assert!(out.contains(&format!("{:.2} g of sodium-hydroxide-5 in 100 g to the middle", dose(half))), "{out}");
}

#[test]
fn an_amount_outside_the_usage_becomes_the_nearest_within() {
    let place = folder(&[("serum.still", SERUM.as_bytes())]);
    let answer = json(place.dir.path(), &["phenoxyethanol-ethylhexylglycerin", "--in", "serum.still"]);
    let other = candidate(&answer, "methylparaben-propylparaben");
    assert_eq!(other.kept, "within usage");
    assert_eq!(other.statement, "swap phenoxyethanol-ethylhexylglycerin for methylparaben-propylparaben 0.4 %");
    assert_eq!(other.outcome.usage_left.as_deref(), Some("0"));
}

#[test]
fn the_use_that_is_missing_is_told() {
    let text = BALM.replace("use shelf/emollients\n", "use shelf/emollients\nuse shelf/emulsifiers\n");
    let place = folder(&[("balm.still", text.as_bytes())]);
    let answer = json(place.dir.path(), &["beeswax", "--in", "balm.still"]);
    assert!(answer.formulas[0].candidates.iter().all(|one| one.to_use.is_none()), "all is in files that are used");
    let serum = SERUM.replace(
        "use shelf/all",
        "use shelf/waters\nuse shelf/humectants\nuse shelf/thickeners\n\
        use shelf/preservatives\nuse shelf/adjusters\nuse shelf/acids",
    );
    let place = folder(&[("serum.still", serum.as_bytes())]);
    let answer = json(place.dir.path(), &["panthenol-75", "--in", "serum.still"]);
    let (known, to_use) = (candidate(&answer, "panthenol-liquid"), candidate(&answer, "glycine"));
    assert_eq!((known.to_use.as_deref(), to_use.to_use.as_deref()), (None, Some("use shelf/actives")));
    let (out, _) = run(place.dir.path(), &["shelf", "panthenol-75", "--in", "serum.still"], 0);
    assert!(out.contains("-> swap panthenol-75 for glycine   # and in the file: use shelf/actives\n"), "{out}");
}

#[test]
fn what_cannot_be_asked_is_said() {
    let place = folder(&[("balm.still", BALM.as_bytes())]);
    for (arguments, said) in [
        (&["shelf", "besswax", "--in", "balm.still"] as &[&str], "Did you mean `beeswax`?"),
        (&["shelf", "glycerin", "--in", "balm.still"], "has a line of `glycerin`. Without `--in`"),
        (
            &["shelf", "beeswax", "--in", "balm.still", "--formula", "blam"],
            "has no formula `blam`. Did you mean `balm`?",
        ),
        (&["shelf", "bees", "wax", "--in", "balm.still"], "asks about one material"),
        (&["shelf", "beeswax", "--in", "gone.still"], "cannot be opened"),
    ] {
        let (out, err) = run(place.dir.path(), arguments, 2);
        assert!(out.is_empty() && err.contains(said), "{arguments:?}: {err}");
    }
}

#[test]
fn standard_input_is_tried_too() {
    let mut command = Command::cargo_bin("stillroom").unwrap();
    let place = folder(&[("empty.still", b"")]);
    let asked = command.current_dir(place.dir.path()).args(["shelf", "our-shea", "--in", "-"]).write_stdin(BALM);
    let output = asked.assert().code(0).get_output().clone();
    let out = String::from_utf8(output.stdout).unwrap();
    assert!(out.contains("-> swap our-shea for cocoa-butter"), "{out}");
}

/// A formula's clean swaps, as text: the variants and the files of the shelf that they need.
struct Clean {
    formula: String,
    file: String,
    variants: String,
    uses: BTreeSet<String>,
    count: usize,
}

/// For each formula of the examples and each of its materials: all that is called clean.
fn clean_swaps(copy: &Folder, path: &Path) -> Vec<Clean> {
    let file = path.file_name().unwrap().to_str().unwrap().to_string();
    let mut session = Session::open(Disk, &[copy.dir.path().join(&file)], None);
    let order = BatchOrder::default();
    let asked: Vec<(DeclId, String, Vec<String>)> = {
        let report = session.check(&order);
        let formulas = report.formulas.iter().map(|of| {
            let lines = of.formula.lines.iter().filter(|line| matches!(line.material, Some(LineMaterial::Material(_))));
            (of.formula.id, of.formula.name.to_string(), lines.map(|line| line.name.to_string()).collect())
        });
        formulas.collect()
    };
    let mut all = Vec::new();
    for (id, formula, materials) in asked {
        let mut clean = Clean { file: file.clone(), variants: String::new(), uses: BTreeSet::new(), count: 0, formula };
        for material in materials {
            let found = swaps(&mut session, id, &material, &order).unwrap();
            for one in found.tried.iter().filter(|one| one.is_clean()) {
                let number = clean.count;
                writeln!(clean.variants, "variant swapped-{number} of {} {{\n  {}\n}}", clean.formula, one.statement)
                    .unwrap();
                clean.uses.extend(one.to_use.map(|file| format!("use shelf/{file}")));
                clean.count += 1;
            }
        }
        all.push(clean);
    }
    all
}

/// What the command says of one file: each fault by its code and its message.
fn told(place: &Path, file: &str) -> BTreeSet<(String, String)> {
    let mut command = Command::cargo_bin("stillroom").unwrap();
    let output = command.current_dir(place).args(["check", file, "--format", "json"]).output().unwrap();
    assert!(output.status.code().unwrap() < 2, "{file}: {}", String::from_utf8_lossy(&output.stderr));
    let check: CheckJson = serde_json::from_slice(&output.stdout).unwrap();
    check.diagnostics.into_iter().map(|fault| (fault.code, fault.message)).collect()
}

/// Each is written into a file as the answer has it, and the command finds nothing there that it does not find in the
/// formula as it is.
#[test]
fn every_candidate_called_clean_checks_clean_when_really_swapped() {
    let files: Vec<(String, Vec<u8>)> = examples()
        .iter()
        .map(|path| (path.file_name().unwrap().to_str().unwrap().to_string(), fs::read(path).unwrap()))
        .collect();
    let files: Vec<(&str, &[u8])> = files.iter().map(|(name, bytes)| (name.as_str(), bytes.as_slice())).collect();
    let copy = folder(&files);
    let mut tried = 0;
    std::thread::scope(|scope| {
        let threads: Vec<_> = examples()
            .into_iter()
            .map(|path| {
                scope.spawn({
                    let copy = &copy;
                    move || clean_swaps(copy, &path)
                })
            })
            .collect();
        for clean in threads.into_iter().flat_map(|thread| thread.join().unwrap()) {
            let uses: String = clean.uses.iter().map(|to_use| format!("{to_use}\n")).collect();
            let name = format!("swapped-{}.still", clean.formula);
            let text = format!("use \"{}\"\n{uses}\n{}", clean.file, clean.variants);
            fs::write(copy.dir.path().join(&name), text).unwrap();
            let before = told(copy.dir.path(), &clean.file);
            for (code, message) in told(copy.dir.path(), &name) {
                // What is told of the formula itself is told of each variant by its own name.
                let of_it = (0..clean.count)
                    .rev()
                    .fold(message.clone(), |text, number| text.replace(&format!("swapped-{number}"), &clean.formula));
                assert!(before.contains(&(code.clone(), of_it)), "{name}: [{code}] {message}");
            }
            tried += clean.count;
        }
    });
    assert!(tried >= 300, "{tried} clean swaps");
}
