//! The program that reads texts by the grammar for tree-sitter (`tests/grammar`): a crate with a lock of its own, built when
//! a test asks for it.

use assert_cmd::Command;
use serde::Deserialize;
use std::ops::Range;
use std::path::Path;

/// What a text is read as.
#[derive(Deserialize)]
pub struct Reading {
    /// The named nodes and the faults, each before what is in it.
    pub nodes: Vec<Node>,
    /// What is coloured: from, to, as what.
    pub colours: Vec<(usize, usize, String)>,
    /// How often each of the other queries finds something.
    pub found: Vec<(String, usize)>,
}

/// A node of a text that was read.
#[derive(Deserialize)]
pub struct Node {
    pub kind: String,
    pub start: usize,
    pub end: usize,
    /// The node that it is in.
    pub within: Option<usize>,
    /// What it is in that node.
    pub field: Option<String>,
    /// What is there in place of what could not be read.
    pub fault: Option<String>,
}

impl Node {
    pub fn range(&self) -> Range<usize> {
        self.start..self.end
    }
}

impl Reading {
    /// Each place that was not read.
    pub fn faults(&self) -> Vec<&str> {
        self.nodes.iter().filter_map(|node| node.fault.as_deref()).collect()
    }

    /// What stands in a node as one of its fields.
    pub fn field(&self, of: usize, field: &str) -> Option<&Node> {
        let mut inner = self.nodes.iter().skip(of).take_while(|node| node.start <= self.nodes[of].end);
        inner.find(|node| node.within == Some(of) && node.field.as_deref() == Some(field))
    }

    /// The innermost node that covers a place.
    pub fn at(&self, place: Range<usize>) -> &Node {
        let mut covering = self.nodes.iter().rev();
        covering.find(|node| node.start <= place.start && node.end >= place.end).unwrap()
    }
}

/// Runs the program.
fn run(words: &[&str], input: Vec<u8>) -> Vec<u8> {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let mut cargo = Command::new(std::env::var("CARGO").unwrap_or_else(|_| env!("CARGO").to_string()));
    cargo.args(["run", "--quiet", "--locked", "--manifest-path"]).arg(root.join("tests/grammar/Cargo.toml"));
    cargo.env("CARGO_TARGET_DIR", Path::new(env!("CARGO_TARGET_TMPDIR")).join("grammar"));
    let run = cargo.arg("--").args(words).write_stdin(input).assert().success();
    run.get_output().stdout.clone()
}

/// What tree-sitter reads texts as.
pub fn read<'t>(texts: impl IntoIterator<Item = &'t str>) -> Vec<Reading> {
    let texts: Vec<&str> = texts.into_iter().collect();
    let readings: Vec<Reading> = serde_json::from_slice(&run(&["read"], serde_json::to_vec(&texts).unwrap())).unwrap();
    assert_eq!(readings.len(), texts.len());
    readings
}

/// Writes the parser that is made of a grammar of the package, a path in it, into a folder.
pub fn make(package: &Path, grammar: &str, folder: &Path) {
    run(&["make", package.to_str().unwrap(), grammar, folder.to_str().unwrap()], Vec::new());
}
