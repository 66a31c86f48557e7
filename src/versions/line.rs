//! A line in names and figures alone.

use super::meaning::{AmountMeaning, LineMeaning};
use crate::model::{Formula, HeldBack, Line, LineAmount, LineMaterial};
use crate::quantity::Exact;
use crate::resolve::Resolver;

/// A line.
#[must_use]
pub fn line_meaning(resolver: &Resolver<'_>, formula: &Formula, line: &Line) -> LineMeaning {
    let kind = match (&line.amount, &line.target) {
        (LineAmount::QuantumSatis, _) => AmountMeaning::Fills,
        (LineAmount::AtBench, _) => AmountMeaning::AtBench,
        (_, Some(target)) => AmountMeaning::Of(resolver.substance_name(target.substance)),
        (_, None) => AmountMeaning::AsSupplied,
    };
    let is_line = |name: &str| formula.lines.iter().any(|line| line.name == name);
    let from_lines = !line.uses.is_empty() && line.uses.iter().all(|used| is_line(&used.name));
    LineMeaning {
        material: line.name.to_string(),
        phase: formula.phases.get(line.phase).map(|phase| phase.name.to_string()).unwrap_or_default(),
        kind,
        asked: line.asked.clone(),
        from_lines: from_lines.then(|| line.written.to_string()),
        percent: line.percent.clone(),
        active: active_of(resolver, line),
        held_back: line.hold_back.as_deref().and_then(held_back),
        from: line.from.as_deref().map(|(name, _)| name.to_string()),
        titrated: line.titrated.as_ref().map(|titrated| titrated.written()),
        because: line.because.as_ref().map(ToString::to_string),
        grams: None,
    }
}

fn held_back(held: &HeldBack) -> Option<(Exact, &'static str)> {
    match (&held.grams, &held.percent) {
        (Some(grams), _) => Some((grams.clone(), "g")),
        (None, Some(percent)) => Some((percent.clone(), "%")),
        (None, None) => None,
    }
}

/// How much active a line brings, in percent of the batch: what it asks for, else what its material is bought for.
#[must_use]
pub fn active_of(resolver: &Resolver<'_>, line: &Line) -> Option<(String, Exact)> {
    let percent = line.percent.as_ref()?;
    let (substance, strength) = match (&line.target, &line.material) {
        (Some(target), _) => (target.substance, target.strength.middle()),
        (None, Some(LineMaterial::Material(material))) => {
            // What a material is bought for is what it says is its active; the one thing in it says nothing new.
            let part = resolver.active_of(material).filter(|part| part.active && !part.undisclosed)?;
            (part.substance, part.strength.middle())
        }
        _ => return None,
    };
    let name = resolver.substance_name(substance);
    // Of what is nearly pure and goes by the name of what is in it, the active says nothing new.
    let says_more = line.target.is_some() || (strength != Exact::HUNDRED && name != line.name.as_str());
    says_more.then(|| (name, percent * &strength.hundredth()))
}

/// Whether a line says the same amount, whatever it comes to.
#[must_use]
pub fn same_amount(old: &LineMeaning, new: &LineMeaning) -> bool {
    old.kind == new.kind && (old.asked == new.asked || (old.from_lines.is_some() && old.from_lines == new.from_lines))
}
