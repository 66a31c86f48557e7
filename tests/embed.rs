//! The core embedded in a program of another crate (`tests/embed`), without git, terminal and drawing: it says what the
//! command line says, and rests on nothing that only the program needs.

#![allow(clippy::disallowed_methods, reason = "tests read and write files of their own")]

use assert_cmd::Command;
use serde_json::Value;
use std::collections::BTreeSet;
use std::fs;
use std::path::{Path, PathBuf};

/// The program's crate, laid out beside the lock of this one: what it rests on is there already, and the same.
fn laid_out() -> PathBuf {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join("embed");
    fs::create_dir_all(folder.join("src")).unwrap();
    let manifest = fs::read_to_string(root.join("tests/embed/Cargo.toml")).unwrap();
    let path = format!("path = {:?}", root.to_str().unwrap());
    assert!(manifest.contains("path = \"../..\", default-features = false"), "it embeds the core alone");
    fs::write(folder.join("Cargo.toml"), manifest.replace("path = \"../..\"", &path)).unwrap();
    fs::copy(root.join("tests/embed/src/main.rs"), folder.join("src/main.rs")).unwrap();
    fs::copy(root.join("Cargo.lock"), folder.join("Cargo.lock")).unwrap();
    folder
}

/// cargo on that crate; nothing is fetched.
fn cargo(folder: &Path, words: &[&str]) -> Command {
    let mut cargo = Command::new(std::env::var("CARGO").unwrap_or_else(|_| env!("CARGO").to_string()));
    cargo.args(words).arg("--offline").arg("--manifest-path").arg(folder.join("Cargo.toml"));
    cargo.env("CARGO_TARGET_DIR", folder.join("target"));
    cargo
}

/// What the embedding program prints of a text: the result of the check, and the sheets.
fn embedded(folder: &Path, text: &str) -> (Value, Value) {
    let run = cargo(folder, &["run", "--quiet"]).write_stdin(text).assert().success();
    let out = String::from_utf8(run.get_output().stdout.clone()).unwrap();
    let (check, sheets) = out.split_once('\n').unwrap();
    (serde_json::from_str(check).unwrap(), serde_json::from_str(sheets).unwrap())
}

/// What the command line prints of it in a file.
fn printed(words: &[&str], text: &str) -> Value {
    let folder = tempfile::tempdir().unwrap();
    fs::write(folder.path().join("formula.still"), text).unwrap();
    let run = Command::new(env!("CARGO_BIN_EXE_stillroom")).current_dir(folder.path()).args(words).output().unwrap();
    serde_json::from_slice(&run.stdout).unwrap()
}

/// A lactic toner brought to its pH: names from the shelf, exact weights, the chemistry.
const TONER: &str = r#"use shelf/all

material soda-10 {
  contains  sodium-hydroxide 10 %, water remainder
  caution   "Burns: goggles and gloves; rinse a splash with much water."
}
formula toner {
  version  "1"
  product  rinse-off face
  makes    200 g
  scale    0.01 g
  pH       3.8 to 4.0

  phase A {
    water            q.s. hold back 10 %
    glycerin         3 %
    lactic-acid-80   2 % active
    benzyl-alcohol-dehydroacetic-acid  0.8 %
    soda-10          q.s. to pH
  }
}
"#;

#[test]
fn the_core_in_another_program_says_what_the_command_line_says() {
    let folder = laid_out();
    let (check, sheets) = embedded(&folder, TONER);
    assert_eq!(check, printed(&["check", "--format", "json", "formula.still"], TONER));
    assert_eq!(sheets[0], printed(&["sheet", "--format", "json", "formula.still"], TONER));
    let lines = sheets[0]["phases"][0]["lines"].as_array().unwrap();
    // 2 % of 200 g is 4 g of acid, and 4 g / 0.80 = 5 g of the solution.
    assert_eq!(lines[2]["grams"], "5.00");
    assert!(sheets[0]["ph"]["before"].is_number(), "{}", sheets[0]["ph"]);

    let faulty = TONER.replace("glycerin  ", "glycerine ");
    let (check, sheets) = embedded(&folder, &faulty);
    assert_eq!(check, printed(&["check", "--format", "json", "formula.still"], &faulty));
    let mut faults = check["diagnostics"].as_array().unwrap().iter();
    assert!(faults.any(|fault| fault["code"] == "name-unknown" && fault["line"] == 16), "{check}");
    assert_eq!(sheets, Value::Array(Vec::new()), "no sheet of what should not be made");
}

#[test]
fn the_core_rests_on_nothing_that_only_the_program_needs() {
    let folder = laid_out();
    let run = cargo(&folder, &["tree", "-e", "normal", "--prefix", "none", "--format", "{p}"]).assert().success();
    let out = String::from_utf8(run.get_output().stdout.clone()).unwrap();
    let names: BTreeSet<&str> = out.lines().filter_map(|line| line.split_whitespace().next()).collect();
    assert!(names.contains("stillroom") && names.contains("pest"), "{names:?}");
    let program = ["clap", "fd-lock", "gix", "ignore", "maud", "miette", "percent-encoding", "same-file", "similar"];
    for name in program {
        assert!(!names.contains(name), "the core rests on {name}");
    }
    assert!(names.len() <= 65, "{}: {names:?}", names.len());
}
