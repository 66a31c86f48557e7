//! The reference labels: what each file's declaration is to be in each market, worked out outside this project in exact
//! fractions. Source: the project's reference labels (`tests/data/labels`: a file for each case, and `expected.json`, in
//! which `why` says what the case is about).

#![allow(clippy::disallowed_methods, reason = "tests read files of their own")]

use serde_json::Value;
use std::fs;
use std::path::{Path, PathBuf};
use stillroom::label::{Declaration, Entry, Jar, Part, declaration};
use stillroom::quantity::{Exact, Interval};
use stillroom::session::check;
use stillroom::sheet::BatchOrder;
use stillroom::syntax::vocabulary::Market;
use stillroom::workspace::{Disk, Loaded, load};

fn folder() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/data/labels")
}

/// What is in a text declared: by what it is named, in the session.
fn declared_from(
    loaded: &Loaded,
    (formula, batch): (&str, Option<&str>),
    market: Market,
    day: &str,
    may_be_blocked: bool,
) -> Declaration {
    let report = check(&loaded.sources, &BatchOrder::default(), false);
    let names = &report.resolver;
    let Some(batch) = batch else {
        let found = report.formulas.iter().find(|report| report.formula.name == formula).expect("the formula");
        assert!(may_be_blocked || !found.is_blocked(), "{:#?}", found.diagnostics);
        let Some(jar) = Jar::of_formula(&found.formula) else { panic!("{:#?}", found.diagnostics) };
        return declaration(names, &jar, market, day);
    };
    let source = loaded.sources.files.iter().find(|source| source.named).unwrap();
    let records = names.batches_of(source);
    let record = records.iter().find(|record| record.name == batch).expect("the record");
    let (jar, setting) = Jar::of_batch(names, record).expect("what is in it");
    declaration(setting.resolver(names), &jar, market, day)
}

fn loaded<T>(text: &str, look: impl FnOnce(&Loaded) -> T) -> T {
    let folder = crate::common::folder(&[("formula.still", text.as_bytes())]);
    look(&folder.load())
}

/// The declaration of the formula `f` of a text that no error bears on.
pub fn declared_in(text: &str, market: Market, day: &str) -> Declaration {
    loaded(text, |loaded| declared_from(loaded, ("f", None), market, day, false))
}

/// The declaration of the formula `f` of a text, whatever checks say of it.
pub fn declared_anyway(text: &str, market: Market, day: &str) -> Declaration {
    loaded(text, |loaded| declared_from(loaded, ("f", None), market, day, true))
}

/// The declaration of the batch `b` of a text.
pub fn declared_of_batch(text: &str, market: Market, day: &str) -> Declaration {
    loaded(text, |loaded| declared_from(loaded, ("f", Some("b")), market, day, true))
}

fn cases() -> Vec<Value> {
    let text = fs::read_to_string(folder().join("expected.json")).unwrap();
    let Value::Array(cases) = serde_json::from_str(&text).unwrap() else { panic!("a list") };
    cases
}

fn text<'v>(of: &'v Value, key: &str) -> Option<&'v str> {
    of.get(key).and_then(Value::as_str)
}

fn texts(of: &Value) -> Vec<String> {
    of.as_array().unwrap().iter().map(|text| text.as_str().unwrap().to_string()).collect()
}

/// An entry as the reference has it.
fn entry_of(entry: &Entry) -> Value {
    serde_json::json!({
        "name": entry.name,
        "part": entry.part.word(),
        "percent_low": entry.share.low.to_fraction(),
        "percent_high": entry.share.high.to_fraction(),
        "sure": entry.sure,
    })
}

#[test]
fn every_reference_label_is_declared_to_the_letter() {
    let mut looked_at = 0;
    for case in cases() {
        let Some(labels) = case.get("labels") else { continue };
        let name = text(&case, "case").unwrap();
        let file = folder().join(format!("{name}.still"));
        for (market, expected) in labels.as_object().unwrap() {
            let market = Market::from_word(market).unwrap();
            let (formula, day) = (text(&case, "formula").unwrap(), text(&case, "on").unwrap());
            let loaded = load(&Disk, std::slice::from_ref(&file), None);
            let found = declared_from(&loaded, (formula, text(&case, "batch")), market, day, true);
            let at = format!("{name}, {}: {}", market.word(), text(&case, "why").unwrap());
            // Where the order is not proven, the reference leaves the line itself open.
            if let Some(line) = text(expected, "text") {
                assert_eq!(found.text(), line, "{at}");
                let pairs: Vec<Vec<String>> = expected["unproven"].as_array().unwrap().iter().map(texts).collect();
                let unproven: Vec<Vec<String>> =
                    found.unproven.iter().map(|(first, then)| vec![first.clone(), then.clone()]).collect();
                assert_eq!(unproven, pairs, "{at}");
            }
            assert_eq!(found.is_proven(), text(expected, "order") == Some("proven"), "{at}");
            let entries: Vec<Value> = found.entries.iter().map(entry_of).collect();
            assert_eq!(&Value::Array(entries), &expected["entries"], "{at}");
            assert_eq!(found.named, texts(&expected["named"]), "{at}");
            assert_eq!(found.may_contain, texts(&expected["may_contain"]), "{at}");
            assert_eq!(found.nameless, texts(&expected["nameless"]), "{at}");
            assert_eq!(found.undisclosed, texts(&expected["undisclosed"]), "{at}");
            let notes: Vec<Value> = found
                .notes
                .iter()
                .map(|note| serde_json::json!({ "code": note.code.word(), "what": note.what }))
                .collect();
            assert_eq!(&Value::Array(notes), &expected["notes"], "{at}");
            if let Some(basis) = text(&case, "basis") {
                assert_eq!(found.basis.words(), basis, "{at}");
            }
            if let Some(caution) = text(&case, "caution") {
                let why = found.not_formed.as_ref().map(|why| format!("declare-as-formed cannot be followed: {why}"));
                assert_eq!(why.as_deref(), Some(caution), "{at}");
            }
            assert_adds_to_100(&found, &at);
            looked_at += 1;
        }
    }
    assert!(looked_at >= 40, "{looked_at} labels");
}

/// All entries but the allergens named out of a scent add to 100 %, or contain it.
pub fn assert_adds_to_100(found: &Declaration, at: &str) {
    let counted = found.entries.iter().filter(|entry| entry.part != Part::Allergen);
    let sum = counted.fold(Interval::zero(), |sum, entry| &sum + &entry.share);
    assert!(sum.low <= Exact::HUNDRED && Exact::HUNDRED <= sum.high, "{at}: {}", sum.percent_text());
}
