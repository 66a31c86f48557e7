//! What is proposed: what stood there is among it, and nothing of it is a fault of syntax.

use crate::known::{example_files, file, names, report, texts};
use stillroom::diagnostic::{Code, FileId};
use stillroom::editor::complete::{Proposal, ProposalKind, complete};
use stillroom::editor::occurrences::Names;
use stillroom::editor::surveys::Surveys;
use stillroom::resolve::Scopes;
use stillroom::session::Session;
use stillroom::syntax::survey::{Expectations, Mark, MarkKind, NameRole, Survey};
use stillroom::syntax::{Memo, parse};
use stillroom::workspace::Disk;

fn proposed(text: &str) -> Vec<Proposal> {
    let cursor = text.find('|').unwrap();
    let whole = text.replacen('|', "", 1);
    let session = texts(&[("a.still", &whole), ("b.still", "let shared = 1 %\n")]);
    let (report, surveys) = (report(&session), Surveys::default());
    let names = names(&session, &report, &surveys);
    let a = file(session.sources(), "a.still");
    complete(&names, &Expectations::default(), a, u32::try_from(cursor).unwrap())
}

fn labels(text: &str) -> Vec<String> {
    proposed(text).into_iter().map(|proposal| proposal.label).collect()
}

fn has(text: &str, wanted: &[&str], unwanted: &[&str]) {
    let labels = labels(text);
    for label in wanted {
        assert!(labels.iter().any(|found| found == label), "{text}\nlacks {label}: {labels:?}");
    }
    for label in unwanted {
        assert!(!labels.iter().any(|found| found == label), "{text}\nhas {label}");
    }
}

#[test]
fn what_stands_where_is_proposed_in_a_text_that_does_not_parse() {
    has("us|", &["use", "formula", "material", "let"], &["title", "glycerin"]);
    has("use shelf/|", &["shelf/acids", "shelf/all"], &["formula"]);
    has("use \"|", &["b.still"], &["a.still", "shelf/acids"]);
    has("use shelf/all\nformula f {\n  ti|\n}", &["title", "phase", "steps", "makes"], &["role", "heat"]);
    let open = "use shelf/all\nlet gum = 1 %\nformula f {\n  let own = 2 %\n  phase A {\n    water q.s.\n    ";
    has(&format!("{open}gly|"), &["glycerin", "water", "heat", "allow"], &["title", "gum", "hold"]);
    has(&format!("{open}glycerin |"), &["q.s."], &["glycerin", "because"]);
    has(&format!("{open}glycerin 3 |"), &["%", "g", "ppm", "parts"], &["glycerin"]);
    has(&format!("{open}glycerin 3 % |"), &["active", "of", "hold", "because", "allow"], &["heat", "phase"]);
    has(&format!("{open}glycerin (2 * |"), &["gum", "own", "water"], &["betaine", "heat"]);
    has(&format!("{open}glycerin 3 % allow |"), &["usage-over", "below-scale"], &["syntax", "glycerin"]);
    has(&format!("{open}glycerin 3 % of |"), &["glycerin", "citric-acid"], &["%"]);
    has(&format!("{open}glycerin 3 %\n  }}\n  steps {{\n    \"Stir {{gl|"), &["glycerin", "water", "pH"], &["betaine"]);
    has(&format!("{open}glycerin 3 %\n  }}\n  steps {{\n    \"Stir {{water |"), &["first", "rest"], &["glycerin"]);
    has("material m {\n  role |\n}", &["humectant", "uv-filter"], &["eu", "role"]);
    has("material m {\n  role humectant, |\n}", &["emollient"], &["eu"]);
    has("use shelf/all\nmaterial m {\n  contains |\n}", &["glycerin", "in"], &["q.s."]);
    has("use shelf/all\nmaterial m like |", &["glycerin"], &["formula"]);
    has("formula f {\n  market |\n}", &["eu", "us"], &["face"]);
    has("formula f {\n  product leave-on |\n}", &["face", "lip"], &["eu"]);
    has("formula f { phase A { water q.s. } }\nvariant v of |", &["f"], &["v x"]);
    has("formula f {\n phase A { water q.s. } }\nvariant v of f {\n  phase |", &["A", "B"], &["water"]);
    has("container jar { holds 30 mL }\nformula f {\n  packed in |\n}", &["jar"], &["in"]);
    has("# a comm|", &[], &["use"]);
    has("formula f {\n  title \"a|\n}", &[], &["title"]);
    // A block that nobody closed does not swallow the next declaration.
    has("formula f {\n  phase A {\n    water q.s.\nmaterial m {\n  ro|\n}", &["role"], &["title", "heat"]);
}

#[test]
fn a_name_comes_with_its_strength_and_what_it_is_called_every_day() {
    let found = proposed(
        "use shelf/all\nmaterial my-acid { contains lactic-acid 80 % active, water remainder also \"milk drops\" }\nmaterial other-acid { contains lactic-acid 80 % active, water remainder\n  also \"milk drops\" }\nformula f { phase A {\n  my| } }",
    );
    let acid = found.iter().find(|proposal| proposal.label == "other-acid").expect("it is proposed");
    assert_eq!(acid.detail, "lactic-acid 80 % (its active), water for the rest");
    assert!(acid.found_by.contains("milk drops"), "{}", acid.found_by);
    assert_eq!(acid.kind, ProposalKind::Material);
    let (home, shelf) =
        (found.iter().position(|of| of.label == "other-acid"), found.iter().position(|of| of.label == "glycerin"));
    assert!(home < shelf, "what is at home comes first");
}

const BASE: &str = "use shelf/all
formula zinc-gel {
  phase A {
    water q.s. hold back 5 %
    glycerin 3 %
    betaine 1 %
  }
}
formula aa-gel { phase A { water q.s. } }
material zz-own like glycerin { }
";

/// The first of what is proposed, as an editor sorts it.
fn first(text: &str, count: usize) -> Vec<String> {
    labels(text).into_iter().take(count).collect()
}

#[test]
fn the_lines_at_hand_come_first_and_a_formula_after_all_materials() {
    let lines = ["betaine", "glycerin", "water"];
    for opener in ["set", "remove", "swap"] {
        assert_eq!(labels(&format!("{BASE}variant v of zinc-gel {{\n  {opener} |\n}}")), lines, "{opener}");
    }
    // A variant of a variant has the lines that are left.
    let of_variant =
        "variant w of zinc-gel { remove betaine swap glycerin for propanediol }\nvariant v of w {\n  set |\n}";
    let of_variant = of_variant.replace("betaine swap", "betaine\n swap");
    assert_eq!(labels(&format!("{BASE}{of_variant}")), ["propanediol", "water"]);
    let batch = |rest: &str| format!("{BASE}batch b {{\n  formula zinc-gel\n{rest}\n}}");
    for opener in ["weighed", "lot", "added", "topped-up"] {
        assert_eq!(first(&batch(&format!("  {opener} |")), 4), ["betaine", "glycerin", "water", "zz-own"], "{opener}");
    }
    // A plan goes before the formula, and has what no file has any more.
    let plan = "  plan {\n    phase A\n    water 90 % q.s.\n    gone-gum 10 % 10 %\n  }\n";
    assert_eq!(first(&batch(&format!("{plan}  weighed |")), 3), ["gone-gum", "water", "zz-own"]);
    let in_step = plan.replace("  }\n", "    step \"Stir {|\n  }\n");
    assert_eq!(labels(&batch(&in_step)), ["gone-gum", "water", "pH"]);
    let line = labels(&format!("{BASE}formula f {{\n  phase A {{\n    |\n  }}\n}}"));
    let at = |name: &str| line.iter().position(|label| label == name).unwrap_or_else(|| panic!("{name}: {line:?}"));
    assert!(at("zz-own") < at("glycerin") && at("xanthan-gum") < at("aa-gel"), "{line:?}");
    let from = "formula f {\n  phase A {\n    water q.s. hold back 5 %\n    glycerin q.s. to pH from |\n  }\n}";
    assert_eq!(labels(&format!("{BASE}{from}")), ["glycerin", "water"]);
}

#[test]
fn a_line_goes_on_with_what_a_line_has_and_a_figure_with_its_unit() {
    let open = "use shelf/all\nformula f {\n  phase A {\n    water q.s.\n    glycerin ";
    let tail = proposed(&format!("{open}2 % |"));
    let labels_of: Vec<&str> = tail.iter().map(|of| of.label.as_str()).collect();
    assert_eq!(labels_of[..3], ["active", "hold", "of"]);
    assert!(!labels_of.iter().any(|label| label.contains("v/v") || label.contains("w/")), "{labels_of:?}");
    let find = |label: &str| tail.iter().find(|of| of.label == label).unwrap();
    assert_eq!(find("hold").insert, "hold back");
    for (label, says) in [
        ("because", "Why the line is"),
        ("hold", "waits for the end"),
        ("active", "percentage of the material's active"),
        ("of", "percentage of that substance"),
    ] {
        assert!(find(label).documentation.contains(says), "{label}: {}", find(label).documentation);
    }
    for typed in ["2", "0.5"] {
        assert_eq!(first(&format!("{open}{typed}|\n"), 4), ["%", "g", "parts", "ppm"], "{typed:?}");
    }
    assert_eq!(first(&format!("{open}2 |\n"), 1), ["%"]);
    let unit = proposed(&format!("{open}2|\n"));
    assert_eq!(unit[0].insert, " %");
    assert_eq!(proposed(&format!("{open}2 |\n"))[0].insert, "%");
    assert_eq!(first("formula f {\n makes 50|\n}", 1), ["%"]);
    assert_eq!(first("batch b {\n weighed water 2|\n}", 2), ["g", "h"]);
    // Where a unit stands already, where none may, and within a figure.
    for none in ["formula f {\n pH 3|\n}", "batch b {\n started 2026-11-2|\n}", "formula f {\n meter 0.0|5\n}"] {
        assert_eq!(labels(none), Vec::<String>::new(), "{none}");
    }
    assert_eq!(labels(&format!("{open}2| %\n")), Vec::<String>::new());
    // For a strength by volume they are what is asked for.
    has("use shelf/all\nmaterial m {\n  contains glycerin 2 % |\n}", &["v/v", "w/v", "active"], &[]);
}

/// What no proposal can know: figures, texts, days, and names that are given here and nowhere else.
fn cannot_be_known(mark: &Mark) -> bool {
    match mark.kind {
        MarkKind::Comment | MarkKind::Text | MarkKind::Number | MarkKind::Date | MarkKind::Sign => true,
        MarkKind::Name(role) => role.declares(),
        _ => false,
    }
}

/// Every thirteenth word of every example is taken out with all that follows it, and what stood there is proposed. Floor: a
/// phase that is opened is a name that is given, as a rule the next letter that is free.
#[test]
fn at_the_words_of_every_example_what_stood_there_is_proposed() {
    let (surveys, expectations, memo) = (Surveys::default(), Expectations::default(), Memo::default());
    let (mut asked, mut missed) = (0, Vec::new());
    for (number, path) in example_files().iter().enumerate() {
        let mut session = Session::open(Disk, &example_files(), None);
        let whole = std::fs::read_to_string(path).unwrap();
        let survey = Survey::new(&whole, &memo);
        let marks = survey.marks.iter().filter(|mark| !cannot_be_known(mark)).skip(number % 13).step_by(13);
        for mark in marks {
            let (start, end) = (mark.span.start as usize, mark.span.end as usize);
            let word = &whole[start..end];
            // Cut after the first letter of the word: the cursor is in it.
            let cut = start + word.chars().next().map_or(0, char::len_utf8);
            let cut = if matches!(mark.kind, MarkKind::Path) && word.starts_with('"') { start + 1 } else { cut };
            session.set_text(path, &whole[..cut]);
            let scopes = Scopes::new(session.sources(), &mut Vec::new());
            let names = Names { sources: session.sources(), scopes: &scopes, surveys: &surveys };
            let id = session.file_at(path).unwrap();
            let found = complete(&names, &expectations, id, u32::try_from(cut).unwrap());
            let word = word.trim_matches('"');
            let stands =
                |proposal: &Proposal| proposal.label == word || word.starts_with(&format!("{} ", proposal.label));
            asked += 1;
            if !found.iter().any(stands) && !is_below_the_floor(mark, word, &whole, start) {
                missed.push(format!(
                    "{}: {word} ({:?}) after {:?}",
                    path.display(),
                    mark.kind,
                    &whole[start.saturating_sub(30)..start]
                ));
            }
        }
    }
    assert!(asked > 100, "{asked}");
    assert!(missed.is_empty(), "{} of {asked}:\n{}", missed.len(), missed.join("\n"));
}

/// What stands only further down in a text that is cut off: a line that a step of before, or a declaration after it, names.
fn is_below_the_floor(mark: &Mark, word: &str, whole: &str, start: usize) -> bool {
    let declared_below =
        ["let", "material", "substance", "formula", "variant", "group", "container"].iter().any(|opener| {
            whole[start..].contains(&format!("\n{opener} {word}"))
                || whole[start..].contains(&format!("\n  {opener} {word}"))
        });
    let line_below = matches!(mark.kind, MarkKind::Name(NameRole::Figure | NameRole::Step))
        && whole[start..].contains(&format!("\n    {word} "));
    let own_phase = mark.kind == MarkKind::Name(NameRole::Phase);
    // In a plan a record names what a file had then.
    let planned = matches!(
        mark.kind,
        MarkKind::Name(NameRole::PlanWeighable | NameRole::PlanSubstance | NameRole::BatchMaterial)
    );
    declared_below || line_below || own_phase || planned
}

/// Each word that is proposed in the middle of a statement is written there; the statement is at fault only further on.
#[test]
fn nothing_that_is_proposed_is_a_fault_of_syntax_where_it_stands() {
    let starts = [
        ("formula f {\n  ", "\n}\n"),
        ("formula f {\n  pH ", "\n}\n"),
        ("use shelf/all\nformula f {\n  phase A {\n    glycerin 3 % ", "\n  }\n}\n"),
        ("use shelf/all\nformula f {\n  phase A {\n    glycerin 3 ", "\n  }\n}\n"),
        ("use shelf/all\nformula f {\n  phase A {\n    ", " 3 %\n  }\n}\n"),
        ("material m {\n  use up to 3 % ", "\n}\n"),
        ("material m {\n  avoid with ", " because \"x\"\n}\n"),
        ("rule r {\n  ", "\n}\n"),
        ("batch b {\n  ", "\n}\n"),
        ("stock {\n  ", "\n}\n"),
        ("", "\n"),
    ];
    let mut tried = 0;
    for (before, after) in starts {
        for label in labels(&format!("{before}|{after}")) {
            let text = format!("{before}{label}{after}");
            let end = before.len() + label.len();
            let parsed = parse(FileId(0), &text);
            for fault in parsed.faults.iter().filter(|fault| fault.code == Code::Syntax) {
                let place = fault.primary.place.span;
                // What is missing is told after the word, or of the whole statement.
                let at_word = (place.start as usize) >= before.len() && (place.end as usize) <= end;
                let says_word = fault.message.contains(&format!("`{label}` is no"));
                assert!(!(at_word && says_word), "{before}{label}: {}", fault.message);
            }
            tried += 1;
        }
    }
    assert!(tried > 500, "{tried}");
    // Where the word is the last of its statement, nothing at all is at fault.
    for (text, words) in [
        ("use shelf/all\nformula f {\n  phase A {\n    glycerin 3 |\n  }\n}\n", 30),
        ("use shelf/all\nformula f {\n  phase A {\n    | 3 %\n  }\n}\n", 100),
        ("material m {\n  role |\n}\n", 20),
        ("formula f {\n  market |\n}\n", 5),
        ("use shelf/all\nmaterial m {\n  contains | 3 %\n}\n", 100),
    ] {
        let found: Vec<Proposal> = proposed(text)
            .into_iter()
            .filter(|proposal| !matches!(proposal.kind, ProposalKind::Field | ProposalKind::Word))
            .collect();
        assert!(found.len() >= words, "{text}: {}", found.len());
        for proposal in found {
            let written = text.replacen('|', &proposal.insert, 1);
            let parsed = parse(FileId(0), &written);
            let faults: Vec<_> = parsed.faults.iter().filter(|fault| fault.code == Code::Syntax).collect();
            assert!(faults.is_empty(), "{written}: {faults:?}");
        }
    }
}

#[test]
fn a_proposal_takes_the_place_of_the_whole_word() {
    let text = "use shelf/all\nformula f {\n  phase A {\n    gly|cerin 3 %\n  }\n}\n";
    let found = proposed(text);
    let glycerin = found.iter().find(|proposal| proposal.label == "glycerin").unwrap();
    assert_eq!(glycerin.replaces.of(&text.replacen('|', "", 1)), "glycerin");
}
