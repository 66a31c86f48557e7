//! The batch sheet as data: what JSON prints, and what Markdown and text are written from.

use super::{DiagnosticJson, Ph, ph};
use crate::chemistry::Activity;
use crate::model::{Composition, DeclId, Formula, Line, LineAmount, LineMaterial, StepMark};
use crate::quantity::{Exact, Interval};
use crate::resolve::Resolver;
use crate::session::{FormulaReport, Report};
use crate::sheet::ph::{Outlook, outlook};
use crate::sheet::{Order, Plan, PlanLine};
use crate::shelf;
use crate::workspace::Sources;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// A batch sheet. Exact figures are strings: reduced fractions, or decimals to the scale's step.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Sheet {
    /// `stillroom.sheet/1`.
    pub schema: String,
    /// The formula's name.
    pub formula: String,
    /// Its title.
    pub title: Option<String>,
    /// Its version.
    pub version: Option<String>,
    /// The digest of what it comes to.
    pub digest: String,
    /// The edition of the shelf.
    pub shelf: String,
    /// What it makes, and where on the body that goes.
    pub product: Vec<String>,
    /// What the printed weights add to, in grams.
    pub batch_g: String,
    /// The batch asked for, brought to whole steps; differs from `batch_g` with several scales.
    pub asked_g: String,
    /// How the batch was asked for.
    pub asked: String,
    /// The finest step of the scales.
    pub scale_g: String,
    /// The scales, as they are written.
    pub scales: Vec<String>,
    /// The phases, in the order of the bench.
    pub phases: Vec<SheetPhase>,
    /// What the lines add to, in percent.
    pub total_percent_exact: String,
    /// What the printed weights add to, in grams.
    pub total_g: String,
    /// Each substance asked for by `active` or `of`.
    pub actives: Vec<Active>,
    /// The composition without adjuster, the largest first.
    pub substances: Vec<SubstanceShare>,
    /// The pH, its window and what is foreseen of it; none where the formula has neither a window nor acid-base data.
    pub ph: Option<Ph>,
    /// Why nothing preserves the water in it and none is asked for; none where something does, or there is no water.
    pub unpreserved: Option<String>,
    /// The steps, with names and weights filled in.
    pub steps: Vec<String>,
    /// What to take care of.
    pub cautions: Vec<String>,
    /// What the formula allows, with the reason.
    pub allowed: Vec<AllowedJson>,
    /// What bears on the formula and is not allowed.
    pub diagnostics: Vec<DiagnosticJson>,
    /// Which rules were read and on which day, and what changes next; none where no rules were read.
    pub remark: Option<String>,
}

/// Several sheets.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Sheets {
    /// `stillroom.sheets/1`.
    pub schema: String,
    /// The sheets.
    pub sheets: Vec<Sheet>,
}

/// A phase of a sheet.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct SheetPhase {
    /// Its name.
    pub name: String,
    /// Its title.
    pub title: Option<String>,
    /// The temperature it is heated to, in degrees Celsius.
    pub heat_c: Option<String>,
    /// The temperature it is cooled to, in degrees Celsius.
    pub cool_c: Option<String>,
    /// Its lines.
    pub lines: Vec<SheetLine>,
}

/// A line of a sheet.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct SheetLine {
    /// The material's or premix's name.
    pub material: String,
    /// What it is called.
    pub title: Option<String>,
    /// The amount, as the formatter writes it.
    pub amount: String,
    /// The percentage as supplied, ten significant digits at most.
    pub percent: Option<String>,
    /// The same, exact.
    pub percent_exact: Option<String>,
    /// The exact grams.
    pub grams_exact: Option<String>,
    /// The grams to weigh.
    pub grams: Option<String>,
    /// The percentage that the weighed grams are of the batch.
    pub as_weighed_percent: Option<String>,
    /// The step of the scale it goes on.
    pub scale_g: String,
    /// What is weighed first, on the line that holds back.
    pub first_weighing_g: Option<String>,
    /// What is held back of it.
    pub held_back_g: Option<String>,
    /// What is held back of it, in percent of the batch.
    pub held_back_percent: Option<String>,
    /// Whether it is weighed at the bench until the window is met.
    pub at_bench: bool,
    /// The line its weight comes out of, for what is weighed at the bench.
    pub from: Option<String>,
    /// Why it is as it is.
    pub because: Option<String>,
}

/// A substance asked for by `active` or `of`, its salts counted as it.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Active {
    /// The substance.
    pub substance: String,
    /// Its percentage in the formula; at the middle of strengths that are ranges.
    pub target_percent: String,
    /// Its percentage in what is weighed.
    pub as_weighed_percent: String,
    /// How much of it is free acid at the edge of the pH window that takes the least adjuster: what works and what
    /// stings. From pH and pKa alone, as the trade has it; none for what is no acid, or where nothing is foreseen.
    pub free_percent_near: Option<String>,
    /// That at the other edge.
    pub free_percent_far: Option<String>,
    /// How much of it, counted as the acid, is there as salt at the first edge.
    pub salt_percent_near: Option<String>,
    /// That at the other edge.
    pub salt_percent_far: Option<String>,
}

/// The share of a substance.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct SubstanceShare {
    /// The substance.
    pub substance: String,
    /// Its INCI name.
    pub inci: Option<String>,
    /// The least it can be, in percent.
    pub percent_low: String,
    /// The most it can be, in percent.
    pub percent_high: String,
    /// The least it can be in what is weighed, in percent.
    pub as_weighed_low: String,
    /// The most it can be in what is weighed, in percent.
    pub as_weighed_high: String,
}

/// A diagnostic that is allowed.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct AllowedJson {
    /// Its code.
    pub code: String,
    /// The reason.
    pub because: String,
    /// What it says.
    pub message: String,
}

/// Digits of a printed percentage.
const DIGITS: u32 = 10;

/// The sheet of a formula that no error bears on; none where it has no plan.
#[must_use]
pub fn sheet(sources: &Sources, report: &Report<'_>, formula: &FormulaReport, order: &Order) -> Option<Sheet> {
    let plan = formula.plan.as_ref()?;
    let resolver = &report.resolver;
    let about = Writer { resolver, formula: &formula.formula, plan };
    let model = &formula.formula;
    let weighed = about.composition_as_weighed();
    let outlook = outlook(resolver, model, Activity::Davies);
    let scales = order.scales(model);
    Some(Sheet {
        schema: "stillroom.sheet/1".to_string(),
        formula: model.name.to_string(),
        title: model.title.as_ref().map(ToString::to_string),
        version: model.version.as_ref().map(ToString::to_string),
        digest: resolver.digest(model),
        shelf: shelf::EDITION.to_string(),
        product: model.products.iter().map(|product| product.word().to_string()).collect(),
        batch_g: grams(&plan.total, &plan.finest),
        asked_g: grams(&plan.batch, &plan.finest),
        asked: asked(model, order),
        scale_g: step_text(&plan.finest),
        scales: scales
            .iter()
            .map(|scale| match &scale.max {
                Some(max) => format!("{} g up to {} g", step_text(&scale.step), max),
                None => format!("{} g", step_text(&scale.step)),
            })
            .collect(),
        phases: about.phases(),
        total_percent_exact: model.lines.iter().filter_map(|line| line.percent.as_ref()).sum::<Exact>().to_fraction(),
        total_g: grams(&plan.total, &plan.finest),
        actives: about.actives(&weighed, outlook.as_ref()),
        substances: about.substances(&weighed),
        ph: ph(model, outlook.as_ref(), &plan.batch),
        unpreserved: formula.unpreserved.clone(),
        steps: about.steps(),
        cautions: about.cautions(),
        allowed: formula
            .allowed
            .iter()
            .map(|allowed| AllowedJson {
                code: allowed.diagnostic.code.to_string(),
                because: allowed.because.clone(),
                message: allowed.diagnostic.message.clone(),
            })
            .collect(),
        diagnostics: DiagnosticJson::all(sources, &formula.diagnostics),
        remark: formula.remark.clone(),
    })
}

/// A weight to a scale's step.
fn grams(weight: &Exact, step: &Exact) -> String {
    weight.to_fixed(step.decimals().unwrap_or(4))
}

fn step_text(step: &Exact) -> String {
    grams(step, step)
}

/// A pH, with one decimal at the least: `4.0`.
pub(super) fn ph_text(ph: &Exact) -> String {
    if ph.decimals() == Some(0) { ph.to_fixed(1) } else { ph.to_string() }
}

/// A foreseen share of a percentage, to six digits.
fn free_percent(total: &Exact, share: f64) -> String {
    let millionths = (share * total.to_f64() * 1e9).round();
    Exact::ratio(millionths as i64, 1_000_000_000).to_significant(6)
}

/// How the batch was asked for: `12 x 30 mL plus 4 %`.
fn asked(formula: &Formula, order: &Order) -> String {
    let Some(makes) = order.makes(formula) else { return String::new() };
    let each = match (&makes.grams, &makes.millilitres) {
        (Some(grams), _) => format!("{grams} g"),
        (None, Some(millilitres)) => format!("{millilitres} mL"),
        (None, None) => String::new(),
    };
    let count = makes.count.as_ref().map(|count| format!("{count} x ")).unwrap_or_default();
    let plus = makes.plus.as_ref().map(|plus| format!(" plus {plus} %")).unwrap_or_default();
    format!("{count}{each}{plus}")
}

struct Writer<'w, 's> {
    resolver: &'w Resolver<'s>,
    formula: &'w Formula,
    plan: &'w Plan,
}

impl Writer<'_, '_> {
    fn phases(&self) -> Vec<SheetPhase> {
        let mut phases: Vec<SheetPhase> = self
            .formula
            .phases
            .iter()
            .map(|phase| SheetPhase {
                name: phase.name.to_string(),
                title: phase.title.as_ref().map(ToString::to_string),
                heat_c: phase.heat.as_ref().map(|(celsius, _)| celsius.to_string()),
                cool_c: phase.cool.as_ref().map(|(celsius, _)| celsius.to_string()),
                lines: Vec::new(),
            })
            .collect();
        for (line, weight) in self.formula.lines.iter().zip(&self.plan.lines) {
            if let Some(phase) = phases.get_mut(line.phase) {
                phase.lines.push(self.line(line, weight));
            }
        }
        phases
    }

    fn line(&self, line: &Line, weight: &PlanLine) -> SheetLine {
        let to_step = |weighed: &Option<Exact>| weighed.as_ref().map(|weighed| grams(weighed, &weight.step));
        let held_percent = line.hold_back.as_ref().and_then(|held| held.percent.as_ref());
        let from = match line.amount {
            LineAmount::AtBench => self.formula.reserve_of(line).and_then(|at| self.formula.lines.get(at)),
            _ => None,
        };
        SheetLine {
            material: line.name.to_string(),
            title: title_of(line),
            amount: line.written.clone(),
            percent: line.percent.as_ref().map(|percent| percent.to_significant(DIGITS)),
            percent_exact: line.percent.as_ref().map(Exact::to_fraction),
            grams_exact: weight.exact.as_ref().map(Exact::to_fraction),
            grams: to_step(&weight.printed),
            as_weighed_percent: self.as_weighed(weight).map(|percent| percent.to_significant(DIGITS)),
            scale_g: step_text(&weight.step),
            first_weighing_g: to_step(&weight.first_weighing),
            held_back_g: to_step(&weight.held_back),
            held_back_percent: held_percent.map(|percent| percent.to_significant(DIGITS)),
            at_bench: line.amount == LineAmount::AtBench,
            from: from.map(|line| line.name.to_string()),
            because: line.because.as_ref().map(ToString::to_string),
        }
    }

    /// The percentage that a printed weight is of the printed batch.
    fn as_weighed(&self, weight: &PlanLine) -> Option<Exact> {
        (weight.printed.as_ref()? * &Exact::HUNDRED).over(&self.plan.total)
    }

    /// The composition of the printed weights.
    fn composition_as_weighed(&self) -> Composition {
        let mut composition = Composition::default();
        for (line, weight) in self.formula.lines.iter().zip(&self.plan.lines) {
            let Some(percent) = self.as_weighed(weight) else { continue };
            if let Some(thing) = &line.thing {
                composition.put_thing(&percent, thing);
            }
        }
        composition
    }

    fn actives(&self, weighed: &Composition, outlook: Option<&Outlook>) -> Vec<Active> {
        let mut asked: Vec<DeclId> = Vec::new();
        for target in self.formula.lines.iter().filter_map(|line| line.target.as_ref()) {
            if !asked.contains(&target.substance) {
                asked.push(target.substance);
            }
        }
        let Some(target) = &self.formula.composition else { return Vec::new() };
        asked
            .into_iter()
            .map(|substance| {
                let total = self.total(target, substance);
                let free = outlook.and_then(|outlook| outlook.free.iter().find(|free| free.substance == substance));
                let (near, far) = free.map_or((None, None), |free| (free.near, free.far));
                let free = |share: Option<f64>| share.map(|share| free_percent(&total, share));
                let salt = |share: Option<f64>| share.map(|share| free_percent(&total, 1.0 - share));
                Active {
                    substance: self.resolver.substance_name(substance),
                    target_percent: total.to_significant(DIGITS),
                    as_weighed_percent: self.total(weighed, substance).to_significant(DIGITS),
                    free_percent_near: free(near),
                    free_percent_far: free(far),
                    salt_percent_near: salt(near),
                    salt_percent_far: salt(far),
                }
            })
            .collect()
    }

    /// The total of a substance with its salts, at the middle of what is a range.
    fn total(&self, composition: &Composition, substance: DeclId) -> Exact {
        let counted = composition.parts.iter().filter_map(|(part, share)| {
            let factor = self.resolver.counts_as(*part, substance)??;
            Some(&share.middle() * &factor)
        });
        counted.sum()
    }

    fn substances(&self, weighed: &Composition) -> Vec<SubstanceShare> {
        let Some(target) = &self.formula.composition else { return Vec::new() };
        let mut parts: Vec<(&DeclId, &Interval)> = target.parts.iter().collect();
        parts.sort_by_key(|(_, share)| std::cmp::Reverse(share.middle()));
        parts
            .into_iter()
            .map(|(id, share)| {
                let substance = self.resolver.substance(*id);
                let as_weighed = weighed.parts.get(id).cloned().unwrap_or_else(Interval::zero);
                SubstanceShare {
                    substance: substance.as_ref().map(|substance| substance.name.to_string()).unwrap_or_default(),
                    inci: substance.and_then(|substance| substance.inci.as_ref().map(ToString::to_string)),
                    percent_low: share.low.to_significant(DIGITS),
                    percent_high: share.high.to_significant(DIGITS),
                    as_weighed_low: as_weighed.low.to_significant(DIGITS),
                    as_weighed_high: as_weighed.high.to_significant(DIGITS),
                }
            })
            .collect()
    }

    fn steps(&self) -> Vec<String> {
        let steps = self.formula.steps.iter().flatten();
        steps.map(|step| step.marks.iter().map(|mark| self.mark(mark)).collect()).collect()
    }

    /// A piece of a step: a name with its weight, or the window.
    fn mark(&self, mark: &StepMark) -> String {
        match mark {
            StepMark::Text(text) => text.clone(),
            StepMark::Ph(_) => {
                self.formula.window.as_ref().map_or("the pH".to_string(), |window| match (&window.low, &window.high) {
                    (Some(low), Some(high)) => format!("pH {} to {}", ph_text(low), ph_text(high)),
                    (Some(low), None) => format!("pH {} or over", ph_text(low)),
                    (None, Some(high)) => format!("pH {} or under", ph_text(high)),
                    (None, None) => "the pH".to_string(),
                })
            }
            StepMark::Name(name, _) => {
                let lines = self.formula.lines.iter().zip(&self.plan.lines).filter(|(line, _)| line.name == *name);
                let mut called = name.to_string();
                let mut weights: Vec<(&Exact, &Exact)> = Vec::new();
                for (line, weight) in lines {
                    called = title_of(line).unwrap_or(called);
                    weights.extend(weight.printed.as_ref().map(|printed| (printed, &weight.step)));
                }
                match weights.iter().map(|(_, step)| *step).min() {
                    Some(step) => {
                        let sum: Exact = weights.iter().map(|(printed, _)| *printed).sum();
                        format!("{called} ({} g)", grams(&sum, step))
                    }
                    None => called,
                }
            }
        }
    }

    /// The cautions of the materials, those within premixes too, each once.
    fn cautions(&self) -> Vec<String> {
        let mut cautions: Vec<String> = Vec::new();
        let mut seen = rustc_hash::FxHashSet::default();
        let mut waiting: Vec<&LineMaterial> =
            self.formula.lines.iter().rev().filter_map(|line| line.thing.as_ref()).collect();
        while let Some(thing) = waiting.pop() {
            match thing {
                LineMaterial::Material(material) => {
                    let called = material.title.as_ref().unwrap_or(&material.name);
                    for caution in &material.cautions {
                        let text = format!("{called}: {caution}");
                        if !cautions.contains(&text) {
                            cautions.push(text);
                        }
                    }
                }
                LineMaterial::Premix(premix) => {
                    if seen.insert(premix.id) {
                        waiting.extend(premix.lines.iter().rev().filter_map(|line| line.thing.as_ref()));
                    }
                }
            }
        }
        cautions
    }
}

fn title_of(line: &Line) -> Option<String> {
    match line.thing.as_ref()? {
        LineMaterial::Material(material) => material.title.as_ref().map(ToString::to_string),
        LineMaterial::Premix(premix) => premix.title.as_ref().map(ToString::to_string),
    }
}
