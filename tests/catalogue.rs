//! The catalogue: the wrong example of each page gives exactly its code, the right one nothing at all; the exit code is
//! 1 where an error is told and 0 where it is a warning, a note or nothing, as `docs/checking.md` says.

mod common;

use common::repository::{Repository, run_in};
use common::{Folder, folder};
use stillroom::diagnostic::{CATALOGUE, CatalogueEntry, Code};
use stillroom::render::{Style, human};
use stillroom::session::check;
use stillroom::sheet::BatchOrder;

/// A fenced block of a page.
struct Fence {
    word: String,
    text: String,
}

fn fences(entry: &CatalogueEntry, section: &str) -> Vec<Fence> {
    let body =
        entry.page.split(&format!("\n## {section}\n")).nth(1).unwrap_or_else(|| panic!("{}: no {section}", entry.name));
    let body = body.split("\n## ").next().unwrap();
    let mut found = Vec::new();
    let mut inside: Option<Fence> = None;
    for line in body.lines() {
        match (&mut inside, line.strip_prefix("```")) {
            (None, Some(word)) => inside = Some(Fence { word: word.to_string(), text: String::new() }),
            (Some(_), Some(_)) => found.extend(inside.take()),
            (Some(fence), None) => {
                fence.text.push_str(line);
                fence.text.push('\n');
            }
            (None, None) => {}
        }
    }
    assert!(!found.is_empty(), "{}: {section} has no example", entry.name);
    found
}

/// `key=value` of a fence's word.
fn option<'f>(fence: &'f Fence, key: &str) -> Option<&'f str> {
    let rest = fence.word.split(&format!("{key}=")).nth(1)?;
    match rest.strip_prefix('"') {
        Some(quoted) => quoted.split('"').next(),
        None => rest.split(' ').next(),
    }
}

/// The bytes of an example, with what a page cannot show put in.
fn bytes(fence: &Fence) -> Vec<u8> {
    let mut text = fence.text.clone();
    if let Some(deep) = option(fence, "deep") {
        let deep = deep.parse().unwrap();
        text = text.replace("@@", &"(".repeat(deep)).replace("%%", &")".repeat(deep));
    }
    if let Some(chain) = option(fence, "chain") {
        let variant = |at: usize| {
            let below = at - 1;
            format!("variant glycerin-water-{at} of glycerin-water-{below} {{\n  set glycerin  6 %\n}}\n")
        };
        text.extend((2..=chain.parse().unwrap()).map(variant));
    }
    let mut bytes = text.into_bytes();
    if let Some(fill) = option(fence, "fill") {
        bytes.extend(b"# ");
        bytes.resize(bytes.len() + fill.parse::<usize>().unwrap(), b'x');
    }
    if fence.word.contains(" bytes") {
        let text = String::from_utf8(bytes).unwrap();
        let mut parts = text.split("\\x");
        bytes = parts.next().unwrap().as_bytes().to_vec();
        for part in parts {
            bytes.push(u8::from_str_radix(&part[..2], 16).unwrap());
            bytes.extend(&part.as_bytes()[2..]);
        }
    }
    bytes
}

fn written(fences: &[Fence]) -> Folder {
    let files: Vec<(String, Vec<u8>)> = fences
        .iter()
        .map(|fence| (option(fence, "file").unwrap_or("formula.still").to_string(), bytes(fence)))
        .collect();
    folder(&files.iter().map(|(name, bytes)| (name.as_str(), bytes.as_slice())).collect::<Vec<_>>())
}

/// Whether a fence shows a file as it stood at the commit that it is held against.
fn is_before(fence: &Fence) -> bool {
    fence.word.ends_with(" before")
}

/// Files that stood otherwise at the last commit.
fn before_and_now(fences: &[Fence]) -> Repository {
    let repository = Repository::new();
    let put = |before: bool| {
        for fence in fences.iter().filter(|fence| is_before(fence) == before) {
            repository.write(option(fence, "file").unwrap_or("formula.still"), &fence.text);
        }
    };
    put(true);
    repository.commit("before");
    put(false);
    repository
}

/// What the program makes of an example: its exit code, and of each diagnostic the level and the code.
#[derive(Debug, PartialEq)]
struct Told {
    exit: i32,
    faults: Vec<(String, String)>,
}

impl Told {
    /// By the JSON that `check` prints.
    fn by_json((exit, out, err): (i32, String, String)) -> Told {
        let json: serde_json::Value = serde_json::from_str(&out).unwrap_or_else(|error| panic!("{error}: {out}{err}"));
        let word = |one: &serde_json::Value, key: &str| one[key].as_str().unwrap().to_string();
        let all = json["diagnostics"].as_array().unwrap().iter();
        Told { exit, faults: all.map(|one| (word(one, "level"), word(one, "code"))).collect() }
    }

    /// By what a command without such JSON says beside its result: `error [code]`.
    fn by_words((exit, _, err): (i32, String, String)) -> Told {
        let pieces = err.split(" [").collect::<Vec<_>>();
        let faults = pieces.windows(2).filter_map(|pair| {
            let code = pair[1].split(']').next()?;
            let level = pair[0].rsplit(|letter: char| !letter.is_alphabetic()).next()?;
            Code::from_name(code).map(|_| (level.to_string(), code.to_string()))
        });
        Told { exit, faults: faults.collect() }
    }

    fn codes(&self) -> Vec<&str> {
        self.faults.iter().map(|(_, code)| code.as_str()).collect()
    }

    /// The exit code that its worst level calls for.
    fn due(&self) -> i32 {
        i32::from(self.faults.iter().any(|(level, _)| level == "error"))
    }
}

/// What an example gives through the real command line, by the command that its page names.
fn told(fences: &[Fence]) -> Told {
    if fences.iter().any(is_before) {
        return Told::by_json(before_and_now(fences).run(&["check", "--since", "HEAD", "--format", "json"]));
    }
    let folder = written(fences);
    let path = folder.first.to_str().unwrap();
    let mut words = option(&fences[0], "command").unwrap_or("check").split(' ');
    let command = words.next().unwrap();
    let more: Vec<&str> = words.collect();
    if command == "check" {
        let arguments = [&[command, path, "--format", "json"], more.as_slice()].concat();
        return Told::by_json(run_in(folder.dir.path(), &arguments));
    }
    Told::by_words(run_in(folder.dir.path(), &[&[command, path], more.as_slice()].concat()))
}

#[test]
fn the_wrong_example_gives_exactly_its_code_and_the_right_one_none() {
    let mut problems = Vec::new();
    for entry in CATALOGUE {
        let wrong = told(&fences(entry, "Wrong"));
        if wrong.codes() != [entry.name] || wrong.exit != wrong.due() {
            problems.push(format!("{}: the wrong example gives {wrong:?}", entry.name));
        }
        // An example's level follows the source of its facts, like any other.
        let levels: Vec<&str> =
            std::iter::once(&entry.level).chain(entry.code.other_levels()).map(|level| level.word()).collect();
        if wrong.faults.iter().any(|(level, _)| !levels.contains(&level.as_str())) {
            problems.push(format!("{}: the page says {}, and told is {wrong:?}", entry.name, entry.level.word()));
        }
        let right = told(&fences(entry, "Right"));
        if right != (Told { exit: 0, faults: Vec::new() }) {
            problems.push(format!("{}: the right example gives {right:?}", entry.name));
        }
    }
    assert!(problems.is_empty(), "{}", problems.join("\n"));
}

/// How the wrong example of each page is told of: source and message together, so that it can be read aloud.
#[test]
fn the_messages_read_as_they_did() {
    for entry in CATALOGUE {
        let fences = fences(entry, "Wrong");
        if ["fill=", "deep=", "chain="].iter().any(|made| fences[0].word.contains(made)) {
            continue;
        }
        if fences.iter().any(is_before) {
            let repository = before_and_now(&fences);
            let (_, told, _) = repository.run(&["check", "--since", "HEAD"]);
            insta::with_settings!({ omit_expression => true, snapshot_path => "snapshots/messages", prepend_module_to_snapshot => false }, {
                insta::assert_snapshot!(entry.name, told);
            });
            continue;
        }
        let folder = written(&fences);
        if let Some(asked) = option(&fences[0], "command").filter(|command| command.starts_with("label")) {
            let mut words = asked.split(' ');
            let arguments: Vec<&str> = words.next().into_iter().chain(["formula.still"]).chain(words).collect();
            let (_, _, told) = run_in(folder.dir.path(), &arguments);
            insta::with_settings!({ omit_expression => true, snapshot_path => "snapshots/messages", prepend_module_to_snapshot => false }, {
                insta::assert_snapshot!(entry.name, told);
            });
            continue;
        }
        let loaded = folder.load();
        let needs_weight = option(&fences[0], "command").is_some_and(|command| command.starts_with("sheet"));
        let report = check(&loaded.sources, &BatchOrder::default(), needs_weight);
        let look = Style { colour: false, width: 100 };
        let told = human(&loaded.sources, &report.diagnostics, look).as_str().to_string();
        insta::with_settings!({ omit_expression => true, snapshot_path => "snapshots/messages", prepend_module_to_snapshot => false }, {
            insta::assert_snapshot!(entry.name, told);
        });
    }
}

#[test]
fn every_page_reads_like_the_others() {
    for entry in CATALOGUE {
        let lines: Vec<&str> = entry.page.lines().collect();
        assert_eq!(lines[0], format!("# {}", entry.name));
        let sentence = lines[2];
        assert!(sentence.ends_with('.') && sentence.split_whitespace().count() < 30, "{}: {sentence}", entry.name);
        for section in ["At the bench", "Wrong", "Right"] {
            assert_eq!(entry.page.matches(&format!("\n## {section}\n")).count(), 1, "{}: {section}", entry.name);
        }
    }
}
