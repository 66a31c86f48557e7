//! `stillroom shelf`: names, words, nothing found, JSON by its schema, and what could stand in.

#![allow(clippy::disallowed_methods, reason = "tests read files of their own")]

use assert_cmd::Command;
use std::path::Path;
use stillroom::lookup::{search, stand_ins};
use stillroom::quantity::Exact;
use stillroom::render::ShelfJson;
use stillroom::shelf::{EDITION, ENTRIES, FILES, ShelfKind, find_anywhere, item};
use stillroom::syntax::tree::{Item, MaterialField};
use stillroom::syntax::vocabulary::{Doing, MaterialPhase};

fn stillroom(arguments: &[&str]) -> Command {
    let mut command = Command::cargo_bin("stillroom").unwrap();
    command.arg("shelf").args(arguments);
    command
}

fn printed(arguments: &[&str], code: i32) -> (String, String) {
    let output = stillroom(arguments).assert().code(code).get_output().clone();
    (String::from_utf8(output.stdout).unwrap(), String::from_utf8(output.stderr).unwrap())
}

/// The answer as JSON: by its schema, read back with nothing left over, the same twice.
fn json(arguments: &[&str], code: i32) -> ShelfJson {
    let arguments: Vec<&str> = arguments.iter().copied().chain(["--format", "json"]).collect();
    let (out, _) = printed(&arguments, code);
    assert_eq!(out, printed(&arguments, code).0);
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("docs/schema/shelf.json");
    let schema = serde_json::from_str(&std::fs::read_to_string(path).unwrap()).unwrap();
    let value = serde_json::from_str(&out).unwrap();
    let validator = jsonschema::validator_for(&schema).unwrap();
    let faults: Vec<String> = validator.iter_errors(&value).map(|fault| fault.to_string()).collect();
    assert!(faults.is_empty(), "{arguments:?}: {faults:?}");
    serde_json::from_str(&out).unwrap()
}

#[test]
fn without_words_the_files_are_listed() {
    let (out, err) = printed(&[], 0);
    assert!(err.is_empty(), "{err}");
    assert!(out.starts_with(&format!("The shelf, edition {EDITION}: ")), "{out}");
    for file in FILES {
        assert!(out.contains(&format!("  shelf/{} ", file.name)), "{out}");
    }
    let answer = json(&[], 0);
    assert_eq!((answer.schema.as_str(), answer.edition.as_str()), ("stillroom.shelf/1", EDITION));
    assert_eq!(answer.files.len(), FILES.len());
    assert!(answer.files.iter().all(|file| !file.about.is_empty()));
    let materials = ENTRIES.iter().filter(|entry| entry.kind == ShelfKind::Material).count();
    assert_eq!(answer.files.iter().map(|file| file.materials).sum::<usize>(), materials);
}

#[test]
fn a_name_shows_every_fact_with_its_source() {
    let (out, _) = printed(&["lactic-acid-80"], 0);
    for line in [
        "lactic-acid-80: Lactic acid, 80 % solution\n",
        "  contains     lactic-acid 80 % (its active), water for the rest  [common practice, no source]\n",
        "  use          up to 10 % of its active  [common practice, no source]\n",
        "  density      1.1848 g/mL  [Haynes (ed.), CRC Handbook of Chemistry and Physics, 91st edition, 2010, Concentrative Properties of Aqueous Solutions, 20 °C]\n",
        "  lactic-acid-60: Lactic acid, 60 % solution\n    exfoliates, moistens, brightens and acidifies too; \
         the same active, 60 %\n",
        "    strength  60 %, in place of 80 %\n",
    ] {
        assert!(out.contains(line), "no {line:?} in\n{out}");
    }
    let answer = json(&["lactic-acid-80"], 0);
    let [known] = answer.known.as_slice() else { panic!("{:?}", answer.known) };
    assert!(known.facts.iter().all(|fact| fact.source.is_some() && fact.source_kind.is_some()));
    assert!(known.held_by.is_none() && known.stand_ins.as_ref().is_some_and(|found| (1..=8).contains(&found.len())));
}

#[test]
fn a_material_and_a_substance_of_one_name_are_both_shown() {
    let answer = json(&["Citric-Acid"], 0);
    let kinds: Vec<&str> = answer.known.iter().map(|known| known.kind.as_str()).collect();
    assert_eq!(kinds, ["material", "substance"]);
    let substance = &answer.known[1];
    let pka = substance.facts.iter().find(|fact| fact.field == "acid").unwrap();
    assert_eq!(pka.says, "an acid, pKa 3.128, 4.761, 6.396");
    assert_eq!(pka.source_kind.as_deref(), Some("published"));
    let mass = substance.facts.iter().find(|fact| fact.field == "molar-mass").unwrap();
    assert_eq!(mass.source_kind.as_deref(), Some("computed"));
    assert!(substance.held_by.as_ref().unwrap().contains(&"citric-acid-50".to_string()));
}

#[test]
fn words_are_searched_for() {
    let (out, _) = printed(&["preservative", "mould"], 0);
    assert!(out.lines().all(|line| line.starts_with("  ")), "{out}");
    assert!(out.contains("sorbic-acid") && !out.contains("glycerin-86"), "{out}");
    let names = |words: &[&str]| search(words).into_iter().map(|found| found.name).collect::<Vec<_>>();
    assert!(names(&["cera", "alba"]).contains(&"beeswax"), "by INCI name");
    assert!(names(&["humectants"]).contains(&"propanediol"), "by role, in the plural");
    assert_eq!(names(&["XANTHAN"]).first(), Some(&"xanthan-gum"), "names first, in whatever case");
    assert!(names(&["56-81-5"]).contains(&"glycerin"), "by CAS number");
    assert!(names(&["", " ", "…"]).is_empty());
}

#[test]
fn nothing_found_is_said_with_the_nearest_names() {
    let (out, err) = printed(&["glycerine"], 1);
    assert!(out.is_empty(), "{out}");
    assert_eq!(err, "The shelf has nothing under `glycerine`. Did you mean `glycerin`?\n");
    let (_, err) = printed(&["qqqqqqqq"], 1);
    assert_eq!(err, "The shelf has nothing under `qqqqqqqq`.\n");
    assert_eq!(json(&["glycerine"], 1).nearest, ["glycerin"]);
    let long = "x".repeat(20_000);
    printed(&[&long, "\"", "\u{0301}🫙"], 1);
}

/// What is compared, read from the tree by another way than the command's.
struct Plain {
    does: Vec<Doing>,
    phase: MaterialPhase,
}

fn plain(name: &str) -> Plain {
    let entry = find_anywhere(ShelfKind::Material, name).unwrap();
    let Some(Item::Material(material)) = item(entry) else { panic!("{name}") };
    let mut made = Plain { does: Vec::new(), phase: MaterialPhase::Either };
    for fact in &material.facts {
        match &fact.field {
            MaterialField::Does(doings) => made.does.clone_from(doings),
            MaterialField::Phase(phase) => made.phase = *phase,
            _ => {}
        }
    }
    made
}

/// Of every material: no more than eight, itself never, each does what the material does first, is in its phase where
/// that is where the thing is done, and has something that would change; and the reason opens with what both do.
#[test]
fn stand_ins_do_what_the_material_does() {
    let mut some = 0;
    let materials = (0u32..).zip(ENTRIES).filter(|(_, entry)| entry.kind == ShelfKind::Material);
    for (number, entry) in materials {
        let here = plain(entry.name);
        let found = stand_ins(number);
        assert!(found.nearest.len() <= 8 && (found.more == 0 || found.nearest.len() == 8), "{}", entry.name);
        some += usize::from(!found.nearest.is_empty());
        for stand_in in found.nearest {
            let there = plain(stand_in.name);
            assert_ne!(stand_in.name, entry.name);
            assert!(there.does.contains(&here.does[0]), "{} for {}", stand_in.name, entry.name);
            assert!(stand_in.why.starts_with(&here.does[0].word().replace('-', " ")), "{}", stand_in.why);
            let known = [here.phase, there.phase].iter().all(|phase| *phase != MaterialPhase::Either);
            let in_phase = DONE_IN_THE_PHASE.contains(&here.does[0]);
            assert!(!in_phase || !known || here.phase == there.phase, "{} for {}", stand_in.name, entry.name);
            assert!(stand_in.changes.iter().all(|change| change.from != change.to));
        }
    }
    assert!(some >= 380, "{some} materials have a stand-in");
}

/// Some of the things that are done to a phase: oil takes no place of water there.
const DONE_IN_THE_PHASE: [Doing; 6] =
    [Doing::Thickens, Doing::Hardens, Doing::Emulsifies, Doing::Dissolves, Doing::Moistens, Doing::Softens];

#[test]
fn the_nearest_stand_ins_come_first() {
    let nearest = |name| {
        let found = stand_ins(find_anywhere(ShelfKind::Material, name).unwrap());
        found.nearest.into_iter().map(|stand_in| stand_in.name).collect::<Vec<_>>()
    };
    assert_eq!(nearest("glycolic-acid-70")[0], "glycolic-acid", "the same active, in another strength");
    assert!(nearest("sodium-hydroxide-10").iter().all(|name| !name.contains("citric-acid")), "no acid for a base");
    let adjusters = nearest("citric-acid-50");
    assert!(adjusters.iter().all(|name| !name.contains("hydroxide") && *name != "arginine"), "{adjusters:?}");
    let emulsifiers = nearest("polysorbate-60");
    let hlb = |name: &str| {
        let Some(Item::Material(material)) = item(find_anywhere(ShelfKind::Material, name).unwrap()) else { panic!() };
        let text = FILES[ENTRIES[find_anywhere(ShelfKind::Material, name).unwrap() as usize].file as usize].text;
        let hlb = material.facts.iter().find_map(|fact| match &fact.field {
            MaterialField::Hlb(hlb) => Exact::parse(hlb.span().of(text)),
            _ => None,
        });
        hlb.unwrap().to_f64()
    };
    assert!((hlb(emulsifiers[0]) - 14.9).abs() <= 0.5, "{emulsifiers:?}");
}

#[test]
fn the_name_of_a_file_leads_to_what_stands_in_it() {
    let found = search(&["aromatics"]);
    let file = FILES.iter().position(|file| file.name == "aromatics").unwrap();
    let all = ENTRIES.iter().filter(|entry| entry.file as usize == file).count();
    assert!(all > 20 && found.len() == all && found.iter().all(|hit| hit.file == "aromatics"), "{}", found.len());
}
