//! Beside materials of her own: they are taken before those of the shelf, and the file that has them is used. The command
//! and the page's paste make the same of one table.

use assert_cmd::Command;
use std::fs;
use std::path::{Path, PathBuf};
use stillroom::bring::{Brought, OwnShelf, Wishes, bring_beside};
use stillroom::diagnostic::Level;
use stillroom::session::check;
use stillroom::sheet::BatchOrder;
use stillroom::workspace::{Disk, load};

use crate::tables::lines_of;

fn folder() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/bring/own")
}

/// The materials of files in a folder.
fn own_shelf(folder: &Path, files: &[&str]) -> OwnShelf {
    let folder = fs::canonicalize(folder).unwrap();
    let paths: Vec<PathBuf> = files.iter().map(|file| folder.join(file)).collect();
    let loaded = load(&Disk, &paths, None);
    OwnShelf::of(&loaded.sources, |source| source.absolute.strip_prefix(&folder).ok()?.to_str().map(str::to_string))
}

fn beside(table: &str, own: &OwnShelf) -> Brought {
    bring_beside(table.as_bytes(), &Wishes { name: "made".into(), ..Wishes::default() }, own)
}

/// Each line of a text that stands in a folder, and its errors.
fn lines(folder: &Path, text: &str) -> (Vec<(String, String, String)>, Vec<&'static str>) {
    let loaded = load(&Disk, &[], Some((folder.to_path_buf(), text.as_bytes().to_vec())));
    let report = check(&loaded.sources, &BatchOrder::default(), true);
    let errors = report.diagnostics.iter().filter(|told| told.level == Level::Error);
    (lines_of(&report.formulas[0].formula), errors.map(|told| told.code.entry().name).collect())
}

#[test]
fn her_own_materials_come_first() {
    let table = fs::read_to_string(folder().join("toner.csv")).unwrap();
    let by_hand = fs::read_to_string(folder().join("toner.still")).unwrap();
    let brought = beside(&table, &own_shelf(&folder(), &["materials.still"]));
    assert!(brought.text.contains("use \"materials.still\"\nuse shelf/all\n"), "{}", brought.text);
    let (made, errors) = lines(&folder(), &brought.text);
    assert_eq!(made, lines(&folder(), &by_hand).0, "{}", brought.text);
    assert!(errors.iter().all(|code| ["batch-size-missing", "no-preservative"].contains(code)), "{errors:?}");
    let said = by_hand.lines().next().unwrap().rsplit(": ").next().unwrap();
    let unsure: Vec<String> = brought.unsure.iter().map(|unsure| unsure.line.to_string()).collect();
    assert_eq!(unsure.join(", "), said, "{:#?}", brought.unsure);
    // Without them the shelf is asked alone, and her file is not used.
    let alone = beside(&table, &OwnShelf::default());
    assert!(!alone.text.contains("materials.still") && alone.text.contains("    glycerin "), "{}", alone.text);
}

#[test]
fn a_file_of_hers_that_is_not_needed_is_not_used() {
    let brought = beside("Material;%\nUrea;60\nBeeswax;40\n", &own_shelf(&folder(), &["materials.still"]));
    assert!(!brought.text.contains("materials.still"), "{}", brought.text);
    // A name of hers is not given away again.
    let named = Wishes { name: "sour drops".into(), ..Wishes::default() };
    let brought = bring_beside(b"Material;%\nGlycerin;100\n", &named, &own_shelf(&folder(), &["materials.still"]));
    assert!(brought.text.contains("formula sour-drops-formula {"), "{}", brought.text);
}

#[test]
fn files_that_cannot_stand_side_by_side_are_not_used_together() {
    let dir = tempfile::tempdir().unwrap();
    let block = |name: &str| {
        format!(
            "use shelf/all\nmaterial {name} {{\n  name \"Oil of the mill\"\n  contains olea-europaea-fruit-oil 100 %\n}}\n"
        )
    };
    let files = [
        ("a.still", format!("{}formula old {{ }}\n", block("mill-oil"))),
        ("b.still", block("mill-oil")),
        ("c.still", block("glycerin")),
        ("d.still", "use shelf/all\nmaterial urea like urea {\n  price 9 EUR per 1 kg\n}\n".to_string()),
    ];
    for (name, text) in &files {
        fs::write(dir.path().join(name), text).unwrap();
    }
    let own = own_shelf(dir.path(), &["a.still", "b.still", "c.still", "d.still"]);
    let brought = beside("Material;%\nOil of the mill;60\nGlycerin;30\nUrea;10\n", &own);
    // What has materials alone goes before what has a formula; a refinement of the shelf's own is no second thing.
    assert!(brought.text.contains("use \"b.still\"\nuse \"d.still\"\nuse shelf/all\n"), "{}", brought.text);
    let passed_over: Vec<&String> = brought.told.iter().filter(|told| told.contains("passed over")).collect();
    assert_eq!(passed_over.len(), 2, "{:?}", brought.told);
    let (made, errors) = lines(dir.path(), &brought.text);
    let names: Vec<&str> = made.iter().map(|(_, name, _)| name.as_str()).collect();
    assert_eq!(names, ["mill-oil", "glycerin", "urea"]);
    assert!(!errors.contains(&"name-taken") && !errors.contains(&"name-unknown"), "{errors:?}");
}

#[test]
fn the_command_asks_the_folder_of_the_new_file() {
    let dir = tempfile::tempdir().unwrap();
    fs::create_dir(dir.path().join("stores")).unwrap();
    fs::copy(folder().join("materials.still"), dir.path().join("stores/materials.still")).unwrap();
    fs::copy(folder().join("toner.csv"), dir.path().join("toner.csv")).unwrap();
    let stillroom = || {
        let mut command = Command::cargo_bin("stillroom").unwrap();
        command.current_dir(dir.path());
        command
    };
    stillroom().args(["new", "toner", "--from", "toner.csv"]).assert().success();
    let text = fs::read_to_string(dir.path().join("toner.still")).unwrap();
    assert!(text.contains("use \"stores/materials.still\"\n") && text.contains("    rain-water "), "{text}");
    assert_eq!(
        lines(dir.path(), &text).0,
        lines(&folder(), &fs::read_to_string(folder().join("toner.still")).unwrap()).0
    );
}
