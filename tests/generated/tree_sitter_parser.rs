//! The parser for tree-sitter, made of its grammar.

use crate::common::grammar::make;
use crate::{current, root};
use std::fs;
use std::path::{Path, PathBuf};

fn package() -> PathBuf {
    root().join("grammar/tree-sitter-stillroom")
}

/// Every file under a folder, by its path within it.
fn files(folder: &Path, under: &Path, found: &mut Vec<PathBuf>) {
    let mut paths: Vec<PathBuf> =
        fs::read_dir(folder.join(under)).unwrap().map(|entry| entry.unwrap().path()).collect();
    paths.sort();
    for path in paths {
        let under = under.join(path.file_name().unwrap());
        if path.is_dir() {
            files(folder, &under, found);
        } else {
            found.push(under);
        }
    }
}

/// Makes the parser of `grammar`, a file of the package, and compares it with the one that is checked in, or writes that.
fn made_of(grammar: &str) {
    let made = tempfile::tempdir().unwrap();
    make(&package(), grammar, made.path());
    let mut names = Vec::new();
    files(made.path(), Path::new(""), &mut names);
    assert!(names.iter().any(|name| name == Path::new("parser.c")), "{names:?}");
    for name in names {
        let path = package().join("src").join(&name);
        fs::create_dir_all(path.parent().unwrap()).unwrap();
        current(&path, &fs::read_to_string(made.path().join(name)).unwrap());
    }
}

/// Of what the grammar comes to as data: so that it needs nothing but Rust. Where it writes, it begins with the grammar
/// itself, and needs Node for that.
#[test]
fn the_parser_for_tree_sitter_is_current() {
    let writes = std::env::var_os("STILLROOM_WRITE").is_some();
    made_of(if writes { "grammar.js" } else { "src/grammar.json" });
}

/// `tests/outside/run` asks for this one.
#[test]
#[ignore = "needs Node"]
fn the_parser_for_tree_sitter_is_that_of_its_grammar() {
    made_of("grammar.js");
}
