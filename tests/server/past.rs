//! Versions that are kept: a repository begun from a page, a commit where there is no git program, and a batch whose
//! formula has moved on since.

use crate::common::{folder, mend::run, repository::Repository};
use crate::served::{GEL, Served};
use std::fs;
use std::path::Path;
use std::process::{Command, Stdio};

/// What git says of a folder, told nothing of whoever runs it.
fn git(at: &Path, words: &[&str]) -> String {
    let mut git = Command::new("git");
    git.current_dir(at).args(words).env("GIT_CONFIG_GLOBAL", "/dev/null").env("GIT_CONFIG_NOSYSTEM", "1");
    let output = git.output().unwrap();
    assert!(output.status.success(), "{words:?}: {}", String::from_utf8_lossy(&output.stderr));
    String::from_utf8(output.stdout).unwrap()
}

/// Everything that lies in a folder and below, but for what git keeps.
fn names(at: &Path) -> Vec<String> {
    let mut all: Vec<String> = Vec::new();
    for entry in fs::read_dir(at).unwrap() {
        let entry = entry.unwrap();
        let name = entry.file_name().into_string().unwrap();
        match entry.path().is_dir() && name != ".git" {
            true => all.extend(names(&entry.path()).into_iter().map(|below| format!("{name}/{below}"))),
            false => all.push(name),
        }
    }
    all.sort();
    all
}

#[test]
fn versions_begin_to_be_kept_from_a_page_and_nothing_outside_is_touched() {
    let room = folder(&[
        ("room/gel.still", GEL.as_bytes()),
        ("room/creams/b.still", b"# b\n"),
        ("room/note.txt", b"mine"),
        ("out.still", b""),
    ]);
    let at = room.dir.path().join("room");
    // A machine whose git was told no name.
    let environment = [("GIT_CONFIG_GLOBAL", "/dev/null"), ("GIT_CONFIG_NOSYSTEM", "1"), ("HOME", "/nowhere")];
    let served = Served::with(&at, &[], &environment, Stdio::null());
    for page in ["/", "/formula/gel.still/gel"] {
        let page = served.get(page).body;
        assert!(
            page.contains("Earlier versions are not kept") && page.contains("href=\"/versions/begin?from=%2F"),
            "{page}"
        );
    }
    let before = names(room.dir.path());
    let page = served.get("/versions/begin?from=%2Fformula%2Fgel.still%2Fgel");
    assert!(page.status == 200 && page.body.contains("Nothing outside the folder is touched"), "{page:?}");
    assert_eq!(names(room.dir.path()), before, "to look makes nothing");
    let refused = served.form("/versions/begin", &[("name", " "), ("from", "/")]);
    assert!(refused.status == 400 && refused.body.contains("role=\"alert\""), "{refused:?}");
    assert_eq!(names(room.dir.path()), before);

    let made = served.form("/versions/begin", &[("name", "Ada <3"), ("from", "/")]);
    assert_eq!(made.status, 400, "{made:?}");
    let made = served.form("/versions/begin", &[("name", "Åse Quill"), ("from", "//example.org")]);
    assert!(made.status == 200 && made.body.contains("2 files are in the first one"), "{made:?}");
    assert!(!made.body.contains("example.org"), "{made:?}");
    assert_eq!(git(&at, &["log", "--format=%an %s"]), "Åse Quill The formulas as they are\n");
    assert_eq!(git(&at, &["status", "--porcelain"]), "?? note.txt\n");
    let mut after = names(room.dir.path());
    after.retain(|name| name != "room/.git");
    assert_eq!(after, before);
    assert!(!served.get("/").body.contains("Earlier versions are not kept"));
    let again = served.form("/versions/begin", &[("name", "Åse Quill"), ("from", "/")]);
    assert!(again.status == 400 && again.body.contains("kept in this folder already"), "{again:?}");

    // A commit by the program of the machine goes on from it.
    let (text, version) = served.text("gel.still");
    let body = |text: &str, message: &str| serde_json::json!({ "file": "gel.still", "name": "gel", "text": text, "message": message });
    let kept = served.post("/keep", Some(&version), &body(&format!("{text}# more\n"), "more of it"));
    assert_eq!((kept.status, &kept.json()["failed"]), (200, &false.into()), "{kept:?}");
    assert_eq!(git(&at, &["log", "-1", "--format=%an %s"]), "Åse Quill more of it\n");
    served.ends();

    // And without one it is done all the same, by the library.
    let environment = [environment.as_slice(), &[("PATH", "/nowhere")]].concat();
    let served = Served::with(&at, &[], &environment, Stdio::null());
    let (text, version) = served.text("gel.still");
    let kept = served.post("/keep", Some(&version), &body(&format!("{text}# still more\n"), "without a git program"));
    assert_eq!((kept.status, &kept.json()["failed"]), (200, &false.into()), "{kept:?}");
    assert_eq!(git(&at, &["log", "-1", "--format=%an %s"]), "Åse Quill without a git program\n");
    assert_eq!(git(&at, &["status", "--porcelain"]), "?? note.txt\n");
    let versions = served.post("/versions", None, &body("", "")).json();
    assert!(!versions["versions"].as_array().unwrap().is_empty(), "{versions}");
}

#[test]
fn a_batch_whose_formula_has_moved_on_is_held_against_what_git_has_as_the_commands_hold_it() {
    let repository = Repository::new();
    let at = repository.path();
    let record = "batch b {\n  formula  gel version \"1\"\n  started  2026-11-20\n  size     100 g\n}\n";
    let formula = GEL.split("batch b").next().unwrap();
    fs::write(at.join("gel.still"), formula).unwrap();
    fs::write(at.join("b.still"), format!("use \"gel.still\"\n\n{record}")).unwrap();
    repository.git(&["add", "."]);
    repository.git(&["commit", "-q", "-m", "as it was"]);
    let now = formula.replace("version  \"1\"", "version  \"2\"").replace("glycerin  10 %", "glycerin  20 %");
    fs::write(at.join("gel.still"), now).unwrap();

    let (_, out, err) = run(&at, &["bench", "b.still"]);
    assert!(out.contains("90.00 g") && err.contains("as it stood in git"), "{out}{err}");
    let served = Served::on(&at);
    let first = served.get("/").body;
    assert!(!first.contains("cannot be held against"), "{first}");
    assert!(first.contains("90.00"), "{first}");
    let bench = served.get("/batch/b.still/b");
    assert!(
        bench.status == 200 && bench.body.contains("90.00") && bench.body.contains("as it stood in git"),
        "{bench:?}"
    );
    // The first act is of the formula as it was, and is written as the command would.
    let version = bench.body.split("data-version=\"").nth(1).unwrap().split('"').next().unwrap().to_string();
    let typed = [("kind", "weighed"), ("version", version.as_str()), ("material", "water"), ("grams", "90")];
    let written = served.form("/batch/b.still/b", &typed);
    assert!(matches!(written.status, 200 | 303), "{written:?}");
    assert!(fs::read_to_string(at.join("b.still")).unwrap().contains("water 90 g"), "{written:?}");
    let next = served.get("/batch/b.still/b").body;
    assert!(next.contains("glycerin") && next.contains("10.00"), "{next}");
}
