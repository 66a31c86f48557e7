//! What cannot be read, and what is not there, is told as what it is: files, folders, git, and plans.

#![allow(clippy::disallowed_methods, reason = "tests read and write files of their own")]

use crate::common;
use crate::common::repository::{Repository, run_in};
use crate::common::{folder, other_user};
use std::path::{Path, PathBuf};

/// A gel without faults, in a version.
fn gel(version: &str, percent: &str) -> String {
    format!(
        "\
use shelf/all

formula gel {{
  title    \"Gel\"
  version  \"{version}\"
  product  leave-on face
  makes    500 g
  scale    0.01 g up to 600 g
  pH       3.6 to 4.0

  phase A {{
    water                q.s.  hold back 25 %
    glycolic-acid-70     {percent} % active
    glycerin             3 %
    sodium-hydroxide-10  q.s. to pH
    xanthan-gum          0.8 %
    pentylene-glycol     4 %
    phenoxyethanol-ethylhexylglycerin  1 %
  }}
}}
"
    )
}

/// A batch of an older version of it, with no plan of its own.
const OLD: &str = "\nbatch old-1 {\n  formula  gel version \"1\"\n  started  2023-11-20\n  size     500 g\n  weighed  glycerin 15.00 g\n}\n";

/// A repository with the gel in two versions, each a commit, and an older batch beside it.
fn two_versions() -> Repository {
    let made = Repository::new();
    made.write("gel.still", &gel("1", "6"));
    made.commit("Write the gel");
    made.write("gel.still", &(gel("2", "5") + OLD));
    made.commit("Less acid");
    made
}

#[test]
fn a_sheet_and_a_forecast_beside_an_old_batch_are_as_a_check() {
    let made = two_versions();
    let (code, _, err) = made.run(&["check", "gel.still"]);
    assert!(code == 0 && err.contains("`old-1` is held against `gel` version 1"), "{code}: {err}");
    for command in ["sheet", "ph"] {
        let (code, out, err) = made.run(&[command, "gel.still"]);
        assert!(code == 0 && !out.is_empty(), "{command}: {code}: {err}");
        assert!(!err.contains("batch-version-gone") && !err.contains("old-1"), "{command}: {err}");
    }
}

#[test]
fn a_sheet_of_records_only_is_refused_in_a_sentence() {
    // With nothing else to tell of, with faults in a record, and with a record whose first line does not parse.
    let clean = "batch b-1 {\n  formula  serum\n  note     \"begun\"\n}\n";
    for text in [clean, OLD, "batch b-1 {\n  formula serum\n  weighed lots\n}\n", "batch B 1 {\n  formula serum\n}\n"] {
        let folder = folder(&[("records.still", text.as_bytes())]);
        for (command, sentence) in [("sheet", "so there is no sheet to print"), ("ph", "so there is no pH to foresee")]
        {
            let (code, out, err) = run_in(folder.dir.path(), &[command, "records.still"]);
            assert!(code == 2 && out.is_empty() && err.contains(sentence), "{command} {text}: {code}: {err}");
        }
    }
    let folder = folder(&[("records.still", clean.as_bytes())]);
    let (_, _, err) = run_in(folder.dir.path(), &["sheet", "records.still"]);
    assert!(err.contains("`--record b-1`"), "{err}");
}

#[test]
fn what_may_not_be_read_is_named_with_exit_code_2() {
    let text = gel("1", "6");
    let own = format!("use \"shut/own.still\"\n{text}");
    let files = [
        ("a/gel.still", text.as_bytes()),
        ("a/shut/own.still", b""),
        ("b/gel.still", text.as_bytes()),
        ("b/x.still", b""),
    ];
    let folder = folder(&[&files[..], &[("c/gel.still", own.as_bytes()), ("c/shut/own.still", b"")]].concat());
    let at = folder.dir.path();
    let shut: Vec<PathBuf> = ["a/shut", "b/x.still", "c/shut/own.still"].iter().map(|path| at.join(path)).collect();
    shut.iter().for_each(|path| other_user::close(path));
    let run = |arguments: &[&str]| other_user::run(at, arguments);
    let all = [
        (run(&["check", "a"]), "a/shut"),
        (run(&["check", "b"]), "b/x.still"),
        (run(&["check", "c/gel.still"]), "c/shut/own.still"),
        (run(&["check", "b/x.still"]), "b/x.still"),
        (run(&["fmt", "--check", "a"]), "a/shut"),
        (run(&["fmt", "--check", "b"]), "b/x.still"),
        (run(&["sheet", "b/x.still"]), "b/x.still"),
        (run(&["ph", "b/x.still"]), "b/x.still"),
        (run(&["why", "b/x.still", "water"]), "b/x.still"),
        (run(&["bench", "b/x.still"]), "b/x.still"),
        (run(&["diff", "a/gel.still", "b/x.still"]), "b/x.still"),
    ];
    shut.iter().for_each(|path| other_user::open(path));
    for ((code, _, err), name) in all {
        assert!(code == 2 && err.contains(&format!("`{name}` cannot be opened")), "{name}: {code}: {err}");
        assert!(err.contains("it may not be read") && !err.contains("os error"), "{name}: {err}");
    }
}

/// What log, diff, check --since and the look-up of an old version say of a repository; each with its exit code.
fn asked(at: &Path) -> Vec<(&'static str, i32, String)> {
    let all: [(&str, &[&str]); 5] = [
        ("log", &["log", "gel.still"]),
        ("diff", &["diff", "gel.still", "--since", "HEAD"]),
        ("since", &["check", "gel.still", "--since", "HEAD"]),
        ("old version", &["check", "gel.still"]),
        ("record", &["record", "gel.still", "--batch", "old-1", "note", "swelled"]),
    ];
    all.iter()
        .map(|(name, arguments)| {
            let (code, _, err) = run_in(at, arguments);
            (*name, code, err)
        })
        .collect()
}

/// The exit code of each where git cannot be read: the old batch is held against nothing then, and its record goes on.
fn without_git(name: &str) -> i32 {
    match name {
        "old version" => 1,
        "record" => 0,
        _ => 2,
    }
}

/// Whether something is said in words of our own: none of a library's, and no path into `.git`.
fn in_plain_words(said: &str) -> bool {
    let foreign =
        ["gix", "objects/", ".git/", "Object", "os error", "decode", "ref ", "sha1", "peel", "loose", "Could not"];
    foreign.iter().all(|word| !said.contains(word))
}

#[test]
fn a_repository_that_counts_by_sha256_is_told_as_that() {
    let made = Repository::new();
    std::fs::remove_dir_all(made.path().join(".git")).unwrap();
    made.git(&["init", "-q", "-b", "main", "--object-format=sha256"]);
    made.write("gel.still", &gel("1", "6"));
    made.commit("Write the gel");
    made.write("gel.still", &(gel("2", "5") + OLD));
    for (name, code, err) in asked(&made.path()) {
        assert!(err.contains("SHA-256") && in_plain_words(&err), "{name}: {code}: {err}");
        assert_eq!(code, without_git(name), "{name}: {err}");
    }
    let (code, _, err) = made.run(&["sheet", "gel.still"]);
    assert!(code == 1 && err.contains("SHA-256"), "{err}");
}

/// Ways in which a repository comes to harm: a disk that was full, a machine that went down, a copy half made.
fn harm(made: &Repository, way: &str) {
    let git = made.path().join(".git");
    let object = |name: &str| {
        let number = made.git(&["rev-parse", name]).trim().to_string();
        git.join("objects").join(&number[..2]).join(&number[2..])
    };
    let rewrite = |path: &Path, bytes: &[u8]| {
        std::fs::remove_file(path).unwrap();
        std::fs::write(path, bytes).unwrap();
    };
    match way {
        "the name of the latest commit is empty" => std::fs::write(git.join("HEAD"), "").unwrap(),
        "the branch is empty" => std::fs::write(git.join("refs/heads/main"), "").unwrap(),
        "the branch leads nowhere" => std::fs::write(git.join("refs/heads/main"), "1".repeat(40) + "\n").unwrap(),
        "the latest commit is gone" => std::fs::remove_file(object("HEAD")).unwrap(),
        "the latest commit is empty" => rewrite(&object("HEAD"), b""),
        "its folder is gone" => std::fs::remove_file(object("HEAD^{tree}")).unwrap(),
        "its folder is torn" => rewrite(&object("HEAD^{tree}"), b"x\x9c\x01\x02"),
        "its file is gone" => std::fs::remove_file(object("HEAD:gel.still")).unwrap(),
        "its file is empty" => rewrite(&object("HEAD:gel.still"), b""),
        "all objects are gone" => std::fs::remove_dir_all(git.join("objects")).unwrap(),
        "its settings do not parse" => std::fs::write(git.join("config"), "[core\nbare = \0").unwrap(),
        way => panic!("{way}"),
    }
}

#[test]
fn a_damaged_repository_is_told_as_that() {
    let ways = [
        "the name of the latest commit is empty",
        "the branch is empty",
        "the branch leads nowhere",
        "the latest commit is gone",
        "the latest commit is empty",
        "its folder is gone",
        "its folder is torn",
        "its file is gone",
        "its file is empty",
        "all objects are gone",
        "its settings do not parse",
    ];
    for way in ways {
        let made = two_versions();
        harm(&made, way);
        for (name, code, err) in asked(&made.path()) {
            assert!(err.contains("damaged"), "{way}, {name}: {code}: {err}");
            assert!(code == without_git(name) && in_plain_words(&err), "{way}, {name}: {code}: {err}");
        }
    }
}

#[test]
fn a_shallow_copy_is_told_as_that() {
    let made = two_versions();
    let copy = Repository::cloned(&made, &["--depth", "1"]);
    let (code, _, err) = copy.run(&["log", "gel.still"]);
    assert!(code == 0 && err.contains("This copy is shallow"), "{err}");
    for arguments in [&["diff", "gel.still", "--since", "HEAD~1"][..], &["check", "gel.still", "--since", "HEAD~1"]] {
        let (code, _, err) = copy.run(arguments);
        assert!(code == 2 && err.contains("This copy is shallow") && in_plain_words(&err), "{arguments:?}: {err}");
    }
    for command in ["check", "bench", "sheet", "ph"] {
        let (code, _, err) = copy.run(&[command, "gel.still"]);
        assert!(code == 1 && err.contains("This copy is shallow") && err.contains("`old-1`"), "{command}: {err}");
    }
    let (code, _, err) = copy.run(&["record", "gel.still", "note", "swelled"]);
    assert!(code == 0 && err.contains("This copy is shallow"), "{err}");
    let (code, _, err) = made.run(&["check", "gel.still"]);
    assert!(code == 0 && !err.contains("shallow"), "{err}");
}

#[test]
fn a_repository_that_is_well_and_one_that_is_none_are_told_of_nothing() {
    let made = two_versions();
    for (name, code, err) in asked(&made.path()) {
        assert!(code == 0 && !err.contains("damaged"), "{name}: {err}");
    }
    let folder = folder(&[("gel.still", (gel("2", "5") + OLD).as_bytes())]);
    std::fs::create_dir(folder.dir.path().join(".git")).unwrap();
    let (_, _, err) = run_in(folder.dir.path(), &["check", "gel.still"]);
    assert!(!err.contains("damaged"), "{err}");
    let (code, _, err) = run_in(folder.dir.path(), &["log", "gel.still"]);
    assert!(code == 2 && err.contains("lies in no git repository"), "{err}");
}

#[test]
fn a_batch_without_a_formula_is_told() {
    let bare = "batch b-1 {\n  started  2026-11-20\n  weighed  glycerin 15.00 g\n}\n";
    let folder = folder(&[("records.still", format!("use shelf/all\n\n{bare}").as_bytes())]);
    let at = folder.dir.path();
    let (code, out, _) = run_in(at, &["check", "records.still"]);
    assert!(code == 1 && out.contains("batch-formula-missing") && out.contains("`b-1` does not say"), "{out}");
    for arguments in [&["bench", "records.still"][..], &["sheet", "records.still", "--record", "b-1"]] {
        let (code, _, err) = run_in(at, arguments);
        assert!(code == 1 && err.contains("batch-formula-missing"), "{arguments:?}: {err}");
    }
    let (code, out, err) = run_in(at, &["trace", "glycerin"]);
    assert!(code == 0 && out.contains("| b-1 | — |"), "{out}{err}");
    let (code, _, err) = run_in(at, &["record", "records.still", "note", "begun"]);
    assert!(code == 0 && err.contains("does not say which formula"), "{err}");
    // One that names a formula that is not there is told as that, and a statement that does not parse once.
    let folder = common::folder(&[("r.still", b"batch b-1 {\n  formula  nothing\n  note     \"x\"\n}\n")]);
    let (code, out, _) = run_in(folder.dir.path(), &["check", "r.still"]);
    assert!(code == 1 && out.contains("there is no such formula here") && out.matches("error [").count() == 1, "{out}");
    let folder = common::folder(&[("r.still", b"batch b-1 {\n  formula  Serum 2\n  note     \"x\"\n}\n")]);
    let (code, out, _) = run_in(folder.dir.path(), &["check", "r.still"]);
    assert!(code == 1 && out.matches("error [").count() == 1 && !out.contains("batch-formula"), "{out}");
}

/// How a text is made to say nothing somewhere.
type Spoil = fn(&str) -> String;

/// A record with the plan that the program froze, one statement of which is made to say nothing.
fn with_a_faulty_plan(spoil: Spoil) -> (common::Folder, String) {
    let made = folder(&[("gel.still", gel("1", "6").as_bytes())]);
    let at = made.dir.path();
    let arguments = [
        "record",
        "batches.still",
        "--new",
        "g-1",
        "--formula",
        "gel",
        "--from",
        "gel.still",
        "weighed",
        "glycerin",
        "6.00",
        "g",
    ];
    let (code, _, err) = run_in(at, &arguments);
    assert_eq!(code, 0, "{err}");
    let text = std::fs::read_to_string(at.join("batches.still")).unwrap();
    let spoilt = spoil(&text);
    assert_ne!(text, spoilt);
    std::fs::write(at.join("batches.still"), &spoilt).unwrap();
    (made, spoilt)
}

/// The lines of the plan of a text.
fn plan_of(text: &str) -> &str {
    let from = text.find("  plan").unwrap();
    let length = text[from..].find("\n  }").unwrap();
    &text[from..from + length]
}

#[test]
fn a_frozen_plan_that_does_not_parse_is_left_alone() {
    let spoils: [(&str, Spoil); 3] = [
        ("a line", |text| text.replacen("0.8 %  ", "0.8 percent ", 1)),
        ("its head", |text| text.replacen("plan {", "plan 2 {", 1)),
        ("a premix", |text| text.replacen("    digest", "    premix\n    digest", 1)),
    ];
    for (name, spoil) in spoils {
        let (made, spoilt) = with_a_faulty_plan(spoil);
        let at = made.dir.path();
        let file = || std::fs::read_to_string(at.join("batches.still")).unwrap();
        for arguments in [&["fmt", "batches.still"][..], &["check", "--fix", "batches.still"]] {
            let (code, ..) = run_in(at, arguments);
            assert_eq!(code, 1, "{name}: {arguments:?}");
            assert_eq!(file(), spoilt, "{name}: {arguments:?}");
        }
        let (code, out, _) = run_in(at, &["check", "batches.still"]);
        assert!(code == 1 && out.matches("error [").count() == 1, "{name}: told once:\n{out}");
        // The record goes on, and nothing is put into the plan or beside it.
        let (code, _, err) = run_in(at, &["record", "batches.still", "weighed", "xanthan-gum", "4.00", "g"]);
        assert_eq!(code, 0, "{name}: {err}");
        let now = file();
        assert_eq!(plan_of(&now), plan_of(&spoilt), "{name}");
        assert!(now.matches("plan").count() == spoilt.matches("plan").count(), "{name}: {now}");
        assert!(now.contains("xanthan-gum") && now.len() > spoilt.len(), "{name}");
        // What the record says is held against the formula, which is there still.
        let (code, out, err) = run_in(at, &["bench", "batches.still"]);
        assert!(code == 1 && out.contains("[x] glycerin") && out.contains("phenoxyethanol"), "{name}: {out}{err}");
        assert_eq!(err.matches("error [").count(), 1, "{name}: {err}");
        let (code, out, _) = run_in(at, &["sheet", "batches.still", "--record", "g-1"]);
        assert!(code == 1 && out.contains("glycerin"), "{name}: {out}");
        let (code, out, err) = run_in(at, &["trace", "glycerin", "batches.still"]);
        assert!(code == 1 && out.contains("| g-1 | gel 1 |"), "{name}: {out}{err}");
    }
}

#[test]
fn no_edit_is_made_in_a_frozen_plan() {
    let (made, spoilt) =
        with_a_faulty_plan(|text| text.replacen("glycerin", "glycrin", 1).replacen("0.8 %  ", "0,8 %  ", 1));
    let at = made.dir.path();
    let _ = run_in(at, &["check", "--fix", "batches.still"]);
    assert_eq!(std::fs::read_to_string(at.join("batches.still")).unwrap(), spoilt);
}
