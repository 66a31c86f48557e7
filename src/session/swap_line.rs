//! The statement of a variant that puts one material in the place of another.

use super::swaps::Outcome;
use crate::model::{Basis, Line, LineAmount, Material, Usage};
use crate::quantity::Exact;
use crate::resolve::Resolver;

/// What an amount is kept by where a material takes the place of another.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kept {
    /// The amount stands as it is written: the language keeps the active of an amount `active`.
    AsWritten,
    /// The amount was as supplied, and is now that of the active, which both have.
    Active,
    /// The amount would lie outside the usage of the new material, and is the nearest that does not.
    WithinUsage,
}

/// Digits of a figure that is no decimal: more than any scale tells apart.
const DIGITS: u32 = 6;

/// The statement, and what the amount is kept by. An amount is written only where the language would keep another one
/// than a maker means, and only of a single line in percent, with a q.s. line to take the difference.
pub(super) fn swap_line(resolver: &Resolver<'_>, now: &Outcome, old: &str, new: &Material) -> (String, Kept) {
    let bare = format!("swap {old} for {}", new.name);
    let fitted = only_line(now, old).and_then(|line| {
        let same_active = as_active(resolver, now, line, new).map(|amount| (amount, Kept::Active));
        same_active.or_else(|| Some((within_usage(resolver, now, line, new)?, Kept::WithinUsage)))
    });
    match fitted {
        Some((amount, kept)) => (format!("{bare} {amount}"), kept),
        None => (bare, Kept::AsWritten),
    }
}

/// The line of a material, where it is the only one, in percent, and another line fills up to 100 %.
fn only_line<'o>(now: &'o Outcome, old: &str) -> Option<&'o Line> {
    let lines = &now.formula.lines;
    let mut of_it = lines.iter().filter(|line| line.name == old);
    let line = of_it.next().filter(|line| matches!(line.amount, LineAmount::Percent(_)))?;
    let fills_up = lines.iter().any(|line| line.amount == LineAmount::QuantumSatis);
    (now.formula.basis == Basis::Percent && fills_up && of_it.next().is_none()).then_some(line)
}

/// The active that an amount as supplied brings, where the new material has the same in another strength.
fn as_active(resolver: &Resolver<'_>, now: &Outcome, line: &Line, new: &Material) -> Option<String> {
    let (one, two) = (resolver.active_of(&now.material)?, resolver.active_of(new)?);
    if line.target.is_some() || one.substance != two.substance || one.strength == two.strength {
        return None;
    }
    let strength = resolver.active_strength_of(&now.material)?;
    resolver.active_strength_of(new)?;
    let active = &line.percent.as_ref()?.hundredth() * &strength;
    Some(format!("{} % active", written(&active)))
}

/// The nearest amount within the usage of the new material, where the amount that the language keeps lies outside.
fn within_usage(resolver: &Resolver<'_>, now: &Outcome, line: &Line, new: &Material) -> Option<String> {
    let Usage { range, active, .. } = new.usage_in(&now.formula.products)?;
    // What the language keeps: of an amount `active` or `of` a substance the figure, else the weight.
    let kept = line.asked.as_ref()?;
    let of_active = line.target.is_some();
    let strength = resolver.active_strength_of(new).filter(|_| *active || of_active).unwrap_or(Exact::HUNDRED);
    let figure = match (of_active, *active) {
        (true, true) | (false, false) => kept.clone(),
        (false, true) => &kept.hundredth() * &strength,
        (true, false) => (kept * &Exact::HUNDRED).over(&strength)?,
    };
    let edge = range.edge_below(&figure).or_else(|| range.edge_above(&figure))?;
    let of = if *active { " active" } else { "" };
    Some(format!("{} %{of}", written(edge)))
}

/// A figure as the language reads it.
fn written(figure: &Exact) -> String {
    match figure.decimals() {
        Some(decimals) if decimals <= DIGITS => figure.to_string(),
        _ => figure.to_significant(DIGITS),
    }
}
