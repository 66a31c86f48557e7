//! Versions out of git: what changed since a revision, the versions of a formula, versions that are gone from the files,
//! and what git may put in the way. git's own behaviour is that of its manual pages (git-clone, gitattributes,
//! git-submodule); how a maker keeps formulas is common practice, no source.

use crate::common;
use crate::common::repository::Repository;
use crate::common::valid_by;
use serde_json::Value;

fn materials(strength: u32) -> String {
    format!(
        "use shelf/all\n\nmaterial our-acid {{\n  contains lactic-acid {strength} % active, water remainder\n  caution \"Corrosive: gloves.\"\n}}\n"
    )
}

fn serum(name: &str, version: &str, glycerin: &str) -> String {
    format!(
        "use \"materials.still\"\n\nformula {name} {{\n  title \"Serum\"\n  version \"{version}\"\n  product rinse-off face\n  makes 100 g\n  scale 0.01 g\n  phase A {{\n    water q.s.\n    our-acid 2 % active\n    glycerin {glycerin} %\n    phenoxyethanol-ethylhexylglycerin 1 %\n  }}\n}}\n"
    )
}

fn toner(version: &str) -> String {
    format!(
        "use shelf/all\n\nformula toner {{\n  title \"Toner\"\n  version \"{version}\"\n  product rinse-off face\n  makes 100 g\n  scale 0.01 g\n  phase A {{\n    water q.s.\n    glycerin 2 %\n    phenoxyethanol-ethylhexylglycerin 1 %\n  }}\n}}\n"
    )
}

/// Two serums that share a material, and a toner that does not use it.
fn workshop() -> Repository {
    let repository = Repository::new();
    repository.write("materials.still", &materials(80));
    repository.write("serum.still", &serum("serum", "1", "3"));
    repository.write("second.still", &serum("second", "1", "4"));
    repository.write("toner.still", &toner("1"));
    repository.commit("begin");
    repository
}

/// Formula, status, and each edit as `kind what old new`.
fn summary(diff: &Value) -> Vec<String> {
    valid_by("docs/schema/diff.json", diff);
    let formulas = diff["formulas"].as_array().unwrap().iter();
    let line = |one: &Value| {
        let edits = one["changes"].as_array().unwrap().iter().filter(|change| change["follows"] == false);
        let text = |value: &Value| value.as_str().unwrap_or("-").to_string();
        let edits = edits.map(|change| {
            let words = [&change["kind"], &change["what"], &change["old"], &change["new"]];
            words.map(text).join(" ")
        });
        let words = [text(&one["formula"]), text(&one["status"])].join(" ");
        [vec![words], edits.collect()].concat().join("; ")
    };
    formulas.map(line).collect()
}

fn since(repository: &Repository, path: &str, revision: &str) -> Vec<String> {
    summary(&repository.json(&["diff", path, "--since", revision, "--format", "json"]))
}

/// How many formulas need a new version.
fn unbumped(repository: &Repository) -> usize {
    let codes = repository.codes(&["check", ".", "--since", "HEAD", "--format", "json"]);
    codes.iter().filter(|code| *code == "version-not-bumped").count()
}

#[test]
fn a_shared_material_shows_in_every_formula_that_uses_it_and_only_there() {
    let repository = workshop();
    repository.write("materials.still", &materials(78));
    let strength = "strength our-acid 80 78";
    let wanted =
        [format!("second changed; {strength}"), format!("serum changed; {strength}"), "toner same".to_string()];
    assert_eq!(since(&repository, ".", "HEAD"), wanted);
    // What follows is said to follow: the line, and the water that makes room for it.
    let json = repository.json(&["diff", ".", "--since", "HEAD", "--format", "json"]);
    let amounts = json["formulas"][0]["changes"].as_array().unwrap().iter();
    let amounts: Vec<&str> =
        amounts.filter(|change| change["kind"] == "amount").map(|change| change["what"].as_str().unwrap()).collect();
    assert_eq!(amounts, ["water", "our-acid"]);
    assert_eq!(json["formulas"][0]["changes"][1]["follows"], true);
    // And the version is to count up in both.
    assert_eq!(unbumped(&repository), 2);
}

#[test]
fn a_material_that_no_formula_uses_is_told_of_by_itself() {
    let repository = workshop();
    repository.write("materials.still", &materials(78));
    let json = repository.json(&["diff", "materials.still", "--since", "HEAD", "--format", "json"]);
    assert_eq!(json["formulas"], serde_json::json!([]));
    assert_eq!(json["materials"][0]["material"], "our-acid");
    assert_eq!(json["materials"][0]["changes"][0]["new"], "78");
    let (_, out, _) = repository.run(&["diff", "materials.still", "--since", "HEAD"]);
    assert!(out.starts_with("our-acid (materials.still): a material that no formula here uses"), "{out}");
}

#[test]
fn layout_and_comments_need_no_new_version_and_a_change_does() {
    let repository = workshop();
    let laid_out = serum("serum", "1", "3.0").replace("  phase A {", "\n  # Everything goes in cold.\n  phase A {");
    repository.write("serum.still", &laid_out);
    assert_eq!(unbumped(&repository), 0);
    assert_eq!(since(&repository, "serum.still", "HEAD"), ["serum same"]);
    repository.write("materials.still", &materials(80).replace("Corrosive: gloves.", "Corrosive: gloves and goggles."));
    assert_eq!(unbumped(&repository), 0, "what is known of a material is no change of the formula");
    repository.write("materials.still", &materials(80));
    repository.write("serum.still", &serum("serum", "1", "5"));
    assert_eq!(unbumped(&repository), 1);
    let (code, out, _) = repository.run(&["check", "serum.still", "--since", "HEAD"]);
    assert_eq!(code, 1);
    assert!(out.contains("Changed: glycerin (A) 3 % → 5 %. Give it a new version: `version \"2\"`."), "{out}");
    repository.write("serum.still", &serum("serum", "2", "5"));
    assert_eq!(unbumped(&repository), 0);
    assert_eq!(since(&repository, "serum.still", "HEAD"), ["serum changed; version version 1 2; amount glycerin 3 5"]);
}

#[test]
fn the_exit_code_says_whether_anything_differs_where_it_is_asked() {
    let repository = workshop();
    let run = |options: &[&str]| {
        let (code, out, _) = repository.run(&[&["diff", ".", "--since", "HEAD"], options].concat());
        (code, out)
    };
    assert_eq!(run(&["--exit-code"]), (0, String::new()));
    assert_eq!(run(&["--exit-code", "--format", "markdown"]), (0, String::new()));
    repository.write("serum.still", &serum("serum", "2", "5"));
    assert_eq!(run(&["--exit-code"]).0, 1);
    assert_eq!(run(&[]).0, 0);
    let (_, text) = run(&["--batch", "500g"]);
    assert!(text.contains("3 % → 5 %  +2 %  15.00 g → 25.00 g"), "{text}");
}

#[test]
fn what_was_not_there_is_new_and_what_is_not_here_is_gone() {
    let repository = workshop();
    repository.write(
        "extra.still",
        &toner("1").replace("formula toner", "formula extra").replace("glycerin 2", "propanediol 9"),
    );
    repository.remove("second.still");
    assert_eq!(since(&repository, ".", "HEAD"), ["extra added", "serum same", "toner same", "second removed"]);
    assert_eq!(since(&repository, "extra.still", "HEAD"), ["extra added"]);
    assert_eq!(since(&repository, "second.still", "HEAD"), ["second removed"]);
    let (code, _, err) = repository.run(&["diff", "never.still", "--since", "HEAD"]);
    assert_eq!((code, err.trim()), (2, "`never.still` is not here, and was not there at that revision."));
}

#[test]
fn a_formula_under_another_name_in_another_file_is_found_again() {
    let repository = workshop();
    repository.git(&["mv", "serum.still", "evening.still"]);
    repository.write("evening.still", &serum("evening", "1", "3"));
    let found = since(&repository, ".", "HEAD");
    assert!(found.contains(&"evening renamed".to_string()), "{found:?}");
    assert_eq!(found.len(), 3);
}

#[test]
fn a_revision_that_is_none_is_told_of_with_what_may_have_been_meant() {
    let repository = workshop();
    let said = |repository: &Repository, revision: &str| {
        let (code, _, err) = repository.run(&["diff", ".", "--since", revision]);
        assert_eq!(code, 2, "{err}");
        err.trim().to_string()
    };
    assert_eq!(said(&repository, "v9"), "`v9` is no revision here: no commit, tag or branch has that name.");
    assert_eq!(said(&repository, ""), "No revision is named: write a commit, a tag or a branch.");
    repository.git(&["branch", "trial"]);
    let copy = Repository::cloned(&repository, &[]);
    assert!(said(&copy, "trial").ends_with("Did you mean `origin/trial`?"));
    assert!(since(&copy, ".", "origin/trial").iter().all(|line| line.ends_with("same")));
    let empty = Repository::new();
    empty.write("toner.still", &toner("1"));
    assert_eq!(said(&empty, "HEAD"), "`HEAD` is no revision: this git repository has no commit yet.");
    // A tag with a message of its own, a number cut short, a commit before the last.
    repository.git(&["tag", "-a", "v1", "-m", "first"]);
    repository.write("serum.still", &serum("serum", "2", "5"));
    let commit = repository.commit("more glycerin");
    for revision in ["v1", "HEAD~1", "HEAD^", "trial"] {
        assert!(since(&repository, "serum.still", revision)[0].contains("amount glycerin 3 5"), "{revision}");
    }
    assert_eq!(since(&repository, "serum.still", &commit[..9]), ["serum same"]);
}

#[test]
fn outside_git_there_is_nothing_to_hold_it_against() {
    let folder = common::folder(&[("toner.still", toner("1").as_bytes())]);
    for arguments in [&["diff", ".", "--since", "HEAD"][..], &["log", "."], &["check", ".", "--since", "HEAD"]] {
        let (code, _, err) = common::repository::run_in(folder.dir.path(), arguments);
        assert_eq!(code, 2);
        assert!(err.contains("lies in no git repository"), "{err}");
    }
}

/// Each entry of a formula's log as `version meaning`, with `!` where the version was not counted up.
fn log(repository: &Repository, path: &str, formula: &str) -> Vec<String> {
    let json = repository.json(&["log", path, "--formula", formula, "--format", "json"]);
    valid_by("docs/schema/log.json", &json);
    let entries = json["formulas"][0]["versions"].as_array().unwrap().iter();
    let line = |entry: &Value| {
        let mark = if entry["version_not_bumped"] == true { "!" } else { "" };
        let merge = if entry["merge"] == true { "merge " } else { "" };
        let version = entry["version"].as_str().unwrap_or("-");
        format!("{version}{mark} {merge}{}", entry["meaning"].as_str().unwrap())
    };
    entries.map(line).collect()
}

#[test]
fn the_log_tells_each_change_in_a_line_through_shared_files_and_other_names() {
    let repository = workshop();
    repository.write("serum.still", &serum("serum", "2", "5"));
    repository.commit("more glycerin");
    repository.write("notes.txt", "nothing to do with it");
    repository.commit("notes");
    repository.write("materials.still", &materials(78));
    repository.commit("another lot");
    repository.write("serum.still", &format!("# Evenings.\n{}", serum("serum", "2", "5")));
    repository.commit("a comment");
    repository.git(&["mv", "serum.still", "evening.still"]);
    repository.write("evening.still", &serum("evening", "3", "5"));
    repository.commit("another name");
    repository.write("evening.still", &serum("evening", "4", "6"));
    let whole = [
        "4 glycerin (A) 5 % → 6 %",
        "3 was `serum`",
        "2! our-acid, strength of lactic-acid 80 % → 78 %",
        "2 glycerin (A) 3 % → 5 %",
        "1 first written, 4 lines",
    ];
    assert_eq!(log(&repository, ".", "evening"), whole);
    assert_eq!(log(&repository, ".", "serum"), whole);
    let of_file = log(&repository, "evening.still", "evening");
    assert_eq!(of_file[0], whole[0]);
    assert_eq!(log(&repository, "toner.still", "toner"), ["1 first written, 3 lines"]);
    let (_, text, _) = repository.run(&["log", ".", "--formula", "evening"]);
    assert_eq!(text.lines().count(), 6, "{text}");
    assert!(text.contains("  4  not committed yet    glycerin (A) 5 % → 6 %"), "{text}");
}

/// Two branches that both changed it come together: neither side's change is told twice in the same words, and one that
/// brings nothing new is passed over.
#[test]
fn a_merge_is_told_of_only_where_it_brings_something_together() {
    let repository = workshop();
    repository.git(&["checkout", "-q", "-b", "side"]);
    repository.write("toner.still", &toner("2"));
    repository.commit("toner on the side");
    repository.git(&["checkout", "-q", "main"]);
    repository.write("serum.still", &serum("serum", "2", "5"));
    repository.commit("serum on main");
    repository.git_at(1_700_090_000, &["merge", "-q", "side", "-m", "together"]);
    assert_eq!(log(&repository, "serum.still", "serum"), ["2 glycerin (A) 3 % → 5 %", "1 first written, 4 lines"]);
    assert_eq!(log(&repository, "toner.still", "toner"), ["2 the version alone", "1 first written, 3 lines"]);
    // The folder as a whole is as on neither side, and each formula is as on one of them.
    assert_eq!(log(&repository, ".", "toner"), ["2 the version alone", "1 first written, 3 lines"]);
    assert_eq!(log(&repository, ".", "serum"), ["2 glycerin (A) 3 % → 5 %", "1 first written, 4 lines"]);
    // A serum that one side gave more glycerin and the other another lot is as on neither.
    repository.git(&["checkout", "-q", "side"]);
    repository.write("materials.still", &materials(78));
    repository.commit("another lot");
    repository.git(&["checkout", "-q", "main"]);
    repository.write("serum.still", &serum("serum", "3", "6"));
    repository.commit("still more");
    repository.git_at(1_700_180_000, &["merge", "-q", "side", "-m", "together again"]);
    let whole = log(&repository, ".", "serum");
    assert_eq!(whole[0], "3! merge our-acid, strength of lactic-acid 80 % → 78 %");
    assert_eq!(whole.iter().filter(|line| line.contains("merge")).count(), 1, "{whole:?}");
}

#[test]
fn a_shallow_copy_says_that_its_history_is_cut_off() {
    let repository = workshop();
    repository.write("serum.still", &serum("serum", "2", "5"));
    repository.commit("more glycerin");
    repository.write("serum.still", &serum("serum", "3", "6"));
    repository.commit("still more");
    let copy = Repository::cloned(&repository, &["--depth", "2"]);
    let (code, out, err) = copy.run(&["log", "serum.still"]);
    assert_eq!(code, 0, "{err}");
    assert!(out.contains("glycerin (A) 5 % → 6 %") && out.contains("first written"), "{out}");
    assert!(err.contains("shallow"), "{err}");
    assert_eq!(since(&copy, "serum.still", "HEAD~1"), ["serum changed; version version 2 3; amount glycerin 5 6"]);
    let (code, _, err) = copy.run(&["diff", ".", "--since", "HEAD~2"]);
    assert_eq!(code, 2);
    assert!(err.contains("`git fetch --unshallow --tags` brings them"), "{err}");
}

/// A part of the workshop may have a history of its own: it is read at the commit that the workshop names.
#[test]
fn files_of_a_submodule_are_read_as_they_were() {
    let library = Repository::new();
    library.write("materials.still", &materials(80));
    library.commit("library");
    let repository = Repository::new();
    let url = format!("file://{}", library.path().to_str().unwrap());
    repository.git(&["submodule", "--quiet", "add", &url, "library"]);
    repository
        .write("serum.still", &serum("serum", "1", "3").replace("\"materials.still\"", "\"library/materials.still\""));
    repository.commit("begin");
    assert_eq!(since(&repository, "serum.still", "HEAD"), ["serum same"]);
    repository.write("library/materials.still", &materials(78));
    assert_eq!(since(&repository, "serum.still", "HEAD"), ["serum changed; strength our-acid 80 78"]);
    assert_eq!(since(&repository, ".", "HEAD"), ["serum changed; strength our-acid 80 78"]);
    // A copy without its submodules has nothing to read there.
    let copy = Repository::cloned(&repository, &[]);
    let (code, _, err) = copy.run(&["diff", ".", "--since", "HEAD"]);
    assert_eq!(code, 2);
    assert!(err.contains("`git submodule update --init` brings it"), "{err}");
}

const BATCH: &str = "use \"serum.still\"\n\nbatch se-01 {\n  formula serum version \"1\"\n  started 2023-11-15\n  size 100.00 g\n  weighed water 93.50 g\n  weighed our-acid 2.50 g\n  weighed glycerin 3.00 g\n  weighed phenoxyethanol-ethylhexylglycerin 1.00 g\n}\n";

#[test]
fn the_formula_of_an_old_batch_is_found_in_git_as_it_was() {
    let repository = workshop();
    repository.write("batches.still", BATCH);
    repository.commit("a batch");
    let before = repository.json(&["bench", "batches.still", "--format", "json"]);
    let sheet = |repository: &Repository| repository.run(&["sheet", "batches.still", "--record", "se-01"]).1;
    let record = sheet(&repository);
    repository.write("serum.still", &serum("serum", "2", "5"));
    repository.write("materials.still", &materials(70));
    assert!(repository.codes(&["check", "batches.still", "--format", "json"]).is_empty());
    assert_eq!(repository.json(&["bench", "batches.still", "--format", "json"]), before);
    assert_eq!(sheet(&repository), record);
    let (_, _, err) = repository.run(&["bench", "batches.still"]);
    assert!(err.contains("`se-01` is held against `serum` version 1 as it stood in git on 2023-11-14"), "{err}");
    repository.commit("another version");
    repository.remove("serum.still");
    repository.commit("gone");
    assert_eq!(repository.json(&["bench", "batches.still", "--format", "json"])["plan"], before["plan"]);
    assert_eq!(repository.codes(&["check", "batches.still", "--format", "json"]), ["use-gone"]);
    // And the trail shows the formula as it was.
    let trail = repository.json(&["trace", "se-01", ".", "--format", "json"]);
    valid_by("docs/schema/trace.json", &trail);
    let glycerin = serde_json::json!({ "material": "glycerin", "percent": "3" });
    assert!(trail["batches"][0]["lines"].as_array().unwrap().contains(&glycerin), "{trail}");
    let (_, trail, _) = repository.run(&["trace", "se-01", "."]);
    assert!(trail.contains("## Formula of se-01 as it was") && trail.contains("| glycerin | 3 |"), "{trail}");
    // A version that git never had is gone indeed, and so is every one outside git.
    repository.write("batches.still", &BATCH.replace("version \"1\"", "version \"9\""));
    let codes = repository.codes(&["check", "batches.still", "--format", "json"]);
    assert_eq!(codes, ["use-not-found", "batch-version-gone"]);
    let folder = common::folder(&[
        ("batches.still", BATCH.as_bytes()),
        ("serum.still", serum("serum", "2", "5").as_bytes()),
        ("materials.still", materials(80).as_bytes()),
    ]);
    let (_, out, _) = common::repository::run_in(folder.dir.path(), &["check", "batches.still", "--format", "json"]);
    assert!(out.contains("batch-version-gone"), "{out}");
}

/// A record begun by hand is written on after its formula moved on: what is frozen into it is the plan that it began by.
#[test]
fn a_record_written_on_keeps_the_plan_of_its_own_version() {
    let repository = workshop();
    repository.write("batches.still", BATCH);
    repository.commit("a batch");
    let before = repository.json(&["bench", "batches.still", "--format", "json"]);
    repository.write("serum.still", &serum("serum", "2", "5"));
    repository.commit("another version");
    let (code, _, err) = repository.run(&["record", "batches.still", "note", "Clear."]);
    assert_eq!(code, 0, "{err}");
    assert!(err.contains("The plan of `serum` version 1 as it stood in git on 2023-11-14"), "{err}");
    std::fs::remove_dir_all(repository.path().join(".git")).unwrap();
    let after = repository.json(&["bench", "batches.still", "--format", "json"]);
    assert_eq!(after["plan"], before["plan"]);
    assert_eq!(after["version"], "1");
    assert!(repository.codes(&["check", "batches.still", "--format", "json"]).is_empty());
}

/// Of two formulas that went by one version, the one that stood when the batch was started is meant.
#[test]
fn of_two_that_had_the_version_the_one_of_the_day_is_taken() {
    let repository = workshop();
    repository.write("serum.still", &serum("serum", "1", "7"));
    repository.git(&["add", "-A"]);
    repository.git_at(1_710_000_000, &["commit", "-q", "-m", "in spring, with no new version"]);
    repository.write("serum.still", &serum("serum", "2", "5"));
    repository.git(&["add", "-A"]);
    repository.git_at(1_720_000_000, &["commit", "-q", "-m", "in summer"]);
    let glycerin = |started: &str| {
        repository.write("batches.still", &BATCH.replace("2023-11-15", started));
        let json = repository.json(&["bench", "batches.still", "--format", "json"]);
        json["plan"][2]["grams"].as_str().unwrap().to_string()
    };
    assert_eq!(glycerin("2023-11-15"), "3.00");
    assert_eq!(glycerin("2024-04-01"), "7.00");
}

#[test]
fn a_formula_is_held_against_its_variant_and_its_batch() {
    let repository = workshop();
    let variant = "use \"serum.still\"\n\nvariant mild of serum {\n  version \"1\"\n  set our-acid 1 % active\n  ensure our-acid at most 2 %\n}\n";
    repository.write("mild.still", variant);
    let mild = repository.json(&["diff", "mild.still", "--to", "mild", "--format", "json"]);
    assert_eq!(summary(&mild), ["mild renamed; active our-acid 2 1; rule our-acid - at most 2 %"]);
    assert_eq!(mild["formulas"][0]["old_formula"], "serum");
    let two = repository.json(&["diff", "serum.still", "mild.still", "--format", "json"]);
    assert_eq!(summary(&two), summary(&mild));
    repository.write("batches.still", &BATCH.replace("glycerin 3.00", "glycerin 3.50"));
    let made = repository.json(&["diff", "batches.still", "--to", "se-01", "--format", "json"]);
    assert_eq!(summary(&made), ["serum changed; amount glycerin 3 7/2"]);
    assert_eq!(made["formulas"][0]["batch"], "se-01");
    let beside = repository.json(&["diff", "serum.still", "batches.still", "--format", "json"]);
    assert_eq!(beside, made);
    let (code, _, err) = repository.run(&["diff", "batches.still", "--to", "se-02"]);
    assert_eq!(code, 2, "{err}");
}

/// The two lines that the documents give, and git calling the program.
#[test]
fn git_calls_it_for_its_own_diff() {
    let repository = workshop();
    repository.write(".gitattributes", "*.still diff=stillroom\n");
    let command = format!("'{}' diff", env!("CARGO_BIN_EXE_stillroom"));
    repository.git(&["config", "diff.stillroom.command", &command]);
    repository.commit("attributes");
    repository.write("serum.still", &serum("serum", "2", "5"));
    repository.write("second.still", &format!("# A comment.\n{}", serum("second", "1", "4")));
    repository.write("materials.still", &materials(78));
    let shown = repository.git(&["diff"]);
    assert!(shown.contains("serum 1 → 2 (serum.still)"), "{shown}");
    assert!(shown.contains("glycerin (A)                       3 % → 5 %"), "{shown}");
    assert!(shown.contains("our-acid (materials.still): a material that no formula here uses"), "{shown}");
    // A comment means nothing; the strength that changed behind it does, and it is not committed yet.
    assert!(shown.contains("second 1 (second.still)\n  edited\n    our-acid, strength of lactic-acid"), "{shown}");
    repository.git(&["rm", "-q", "--cached", "toner.still"]);
    repository.remove("toner.still");
    assert!(repository.git(&["diff", "HEAD", "--", "toner.still"]).contains("toner 1 (toner.still): gone, 3 lines"));
    repository.write("third.still", &toner("1").replace("formula toner", "formula third"));
    repository.git(&["add", "-N", "third.still"]);
    assert!(repository.git(&["diff", "--", "third.still"]).contains("third 1 (third.still): new, 3 lines"));
}

/// git names a file in conflict alone (`git help git`, GIT_EXTERNAL_DIFF), and a program that fails ends its diff.
#[test]
fn a_file_in_conflict_does_not_end_gits_diff() {
    let repository = workshop();
    repository.write(".gitattributes", "*.still diff=stillroom\n");
    repository.git(&["config", "diff.stillroom.command", &format!("'{}' diff", env!("CARGO_BIN_EXE_stillroom"))]);
    repository.commit("attributes");
    repository.git(&["checkout", "-q", "-b", "side"]);
    repository.write("serum.still", &serum("serum", "2", "4"));
    repository.commit("one way");
    repository.git(&["checkout", "-q", "main"]);
    repository.write("serum.still", &serum("serum", "2", "5"));
    repository.commit("another way");
    assert!(!repository.tries_git(&["merge", "-q", "side"]));
    assert!(repository.git(&["diff", "--base"]).contains("`serum.still` is not merged yet"));
    assert!(repository.git(&["diff"]).contains("diff --cc serum.still"));
    assert!(repository.git(&["diff", "HEAD"]).contains("serum 2 (serum.still)"));
}

#[test]
fn what_is_asked_wrongly_is_refused() {
    let repository = workshop();
    for (arguments, wanted) in [
        (&["diff"][..], "Name two versions"),
        (&["diff", "serum.still"], "Name two versions"),
        (&["diff", "serum.still", "toner.still", "second.still"], "Name two versions"),
        (&["diff", "serum.still", "--to", "serun"], "Did you mean `serum`?"),
        (&["diff", "serum.still", "toner.still", "--formula", "other"], "There is no formula `other`."),
        (&["diff", "-", "--since", "HEAD"], "standard input is none"),
        (&["diff", "serum.still", "nowhere.still"], "`nowhere.still` cannot be opened: there is no such file."),
        (&["diff", "serum.still", "toner.still", "--batch", "12"], "`--batch 12`"),
        (&["log", "nowhere.still"], "has no formula, and never had one."),
        (&["log", ".", "--formula", "serun"], "Did you mean `serum`?"),
    ] {
        let (code, out, err) = repository.run(arguments);
        assert_eq!(code, 2, "{arguments:?}: {out}{err}");
        assert!(err.contains(wanted), "{arguments:?}: {err}");
    }
}
