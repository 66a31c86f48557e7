//! Oil and water, or oil and glycerin, in one product, and nothing that joins them.

use super::contents::Ingredient;
use super::context::CheckContext;
use super::liquids::{Liquids, joins};
use crate::diagnostic::{Code, Diagnostic};
use crate::model::{AcidBase, Formula, Substance};
use crate::quantity::Exact;
use crate::resolve::Resolver;
use crate::syntax::vocabulary::{Doing, MaterialPhase, Role};
use std::sync::Arc;

/// Least oil, and least of what is watery, in percent of the batch, that shows when they part.
fn least() -> (Exact, Exact) {
    (Exact::ratio(1, 10), Exact::ratio(1, 2))
}
/// Powder holds a liquid that is no more than a half of it, as clay does in a mask (common practice, no source).
const HOLDS: i64 = 2;
/// What joins them does so from a fiftieth of the lesser liquid on; a tenth and more is usual (common practice, no
/// source).
const JOINS: i64 = 50;
/// Scents dissolve from this share of ethanol in ethanol and water on, in percent (common practice, no source).
const DISSOLVES_SCENT: i64 = 60;
/// Percent of oil up to which a solubiliser is what is wanted, and beyond which an emulsifier (common practice, no
/// source).
const LITTLE_OIL: i64 = 1;
/// Percent of a strong base, or of an alkaline salt, from which it makes soap of oil or wax.
fn saponifies() -> Exact {
    Exact::ratio(3, 10)
}
/// The pKa from which an acid is so weak that its salt is a base.
fn weak() -> Exact {
    Exact::ratio(17, 2)
}

/// Oil and something watery with nothing between them, or next to nothing, wherever the phases are written.
pub fn missing(context: &CheckContext<'_, '_>, faults: &mut Vec<Diagnostic>) {
    let formula = context.formula;
    // A phase in which they meet is told of by itself.
    let told = faults.iter().any(|fault| fault.code == Code::PhaseClash);
    if told || !formula.total_known || formula.is_stock() || is_joined(context) || is_shaken(formula) {
        return;
    }
    let liquids = Liquids::of(context);
    let watery = liquids.watery();
    let (least_oil, least_watery) = least();
    // A scent goes into glycols and into strong alcohol, and into water not at all.
    let spirit = &liquids.ethanol * &Exact::HUNDRED >= &Exact::whole(DISSOLVES_SCENT) * &(&liquids.ethanol + &watery);
    let scented = !spirit && liquids.water.percent >= least_watery;
    let scent = if scented { liquids.scent.percent.clone() } else { Exact::ZERO };
    let oil = &liquids.fat.percent + &scent;
    if oil < least_oil || watery < least_watery {
        return;
    }
    let lesser = if oil < watery { &oil } else { &watery };
    let held = liquids.powder >= lesser * &Exact::whole(HOLDS);
    if held || &liquids.joining * &Exact::whole(JOINS) >= *lesser {
        return;
    }
    faults.extend(fault(&liquids, &oil, &watery));
}

fn fault(liquids: &Liquids<'_, '_>, oil: &Exact, watery: &Exact) -> Option<Diagnostic> {
    let oils = if liquids.fat.percent.is_positive() { &liquids.fat } else { &liquids.scent };
    let waters = if liquids.water.percent >= liquids.polar.percent { &liquids.water } else { &liquids.polar };
    let (oily, wet) = (oils.most?, waters.most?);
    let outer_is_oil = oil > watery;
    let (at, other, words, outer) = match outer_is_oil {
        true => (wet, oily, "the oil", "oil"),
        false => (oily, wet, "what is watery", "water"),
    };
    let joined = match liquids.joining.is_positive() {
        true => format!("only {} % joins", liquids.joining.to_significant(2)),
        false => "nothing joins".to_string(),
    };
    let message = format!(
        "{} does not mix with {outer}, and {joined} the {} % of oil and the {} % of what is watery here.",
        at.named(),
        oil.to_significant(3),
        watery.to_significant(3)
    );
    let more = if liquids.joining.is_positive() { "more of an" } else { "an" };
    let help = if outer_is_oil {
        format!("Leave it out, or add {more} emulsifier for water in oil")
    } else if *oil <= Exact::whole(LITTLE_OIL) {
        let solubiliser = (oil * &Exact::whole(4)).to_significant(2);
        format!("Add a solubiliser, mixed with the oil first: four times the oil is usual, {solubiliser} % here")
    } else {
        let emulsifier = oil.over(&Exact::whole(5))?.to_significant(2);
        format!("Add {more} emulsifier: a fifth of the oil is usual, {emulsifier} % here")
    };
    let help = format!("{help}. If it is to part and be shaken, say so: `directions \"Shake well before use.\"`.");
    let fault = Diagnostic::new(Code::EmulsifierMissing, at.line.place, message).and(other.line.place, words);
    let joiner = liquids.joiner.filter(|joiner| joiner.percent.is_some());
    let fault = joiner.into_iter().fold(fault, |fault, joiner| fault.and(joiner.line.place, "too little of this"));
    Some(fault.help(help))
}

/// Whether something surely joins oil and water whatever there is of it: a polymer that does, soap that forms in it,
/// what is weighed at the bench. A material of which nobody has said what it is for may.
fn is_joined(context: &CheckContext<'_, '_>) -> bool {
    let joined = |ingredient: &Ingredient<'_>| {
        let material = &ingredient.material;
        let thickens = ingredient.has_role(Role::Thickener) || material.does.contains(&Doing::Thickens);
        joins(ingredient) && (thickens || ingredient.percent.is_none()) || is_unknown(context.resolver, ingredient)
    };
    context.ingredients().iter().any(joined) || makes_soap(context)
}

fn is_unknown(resolver: &Resolver<'_>, ingredient: &Ingredient<'_>) -> bool {
    let material = &ingredient.material;
    material.roles.is_empty() && material.phase.is_none() && !super::contents::is_wet(resolver, material)
}

/// The pH from which a soap is one: under it the fatty acids fall out (common practice, no source).
pub(super) const SOAP: i64 = 9;

/// Whether a formula is a soap: a surfactant that holds in no less than pH 9, or fat with much strong alkali.
pub(super) fn is_true_soap(context: &CheckContext<'_, '_>) -> bool {
    let holds = |ingredient: &Ingredient<'_>| {
        let low = ingredient.material.works_in.as_ref().and_then(|works| works.low.as_ref());
        ingredient.has_role(Role::Surfactant) && low.is_some_and(|low| *low >= Exact::whole(SOAP))
    };
    context.ingredients().iter().any(holds) || has_much_alkali(context)
}

/// Fatty acid with any base, or fat with a strong one: soap.
fn makes_soap(context: &CheckContext<'_, '_>) -> bool {
    let all = context.ingredients();
    let fatty = all.iter().any(|ingredient| {
        let is_oil = ingredient.material.phase == Some(MaterialPhase::Oil) && !ingredient.has_role(Role::Fragrance);
        is_oil && substances(context.resolver, ingredient).any(|substance| is_acid(&substance))
    });
    let bases =
        |resolver, ingredient| substances(resolver, ingredient).any(|substance| alkali(resolver, &substance) > 0);
    if fatty && all.iter().any(|ingredient| bases(context.resolver, ingredient)) {
        return true;
    }
    has_much_alkali(context)
}

/// Strong alkali enough to make soap of fat.
fn has_much_alkali(context: &CheckContext<'_, '_>) -> bool {
    let strong = context.ingredients().iter().filter_map(|ingredient| {
        let percent = ingredient.percent.as_ref()?;
        let parts = ingredient.material.contains.iter().filter(|part| {
            context.resolver.substance(part.substance).is_some_and(|substance| alkali(context.resolver, &substance) > 1)
        });
        Some(&percent.hundredth() * &parts.map(|part| part.strength.low.clone()).sum::<Exact>())
    });
    strong.sum::<Exact>() >= saponifies() && context.forecast().is_none_or(|seen| seen.before.ph > 8.0)
}

fn substances<'r>(
    resolver: &'r Resolver<'_>,
    ingredient: &'r Ingredient<'_>,
) -> impl Iterator<Item = Arc<Substance>> + 'r {
    ingredient.material.contains.iter().filter_map(|part| resolver.substance(part.substance))
}

fn is_acid(substance: &Substance) -> bool {
    let named = substance.inci.as_deref().unwrap_or(&substance.name).to_ascii_lowercase();
    matches!(substance.acid_base, Some(AcidBase::Acid(_))) || named.ends_with("acid")
}

/// How alkaline: 2 for a strong base or a salt that is as good as one, 1 for an amine, 0 for what is no base.
fn alkali(resolver: &Resolver<'_>, substance: &Substance) -> u8 {
    if let Some(salt) = &substance.salt {
        let of = resolver.substance(salt.of);
        let first = of.as_ref().and_then(|of| match &of.acid_base {
            Some(AcidBase::Acid(pka)) => pka.first(),
            _ => None,
        });
        return if first.is_some_and(|pka| *pka >= weak()) { 2 } else { 0 };
    }
    match &substance.acid_base {
        Some(AcidBase::StrongBase) => 2,
        Some(AcidBase::Base(pka)) if pka.iter().any(|pka| *pka >= Exact::ratio(15, 2)) => 1,
        _ => 0,
    }
}

/// Whether the formula says that it is shaken, or that it has two phases.
fn is_shaken(formula: &Formula) -> bool {
    const SAYS: [&str; 7] = ["shake", "shaking", "two-phase", "two phase", "bi-phas", "biphas", "two layers"];
    formula.texts.iter().any(|said| {
        let text = said.text.to_lowercase();
        SAYS.iter().any(|word| text.contains(word))
    })
}
