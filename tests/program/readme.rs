//! What the README and the page on versions show of the program is what it prints.
#![allow(clippy::disallowed_methods, reason = "tests read files of their own")]

use super::common::repository::Repository;
use std::path::{Path, PathBuf};

fn root() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR"))
}

/// A command of a document, and what the document says it prints.
struct Shown {
    line: usize,
    words: Vec<String>,
    output: Vec<String>,
}

/// The words of a command line: blanks part them, outside of double quotes.
fn words(command: &str) -> Vec<String> {
    let (mut all, mut quoted) = (vec![String::new()], false);
    for char in command.chars() {
        match (char, quoted) {
            ('"', _) => quoted = !quoted,
            (' ', false) => all.push(String::new()),
            _ => all.last_mut().unwrap().push(char),
        }
    }
    all
}

/// The blocks between fences: the line each begins on, what stands behind the fence, what it holds.
fn blocks(text: &str) -> Vec<(usize, &str, Vec<&str>)> {
    let mut found: Vec<(usize, &str, Vec<&str>)> = Vec::new();
    let mut inside = false;
    for (number, line) in (1..).zip(text.lines()) {
        match (line.strip_prefix("```"), inside) {
            (Some(mark), false) => found.push((number, mark, Vec::new())),
            (None, true) => found.last_mut().unwrap().2.push(line),
            _ => {}
        }
        inside ^= line.starts_with("```");
    }
    found
}

fn shown(text: &str) -> Vec<Shown> {
    let mut found: Vec<Shown> = Vec::new();
    for (start, mark, lines) in blocks(text) {
        for (number, line) in (start + 1..).zip(lines).filter(|_| mark == "text") {
            match line.strip_prefix("$ stillroom ") {
                Some(command) => found.push(Shown { line: number, words: words(command), output: Vec::new() }),
                None => found.last_mut().unwrap().output.push(line.to_string()),
            }
        }
    }
    found
}

/// Whether the lines are those that are shown, `…` alone standing for any number of them.
fn is_as_shown(lines: &[&str], shown: &[String]) -> bool {
    match shown.split_first() {
        None => lines.is_empty(),
        Some((first, rest)) if first.trim() == "…" => (0..=lines.len()).any(|skip| is_as_shown(&lines[skip..], rest)),
        Some((first, rest)) => lines.first() == Some(&first.as_str()) && is_as_shown(&lines[1..], rest),
    }
}

/// The lines to their last that says anything.
fn trimmed<'t>(lines: impl Iterator<Item = &'t str>) -> Vec<&'t str> {
    let mut all: Vec<&str> = lines.collect();
    while all.last().is_some_and(|line| line.is_empty()) {
        all.pop();
    }
    all
}

/// Runs the command in the folder and says where it prints something else than is shown.
fn problem(room: &Repository, shown: &Shown) -> Option<String> {
    let arguments: Vec<&str> = shown.words.iter().map(String::as_str).collect();
    let (_, out, err) = room.run(&arguments);
    let expected: Vec<String> =
        trimmed(shown.output.iter().map(String::as_str)).iter().map(|s| s.to_string()).collect();
    let printed = [out.clone(), format!("{err}\n{out}"), format!("{err}{out}"), format!("{out}{err}")];
    let holds = printed.iter().any(|text| is_as_shown(&trimmed(text.lines()), &expected));
    (!holds).then(|| format!("line {}: `stillroom {}` prints\n{out}{err}", shown.line, arguments.join(" ")))
}

fn copy(from: &Path, room: &Repository, under: &str) {
    for entry in std::fs::read_dir(from).unwrap().map(Result::unwrap).filter(|one| one.path().is_file()) {
        let name = entry.file_name().into_string().unwrap();
        room.write(&format!("{under}/{name}"), &std::fs::read_to_string(entry.path()).unwrap());
    }
}

/// The gel of the README with the maker's own panthenol in it, as the page on versions has it.
fn with_own_panthenol(gel: &str, version: &str, glycerin: &str) -> String {
    gel.replace("use shelf/all", "use \"materials.still\"")
        .replace("version  \"1.0\"", &format!("version  \"{version}\""))
        .replace("glycerin        4 %", &format!("glycerin        {glycerin} %"))
        .replace("panthenol-75  ", "our-panthenol ")
        .replace("{panthenol-75}", "{our-panthenol}")
}

/// Her materials, with panthenol of that strength.
fn materials(strength: &str) -> String {
    format!(
        "use shelf/all\n\nmaterial our-panthenol like panthenol-75 {{\n  contains  panthenol {strength} % active, water remainder\n}}\n"
    )
}

#[test]
fn the_readme_shows_what_the_program_prints() {
    let text = std::fs::read_to_string(root().join("README.md")).unwrap();
    let room = Repository::new();
    copy(&root().join("examples"), &room, "examples");
    let mut gel = String::new();
    for (_, mark, lines) in blocks(&text) {
        if let Some((_, name)) = mark.strip_prefix("still ").and_then(|mark| mark.split_once("file=")) {
            let file = format!("{}\n", lines.join("\n"));
            room.write(name, &file);
            if name == "hand-gel.still" {
                room.write("typed.still", &file.replace("0.5 %", "0,5 %"));
                gel = file;
            }
        }
    }
    let winter = std::fs::read_to_string(room.path().join("hand-gel-winter.still")).unwrap();
    let (mut seen, mut problems) = (0, Vec::new());
    for one in shown(&text) {
        let words: Vec<&str> = one.words.iter().map(String::as_str).collect();
        match words.as_slice() {
            ["check", "hand-gel-winter.still"] => {
                room.write("hand-gel-winter.still", &winter.replace("glycerin  5 %", "glycerin  6 %"));
            }
            ["diff", ..] => continue,
            _ => {}
        }
        problems.extend(problem(&room, &one));
        seen += 1;
    }
    assert!(!gel.is_empty() && seen >= 12, "{seen} commands");
    assert!(problems.is_empty(), "{}", problems.join("\n"));
}

/// Twice a change, and what is said of it; the README shows the second as well.
#[test]
fn the_page_on_versions_shows_what_the_program_prints() {
    let readme = std::fs::read_to_string(root().join("README.md")).unwrap();
    let gel =
        format!("{}\n", blocks(&readme)[1..].iter().find(|one| one.1.contains("hand-gel.still")).unwrap().2.join("\n"));
    let page = std::fs::read_to_string(root().join("docs/versions.md")).unwrap();
    let all = shown(&page);
    let asked = |words: &str| all.iter().filter(|one| one.words.join(" ") == words).collect::<Vec<_>>();
    let (diffs, checks) = (asked("diff . --since HEAD"), asked("check . --since HEAD"));
    assert_eq!((diffs.len(), checks.len()), (2, 1));

    let room = Repository::new();
    room.write("materials.still", &materials("75"));
    room.write("hand-gel.still", &with_own_panthenol(&gel, "1.0", "4"));
    room.commit("The formulas as they are");
    room.write("hand-gel.still", &with_own_panthenol(&gel, "1.0", "5"));
    let mut problems: Vec<String> = [diffs[0], checks[0]].into_iter().filter_map(|one| problem(&room, one)).collect();
    room.write("hand-gel.still", &with_own_panthenol(&gel, "1.1", "5"));
    room.commit("More glycerin: it dried out on the hands");
    room.write("materials.still", &materials("72.5"));
    problems.extend(problem(&room, diffs[1]));
    let in_readme =
        shown(&readme).into_iter().find(|one| one.words.first().is_some_and(|word| word == "diff")).unwrap();
    problems.extend(problem(&room, &in_readme));
    assert!(problems.is_empty(), "{}", problems.join("\n"));
}
