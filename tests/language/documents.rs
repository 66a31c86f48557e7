//! The documents: what they show compiles, and what they link to is there.

#![allow(clippy::disallowed_methods, reason = "tests read files of their own")]

use crate::common;
use std::path::{Path, PathBuf};

fn root() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR"))
}

fn documents() -> Vec<PathBuf> {
    let mut all = vec![root().join("README.md"), root().join("DEVELOPERS.md")];
    let docs = std::fs::read_dir(root().join("docs")).unwrap().map(|entry| entry.unwrap().path());
    all.extend(docs.filter(|path| path.extension().is_some_and(|extension| extension == "md")));
    all.sort();
    all
}

/// The `still` fences of a document, each with the line it begins on.
fn fences(text: &str) -> Vec<(usize, String)> {
    let mut found = Vec::new();
    let mut inside: Option<(usize, String)> = None;
    for (number, line) in text.lines().enumerate() {
        match &mut inside {
            None if line.trim_end() == "```still" => inside = Some((number + 1, String::new())),
            Some(_) if line.starts_with("```") => found.extend(inside.take()),
            Some((_, body)) => {
                body.push_str(line);
                body.push('\n');
            }
            None => {}
        }
    }
    found
}

/// Files that stand alone say so by what they use: the shelf, and nothing beside them.
#[test]
fn whole_files_in_the_documents_have_no_error() {
    let mut seen = 0;
    for path in documents().iter().filter(|path| !path.ends_with("diagnostics.md")) {
        let text = std::fs::read_to_string(path).unwrap();
        for (line, body) in fences(&text) {
            let uses_a_file = body.lines().any(|line| line.starts_with("use \""));
            let alone = body.contains("use shelf/") && body.contains("\nformula ") && !uses_a_file;
            if !alone {
                continue;
            }
            let faults = common::diagnostics(&body);
            let errors: Vec<_> = faults.iter().filter(|one| one.level == stillroom::diagnostic::Level::Error).collect();
            assert!(errors.is_empty(), "{}:{line}: {errors:#?}", path.display());
            seen += 1;
        }
    }
    assert!(seen >= 2, "{seen} whole files");
}

/// What is a file by itself is shown in the one layout. The pages of the catalogue have their own, shorter.
#[test]
fn what_the_documents_show_is_in_the_one_layout() {
    for path in documents().iter().filter(|path| !path.ends_with("diagnostics.md")) {
        let text = std::fs::read_to_string(path).unwrap();
        for (line, body) in fences(&text) {
            // A part of a file does not parse, and comes back as it is.
            assert_eq!(stillroom::syntax::format(&body), body, "{}:{line}", path.display());
        }
    }
}

#[test]
fn links_between_the_documents_lead_somewhere() {
    for path in documents() {
        let text = std::fs::read_to_string(&path).unwrap();
        for target in text.split("](").skip(1).filter_map(|rest| rest.split(')').next()) {
            let file = target.split('#').next().unwrap();
            if file.is_empty() || file.contains("://") || file.contains(' ') {
                continue;
            }
            let there = path.parent().unwrap_or(Path::new("")).join(file);
            assert!(there.exists(), "{} links to {target}", path.display());
        }
    }
}
