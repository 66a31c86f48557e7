//! `stillroom book`: what is written, what is left alone, and what is refused.

#![allow(clippy::disallowed_methods, reason = "tests read and write files of their own")]

use crate::common::mend::run;
use crate::common::{Folder, folder};
use std::collections::BTreeMap;
use std::fs;
use std::path::Path;

const TWO: &[u8] = b"use shelf/all

formula gel {
  makes 100 g
  scale 0.01 g
  phase A {
    glycerin 3 %
    phenoxyethanol-ethylhexylglycerin 0.9 %
    water q.s.
  }
}
";

fn workshop() -> Folder {
    folder(&[("one.still", TWO), ("two.still", TWO)])
}

fn pages(folder: &Path) -> BTreeMap<String, String> {
    let all = fs::read_dir(folder).unwrap().map(|entry| entry.unwrap().path());
    all.map(|path| {
        let name = path.file_name().unwrap().to_string_lossy().into_owned();
        (name, fs::read_to_string(path).unwrap())
    })
    .collect()
}

#[test]
fn two_formulas_of_one_name_have_a_page_each() {
    let room = workshop();
    let (code, out, err) = run(room.dir.path(), &["book", ".", "--out", "book"]);
    assert_eq!(code, 0, "{out}{err}");
    let pages = pages(&room.dir.path().join("book"));
    assert!(pages["formula-gel.html"].contains("one.still") && pages["formula-gel-2.html"].contains("two.still"));
    assert!(pages["material-glycerin.html"].contains("href=\"formula-gel-2.html\""));
}

#[test]
fn the_same_files_give_the_same_bytes_wherever_one_stands() {
    let room = workshop();
    assert_eq!(run(room.dir.path(), &["book", ".", "--out", "book"]).0, 0);
    let first = pages(&room.dir.path().join("book"));
    let elsewhere = folder(&[("elsewhere.still", TWO)]);
    let path = room.dir.path().to_string_lossy().into_owned();
    assert_eq!(run(elsewhere.dir.path(), &["book", &path, "--out", "again"]).0, 0);
    assert_eq!(first, pages(&elsewhere.dir.path().join("again")));
    let (_, out, _) = run(room.dir.path(), &["book", ".", "--out", "book"]);
    assert!(out.contains(" 0 of them written"), "{out}");
}

#[test]
fn written_again_it_has_its_own_pages_alone_and_leaves_what_is_anothers() {
    let room = workshop();
    let book = room.dir.path().join("book");
    assert_eq!(run(room.dir.path(), &["book", ".", "--out", "book"]).0, 0);
    fs::write(book.join("mine.txt"), "mine").unwrap();
    fs::write(book.join("other.html"), "<p>mine").unwrap();
    fs::remove_file(room.dir.path().join("two.still")).unwrap();
    let (code, out, err) = run(room.dir.path(), &["book", ".", "--out", "book"]);
    assert!(code == 0 && out.contains("1 taken away"), "{out}{err}");
    let names: Vec<String> = pages(&book).into_keys().collect();
    assert!(!names.iter().any(|name| name == "formula-gel-2.html"), "{names:?}");
    assert!(names.iter().any(|name| name == "mine.txt") && names.iter().any(|name| name == "other.html"), "{names:?}");
}

#[test]
fn what_holds_other_things_is_refused_and_stays_as_it_was() {
    let room = workshop();
    let (code, _, err) = run(room.dir.path(), &["book", ".", "--out", "."]);
    assert!(code == 2 && err.contains("holds other things") && err.contains("one.still"), "{err}");
    assert_eq!(pages(room.dir.path()).len(), 2);
    // A home folder as it is made has hidden things alone.
    let home = room.dir.path().join("home");
    fs::create_dir_all(home.join(".config")).unwrap();
    let (code, _, err) = run(room.dir.path(), &["book", "one.still", "--out", "home"]);
    assert!(code == 2 && err.contains("holds other things, `.config` among them"), "{err}");
    assert_eq!(fs::read_dir(&home).unwrap().count(), 1);
    // What a system puts into a folder that somebody looked into is nobody's work.
    let seen = room.dir.path().join("seen");
    fs::create_dir_all(&seen).unwrap();
    fs::write(seen.join(".DS_Store"), "icons").unwrap();
    assert_eq!(run(room.dir.path(), &["book", "one.still", "--out", "seen"]).0, 0);
    assert_eq!(fs::read_to_string(seen.join(".DS_Store")).unwrap(), "icons");
    let (code, _, err) = run(room.dir.path(), &["book", ".", "--out", "no/such"]);
    assert!(code == 2 && err.contains("make it first"), "{err}");
    // A page of one's own that stands where one of the book has to go.
    assert_eq!(run(room.dir.path(), &["book", ".", "--out", "book"]).0, 0);
    let page = room.dir.path().join("book/formula-gel.html");
    fs::write(&page, "mine").unwrap();
    let (code, _, err) = run(room.dir.path(), &["book", ".", "--out", "book"]);
    assert!(code == 2 && err.contains("formula-gel.html"), "{err}");
    assert_eq!(fs::read_to_string(page).unwrap(), "mine");
}

#[test]
fn a_formula_with_errors_stands_in_it_without_a_sheet() {
    let room = folder(&[("wrong.still", b"formula f {\n  makes 3 gramms\n}\n")]);
    let (code, _, err) = run(room.dir.path(), &["book", "wrong.still", "--out", "book"]);
    assert!(code == 1 && err.contains("without a sheet"), "{err}");
    let page = fs::read_to_string(room.dir.path().join("book/formula-f.html")).unwrap();
    assert!(page.contains("No weights are shown while") && page.contains("id=\"faults\""), "{page}");
}
