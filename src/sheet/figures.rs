//! The figures of a sheet: what its plan, its composition and its forecast come to, line by line, before any is written.

use super::ph::{FreeAcid, Outlook};
use super::{Plan, PlanLine};
use crate::model::{
    Composition, DeclId, Formula, Line, LineAmount, LineMaterial, PhRange, Phase, Portion, StepMark, Steps,
};
use crate::quantity::{Exact, Interval};
use crate::resolve::Resolver;
use rustc_hash::FxHashSet;
use smol_str::SmolStr;
use std::borrow::Cow;

/// The figures of a sheet.
#[derive(Debug)]
pub struct SheetFigures<'f> {
    /// What the lines add to, in percent.
    pub total_percent: Exact,
    /// The phases, in the order of the bench.
    pub phases: Vec<PhaseFigures<'f>>,
    /// Each substance asked for by `active` or `of`.
    pub actives: Vec<ActiveFigures>,
    /// The composition without adjuster, the largest first.
    pub substances: Vec<SubstanceFigures>,
    /// The steps.
    pub steps: Vec<Vec<StepPiece<'f>>>,
    /// What to take care of with the materials, those within premixes too, each once.
    pub cautions: Vec<Caution<'f>>,
}

/// A phase with its lines.
#[derive(Debug)]
pub struct PhaseFigures<'f> {
    /// The phase.
    pub phase: &'f Phase,
    /// Its lines.
    pub lines: Vec<LineFigures<'f>>,
}

/// A line with its weight.
#[derive(Debug)]
pub struct LineFigures<'f> {
    /// The line.
    pub line: &'f Line,
    /// What its material or premix is called.
    pub title: Option<&'f SmolStr>,
    /// Its weight.
    pub weight: &'f PlanLine,
    /// The percentage that its printed weight is of the printed batch.
    pub as_weighed: Option<Exact>,
    /// The line its weight comes out of, for what is weighed at the bench.
    pub from: Option<&'f Line>,
}

/// A substance asked for, its salts counted as it, in percent; at the middle of strengths that are ranges.
#[derive(Debug)]
pub struct ActiveFigures {
    /// The substance.
    pub substance: DeclId,
    /// Its percentage in the formula.
    pub target: Exact,
    /// Its percentage in what is weighed.
    pub as_weighed: Exact,
    /// How much of it is free acid at the edge of the window met first, and at the other.
    pub free: [Option<f64>; 2],
    /// How much of it, counted as the acid, is salt at each of the two.
    pub salt: [Option<f64>; 2],
}

/// The share of a substance.
#[derive(Debug)]
pub struct SubstanceFigures {
    /// The substance.
    pub substance: DeclId,
    /// Its share of the formula.
    pub share: Interval,
    /// Its share of what is weighed.
    pub as_weighed: Interval,
}

/// A piece of a step.
#[derive(Debug)]
pub enum StepPiece<'f> {
    /// Text.
    Text(Cow<'f, str>),
    /// The window; none where the formula has none.
    Window(Option<&'f PhRange>),
    /// What is weighed.
    Weighed(StepWeight<'f>),
}

/// What a step says of a line: all lines of its name together.
#[derive(Debug)]
pub struct StepWeight<'f> {
    /// The name.
    pub name: &'f str,
    /// What it is called.
    pub called: &'f str,
    /// Its grams; none where they are not known before the bench.
    pub grams: Option<Exact>,
    /// The finest step that any of it is weighed to.
    pub step: Exact,
    /// What of it the grams are.
    pub part: WeighedPart,
}

/// What of a line the grams in a step are.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum WeighedPart {
    /// All of it.
    All,
    /// What is weighed first, the rest being held back.
    First,
    /// What is held back; with `drawn_on`, adjuster comes out of it.
    Rest {
        /// Whether adjuster comes out of it.
        drawn_on: bool,
    },
}

/// What to take care of with a material.
#[derive(Debug, PartialEq, Eq)]
pub struct Caution<'f> {
    /// What the material is called.
    pub of: &'f str,
    /// What to take care of.
    pub text: &'f str,
}

impl<'f> SheetFigures<'f> {
    /// Works the figures of a planned formula out.
    #[must_use]
    pub fn of(
        resolver: &Resolver<'_>,
        formula: &'f Formula,
        plan: &'f Plan,
        outlook: Option<&Outlook>,
    ) -> SheetFigures<'f> {
        let lines = lines(formula, plan);
        let weighed = as_weighed(&lines);
        let free = outlook.map(|outlook| outlook.free.as_slice()).unwrap_or_default();
        SheetFigures {
            total_percent: formula.lines.iter().filter_map(|line| line.percent.as_ref()).sum(),
            actives: actives(resolver, formula, &weighed, free),
            substances: substances(resolver, formula, &weighed),
            steps: steps_of(formula, &lines),
            cautions: cautions(formula),
            phases: phases(formula, lines),
        }
    }
}

/// The lines, in the order of the formula.
fn lines<'f>(formula: &'f Formula, plan: &'f Plan) -> Vec<LineFigures<'f>> {
    let of = |(line, weight): (&'f Line, &'f PlanLine)| LineFigures {
        line,
        title: title_of(line),
        weight,
        as_weighed: weight.printed.as_ref().and_then(|printed| (printed * &Exact::HUNDRED).over(&plan.total)),
        from: match line.amount {
            LineAmount::AtBench => formula.reserve_of(line).and_then(|at| formula.lines.get(at)),
            _ => None,
        },
    };
    formula.lines.iter().zip(&plan.lines).map(of).collect()
}

fn title_of(line: &Line) -> Option<&SmolStr> {
    match line.material.as_ref()? {
        LineMaterial::Material(material) => material.title.as_ref(),
        LineMaterial::Premix(premix) => premix.title.as_ref(),
    }
}

fn phases<'f>(formula: &'f Formula, lines: Vec<LineFigures<'f>>) -> Vec<PhaseFigures<'f>> {
    let mut phases: Vec<PhaseFigures<'_>> =
        formula.phases.iter().map(|phase| PhaseFigures { phase, lines: Vec::new() }).collect();
    for line in lines {
        if let Some(phase) = phases.get_mut(line.line.phase) {
            phase.lines.push(line);
        }
    }
    phases
}

/// The composition of the printed weights.
fn as_weighed(lines: &[LineFigures<'_>]) -> Composition {
    let mut composition = Composition::default();
    for of in lines {
        if let (Some(percent), Some(material)) = (&of.as_weighed, &of.line.material) {
            material.put_into(&mut composition, percent);
        }
    }
    composition
}

fn actives(resolver: &Resolver<'_>, formula: &Formula, weighed: &Composition, free: &[FreeAcid]) -> Vec<ActiveFigures> {
    let Some(target) = &formula.composition else { return Vec::new() };
    let mut all: Vec<ActiveFigures> = Vec::new();
    for substance in formula.lines.iter().filter_map(|line| Some(line.target.as_ref()?.substance)) {
        if all.iter().any(|known| known.substance == substance) {
            continue;
        }
        let target = resolver.total_of(target, substance);
        let edges = free.iter().find(|free| free.substance == substance);
        let edges = edges.map_or([None; 2], |free| [free.near, free.far]);
        let all_of_it = target.to_f64();
        all.push(ActiveFigures {
            substance,
            as_weighed: resolver.total_of(weighed, substance),
            target,
            free: edges.map(|share| Some(share? * all_of_it)),
            salt: edges.map(|share| Some((1.0 - share?) * all_of_it)),
        });
    }
    all
}

/// The substances of a formula, the largest first. Water is one of them, whether it was free or bound in a crystal.
fn substances(resolver: &Resolver<'_>, formula: &Formula, weighed: &Composition) -> Vec<SubstanceFigures> {
    let Some(target) = &formula.composition else { return Vec::new() };
    let mut parts: Vec<(&DeclId, &Interval)> = target.parts.iter().collect();
    parts.sort_by_key(|(_, share)| std::cmp::Reverse(share.middle()));
    let of = |(id, share): (&DeclId, &Interval)| SubstanceFigures {
        substance: *id,
        share: share.clone(),
        as_weighed: weighed.parts.get(id).cloned().unwrap_or_else(Interval::zero),
    };
    let is_water = |of: &SubstanceFigures| resolver.substance(of.substance).is_some_and(|of| of.is_water());
    let (waters, others): (Vec<_>, Vec<_>) = parts.into_iter().map(of).partition(is_water);
    let water = waters.into_iter().reduce(|sum, more| SubstanceFigures {
        substance: sum.substance,
        share: &sum.share + &more.share,
        as_weighed: &sum.as_weighed + &more.as_weighed,
    });
    let mut all: Vec<SubstanceFigures> = water.into_iter().chain(others).collect();
    all.sort_by_key(|of| std::cmp::Reverse(of.share.middle()));
    all
}

/// The steps of a planned formula, each name with its weight.
#[must_use]
pub fn steps<'f>(formula: &'f Formula, plan: &'f Plan) -> Vec<Vec<StepPiece<'f>>> {
    steps_of(formula, &lines(formula, plan))
}

fn steps_of<'f>(formula: &'f Formula, lines: &[LineFigures<'f>]) -> Vec<Vec<StepPiece<'f>>> {
    let piece = |mark: StepMark<'f>| match mark {
        StepMark::Text(text) => StepPiece::Text(text),
        StepMark::Ph => StepPiece::Window(formula.window.as_ref()),
        StepMark::Name(name, portion) => StepPiece::Weighed(weighed(name, portion, lines)),
    };
    formula.steps.iter().flat_map(Steps::cut).map(|step| step.into_iter().map(piece).collect()).collect()
}

/// All lines of a name together: what is weighed first where some of it is held back, or what is held back.
fn weighed<'f>(name: &'f str, portion: Portion<'_>, lines: &[LineFigures<'f>]) -> StepWeight<'f> {
    let own = || lines.iter().filter(|of| of.line.name == name);
    let is_held_back = own().any(|of| of.weight.held.is_some());
    let part = match portion {
        Portion::Rest => WeighedPart::Rest { drawn_on: own().any(|of| is_drawn_on(of.line, lines)) },
        _ if is_held_back => WeighedPart::First,
        _ => WeighedPart::All,
    };
    let grams_of = |of: &LineFigures<'f>| match part {
        WeighedPart::Rest { .. } => of.weight.held.as_ref().map(|held| held.held_back.clone()),
        _ => match &of.weight.held {
            Some(held) => Some(held.first_weighing.clone()),
            None => of.weight.printed.clone(),
        },
    };
    let weights: Vec<(Exact, &Exact)> = own().filter_map(|of| Some((grams_of(of)?, &of.weight.step))).collect();
    let step = weights.iter().map(|(_, step)| *step).min().cloned();
    StepWeight {
        name,
        called: own().filter_map(|of| of.title).next_back().map_or(name, SmolStr::as_str),
        grams: step.is_some().then(|| weights.iter().map(|(grams, _)| grams).sum()),
        step: step.unwrap_or(Exact::ONE),
        part,
    }
}

/// Whether adjuster comes out of what is held back of a line.
fn is_drawn_on(line: &Line, lines: &[LineFigures<'_>]) -> bool {
    lines.iter().any(|of| of.from.is_some_and(|from| std::ptr::eq(from, line)))
}

/// What to take care of with the materials of a formula, those within premixes too, each once.
#[must_use]
pub fn cautions(formula: &Formula) -> Vec<Caution<'_>> {
    cautions_of(formula.lines.iter().filter_map(|line| line.material.as_ref()))
}

/// The same of materials alone.
#[must_use]
pub fn cautions_of<'f>(materials: impl DoubleEndedIterator<Item = &'f LineMaterial>) -> Vec<Caution<'f>> {
    let mut cautions = Vec::new();
    let mut seen = FxHashSet::default();
    let mut waiting: Vec<&LineMaterial> = materials.rev().collect();
    while let Some(material) = waiting.pop() {
        match material {
            LineMaterial::Material(material) => {
                let of = material.title.as_ref().unwrap_or(&material.name).as_str();
                for text in &material.cautions {
                    let caution = Caution { of, text: text.as_str() };
                    if !cautions.contains(&caution) {
                        cautions.push(caution);
                    }
                }
            }
            LineMaterial::Premix(premix) => {
                if seen.insert(premix.id) {
                    waiting.extend(premix.lines.iter().rev().filter_map(|line| line.material.as_ref()));
                }
            }
        }
    }
    cautions
}
