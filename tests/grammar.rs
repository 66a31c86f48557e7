//! The grammar for tree-sitter (`grammar/tree-sitter-stillroom`), held against the parser of the language itself: every
//! sound text is read without a fault, and what is declared and weighed stands where the parser says.

#![allow(clippy::disallowed_methods, reason = "tests read and write files of their own")]

mod common;

use common::grammar::{Node, Reading, read};
use std::fs;
use std::path::{Path, PathBuf};
use std::sync::OnceLock;
use stillroom::diagnostic::{FileId, Span};
use stillroom::shelf::FILES;
use stillroom::syntax::parse;
use stillroom::syntax::tree::{FormulaStatement, Item, Phase, PhaseStatement, VariantStatement};

fn root() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR"))
}

/// Every `.still` file of a folder and of what is in it.
fn files(folder: &Path, found: &mut Vec<(String, String)>) {
    let mut paths: Vec<PathBuf> = fs::read_dir(folder).unwrap().map(|entry| entry.unwrap().path()).collect();
    paths.sort();
    for path in paths {
        if path.is_dir() {
            files(&path, found);
        } else if path.extension().is_some_and(|extension| extension == "still") {
            found.push((path.display().to_string(), fs::read_to_string(&path).unwrap()));
        }
    }
}

/// Every example, the whole shelf, and the formulas that were judged to be sound.
fn sound() -> Vec<(String, String)> {
    let mut found = Vec::new();
    files(&root().join("examples"), &mut found);
    files(&root().join("tests/judged/sound"), &mut found);
    found.extend(FILES.iter().map(|file| (format!("shelf/{}", file.name), file.text.to_string())));
    assert!(found.len() > 50, "{}", found.len());
    found
}

/// The sound texts by name, with what each is read as.
fn sound_read() -> &'static [(String, String, Reading)] {
    static READ: OnceLock<Vec<(String, String, Reading)>> = OnceLock::new();
    READ.get_or_init(|| {
        let texts = sound();
        let readings = read(texts.iter().map(|(_, text)| text.as_str()));
        texts.into_iter().zip(readings).map(|((name, text), reading)| (name, text, reading)).collect()
    })
}

fn one(text: &str) -> Reading {
    read([text]).remove(0)
}

#[test]
fn every_sound_text_is_read_without_a_fault() {
    // As it may come from another machine, too.
    let returned: Vec<String> = sound_read().iter().map(|(_, text, _)| text.replace('\n', "\r\n")).collect();
    let returned = read(returned.iter().map(String::as_str));
    for ((name, _, reading), returned) in sound_read().iter().zip(returned) {
        assert_eq!(reading.faults(), Vec::<&str>::new(), "{name}");
        assert_eq!(returned.faults(), Vec::<&str>::new(), "{name}, with CRLF");
    }
}

/// What is declared, by the node or the kind of it, with the place of its name.
type Declared<'t> = Vec<(&'t str, Option<(usize, usize)>)>;

fn place(span: Span) -> (usize, usize) {
    (span.start as usize, span.end as usize)
}

fn bytes(node: &Node) -> (usize, usize) {
    (node.start, node.end)
}

fn kind(item: &Item) -> &'static str {
    match item {
        Item::Use(_) => "use",
        Item::Let(_) => "let",
        Item::Substance(_) => "substance",
        Item::Material(_) => "material",
        Item::Formula(_) => "formula",
        Item::Variant(_) => "variant",
        Item::Group(_) => "group",
        Item::Rule(_) => "rule",
        Item::Batch(_) => "batch",
        Item::Maker(_) => "maker",
        Item::Container(_) => "container",
        Item::Rate(_) | Item::Planned(_) => "field",
        Item::Stock(_) => "stock",
        Item::Broken(_) => "broken",
    }
}

#[test]
fn what_is_declared_stands_where_the_parser_says() {
    let mut count = 0;
    for (name, text, reading) in sound_read() {
        let parsed = parse(FileId(0), text);
        let wanted: Declared<'_> =
            parsed.tree.items.iter().map(|item| (kind(item), item.name().map(|name| place(name.span)))).collect();
        let outermost = reading.nodes.iter().enumerate().filter(|(_, node)| node.within == Some(0));
        let found: Declared<'_> = outermost
            .filter(|(_, node)| node.kind != "comment")
            .map(|(at, node)| (node.kind.as_str(), reading.field(at, "name").map(bytes)))
            .collect();
        assert_eq!(found, wanted, "{name}");
        count += wanted.len();
    }
    assert!(count > 1_000, "{count}");
}

fn weighed<'tree>(phases: impl Iterator<Item = &'tree Phase>, found: &mut Vec<(usize, usize)>) {
    for phase in phases {
        for statement in &phase.statements {
            if let PhaseStatement::Line(line) = statement {
                found.push(place(line.material.span));
            }
        }
    }
}

#[test]
fn what_is_weighed_stands_where_the_parser_says() {
    let mut count = 0;
    for (name, text, reading) in sound_read() {
        let parsed = parse(FileId(0), text);
        let mut wanted = Vec::new();
        for item in &parsed.tree.items {
            match item {
                Item::Formula(formula) => weighed(
                    formula.statements.iter().filter_map(|one| match one {
                        FormulaStatement::Phase(phase) => Some(phase),
                        _ => None,
                    }),
                    &mut wanted,
                ),
                Item::Variant(variant) => weighed(
                    variant.statements.iter().filter_map(|one| match one {
                        VariantStatement::Phase(phase) => Some(phase),
                        _ => None,
                    }),
                    &mut wanted,
                ),
                _ => {}
            }
        }
        let inside = |node: &Node| Some(&reading.nodes[node.within?]);
        let in_plan = |line: &Node| inside(line).and_then(inside).is_some_and(|block| block.kind == "plan");
        let lines = reading.nodes.iter().enumerate().filter(|(_, node)| node.kind == "line" && !in_plan(node));
        let found: Vec<_> = lines.map(|(at, _)| bytes(reading.field(at, "material").unwrap())).collect();
        assert_eq!(found, wanted, "{name}");
        count += wanted.len();
    }
    assert!(count > 500, "{count}");
}

/// Every word that opens a statement somewhere is seen as one there.
#[test]
fn every_word_that_opens_a_statement_is_a_keyword() {
    let words = fs::read_to_string(root().join("grammar/tree-sitter-stillroom/words.json")).unwrap();
    let words: serde_json::Value = serde_json::from_str(&words).unwrap();
    let mut asked: Vec<(String, &str, String, String)> = Vec::new();
    for (block, words) in words["blocks"].as_object().unwrap() {
        for word in words["opens"].as_array().unwrap() {
            let word = word.as_str().unwrap();
            // A word with a rule of its own is no whole statement alone.
            let statement = match word {
                "let" => "let a = 1".to_string(),
                "steps" | "plan" => format!("{word} {{ }}"),
                "phase" if matches!(block.as_str(), "formula" | "variant") => "phase A { }".to_string(),
                "add" => "add water 1 %".to_string(),
                "allow" | "set" | "remove" | "use" if block == "file" => continue,
                _ => format!("{word} 1"),
            };
            let text = match block.as_str() {
                "file" => continue,
                "variant" => format!("variant a of b {{\n{statement}\n}}"),
                "phase" => format!("formula a {{\nphase A {{\n{statement}\n}}\n}}"),
                "variant_phase" => format!("variant a of b {{\nphase A {{\n{statement}\n}}\n}}"),
                "plan" => format!("batch a {{\nplan {{\n{statement}\n}}\n}}"),
                "maker" | "stock" => format!("{block} {{\n{statement}\n}}"),
                _ => format!("{block} a {{\n{statement}\n}}"),
            };
            asked.push((block.clone(), word, statement, text));
        }
    }
    let readings = read(asked.iter().map(|(_, _, _, text)| text.as_str()));
    for ((block, word, statement, text), reading) in asked.iter().zip(readings) {
        let at = text.find(statement).unwrap();
        let node = reading.at(at..at + word.len());
        assert_eq!((node.kind.as_str(), node.range()), ("keyword", at..at + word.len()), "{block}: {word}");
        assert_eq!(reading.faults(), Vec::<&str>::new(), "{text}");
    }
    assert!(asked.len() > 150, "{}", asked.len());
}

#[test]
fn a_broken_statement_hides_no_other() {
    let text =
        "formula one {\n  makes ) 500 g\n  phase A {\n    water q.s. )\n    glycerin 4 %\n  }\n}\nformula two {\n}\n";
    let reading = one(text);
    assert!(!reading.faults().is_empty());
    let fields = (0..reading.nodes.len()).filter_map(|at| reading.field(at, "name").or(reading.field(at, "material")));
    let names: Vec<&str> = fields.map(|name| &text[name.range()]).collect();
    assert_eq!(names, ["one", "A", "water", "glycerin", "two"]);
}

/// One example, each stretch of it with its colour: read it through when it changes.
#[test]
fn an_example_is_coloured_so() {
    let text = fs::read_to_string(root().join("examples/acid-gel.still")).unwrap();
    let lines: Vec<String> =
        one(&text).colours.into_iter().map(|(start, end, name)| format!("{name:22} {}", &text[start..end])).collect();
    insta::assert_snapshot!("coloured", lines.join("\n"));
}

#[test]
fn every_letter_of_every_example_has_its_colour() {
    for (name, text, reading) in sound_read() {
        let mut dark: Vec<bool> = text.bytes().map(|byte| !byte.is_ascii_whitespace()).collect();
        for (start, end, _) in &reading.colours {
            dark[*start..*end].fill(false);
        }
        let left = dark.iter().position(|dark| *dark).map(|at| &text[at..text.len().min(at + 30)]);
        // A byte order mark is no letter.
        assert!(left.is_none_or(|left| left.starts_with('\u{feff}')), "{name}: {left:?} has no colour");
    }
}

#[test]
fn every_query_is_one_of_this_grammar() {
    let text = fs::read_to_string(root().join("examples/cream.still")).unwrap();
    let found = one(&text).found;
    assert_eq!(found.len(), 4);
    assert!(found.iter().all(|(_, matches)| *matches > 0), "{found:?}");
}
