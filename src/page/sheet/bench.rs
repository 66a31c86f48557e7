//! What the script of a sheet goes by: what is to be done and in which order, and all that a record of it rests on.

use super::doses::{Doses, place_of};
use crate::batch::writing::{freeze, quoted, size_text};
use crate::batch::{Act, acts};
use crate::model::{Formula, LineAmount};
use crate::quantity::Exact;
use crate::render::Sheet;
use crate::resolve::Resolver;
use crate::session::FormulaReport;
use crate::syntax::format;
use serde::Serialize;

/// What the script goes by.
#[derive(Clone, Debug, Serialize)]
pub struct SheetBench {
    /// What is kept on the device is kept under this.
    pub key: String,
    /// The formula's name.
    pub formula: String,
    /// The statements that open a record.
    pub opening: Vec<String>,
    /// The plan that a record rests on, as it stands in one; none where a percentage is not known.
    pub plan: Option<String>,
    /// What is to be done, in the order of the bench.
    pub acts: Vec<SheetAct>,
    /// The lines, in the order of the sheet.
    pub lines: Vec<BenchLine>,
    /// What is weighed to the pH.
    pub adjust: Option<BenchAdjust>,
    /// What a container holds, as a record says it.
    pub each: Option<String>,
}

/// Something to be done.
#[derive(Clone, Debug, Serialize)]
pub struct SheetAct {
    /// `heat`, `cool`, `weigh`, `adjust` or `wait`.
    pub what: &'static str,
    /// The number of its line or phase on the sheet, or of its step.
    pub at: usize,
    /// For how many seconds.
    pub seconds: Option<String>,
}

/// A line.
#[derive(Clone, Debug, Serialize)]
pub struct BenchLine {
    /// Its material.
    pub material: String,
    /// What it is called.
    pub called: String,
    /// What is weighed now, in grams; none of what is weighed at the bench.
    pub now: Option<String>,
    /// What is held back of it.
    pub held: Option<String>,
}

/// What is weighed to the pH.
#[derive(Clone, Debug, Serialize)]
pub struct BenchAdjust {
    /// The material.
    pub material: String,
    /// What it is called.
    pub called: String,
    /// The number of the line that it comes out of.
    pub from: Option<usize>,
    /// The window, lower edge first.
    pub window: [Option<String>; 2],
    /// The step of its scale in grams.
    pub step: String,
    /// What to add by what was read; none where nobody knows what the adjuster does.
    pub doses: Option<Doses>,
}

impl SheetBench {
    /// What the script of a sheet goes by; none where it has no plan.
    #[must_use]
    pub fn of(resolver: &Resolver<'_>, report: &FormulaReport, sheet: &Sheet) -> Option<SheetBench> {
        let plan = report.plan.as_ref()?;
        let formula = &*report.formula;
        let outlook = report.outlook(resolver);
        let numbers = numbers(formula);
        let on_sheet = |line: usize| numbers.iter().position(|number| *number == line);
        let lines: Vec<BenchLine> = sheet.phases.iter().flat_map(|phase| &phase.lines).map(line).collect();
        let doses = || Doses::of(resolver, formula, plan, outlook.as_ref(), place_of(formula));
        let adjuster = formula.lines.iter().position(|line| line.amount == LineAmount::AtBench);
        let adjust = adjuster.filter(|_| formula.window.is_some()).and_then(|number| {
            let own = lines.get(on_sheet(number)?)?;
            let from = formula.lines.get(number).and_then(|line| formula.reserve_of(line)).and_then(on_sheet);
            Some(BenchAdjust {
                material: own.material.clone(),
                called: own.called.clone(),
                from,
                window: sheet.ph.as_ref().map(|ph| ph.window.clone()).unwrap_or_default(),
                step: plan.lines.get(number).map_or_else(|| sheet.scale_g.clone(), |line| line.step.to_string()),
                doses: doses(),
            })
        });
        let version = formula.version.as_ref().map(|version| format!(" version {}", quoted(version)));
        Some(SheetBench {
            key: format!(
                "stillroom sheet {} {} {}",
                sheet.digest,
                sheet.batch_g,
                sheet.batch_code.as_deref().unwrap_or_default()
            ),
            formula: formula.name.to_string(),
            opening: vec![
                format!("formula {}{}", formula.name, version.unwrap_or_default()),
                format!("size {}", size_text(plan)),
            ],
            plan: freeze(resolver, formula).map(|plan| laid_out(&plan)),
            acts: acts(formula).iter().filter_map(|placed| act(placed, &on_sheet)).collect(),
            lines,
            adjust,
            each: sheet.fill.as_ref().map(|fill| fill.content.clone()),
        })
    }
}

/// The numbers of the formula's lines in the order of the sheet, which is by phases.
fn numbers(formula: &Formula) -> Vec<usize> {
    let in_phase = |phase: usize| {
        formula.lines.iter().enumerate().filter(move |(_, line)| line.phase == phase).map(|(number, _)| number)
    };
    (0..formula.phases.len()).flat_map(in_phase).collect()
}

fn line(of: &crate::render::SheetLine) -> BenchLine {
    BenchLine {
        material: of.material.clone(),
        called: of.title.clone().unwrap_or_else(|| of.material.clone()),
        now: of.first_weighing_g.clone().or_else(|| of.grams.clone()),
        held: of.held_back_g.clone(),
    }
}

fn act(placed: &crate::batch::Placed, on_sheet: &impl Fn(usize) -> Option<usize>) -> Option<SheetAct> {
    let line = || placed.line.and_then(on_sheet);
    let (what, at, seconds) = match &placed.act {
        Act::Heat(_) => ("heat", placed.phase, None),
        Act::Cool(_) => ("cool", placed.phase, None),
        Act::Weigh => ("weigh", line()?, None),
        Act::Adjust => ("adjust", line()?, None),
        Act::Wait(time) => ("wait", placed.step?, time.as_ref().map(Exact::to_string)),
    };
    Some(SheetAct { what, at, seconds })
}

/// A plan as it stands in a record.
fn laid_out(plan: &str) -> String {
    let block = format(&format!("batch b {{\n{plan}\n}}\n"));
    let inner = block.trim_end().trim_start_matches("batch b {").trim_end_matches('}');
    inner.trim_matches('\n').trim_end().to_string()
}
