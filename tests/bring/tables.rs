//! Thirty-two tables of all shapes, each beside the formula that was written by hand from it: every line's phase,
//! material and exact percentage are the same, and what may be otherwise is said, and nothing else is.

use std::fs;
use std::path::{Path, PathBuf};
use stillroom::bring::{Wishes, bring};
use stillroom::diagnostic::Level;
use stillroom::model::{Formula, Line};
use stillroom::session::{Report, check};
use stillroom::sheet::BatchOrder;
use stillroom::workspace::{Disk, load};

fn folder() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/bring/tables")
}

/// The tables, each with what was written by hand from it.
pub fn tables() -> Vec<(String, Vec<u8>, String)> {
    let mut paths: Vec<PathBuf> = fs::read_dir(folder()).unwrap().map(|entry| entry.unwrap().path()).collect();
    paths.sort();
    let tables = paths.into_iter().filter(|path| path.extension().is_some_and(|ending| ending != "still"));
    tables
        .map(|path| {
            let by_hand = fs::read_to_string(path.with_extension("still")).unwrap();
            (path.file_stem().unwrap().to_string_lossy().into_owned(), fs::read(path).unwrap(), by_hand)
        })
        .collect()
}

/// Asks a question of what the checks find in a text.
pub fn checked<T>(text: &str, ask: impl FnOnce(&Report<'_>) -> T) -> T {
    let loaded = load(&Disk, &[], Some((PathBuf::from("."), text.as_bytes().to_vec())));
    ask(&check(&loaded.sources, &BatchOrder::default(), true))
}

/// Each line: its phase, its material, its exact percentage; what is written, where an error keeps it from having one.
fn lines(text: &str) -> Vec<(String, String, String)> {
    checked(text, |report| lines_of(&report.formulas[0].formula))
}

pub fn lines_of(formula: &Formula) -> Vec<(String, String, String)> {
    let phase = |number: usize| formula.phases[number].name.to_string();
    let percent = |line: &Line| line.percent.as_ref().map_or(line.written.to_string(), |it| it.to_fraction());
    formula.lines.iter().map(|line| (phase(line.phase), line.name.to_string(), percent(line))).collect()
}

#[test]
fn every_table_is_the_formula_written_by_hand() {
    let tables = tables();
    assert!(tables.len() >= 20);
    for (name, bytes, by_hand) in tables {
        let brought = bring(&bytes, &Wishes { name: name.clone(), ..Wishes::default() });
        assert_eq!(lines(&brought.text), lines(&by_hand), "{name}");
        let said = by_hand.lines().next().unwrap().rsplit(": ").next().unwrap();
        let unsure: Vec<String> = brought.unsure.iter().map(|unsure| unsure.line.to_string()).collect();
        let unsure = if unsure.is_empty() { "none".to_string() } else { unsure.join(", ") };
        assert_eq!(unsure, said, "{name}: {:#?}", brought.unsure);
    }
}

#[test]
fn what_is_not_sure_is_marked_beside_its_line() {
    for (name, bytes, _) in tables() {
        let brought = bring(&bytes, &Wishes { name: name.clone(), ..Wishes::default() });
        let marks = brought.text.lines().filter(|line| line.contains("Not sure:")).count();
        assert!(marks >= brought.unsure.len(), "{name}");
    }
}

/// The temperature of a heading is the heat of its phase.
#[test]
fn a_heading_with_a_temperature_begins_a_phase() {
    let headings = [
        ("Phase B - cool below 40", "phase B {", "cool to 40 °C", true),
        ("Wirkstoffe (unter 40 °C)", "phase B \"Wirkstoffe\" {", "cool to 40 °C", false),
        ("Cool-down phase, below 104 °F", "phase B \"Cool-down phase\" {", "cool to 40 °C", false),
        ("Heat to 75 °C", "phase B {", "heat to 75 °C", false),
        ("Heat to 70-75 °C", "phase B {", "heat to 75 °C", true),
        ("Oil phase, 70 °C to 75 °C", "phase B \"Oil phase\" {", "heat to 70 °C", true),
        ("Phase C (75 °C)", "phase C {", "heat to 75 °C", true),
    ];
    for (heading, opens, heat, unsure) in headings {
        let note = format!("Phase A\nWater 90 %\n{heading}\nPanthenol 10 %\n");
        let brought = bring(note.as_bytes(), &Wishes { name: "made".into(), ..Wishes::default() });
        let plain = brought.text.split_whitespace().collect::<Vec<_>>().join(" ");
        let phase = plain.split(opens).nth(1).unwrap_or_else(|| panic!("{heading}: {}", brought.text));
        assert!(phase.contains(heat) && phase.contains("panthenol 10 %"), "{heading}: {}", brought.text);
        assert_eq!(brought.unsure.iter().any(|unsure| unsure.line == 3), unsure, "{heading}: {:?}", brought.unsure);
    }
}

/// What a formula lacks may be an error of it; that it does not parse, or names what nothing declares, may not.
#[test]
fn every_text_parses_and_names_nothing_unknown() {
    for (name, bytes, _) in tables() {
        let brought = bring(&bytes, &Wishes { name: name.clone(), ..Wishes::default() });
        let codes: Vec<&str> = checked(&brought.text, |report| {
            let errors = report.diagnostics.iter().filter(|told| told.level == Level::Error);
            errors.map(|told| told.code.entry().name).collect()
        });
        let bears = ["amount-zero", "batch-size-missing", "total-under-100", "no-preservative"];
        assert!(codes.iter().all(|code| bears.contains(code)), "{name}: {codes:?}");
        assert_eq!(stillroom::syntax::format(&brought.text), brought.text, "{name}");
    }
}

/// Every cell stands in the text, in whatever case.
#[test]
fn nothing_of_a_table_is_dropped() {
    for (name, bytes, _) in tables() {
        let brought = bring(&bytes, &Wishes { name: name.clone(), ..Wishes::default() });
        let text = brought.text.to_lowercase().replace(" %", "%");
        let table = match bytes.as_slice() {
            [0xff, 0xfe, rest @ ..] => {
                let units: Vec<u16> = rest.chunks(2).map(|pair| u16::from_le_bytes([pair[0], pair[1]])).collect();
                String::from_utf16(&units).unwrap()
            }
            bytes if std::str::from_utf8(bytes).is_err() => bytes.iter().map(|byte| char::from(*byte)).collect(),
            bytes => String::from_utf8(bytes.to_vec()).unwrap(),
        };
        // The one sign of the old encoding in these tables that does not have its own number.
        let table = table.replace('\u{80}', "€").replace(['\u{feff}', '"', '*'], "").replace(" %", "%");
        for word in table.split(|c: char| c.is_whitespace() || matches!(c, ';' | '|' | '\t' | ',' | ':')) {
            let is_rule = word.chars().all(|c| matches!(c, '-' | ':' | '.' | '#'));
            assert!(is_rule || text.contains(&word.to_lowercase()), "{name}: {word:?} is not in\n{text}");
        }
    }
}
