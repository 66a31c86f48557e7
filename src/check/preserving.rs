//! Which preservatives of the shelf suit a formula that has none: each is put in, and all is checked again.

use super::context::{CheckContext, CheckOptions};
use super::emulsifier::{SOAP, is_true_soap};
use super::{CHECKS, ph_reach, ph_reserve, run};
use crate::diagnostic::{Code, Diagnostic, Family, Level, Place, Span};
use crate::model::{Composition, Formula, Line, LineAmount, LineMaterial, Material};
use crate::quantity::Exact;
use crate::resolve::NameSet;
use crate::shelf::{self, ShelfEntry, ShelfKind};
use crate::syntax::vocabulary::{MaterialPhase, Microbe, Product, Role};
use smol_str::{SmolStr, ToSmolStr as _};
use std::cmp::Reverse;
use std::sync::Arc;

/// So many are named.
const NAMED: usize = 3;

/// So many pairs are tried at most.
const TRIED: usize = 40;

const ALL: [Microbe; 3] = [Microbe::Bacteria, Microbe::Yeast, Microbe::Mould];

/// A preservative with how much of it, or two that only together cover all.
pub(super) type Suiting = Vec<(SmolStr, Exact)>;

/// Up to three preservatives of the shelf that suit a formula: that protect against bacteria, yeast and mould, and bring
/// no fault of their own in this pH, beside these lines, in this product and market. Those that do it alone come before
/// pairs, those of several parts before single substances, and then those that work over the most of the pH scale.
pub(super) fn suiting(context: &CheckContext<'_, '_>) -> Vec<Suiting> {
    let before = foreseen_faults(context, context.formula);
    let mut all: Vec<Arc<Material>> = candidates(context);
    all.sort_by_cached_key(|material| {
        let works = material.works_in.as_ref();
        let edge = |end: Option<&Exact>, other: i64| end.cloned().unwrap_or_else(|| Exact::whole(other));
        let low = edge(works.and_then(|works| works.low.as_ref()), 0);
        let high = edge(works.and_then(|works| works.high.as_ref()), 14);
        (material.contains.len() < 2, Reverse(&high - &low), material.name.clone())
    });
    let covers = |material: &Material, microbe: &Microbe| material.protects.contains(microbe);
    let (alone, in_part): (Vec<_>, Vec<_>) =
        all.into_iter().partition(|material| ALL.iter().all(|microbe| covers(material, microbe)));
    let tried = |materials: &[&Arc<Material>]| {
        let amounts = |number: usize| -> Option<Suiting> {
            let amount = |material: &&Arc<Material>| {
                Some((material.name.clone(), amounts(material, &context.formula.products)?.get(number)?.clone()))
            };
            materials.iter().map(amount).collect()
        };
        [0, 1].into_iter().filter_map(amounts).find(|added| {
            let made = materials
                .iter()
                .zip(added)
                .try_fold(context.formula.clone(), |made, (material, (_, percent))| with(&made, material, percent));
            made.is_some_and(|made| is_sound(context, &made, added, before))
        })
    };
    let mut found: Vec<Suiting> = alone.iter().filter_map(|material| tried(&[material])).take(NAMED).collect();
    if found.len() >= NAMED {
        return found;
    }
    // What a pair is to cover, neither of the two covers alone: that is no fault of either.
    let in_part: Vec<Arc<Material>> = in_part.into_iter().filter(|material| tried(&[material]).is_some()).collect();
    let pairs = in_part.iter().filter(|one| covers(one, &Microbe::Bacteria)).flat_map(|one| {
        let missing: Vec<Microbe> = ALL.into_iter().filter(|microbe| !covers(one, microbe)).collect();
        let others = in_part.iter().filter(move |other| missing.iter().all(|microbe| covers(other, microbe)));
        others.map(move |other| [one, other])
    });
    let pairs: Vec<[&Arc<Material>; 2]> = pairs.take(TRIED).collect();
    // Three that differ say more: one that is named already is named again only where there are no others.
    for again in [false, true] {
        for [one, other] in &pairs {
            let known = |name: &SmolStr| found.iter().flatten().any(|(known, _)| known == name);
            let as_it_is = known(&one.name) && known(&other.name);
            if found.len() < NAMED && !as_it_is && (again || !known(&one.name) && !known(&other.name)) {
                found.extend(tried(&[one, other]));
            }
        }
    }
    found
}

/// The preservatives of the shelf that belong into water, and say what they protect against.
fn candidates(context: &CheckContext<'_, '_>) -> Vec<Arc<Material>> {
    let text = |entry: &ShelfEntry| shelf::FILES.get(entry.file as usize).map_or("", |file| entry.span().of(file.text));
    let may_be =
        |entry: &&ShelfEntry| entry.kind == ShelfKind::Material && text(entry).contains(Role::Preservative.word());
    let found = shelf::ENTRIES.iter().filter(may_be).filter_map(|entry| {
        let id = context.resolver.scopes.find_or_on_shelf(context.formula.id.file, NameSet::Weighable, entry.name)?;
        context.resolver.material(id)
    });
    found
        .filter(|material| material.roles.contains(&Role::Preservative) && !material.protects.is_empty())
        .filter(|material| matches!(material.phase, Some(MaterialPhase::Water | MaterialPhase::Either)))
        .filter(|material| !material.undisclosed.high.is_positive())
        .filter(|material| works_beside(context, material))
        .collect()
}

/// Whether a preservative works in a pH in which what cleanses, emulsifies or thickens here does: no acid preservative works
/// in a soap, window or not.
fn works_beside(context: &CheckContext<'_, '_>, material: &Material) -> bool {
    let Some(works) = &material.works_in else { return !is_true_soap(context) };
    let holds = |role: &Role| matches!(role, Role::Surfactant | Role::Emulsifier | Role::Thickener);
    let mut others = context.ingredients().iter().filter(|other| other.material.roles.iter().any(holds));
    let meets = others.all(|other| other.material.works_in.as_ref().is_none_or(|range| range.meets(works)));
    meets && (!is_true_soap(context) || works.high.as_ref().is_none_or(|high| *high >= Exact::whole(SOAP)))
}

/// The middle of a usage, and its least, as a maker weighs them.
fn amounts(material: &Material, products: &[Product]) -> Option<[Exact; 2]> {
    let usage = material.usage_in(products).filter(|usage| !usage.active)?;
    let (low, high) = (usage.range.low.clone()?, usage.range.high.as_ref()?);
    let middle = (&low + high).over(&Exact::whole(2))?;
    let middle = Exact::parse(&middle.to_significant(2)).unwrap_or(middle);
    // Less is hard to weigh in a small batch.
    (middle >= Exact::ratio(1, 10)).then(|| [middle, low.max(Exact::ratio(1, 10))])
}

/// Where the new line stands: nowhere in any text, so that what is told of it is known.
fn nowhere(formula: &Formula) -> Place {
    Place { file: formula.place.file, span: Span { start: u32::MAX, end: u32::MAX } }
}

/// The formula with so much of a material at the end of its last phase, out of what fills it up.
fn with(formula: &Formula, material: &Arc<Material>, percent: &Exact) -> Option<Formula> {
    let mut made = formula.clone();
    let by_amount = |line: &&mut Line| line.percent.clone().unwrap_or(Exact::ZERO);
    let filled = made.lines.iter().position(|line| line.amount == LineAmount::QuantumSatis);
    let filling = match filled {
        Some(at) => made.lines.get_mut(at)?,
        None => made.lines.iter_mut().max_by_key(by_amount)?,
    };
    let left = &filling.percent.clone()? - percent;
    filling.percent = Some(left).filter(Exact::is_positive);
    filling.percent.as_ref()?;
    let place = nowhere(formula);
    let mut line = made.lines.last()?.clone();
    line.name = material.name.clone();
    (line.place, line.whole, line.amount_place, line.mark) = (place, place, place, place);
    line.phase = formula.phases.len().saturating_sub(1);
    line.material = Some(LineMaterial::Material(Arc::clone(material)));
    line.written = format!("{percent} %").to_smolstr();
    line.asked = Some(percent.clone());
    line.amount = LineAmount::Percent(percent.clone());
    line.percent = Some(percent.clone());
    (line.hold_back, line.from, line.because, line.target) = (None, None, None, None);
    (line.uses, line.near, line.faulty) = (Vec::new(), Vec::new(), false);
    made.lines.push(line);
    let mut composition = Composition::default();
    for line in &made.lines {
        if let Some(percent) = &line.percent {
            line.material.as_ref().filter(|material| material.put_into(&mut composition, percent))?;
        }
    }
    made.composition = Some(composition);
    Some(made)
}

fn options() -> CheckOptions {
    CheckOptions { needs_weight: false, foresees: true, keeps_forecast: false }
}

/// How many faults there are of the pH that is foreseen, vague ones left out.
fn foreseen_faults(context: &CheckContext<'_, '_>, formula: &Formula) -> usize {
    let again = CheckContext::new(formula, context.resolver, context.order, None, options());
    let found = run(&again, &[ph_reach::unreachable, ph_reserve::short]);
    found.iter().filter(|fault| fault.level != Level::Note).count()
}

/// Whether nothing is wrong because of the new lines.
fn is_sound(context: &CheckContext<'_, '_>, made: &Formula, added: &Suiting, before: usize) -> bool {
    let place = nowhere(made);
    let new = || made.lines.iter().filter(|line| line.place == place);
    let covers = |line: &Line, microbe: &Microbe| match &line.material {
        Some(LineMaterial::Material(material)) => material.protects.contains(microbe),
        _ => false,
    };
    let covered: Vec<Microbe> = ALL.into_iter().filter(|microbe| new().any(|line| covers(line, microbe))).collect();
    let again = CheckContext::new(made, context.resolver, context.order, None, options());
    let found = run(&again, CHECKS);
    let of_it = |fault: &&Diagnostic| {
        let points = fault.primary.place == place || fault.secondary.iter().any(|label| label.place == place);
        points || added.iter().any(|(name, _)| fault.message.contains(&format!("`{name}`")))
    };
    // That no step speaks of it, and that a formula has no pH yet, holds of every one.
    let mut later = vec![Code::StepMissingLine, Code::PhWindowNone];
    if covered.len() < ALL.len() {
        later.push(Code::PreservativeGap);
    }
    // One that asks for a warning on the label, as what gives off formaldehyde does, is not the first to be named.
    let grave = |fault: &&Diagnostic| {
        let told = fault.level != Level::Note || fault.code.family() == Family::Rule;
        told && !later.contains(&fault.code)
    };
    let foreseen = |fault: &&Diagnostic| {
        fault.level != Level::Note && matches!(fault.code, Code::PhWindowUnreachable | Code::ReserveShort)
    };
    !found.iter().filter(grave).any(|fault| of_it(&fault)) && found.iter().filter(foreseen).count() <= before
}
