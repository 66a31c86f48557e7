//! The pH window of a formula.

use super::contents::Ingredient;
use super::context::CheckContext;
use crate::diagnostic::{Code, Diagnostic, Sureness};
use crate::model::{AcidBase, HeaderLine, LineAmount, Material, PhRange, ph_words};
use crate::quantity::{Exact, Overlap, Range};
use crate::resolve::Resolver;
use crate::syntax::vocabulary::Role;

/// What products for skin and hair lie between, nearly all of them: a preservative that works in all of that works in any of
/// them (common practice, no source).
const USUAL_PH: (i64, i64) = (4, 8);

/// A line weighed to the pH and no pH to weigh it to.
pub fn missing(context: &CheckContext<'_, '_>, faults: &mut Vec<Diagnostic>) {
    let formula = context.formula;
    if formula.window.is_some() || !formula.lacks(HeaderLine::Ph) {
        return;
    }
    if let Some(line) = formula.adjusters().next() {
        let message = format!("`{}` is weighed to the pH, and the formula has no pH.", line.name);
        faults.push(
            Diagnostic::new(Code::PhWindowMissing, line.mark, message)
                .and(formula.place, "this formula")
                .help("Write the window into the head of the formula: `pH 3.6 to 4.0`."),
        );
    }
}

/// A window whose upper edge is below its lower one.
pub fn reversed(context: &CheckContext<'_, '_>, faults: &mut Vec<Diagnostic>) {
    let Some(window) = &context.formula.window else { return };
    if let (Some(low), Some(high)) = (&window.low, &window.high)
        && low > high
    {
        let message = format!("The pH runs from {low} down to {high}.");
        faults.push(
            Diagnostic::new(Code::PhWindowReversed, window.place, message)
                .help(format!("Write the lower figure first: `pH {high} to {low}`.")),
        );
    }
}

/// An exfoliating acid or a preservative bound to a pH, in water, and no window at all. A stock is asked for none, and
/// where a line is weighed to the pH the window is told of as missing.
pub fn none(context: &CheckContext<'_, '_>, faults: &mut Vec<Diagnostic>) {
    let formula = context.formula;
    let stock = formula.is_stock() || !formula.lacks(HeaderLine::Product);
    if stock || formula.window.is_some() || !formula.lacks(HeaderLine::Ph) || formula.adjusters().next().is_some() {
        return;
    }
    let all = context.ingredients();
    if !context.is_watery() {
        return;
    }
    let Some((bound, why)) =
        all.iter().find_map(|ingredient| bound_to_ph(context.resolver, ingredient).map(|why| (ingredient, why)))
    else {
        return;
    };
    let message = format!("{} {why}, and `{}` states no pH.", bound.named(), formula.name);
    let window = bound.material.works_in.as_ref().map_or("pH 3.6 to 4.0".to_string(), PhRange::words);
    let fault = Diagnostic::new(Code::PhWindowNone, formula.place, message).and(bound.line.place, "this line");
    let fault = fault.rests_on_all(bound.material.works_in.as_ref().map(|works| works.place));
    faults.push(
        fault.help(format!(
            "Write the window you accept into the head of the formula, such as `{window}` or part of it."
        )),
    );
}

/// Why a material cannot do without a pH.
fn bound_to_ph(resolver: &Resolver<'_>, ingredient: &Ingredient<'_>) -> Option<&'static str> {
    if ingredient.has_role(Role::Exfoliant) && is_acid(resolver, &ingredient.material) {
        return Some("is an exfoliating acid");
    }
    let usual = Range::new(Some(Exact::whole(USUAL_PH.0)), Some(Exact::whole(USUAL_PH.1)));
    let is_bound = ingredient.material.works_in.as_ref().is_some_and(|works| !usual.lies_within(works));
    (ingredient.has_role(Role::Preservative) && is_bound).then_some("preserves in part of the pH scale only")
}

/// Whether a material holds an acid, a salt of one, or what turns into one. Where nobody has said what a substance
/// does in water, its name has to do.
fn is_acid(resolver: &Resolver<'_>, material: &Material) -> bool {
    material.contains.iter().filter_map(|component| resolver.substance(component.substance)).any(|substance| {
        let named = substance.inci.as_deref().unwrap_or(&substance.name).to_ascii_lowercase();
        match &substance.acid_base {
            Some(AcidBase::Acid(_) | AcidBase::StrongAcid) => true,
            Some(_) => false,
            None => substance.salt.is_some() || substance.hydrolyses_to.is_some() || named.contains("acid"),
        }
    })
}

/// The window beside the pH in which each material works: a clash where they do not meet, and a part where they meet in
/// part. What is weighed to the pH is there to bring it about, not to work in it.
pub fn clash_or_partial(context: &CheckContext<'_, '_>, faults: &mut Vec<Diagnostic>) {
    let Some(window) = context.formula.sound_window() else { return };
    let mut told = Vec::new();
    let mut in_part: Vec<InPart<'_>> = Vec::new();
    let at_work = context.ingredients().iter().filter(|ingredient| ingredient.line.amount != LineAmount::AtBench);
    for ingredient in at_work {
        let Some(works) = ingredient.material.works_in.as_ref().filter(|_| !told.contains(&ingredient.material.id))
        else {
            continue;
        };
        told.push(ingredient.material.id);
        match window.overlap(works) {
            Overlap::None => faults.push(clash(ingredient, window, works)),
            Overlap::Part(_) => in_part.push(InPart { ingredient, works }),
            Overlap::Whole => {}
        }
    }
    // Told once for all of them. Those that rest on weaker ground are told of apart, or they would weaken the others.
    let gravest = |of: &InPart<'_>| context.resolver.evidence(of.works.place).gravest();
    while let Some(level) = in_part.first().map(gravest) {
        let (same, others) = in_part.into_iter().partition::<Vec<_>, _>(|of| gravest(of) == level);
        faults.extend(partial(&same, window));
        in_part = others;
    }
}

/// A material that works in part of the window.
struct InPart<'i> {
    ingredient: &'i Ingredient<'i>,
    works: &'i PhRange,
}

fn clash(ingredient: &Ingredient<'_>, window: &PhRange, works: &PhRange) -> Diagnostic {
    let preserves = ingredient.has_role(Role::Preservative);
    let so = if preserves { "it will not preserve" } else { "it will not do its work" };
    let message =
        format!("{} works in {}, and the window is {}: {so}.", ingredient.named(), works.words(), window.words());
    let other = if preserves { "preservative" } else { "material" };
    Diagnostic::new(Code::PhWindowClash, window.place, message)
        .and(ingredient.line.place, "this line")
        .and(works.place, "where it works")
        .rests_on(works.place)
        .help(format!("Move the window into {}, or choose a {other} that works in {}.", works.words(), window.words()))
}

fn partial(all: &[InPart<'_>], window: &PhRange) -> Option<Diagnostic> {
    let common = all.iter().try_fold(window.range.clone(), |left, of| match left.overlap(of.works) {
        Overlap::None => None,
        Overlap::Part(part) => Some(part),
        Overlap::Whole => Some(left),
    });
    let is_wide = |part: &&Range<Exact>| part.low.as_ref().zip(part.high.as_ref()).is_none_or(|(low, high)| low < high);
    let (first, others) = all.split_first()?;
    let (named, works) = match others {
        [] => (first.ingredient.named(), format!("works in {}", first.works.words())),
        _ => {
            let each = all.iter().map(|of| format!("{} ({})", of.ingredient.named(), of.works.words()));
            (each.collect::<Vec<_>>().join(", "), "each work in a part of the pH scale".to_string())
        }
    };
    let of_window = match &common {
        Some(part) => format!("of the window {} that is {} only", window.words(), ph_words(part)),
        None => format!("no pH of the window {} is common to them", window.words()),
    };
    let fault = Diagnostic::new(Code::PhWindowPartial, window.place, format!("{named} {works}: {of_window}."));
    let fault = all.iter().fold(fault, |fault, of| {
        fault.and(of.ingredient.line.place, "this line").and(of.works.place, "where it works").rests_on(of.works.place)
    });
    Some(fault.help(match common.as_ref().filter(is_wide) {
        Some(part) => format!("Draw the window in to `{}`.", ph_words(part)),
        None if others.is_empty() => {
            format!("Move the window into {}, or choose another material.", first.works.words())
        }
        None => "Move the window to where they all work, or choose other materials.".to_string(),
    }))
}

/// A window narrower than what the meter can tell apart.
pub fn narrow(context: &CheckContext<'_, '_>, faults: &mut Vec<Diagnostic>) {
    let formula = context.formula;
    let Some(window) = formula.sound_window().filter(|_| formula.lacks(HeaderLine::Meter)) else { return };
    let (Some(low), Some(high)) = (&window.low, &window.high) else { return };
    let error = formula.meter.clone().unwrap_or_else(|| Exact::ratio(1, 20));
    let (width, least) = (high - low, &error * &Exact::whole(2));
    if width >= least {
        return;
    }
    let wider = wider(low, high, &least).unwrap_or_else(|| format!("pH {low} to {}", low + &least));
    let better = width.over(&Exact::whole(2)).filter(Exact::is_positive);
    let help = match better {
        Some(better) => {
            format!("Widen it, such as to `{wider}`, or read it with a better meter: `meter {better}`.")
        }
        None => format!("Widen it, such as to `{wider}`: no meter holds one figure."),
    };
    let message =
        format!("The window is {width} wide, and a meter good to {error} cannot tell apart less than {least}.");
    faults.push(Diagnostic::new(Code::PhWindowNarrow, window.place, message).help(help).fix(
        window.place,
        wider,
        Sureness::NeedsALook,
    ));
}

/// A window about the same middle that is so wide at the least, its edges in whole tenths where that will do.
fn wider(low: &Exact, high: &Exact, least: &Exact) -> Option<String> {
    let (middle, half) = ((low + high).over(&Exact::whole(2))?, least.over(&Exact::whole(2))?);
    let tenth = Exact::ratio(1, 10);
    let down = (&middle - &half).down_to_step(&tenth);
    let down = if down.is_negative() { Exact::ZERO } else { down };
    Some(format!("pH {down} to {}", (&middle + &half).up_to_step(&tenth)))
}
