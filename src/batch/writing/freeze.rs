//! The plan that a record rests on, written out so that the record stands alone.

use super::amount::{amount_text, decimal};
use super::local::own;
use super::quoted;
use crate::model::{Basis, Formula, Line, LineAmount, Scale, StepMark, Steps};
use crate::resolve::Resolver;
use crate::sheet::Plan;
use crate::shelf::EDITION;
use std::fmt::Write as _;

/// `plan { … }` of a formula, as one statement; none where a percentage is not known.
#[must_use]
pub fn freeze(resolver: &Resolver<'_>, formula: &Formula) -> Option<String> {
    if !formula.total_known || formula.incomplete {
        return None;
    }
    let mut out = String::from("plan {\n");
    // Writing to a string cannot fail.
    for (word, text) in [("title", &formula.title), ("version", &formula.version)] {
        if let Some(text) = text {
            let _ = writeln!(out, "{word} {}", quoted(text));
        }
    }
    let products: Vec<&str> = formula.products.iter().map(|product| product.word()).collect();
    let markets: Vec<&str> = formula.markets.iter().map(|(market, _)| market.word()).collect();
    for (word, words) in [("product", products.join(" ")), ("market", markets.join(", "))] {
        if !words.is_empty() {
            let _ = writeln!(out, "{word} {words}");
        }
    }
    if let Some(density) = &formula.density {
        let _ = writeln!(out, "density {} g/mL", decimal(density));
    }
    for scale in &formula.scales {
        let _ = writeln!(out, "scale {}", scale_text(scale));
    }
    if let Some(meter) = &formula.meter {
        let _ = writeln!(out, "meter {}", decimal(meter));
    }
    if let Some(window) = &formula.window {
        let range = match (&window.low, &window.high) {
            (Some(low), Some(high)) => Some(format!("{} to {}", decimal(low), decimal(high))),
            (Some(low), None) => Some(format!("at least {}", decimal(low))),
            (None, Some(high)) => Some(format!("at most {}", decimal(high))),
            (None, None) => None,
        };
        if let Some(range) = range {
            let _ = writeln!(out, "pH {range}");
        }
    }
    for (number, phase) in formula.phases.iter().enumerate() {
        let _ = writeln!(out, "phase {}", phase.name);
        for (word, at) in [("heat", &phase.heat), ("cool", &phase.cool)] {
            if let Some((celsius, _)) = at {
                let _ = writeln!(out, "{word} to {} °C", decimal(celsius));
            }
        }
        for line in formula.lines.iter().filter(|line| line.phase == number) {
            let _ = writeln!(out, "{}", line_text(line, formula.basis)?);
        }
    }
    for marks in formula.steps.iter().flat_map(Steps::cut) {
        let step: String = marks.iter().map(StepMark::written).collect();
        let _ = writeln!(out, "step {}", quoted(&step));
    }
    for statement in own(resolver, formula)? {
        let _ = writeln!(out, "{statement}");
    }
    let _ = writeln!(out, "digest \"{}\"", resolver.digest(formula));
    let _ = writeln!(out, "compiler \"{}\"", env!("CARGO_PKG_VERSION"));
    let _ = writeln!(out, "shelf \"{EDITION}\"");
    out.push('}');
    Some(out)
}

/// The size of a batch as its finest scale shows it.
#[must_use]
pub fn size_text(plan: &Plan) -> String {
    format!("{} g", plan.batch.to_fixed(plan.finest.decimals().unwrap_or(2)))
}

fn scale_text(scale: &Scale) -> String {
    match &scale.max {
        Some(max) => format!("{} g up to {} g", decimal(&scale.step), decimal(max)),
        None => format!("{} g", decimal(&scale.step)),
    }
}

/// A line: its name, its percentage as supplied, its amount, what waits of it and where its weight comes from.
fn line_text(line: &Line, basis: Basis) -> Option<String> {
    let mut text = line.name.to_string();
    if line.amount != LineAmount::AtBench {
        let _ = write!(text, " {} %", decimal(line.percent.as_ref()?));
    }
    let _ = write!(text, " {}", amount_text(line, basis)?);
    if let Some(held) = &line.hold_back {
        // A weight stands against the formula's own batch; here it is a share of this one.
        let _ = write!(text, " hold back {} %", decimal(held.percent.as_ref()?));
    }
    if let Some((from, _)) = line.from.as_deref() {
        let _ = write!(text, " from {from}");
    }
    if let Some(titrated) = &line.titrated {
        let _ = write!(text, " {}", titrated.written());
    }
    Some(text)
}
