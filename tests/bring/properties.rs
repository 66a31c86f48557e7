//! Of any bytes: no panic, a text that parses, and every cell in it.

use proptest::prelude::*;
use stillroom::bring::{Brought, Figures, Wishes, bring};
use stillroom::diagnostic::FileId;

fn wishes() -> impl Strategy<Value = Wishes> {
    let figures = prop_oneof![Just(None), Just(Some(Figures::Percent)), Just(Some(Figures::Grams))];
    (".{0,12}", any::<bool>(), figures).prop_map(|(name, rest, figures)| Wishes { name, rest, figures })
}

/// Cells as they come, and as they come in tables.
fn cell() -> impl Strategy<Value = String> {
    const WORDS: &[&str] = &[
        "Water", "Glycerin", "q.s.", "ad 100", "2,5 %", "1.000,5", "5 g", "Phase A", "A", "%", "Total", "INCI",
        "3 drops", "<0.1", "2-3", "75 °C", "pH 5-6", "#", "\"", "\\", "{", "}",
    ];
    prop_oneof![prop::sample::select(WORDS).prop_map(String::from), "[ -~]{0,14}", "\\PC{0,8}", "[0-9.,]{1,6}"]
}

fn parses(made: &Brought) -> Result<(), TestCaseError> {
    let faults = stillroom::syntax::parse(FileId(0), &made.text).faults;
    prop_assert!(faults.is_empty(), "{faults:?}\n{}", made.text);
    Ok(())
}

/// A cell as it may stand in the text: its blanks made one, in small letters.
fn plain(cell: &str) -> String {
    cell.split_whitespace().collect::<Vec<_>>().join(" ").to_lowercase().replace(" %", "%")
}

/// A table of such rows, every cell between quotation marks: each of them is in the text, which parses.
fn holds_every_cell<C: AsRef<str>>(rows: &[Vec<C>], mark: u8) -> Result<(), TestCaseError> {
    let mut writer = csv::WriterBuilder::new();
    let mut writer = writer.delimiter(mark).quote_style(csv::QuoteStyle::Always).from_writer(Vec::new());
    for row in rows {
        writer.write_record(row.iter().map(AsRef::as_ref)).unwrap();
    }
    let bytes = writer.into_inner().unwrap();
    let made = bring(&bytes, &Wishes { name: "made".into(), ..Wishes::default() });
    let text = plain(&made.text);
    for cell in rows.iter().flatten().map(AsRef::as_ref) {
        let hidden = |c: char| made.text.contains("<U+") && !c.is_ascii() || c.is_control();
        if !cell.contains(hidden) {
            prop_assert!(text.contains(&plain(cell)), "{cell:?} is not in\n{}", made.text);
        }
    }
    parses(&made)
}

/// What was once dropped.
#[test]
fn no_cell_is_dropped_that_says_nothing_of_its_own() {
    let tables: &[&[&[&str]]] = &[
        // In the column of phases, and the name of none.
        &[&["Water", ".,", "q.s."]],
        &[&[",.", "Water", "q.s."]],
        &[&["Phase", "Material", "%"], &["75 °C", "Water", "95"], &["(-)", "Glycerin", "5"]],
    ];
    for table in tables {
        let rows: Vec<Vec<&str>> = table.iter().map(|row| row.to_vec()).collect();
        holds_every_cell(&rows, b';').unwrap();
        holds_every_cell(&rows, b'\t').unwrap();
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(32))]

    #[test]
    fn any_bytes_give_a_text_that_parses(bytes in prop::collection::vec(any::<u8>(), 0..400), wishes in wishes()) {
        parses(&bring(&bytes, &wishes))?;
    }

    #[test]
    fn any_lines_give_a_text_that_parses(lines in prop::collection::vec(prop::collection::vec(cell(), 1..5), 0..9), mark in "[ ,;\t|]", wishes in wishes()) {
        let table: Vec<String> = lines.iter().map(|cells| cells.join(&mark)).collect();
        parses(&bring(table.join("\n").as_bytes(), &wishes))?;
    }

    #[test]
    fn every_cell_of_a_table_is_in_the_text(rows in prop::collection::vec(prop::collection::vec(cell(), 3), 1..9), semicolon in any::<bool>()) {
        holds_every_cell(&rows, if semicolon { b';' } else { b'\t' })?;
    }
}
