//! What tree-sitter makes of a text by the grammar of Stillroom, and the parser that it makes of the grammar.
//!
//! - `read`: a list of texts as JSON on standard input; on standard output a list of what each is read as, a [`Reading`].
//! - `make PACKAGE GRAMMAR FOLDER`: the parser of a grammar of the package, written into the folder.

use serde::Serialize;
use std::error::Error;
use std::io;
use std::path::Path;
use tree_sitter::{Node, Parser, Query, QueryCursor, StreamingIterator as _, Tree};
use tree_sitter_generate::{OptLevel, generate_parser_in_directory};
use tree_sitter_stillroom::{FOLDS, HIGHLIGHTS, INDENTS, LANGUAGE, LOCALS, TAGS};

/// What a text is read as.
#[derive(Serialize)]
struct Reading {
    /// The named nodes and the faults, each before what is in it.
    nodes: Vec<Seen>,
    /// What its captures colour: from, to, as what. Of several of one place the last, as editors take it.
    colours: Vec<(usize, usize, String)>,
    /// How often each of the other queries finds something in it.
    found: Vec<(&'static str, usize)>,
}

/// A node.
#[derive(Serialize)]
struct Seen {
    kind: &'static str,
    /// Its bytes.
    start: usize,
    end: usize,
    /// The place of the node that it is in, among all of them.
    within: Option<usize>,
    /// What it is in that node.
    field: Option<&'static str>,
    /// What is there in place of what could not be read.
    fault: Option<String>,
}

fn main() -> Result<(), Box<dyn Error>> {
    let words: Vec<String> = std::env::args().skip(1).collect();
    match words.iter().map(String::as_str).collect::<Vec<_>>().as_slice() {
        ["read"] => {
            let texts: Vec<String> = serde_json::from_reader(io::stdin().lock())?;
            let readings: Vec<Reading> = texts.iter().map(|text| reading(text)).collect::<Result<_, _>>()?;
            Ok(serde_json::to_writer(io::stdout().lock(), &readings)?)
        }
        ["make", package, grammar, folder] => {
            let (folder, grammar) = (Path::new(folder), Path::new(package).join(grammar));
            let abi = tree_sitter::LANGUAGE_VERSION;
            let (package, level) = (Path::new(package), OptLevel::default());
            generate_parser_in_directory(package, Some(folder), Some(grammar), abi, None, None, true, level)?;
            Ok(())
        }
        _ => Err("`read`, or `make PACKAGE GRAMMAR FOLDER`".into()),
    }
}

fn reading(text: &str) -> Result<Reading, Box<dyn Error>> {
    let mut parser = Parser::new();
    parser.set_language(&LANGUAGE.into())?;
    let tree = parser.parse(text, None).ok_or("no time was set, and no tree came of it")?;
    let mut nodes = Vec::new();
    see(tree.root_node(), None, None, &mut nodes);
    let queries = [("folds", FOLDS), ("indents", INDENTS), ("locals", LOCALS), ("tags", TAGS)];
    let found = queries.into_iter().map(|(name, query)| Ok((name, matches(query, &tree, text)?)));
    Ok(Reading { nodes, colours: colours(&tree, text)?, found: found.collect::<Result<_, Box<dyn Error>>>()? })
}

fn see(node: Node<'_>, within: Option<usize>, field: Option<&'static str>, nodes: &mut Vec<Seen>) {
    let fault = node.is_error() || node.is_missing();
    let mut inner = within;
    if node.is_named() || fault {
        inner = Some(nodes.len());
        let fault = fault.then(|| format!("{}: {}", node.start_position(), node.to_sexp()));
        nodes.push(Seen { kind: node.kind(), start: node.start_byte(), end: node.end_byte(), within, field, fault });
    }
    let mut cursor = node.walk();
    if cursor.goto_first_child() {
        loop {
            see(cursor.node(), inner, cursor.field_name(), nodes);
            if !cursor.goto_next_sibling() {
                break;
            }
        }
    }
}

fn matches(query: &str, tree: &Tree, text: &str) -> Result<usize, Box<dyn Error>> {
    let query = Query::new(&LANGUAGE.into(), query)?;
    let mut cursor = QueryCursor::new();
    Ok(cursor.matches(&query, tree.root_node(), text.as_bytes()).count())
}

fn colours(tree: &Tree, text: &str) -> Result<Vec<(usize, usize, String)>, Box<dyn Error>> {
    let query = Query::new(&LANGUAGE.into(), HIGHLIGHTS)?;
    let mut cursor = QueryCursor::new();
    let mut matches = cursor.matches(&query, tree.root_node(), text.as_bytes());
    let mut found = std::collections::BTreeMap::new();
    while let Some(one) = matches.next() {
        for capture in one.captures {
            let name = query.capture_names()[capture.index as usize].to_string();
            let place = (capture.node.start_byte(), capture.node.end_byte());
            let entry = found.entry(place).or_insert((one.pattern_index, name.clone()));
            if one.pattern_index >= entry.0 {
                *entry = (one.pattern_index, name);
            }
        }
    }
    Ok(found.into_iter().map(|((start, end), (_, name))| (start, end, name)).collect())
}
