//! What is shown of what the cursor rests on.

use crate::known::{file, names, offset, report, texts};
use stillroom::diagnostic::CATALOGUE;
use stillroom::editor::hover::{Asked, hover};
use stillroom::editor::signature::signature;
use stillroom::editor::surveys::Surveys;
use stillroom::editor::{hierarchy, outline};
use stillroom::sheet::BatchOrder;
use stillroom::syntax::fields::TABLES;
use stillroom::syntax::vocabulary::Role;

const ROOM: &str = "use shelf/all
let dose = 2 %
material lactic-80 {
  name \"Lactic acid <b>80 %</b>\"
  contains lactic-acid 80 % active, water remainder
  role exfoliant
  use up to 10 %
  works in pH 3 to 5
  source \"our own [data](x) sheet\"
}
formula base { product stock
  makes 100 g
  phase A { glycerin 30 %
    water q.s. }
}
formula gel {
  title \"A *gel*\"
  version \"1\"
  makes 30 g
  scale 0.01 g
  pH 3.6 to 4.0
  phase A \"Water\" {
    heat to 40 °C
    water q.s. hold back 10 %
    lactic-80 4 % active
    base (dose / 3)
    propanediol 3 % allow below-scale because \"small\"
  }
}
";

fn shown(words: &str, nth: usize) -> String {
    let session = texts(&[("a.still", ROOM)]);
    let (report, surveys) = (report(&session), Surveys::default());
    let names = names(&session, &report, &surveys);
    let order = BatchOrder::default();
    let asked = Asked { names: &names, report: &report, order: &order };
    let a = file(session.sources(), "a.still");
    hover(&asked, a, offset(session.sources(), a, words, nth)).map(|found| found.markdown).unwrap_or_default()
}

fn says(words: &str, nth: usize, wanted: &[&str]) {
    let markdown = shown(words, nth);
    for part in wanted {
        assert!(markdown.contains(part), "{words}: no {part:?} in\n{markdown}");
    }
}

#[test]
fn a_line_has_its_figures_and_its_material_its_facts() {
    // 4 % of the active at 80 % are 5 %; of 30 g that is 1.50 g.
    says("lactic-80", 1, &["In `gel`", "5 % as supplied", "4 % of `lactic-acid`", "1.50 g in a batch of 30.00 g"]);
    says(
        "lactic-80",
        1,
        &["contains: lactic-acid 80 % (its active), water for the rest", "use: up to 10 %", "works in: pH 3 to 5"],
    );
    // 2 % / 3 is no decimal, and is told exactly too.
    says("base", 1, &["0.6666666667 % (exactly 2/3 %) as supplied", "a formula", "Batch of 100.00 g"]);
    says("water q.s.", 1, &["first, 3.00 g held back", "of the shelf"]);
    says("dose / 3", 0, &["let dose = 2 %", "= 2 %"]);
    says("4 % active", 0, &["5 % as supplied"]);
}

#[test]
fn what_a_maker_wrote_is_text() {
    let markdown = shown("lactic-80", 1);
    assert!(markdown.contains("\\<b>80 %\\</b>"), "{markdown}");
    assert!(markdown.contains("\\[data]"), "{markdown}");
    assert!(shown("gel {", 0).contains("A \\*gel\\*"), "{}", shown("gel {", 0));
}

#[test]
fn words_units_roles_and_codes_say_what_they_mean() {
    says("exfoliant", 0, &["Loosens dead skin."]);
    says("stock", 0, &["A premix or solution for the bench, not for skin."]);
    says("makes", 0, &["makes"]);
    says("hold back", 0, &["hold back AMOUNT", "reserve-missing"]);
    says("active\n    base", 0, &["The percentage of the material's active"]);
    says("heat to", 0, &["heat to T"]);
    says("% active, water", 0, &["a percentage"]);
    says("g\n  scale", 0, &["a weight"]);
    says("°C", 0, &["a temperature"]);
    says("below-scale", 0, &["# below-scale", "## At the bench", "may be allowed with a reason"]);
    says("shelf/all", 0, &["of the shelf"]);
    let opener = |words: &str| shown(words, 0);
    assert!(opener("works in pH 3").contains("works in pH RANGE"));
}

#[test]
fn a_word_of_the_language_is_told_of_in_a_sentence_that_stands_by_itself() {
    says("makes", 0, &["How much one batch makes", "`makes 500 g`"]);
    says("scale", 0, &["A scale that is at hand", "`scale 0.01 g up to 600 g`"]);
    let text = "use shelf/rules-uk\nuse shelf/all\nformula f {\n  pH 4 to 5\n  phase A {\n    water q.s. because \"thin\"\n  }\n  \
                steps { \"Bring {water} to {pH}.\" }\n}\nbatch b {\n  plan {\n    pH 4 to 5\n    water 100 % q.s.\n    \
                step \"Bring {water} to {pH}.\"\n  }\n}\n";
    let session = texts(&[("a.still", text)]);
    let (report, surveys) = (report(&session), Surveys::default());
    let names = names(&session, &report, &surveys);
    let order = BatchOrder::default();
    let asked = Asked { names: &names, report: &report, order: &order };
    let a = file(session.sources(), "a.still");
    let at = |words: &str, nth: usize| {
        let found = hover(&asked, a, offset(session.sources(), a, words, nth));
        found.unwrap_or_else(|| panic!("nothing at {words}")).markdown
    };
    assert!(at("because", 0).contains("Why the line is as it is"), "{}", at("because", 0));
    for nth in 0..2 {
        assert!(at("pH}", nth).contains("The pH window of the formula"), "{}", at("pH}", nth));
        assert!(at("water} to", nth).contains("`water`"), "{}", at("water} to", nth));
    }
    assert!(at("step \"", 0).contains("in the order of the bench"), "{}", at("step \"", 0));
    // What the shelf says of its files are whole sentences.
    assert!(at("rules-uk", 0).contains("each with the British instrument or entry."), "{}", at("rules-uk", 0));
    for file in stillroom::lookup::files() {
        assert!(file.about.ends_with('.'), "{}: {}", file.name, file.about);
    }
}

#[test]
fn a_fault_leads_to_its_page() {
    let session = texts(&[("a.still", "formula f {\n  makes 10 g\n  phase A {\n    nowhere 3 %\n  }\n}\n")]);
    let (report, surveys) = (report(&session), Surveys::default());
    let names = names(&session, &report, &surveys);
    let order = BatchOrder::default();
    let asked = Asked { names: &names, report: &report, order: &order };
    let a = file(session.sources(), "a.still");
    let found = hover(&asked, a, offset(session.sources(), a, "nowhere", 0)).unwrap();
    assert!(found.markdown.contains("# name-unknown"), "{}", found.markdown);
    assert!(found.markdown.contains("`stillroom explain name-unknown`"), "{}", found.markdown);
    assert!(CATALOGUE.len() > 50 && TABLES.len() > 10 && !Role::WORDS.is_empty());
}

#[test]
fn a_block_shows_its_fields_with_those_that_are_written() {
    let session = texts(&[("a.still", ROOM)]);
    let (report, surveys) = (report(&session), Surveys::default());
    let names = names(&session, &report, &surveys);
    let a = file(session.sources(), "a.still");
    let at = |words: &str| signature(&names, a, offset(session.sources(), a, words, 0)).unwrap();
    let material = at("works in pH 3");
    assert!(material.label.starts_with("material lactic-80 {"), "{}", material.label);
    let field = |name: &str| {
        let found = material.fields.iter().find(|field| &material.label[field.from..field.to] == name);
        found.unwrap_or_else(|| panic!("{name}"))
    };
    assert!(field("contains").written && field("works").written && !field("keeps").written);
    assert!(field("keeps").about.contains("keeps TIME"));
    assert_eq!(material.active.map(|active| &material.fields[active]), Some(field("works")));
    assert!(at("title").fields.len() > 20);
}

#[test]
fn premixes_lead_to_what_they_go_into_and_back() {
    let session = texts(&[("a.still", ROOM)]);
    let (report, surveys) = (report(&session), Surveys::default());
    let names = names(&session, &report, &surveys);
    let a = file(session.sources(), "a.still");
    let base = hierarchy::prepare(&names, a, offset(session.sources(), a, "base (dose", 0)).unwrap();
    assert_eq!(base.name, "base");
    let into: Vec<String> = hierarchy::used_by(&names, base.id).into_iter().map(|(maker, _)| maker.name).collect();
    assert_eq!(into, ["gel"]);
    let gel = hierarchy::prepare(&names, a, offset(session.sources(), a, "title", 0)).unwrap();
    let of: Vec<(String, usize)> =
        hierarchy::uses(&names, gel.id).into_iter().map(|(maker, spans)| (maker.name, spans.len())).collect();
    assert_eq!(of, [("base".to_string(), 1)]);
}

#[test]
fn a_text_has_its_shape() {
    let session = texts(&[("a.still", ROOM)]);
    let (report, surveys) = (report(&session), Surveys::default());
    let names = names(&session, &report, &surveys);
    let a = file(session.sources(), "a.still");
    let symbols = outline::symbols(&names, a);
    let top: Vec<&str> = symbols.iter().map(|symbol| symbol.name.as_str()).collect();
    assert_eq!(top, ["dose", "lactic-80", "base", "gel"]);
    let phase = &symbols[3].parts[0];
    assert_eq!((phase.name.as_str(), phase.detail.as_str()), ("A", "\"Water\""));
    let lines: Vec<&str> = phase.parts.iter().map(|line| line.name.as_str()).collect();
    assert_eq!(lines, ["water", "lactic-80", "base", "propanediol"]);
    assert_eq!(phase.parts[1].detail, "4 % active");
    let folds = outline::folds(&names, a);
    assert!(folds.iter().any(|fold| fold.first == 2 && fold.last == 8), "{folds:?}");
    let around = outline::selections(&names, a, offset(session.sources(), a, "80 % active", 0));
    let text: Vec<&str> = around.iter().map(|span| span.of(session.sources().text(a))).collect();
    assert_eq!(text[0], "80");
    assert!(text.contains(&"80 %") && text.contains(&"lactic-acid 80 % active"), "{text:?}");
    assert!(text.contains(&"contains lactic-acid 80 % active, water remainder"));
    assert_eq!(text.last().unwrap(), &ROOM);
}
