//! The chemistry against an outside engine and published standards.
//!
//! `tests/data/ph-cases.json`: computed by an outside equilibrium engine of pinned version, named in the file; see
//! `benches/reference/README.md` for the script that makes a sample of it again. `tests/data/ph-standards.json`:
//! published buffer tables, each with its source there.

#![allow(clippy::disallowed_methods, reason = "tests read files of their own")]

use serde_json::Value;
use std::sync::Arc;
use stillroom::chemistry::{Activity, Blend, Constants, Mixture, buffer_capacity, equilibrium};

fn data(name: &str) -> Value {
    let path = format!("{}/tests/data/{name}", env!("CARGO_MANIFEST_DIR"));
    serde_json::from_str(&std::fs::read_to_string(path).unwrap()).unwrap()
}

fn rows<'v>(value: &'v Value, key: &str) -> &'v Vec<Value> {
    value[key].as_array().unwrap()
}

fn number(value: &Value) -> f64 {
    value.as_f64().unwrap_or_else(|| panic!("{value} is no number"))
}

/// Families by the order of their names in the case.
fn constants(case: &Value) -> Vec<(String, Arc<Constants>)> {
    let known = case["pka_used"].as_object().unwrap();
    known
        .iter()
        .map(|(name, facts)| {
            let pka: Vec<f64> = rows(facts, "pka").iter().map(number).collect();
            let top_charge = number(&facts["charge_of_fully_protonated"]);
            (name.clone(), Arc::new(Constants::new(&pka, top_charge, None)))
        })
        .collect()
}

fn charge_of(ion: &str) -> f64 {
    match ion {
        "Cl" => -1.0,
        "Na" | "K" => 1.0,
        other => panic!("an ion of unknown charge: {other}"),
    }
}

/// The mixture as the case has it worked out.
fn mixture(case: &Value) -> Mixture {
    let resolved = &case["resolved"];
    let mut mixture = Mixture::water(number(&resolved["water_kg"]));
    for moles in resolved["strong_base_mol"].as_object().unwrap().values() {
        mixture.put_strong_base(number(moles));
    }
    for (name, moles) in resolved["families_mol"].as_object().unwrap() {
        let (id, known) = family(case, name);
        mixture.put(id, &known, number(moles));
    }
    for (ion, moles) in resolved["counter_ions_mol"].as_object().unwrap() {
        mixture.put_ion(charge_of(ion), number(moles));
    }
    mixture
}

fn family(case: &Value, name: &str) -> (u64, Arc<Constants>) {
    let all = constants(case);
    let at = all.iter().position(|(known, _)| known == name).unwrap_or_else(|| panic!("{name}"));
    (at as u64, Arc::clone(&all[at].1))
}

fn model(case: &Value) -> Activity {
    if case["model"].as_str().unwrap().starts_with("ideal") { Activity::Ideal } else { Activity::Davies }
}

/// What one gram of a titrant or adjuster of the cases brings. Molar masses: `tests/data/acid-base.json`.
fn gram_of(case: &Value, name: &str) -> Mixture {
    let gram = |percent: f64| {
        let mut gram = Mixture::water((100.0 - percent) * 1e-5);
        let share = percent / 100.0;
        (std::mem::take(&mut gram), share)
    };
    let words: Vec<&str> = name.split(" solution ").collect();
    let (name, percent) = match words.as_slice() {
        [name, strength] => (*name, strength.split_whitespace().next().unwrap().parse().unwrap()),
        _ => match name.split_once(" 99 % w/w") {
            Some((name, _)) => (name, 99.0),
            None => (name, 100.0),
        },
    };
    let (mut gram, share) = gram(percent);
    match name {
        "sodium hydroxide" => gram.put_strong_base(share / 39.997_11),
        "potassium hydroxide" => gram.put_strong_base(share / 56.105_6),
        "citric acid" => put(&mut gram, case, name, &[3.128, 4.761, 6.396], 0.0, share / 192.123_5),
        "lactic acid" => put(&mut gram, case, name, &[3.86], 0.0, share / 90.077_9),
        "triethanolamine" => put(&mut gram, case, name, &[7.762], 1.0, share / 149.188),
        "arginine (L)" => put(&mut gram, case, name, &[1.823, 8.991, 13.8], 2.0, share / 174.201),
        "tromethamine (TRIS)" => put(&mut gram, case, name, &[8.072], 1.0, share / 121.135),
        other => panic!("an adjuster of unknown make: {other}"),
    }
    gram
}

fn put(gram: &mut Mixture, case: &Value, name: &str, pka: &[f64], top_charge: f64, moles: f64) {
    let all = constants(case);
    let id = all.iter().position(|(known, _)| known == name).unwrap_or(all.len()) as u64;
    gram.put(id, &Arc::new(Constants::new(pka, top_charge, None)), moles);
}

#[test]
fn every_case_of_the_reference() {
    let data = data("ph-cases.json");
    let mut worst = [0.0_f64; 6];
    for case in rows(&data, "cases") {
        let id = &case["id"];
        let (mixture, model) = (mixture(case), model(case));
        let found = equilibrium(&mixture, model).unwrap();
        let off = (found.ph - number(&case["ph"])).abs();
        let allowed = if model == Activity::Ideal { 0.0001 } else { 0.0002 };
        assert!(off < allowed, "{id}: pH {} for {}", found.ph, case["ph"]);
        worst[usize::from(model == Activity::Ideal)] = worst[usize::from(model == Activity::Ideal)].max(off);
        let strength = number(&case["ionic_strength_mol_per_kg"]);
        let off = (found.ionic_strength - strength).abs();
        assert!(off <= 1e-5 * strength + 5.1e-7, "{id}: I {} for {strength}", found.ionic_strength);
        let water = number(&case["water_kg_at_equilibrium"]);
        assert!((found.water_kg - water).abs() < 2e-8, "{id}: water {} for {water}", found.water_kg);
        if let Some(capacity) = case["buffer_capacity_mol_per_kgw_per_ph"].as_f64() {
            let ours = buffer_capacity(&mixture, model).unwrap();
            let off = (ours / capacity - 1.0).abs();
            worst[2] = worst[2].max(off);
            assert!(off < 0.001 || (ours - capacity).abs() < 6e-8, "{id}: capacity {ours} for {capacity}");
        }
        for point in case["points"].as_array().into_iter().flatten() {
            let titrant = gram_of(case, case["titrant"].as_str().unwrap());
            let grams = number(&point["titrant_grams"]);
            let found = equilibrium(&mixture.plus(&titrant, grams), model).unwrap();
            let off = (found.ph - number(&point["ph"])).abs();
            worst[3] = worst[3].max(off);
            assert!(off < 0.0002, "{id} at {grams} g: pH {} for {}", found.ph, point["ph"]);
        }
        if let Some(adjust) = case["adjust"].as_object() {
            let per_unit = gram_of(case, adjust["adjuster"].as_str().unwrap());
            let blend = Blend { start: mixture, per_unit, most: 100.0 };
            // The reference gives the grams of the window's edges with the smaller first.
            let mut edges: Vec<&Value> = rows(&case["adjust"], "window").iter().collect();
            if number(edges[0]) < found.ph {
                edges.reverse();
            }
            let edges = edges.into_iter().zip(rows(&case["adjust"], "grams_window"));
            for (ph, grams) in edges.chain([(&adjust["target_ph"], &adjust["grams"])]) {
                let ours = blend.dose(number(ph), model).unwrap();
                let off = (ours / number(grams) - 1.0).abs();
                worst[4] = worst[4].max(off);
                assert!(off < 0.0001, "{id} to {ph}: {ours} g for {grams}");
            }
        }
    }
    println!(
        "worst: pH {:.6}, ideal {:.6}, capacity {:.6}, titration {:.6}, dose {:.7}",
        worst[0], worst[1], worst[2], worst[3], worst[4]
    );
}

/// An acid of the standards, with its published interaction coefficients.
fn standard_acid(name: &str) -> Arc<Constants> {
    // Constants: `tests/data/acid-base.json`, with the source of each there.
    let (pka, top_charge, cas): (&[f64], f64, &str) = match name {
        "Ace" => (&[4.756], 0.0, "64-19-7"),
        "Bor" => (&[9.237], 0.0, ""),
        "Car" => (&[6.351, 10.329], 0.0, "463-79-6"),
        "Cit" => (&[3.128, 4.761, 6.396], 0.0, "77-92-9"),
        "Gly" => (&[3.83], 0.0, ""),
        "Man" => (&[3.41], 0.0, ""),
        "Oxa" => (&[1.27, 4.266], 0.0, "144-62-7"),
        "Pho" => (&[2.148, 7.198, 12.35], 0.0, "7664-38-2"),
        "Pht" => (&[2.95, 5.408], 0.0, ""),
        "Sal" => (&[2.97, 13.6], 0.0, ""),
        "Tar" => (&[3.036, 4.366], 0.0, ""),
        "Tri" => (&[8.072], 1.0, ""),
        other => panic!("an acid of unknown constants: {other}"),
    };
    let with_sodium = stillroom::chemistry::interaction::of_acid(cas);
    Arc::new(Constants::new(pka, top_charge, with_sodium))
}

fn of_molalities(families: &[(&str, f64)], ions: &[(f64, f64)]) -> Mixture {
    let mut mixture = Mixture::water(1.0);
    for (id, (name, moles)) in families.iter().enumerate() {
        mixture.put(id as u64, &standard_acid(name), *moles);
    }
    for (charge, moles) in ions {
        mixture.put_ion(*charge, *moles);
    }
    mixture
}

/// What a model misses a table by.
#[derive(Debug, Default)]
struct Misses(Vec<f64>);

impl Misses {
    fn add(&mut self, mixture: &Mixture, published: f64, model: Activity) {
        self.0.push(equilibrium(mixture, model).unwrap().ph - published);
    }

    fn worst(&self) -> f64 {
        self.0.iter().fold(0.0, |worst, miss| miss.abs().max(worst))
    }

    fn rms(&self) -> f64 {
        (self.0.iter().map(|miss| miss * miss).sum::<f64>() / self.0.len() as f64).sqrt()
    }
}

/// Nine primary standards: Bates 1973, IUPAC 2002, Staples and Bates 1969 and others; the file names each.
#[test]
fn the_primary_standards() {
    let data = data("ph-standards.json");
    for (model, worst, rms) in [(Activity::Davies, 0.02, 0.010), (Activity::Best, 0.022, 0.012)] {
        let mut misses = Misses::default();
        for row in rows(&data["primary"], "rows") {
            let amounts = |key: &str| -> Vec<(String, f64)> {
                row[key].as_object().unwrap().iter().map(|(name, moles)| (name.clone(), number(moles))).collect()
            };
            let families = amounts("molality_families");
            let families: Vec<(&str, f64)> = families.iter().map(|(name, moles)| (name.as_str(), *moles)).collect();
            let ions: Vec<(f64, f64)> =
                amounts("molality_ions").iter().map(|(name, moles)| (charge_of(name), *moles)).collect();
            misses.add(&of_molalities(&families, &ions), number(&row["published_ph"]), model);
        }
        println!("{model:?}: primary standards, worst {:.4}, rms {:.4}", misses.worst(), misses.rms());
        assert!(misses.worst() < worst && misses.rms() < rms, "{model:?}: {misses:?}");
    }
}

/// How far the old concentration scale lies below the pH of today (Bates, Determination of pH, 1973; from memory).
const OLD_SCALE: f64 = 0.04;

/// Sørensen 1909 (phosphate), Walpole 1914 (acetate), McIlvaine 1921 (citrate and phosphate), as the file has them.
#[test]
fn the_old_buffer_tables() {
    let data = data("ph-standards.json");
    for (model, mcilvaine_rms) in [(Activity::Davies, 0.094), (Activity::Best, 0.046)] {
        let (mut sorensen, mut walpole, mut mcilvaine) = (Misses::default(), Misses::default(), Misses::default());
        for row in rows(&data["sorensen_phosphate"], "rows") {
            let (disodium, potassium) = (number(&row["ml_M15_Na2HPO4"]), number(&row["ml_M15_KH2PO4"]));
            let mixture = of_molalities(&[("Pho", 1.0 / 15.0)], &[(1.0, (2.0 * disodium + potassium) / 150.0)]);
            sorensen.add(&mixture, number(&row["published_ph"]) + OLD_SCALE, model);
        }
        for row in rows(&data["walpole_acetate"], "rows") {
            let mixture =
                of_molalities(&[("Ace", 0.1)], &[(1.0, 0.1 * number(&row["ml_0p1M_sodium_acetate"]) / 200.0)]);
            walpole.add(&mixture, number(&row["published_ph"]) + OLD_SCALE, model);
        }
        for row in rows(&data["mcilvaine"], "rows") {
            let (phosphate, citric) = (number(&row["ml_0p2M_Na2HPO4"]), number(&row["ml_0p1M_citric_acid"]));
            let families = [("Pho", 0.2 * phosphate / 20.0), ("Cit", 0.1 * citric / 20.0)];
            mcilvaine.add(
                &of_molalities(&families, &[(1.0, 0.4 * phosphate / 20.0)]),
                number(&row["published_ph"]) + OLD_SCALE,
                model,
            );
        }
        println!(
            "{model:?}: rms Sørensen {:.4}, Walpole {:.4}, McIlvaine {:.4} (worst {:.4})",
            sorensen.rms(),
            walpole.rms(),
            mcilvaine.rms(),
            mcilvaine.worst()
        );
        let allowed = if model == Activity::Davies { 0.02 } else { 0.033 };
        assert!(sorensen.worst() < allowed, "{model:?}: {sorensen:?}");
        assert!(walpole.worst() < 0.02, "{model:?}: {walpole:?}");
        assert!(mcilvaine.rms() < mcilvaine_rms, "{model:?}: {mcilvaine:?}");
    }
}

/// Constants measured in strong salt solutions (IUPAC Digitized pKa Dataset v2.4): where Davies leaves its ground the
/// other model is the nearer.
#[test]
fn constants_in_strong_salt() {
    use stillroom::chemistry::{Medium, interaction};
    let data = data("ph-standards.json");
    let mut rms = Vec::new();
    for (low, high) in [(0.0, 0.2), (0.4, 0.6), (0.9, 1.1)] {
        for model in [Activity::Davies, Activity::Best] {
            let mut misses = Misses::default();
            for row in rows(&data["conditional_constants"], "rows") {
                let strength = number(&row["ionic_strength"]);
                if strength < low || strength > high {
                    continue;
                }
                let acid = standard_acid(row["acid"].as_str().unwrap());
                let lost = number(&row["step"]);
                let medium = Medium {
                    ionic_strength: strength,
                    cations: strength,
                    hydrogen: 0.0,
                    anions: strength,
                    pull: interaction::CHLORIDE * strength,
                };
                let charged = |charge: f64| match charge {
                    0.0 => 0.0,
                    charge => medium.anion(-charge, acid.pull(charge), model),
                };
                let ours =
                    acid.pka()[lost as usize - 1] + medium.hydrogen_ion(model) + charged(lost) - charged(lost - 1.0);
                misses.0.push(ours - number(&row["measured_pkc"]));
            }
            println!("{model:?}: constants at I {low} to {high}, rms {:.3}", misses.rms());
            rms.push(misses.rms());
        }
    }
    assert!(rms[1] < rms[0] + 0.005, "dilute: as good as Davies");
    // Four constants, of which the first of oxalic acid is 0.2 off by both.
    assert!(rms[3] < rms[2] + 0.04, "middling: no nearer");
    assert!(rms[5] < rms[4] / 2.0, "strong: twice as near as Davies");
}
