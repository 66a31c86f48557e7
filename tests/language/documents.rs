//! The documents: every `still` block of theirs compiles, and what they link to is there.
//!
//! A block is checked by the real program, and no error is told of it. What stands behind `still` in the mark that opens
//! it, which no reader sees, says what else is needed:
//!
//! - `file=NAME`: it is that file, which later blocks of the document may use; without one it is a file of its own.
//! - `after=NAME`: it goes on where that file of the document ends; `after=shelf` has `use shelf/all` before it.
//! - `within=NAME`: its lines stand in that file as they are shown here, and that file is checked.
//! - `steps-of=NAME`: it stands in that file in the place of its `steps`.
//! - `wrong=CODE,CODE`: exactly these are told of it, be they errors, warnings or notes.
//! - `uncompiled="why"`: it cannot be checked, and why.

#![allow(clippy::disallowed_methods, reason = "tests read files of their own")]

use crate::common::repository::run_in;
use std::path::PathBuf;

fn root() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR"))
}

fn documents() -> Vec<PathBuf> {
    let mut all: Vec<PathBuf> = ["README.md", "DEVELOPERS.md", "CHANGELOG.md"].map(|name| root().join(name)).into();
    let docs = std::fs::read_dir(root().join("docs")).unwrap().map(|entry| entry.unwrap().path());
    all.extend(docs.filter(|path| path.extension().is_some_and(|extension| extension == "md")));
    // The pages of the catalogue are held by its own test, `tests/catalogue.rs`, each with what its fence says.
    all.retain(|path| !path.ends_with("diagnostics.md"));
    all.sort();
    all
}

/// A `still` block of a document.
struct Fence {
    /// The line it begins on.
    line: usize,
    /// What stands behind `still`.
    mark: String,
    body: String,
}

impl Fence {
    /// The value of a word of the mark.
    fn says(&self, key: &str) -> Option<&str> {
        let (_, rest) = self.mark.split_once(&format!("{key}="))?;
        match rest.strip_prefix('"') {
            Some(quoted) => quoted.split('"').next(),
            None => rest.split(' ').next(),
        }
    }

    /// The words that the mark gives a value.
    fn keys(&self) -> Vec<&str> {
        let outside: Vec<&str> = self.mark.split('"').step_by(2).collect();
        outside
            .iter()
            .flat_map(|part| part.split_whitespace())
            .filter_map(|word| Some(word.split_once('=')?.0))
            .collect()
    }
}

fn fences(text: &str) -> Vec<Fence> {
    let mut found = Vec::new();
    let mut inside: Option<Fence> = None;
    for (number, line) in (1..).zip(text.lines()) {
        match &mut inside {
            None => {
                let mark = line.trim().strip_prefix("```still").map(|mark| mark.trim().to_string());
                inside = mark.map(|mark| Fence { line: number, mark, body: String::new() });
            }
            Some(_) if line.starts_with("```") => found.extend(inside.take()),
            Some(fence) => {
                fence.body.push_str(line);
                fence.body.push('\n');
            }
        }
    }
    found
}

/// What is compiled for a block, given the files of its document.
fn compiled(fence: &Fence, files: &[(&str, String)]) -> String {
    let file = |name: &str| {
        let found = files.iter().find(|(known, _)| *known == name);
        found.unwrap_or_else(|| panic!("line {}: the document has no {name}", fence.line)).1.as_str()
    };
    if let Some(name) = fence.says("after") {
        let before = if name == "shelf" { "use shelf/all\n" } else { file(name) };
        return format!("{before}\n{}", fence.body);
    }
    if let Some(name) = fence.says("within") {
        assert!(file(name).contains(&fence.body), "line {}: {name} has no such lines", fence.line);
        return file(name).to_string();
    }
    if let Some(name) = fence.says("steps-of") {
        let (head, steps) = file(name).split_once("  steps {\n").unwrap();
        return format!("{head}{}{}", fence.body, steps.split_once("\n  }\n").unwrap().1);
    }
    fence.body.clone()
}

/// What is told of a text beside the other files of its document: `level[code] message`.
fn told(text: &str, name: &str, files: &[(&str, String)]) -> Vec<(String, String)> {
    let folder = tempfile::tempdir().unwrap();
    let own = [(name, text.to_string())];
    for (name, text) in files.iter().chain(&own) {
        let path = folder.path().join(name);
        std::fs::create_dir_all(path.parent().unwrap()).unwrap();
        std::fs::write(path, text).unwrap();
    }
    let (_, out, err) = run_in(folder.path(), &["check", name, "--format", "json"]);
    let json: serde_json::Value = serde_json::from_str(&out).unwrap_or_else(|error| panic!("{error}: {out}{err}"));
    let word = |one: &serde_json::Value, key: &str| one[key].as_str().unwrap_or_default().to_string();
    let all = json["diagnostics"].as_array().unwrap().iter();
    all.map(|one| {
        (word(one, "code"), format!("{}[{}] {}", word(one, "level"), word(one, "code"), word(one, "message")))
    })
    .collect()
}

/// What is not as the mark of a block says.
fn problem(fence: &Fence, files: &[(&str, String)]) -> Option<String> {
    let known = ["file", "after", "within", "steps-of", "wrong", "uncompiled"];
    if let Some(key) = fence.keys().into_iter().find(|key| !known.contains(key)) {
        return Some(format!("`{key}` says nothing"));
    }
    if let Some(why) = fence.says("uncompiled") {
        return (why.len() < 10).then(|| "it does not say why it is not compiled".to_string());
    }
    let told = told(&compiled(fence, files), fence.says("file").unwrap_or("shown.still"), files);
    let right = match fence.says("wrong") {
        Some(codes) => told.iter().map(|(code, _)| code.as_str()).eq(codes.split(',')),
        None => told.iter().all(|(_, said)| !said.starts_with("error")),
    };
    (!right).then(|| told.into_iter().map(|(_, said)| format!("\n    {said}")).collect())
}

#[test]
fn every_block_of_the_documents_compiles() {
    // What `stillroom new` makes stands beside what the first steps write.
    let made = std::fs::read_to_string(root().join("src/cli/new/materials.still")).unwrap();
    let (mut seen, mut problems) = (0, Vec::new());
    for path in documents() {
        let text = std::fs::read_to_string(&path).unwrap();
        let all = fences(&text);
        assert_eq!(all.len(), text.matches("```still").count(), "{}", path.display());
        let mut files = vec![("materials.still", made.clone())];
        for fence in &all {
            let named = fence.says("file").map(|name| (name, compiled(fence, &files)));
            files.extend(named);
        }
        let name = path.strip_prefix(root()).unwrap().display();
        problems.extend(all.iter().filter_map(|one| Some(format!("{name}:{}: {}", one.line, problem(one, &files)?))));
        seen += all.len();
    }
    assert!(problems.is_empty(), "\n{}\n", problems.join("\n"));
    assert!(seen >= 35, "{seen} blocks");
}

/// What is a file by itself is shown in the one layout. The pages of the catalogue have their own, shorter.
#[test]
fn what_the_documents_show_is_in_the_one_layout() {
    for path in documents() {
        let text = std::fs::read_to_string(&path).unwrap();
        for Fence { line, body, .. } in fences(&text) {
            // A part of a file does not parse, and comes back as it is.
            assert_eq!(stillroom::syntax::format(&body), body, "{}:{line}", path.display());
        }
    }
}
