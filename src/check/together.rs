//! Materials that are to be kept apart.

use super::contents::Ingredient;
use super::context::CheckContext;
use crate::diagnostic::{Code, Diagnostic};
use crate::model::{Avoid, Avoided, DeclId, Formula, Material};
use crate::quantity::Exact;
use crate::resolve::Resolver;

/// Two materials of which one says that it is to be kept apart from the other, where its condition is met. Told once a
/// pair, on the later line. What meets in one premix is told of there.
pub fn apart(context: &CheckContext<'_, '_>, faults: &mut Vec<Diagnostic>) {
    let all = context.ingredients();
    let mut told: Vec<(DeclId, DeclId)> = Vec::new();
    for one in all {
        for avoid in one.material.avoids.iter().filter(|avoid| is_met_by_ph(context.formula, avoid)) {
            let kept_apart: Vec<&Ingredient<'_>> = all
                .iter()
                .filter(|other| other.material.id != one.material.id && is_meant(context, avoid, other))
                .collect();
            if !is_above(context.resolver, avoid, &kept_apart) {
                continue;
            }
            if avoid.above.is_some() {
                faults.extend(summed(one, &kept_apart, avoid, &mut told));
                continue;
            }
            for other in kept_apart.into_iter().filter(|other| other.at != one.at) {
                let ids = (one.material.id, other.material.id);
                let pair = (ids.0.min(ids.1), ids.0.max(ids.1));
                if !told.contains(&pair) {
                    told.push(pair);
                    faults.push(fault(one, other, avoid));
                }
            }
        }
    }
}

/// Several materials that only their sum keeps apart from another: told once, with all of them.
fn summed(
    one: &Ingredient<'_>,
    kept_apart: &[&Ingredient<'_>],
    avoid: &Avoid,
    told: &mut Vec<(DeclId, DeclId)>,
) -> Option<Diagnostic> {
    let pair =
        |other: &Ingredient<'_>| (one.material.id.min(other.material.id), one.material.id.max(other.material.id));
    let mut others: Vec<&Ingredient<'_>> =
        kept_apart.iter().filter(|other| other.at != one.at && !told.contains(&pair(other))).copied().collect();
    others.dedup_by_key(|other| other.material.id);
    told.extend(others.iter().map(|other| pair(other)));
    let last = others.pop()?;
    let first = fault(one, last, avoid);
    if others.is_empty() {
        return Some(first);
    }
    let names: Vec<String> = others.iter().map(|other| other.named()).collect();
    let message = format!(
        "{} does not go together with so much of {} and {} ({}).",
        one.named(),
        names.join(", "),
        last.named(),
        avoid.because
    );
    let fault = Diagnostic { message, ..first };
    Some(others.into_iter().fold(fault, |fault, other| fault.and(other.line.place, "counted with it")))
}

fn fault(one: &Ingredient<'_>, other: &Ingredient<'_>, avoid: &Avoid) -> Diagnostic {
    let (first, later) = if one.at <= other.at { (one, other) } else { (other, one) };
    let message = format!("{} and {} do not go together ({}).", first.named(), later.named(), avoid.because);
    let mut directions = vec!["Replace one of the two".to_string()];
    directions.extend(avoid.above.as_ref().map(|above| format!("keep `{}` at {above} % or under", avoid.name)));
    directions.extend(avoid.outside.as_ref().map(|range| format!("keep the window within {}", range.words())));
    Diagnostic::new(Code::AvoidTogether, later.line.place, message)
        .and(first.line.place, "with this one")
        .and(avoid.place, "the material says so")
        .rests_on(avoid.place)
        .help(format!("{}.", directions.join(", or ")))
}

/// Whether the pH lets it matter: always, or where part of the window lies outside the range. Without a window nobody
/// knows.
fn is_met_by_ph(formula: &Formula, avoid: &Avoid) -> bool {
    let Some(range) = &avoid.outside else { return true };
    formula.sound_window().is_some_and(|window| !window.lies_within(range))
}

/// Whether a material is one of those that are to be kept apart.
fn is_meant(context: &CheckContext<'_, '_>, avoid: &Avoid, other: &Ingredient<'_>) -> bool {
    avoid.with.iter().any(|with| match with {
        Avoided::Material(id) => is_like(context.resolver, &other.material, *id),
        Avoided::Role(role) => other.has_role(*role),
        Avoided::Substance(_) | Avoided::Charge(_) => {
            other.material.contains.iter().any(|component| is_substance(context.resolver, with, component.substance))
        }
    })
}

/// Whether a material is another, or like it.
fn is_like(resolver: &Resolver<'_>, material: &Material, id: DeclId) -> bool {
    let mut seen = vec![material.id];
    let mut like = material.like;
    while let Some(next) = like.filter(|next| !seen.contains(next)) {
        seen.push(next);
        like = resolver.material(next).and_then(|material| material.like);
    }
    seen.contains(&id)
}

/// Whether a substance is the one that is meant, also where it is declared once more, or has the charge.
fn is_substance(resolver: &Resolver<'_>, with: &Avoided, id: DeclId) -> bool {
    match with {
        Avoided::Charge(charge) => resolver.substance(id).is_some_and(|substance| substance.charge == Some(*charge)),
        Avoided::Substance(meant) => resolver.is_same(*meant, id),
        Avoided::Material(_) | Avoided::Role(_) => false,
    }
}

/// Whether there is more than the condition allows, summed over all that is meant: a material or role as supplied, a
/// substance or charge by itself. Of a range the most counts; an amount that is not known does not.
fn is_above(resolver: &Resolver<'_>, avoid: &Avoid, meant: &[&Ingredient<'_>]) -> bool {
    let Some(above) = &avoid.above else { return true };
    let supplied = avoid.with.iter().any(|with| matches!(with, Avoided::Material(_) | Avoided::Role(_)));
    let brings = |ingredient: &&Ingredient<'_>| {
        let percent = ingredient.percent.clone()?;
        if supplied {
            return Some(percent);
        }
        let counted = ingredient.material.contains.iter().filter(|component| {
            !component.undisclosed && avoid.with.iter().any(|with| is_substance(resolver, with, component.substance))
        });
        let share: Exact = counted.map(|component| component.strength.high.clone()).sum();
        Some(&percent.hundredth() * &share)
    };
    meant.iter().filter_map(brings).sum::<Exact>() > *above
}
