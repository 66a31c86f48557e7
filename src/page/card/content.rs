//! What stands on a card: a formula in percent, and what to take care of. Of what it costs, who sells it, which lots it
//! is made of and who answers for it, nothing is looked at.

use crate::diagnostic::{Diagnostic, Family, Level};
use crate::model::{AmountIs, Formula, Line, LineAmount, LineMaterial, Phase};
use crate::quantity::{Exact, Interval};
use crate::render::{DEFERENCE, for_maker, ph_edges, ph_window_words};
use crate::resolve::Resolver;
use crate::session::{FormulaReport, Report};
use crate::sheet::cautions;

/// Digits of a percentage, as on the sheet.
const DIGITS: u32 = 10;

/// What stands below a stock, as on its sheet.
const STOCK: &str = "A stock for the bench, not for skin.";

/// The families of warnings that are about skin and health; others are about the sheet, the scale and the jar.
const OF_CARE: [Family; 7] =
    [Family::Usage, Family::Strength, Family::Ph, Family::Heat, Family::Preservation, Family::Together, Family::Rule];

/// A formula in percent, to share.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Card {
    /// What it is called.
    pub title: String,
    /// Its version.
    pub version: Option<String>,
    /// What it is for, as its label says.
    pub function: Option<String>,
    /// What it makes, and where on the body that goes.
    pub product: Vec<String>,
    /// The pH window, as on the sheet; none where it has none.
    pub window: Option<String>,
    /// The phases that have lines, in the order of the bench.
    pub phases: Vec<CardPhase>,
    /// What the lines add to, in percent.
    pub total_percent: String,
    /// What is to be said before all else: warnings, and those of its label.
    pub warnings: Vec<String>,
    /// What to take care of: a material, and all that is said of it.
    pub cautions: Vec<(String, Vec<String>)>,
    /// What it is not: a safety assessment.
    pub deference: String,
}

/// A phase of a card.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct CardPhase {
    /// Its name.
    pub name: String,
    /// Its title.
    pub title: Option<String>,
    /// The temperature it is heated to, in degrees Celsius.
    pub heat_c: Option<String>,
    /// The temperature it is cooled to, in degrees Celsius.
    pub cool_c: Option<String>,
    /// Its lines.
    pub lines: Vec<CardLine>,
}

/// A line of a card.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct CardLine {
    /// What it is called.
    pub called: String,
    /// Its percentage as supplied, as the sheet prints it; none of what is added to the pH.
    pub percent: Option<String>,
    /// The actives it brings: how much of the batch, in percent, and what.
    pub brings: Vec<(String, String)>,
}

impl Card {
    /// The card of a formula; none where a percentage is not known, which has been told.
    #[must_use]
    pub fn of(report: &Report<'_>, of: &FormulaReport) -> Option<Card> {
        let (formula, resolver) = (&*of.formula, &report.resolver);
        let all_known = |line: &Line| line.percent.is_some() || line.amount == LineAmount::AtBench;
        if of.is_blocked() || !formula.total_known || !formula.lines.iter().all(all_known) {
            return None;
        }
        let total: Exact = formula.lines.iter().filter_map(|line| line.percent.as_ref()).sum();
        let phases = formula.phases.iter().enumerate().map(|(at, phase)| card_phase(resolver, formula, at, phase));
        Some(Card {
            title: formula.title.as_ref().unwrap_or(&formula.name).to_string(),
            version: formula.version.as_ref().map(ToString::to_string),
            function: formula.label.function.as_ref().map(ToString::to_string),
            product: formula.products.iter().map(|product| product.word().to_string()).collect(),
            window: ph_window_words(&ph_edges(formula.window.as_ref())),
            phases: phases.filter(|phase| !phase.lines.is_empty()).collect(),
            total_percent: printed(&total),
            warnings: warnings(of),
            cautions: of_each(formula),
            deference: if formula.is_stock() { STOCK.to_string() } else { DEFERENCE.replacen("sheet", "card", 1) },
        })
    }
}

/// A percentage as the sheet prints it.
fn printed(percent: &Exact) -> String {
    for_maker(&percent.to_significant(DIGITS))
}

fn card_phase(resolver: &Resolver<'_>, formula: &Formula, at: usize, phase: &Phase) -> CardPhase {
    CardPhase {
        name: phase.name.to_string(),
        title: phase.title.as_ref().map(ToString::to_string),
        heat_c: phase.heat.as_ref().map(|(celsius, _)| celsius.to_string()),
        cool_c: phase.cool.as_ref().map(|(celsius, _)| celsius.to_string()),
        lines: formula.lines.iter().filter(|line| line.phase == at).map(|line| card_line(resolver, line)).collect(),
    }
}

fn card_line(resolver: &Resolver<'_>, line: &Line) -> CardLine {
    let title = line.material.as_ref().and_then(|material| match material {
        LineMaterial::Material(material) => material.title.as_ref(),
        LineMaterial::Premix(premix) => premix.title.as_ref(),
    });
    CardLine {
        called: title.unwrap_or(&line.name).to_string(),
        percent: line.percent.as_ref().map(printed),
        brings: brings(resolver, line),
    }
}

/// What a line was asked to bring, or what its material is bought for, where that is not all there is of it.
fn brings(resolver: &Resolver<'_>, line: &Line) -> Vec<(String, String)> {
    let called = |id| {
        let inci = resolver.substance(id).and_then(|substance| substance.inci.as_ref().map(ToString::to_string));
        inci.unwrap_or_else(|| resolver.substance_name(id))
    };
    if let Some(target) = &line.target
        && let (Some(asked), AmountIs::Active | AmountIs::Of) = (&line.asked, target.is)
    {
        return vec![(printed(asked), called(target.substance))];
    }
    let Some(percent) = &line.percent else { return Vec::new() };
    let Some(LineMaterial::Material(material)) = &line.material else { return Vec::new() };
    let actives = material.contains.iter().filter(|part| part.active && !part.undisclosed);
    actives
        .filter(|part| part.strength.low != Exact::HUNDRED)
        .map(|part| (share(percent, &part.strength), called(part.substance)))
        .collect()
}

fn share(percent: &Exact, strength: &Interval) -> String {
    let of = |end: &Exact| printed(&(&percent.hundredth() * end));
    match (of(&strength.low), of(&strength.high)) {
        (low, high) if low == high => low,
        (low, high) => format!("{low} to {high}"),
    }
}

/// What the sheet warns of, as far as it is about skin and health, what the label warns of, and that nothing preserves it.
fn warnings(of: &FormulaReport) -> Vec<String> {
    let is_of_care = |fault: &&Diagnostic| fault.level == Level::Warning && OF_CARE.contains(&fault.code.family());
    let told = of.diagnostics.iter().filter(is_of_care).map(|fault| fault.message.clone());
    let mut all: Vec<String> = Vec::new();
    let of_the_label = of.formula.warnings.iter().map(ToString::to_string);
    for words in of_the_label.chain(of.unpreserved.clone()).chain(told) {
        let words = words.replace('`', "");
        if !all.contains(&words) {
            all.push(words);
        }
    }
    all
}

/// The cautions of the sheet, those of one material together.
fn of_each(formula: &Formula) -> Vec<(String, Vec<String>)> {
    let mut all: Vec<(String, Vec<String>)> = Vec::new();
    for caution in cautions(formula) {
        let text = caution.text.to_string();
        match all.iter_mut().find(|(of, _)| of == caution.of) {
            Some((_, texts)) => texts.push(text),
            None => all.push((caution.of.to_string(), vec![text])),
        }
    }
    all
}
