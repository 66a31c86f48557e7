//! The figures of the shelf, held against published ones.

#![allow(clippy::disallowed_methods, reason = "tests read files of their own")]

use serde_json::Value;
use std::path::Path;
use std::sync::Arc;
use stillroom::diagnostic::FileId;
use stillroom::model::{AcidBase, DeclId, Material, Substance};
use stillroom::quantity::Exact;
use stillroom::resolve::Resolver;
use stillroom::shelf::{ENTRIES, ShelfKind, find_anywhere};
use stillroom::workspace::Sources;

fn data(name: &str) -> Value {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/data").join(name);
    serde_json::from_str(&std::fs::read_to_string(path).unwrap()).unwrap()
}

/// A figure of the data as it is written, exact.
fn exact(value: &Value) -> Exact {
    let text = value.as_str().map_or_else(|| value.to_string(), String::from);
    Exact::parse(&text).unwrap_or_else(|| panic!("{text} is no figure"))
}

fn with_shelf<T>(look: impl FnOnce(&Resolver<'_>) -> T) -> T {
    let sources = Sources::default();
    look(&Resolver::new(&sources, &mut Vec::new()))
}

fn decl(entry: u32) -> DeclId {
    DeclId { file: FileId(ENTRIES[entry as usize].file), item: entry }
}

fn substance(resolver: &Resolver<'_>, name: &str) -> Arc<Substance> {
    let entry = find_anywhere(ShelfKind::Substance, name).unwrap_or_else(|| panic!("no substance {name}"));
    resolver.substance(decl(entry)).unwrap()
}

fn material(resolver: &Resolver<'_>, name: &str) -> Arc<Material> {
    let entry = find_anywhere(ShelfKind::Material, name).unwrap_or_else(|| panic!("no material {name}"));
    resolver.material(decl(entry)).unwrap()
}

fn substances(resolver: &Resolver<'_>) -> Vec<Arc<Substance>> {
    let numbers = (0u32..).zip(ENTRIES).filter(|(_, entry)| entry.kind == ShelfKind::Substance);
    numbers.map(|(number, _)| resolver.substance(decl(number)).unwrap()).collect()
}

/// Standard atomic weights, abridged to five digits. Source: IUPAC Commission on Isotopic Abundances and Atomic
/// Weights, Standard Atomic Weights 2021 (Pure and Applied Chemistry 94 (2022) 573), conventional values where the
/// standard is an interval.
const ATOMIC_WEIGHTS: &[(&str, f64)] = &[
    ("H", 1.0080),
    ("B", 10.81),
    ("C", 12.011),
    ("N", 14.007),
    ("O", 15.999),
    ("F", 18.998),
    ("Na", 22.990),
    ("Mg", 24.305),
    ("Al", 26.982),
    ("Si", 28.085),
    ("P", 30.974),
    ("S", 32.06),
    ("Cl", 35.45),
    ("K", 39.098),
    ("Ca", 40.078),
    ("Ti", 47.867),
    ("Cr", 51.996),
    ("Mn", 54.938),
    ("Fe", 55.845),
    ("Cu", 63.546),
    ("Zn", 65.38),
    ("Ag", 107.87),
    ("Br", 79.904),
    ("I", 126.90),
    ("Sn", 118.71),
    ("Ba", 137.33),
    ("Bi", 208.98),
];

/// The molar mass of a formula without brackets: `C6H8O7`.
fn molar_mass(formula: &str) -> f64 {
    let mut mass = 0.0;
    let mut rest = formula;
    while !rest.is_empty() {
        let small = rest[1..].find(|c: char| !c.is_ascii_lowercase()).map_or(rest.len(), |at| at + 1);
        let (element, after) = rest.split_at(small);
        let digits = after.find(|c: char| !c.is_ascii_digit() && c != '.').unwrap_or(after.len());
        let (count, after) = after.split_at(digits);
        let weight = ATOMIC_WEIGHTS.iter().find(|(symbol, _)| *symbol == element);
        let (_, weight) = weight.unwrap_or_else(|| panic!("no element {element} in {formula}"));
        mass += weight * if count.is_empty() { 1.0 } else { count.parse::<f64>().unwrap() };
        rest = after;
    }
    mass
}

#[test]
fn molar_masses_are_those_of_the_formulas() {
    let formulas = data("formulas.json");
    let formulas = formulas["formulas"].as_object().unwrap();
    let mut checked = 0;
    with_shelf(|resolver| {
        for substance in substances(resolver) {
            let Some(mass) = &substance.molar_mass else { continue };
            let formula =
                formulas.get(substance.name.as_str()).unwrap_or_else(|| panic!("{}: no formula", substance.name));
            let formula = formula["formula"].as_str().unwrap();
            let wanted = molar_mass(formula);
            let off = (mass.to_f64() - wanted).abs();
            assert!(off <= 0.02, "{}: {mass} g/mol on the shelf, {wanted:.4} g/mol from {formula}", substance.name);
            checked += 1;
        }
    });
    assert!(checked >= 150, "{checked} molar masses");
    assert_eq!(checked, formulas.len(), "a formula for a substance that the shelf has not, or gives no molar mass");
}

/// The molar mass of a salt is that of its acid or base with each proton's place taken by a counter-ion, or, for a
/// hydrochloride, with hydrogen chloride added: a check of the relation as well as of the figure.
#[test]
fn salts_weigh_what_they_are_made_of() {
    let hydrogen = 1.008;
    let mut checked = 0;
    with_shelf(|resolver| {
        for salt in substances(resolver) {
            let (Some(relation), Some(mass)) = (&salt.salt, &salt.molar_mass) else { continue };
            let parent = resolver.substance(relation.of).unwrap();
            let ion = resolver.substance(relation.with).unwrap();
            let (Some(parent_mass), Some(ion_mass)) = (&parent.molar_mass, &ion.molar_mass) else { continue };
            let Some(AcidBase::Ion(charge)) = &ion.acid_base else { panic!("{}: {} is no ion", salt.name, ion.name) };
            let count = relation.count.to_f64();
            // A bare ion as parent (a chloride, a sulfate) has no protons to give away.
            let protons =
                if matches!(parent.acid_base, Some(AcidBase::Ion(_))) { 0.0 } else { count * charge.to_f64() };
            let wanted = parent_mass.to_f64() + count * ion_mass.to_f64() - protons * hydrogen;
            let water = (mass.to_f64() - wanted) / 18.015;
            let hydrate = (water - water.round()).abs() * 18.015 <= 0.05 && water > -0.01;
            assert!(hydrate, "{}: {mass} g/mol on the shelf, {wanted:.3} g/mol from its parts", salt.name);
            checked += 1;
        }
    });
    assert!(checked >= 20, "{checked} salts");
}

/// Acid-base constants against the reference of acids and bases, found by CAS number.
#[test]
fn acid_base_constants_are_the_published_ones() {
    let reference = data("acid-base.json");
    let mut figures = 0;
    with_shelf(|resolver| {
        let shelf = substances(resolver);
        for published in reference["substances"].as_array().unwrap() {
            let pka: Vec<Exact> = published["pka"].as_array().unwrap().iter().map(exact).collect();
            if pka.is_empty() || published["kind"] == "salt" {
                continue;
            }
            let cas = published["cas"].as_str();
            let ours = shelf.iter().find(|substance| substance.cas.as_deref() == cas);
            let ours = ours.unwrap_or_else(|| panic!("the shelf has no {}", published["name"]));
            let fully_protonated = exact(&published["charge_of_fully_protonated"]);
            match ours.acid_base.as_ref().unwrap_or_else(|| panic!("{}: no acid-base facts", ours.name)) {
                AcidBase::Acid(known) => {
                    assert_eq!((known, published["kind"].as_str()), (&pka, Some("acid")), "{}", ours.name)
                }
                AcidBase::Base(known) => {
                    assert_eq!((known, published["kind"].as_str()), (&pka, Some("base")), "{}", ours.name)
                }
                AcidBase::Ampholyte(known, charge) => {
                    assert_eq!((known, charge), (&pka, &fully_protonated), "{}", ours.name);
                }
                other => panic!("{}: {other:?}", ours.name),
            }
            figures += pka.len();
        }
    });
    assert!(figures >= 40, "{figures} constants");
}

/// Materials with a published density: the table of the reference, and the percentage by weight.
const DENSITIES: &[(&str, &str, f64)] = &[
    ("acetic-acid-5", "acetic_acid_solution", 5.0),
    ("acetic-acid-10", "acetic_acid_solution", 10.0),
    ("acetic-acid-30", "acetic_acid_solution", 30.0),
    ("citric-acid-10", "citric_acid_solution", 10.0),
    ("citric-acid-20", "citric_acid_solution", 20.0),
    ("citric-acid-30", "citric_acid_solution", 30.0),
    ("lactic-acid-10", "lactic_acid_solution", 10.0),
    ("lactic-acid-20", "lactic_acid_solution", 20.0),
    ("lactic-acid-60", "lactic_acid_solution", 60.0),
    ("lactic-acid-80", "lactic_acid_solution", 80.0),
    ("sodium-hydroxide-5", "sodium_hydroxide_solution", 5.0),
    ("sodium-hydroxide-10", "sodium_hydroxide_solution", 10.0),
    ("sodium-hydroxide-20", "sodium_hydroxide_solution", 20.0),
    ("sodium-hydroxide-30", "sodium_hydroxide_solution", 30.0),
    ("sodium-hydroxide-40", "sodium_hydroxide_solution", 40.0),
    ("sodium-chloride-10", "sodium_chloride_solution", 10.0),
    ("sodium-chloride-20", "sodium_chloride_solution", 20.0),
    ("glycerin-50", "glycerol_water", 50.0),
    ("glycerin-86", "glycerol_water", 87.0),
    ("glycerin", "glycerol_water", 100.0),
    ("alcohol-70", "ethanol_water", 70.0),
    ("alcohol-absolute", "ethanol_water", 100.0),
];

/// A figure of a table at a percentage by weight, straight between its rows.
fn published_density(table: &Value, percent: f64) -> f64 {
    let rows = table["rows"].as_array().unwrap();
    let row = |row: &Value| (row["mass_percent"].as_f64().unwrap(), row["density_g_cm3"].as_f64().unwrap());
    let pairs = rows.windows(2).map(|pair| (row(&pair[0]), row(&pair[1])));
    for ((below, from), (above, to)) in pairs {
        if (below..=above).contains(&percent) {
            return from + (to - from) * (percent - below) / (above - below);
        }
    }
    panic!("{percent} % is not in the table");
}

/// Densities against the physical tables (CRC Handbook of Chemistry and Physics, Lange's Handbook, International
/// Critical Tables; each table names its own), to the last digit that the shelf gives.
#[test]
fn densities_are_the_published_ones() {
    let reference = data("physical.json");
    with_shelf(|resolver| {
        for (name, table, percent) in DENSITIES {
            let wanted = published_density(&reference[*table], *percent);
            let density = material(resolver, name).density.clone().unwrap_or_else(|| panic!("{name}: no density"));
            // A figure of two decimals is right within half a hundredth.
            let last_digit = 0.5 * 10f64.powi(-i32::try_from(density.decimals().unwrap()).unwrap());
            let off = (density.to_f64() - wanted).abs();
            assert!(off <= last_digit + 1e-9, "{name}: {density} g/mL on the shelf, {wanted:.4} g/mL published");
        }
        let water = reference["water_density_kg_m3"]["rows"].as_array().unwrap();
        let at_20 = water.iter().find(|row| row["celsius"].as_f64() == Some(20.0)).unwrap();
        let wanted = &exact(&at_20["density"]) * &Exact::ratio(1, 1000);
        assert_eq!(material(resolver, "water").density, Some(wanted));
    });
    assert!(DENSITIES.len() + 1 >= 20);
}

/// The HLB of an ethoxylate is 20 times the mass share of its oxyethylene. Source: Griffin, Calculation of HLB Values
/// of Non-Ionic Surfactants, J. Soc. Cosmet. Chem. 5 (1954) 249-256.
#[test]
fn the_hlb_of_ethoxylates_is_the_share_of_their_oxyethylene() {
    with_shelf(|resolver| {
        for (name, units, rest) in [
            ("steareth-2", 2.0, "C18H38O"),
            ("steareth-20", 20.0, "C18H38O"),
            ("oleth-20", 20.0, "C18H36O"),
            ("ceteth-20", 20.0, "C16H34O"),
            ("peg-100-stearate", 100.0, "C18H36O2"),
        ] {
            let oxyethylene = units * molar_mass("C2H4O");
            let wanted = 20.0 * oxyethylene / (oxyethylene + molar_mass(rest));
            let hlb = material(resolver, name).hlb.clone().unwrap_or_else(|| panic!("{name}: no HLB"));
            assert!((hlb.to_f64() - wanted).abs() <= 0.05, "{name}: {hlb} on the shelf, {wanted:.2} by its formula");
        }
    });
}

/// Solubilities in water against published ones, each with its source in the data.
#[test]
fn solubilities_are_the_published_ones() {
    let reference = data("solubility.json");
    let rows = reference["solubilities"].as_array().unwrap();
    with_shelf(|resolver| {
        for row in rows {
            let name = row["name"].as_str().unwrap();
            let wanted = exact(&row["percent"]);
            assert!(row["source"].as_str().is_some_and(|source| !source.is_empty()), "{name}: no source");
            let in_water: Vec<Exact> = match row["kind"].as_str().unwrap() {
                "substance" => {
                    let dissolves = &substance(resolver, name).dissolves;
                    dissolves
                        .iter()
                        .filter(|(solvent, ..)| solvent == "water")
                        .map(|(_, limit, _)| limit.clone())
                        .collect()
                }
                _ => {
                    let dissolves = &material(resolver, name).dissolves;
                    let in_water = dissolves.iter().filter(|(solvent, ..)| solvent == "water");
                    in_water.map(|(_, limit, _)| limit.clone()).collect()
                }
            };
            assert_eq!(in_water, [wanted], "{name}, published as {}", row["published"]);
        }
    });
    assert!(rows.len() >= 20, "{} solubilities", rows.len());
}
