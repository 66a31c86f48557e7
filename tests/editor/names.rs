//! What each name means is what the resolver takes it for.

use crate::known::{all_examples, file, names, offset, report, texts};
use stillroom::diagnostic::{Code, FileId};
use stillroom::editor::navigate::{definition, highlights, references};
use stillroom::editor::surveys::Surveys;
use stillroom::syntax::Memo;
use stillroom::syntax::survey::{MarkKind, NameRole, Survey};

/// Names that stand for no declaration by design.
fn stands_for_nothing(role: NameRole, text: &str) -> bool {
    match role {
        NameRole::Solvent | NameRole::StepPart => true,
        NameRole::CountedAs => text == "acid",
        // A role or a charge.
        NameRole::KeptApart => true,
        _ => false,
    }
}

#[test]
fn every_name_of_every_example_is_known_where_the_check_knows_it() {
    let session = all_examples();
    let (report, surveys) = (report(&session), Surveys::default());
    let names = names(&session, &report, &surveys);
    let unknown = report.diagnostics.iter().filter(|fault| fault.code == Code::NameUnknown);
    let unknown: Vec<_> = unknown.map(|fault| fault.primary.place).collect();
    let mut known = 0;
    for source in &session.sources().files {
        let survey = names.survey(source.id);
        for (number, mark) in survey.marks.iter().enumerate() {
            let MarkKind::Name(role) = mark.kind else { continue };
            let text = mark.span.of(&source.text);
            let meanings = names.meanings(source.id, &survey, number);
            let told = unknown.iter().any(|place| place.file == source.id && place.span == mark.span);
            if meanings.is_empty() {
                assert!(stands_for_nothing(role, text) || told, "{}: {text} as {role:?}", source.path);
            } else {
                known += 1;
                assert!(!told, "{}: {text}", source.path);
                for meaning in &meanings {
                    let place = names.declared_at(meaning).unwrap_or_else(|| panic!("{text}: {meaning:?}"));
                    assert_eq!(session.sources().at(place), text, "{meaning:?}");
                }
            }
        }
    }
    assert!(known > 500, "{known}");
}

#[test]
fn every_name_of_the_shelf_is_known() {
    let session = texts(&[("a.still", "use shelf/all\n")]);
    let (report, surveys) = (report(&session), Surveys::default());
    let names = names(&session, &report, &surveys);
    let mut known = 0;
    for number in 0..u32::try_from(stillroom::shelf::FILES.len()).unwrap() {
        let file = FileId(number);
        let survey = names.survey(file);
        assert!(survey.statements.iter().all(|statement| statement.sound));
        for (number, mark) in survey.marks.iter().enumerate() {
            let MarkKind::Name(role) = mark.kind else { continue };
            let text = mark.span.of(session.sources().text(file));
            let meanings = names.meanings(file, &survey, number);
            known += usize::from(!meanings.is_empty());
            assert!(!meanings.is_empty() || stands_for_nothing(role, text), "{}: {text} as {role:?}", file.0);
        }
    }
    assert!(known > 3000, "{known}");
}

#[test]
fn marks_are_the_words_of_a_text_in_their_order() {
    let memo = Memo::default();
    let session = all_examples();
    for source in &session.sources().files {
        let survey = Survey::new(&source.text, &memo);
        let mut end = 0;
        for mark in &survey.marks {
            assert!(mark.span.start >= end && mark.span.end > mark.span.start, "{} {mark:?}", source.path);
            let between = &source.text[end as usize..mark.span.start as usize];
            let is_sign = |letter: char| letter.is_whitespace() || "{}(),=:".contains(letter);
            assert!(between.chars().all(is_sign), "{}: {between:?} before {mark:?}", source.path);
            end = mark.span.end;
        }
    }
}

const MATERIALS: &str = "use shelf/all
let dose = 2 %
material our-water like water { note \"from the tap\" }
group mild = glycerin, betaine
container jar { holds 30 mL }
";
const ROOM: &str = "use \"materials.still\"
formula stock-a {
  product stock
  makes 100 g
  phase A { glycerin 10 %
    our-water q.s. }
}
formula gel {
  let own = 1 %
  packed in jar
  phase A {
    our-water q.s.
    stock-a dose
    glycerin (own + dose)
  }
  steps { \"Stir {stock-a} into {our-water}; {{no}}.\" }
  ensure limit mild to 5 %
  ensure own + glycerin at most 9 %
}
variant thick of gel {
  let own = 2 %
  set glycerin 4 %
  phase A { add betaine own }
}
batch b-1 {
  formula gel
  weighed our-water 3 g
  struck weighed stock-a 1 g because \"slip\"
}
planned thick 100 g
stock { bought jar 5 on 2026-11-01
  counted our-water 1 kg on 2026-11-01 }
";

#[test]
fn a_name_leads_to_its_declaration_from_wherever_it_stands() {
    let session = texts(&[("materials.still", MATERIALS), ("room.still", ROOM)]);
    let (report, surveys) = (report(&session), Surveys::default());
    let names = names(&session, &report, &surveys);
    let sources = session.sources();
    let (home, room) = (file(sources, "materials.still"), file(sources, "room.still"));
    let leads = |words: &str, nth: usize| {
        let target = definition(&names, room, offset(sources, room, words, nth) + 1);
        let first = target.first().unwrap_or_else(|| panic!("{words} leads nowhere"));
        (first.name.file, first.name.span.start)
    };
    for nth in 0..5 {
        assert_eq!(leads("our-water", nth), (home, offset(sources, home, "our-water", 0)));
    }
    for nth in 0..4 {
        assert_eq!(leads("stock-a", nth), (room, offset(sources, room, "stock-a", 0)));
    }
    assert_eq!(leads("dose", 0), (home, offset(sources, home, "dose", 0)));
    assert_eq!(leads("jar", 1), (home, offset(sources, home, "jar", 0)));
    assert_eq!(leads("mild", 0), (home, offset(sources, home, "mild", 0)));
    // A figure of a variant takes the place of the base's, and is the same name.
    for nth in 0..5 {
        assert_eq!(leads("own", nth).1, offset(sources, room, "own", 0));
    }
    assert_eq!(leads("gel", 1), (room, offset(sources, room, "gel", 0)));
    assert_eq!(leads("thick", 1), (room, offset(sources, room, "thick", 0)));
    assert_eq!(leads("A { add", 0).1, offset(sources, room, "A {\n", 0));
    // The shelf's own file is opened.
    let (shelf, at) = leads("betaine", 0);
    assert!(sources.home(shelf).is_none());
    assert!(sources.text(shelf)[at as usize..].starts_with("betaine"));
    assert_eq!(leads("materials.still", 0), (home, 0));

    let of_water = references(&names, room, offset(sources, room, "our-water", 2), true);
    assert_eq!(of_water.len(), 6);
    assert_eq!(references(&names, home, offset(sources, home, "our-water", 0), false).len(), 5);
    let marked = highlights(&names, room, offset(sources, room, "own", 0));
    assert_eq!(marked.iter().map(|(_, declared)| *declared).collect::<Vec<_>>(), [true, false, false, true, false]);
}
