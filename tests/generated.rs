//! Files, and parts of files, that are made from others and checked in. Each test here compares; with
//! `STILLROOM_WRITE=1` in the environment it writes instead.

#![allow(clippy::disallowed_methods, reason = "tests read and write files of their own")]

mod common;
#[path = "generated/language_words.rs"]
mod language_words;
#[path = "generated/links.rs"]
mod links;
#[path = "generated/parts.rs"]
mod parts;
#[path = "generated/published.rs"]
mod published;
#[path = "generated/textmate.rs"]
mod textmate;
#[path = "generated/tree_sitter_parser.rs"]
mod tree_sitter_parser;

use std::collections::BTreeSet;
use std::fmt::Write as _;
use std::fs;
use std::path::{Path, PathBuf};

fn root() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR"))
}

/// Compares a checked-in file with what it should be, or writes it.
fn current(path: &Path, wanted: &str) {
    if std::env::var_os("STILLROOM_WRITE").is_some() {
        fs::write(path, wanted).unwrap();
        return;
    }
    let have = fs::read_to_string(path).unwrap_or_default();
    assert!(have == wanted, "{} is not current: run `STILLROOM_WRITE=1 cargo test --test generated`", path.display());
}

#[test]
fn the_schemas_are_current() {
    let folder = root().join("docs/schema");
    fs::create_dir_all(&folder).unwrap();
    let text = |schema: schemars::Schema| serde_json::to_string_pretty(&schema).unwrap() + "\n";
    current(&folder.join("sheet.json"), &text(schemars::schema_for!(stillroom::render::Sheet)));
    current(&folder.join("sheets.json"), &text(schemars::schema_for!(stillroom::render::Sheets)));
    current(&folder.join("cost.json"), &text(schemars::schema_for!(stillroom::render::BatchCostJson)));
    current(&folder.join("costs.json"), &text(schemars::schema_for!(stillroom::render::BatchCostsJson)));
    current(&folder.join("label.json"), &text(schemars::schema_for!(stillroom::render::LabelJson)));
    current(&folder.join("labels.json"), &text(schemars::schema_for!(stillroom::render::LabelsJson)));
    current(&folder.join("why.json"), &text(schemars::schema_for!(stillroom::render::WhyJson)));
    current(&folder.join("whys.json"), &text(schemars::schema_for!(stillroom::render::Whys)));
    current(&folder.join("bench.json"), &text(schemars::schema_for!(stillroom::render::BenchJson)));
    current(&folder.join("benches.json"), &text(schemars::schema_for!(stillroom::render::BenchesJson)));
    current(&folder.join("record.json"), &text(schemars::schema_for!(stillroom::render::RecordJson)));
    current(&folder.join("trace.json"), &text(schemars::schema_for!(stillroom::render::TraceJson)));
    current(&folder.join("comparison.json"), &text(schemars::schema_for!(stillroom::render::ComparisonJson)));
    current(&folder.join("ph.json"), &text(schemars::schema_for!(stillroom::render::PhJson)));
    current(&folder.join("phs.json"), &text(schemars::schema_for!(stillroom::render::PhsJson)));
    current(&folder.join("shelf.json"), &text(schemars::schema_for!(stillroom::render::ShelfJson)));
    current(&folder.join("swaps.json"), &text(schemars::schema_for!(stillroom::render::SwapsJson)));
    current(&folder.join("diff.json"), &text(schemars::schema_for!(stillroom::render::DiffJson)));
    current(&folder.join("log.json"), &text(schemars::schema_for!(stillroom::render::LogJson)));
    current(&folder.join("assessor.json"), &text(schemars::schema_for!(stillroom::render::AssessorJson)));
    current(&folder.join("buy.json"), &text(schemars::schema_for!(stillroom::render::BuyJson)));
    current(&folder.join("stock.json"), &text(schemars::schema_for!(stillroom::render::StockJson)));
    current(&folder.join("check.json"), &text(schemars::schema_for!(stillroom::render::CheckJson)));
}

/// The words that the grammar for tree-sitter is made of.
#[test]
fn the_words_of_the_language_are_current() {
    let text = serde_json::to_string_pretty(&language_words::json()).unwrap() + "\n";
    current(&root().join("grammar/tree-sitter-stillroom/words.json"), &text);
}

#[test]
fn the_textmate_grammar_is_current() {
    let text = serde_json::to_string_pretty(&textmate::grammar()).unwrap() + "\n";
    current(&root().join("grammar/stillroom.tmLanguage.json"), &text);
}

/// The catalogue as one document, made of the pages that `explain` prints.
#[test]
fn the_document_of_diagnostics_is_current() {
    use stillroom::diagnostic::CATALOGUE;
    let mut out = String::from(
        "# Diagnostics\n\nMade from the pages that `stillroom explain CODE` prints; do not edit by hand.\n\n\
         | code | level | may be allowed | fault |\n| --- | --- | --- | --- |\n",
    );
    for entry in CATALOGUE {
        let (levels, sentence) = (parts::levels(entry), parts::sentence(entry));
        let allowed = if entry.allowable { "yes" } else { "no" };
        writeln!(out, "| [{0}](#{0}) | {levels} | {allowed} | {sentence} |", entry.name).unwrap();
    }
    for entry in CATALOGUE {
        out.push('\n');
        out.push_str(&entry.page.replace("\n## ", "\n### ").replacen("# ", "## ", 1));
    }
    current(&root().join("docs/diagnostics.md"), &out);
}

/// How much is on the shelf, and how much of it rests on what.
#[test]
fn the_document_of_the_shelf_is_current() {
    use stillroom::lookup::{SourceKind, known};
    use stillroom::shelf::{EDITION, ENTRIES, FILES, ShelfKind};
    let count = |kind, file: Option<u32>| {
        ENTRIES.iter().filter(|entry| entry.kind == kind && file.is_none_or(|file| entry.file == file)).count()
    };
    let facts = |kind: SourceKind, file: Option<u32>| {
        let entries = (0u32..).zip(ENTRIES).filter(|(_, entry)| file.is_none_or(|file| entry.file == file));
        let facts = entries.filter_map(|(number, _)| known(number)).flat_map(|known| known.facts);
        facts.filter(|fact| fact.source.as_ref().is_some_and(|source| source.kind == kind)).count()
    };
    let all: usize = SourceKind::ALL.into_iter().map(|kind| facts(kind, None)).sum();
    let mut out = format!(
        "# The shelf\n\nMade by `tests/generated.rs`; do not edit by hand.\n\n\
         The shelf is what the language knows by itself: substances, materials and rules, written in the language. Its\n\
         edition is **{EDITION}**; every sheet shows it. It has {} substances, {} materials, {} groups and {} rules.\n\
         `stillroom shelf NAME` shows what is known of one, each fact with its source.\n\n",
        count(ShelfKind::Substance, None),
        count(ShelfKind::Material, None),
        count(ShelfKind::Group, None),
        count(ShelfKind::Rule, None),
    );
    out.push_str(
        "## Where the facts come from\n\n\
         Every fact names its source; a test refuses one without. A field may have a source of its own. Otherwise the\n\
         source of its block speaks of it: the clause of it that names the field (`molar mass computed …; CAS agrees …`),\n\
         else the rest. `tests/language/source_form.rs` holds every one to a form.\n\n| source | facts | share | what it is worth |\n| --- | ---: | ---: | --- |\n",
    );
    for kind in SourceKind::ALL {
        let worth = match kind {
            SourceKind::Published => {
                "a law by its clause, or a work by author, title, year and place: anyone can open it"
            }
            SourceKind::Computed => "worked out from something published: molar masses from standard atomic weights",
            SourceKind::CommonPractice => {
                "what the trade does, with nothing to read: an opinion, and a warning at most"
            }
            SourceKind::FromMemory => "to be looked up before it is leaned on",
        };
        let found = facts(kind, None);
        // Tenths of a percent, half up.
        let share = (found * 2000 / all).div_ceil(2);
        writeln!(out, "| {} | {found} | {}.{} % | {worth} |", kind.words(), share / 10, share % 10).unwrap();
    }
    writeln!(out, "| all | {all} | 100 % | |").unwrap();
    out.push_str("\n## By file\n\n| file | substances | materials | groups | rules |");
    for kind in SourceKind::ALL {
        write!(out, " {} |", kind.words()).unwrap();
    }
    out.push_str("\n| --- | ---: | ---: | ---: | ---: |");
    out.push_str(&" ---: |".repeat(SourceKind::ALL.len()));
    out.push('\n');
    for (file, number) in FILES.iter().zip(0u32..) {
        write!(out, "| `shelf/{}` |", file.name).unwrap();
        for kind in [ShelfKind::Substance, ShelfKind::Material, ShelfKind::Group, ShelfKind::Rule] {
            write!(out, " {} |", count(kind, Some(number))).unwrap();
        }
        for kind in SourceKind::ALL {
            write!(out, " {} |", facts(kind, Some(number))).unwrap();
        }
        out.push('\n');
    }
    out.push_str(
        "\n## What holds the figures\n\n\
         `tests/language/shelf_figures.rs` recomputes every molar mass from a formula by the standard atomic weights of\n\
         2021, within 0.02 g/mol, and holds acid-base constants, densities and solubilities against published tables that\n\
         stand beside it in `tests/data/`. `tests/language/shelf.rs` looks at sources, layout, names, CAS check digits, and lets every\n\
         material stand in a formula at the middle of its usage range.\n",
    );
    current(&root().join("docs/shelf.md"), &out);
}

/// A room of the tree: a folder of `src`.
struct Room {
    name: String,
    /// What it is, by the first sentence of its `mod.rs`.
    what: String,
    /// The rooms it takes names from.
    knows: BTreeSet<String>,
}

fn rooms() -> Vec<Room> {
    let source = root().join("src");
    let mut names: Vec<String> = fs::read_dir(&source)
        .unwrap()
        .map(|entry| entry.unwrap())
        .filter(|entry| entry.path().is_dir())
        .map(|entry| entry.file_name().into_string().unwrap())
        .collect();
    names.sort();
    let room = |name: &String| {
        let lines = fs::read_to_string(source.join(name).join("mod.rs")).unwrap();
        let doc: Vec<&str> = lines.lines().map_while(|line| line.strip_prefix("//!")).map(str::trim).collect();
        let doc = doc.join(" ");
        let what = doc.split_once(". ").map_or(doc.as_str(), |(first, _)| first).trim_end_matches('.').to_string();
        let mut knows = BTreeSet::new();
        for text in rust_files(&source.join(name)) {
            // A test within a file may look at anything.
            let code = text.split("#[cfg(test)]").next().unwrap();
            // The commands are the program's own, and take from the library by its name.
            for (at, root) in code.match_indices("crate::").chain(code.match_indices("stillroom::")) {
                let rest = &code[at + root.len()..];
                let word: String =
                    rest.chars().take_while(|letter| letter.is_alphanumeric() || *letter == '_').collect();
                let comment = code[..at].rsplit('\n').next().unwrap().trim_start().starts_with("//");
                if !comment && word != *name && names.contains(&word) {
                    knows.insert(word);
                }
            }
        }
        Room { name: name.clone(), what, knows }
    };
    names.iter().map(room).collect()
}

fn rust_files(folder: &Path) -> Vec<String> {
    let mut paths: Vec<PathBuf> = fs::read_dir(folder).unwrap().map(|entry| entry.unwrap().path()).collect();
    paths.sort();
    let mut texts = Vec::new();
    for path in paths {
        if path.is_dir() {
            texts.extend(rust_files(&path));
        } else if path.extension().is_some_and(|extension| extension == "rs") {
            texts.push(fs::read_to_string(&path).unwrap());
        }
    }
    texts
}

/// The rooms in an order in which each knows only those before it. Two that know one another are a fault of the tree.
#[test]
fn the_table_of_rooms_is_current() {
    let mut open = rooms();
    let mut table = String::from("| room | what it is |\n| --- | --- |\n");
    let mut placed: BTreeSet<String> = BTreeSet::new();
    while !open.is_empty() {
        let (next, later): (Vec<Room>, Vec<Room>) =
            open.into_iter().partition(|room| room.knows.iter().all(|known| placed.contains(known)));
        let left = || later.iter().map(|room| format!("{} knows {:?}", room.name, room.knows)).collect::<Vec<_>>();
        assert!(!next.is_empty(), "rooms that know one another: {:#?}", left());
        for room in &next {
            writeln!(table, "| `{}` | {} |", room.name, room.what).unwrap();
        }
        placed.extend(next.into_iter().map(|room| room.name));
        open = later;
    }
    let path = root().join("DEVELOPERS.md");
    let (before, rest) = between(&path, "<!-- rooms: made by tests/generated.rs -->\n", "<!-- /rooms -->");
    current(&path, &format!("{before}{table}{rest}"));
}

/// What stands before a made part of a document, its opening mark included, and what stands from its closing mark on.
fn between(path: &Path, opens: &str, closes: &str) -> (String, String) {
    let text = fs::read_to_string(path).unwrap();
    let start = text.find(opens).unwrap() + opens.len();
    let end = text.find(closes).unwrap();
    (text[..start].to_string(), text[end..].to_string())
}

/// Every made part of the documents, between its marks: tables of fields, units, words, levels and codes.
#[test]
fn the_made_parts_of_the_documents_are_current() {
    let mut used = BTreeSet::new();
    for file in fs::read_dir(root().join("docs")).unwrap().map(|entry| entry.unwrap().path()) {
        if file.extension().is_none_or(|extension| extension != "md") {
            continue;
        }
        let text = fs::read_to_string(&file).unwrap();
        let mut wanted = String::new();
        let mut rest = text.as_str();
        while let Some((before, after)) = rest.split_once("<!-- made: ") {
            let (name, after) = after.split_once(" -->\n").unwrap();
            let (_, after) = after.split_once("<!-- /made -->").unwrap_or_else(|| panic!("{name} has no end"));
            let part = parts::part(name).unwrap_or_else(|| panic!("{}: no part {name}", file.display()));
            write!(wanted, "{before}<!-- made: {name} -->\n{part}<!-- /made -->").unwrap();
            used.insert(name.to_string());
            rest = after;
        }
        if wanted.is_empty() {
            continue;
        }
        wanted.push_str(rest);
        current(&file, &wanted);
    }
    assert_eq!(used, parts::names().into_iter().collect(), "every part stands in a document");
}

/// The contributors' guide is read in one sitting.
#[test]
fn the_guide_for_contributors_is_short() {
    let length = fs::metadata(root().join("DEVELOPERS.md")).unwrap().len();
    assert!(length <= 12_000, "DEVELOPERS.md has {length} bytes, over 12 kB");
}
