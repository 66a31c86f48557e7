//! After a rename everything means what it did; a name that would change that is refused.

use crate::known::{InMemory, all_examples, file, names, offset, report, texts};
use std::collections::BTreeMap;
use std::path::PathBuf;
use stillroom::diagnostic::{Diagnostic, FileId};
use stillroom::editor::occurrences::Names;
use stillroom::editor::rename::{Edit, prepare, rename, says_the_same};
use stillroom::editor::surveys::Surveys;
use stillroom::session::{Session, check_without_forecast};
use stillroom::sheet::BatchOrder;
use stillroom::syntax::survey::MarkKind;
use stillroom::workspace::Sources;

fn written(sources: &Sources, edits: &[Edit]) -> BTreeMap<PathBuf, String> {
    let mut texts: BTreeMap<FileId, String> =
        sources.files.iter().map(|source| (source.id, source.text.clone())).collect();
    for edit in edits.iter().rev() {
        texts.get_mut(&edit.place.file).unwrap().replace_range(edit.place.span.range(), &edit.text);
    }
    texts.into_iter().map(|(file, text)| (sources.home(file).unwrap().absolute.clone(), text)).collect()
}

fn checked_after(sources: &Sources, edits: &[Edit]) -> Session<'static> {
    let paths: Vec<PathBuf> = sources.files.iter().map(|source| source.absolute.clone()).collect();
    Session::open(InMemory(written(sources, edits)), &paths, None)
}

fn declarations(names: &Names<'_>) -> Vec<(FileId, u32, String)> {
    let mut found = Vec::new();
    for source in &names.sources.files {
        let survey = names.survey(source.id);
        for mark in &survey.marks {
            if let MarkKind::Name(role) = mark.kind
                && role.declares()
            {
                found.push((source.id, mark.span.start, mark.span.of(&source.text).to_string()));
            }
        }
    }
    found
}

fn told(faults: &[Diagnostic], old: &str, new: &str) -> Vec<String> {
    // Names in messages follow the rename; where names are sorted, so does the order.
    let letters = |text: String| {
        let mut words: Vec<String> = text.split_whitespace().map(str::to_string).collect();
        words.sort();
        words.join(" ")
    };
    let mut all: Vec<String> = faults
        .iter()
        .map(|fault| letters(format!("{} {}", fault.code.entry().name, fault.message.replace(new, old))))
        .collect();
    all.sort();
    all
}

#[test]
fn after_a_rename_of_anything_in_the_examples_the_check_says_the_same() {
    // Before and after in memory, so that both are seen from the same folder.
    let session = checked_after(all_examples().sources(), &[]);
    let (before, surveys) = (report(&session), Surveys::default());
    let names = names(&session, &before, &surveys);
    let mut done = 0;
    for (file, at, old) in declarations(&names) {
        let new = "zz-renamed";
        let edits = match rename(&names, file, at, new) {
            Ok(edits) => edits,
            Err(refusal) => panic!("{old}: {refusal}"),
        };
        assert!(!edits.is_empty(), "{old}");
        let after = checked_after(session.sources(), &edits);
        // What is foreseen takes long, and rests on names no otherwise than the rest: some of it is enough.
        let (before, report) = match done % 20 {
            0 => (before.diagnostics.clone(), report(&after).diagnostics.to_vec()),
            _ => (
                check_without_forecast(session.sources(), &BatchOrder::default()).diagnostics.to_vec(),
                check_without_forecast(after.sources(), &BatchOrder::default()).diagnostics.to_vec(),
            ),
        };
        let place = session.sources().path(file);
        says_the_same((session.sources(), &before), (after.sources(), &report))
            .unwrap_or_else(|refusal| panic!("{place}: {old}: {refusal}"));
        assert_eq!(told(&before, &old, new), told(&report, &old, new), "{place}: {old}");
        done += 1;
    }
    assert!(done > 50, "{done}");
}

const ROOM: &str = "use shelf/all
let dose = 2 %
material our-water like water { note \"from the tap\" }
material silk { role powder }
substance silk { inci \"Silk\" neutral }
formula gel {
  let own = 1 %
  phase A { our-water q.s.
    silk own
    glycerin dose }
  phase B { betaine 1 % }
}
";

#[test]
fn what_is_no_name_or_taken_is_refused_with_a_sentence() {
    let session = texts(&[("a.still", ROOM), ("b.still", "use \"a.still\"\nlet other = 1 %\n")]);
    let (report, surveys) = (report(&session), Surveys::default());
    let names = names(&session, &report, &surveys);
    let sources = session.sources();
    let a = file(sources, "a.still");
    let refused = |words: &str, nth: usize, new: &str| {
        rename(&names, a, offset(sources, a, words, nth), new).expect_err(&format!("{words} to {new}"))
    };
    for (new, why) in [
        ("Our-Water", "is no name"),
        ("our water", "has no blanks"),
        ("", "is no name"),
        ("heat", "opens a statement"),
        ("to", "carries a statement on"),
        ("gel", "it is a formula here, declared in `a.still`, line 6"),
        ("glycerin", "a material of the shelf"),
        ("other", "it is a figure here, declared in `b.still`, line 2"),
        ("own", "a figure of a formula"),
        ("a\n}", "has no blanks"),
        (&"a".repeat(101), "at most 100"),
    ] {
        let told = refused("our-water", 0, new);
        assert!(told.contains(why), "{new:?}: {told}");
    }
    assert!(refused("own", 0, "dose").contains("a figure here"));
    assert!(refused("A {", 0, "B").contains("a phase here"));
    assert!(refused("glycerin", 0, "sweet").contains("the shelf's"));
    assert!(prepare(&names, a, offset(sources, a, "glycerin", 0)).unwrap_err().contains("the shelf's"));
    assert!(prepare(&names, a, offset(sources, a, "2 %", 0)).unwrap_err().contains("no name here"));
    assert_eq!(prepare(&names, a, offset(sources, a, "dose", 0) + 2).unwrap().1, "dose");
    assert!(rename(&names, a, offset(sources, a, "A {", 0), "C2").is_ok());
}

#[test]
fn a_material_renamed_keeps_the_substance_it_has_by_its_name() {
    let session = texts(&[("a.still", ROOM)]);
    let (before, surveys) = (report(&session), Surveys::default());
    let names = names(&session, &before, &surveys);
    let a = file(session.sources(), "a.still");
    for (nth, expected) in [
        (0, "material velvet {\n  contains  silk 100 % role powder"),
        (1, "material silk {\n  contains  velvet 100 % role powder"),
    ] {
        let edits = rename(&names, a, offset(session.sources(), a, "silk", nth), "velvet").unwrap();
        let text = written(session.sources(), &edits).into_values().next().unwrap();
        assert!(text.contains(expected), "{text}");
    }
}

#[test]
fn a_rename_past_a_broken_statement_is_refused() {
    let session = texts(&[("a.still", "let dose = 2 %\nformula f { phase A { water dose dose } }\n")]);
    let (report, surveys) = (report(&session), Surveys::default());
    let names = names(&session, &report, &surveys);
    let a = file(session.sources(), "a.still");
    let told = rename(&names, a, 4, "share").unwrap_err();
    assert_eq!(told, "A statement with `dose` in it does not parse: `a.still`, line 2. Mend it first.");
}

const MADE: &str = "use shelf/all
material our-lactic { contains lactic-acid 80 % active, water remainder role ph-adjuster }
formula toner {
  version \"1\"
  product stock
  makes 100 g
  phase A {
    water q.s. hold back 5 %
    our-lactic 2 %
  }
  steps { \"Weigh {water first}; stir in {our-lactic}; top up with {water rest}.\" }
}
stock { bought our-lactic 1 kg on 2026-11-01 lot \"L1\" }
batch t-1 {
  formula toner version \"1\"
  size 100 g
  plan {
    phase A
    water 98 % q.s. hold back 5 %
    our-lactic 2 % 2 %
    step \"Weigh {water first}; stir in {our-lactic}; {{our-lactic} is a word.\"
    contains our-lactic lactic-acid 80 % active, water 20 %
    digest \"sha256:0123\"
  }
  lot our-lactic \"L1\"
  weighed our-lactic 2 g
  struck added our-lactic 3 g because \"our-lactic was typed twice\"
}
";

#[test]
fn a_record_is_renamed_whole_and_keeps_its_digest_and_its_texts() {
    let session = texts(&[("a.still", MADE)]);
    let (before, surveys) = (report(&session), Surveys::default());
    let names = names(&session, &before, &surveys);
    let a = file(session.sources(), "a.still");
    // From the step of the plan too: it is the same name.
    for words in ["our-lactic {", "our-lactic}; {{our"] {
        let edits = rename(&names, a, offset(session.sources(), a, words, 0), "my-acid").unwrap();
        let text = written(session.sources(), &edits).into_values().next().unwrap();
        // What is left is text: after `{{`, and between the quotation marks of a reason.
        let left: Vec<&str> = text.lines().filter(|line| line.contains("our-lactic")).map(str::trim).collect();
        assert_eq!(
            left,
            [
                "step \"Weigh {water first}; stir in {my-acid}; {{our-lactic} is a word.\"",
                "struck added my-acid 3 g because \"our-lactic was typed twice\""
            ]
        );
        assert_eq!(text.matches("my-acid").count(), 10, "{text}");
        assert!(text.contains("digest \"sha256:0123\""));
        let after = report(&checked_after(session.sources(), &edits)).diagnostics;
        assert_eq!(told(&before.diagnostics, "our-lactic", "my-acid"), told(&after, "our-lactic", "my-acid"));
    }
}
