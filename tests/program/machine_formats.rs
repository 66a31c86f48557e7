//! `check` for machines: JSON by its schema, SARIF by the published one, annotations; `--strict`, `--fix`, `--dry-run`.

#![allow(clippy::disallowed_methods, reason = "tests read and write files of their own")]

use crate::common;
use crate::common::{folder, valid_by};
use assert_cmd::Command;
use serde_json::Value;
use std::path::Path;

const FAULTY: &str = "\
substance water { inci \"Aqua\" }\r
material water { role solvent }\r
substance glycerin { inci \"Glycerin\" }\r
material glycerin {\r
  role humectant\r
  use  up to 3 %\r
}\r
formula tonic {\r
  version  \"1\"\r
  makes    100 g\r
  scale    0.01 g\r
  phase A {\r
    water     90 %   # the rest\r
    glycerine 2,5 %\r
    glycerin  2,5 %\r
  }\r
  steps {\r
    \"Mix {watr} — and {glycerin}.\"\r
  }\r
}\r
";

fn check(arguments: &[&str], at: &Path) -> (i32, String, String) {
    let output =
        Command::cargo_bin("stillroom").unwrap().arg("check").args(arguments).current_dir(at).output().unwrap();
    let text = |bytes| String::from_utf8(bytes).unwrap();
    (output.status.code().unwrap(), text(output.stdout), text(output.stderr))
}

#[test]
fn json_is_valid_by_our_schema_and_counts_what_it_lists() {
    let folder = folder(&[("a.still", FAULTY.as_bytes())]);
    let (code, out, _) = check(&["a.still", "--format", "json"], folder.dir.path());
    let json: Value = serde_json::from_str(&out).unwrap();
    assert_eq!(code, 1);
    valid_by("docs/schema/check.json", &json);
    let list = json["diagnostics"].as_array().unwrap();
    let errors = list.iter().filter(|one| one["level"] == "error").count();
    assert_eq!(json["summary"]["errors"], errors);
    assert_eq!(
        (&list[0]["code"], &list[0]["line"], &list[0]["column"]),
        (&"name-unknown".into(), &14.into(), &5.into())
    );
}

/// Schema: OASIS SARIF 2.1.0, as published, in `tests/data/sarif-2.1.0.json`.
#[test]
fn sarif_is_valid_by_the_published_schema() {
    let folder = folder(&[("a.still", FAULTY.as_bytes()), ("b.still", b"")]);
    for file in ["a.still", "b.still"] {
        let (_, out, _) = check(&[file, "--format", "sarif"], folder.dir.path());
        let json: Value = serde_json::from_str(&out).unwrap();
        valid_by("tests/data/sarif-2.1.0.json", &json);
        assert_eq!(json["version"], "2.1.0");
    }
    let (_, out, _) = check(&["a.still", "--format", "sarif"], folder.dir.path());
    let json: Value = serde_json::from_str(&out).unwrap();
    let place = &json["runs"][0]["results"][0]["locations"][0]["physicalLocation"];
    assert_eq!(place["artifactLocation"]["uri"], "a.still");
    assert_eq!(place["region"]["startLine"], 14);
}

#[test]
fn annotations_are_one_line_each() {
    let folder = folder(&[("a.still", FAULTY.as_bytes())]);
    let (_, out, _) = check(&["a.still", "--format", "github"], folder.dir.path());
    assert!(out.lines().all(|line| line.starts_with("::error file=a.still,line=")), "{out}");
    assert!(out.contains("title=decimal-comma::`2,5` has a decimal comma.%0A"), "{out}");
}

#[test]
fn strict_takes_warnings_for_errors() {
    let text = FAULTY
        .replace("  version  \"1\"", "  version  \"1\"\r\n  water-activity 0.7")
        .replace("    glycerine 2,5 %\r\n", "")
        .replace("2,5", "2")
        .replace("90 %", "q.s.")
        .replace("{watr} — and ", "");
    let folder = folder(&[("a.still", text.as_bytes())]);
    let (code, out, _) = check(&["a.still"], folder.dir.path());
    assert_eq!(code, 0, "{out}");
    assert!(out.contains("warning [step-missing-line]"), "{out}");
    let (code, out, _) = check(&["a.still", "--strict"], folder.dir.path());
    assert_eq!(code, 1, "{out}");
}

/// One formula's answer is an answer; several are a list of them with a name of its own.
#[test]
fn why_is_valid_by_our_schemas() {
    let at = Path::new(env!("CARGO_MANIFEST_DIR"));
    let why = |arguments: &[&str]| -> Value {
        let mut command = Command::cargo_bin("stillroom").unwrap();
        let out =
            command.arg("why").args(arguments).args(["--format", "json"]).current_dir(at).output().unwrap().stdout;
        serde_json::from_slice(&out).unwrap()
    };
    let one = why(&["examples/acid-gel.still", "gum-stock", "--on", "2026-11-25"]);
    valid_by("docs/schema/why.json", &one);
    assert_eq!(one["schema"], "stillroom.why/1");
    let several = why(&["examples", "water"]);
    valid_by("docs/schema/whys.json", &several);
    assert_eq!(several["schema"], "stillroom.whys/1");
    assert!(several["answers"].as_array().unwrap().len() > 1, "{several:#}");
}

#[test]
fn fix_makes_the_sure_edits_and_nothing_else() {
    let marked = format!("\u{feff}{FAULTY}");
    let folder = folder(&[("a.still", marked.as_bytes())]);
    let at = folder.dir.path();
    let (code, patch, _) = check(&["a.still", "--fix", "--dry-run"], at);
    assert_eq!(code, 1);
    assert!(patch.contains("-    glycerine 2,5 %") && patch.contains("+    glycerine 2.5 %"), "{patch}");
    assert_eq!(std::fs::read_to_string(at.join("a.still")).unwrap(), marked, "a dry run writes nothing");
    let (code, out, err) = check(&["a.still", "--fix"], at);
    let mended = std::fs::read_to_string(at.join("a.still")).unwrap();
    let expected = marked.replace("glycerine 2,5 %", "glycerine 2.5 %").replace("glycerin  2,5 %", "glycerin  2.5 %");
    assert_eq!(mended, expected, "near names and the water are offered, not put in");
    assert!(err.contains("a.still: decimal-comma: `2,5` is now `2.5`"), "{err}");
    // What is no matter of a sure edit is still told of.
    assert_eq!(code, 1);
    assert!(out.contains("name-unknown") && !out.contains("decimal-comma"), "{out}");
    let (_, again, _) = check(&["a.still", "--fix", "--dry-run"], at);
    assert_eq!(again, "");
}

/// A file that is only used is another's work: what is wrong in it is told of, and left.
#[test]
fn fix_leaves_a_file_that_was_not_named() {
    let house = "substance water { inci \"Aqua\" }\nsubstance glycerin { inci \"Glycerin\" }\nmaterial water { role solvent }\n\
                 material glycerin {\n  role humectant\n  use  up to 7,5 %\n}\n";
    let tonic = "use \"house.still\"\nformula tonic {\n  version  \"1\"\n  makes    100 g\n  scale    0.01 g\n  \
                 phase A {\n    water     q.s.\n    glycerin  2,5 %\n  }\n}\n";
    let folder = folder(&[("tonic.still", tonic.as_bytes()), ("house.still", house.as_bytes())]);
    let at = folder.dir.path();
    let read = |name: &str| std::fs::read_to_string(at.join(name)).unwrap();
    let (code, out, _) = check(&["tonic.still", "--fix"], at);
    assert_eq!(read("tonic.still"), tonic.replace("2,5", "2.5"));
    assert_eq!(read("house.still"), house);
    assert!(code == 1 && out.contains("house.still:6") && out.contains("7,5"), "{out}");
    check(&["house.still", "--fix"], at);
    assert_eq!(read("house.still"), house.replace("7,5", "7.5"));
}

/// `panthenol-50` is no slip for `panthenol-75`: it is another material, and the batch would be another.
#[test]
fn fix_renames_no_strength() {
    let text = "use shelf/humectants\nuse shelf/waters\nformula tonic {\n  version  \"1\"\n  makes    100 g\n  \
                scale    0.01 g\n  phase A {\n    water         q.s.\n    panthenol-50  2 % active\n  }\n}\n";
    let folder = folder(&[("a.still", text.as_bytes())]);
    let (code, out, _) = check(&["a.still", "--fix"], folder.dir.path());
    assert_eq!(std::fs::read_to_string(folder.dir.path().join("a.still")).unwrap(), text);
    assert!(code == 1 && out.contains("Did you mean `panthenol-75`?"), "{out}");
}

/// What is wrong with a swapped line is marked at the swap, and what is offered stands there: its base is sound.
#[test]
fn what_is_offered_for_a_swap_is_not_its_base() {
    let text = "use shelf/all\nformula tonic {\n  version  \"1\"\n  makes    100 g\n  scale    0.01 g\n  pH       5.0 to 5.6\n  \
                phase A {\n    water      q.s.\n    panthenol  2 %\n    phenoxyethanol-ethylhexylglycerin  1 %\n  }\n}\n\
                variant tonic-liquid of tonic {\n  title    \"Panthenol 2 % tonic\"\n  version  \"1\"\n  \
                swap panthenol for panthenol-75\n}\n";
    let folder = folder(&[("a.still", text.as_bytes())]);
    let (_, json, _) = check(&["a.still", "--format", "json"], folder.dir.path());
    let json: Value = serde_json::from_str(&json).unwrap();
    let ignored = json["diagnostics"].as_array().unwrap().iter().find(|one| one["code"] == "strength-ignored").unwrap();
    assert_eq!(ignored["line"], 16, "{ignored:#}");
    assert_eq!(ignored["fix"]["safe"], false);
    let mended = common::mend::with_fix(text, ignored);
    assert_eq!(mended, text.replace("for panthenol-75", "for panthenol-75 2 % active"));
    std::fs::write(folder.dir.path().join("a.still"), mended).unwrap();
    let (code, out, _) = check(&["a.still"], folder.dir.path());
    assert!(code == 0 && !out.contains("strength-ignored"), "{out}");
}

#[test]
fn fix_does_not_take_standard_input() {
    let folder = folder(&[("a.still", b"")]);
    assert_eq!(check(&["-", "--fix"], folder.dir.path()).0, 2);
}

/// A rule that is an opinion and no law is a warning: a market's, whose `because` says so, and one of the house.
#[test]
fn strict_takes_opinions_for_errors_and_leaves_notes_alone() {
    let formula = |market: &str, header: &str, glycolic: &str| {
        format!(
            "use shelf/all\n{header}\nformula f {{\n  version \"1\"\n  product leave-on face\n  {market}\n  \
             makes 100 g\n  scale 0.01 g\n  pH 4.0 to 4.5\n  phase A {{\n    water q.s.  hold back 60 %\n    \
             glycolic-acid-70 {glycolic} % active\n    sodium-benzoate 0.4 %\n    sodium-hydroxide-10 q.s. to pH\n  }}\n}}\n"
        )
    };
    let house = |level: &str| format!("rule house {{\n  limit glycolic-acid to 2 %\n  level {level}\n}}");
    for (what, text, level, strict) in [
        ("a scientific opinion, 4 %", formula("market eu", "", "5"), "warning", "error"),
        ("an expert panel's conclusion, 10 %", formula("market us", "", "10.5"), "warning", "error"),
        ("a warning of the house", formula("", &house("warning"), "5"), "warning", "error"),
        ("a note of the house", formula("", &house("note"), "5"), "note", "note"),
    ] {
        let text = text.replace("10.5 % active", "10.5 % active  allow usage-over because \"a test\"");
        let folder = folder(&[("a.still", text.as_bytes())]);
        for (arguments, expected) in
            [(&["a.still", "--format", "json"][..], level), (&["a.still", "--format", "json", "--strict"], strict)]
        {
            let (code, out, _) = check(arguments, folder.dir.path());
            let json: Value = serde_json::from_str(&out).unwrap();
            let told = json["diagnostics"].as_array().unwrap();
            let of_rules: Vec<&Value> = told.iter().filter(|one| one["code"] == "rule-broken").collect();
            assert_eq!(of_rules.len(), 1, "{what}: {told:#?}");
            assert_eq!(of_rules[0]["level"], expected, "{what}");
            assert!(told.iter().all(|one| one["code"] == "rule-broken" || one["level"] == "note"), "{what}: {told:#?}");
            assert_eq!(code, i32::from(expected == "error"), "{what}");
        }
    }
}
