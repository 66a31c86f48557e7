//! A substance: its total over all lines and premixes, as asked and as weighed.

use super::derivation::{DIGITS, Derivation, DerivationStep, WhyContext, at, shown, so};
use crate::diagnostic::Place;
use crate::model::{DeclId, Line, LineMaterial};
use crate::quantity::{Exact, Interval};

/// What a line holds of a substance.
struct LineShare {
    strength: Interval,
    factor: Exact,
    place: Option<Place>,
}

/// The derivations of a substance's shares, and of its total with its salts where a line asks for it.
pub(super) fn substance(context: &WhyContext<'_, '_>, name: &str) -> Vec<Derivation> {
    let Some(composition) = &context.formula.composition else { return Vec::new() };
    let mut all = Vec::new();
    for id in composition.parts.keys().filter(|id| context.resolver.substance_name(**id) == name) {
        for weighed in [false, true] {
            all.extend(share(context, *id, name, weighed));
        }
    }
    let asked = context.formula.lines.iter().filter_map(|line| line.target.as_ref());
    if let Some(target) = asked.into_iter().find(|target| context.resolver.substance_name(target.substance) == name) {
        for weighed in [false, true] {
            all.push(total(context, target.substance, name, weighed));
        }
    }
    all
}

/// The percentage of a line, as asked or as weighed.
fn percent(context: &WhyContext<'_, '_>, number: usize, line: &Line, weighed: bool) -> Option<Exact> {
    if !weighed {
        return line.percent.clone();
    }
    let printed = context.plan.lines.get(number)?.printed.as_ref()?;
    (printed * &Exact::HUNDRED).over(&context.plan.total)
}

/// What a line's thing holds that counts as a substance: only itself, or its salts too.
fn parts(context: &WhyContext<'_, '_>, line: &Line, substance: DeclId, salts: bool) -> Vec<LineShare> {
    let factor = |part: DeclId| match salts {
        true => context.resolver.counts_as(part, substance).flatten(),
        false => context.resolver.is_one_entry(part, substance).then_some(Exact::ONE),
    };
    match &line.material {
        Some(LineMaterial::Material(material)) => material
            .contains
            .iter()
            .filter_map(|part| {
                let factor = factor(part.substance)?;
                Some(LineShare { strength: part.strength.clone(), factor, place: Some(part.place) })
            })
            .collect(),
        Some(LineMaterial::Premix(premix)) => {
            let inner = premix.composition.iter().flat_map(|composition| &composition.parts);
            inner
                .filter_map(|(part, strength)| {
                    Some(LineShare { strength: strength.clone(), factor: factor(*part)?, place: Some(premix.place) })
                })
                .collect()
        }
        None => Vec::new(),
    }
}

/// The share of one substance: its lower and its upper end.
fn share(context: &WhyContext<'_, '_>, id: DeclId, name: &str, weighed: bool) -> Vec<Derivation> {
    let mut sum = Interval::zero();
    let mut steps: Vec<DerivationStep> = Vec::new();
    for (number, line) in context.formula.lines.iter().enumerate() {
        let Some(percent) = percent(context, number, line, weighed) else { continue };
        for part in parts(context, line, id, false) {
            let more = part.strength.times(&percent.hundredth());
            sum = &sum + &more;
            steps.push(DerivationStep {
                says: format!(
                    "`{}` at {} % is {} of it: {}",
                    line.name,
                    shown(&percent),
                    part.strength.whole_text(),
                    more.whole_text()
                ),
                place: part.place,
            });
        }
    }
    let how = if weighed { " as weighed" } else { "" };
    let end = |of: &str, figure: &Exact| Derivation {
        of: format!("{of} the substance `{name}`{how}"),
        result: figure.to_significant(DIGITS),
        unit: "%",
        steps: [steps.clone(), vec![so(format!("together {} %", shown(figure)))]].concat(),
    };
    match sum.is_point() {
        true => vec![end("percent of", &sum.low)],
        false => vec![end("least percent of", &sum.low), end("most percent of", &sum.high)],
    }
}

/// The total of a substance with its salts, at the middle of what is a range.
fn total(context: &WhyContext<'_, '_>, id: DeclId, name: &str, weighed: bool) -> Derivation {
    let mut sum = Exact::ZERO;
    let mut steps: Vec<DerivationStep> = Vec::new();
    for (number, line) in context.formula.lines.iter().enumerate() {
        let Some(percent) = percent(context, number, line, weighed) else { continue };
        for part in parts(context, line, id, true) {
            let middle = part.strength.middle();
            let more = &(&percent.hundredth() * &middle) * &part.factor;
            sum = &sum + &more;
            let counted = if part.factor == Exact::ONE {
                String::new()
            } else {
                format!(", counted as it by molar masses × {}", shown(&part.factor))
            };
            let says = format!(
                "`{}` at {} % is {} % of it{counted}: {} %",
                line.name,
                shown(&percent),
                shown(&middle),
                shown(&more)
            );
            steps.push(DerivationStep { says, place: part.place });
        }
    }
    for line in
        context.formula.lines.iter().filter(|line| line.target.as_ref().is_some_and(|target| target.substance == id))
    {
        steps.insert(0, at(line.amount_place, format!("`{}` asks for {}", line.name, line.written)));
    }
    steps.push(so(format!("together {} %", shown(&sum))));
    let how = if weighed { " as weighed" } else { "" };
    let result = sum.to_significant(DIGITS);
    Derivation { of: format!("`{name}` with its salts{how}"), result, unit: "%", steps }
}
