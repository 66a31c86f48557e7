//! The batch sheet as data: what JSON prints, and what Markdown and text are written from.

use super::number::{grams, ph_edge, step_text};
use super::sheet_fill::{SheetFill, SheetKeeps, batch_code};
use super::{DiagnosticJson, Ph, ph};
use crate::diagnostic::Level;
use crate::model::{Formula, LineAmount, PhRange};
use crate::quantity::Exact;
use crate::resolve::Resolver;
use crate::session::{FormulaReport, Report};
use crate::sheet::{
    ActiveFigures, BatchOrder, LineFigures, PhaseFigures, SheetFigures, StepPiece, StepWeight, SubstanceFigures,
    WeighedPart,
};
use crate::shelf;
use crate::workspace::Sources;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// A batch sheet. Exact figures are strings: reduced fractions, or decimals to the scale's step.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
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
    /// The code of the batch, as the maker calls batches; none where the sheet says no day on which it is made.
    pub batch_code: Option<String>,
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
    /// What the batch is filled into; none where nothing says, and of a stock.
    pub fill: Option<SheetFill>,
    /// How long it keeps; none where the formula does not say.
    pub keeps: Option<SheetKeeps>,
    /// What to take care of.
    pub cautions: Vec<String>,
    /// What the formula allows, with the reason.
    pub allowed: Vec<AllowedJson>,
    /// What bears on the formula and is not allowed.
    pub diagnostics: Vec<DiagnosticJson>,
    /// Which rules were read and on which day, and what changes next; none where no rules were read.
    pub remark: Option<String>,
}

impl Sheet {
    /// What is weighed with open eyes: it stands where the bench is told what to take care of.
    pub fn warnings(&self) -> impl Iterator<Item = &DiagnosticJson> {
        self.diagnostics.iter().filter(|diagnostic| is_warning(diagnostic))
    }
}

/// Whether a diagnostic is a warning.
pub(super) fn is_warning(diagnostic: &DiagnosticJson) -> bool {
    diagnostic.level == Level::Warning.word()
}

/// Several sheets.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Sheets {
    /// `stillroom.sheets/1`.
    pub schema: String,
    /// The sheets.
    pub sheets: Vec<Sheet>,
}

/// A phase of a sheet.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
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
pub fn sheet(sources: &Sources, report: &Report<'_>, formula: &FormulaReport, order: &BatchOrder) -> Option<Sheet> {
    let plan = formula.plan.as_ref()?;
    let resolver = &report.resolver;
    let model = &formula.formula;
    let made_on = order.on.as_deref();
    let outlook = formula.outlook(resolver);
    let figures = SheetFigures::of(resolver, model, plan, outlook.as_ref());
    Some(Sheet {
        schema: "stillroom.sheet/1".to_string(),
        formula: model.name.to_string(),
        title: model.title.as_ref().map(ToString::to_string),
        version: model.version.as_ref().map(ToString::to_string),
        digest: resolver.digest(model),
        shelf: shelf::EDITION.to_string(),
        batch_code: batch_code(resolver, model, made_on).filter(|_| !model.is_stock()),
        product: model.products.iter().map(|product| product.word().to_string()).collect(),
        batch_g: grams(&plan.total, &plan.finest),
        asked_g: grams(&plan.batch, &plan.finest),
        asked: asked(model, order),
        scale_g: step_text(&plan.finest),
        scales: scales(model, order),
        phases: figures.phases.iter().map(phase).collect(),
        total_percent_exact: figures.total_percent.to_fraction(),
        total_g: grams(&plan.total, &plan.finest),
        actives: figures.actives.iter().map(|of| active(resolver, of)).collect(),
        substances: figures.substances.iter().map(|of| substance(resolver, of)).collect(),
        ph: ph(model, outlook.as_ref(), &plan.batch),
        unpreserved: formula.unpreserved.clone(),
        steps: figures.steps.iter().map(|step| step.iter().map(piece).collect()).collect(),
        fill: SheetFill::of(resolver, model, order, plan).filter(|_| !model.is_stock()),
        keeps: SheetKeeps::of(model, made_on).filter(|_| !model.is_stock()),
        cautions: figures.cautions.iter().map(|caution| format!("{}: {}", caution.of, caution.text)).collect(),
        allowed: allowed(formula),
        diagnostics: DiagnosticJson::all(sources, &formula.diagnostics),
        remark: formula.remark.clone(),
    })
}

/// A percentage, ten significant digits at most.
fn percent(of: &Exact) -> String {
    of.to_significant(DIGITS)
}

/// A foreseen percentage, to six digits.
fn foreseen_percent(of: f64) -> String {
    let millionths = (of * 1e9).round();
    Exact::ratio(millionths as i64, 1_000_000_000).to_significant(6)
}

/// How the batch was asked for: `12 x 30 mL plus 4 %`.
fn asked(formula: &Formula, order: &BatchOrder) -> String {
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

fn scales(formula: &Formula, order: &BatchOrder) -> Vec<String> {
    let scales = order.scales(formula);
    let one = scales.iter().map(|scale| match &scale.max {
        Some(max) => format!("{} g up to {} g", step_text(&scale.step), max),
        None => format!("{} g", step_text(&scale.step)),
    });
    one.collect()
}

fn phase(of: &PhaseFigures<'_>) -> SheetPhase {
    SheetPhase {
        name: of.phase.name.to_string(),
        title: of.phase.title.as_ref().map(ToString::to_string),
        heat_c: of.phase.heat.as_ref().map(|(celsius, _)| celsius.to_string()),
        cool_c: of.phase.cool.as_ref().map(|(celsius, _)| celsius.to_string()),
        lines: of.lines.iter().map(line).collect(),
    }
}

fn line(of: &LineFigures<'_>) -> SheetLine {
    let (line, weight) = (of.line, of.weight);
    let to_step = |weighed: &Exact| grams(weighed, &weight.step);
    let held_percent = line.hold_back.as_ref().and_then(|held| held.percent.as_ref());
    SheetLine {
        material: line.name.to_string(),
        title: of.title.map(ToString::to_string),
        amount: line.written.to_string(),
        percent: line.percent.as_ref().map(percent),
        percent_exact: line.percent.as_ref().map(Exact::to_fraction),
        grams_exact: weight.exact.as_ref().map(Exact::to_fraction),
        grams: weight.printed.as_ref().map(to_step),
        as_weighed_percent: of.as_weighed.as_ref().map(percent),
        scale_g: step_text(&weight.step),
        first_weighing_g: weight.held.as_ref().map(|held| to_step(&held.first_weighing)),
        held_back_g: weight.held.as_ref().map(|held| to_step(&held.held_back)),
        held_back_percent: held_percent.map(percent),
        at_bench: line.amount == LineAmount::AtBench,
        from: of.from.map(|line| line.name.to_string()),
        because: line.because.as_ref().map(ToString::to_string),
    }
}

fn active(resolver: &Resolver<'_>, of: &ActiveFigures) -> Active {
    let [free_near, free_far] = of.free.map(|share| share.map(foreseen_percent));
    let [salt_near, salt_far] = of.salt.map(|share| share.map(foreseen_percent));
    Active {
        substance: resolver.substance_name(of.substance),
        target_percent: percent(&of.target),
        as_weighed_percent: percent(&of.as_weighed),
        free_percent_near: free_near,
        free_percent_far: free_far,
        salt_percent_near: salt_near,
        salt_percent_far: salt_far,
    }
}

fn substance(resolver: &Resolver<'_>, of: &SubstanceFigures) -> SubstanceShare {
    let substance = resolver.substance(of.substance);
    SubstanceShare {
        substance: substance.as_ref().map(|substance| substance.name.to_string()).unwrap_or_default(),
        inci: substance.and_then(|substance| substance.inci.as_ref().map(ToString::to_string)),
        percent_low: percent(&of.share.low),
        percent_high: percent(&of.share.high),
        as_weighed_low: percent(&of.as_weighed.low),
        as_weighed_high: percent(&of.as_weighed.high),
    }
}

/// A piece of a step: a name with its weight, or the window.
pub(super) fn piece(of: &StepPiece<'_>) -> String {
    match of {
        StepPiece::Text(text) => text.to_string(),
        StepPiece::Window(window) => window_words(*window),
        StepPiece::Weighed(weight) => step_weight(weight),
    }
}

/// `Purified water (159.00 g first)`, and for the rest of it `Purified water (4.00 g held back, less the adjuster)`.
fn step_weight(of: &StepWeight<'_>) -> String {
    let Some(weight) = &of.grams else { return of.called.to_string() };
    let which = match of.part {
        WeighedPart::All => "",
        WeighedPart::First => " first",
        WeighedPart::Rest { drawn_on: true } => " held back, less the adjuster",
        WeighedPart::Rest { drawn_on: false } => " held back",
    };
    format!("{} ({} g{which})", of.called, grams(weight, &of.step))
}

fn window_words(window: Option<&PhRange>) -> String {
    match window.map(|window| (&window.low, &window.high)) {
        Some((Some(low), Some(high))) => format!("pH {} to {}", ph_edge(low), ph_edge(high)),
        Some((Some(low), None)) => format!("pH {} or over", ph_edge(low)),
        Some((None, Some(high))) => format!("pH {} or under", ph_edge(high)),
        Some((None, None)) | None => "the pH".to_string(),
    }
}

fn allowed(formula: &FormulaReport) -> Vec<AllowedJson> {
    let one = formula.allowed.iter().map(|allowed| AllowedJson {
        code: allowed.diagnostic.code.to_string(),
        because: allowed.because.clone(),
        message: allowed.diagnostic.message.clone(),
    });
    one.collect()
}
