//! The pH through whole formulas: each recipe of `tests/data/ph-cases.json` written as a formula by weight.
//!
//! The reference values come from an outside equilibrium engine of pinned version, named in that file. Substances
//! are written out from the file's own constants and from the molar masses of `tests/data/acid-base.json`, as a user
//! would declare them at home.

#![allow(clippy::disallowed_methods, reason = "tests read files of their own")]

use crate::common;
use serde_json::Value;
use stillroom::session::check;
use stillroom::sheet::BatchOrder;
use stillroom::sheet::ph::outlook;

fn data(name: &str) -> Value {
    let path = format!("{}/tests/data/{name}", env!("CARGO_MANIFEST_DIR"));
    serde_json::from_str(&std::fs::read_to_string(path).unwrap()).unwrap()
}

/// What the recipes call a thing, what it is made of, and its declarations. Molar masses in g/mol from
/// `tests/data/acid-base.json` and, for hydrates, from standard atomic masses.
const SUBSTANCES: &[(&str, &str)] = &[
    ("lactic acid", "molar-mass 90.0779 g/mol acid pKa 3.86"),
    ("glycolic acid", "molar-mass 76.0514 g/mol acid pKa 3.83"),
    ("mandelic acid", "molar-mass 152.147 g/mol acid pKa 3.41"),
    ("malic acid", "molar-mass 134.0874 g/mol acid pKa 3.459, 5.097"),
    ("tartaric acid (L)", "molar-mass 150.0868 g/mol acid pKa 3.036, 4.366"),
    ("citric acid", "molar-mass 192.1235 g/mol acid pKa 3.128, 4.761, 6.396"),
    ("gluconic acid", "molar-mass 196.1553 g/mol acid pKa 3.86"),
    ("lactobionic acid", "molar-mass 358.296 g/mol acid pKa 3.6"),
    ("salicylic acid", "molar-mass 138.1207 g/mol acid pKa 2.97, 13.6"),
    ("ascorbic acid", "molar-mass 176.1241 g/mol acid pKa 4.1, 11.6"),
    ("phosphoric acid", "molar-mass 97.9952 g/mol acid pKa 2.148, 7.198, 12.35"),
    ("acetic acid", "molar-mass 60.052 g/mol acid pKa 4.756"),
    ("azelaic acid", "molar-mass 188.221 g/mol acid pKa 4.55, 5.5"),
    ("succinic acid", "molar-mass 118.0880 g/mol acid pKa 4.207, 5.636"),
    ("benzoic acid", "molar-mass 122.1213 g/mol acid pKa 4.202"),
    ("p-anisic acid", "molar-mass 152.147 g/mol acid pKa 4.47"),
    ("sorbic acid", "molar-mass 112.1265 g/mol acid pKa 4.76"),
    ("dehydroacetic acid", "molar-mass 168.1468 g/mol acid pKa 5.27"),
    ("levulinic acid", "molar-mass 116.1152 g/mol acid pKa 4.64"),
    ("carbonic acid", "molar-mass 62.0248 g/mol acid pKa 6.351, 10.329"),
    ("edta", "molar-mass 292.2426 g/mol ampholyte pKa 0.0, 1.5, 2.0, 2.69, 6.13, 10.37 charge +2"),
    ("triethanolamine", "molar-mass 149.1882 g/mol base pKa 7.762"),
    ("arginine (L)", "molar-mass 174.201 g/mol ampholyte pKa 1.823, 8.991, 13.8 charge +2"),
    ("tromethamine (TRIS)", "molar-mass 121.1350 g/mol base pKa 8.072"),
    ("aminomethyl propanol", "molar-mass 89.1364 g/mol base pKa 9.694"),
    ("ammonia", "molar-mass 17.0305 g/mol base pKa 9.245"),
    ("niacinamide", "molar-mass 122.1246 g/mol base pKa 3.35"),
    ("urea", "molar-mass 60.0553 g/mol base pKa 0.1"),
    ("glycine", "molar-mass 75.0665 g/mol ampholyte pKa 2.351, 9.78 charge +1"),
    ("sodium hydroxide", "molar-mass 39.99711 g/mol strong base"),
    ("potassium hydroxide", "molar-mass 56.10563 g/mol strong base"),
    ("sodium", "molar-mass 22.98977 g/mol ion +1"),
    ("potassium", "molar-mass 39.0983 g/mol ion +1"),
    ("sodium lactate", "molar-mass 112.0598 g/mol salt of lactic-acid with 1 sodium"),
    ("sodium citrate (trisodium, anhydrous)", "molar-mass 258.0690 g/mol salt of citric-acid with 3 sodium"),
    ("sodium citrate dihydrate", "molar-mass 294.0996 g/mol salt of citric-acid with 3 sodium water 12.251 %"),
    ("citric acid monohydrate", "molar-mass 210.1388 g/mol acid pKa 3.128, 4.761, 6.396 water 8.573 %"),
    ("sodium phosphate (monobasic)", "molar-mass 119.9770 g/mol salt of phosphoric-acid with 1 sodium"),
    ("disodium phosphate", "molar-mass 141.9588 g/mol salt of phosphoric-acid with 2 sodium"),
    (
        "disodium phosphate dodecahydrate",
        "molar-mass 358.1422 g/mol salt of phosphoric-acid with 2 sodium water 60.3625 %",
    ),
    ("sodium benzoate", "molar-mass 144.1031 g/mol salt of benzoic-acid with 1 sodium"),
    ("potassium sorbate", "molar-mass 150.2169 g/mol salt of sorbic-acid with 1 potassium"),
    ("sodium gluconate", "molar-mass 218.1371 g/mol salt of gluconic-acid with 1 sodium"),
    ("sodium dehydroacetate", "molar-mass 190.1286 g/mol salt of dehydroacetic-acid with 1 sodium"),
    ("sodium levulinate", "molar-mass 138.0970 g/mol salt of levulinic-acid with 1 sodium"),
    ("sodium bicarbonate", "molar-mass 84.0066 g/mol salt of carbonic-acid with 1 sodium"),
    ("disodium EDTA (dihydrate)", "molar-mass 372.2368 g/mol salt of edta with 2 sodium water 9.679 %"),
];

/// A name of the recipes as a name of the language: `tromethamine (TRIS)` is `tromethamine-tris`.
fn name(words: &str) -> String {
    let plain: String = words.to_lowercase().chars().map(|c| if c.is_ascii_alphanumeric() { c } else { '-' }).collect();
    plain.split('-').filter(|part| !part.is_empty()).collect::<Vec<_>>().join("-")
}

/// The substance and strength in a recipe's words: `lactic acid solution 80 % w/w`.
fn strength(words: &str) -> (String, String) {
    let Some(strong) = words.strip_suffix(" % w/w") else { return (words.to_string(), "100".to_string()) };
    let (rest, percent) = strong.rsplit_once(' ').unwrap();
    (rest.trim_end_matches(" solution").to_string(), percent.to_string())
}

fn declarations() -> String {
    let mut text = String::from("substance water { inci \"Aqua\" }\nmaterial water { role solvent }\n");
    for (words, facts) in SUBSTANCES {
        let lines = facts.replace(" acid pKa", "\n  acid pKa").replace(" base pKa", "\n  base pKa");
        let lines = lines.replace(" strong base", "\n  strong base").replace(" ion ", "\n  ion ");
        let lines = lines.replace(" salt of", "\n  salt of").replace(" ampholyte", "\n  ampholyte");
        let lines = lines.replace(" water ", "\n  water ");
        text += &format!("substance {} {{\n  {lines}\n}}\n", name(words));
    }
    text
}

/// A formula by weight of a recipe; for an adjuster with a pH window around a target.
fn formula(recipe: &[Value], more_water: f64, adjuster: Option<(&str, f64, f64)>) -> String {
    let mut materials = String::new();
    let mut lines = String::new();
    let mut declare = |words: &str| {
        let (substance, percent) = strength(words);
        let material = format!("m-{}-{}", name(&substance), percent.replace('.', "-"));
        let declared = format!(
            "material {material} {{\n  contains {} {percent} %, water remainder\n  caution \"Take care.\"\n}}\n",
            name(&substance)
        );
        if !materials.contains(&declared) {
            materials += &declared;
        }
        material
    };
    let mut water = more_water;
    for part in recipe {
        let words = part["substance"].as_str().unwrap();
        let grams = part["grams"].as_f64().unwrap();
        if words == "water" {
            water += grams;
        } else {
            lines += &format!("    {}  {grams} g\n", declare(words));
        }
    }
    let (held, window) = match adjuster {
        Some((words, low, high)) => {
            lines += &format!("    {}  q.s. to pH\n", declare(words));
            ("  hold back 20 %", format!("  pH {low} to {high}\n"))
        }
        None => ("", String::new()),
    };
    format!(
        "{}{materials}formula recipe {{\n  title \"Recipe\"\n  version \"1\"\n  product stock\n{window}  phase A {{\n    \
         water  {water:.6} g{held}\n{lines}  }}\n}}\n",
        declarations()
    )
}

/// The pH before adjustment, and the doses near, middle and far in percent of the batch.
fn foreseen(text: &str) -> (Option<f64>, [Option<f64>; 3]) {
    let folder = common::folder(&[("recipe.still", text.as_bytes())]);
    let loaded = folder.load();
    let report = check(&loaded.sources, &BatchOrder::default(), false);
    let found = &report.formulas[0];
    let told: Vec<String> =
        found.diagnostics.iter().map(|fault| format!("{}: {}", fault.code, fault.message)).collect();
    let outlook = outlook(&report.resolver, &found.formula, stillroom::chemistry::Activity::Davies)
        .unwrap_or_else(|| panic!("{text}\n{told:?}"));
    let doses = outlook.adjusters.first().map(|of| [of.doses.near, of.doses.middle, of.doses.far]);
    (outlook.before.map(|before| before.ph), doses.unwrap_or_default())
}

fn cases() -> Vec<Value> {
    data("ph-cases.json")["cases"].as_array().unwrap().clone()
}

fn is_davies(case: &Value) -> bool {
    !case["model"].as_str().unwrap().starts_with("ideal")
}

/// Whether carbonate meets acid in a recipe: then a formula gets no forecast.
fn foams(case: &Value) -> bool {
    case["recipe"].to_string().contains("bicarbonate") && case["recipe"].to_string().contains("acid")
}

#[test]
fn each_recipe_as_a_formula() {
    let mut worst: f64 = 0.0;
    let mut count = 0;
    for case in cases().iter().filter(|case| is_davies(case)) {
        let (ph, _) = foreseen(&formula(case["recipe"].as_array().unwrap(), 0.0, None));
        if foams(case) {
            assert_eq!(ph, None, "{}: gas leaves", case["id"]);
            continue;
        }
        let off = (ph.unwrap() - case["ph"].as_f64().unwrap()).abs();
        assert!(off < 0.0002, "{}: {ph:?} for {}", case["id"], case["ph"]);
        worst = worst.max(off);
        count += 1;
    }
    println!("{count} recipes, worst {worst:.6}");
    assert!(count > 75, "{count}");
}

/// The reference adds its adjuster on top; in a formula it takes the place of water. With so much more water as there
/// is adjuster the finished batch is the reference's.
#[test]
fn each_dose_through_a_formula() {
    let mut count = 0;
    for case in cases().iter().filter(|case| is_davies(case) && case["adjust"].is_object()) {
        let adjust = &case["adjust"];
        let grams = adjust["grams"].as_f64().unwrap();
        let recipe = case["recipe"].as_array().unwrap();
        let window = adjust["window"].as_array().unwrap();
        let (low, high) = (window[0].as_f64().unwrap(), window[1].as_f64().unwrap());
        let text = formula(recipe, grams, Some((adjust["adjuster"].as_str().unwrap(), low, high)));
        let (_, [_, middle, _]) = foreseen(&text);
        let batch: f64 = recipe.iter().map(|part| part["grams"].as_f64().unwrap()).sum::<f64>() + grams;
        let ours = middle.unwrap() * batch / 100.0;
        assert!((ours / grams - 1.0).abs() < 1e-4, "{}: {ours} g for {grams}", case["id"]);
        count += 1;
    }
    assert!(count >= 5, "{count}");
}

/// A material measured in water and otherwise unknown gives the pH it was measured to give.
#[test]
fn a_measured_ph_is_used() {
    for (ph, at) in [(4.5, 10.0), (5.5, 1.0), (9.0, 5.0)] {
        let text = format!(
            "substance water {{ inci \"Aqua\" }}\nmaterial water {{ role solvent }}\nmaterial blend {{ as supplied pH {ph} at \
             {at} % }}\nformula recipe {{\n  product stock\n  phase A {{\n    water q.s.\n    blend {at} %\n  }}\n}}\n"
        );
        let (before, _) = foreseen(&text);
        assert!((before.unwrap() - ph).abs() < 1e-6, "{ph}: {before:?}");
    }
}

/// What was measured of a material holds at that strength, however wide the range of what it has in it.
#[test]
fn a_measured_ph_holds_whatever_the_strength() {
    let give = |strength: &str| {
        let text = format!(
            "substance water {{ inci \"Aqua\" }}\nsubstance acid {{ molar-mass 100 g/mol\n acid pKa 5 }}\nmaterial water {{ role solvent \
             }}\nmaterial blend {{ contains acid {strength} active, water remainder\n as supplied pH 5 at 10 % }}\nformula recipe {{\n  \
             product stock\n  phase A {{\n    water q.s.\n    blend 10 %\n  }}\n}}\n"
        );
        let folder = common::folder(&[("recipe.still", text.as_bytes())]);
        let loaded = folder.load();
        let report = check(&loaded.sources, &BatchOrder::default(), false);
        outlook(&report.resolver, &report.formulas[0].formula, stillroom::chemistry::Activity::Davies)
            .unwrap()
            .before_uncertainty
    };
    let (exact, wide) = (give("15 %"), give("10 % to 20 %"));
    assert!((exact - wide).abs() < 0.01, "{exact} {wide}");
}

/// The same batch written in three ways has the same pH, to the last digit that is printed.
#[test]
fn a_salt_or_its_acid_and_base_and_one_line_or_two() {
    let recipe = |parts: &[(&str, f64)]| -> Vec<Value> {
        parts.iter().map(|(substance, grams)| serde_json::json!({ "substance": substance, "grams": grams })).collect()
    };
    // 0.1 mol of each; the acid and the base leave 0.1 mol of water between them.
    let salt = recipe(&[("lactic acid", 4.0), ("sodium lactate", 11.20598), ("water", 86.80151)]);
    let apart = recipe(&[("lactic acid", 13.00779), ("sodium hydroxide", 3.999_711), ("water", 85.0)]);
    let split = recipe(&[
        ("lactic acid", 1.5),
        ("sodium lactate", 11.20598),
        ("lactic acid solution 50 % w/w", 5.0),
        ("water", 84.30151),
    ]);
    let printed = |recipe: &[Value]| format!("{:.6}", foreseen(&formula(recipe, 0.0, None)).0.unwrap());
    assert_eq!(printed(&salt), printed(&split));
    let (salt, apart): (f64, f64) = (printed(&salt).parse().unwrap(), printed(&apart).parse().unwrap());
    assert!((salt - apart).abs() < 1e-5, "{salt} {apart}");
}
