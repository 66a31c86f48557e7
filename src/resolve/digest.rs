//! The digest of a resolved formula: what it comes to, whatever it is called and however it is laid out.

use super::Resolver;
use crate::model::{AmountIs, DeclId, Formula, Line, LineAmount, LineMaterial};
use crate::quantity::{Exact, Interval};
use rustc_hash::{FxHashMap, FxHashSet};
use serde_json::{Value, json};
use sha2::{Digest as _, Sha256};
use std::fmt::Write as _;
use std::sync::Arc;

impl Resolver<'_> {
    /// SHA-256 over a canonical JSON of the lines, the exact percentages, the strengths of materials declared at
    /// home, and the header lines that bear on the batch; as `sha256:` and 64 hexadecimal digits. Title, version,
    /// steps, layout, file names and the shelf's facts do not count.
    #[must_use]
    pub fn digest(&self, formula: &Formula) -> String {
        let mut known: FxHashMap<DeclId, String> = FxHashMap::default();
        for premix in premixes(formula) {
            let digest = self.digest_of_lines(&premix, &known);
            known.insert(premix.id, digest);
        }
        self.digest_of(formula, &known)
    }

    fn digest_of(&self, formula: &Formula, premixes: &FxHashMap<DeclId, String>) -> String {
        let lines: Vec<Value> = formula.lines.iter().map(|line| self.line_value(formula, line, premixes)).collect();
        let exact = |figure: &Option<Exact>| figure.as_ref().map(Exact::to_fraction);
        let products: Vec<&str> = formula.products.iter().map(|product| product.word()).collect();
        let scales: Vec<Value> =
            formula.scales.iter().map(|scale| json!([scale.step.to_fraction(), exact(&scale.max)])).collect();
        let makes = formula.makes.as_ref().map(|makes| {
            json!({
                "count": exact(&makes.count), "grams": exact(&makes.grams),
                "millilitres": exact(&makes.millilitres), "plus": exact(&makes.plus),
            })
        });
        let window = formula.window.as_ref().map(|window| json!([exact(&window.low), exact(&window.high)]));
        let value = json!({
            "density": exact(&formula.density), "lines": lines, "makes": makes, "meter": exact(&formula.meter),
            "pH": window, "product": products, "scales": scales,
        });
        sha256(&value)
    }

    /// A premix counts by what it is made of: how much of it is made at a time is nothing to the formula it goes into.
    fn digest_of_lines(&self, formula: &Formula, premixes: &FxHashMap<DeclId, String>) -> String {
        sha256(&formula.lines.iter().map(|line| self.line_value(formula, line, premixes)).collect())
    }

    fn line_value(&self, formula: &Formula, line: &Line, premixes: &FxHashMap<DeclId, String>) -> Value {
        let kind = match (&line.amount, &line.target) {
            (LineAmount::QuantumSatis, _) => "q.s.".to_string(),
            (LineAmount::AtBench, _) => "q.s. to pH".to_string(),
            (_, None) => "as supplied".to_string(),
            (_, Some(target)) if target.is == AmountIs::Active => "active".to_string(),
            (_, Some(target)) => format!("of {}", self.substance_name(target.substance)),
        };
        let made_of = match &line.material {
            Some(LineMaterial::Material(material)) if !material.contains_from_shelf => {
                let parts = material.contains.iter().map(|part| self.part_value(part.substance, &part.strength));
                Value::from(parts.collect::<Vec<_>>())
            }
            Some(LineMaterial::Premix(premix)) => Value::from(premixes.get(&premix.id).cloned()),
            _ => Value::Null,
        };
        let held = line.hold_back.as_ref().map(|held| match &held.grams {
            Some(grams) => format!("{} g", grams.to_fraction()),
            None => held.percent.as_ref().map(Exact::to_fraction).unwrap_or_default(),
        });
        let mut value = json!({
            "amount": kind, "from": line.from.as_deref().map(|(name, _)| name.as_str()), "held back": held,
            "made of": made_of, "name": line.name.as_str(), "percent": line.percent.as_ref().map(Exact::to_fraction),
            "phase": formula.phases.get(line.phase).map(|phase| phase.name.as_str()),
        });
        // A digest of before there were titrations stays what it was.
        if let (Some(titrated), Some(object)) = (&line.titrated, value.as_object_mut()) {
            object.insert("titrated".to_string(), titrated.written().into());
        }
        value
    }

    fn part_value(&self, substance: DeclId, strength: &Interval) -> Value {
        json!([self.substance_name(substance), strength.low.to_fraction(), strength.high.to_fraction()])
    }
}

fn sha256(value: &Value) -> String {
    let mut text = String::from("sha256:");
    for byte in Sha256::digest(value.to_string().as_bytes()) {
        // Writing to a string cannot fail.
        let _ = write!(text, "{byte:02x}");
    }
    text
}

/// The premixes of a formula, each once and after those within it, found without recursion.
fn premixes(formula: &Formula) -> Vec<Arc<Formula>> {
    let inner = |formula: &Formula| -> Vec<Arc<Formula>> {
        let things = formula.lines.iter().filter_map(|line| match &line.material {
            Some(LineMaterial::Premix(premix)) => Some(Arc::clone(premix)),
            _ => None,
        });
        things.collect()
    };
    let mut sorted = Vec::new();
    let mut seen = FxHashSet::default();
    let mut waiting: Vec<(Arc<Formula>, bool)> = inner(formula).into_iter().map(|premix| (premix, false)).collect();
    while let Some((premix, done)) = waiting.pop() {
        if done {
            sorted.push(premix);
        } else if seen.insert(premix.id) {
            let below = inner(&premix);
            waiting.push((premix, true));
            waiting.extend(below.into_iter().map(|premix| (premix, false)));
        }
    }
    sorted
}
