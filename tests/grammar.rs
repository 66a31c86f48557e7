//! The grammar for tree-sitter (`grammar/tree-sitter-stillroom`), held against the parser of the language itself: every
//! sound text is read without a fault, and what is declared and weighed stands where the parser says.

#![allow(clippy::disallowed_methods, reason = "tests read and write files of their own")]

mod common;

use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};
use stillroom::diagnostic::{FileId, Span};
use stillroom::shelf::FILES;
use stillroom::syntax::parse;
use stillroom::syntax::tree::{FormulaStatement, Item, Phase, PhaseStatement, VariantStatement};
use tree_sitter::{Node, Parser, Query, QueryCursor, StreamingIterator as _, Tree};
use tree_sitter_stillroom::{FOLDS, HIGHLIGHTS, INDENTS, LANGUAGE, LOCALS, TAGS};

fn root() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR"))
}

fn tree(text: &str) -> Tree {
    let mut parser = Parser::new();
    parser.set_language(&LANGUAGE.into()).unwrap();
    parser.parse(text, None).unwrap()
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

fn each<'tree>(node: Node<'tree>, look: &mut dyn FnMut(Node<'tree>)) {
    look(node);
    let mut cursor = node.walk();
    for child in node.children(&mut cursor) {
        each(child, look);
    }
}

/// What is wrong with a tree: each place that was not read.
fn faults(tree: &Tree) -> Vec<String> {
    let mut found = Vec::new();
    each(tree.root_node(), &mut |node| {
        if node.is_error() || node.is_missing() {
            found.push(format!("{}: {}", node.start_position(), node.to_sexp()));
        }
    });
    found
}

#[test]
fn every_sound_text_is_read_without_a_fault() {
    for (name, text) in sound() {
        assert_eq!(faults(&tree(&text)), Vec::<String>::new(), "{name}");
        // As it may come from another machine.
        assert_eq!(faults(&tree(&text.replace('\n', "\r\n"))), Vec::<String>::new(), "{name}, with CRLF");
    }
}

/// What is declared, by the node or the kind of it, with the place of its name.
type Declared = Vec<(&'static str, Option<(usize, usize)>)>;

fn place(span: Span) -> (usize, usize) {
    (span.start as usize, span.end as usize)
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
    for (name, text) in sound() {
        let parsed = parse(FileId(0), &text);
        let wanted: Declared =
            parsed.tree.items.iter().map(|item| (kind(item), item.name().map(|name| place(name.span)))).collect();
        let read = tree(&text);
        let mut cursor = read.walk();
        let found: Declared = read
            .root_node()
            .named_children(&mut cursor)
            .filter(|node| node.kind() != "comment")
            .map(|node| {
                let name = node.child_by_field_name("name");
                (node.kind(), name.map(|name| (name.start_byte(), name.end_byte())))
            })
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
    for (name, text) in sound() {
        let parsed = parse(FileId(0), &text);
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
        let read = tree(&text);
        let mut found = Vec::new();
        each(read.root_node(), &mut |node| {
            let in_plan = node.parent().and_then(|block| block.parent()).is_some_and(|block| block.kind() == "plan");
            if node.kind() == "line" && !in_plan {
                let material = node.child_by_field_name("material").unwrap();
                found.push((material.start_byte(), material.end_byte()));
            }
        });
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
    let mut count = 0;
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
            let read = tree(&text);
            let at = text.find(&statement).unwrap();
            let node = read.root_node().named_descendant_for_byte_range(at, at + word.len()).unwrap();
            assert_eq!((node.kind(), node.byte_range()), ("keyword", at..at + word.len()), "{block}: {word}");
            assert_eq!(faults(&read), Vec::<String>::new(), "{text}");
            count += 1;
        }
    }
    assert!(count > 150, "{count}");
}

#[test]
fn a_broken_statement_hides_no_other() {
    let text =
        "formula one {\n  makes ) 500 g\n  phase A {\n    water q.s. )\n    glycerin 4 %\n  }\n}\nformula two {\n}\n";
    let read = tree(text);
    assert!(!faults(&read).is_empty());
    let mut names = Vec::new();
    each(read.root_node(), &mut |node| {
        if let Some(name) = node.child_by_field_name("name").or_else(|| node.child_by_field_name("material")) {
            names.push(&text[name.byte_range()]);
        }
    });
    assert_eq!(names, ["one", "A", "water", "glycerin", "two"]);
}

/// What each stretch of a text is coloured as: of several captures the last, as editors take it.
fn coloured(text: &str) -> BTreeMap<(usize, usize), String> {
    let query = Query::new(&LANGUAGE.into(), HIGHLIGHTS).unwrap();
    let read = tree(text);
    let mut cursor = QueryCursor::new();
    let mut matches = cursor.matches(&query, read.root_node(), text.as_bytes());
    let mut found: BTreeMap<(usize, usize), (usize, String)> = BTreeMap::new();
    while let Some(one) = matches.next() {
        for capture in one.captures {
            let name = query.capture_names()[capture.index as usize].to_string();
            let entry = found.entry((capture.node.start_byte(), capture.node.end_byte())).or_default();
            if one.pattern_index >= entry.0 {
                *entry = (one.pattern_index, name);
            }
        }
    }
    found.into_iter().map(|(place, (_, name))| (place, name)).collect()
}

/// One example, each stretch of it with its colour: read it through when it changes.
#[test]
fn an_example_is_coloured_so() {
    let text = fs::read_to_string(root().join("examples/acid-gel.still")).unwrap();
    let lines: Vec<String> =
        coloured(&text).into_iter().map(|((start, end), name)| format!("{name:22} {}", &text[start..end])).collect();
    insta::assert_snapshot!("coloured", lines.join("\n"));
}

#[test]
fn every_letter_of_every_example_has_its_colour() {
    for (name, text) in sound() {
        let coloured = coloured(&text);
        let mut dark: Vec<bool> = text.bytes().map(|byte| !byte.is_ascii_whitespace()).collect();
        for (start, end) in coloured.keys() {
            dark[*start..*end].fill(false);
        }
        let left = dark.iter().position(|dark| *dark).map(|at| &text[at..text.len().min(at + 30)]);
        // A byte order mark is no letter.
        assert!(left.is_none_or(|left| left.starts_with('\u{feff}')), "{name}: {left:?} has no colour");
    }
}

#[test]
fn every_query_is_one_of_this_grammar() {
    for (name, query) in [("folds", FOLDS), ("indents", INDENTS), ("locals", LOCALS), ("tags", TAGS)] {
        let query = Query::new(&LANGUAGE.into(), query).unwrap_or_else(|fault| panic!("{name}: {fault}"));
        let text = fs::read_to_string(root().join("examples/cream.still")).unwrap();
        let read = tree(&text);
        let mut cursor = QueryCursor::new();
        assert!(cursor.matches(&query, read.root_node(), text.as_bytes()).next().is_some(), "{name} finds nothing");
    }
}
