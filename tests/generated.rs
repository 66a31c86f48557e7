//! Files that are made from others and checked in. Each test here compares; with `STILLROOM_WRITE=1` in the
//! environment it writes instead.

#![allow(clippy::disallowed_methods, reason = "tests read and write files of their own")]

use std::collections::{BTreeMap, BTreeSet};
use std::fmt::Write as _;
use std::fs;
use std::path::{Path, PathBuf};
use stillroom::diagnostic::FileId;
use stillroom::syntax::tree::{Condition, Item, Rule, RuleBodyKind, RuleStatement, SubstanceField, UseTarget};

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

/// The edition of the shelf: the month of the reference data it was last brought up to.
const EDITION: &str = "2026-11";

/// The day on which the rules of the shelf were read.
const EDITION_DATE: &str = "2026-11-25";

/// A declaration of the shelf.
struct Entry {
    order: u8,
    kind: &'static str,
    name: String,
    file: usize,
    item: Item,
}

/// The files of the shelf, what each uses, and every declaration in the order of the index.
struct Shelf {
    names: Vec<String>,
    uses: Vec<Vec<usize>>,
    entries: Vec<Entry>,
}

fn folder() -> PathBuf {
    root().join("src/shelf")
}

fn read_shelf() -> Shelf {
    let mut names: Vec<String> = fs::read_dir(folder())
        .unwrap()
        .map(|entry| entry.unwrap().path())
        .filter(|path| path.extension().is_some_and(|ext| ext == "still"))
        .map(|path| path.file_stem().unwrap().to_string_lossy().into_owned())
        .collect();
    names.sort();
    let mut entries: Vec<Entry> = Vec::new();
    let mut uses: Vec<Vec<usize>> = Vec::new();
    for (number, name) in names.iter().enumerate() {
        let text = fs::read_to_string(folder().join(format!("{name}.still"))).unwrap();
        let parsed = stillroom::shelf::parse_file(FileId(u32::try_from(number).unwrap()), &text);
        assert!(parsed.faults.is_empty(), "{name}.still: {:#?}", parsed.faults);
        let mut used = Vec::new();
        for item in parsed.tree.items {
            let (order, kind) = match &item {
                Item::Substance(_) => (0, "Substance"),
                Item::Material(_) => (1, "Material"),
                Item::Group(_) => (2, "Group"),
                Item::Rule(_) => (3, "Rule"),
                Item::Use(item) => {
                    let UseTarget::Shelf(target) = &item.target else { panic!("{name}.still uses a path") };
                    used.push(names.iter().position(|name| *name == target.text).expect("a file of the shelf"));
                    continue;
                }
                other => panic!("{name}.still: the shelf holds no such declaration: {other:?}"),
            };
            entries.push(Entry { order, kind, name: item.name().unwrap().text.to_string(), file: number, item });
        }
        uses.push(used);
    }
    entries.sort_by(|a, b| (a.order, &a.name).cmp(&(b.order, &b.name)));
    for pair in entries.windows(2) {
        assert!(
            (pair[0].order, &pair[0].name) != (pair[1].order, &pair[1].name),
            "the shelf has two of {}",
            pair[0].name
        );
    }
    Shelf { names, uses, entries }
}

#[test]
fn the_index_of_the_shelf_is_current() {
    let Shelf { names, uses, entries } = read_shelf();
    let mut out = String::from(
        "//! The index of the shelf, made by `tests/generated.rs`: do not edit by hand.\n\n\
         use super::{ShelfEntry, ShelfFile, ShelfKind};\n\n\
         /// The edition of the shelf, shown on every sheet.\n",
    );
    writeln!(out, "pub const EDITION: &str = \"{EDITION}\";\n").unwrap();
    out.push_str("/// The day on which the rules of the shelf were read.\n");
    writeln!(out, "pub const EDITION_DATE: &str = \"{EDITION_DATE}\";\n").unwrap();
    out.push_str("/// The files of the shelf, by name.\n#[rustfmt::skip]\npub const FILES: &[ShelfFile] = &[\n");
    for (number, name) in names.iter().enumerate() {
        let mut reach: u64 = 1 << number;
        loop {
            let wider = (0..names.len())
                .filter(|file| reach >> file & 1 == 1)
                .fold(reach, |reach, file| uses[file].iter().fold(reach, |reach, used| reach | 1 << used));
            if wider == reach {
                break;
            }
            reach = wider;
        }
        writeln!(out, "    ShelfFile {{ name: \"{name}\", text: include_str!(\"{name}.still\"), reach: {reach:#b} }},")
            .unwrap();
    }
    out.push_str("];\n\n/// Every declaration of the shelf, by kind, then by name.\n#[rustfmt::skip]\npub const ENTRIES: &[ShelfEntry] = &[\n");
    for Entry { kind, name, file, item, .. } in &entries {
        let (start, end) = (item.span().start, item.span().end);
        writeln!(
            out,
            "    ShelfEntry {{ kind: ShelfKind::{kind}, name: \"{name}\", file: {file}, start: {start}, end: {end} }},"
        )
        .unwrap();
    }
    out.push_str("];\n");
    current(&folder().join("index.rs"), &out);
}

/// The CAS numbers of a declared substance, then its INCI name in small letters.
fn keys_of(item: &Item) -> Vec<String> {
    let Item::Substance(substance) = item else { return Vec::new() };
    let mut keys = Vec::new();
    for fact in &substance.facts {
        match &fact.field {
            SubstanceField::Cas(text) => keys.extend(text.value.split(';').map(|number| number.trim().to_string())),
            SubstanceField::Inci(text) => keys.push(text.value.to_lowercase()),
            _ => {}
        }
    }
    keys
}

/// The names that must be in a formula for a rule to say anything of it; none where it speaks to every formula.
fn names_of(rule: &Rule) -> Option<Vec<&str>> {
    let mut named: Vec<&str> = Vec::new();
    let mut waits = false;
    for statement in &rule.statements {
        match statement {
            RuleStatement::When(Condition::Above(subject, _)) => {
                waits = true;
                named.push(&subject.text);
            }
            RuleStatement::When(_) => return None,
            _ => {}
        }
    }
    for statement in &rule.statements {
        let RuleStatement::Body(body) = statement else { continue };
        match &body.kind {
            RuleBodyKind::Limit { subject, .. } | RuleBodyKind::Forbid(subject) | RuleBodyKind::Declare(subject, _) => {
                named.push(&subject.text);
            }
            RuleBodyKind::RequirePh(_) | RuleBodyKind::Require(..) | RuleBodyKind::Print(_) if waits => {}
            RuleBodyKind::RequirePh(_) | RuleBodyKind::Require(..) | RuleBodyKind::Print(_) => return None,
        }
    }
    Some(named)
}

/// Which rules of the shelf speak of which substances, so that a formula parses no other.
#[test]
fn the_index_of_rules_is_current() {
    let shelf = read_shelf();
    let find = |order: u8, name: &str| shelf.entries.iter().find(|entry| entry.order == order && entry.name == name);
    let mut out = String::from(
        "//! The index of the rules of the shelf, made by `tests/generated.rs`: do not edit by hand.\n\n\
         use super::ShelfRule;\nuse crate::syntax::vocabulary::Market;\n\n\
         /// The rules of the shelf, by name.\n#[rustfmt::skip]\npub const RULES: &[ShelfRule] = &[\n",
    );
    let mut by_key: BTreeMap<String, BTreeSet<usize>> = BTreeMap::new();
    let mut for_all = Vec::new();
    let mut number = 0;
    for (at, entry) in shelf.entries.iter().enumerate() {
        let Item::Rule(rule) = &entry.item else { continue };
        let (mut markets, mut from, mut until) = (Vec::new(), None, None);
        for statement in &rule.statements {
            match statement {
                RuleStatement::Market(named) => markets.extend(named.iter().map(|(market, _)| *market)),
                RuleStatement::From(day, _) => from = Some(day.as_str()),
                RuleStatement::Until(day, _) => until = Some(day.as_str()),
                _ => {}
            }
        }
        let [market] = markets[..] else { panic!("{}: a rule of the shelf is of one market", entry.name) };
        assert!(
            rule.statements.iter().any(|statement| matches!(statement, RuleStatement::Source(_))),
            "{} has no source",
            entry.name
        );
        writeln!(out, "    ShelfRule {{ entry: {at}, market: Market::{market:?}, from: {from:?}, until: {until:?} }},")
            .unwrap();
        match names_of(rule) {
            None => for_all.push(number),
            Some(names) => {
                for name in names {
                    let members: Vec<&str> = match find(2, name).map(|entry| &entry.item) {
                        Some(Item::Group(group)) => group.members.iter().map(|member| member.text.as_str()).collect(),
                        _ => vec![name],
                    };
                    for member in members {
                        let substance = find(0, member).unwrap_or_else(|| panic!("{}: no {member}", entry.name));
                        for key in keys_of(&substance.item) {
                            by_key.entry(key).or_default().insert(number);
                        }
                    }
                }
            }
        }
        number += 1;
    }
    out.push_str("];\n\n/// The numbers of the rules that speak to every formula of their market.\n");
    writeln!(out, "pub const RULES_FOR_ALL: &[usize] = &{for_all:?};\n").unwrap();
    out.push_str(
        "/// The numbers of the rules that speak of a CAS number or an INCI name in small letters, by that.\n\
         #[rustfmt::skip]\npub const RULE_KEYS: &[(&str, &[usize])] = &[\n",
    );
    for (key, rules) in &by_key {
        writeln!(out, "    ({key:?}, &{:?}),", rules.iter().collect::<Vec<_>>()).unwrap();
    }
    // Where two substances share a number, the one that materials are made of stands for both.
    let mut substances: BTreeMap<String, (bool, usize)> = BTreeMap::new();
    for (at, entry) in shelf.entries.iter().enumerate() {
        let of_rules = shelf.names[entry.file].starts_with("rules-");
        for key in keys_of(&entry.item) {
            let known = substances.entry(key).or_insert((of_rules, at));
            if known.0 && !of_rules {
                *known = (of_rules, at);
            }
        }
    }
    out.push_str(
        "];\n\n/// The substance with a CAS number, or an INCI name in small letters, by that.\n\
         #[rustfmt::skip]\npub const SUBSTANCE_KEYS: &[(&str, u32)] = &[\n",
    );
    for (key, (_, at)) in &substances {
        writeln!(out, "    ({key:?}, {at}),").unwrap();
    }
    out.push_str("];\n");
    current(&folder().join("rule_index.rs"), &out);
}

#[test]
fn the_schemas_are_current() {
    let folder = root().join("docs/schema");
    fs::create_dir_all(&folder).unwrap();
    let text = |schema: schemars::Schema| serde_json::to_string_pretty(&schema).unwrap() + "\n";
    current(&folder.join("sheet.json"), &text(schemars::schema_for!(stillroom::render::Sheet)));
    current(&folder.join("sheets.json"), &text(schemars::schema_for!(stillroom::render::Sheets)));
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
    current(&folder.join("diff.json"), &text(schemars::schema_for!(stillroom::render::DiffJson)));
    current(&folder.join("log.json"), &text(schemars::schema_for!(stillroom::render::LogJson)));
    current(&folder.join("check.json"), &text(schemars::schema_for!(stillroom::render::CheckJson)));
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
        let sentence = entry.page.lines().nth(2).unwrap();
        let allowed = if entry.allowable { "yes" } else { "no" };
        writeln!(out, "| [{0}](#{0}) | {1} | {allowed} | {sentence} |", entry.name, entry.level.word()).unwrap();
    }
    for entry in CATALOGUE {
        out.push('\n');
        out.push_str(&entry.page.replace("\n## ", "\n### ").replacen("# ", "## ", 1));
    }
    current(&root().join("docs/diagnostics.md"), &out);
}

/// How much is on the shelf, and how much of it rests on what. It is read from the shelf as it is built in: after a
/// change of the index, write twice.
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
         else the rest.\n\n| source | facts | share | what it is worth |\n| --- | ---: | ---: | --- |\n",
    );
    for kind in SourceKind::ALL {
        let worth = match kind {
            SourceKind::Published => {
                "a law, a handbook, a paper or a table that can be read; a few are named by their subject only"
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

/// The contributors' guide is read in one sitting.
#[test]
fn the_guide_for_contributors_is_short() {
    let length = fs::metadata(root().join("DEVELOPERS.md")).unwrap().len();
    assert!(length <= 12_000, "DEVELOPERS.md has {length} bytes, over 12 kB");
}
