//! What is taken away as a file is what the command prints, byte by byte; and what cannot be had is told in a sentence.

use crate::common::mend::run;
use crate::served::Served;
use std::collections::BTreeMap;
use std::fs;
use std::io::{Cursor, Read as _};
use std::path::Path;

/// A copy of the examples.
fn room() -> tempfile::TempDir {
    let room = tempfile::tempdir().unwrap();
    let examples = Path::new(env!("CARGO_MANIFEST_DIR")).join("examples");
    for entry in fs::read_dir(examples).unwrap().map(|entry| entry.unwrap().path()).filter(|path| path.is_file()) {
        fs::copy(&entry, room.path().join(entry.file_name().unwrap())).unwrap();
    }
    room
}

#[test]
fn a_formula_is_taken_away_as_the_command_prints_it() {
    let room = room();
    let served = Served::on(room.path());
    let of = ["for-sale.still", "--formula", "calendula-balm-sold"];
    let page = "text/html; charset=utf-8";
    let same = |words: &[&str], path: &str, kind: &str, name: &str| {
        let out = room.path().join("out");
        let words = [words, of.as_slice(), &["--out", "out"]].concat();
        let (_, _, err) = run(room.path(), &words);
        let wanted = fs::read(&out).unwrap_or_else(|_| panic!("{words:?}: {err}"));
        fs::remove_file(&out).unwrap();
        let (head, bytes) = served.file(&format!("/file/for-sale.still/calendula-balm-sold/{path}"));
        assert_eq!(head.status, 200, "{path}: {head:?}");
        assert_eq!(head.field("content-type"), Some(kind), "{path}");
        let wanted_name = format!("attachment; filename=\"calendula-balm-sold-{name}\"");
        assert_eq!(head.field("content-disposition"), Some(wanted_name.as_str()), "{path}");
        assert!(bytes == wanted, "{path}: {} bytes, and the command has {}", bytes.len(), wanted.len());
        assert!(bytes.len() > 1_000, "{path}");
    };
    same(&["sheet", "--format", "html"], "sheet.html", page, "sheet.html");
    same(&["sheet", "--format", "html", "--batch", "5x30g"], "sheet.html?batch=5x30g", page, "sheet.html");
    same(&["cost", "--format", "html"], "cost.html", page, "cost.html");
    same(&["cost", "--format", "html", "--batch", "500 g"], "cost.html?batch=500+g", page, "cost.html");
    same(&["label", "--format", "html"], "label.html", page, "label.html");
    let sized = ["label", "--format", "html", "--size", "90x60mm", "--sheet", "letter", "--market", "eu"];
    same(&sized, "label.html?width=90&height=60,0&paper=letter&market=eu", page, "label.html");
    same(&["card", "--format", "svg"], "card.svg", "image/svg+xml", "card.svg");
    same(&["card", "--format", "svg", "--without-figures"], "card?choice=yes&format=svg", "image/svg+xml", "card.svg");
    same(&["card", "--format", "png"], "card?choice=yes&format=png&figures=yes", "image/png", "card.png");
}

#[test]
fn what_cannot_be_taken_away_is_told_in_a_sentence() {
    let room = room();
    fs::write(
        room.path().join("odd.still"),
        "use shelf/all\nformula odd {\n  makes 100 g\n  phase A {\n    squalene q.s.\n  }\n}\n",
    )
    .unwrap();
    let served = Served::on(room.path());
    for (path, status, words) in [
        ("/file/odd.still/odd/sheet.html", 400, "cannot be weighed as it is saved"),
        ("/file/odd.still/odd/card.png", 400, "cannot be weighed as it is saved"),
        ("/file/odd.still/none/sheet.html", 404, "has no formula"),
        ("/file/for-sale.still/day-cream-sold/sheet.html?batch=a+lot", 400, "a lot"),
        ("/file/for-sale.still/day-cream-sold/label.html?width=3&height=40", 400, "from 5 to 1000 mm"),
        ("/file/for-sale.still/day-cream-sold/sheet.exe", 404, "not taken away as that"),
        ("/file/..%2Ffor-sale.still/day-cream-sold/sheet.html", 404, "no `"),
        ("/label/odd.still/none", 404, "has no formula"),
    ] {
        let answer = served.get(path);
        assert_eq!(answer.status, status, "{path}: {answer:?}");
        assert!(answer.field("content-disposition").is_none(), "{path}");
        let read = answer.body.replace("<code>", "`").replace("</code>", "`");
        assert!(read.contains(words), "{path}: {answer:?}");
    }
}

#[test]
fn the_book_is_the_folder_that_the_command_writes_packed_into_one_file() {
    let room = room();
    let served = Served::on(room.path());
    let (head, bytes) = served.file("/book.zip");
    assert_eq!((head.status, head.field("content-type")), (200, Some("application/zip")), "{head:?}");
    assert_eq!(head.field("content-disposition"), Some("attachment; filename=\"book.zip\""));
    let mut packed = zip::ZipArchive::new(Cursor::new(&bytes)).unwrap();
    let mut found: BTreeMap<String, String> = BTreeMap::new();
    for number in 0..packed.len() {
        let mut file = packed.by_index(number).unwrap();
        let name = file.enclosed_name().expect("a name that stays in its folder").to_str().unwrap().to_string();
        let mut text = String::new();
        file.read_to_string(&mut text).unwrap();
        found.insert(name.strip_prefix("book/").expect("all lies in one folder").to_string(), text);
    }
    let (_, _, err) = run(room.path(), &["book", ".", "--out", "written"]);
    let written = room.path().join("written");
    let wanted: BTreeMap<String, String> = fs::read_dir(&written)
        .unwrap_or_else(|_| panic!("{err}"))
        .map(|entry| entry.unwrap())
        .map(|entry| (entry.file_name().into_string().unwrap(), fs::read_to_string(entry.path()).unwrap()))
        .collect();
    assert_eq!(found.keys().collect::<Vec<_>>(), wanted.keys().collect::<Vec<_>>());
    assert!(found.len() > 20 && found.contains_key("index.html"));
    for (name, text) in &found {
        assert!(text == &wanted[name], "{name} is another page");
    }
    // The same files are the same bytes.
    assert!(served.file("/book.zip").1 == bytes);
    // A folder without formulas has none.
    let empty = tempfile::tempdir().unwrap();
    assert_eq!(Served::on(empty.path()).get("/book.zip").status, 400);
}
