//! The shelf that a maker expects: what she looks for is there, and is found by what she calls it.

#![allow(clippy::disallowed_methods, reason = "tests write files of their own")]

use crate::common::mend::{of_code, run, told, with_fix};
use std::collections::{BTreeMap, BTreeSet};
use std::fmt::Write as _;
use stillroom::diagnostic::FileId;
use stillroom::lookup::search;
use stillroom::model::DeclId;
use stillroom::resolve::Resolver;
use stillroom::shelf::{ENTRIES, EVERYDAY_NAMES, ShelfKind, called_every_day, everyday_key, find_anywhere, item};
use stillroom::syntax::tree::{Item, MaterialField};
use stillroom::workspace::Sources;

/// What is looked for, with a line of each material that answers to it: its name and an amount that is usual for it,
/// and the line that takes the rest.
const LOOKED_FOR: &[(&str, &[&str])] = &[
    ("behentrimonium methosulfate 50 %", &["behentrimonium-methosulfate-50 3 % in oil"]),
    ("glyceryl stearate with PEG-100 stearate", &["glyceryl-stearate-peg-100-stearate 4 % in oil"]),
    ("cetearyl alcohol with ceteareth-20", &["cetearyl-alcohol-ceteareth-20 5 % in oil"]),
    (
        "benzoate with sorbate",
        &[
            "sodium-benzoate-potassium-sorbate 0.6 % in water",
            "sodium-benzoate-potassium-sorbate-solution 1.2 % in water",
        ],
    ),
    ("benzyl alcohol with salicylic and sorbic acid", &["benzyl-alcohol-salicylic-sorbic-acid 0.8 % in water"]),
    ("propylparaben", &["propylparaben 0.1 % in oil"]),
    ("anisic acid", &["p-anisic-acid 0.1 % in oil", "sodium-anisate 0.2 % in water"]),
    ("levulinic acid", &["levulinic-acid 0.4 % in water", "sodium-levulinate 0.6 % in water"]),
    ("phenethyl alcohol", &["phenethyl-alcohol 0.5 % in water"]),
    ("isothiazolinone solution", &["isothiazolinone-solution 0.05 % in water"]),
    ("liquid potash soap", &["liquid-potash-soap 20 % in water"]),
    ("lauric acid", &["lauric-acid 3 % in oil"]),
    ("myristic acid", &["myristic-acid 3 % in oil"]),
    ("palmitic acid", &["palmitic-acid 3 % in oil"]),
    ("oleic acid", &["oleic-acid 3 % in oil"]),
    ("sodium lauryl sulfate", &["sodium-lauryl-sulfate 5 % in water", "sodium-lauryl-sulfate-30 10 % in water"]),
    ("cocoyl glycinate", &["sodium-cocoyl-glycinate-30 15 % in water"]),
    ("lauroyl glutamate", &["sodium-lauroyl-glutamate 5 % in water"]),
    ("lauramine oxide", &["lauramine-oxide-30 5 % in water"]),
    ("coco-betaine", &["coco-betaine-30 15 % in water"]),
    (
        "the usual thickeners of washes",
        &[
            "peg-150-distearate 1 % in water",
            "peg-120-methyl-glucose-dioleate 1 % in water",
            "peg-18-glyceryl-oleate-cocoate 2 % in water",
            "cocamide-mea 1.5 % in water",
            "cocamide-mipa 1.5 % in water",
            "acrylates-copolymer-30 5 % in water",
            "sodium-chloride 1 % in water",
            "glycol-distearate 1 % in oil",
        ],
    ),
    (
        "water-in-oil emulsifiers",
        &[
            "polyglyceryl-3-diisostearate 3 % in oil",
            "polyglyceryl-4-diisostearate-polyhydroxystearate-sebacate 3 % in oil",
            "polyglyceryl-2-dipolyhydroxystearate 2 % in oil",
            "polyglyceryl-3-polyricinoleate 2 % in oil",
            "polyglyceryl-4-isostearate 3 % in oil",
            "peg-30-dipolyhydroxystearate 2 % in oil",
            "cetyl-peg-ppg-10-1-dimethicone 2 % in oil",
            "sorbitan-sesquioleate 2 % in oil",
            "sorbitan-oleate 2 % in oil",
            "sorbitan-isostearate 2 % in oil",
            "glyceryl-oleate 2 % in oil",
        ],
    ),
    ("hydrogenated lecithin", &["hydrogenated-lecithin 1.5 % in oil"]),
    (
        "polymeric gelling emulsifiers",
        &[
            "polyacrylamide-emulsion 2 % in water",
            "sodium-acrylates-copolymer-lecithin 0.8 % in water",
            "hydroxyethyl-acrylate-taurate-copolymer-emulsion 1.5 % in water",
            "sodium-acrylate-taurate-copolymer-emulsion 1.5 % in water",
            "sodium-polyacrylate 0.5 % in water",
        ],
    ),
    ("volatile silicones", &["cyclopentasiloxane 10 % in oil", "dimethicone-5 5 % in oil"]),
    (
        "light alkanes and esters",
        &[
            "coco-caprylate 10 % in oil",
            "isododecane 10 % in oil",
            "isohexadecane 10 % in oil",
            "c13-15-alkane 10 % in oil",
            "c15-19-alkane 10 % in oil",
            "undecane-tridecane 10 % in oil",
        ],
    ),
    ("babassu", &["babassu-oil 20 % in oil"]),
    ("palm kernel", &["palm-kernel-oil 20 % in oil", "palm-oil 20 % in oil"]),
    ("neem", &["neem-oil 3 % in oil"]),
    ("tamanu", &["tamanu-oil 5 % in oil"]),
    ("marula", &["marula-oil 20 % in oil"]),
    ("baobab", &["baobab-oil 20 % in oil"]),
    ("kokum", &["kokum-butter 20 % in oil"]),
    ("rice bran wax", &["rice-bran-wax 5 % in oil"]),
    ("paraffin", &["paraffin 10 % in oil"]),
    (
        "infused oils",
        &[
            "calendula-infused-oil 30 % in oil",
            "st-johns-wort-infused-oil 10 % in oil",
            "arnica-infused-oil 30 % in oil",
        ],
    ),
    (
        "bath salts",
        &[
            "magnesium-sulfate 0.5 % in water",
            "sea-salt 20 % in oil",
            "dead-sea-salt 20 % in oil",
            "magnesium-chloride 5 % in water",
        ],
    ),
    ("alum", &["alum 2 % in water"]),
    ("N-acetyl glucosamine", &["acetyl-glucosamine 2 % in water"]),
    ("MSM", &["dimethyl-sulfone 2 % in water"]),
    ("retinal", &["retinal 0.05 % in oil"]),
    ("alpha-lipoic acid", &["alpha-lipoic-acid 0.2 % in oil"]),
    ("sulfur", &["sulfur 2 % in water"]),
    (
        "clays",
        &[
            "kaolin 10 % in water",
            "bentonite 2 % in water",
            "montmorillonite 5 % in water",
            "green-clay 10 % in water",
            "pink-clay 10 % in water",
            "red-clay 10 % in water",
            "rhassoul-clay 10 % in water",
            "fullers-earth 10 % in water",
        ],
    ),
    (
        "starches",
        &[
            "corn-starch 5 % in oil",
            "tapioca-starch 5 % in oil",
            "arrowroot-powder 5 % in oil",
            "rice-starch 5 % in oil",
            "potato-starch 5 % in oil",
            "aluminum-starch-octenylsuccinate 3 % in oil",
        ],
    ),
    ("boron nitride", &["boron-nitride 3 % in oil"]),
    (
        "a dozen essential oils",
        &[
            "black-pepper-oil 0.3 % in oil",
            "cardamom-oil 0.3 % in oil",
            "citronella-oil 0.3 % in oil",
            "clove-bud-oil 0.2 % in oil",
            "cypress-oil 0.3 % in oil",
            "german-chamomile-oil 0.3 % in oil",
            "ginger-oil 0.3 % in oil",
            "helichrysum-oil 0.3 % in oil",
            "juniper-berry-oil 0.3 % in oil",
            "lavandin-oil 0.3 % in oil",
            "lime-oil 0.3 % in oil",
            "mandarin-oil 0.3 % in oil",
            "myrrh-oil 0.3 % in oil",
            "palmarosa-oil 0.3 % in oil",
            "scots-pine-oil 0.3 % in oil",
            "sweet-marjoram-oil 0.3 % in oil",
            "thyme-oil 0.2 % in oil",
        ],
    ),
];

/// What is looked for by another name than the language has for it, and the materials it leads to.
const CALLED: &[(&str, &[&str])] = &[
    ("vitamin C", &["ascorbic-acid"]),
    ("l-ascorbic acid", &["ascorbic-acid"]),
    ("vitamin E", &["tocopherol", "tocopheryl-acetate"]),
    ("vitamin B3", &["niacinamide"]),
    ("B3", &["niacinamide"]),
    ("vitamin B5", &["panthenol", "panthenol-75", "panthenol-liquid"]),
    ("B5", &["panthenol", "panthenol-75", "panthenol-liquid"]),
    ("hyaluronic acid", &["sodium-hyaluronate", "sodium-hyaluronate-1"]),
    ("aloe vera", &["aloe-juice", "aloe-powder-200"]),
    ("lye", &["potassium-hydroxide", "sodium-hydroxide"]),
    ("caustic soda", &["sodium-hydroxide"]),
    ("baking soda", &["sodium-bicarbonate"]),
    ("rose water", &["rose-hydrosol"]),
    ("fractionated coconut oil", &["caprylic-capric-triglyceride"]),
    ("BTMS", &["behentrimonium-methosulfate-50", "behentrimonium-methosulfate-blend"]),
    ("SCI", &["sodium-cocoyl-isethionate"]),
    ("SLES", &["sodium-laureth-sulfate-27", "sodium-laureth-sulfate-70"]),
    ("SLS", &["sodium-lauryl-sulfate", "sodium-lauryl-sulfate-30"]),
    ("EDTA", &["disodium-edta", "tetrasodium-edta"]),
    ("TEA", &["triethanolamine", "triethanolamine-85"]),
    ("HEC", &["hydroxyethylcellulose"]),
    ("Epsom salts", &["magnesium-sulfate"]),
    ("cornstarch", &["corn-starch"]),
];

fn entry_names(entries: &[u32]) -> Vec<&'static str> {
    entries.iter().map(|entry| ENTRIES[*entry as usize].name).collect()
}

/// The name of a line of the table.
fn name_of(line: &str) -> &str {
    line.split(' ').next().unwrap()
}

#[test]
fn what_a_maker_looks_for_is_on_the_shelf() {
    for (looked_for, lines) in LOOKED_FOR {
        for line in *lines {
            let name = name_of(line);
            assert!(find_anywhere(ShelfKind::Material, name).is_some(), "{looked_for}: the shelf has no {name}");
        }
    }
}

/// Each stands in a formula of one line beside what takes the rest, and no formula has an error. A water activity is
/// stated, so that no trial is asked for a preservative of its own.
#[test]
fn each_of_it_checks_in_a_formula() {
    let mut text = String::from("use shelf/all\n");
    let mut count = 0;
    for line in LOOKED_FOR.iter().flat_map(|(_, lines)| *lines) {
        let (line, carrier) = line.split_once(" in ").unwrap();
        let rest = if carrier == "oil" { "caprylic-capric-triglyceride" } else { "water" };
        let name = name_of(line);
        let product = if name == "isothiazolinone-solution" { "rinse-off" } else { "leave-on" };
        writeln!(
            text,
            "\nformula try-{name} {{\n  title \"A trial of {name}\"\n  version \"1\"\n  product {product} body\n  \
             makes 1 kg\n  density 1 g/mL\n  water-activity 0.5\n  scale 0.001 g\n  phase A {{\n    {rest} q.s.\n    \
             {line}\n  }}\n}}"
        )
        .unwrap();
        count += 1;
    }
    let folder = tempfile::tempdir().unwrap();
    let found = told(folder.path(), &text);
    let errors: Vec<_> = found.iter().filter(|one| one["level"] == "error").collect();
    assert!(errors.is_empty(), "{errors:#?}");
    assert!(count >= 100, "{count} formulas");
    let (code, out, err) = run(folder.path(), &["check", "a.still"]);
    assert_eq!(code, 0, "{out}{err}");
    assert!(err.contains(&format!("{count} formulas checked")) || out.contains(&format!("{count} formulas checked")));
}

/// `shelf NAME` shows the material that is called so; where several are, it tells of all, before anything else.
#[test]
fn an_everyday_name_is_found_by_shelf() {
    let folder = tempfile::tempdir().unwrap();
    for (called, names) in CALLED {
        let upper = called.to_uppercase();
        let mut ways: Vec<Vec<&str>> = vec![vec![*called], called.split(' ').collect(), vec![&upper]];
        // However a name is written: for some of them, since each way starts the program again.
        ways.truncate(if called.starts_with("vitamin") || *called == "HEC" { 3 } else { 1 });
        for asked in ways {
            let arguments: Vec<&str> = std::iter::once("shelf").chain(asked.iter().copied()).collect();
            let (code, out, err) = run(folder.path(), &arguments);
            assert_eq!(code, 0, "{called}: {err}");
            match names {
                [only] => assert!(out.starts_with(&format!("{only}: ")), "{called}: {out}"),
                _ => {
                    assert!(out.trim_start().starts_with(names[0]), "{called}: {out}");
                    let begins = |name: &&str| out.lines().any(|line| line.trim_start().starts_with(*name));
                    assert!(names.iter().all(begins), "{called}: {out}");
                }
            }
        }
        assert_eq!(entry_names(called_every_day(called)), *names, "{called}");
    }
    // Words that only speak of it find it too, and a slip of the pen is told what was near.
    assert!(search(&["ascorbic", "vitamin"]).iter().any(|found| found.name == "ascorbic-acid"));
    let (code, _, err) = run(folder.path(), &["shelf", "hyaloronic", "acid"]);
    assert_eq!(code, 1);
    assert!(err.contains("`sodium-hyaluronate`"), "{err}");
}

/// The name of a material as it might be typed on a line: small letters and hyphens.
fn as_typed(called: &str) -> String {
    called.to_lowercase().replace(' ', "-")
}

fn one_line(used: &str, line: &str) -> String {
    format!(
        "{used}\nformula try-it {{\n  title \"Trial\"\n  version \"1\"\n  product leave-on body\n  makes 100 g\n  \
         scale 0.01 g\n  water-activity 0.5\n  phase A {{\n    water q.s.\n    {line}\n  }}\n}}\n"
    )
}

/// On a line it is no name of the language: the materials that are called so are offered, and where there is one, the
/// offer carried out is a name that there is.
#[test]
fn an_everyday_name_on_a_line_is_no_name_and_its_material_is_offered() {
    let folder = tempfile::tempdir().unwrap();
    for (called, names) in CALLED {
        let text = one_line("use shelf/all", &format!("{} 0.3 %", as_typed(called)));
        let [fault] = &of_code(&told(folder.path(), &text), "name-unknown")[..] else { panic!("{called}") };
        let help = fault["help"].as_str().unwrap();
        for name in *names {
            assert!(help.contains(&format!("`{name}`")), "{called}: {help}");
        }
        if let [only] = names {
            let mended = with_fix(&text, fault);
            assert!(mended.contains(&format!("    {only} 0.3 %")), "{called}: {mended}");
            assert!(of_code(&told(folder.path(), &mended), "name-unknown").is_empty(), "{called}: {mended}");
        } else {
            assert!(fault["fix"].is_null(), "{called}: one of several was picked");
        }
    }
}

/// The same in a file that uses nothing of the shelf: the name first, then the `use` that is missing, as the help says.
#[test]
fn the_material_is_offered_though_its_file_is_not_used() {
    let folder = tempfile::tempdir().unwrap();
    let text = one_line("use shelf/waters", "hec 0.3 %");
    let [fault] = &of_code(&told(folder.path(), &text), "name-unknown")[..] else { panic!() };
    let help = fault["help"].as_str().unwrap();
    assert!(help.contains("`hydroxyethylcellulose`") && help.contains("`use shelf/all`"), "{help}");
    let mended = with_fix(&text, fault).replace("use shelf/waters", "use shelf/all");
    assert!(of_code(&told(folder.path(), &mended), "name-unknown").is_empty(), "{mended}");
}

/// A material of one's own says what it is called, and is offered beside the shelf's; a substance is offered where a
/// substance is meant.
#[test]
fn materials_of_ones_own_and_substances_are_offered_too() {
    let folder = tempfile::tempdir().unwrap();
    let own = "use shelf/all\nmaterial garden-gel {\n  contains water 100 %\n  also \"Grandmother's gel\", \"HEC\"\n}";
    for (typed, wanted) in
        [("grandmothers-gel", &["garden-gel"][..]), ("hec", &["garden-gel", "hydroxyethylcellulose"])]
    {
        let found = told(folder.path(), &one_line(own, &format!("{typed} 0.3 %")));
        let [fault] = &of_code(&found, "name-unknown")[..] else { panic!("{found:#?}") };
        let help = fault["help"].as_str().unwrap();
        assert!(wanted.iter().all(|name| help.contains(&format!("`{name}`"))), "{help}");
    }
    let text = "use shelf/all\nmaterial c-serum {\n  contains vitamin-c 20 % active, water remainder\n}\n";
    let [fault] = &of_code(&told(folder.path(), text), "name-unknown")[..] else { panic!() };
    assert!(fault["help"].as_str().unwrap().contains("`ascorbic-acid`"), "{fault:#?}");
}

/// The index that is made at build says of everyday names what the parser reads.
#[test]
fn the_index_of_everyday_names_says_what_the_parser_reads() {
    let mut read: BTreeMap<String, BTreeSet<u32>> = BTreeMap::new();
    for (number, entry) in (0u32..).zip(ENTRIES).filter(|(_, entry)| entry.kind == ShelfKind::Material) {
        let Some(Item::Material(material)) = item(number) else { panic!("{}", entry.name) };
        let also = material.facts.iter().filter_map(|fact| match &fact.field {
            MaterialField::Also(names) => Some(names.iter().map(|name| name.value.as_str())),
            _ => None,
        });
        for name in also.flatten().chain([entry.name]) {
            read.entry(everyday_key(name)).or_default().insert(number);
        }
    }
    let indexed: BTreeMap<String, BTreeSet<u32>> =
        EVERYDAY_NAMES.iter().map(|(key, of)| ((*key).to_string(), of.iter().copied().collect())).collect();
    assert_eq!(indexed, read);
    assert!(EVERYDAY_NAMES.is_sorted());
}

/// No everyday name misleads: none is the name of another material, and one that a substance has is of materials that
/// hold that substance, or a salt of it.
#[test]
fn no_everyday_name_misleads() {
    let sources = Sources::default();
    let resolver = Resolver::new(&sources, &mut Vec::new());
    let decl = |entry: u32| DeclId { file: FileId(ENTRIES[entry as usize].file), item: entry };
    let own = |kind: ShelfKind| -> BTreeMap<String, u32> {
        let entries = (0u32..).zip(ENTRIES).filter(|(_, entry)| entry.kind == kind);
        entries.map(|(number, entry)| (everyday_key(entry.name), number)).collect()
    };
    let (materials, substances) = (own(ShelfKind::Material), own(ShelfKind::Substance));
    let mut told = BTreeSet::new();
    for (key, entries) in EVERYDAY_NAMES {
        if let Some(named) = materials.get(*key) {
            assert_eq!(*entries, [*named], "`{key}` is the name of one material, and what another is called");
        }
        let Some(substance) = substances.get(*key) else { continue };
        for entry in *entries {
            let material = resolver.material(decl(*entry)).unwrap();
            let holds = material.contains.iter().any(|part| {
                let salt_of =
                    resolver.substance(part.substance).and_then(|found| found.salt.as_ref().map(|salt| salt.of));
                part.substance == decl(*substance) || salt_of == Some(decl(*substance))
            });
            assert!(holds, "`{key}` is a substance, and {} does not hold it", material.name);
            told.insert(*key);
        }
    }
    assert!(told.contains("edta"), "{told:?}");
}

/// Every everyday name leads somewhere by `shelf`, is short enough for a line, and is no word for nothing.
#[test]
fn every_everyday_name_is_a_name() {
    let mut count = 0;
    for (number, entry) in (0u32..).zip(ENTRIES).filter(|(_, entry)| entry.kind == ShelfKind::Material) {
        let Some(Item::Material(material)) = item(number) else { panic!("{}", entry.name) };
        for fact in &material.facts {
            let MaterialField::Also(names) = &fact.field else { continue };
            let mut seen = BTreeSet::new();
            for name in names {
                let key = everyday_key(&name.value);
                assert!((2..=80).contains(&key.chars().count()), "{}: also {:?}", entry.name, name.value);
                assert_ne!(key, everyday_key(entry.name), "{}: it is called so already", entry.name);
                assert!(seen.insert(key), "{}: also {:?} twice", entry.name, name.value);
                assert!(called_every_day(&name.value).contains(&number));
                count += 1;
            }
        }
    }
    assert!(count >= 500, "{count} everyday names");
}
