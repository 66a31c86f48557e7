//! The pH foreseen, as data: the `ph` block of a sheet, and what `ph` prints.

use super::beaker::{self, titrated};
use super::number::ph_edge;
use crate::model::{Formula, LineAmount, PhRange};
use crate::quantity::{Exact, Range};
use crate::sheet::ph::{AdjusterOutlook, Curve, Outlook, curve, curve_read};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// The pH of a formula: its window, and what is foreseen of the finished batch. Weights are in grams of the batch.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Ph {
    /// The model of activity: `davies`, `best` or `ideal`; none where nothing is foreseen.
    pub model: Option<String>,
    /// The window, lower edge first; none at an open end.
    pub window: [Option<String>; 2],
    /// The pH before adjustment, as foreseen or as a beaker test read it; what hydrolyses has done so. None where it may
    /// be off by more than 0.9.
    pub before: Option<f64>,
    /// How far the pH before adjustment may be off.
    pub before_uncertainty: Option<f64>,
    /// The pH before adjustment as it is weighed, where something is yet to hydrolyse.
    pub before_fresh: Option<f64>,
    /// Each line that is weighed to the pH.
    pub adjusters: Vec<PhAdjuster>,
    /// The buffer capacity in mol of strong base per kg of water per pH; at the middle of the window where an adjuster
    /// leads there, else before adjustment.
    pub buffer_capacity: Option<f64>,
    /// The ionic strength there, in mol per kg of water.
    pub ionic_strength: Option<f64>,
    /// How far the pH there may be off.
    pub uncertainty: Option<f64>,
    /// Why it is less sure than elsewhere.
    pub less_sure: Vec<String>,
    /// What the model left out.
    pub left_out: Vec<PhLeftOut>,
    /// Why no pH before adjustment is given; none where one is.
    pub why_vague: Option<String>,
    /// What the beaker tests that were made come to in the batch.
    pub titrated: Vec<String>,
    /// What to do to learn a dose that cannot be foreseen closely enough to weigh by: what for, and then step by step.
    pub beaker_test: Vec<String>,
    /// The same in words, as sheets print it: figures as exact as they mean something.
    pub words: Vec<String>,
}

/// What a line that is weighed to the pH is foreseen to take. A dose is none where the line does not lead there, or
/// where the most that it may take is over ten times the least.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct PhAdjuster {
    /// The material.
    pub material: String,
    /// Whether it moves the pH away from a window that it is out of.
    pub leads_away: bool,
    /// To what of the window no dose is given because its range is too wide: `the near edge`, `the middle`, `the far edge`.
    pub untold: Vec<String>,
    /// To the edge of the window that takes the least.
    pub grams_near: Option<f64>,
    /// To the middle.
    pub grams_mid: Option<f64>,
    /// To the other edge.
    pub grams_far: Option<f64>,
    /// The range in which the first may lie; the upper end is none where it is out of reach.
    pub grams_near_range: Option<[Option<f64>; 2]>,
    /// That of the second.
    pub grams_mid_range: Option<[Option<f64>; 2]>,
    /// That of the third.
    pub grams_far_range: Option<[Option<f64>; 2]>,
}

/// A material of which the pH model knows something too little.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct PhLeftOut {
    /// The material.
    pub material: String,
    /// How much of the batch has no acid-base data.
    pub percent: String,
}

/// What `ph --format json` prints of a formula.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct PhJson {
    /// `stillroom.ph/1`.
    pub schema: String,
    /// The formula.
    pub formula: String,
    /// The batch that the grams are of.
    pub batch_g: String,
    /// The pH, with its curve.
    pub ph: PhWithCurve,
}

/// What `ph --format json` prints of several formulas.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct PhsJson {
    /// `stillroom.phs/1`.
    pub schema: String,
    /// Each formula.
    pub formulas: Vec<PhJson>,
}

/// The pH with a titration.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct PhWithCurve {
    /// The pH.
    #[serde(flatten)]
    pub ph: Ph,
    /// What is held back for the adjuster of the curve, in grams.
    pub held_back_g: Option<f64>,
    /// The adjuster of the curve; none where no line is weighed to the pH.
    pub curve_of: Option<String>,
    /// The titration with it, weight of the batch held.
    pub curve: Vec<PhPoint>,
}

/// A point of a titration.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct PhPoint {
    /// Grams of the adjuster.
    pub grams: f64,
    /// The pH.
    pub ph: f64,
}

/// Digits of a percentage, as elsewhere on the sheet.
const DIGITS: u32 = 10;
/// Points of a curve.
const POINTS: u32 = 101;

/// The `ph` block of a formula; none where it has neither a window nor anything that takes part.
#[must_use]
pub fn ph(formula: &Formula, outlook: Option<&Outlook>, batch: &Exact) -> Option<Ph> {
    if formula.window.is_none() && outlook.is_none() {
        return None;
    }
    let foreseen = outlook.filter(|outlook| outlook.before.is_some());
    let per_cent = batch.to_f64() / 100.0;
    let mut ph = Ph {
        model: foreseen.map(|outlook| outlook.model.word().to_string()),
        window: edges(formula.window.as_ref()),
        before: foreseen.and_then(Outlook::told_before).map(|(before, _)| to_7(before)),
        before_uncertainty: foreseen
            .map(|outlook| to_3(outlook.told_before().map_or(outlook.before_uncertainty, |of| of.1))),
        before_fresh: foreseen
            .filter(|outlook| outlook.told_before().is_some())
            .and_then(|outlook| outlook.fresh)
            .map(to_7),
        adjusters: foreseen.map(|outlook| adjusters(formula, outlook, per_cent)).unwrap_or_default(),
        buffer_capacity: foreseen
            .filter(|outlook| tells_state(outlook))
            .and_then(|of| of.buffer_capacity)
            .map(significant),
        ionic_strength: foreseen
            .and_then(|outlook| outlook.state.as_ref())
            .map(|state| significant(state.ionic_strength)),
        uncertainty: foreseen.map(|outlook| to_3(outlook.uncertainty)),
        less_sure: match (foreseen, outlook) {
            (Some(outlook), _) => outlook.validity.reasons(),
            (None, Some(_)) => vec![crate::sheet::ph::GAS.to_string()],
            (None, None) => Vec::new(),
        },
        left_out: outlook.map(left_out).unwrap_or_default(),
        why_vague: foreseen.and_then(Outlook::why_vague).map(ToString::to_string),
        titrated: titrated(formula, batch),
        beaker_test: beaker_test(formula, outlook, batch),
        words: Vec::new(),
    };
    ph.words = words(&ph);
    Some(ph)
}

/// Whether the state at the middle of the window is known well enough for figures: where a dose leads there it has to be
/// told itself.
fn tells_state(outlook: &Outlook) -> bool {
    outlook.adjusters.iter().all(|of| !of.is_untold())
        && (!outlook.adjusters.is_empty() || outlook.told_before().is_some())
}

/// The beaker test of the first line that is weighed to the pH and of which no dose is told.
fn beaker_test(formula: &Formula, outlook: Option<&Outlook>, batch: &Exact) -> Vec<String> {
    let untold = |number: usize| match outlook.and_then(|of| of.adjusters.iter().find(|of| of.line == number)) {
        Some(of) => of.is_untold(),
        // Nothing is known of it, or gas leaves.
        None => true,
    };
    let at_bench = formula.lines.iter().enumerate().filter(|(_, line)| line.amount == LineAmount::AtBench);
    let first =
        at_bench.filter(|(number, line)| line.titrated.is_none() && untold(*number)).map(|(_, line)| line).next();
    first.map(|line| beaker::beaker_test(formula, line, batch)).unwrap_or_default()
}

fn words(ph: &Ph) -> Vec<String> {
    let mut words = Vec::new();
    if let Some(before) = ph.before {
        let give = ph.before_uncertainty.unwrap_or_default();
        words.push(format!("Foreseen before adjustment: pH {before:.2}, give or take {give:.2}."));
    }
    words.extend(ph.why_vague.clone());
    if let Some(fresh) = ph.before_fresh {
        words.push(format!("As weighed, before the lactone turns to its acid: pH {fresh:.2}."));
    }
    for of in &ph.adjusters {
        let doses = [
            (of.grams_near, of.grams_near_range, "the near edge"),
            (of.grams_mid, of.grams_mid_range, "the middle"),
            (of.grams_far, of.grams_far_range, "the far edge"),
        ];
        // One range would read as if the other figures were sure.
        let any_wide =
            doses.iter().any(|(grams, range, _)| grams.zip(*range).is_some_and(|(dose, of)| is_wide(dose, of)));
        let told = doses.into_iter().filter_map(|(grams, range, to)| {
            let grams = grams?;
            Some(match range {
                Some([Some(low), Some(high)]) if any_wide => format!("{grams:.2} g ({low:.2} to {high:.2}) to {to}"),
                _ => format!("{grams:.2} g to {to}"),
            })
        });
        let doses: Vec<String> = told.collect();
        if !doses.is_empty() {
            words.push(format!("Foreseen of {}: {}.", of.material, doses.join(", ")));
            words.extend(why_untold(of));
        }
    }
    words.extend(ph.titrated.iter().cloned());
    words.extend(ph.less_sure.iter().map(|reason| format!("Less sure: {}.", reason.trim_end_matches('.'))));
    words.extend(
        ph.left_out
            .iter()
            .map(|of| format!("Left out: {} % of the batch, in {}, has no acid-base data.", of.percent, of.material)),
    );
    words
}

/// Why a dose is not told where others are.
pub(super) fn why_untold(of: &PhAdjuster) -> Option<String> {
    let (last, others) = of.untold.split_last()?;
    let to = if others.is_empty() { last.clone() } else { format!("{} and to {last}", others.join(", to ")) };
    Some(format!("No dose to {to}: the most it may take is over ten times the least, or more than can go in."))
}

/// Whether a dose needs its range beside it: it may be off by more than a quarter of itself.
fn is_wide(dose: f64, range: [Option<f64>; 2]) -> bool {
    const QUARTER: f64 = 0.25;
    let [Some(low), Some(high)] = range else { return false };
    (high - dose).max(dose - low) > QUARTER * dose
}

/// The edges of a window as they are written, lower edge first.
pub(crate) fn edges(window: Option<&PhRange>) -> [Option<String>; 2] {
    let edge = |edge: Option<&Exact>| edge.map(ph_edge);
    match window {
        Some(window) => [edge(window.low.as_ref()), edge(window.high.as_ref())],
        None => [None, None],
    }
}

fn left_out(outlook: &Outlook) -> Vec<PhLeftOut> {
    let left_out = outlook.solution.left_out.iter();
    left_out.map(|of| PhLeftOut { material: of.material.clone(), percent: of.percent.to_significant(DIGITS) }).collect()
}

fn adjusters(formula: &Formula, outlook: &Outlook, per_cent: f64) -> Vec<PhAdjuster> {
    let one = |of: &AdjusterOutlook| {
        let grams = |dose: Option<f64>| dose.map(|dose| to_7(dose * per_cent));
        let range = |range: Option<Range<f64>>| range.map(|range| [grams(range.low), grams(range.high)]);
        let told = of.told();
        let [near, middle, far] = of.ranges;
        let range_of = |dose: Option<f64>, found: Option<Range<f64>>| dose.and(range(found));
        PhAdjuster {
            material: formula.lines.get(of.line).map(|line| line.name.to_string()).unwrap_or_default(),
            leads_away: of.leads_away && !of.may_lead,
            untold: of.untold().into_iter().map(ToString::to_string).collect(),
            grams_near: grams(told.near),
            grams_mid: grams(told.middle),
            grams_far: grams(told.far),
            grams_near_range: range_of(told.near, near),
            grams_mid_range: range_of(told.middle, middle),
            grams_far_range: range_of(told.far, far),
        }
    };
    outlook.adjusters.iter().map(one).collect()
}

/// What `ph` prints of a formula, with the titration of the adjuster that leads to the window.
#[must_use]
pub fn ph_json(formula: &Formula, outlook: Option<&Outlook>, batch: &Exact) -> Option<PhJson> {
    let ph = ph(formula, outlook, batch)?;
    let per_cent = batch.to_f64() / 100.0;
    let mut with = PhWithCurve { ph, held_back_g: None, curve_of: None, curve: Vec::new() };
    let foreseen = outlook.filter(|outlook| outlook.before.is_some());
    let leading = foreseen.and_then(|outlook| {
        let of = outlook.adjusters.iter().find(|of| !of.leads_away).or(outlook.adjusters.first())?;
        // A drawing is figures, too.
        let adjuster = outlook.solution.adjusters.iter().find(|adjuster| adjuster.line == of.line)?;
        // What was read with one adjuster is no curve of another.
        let is_of_another = !outlook.solution.read_at.is_empty() && adjuster.titrated.is_none();
        if of.is_untold() || is_of_another {
            return None;
        }
        Some((outlook.model, of, adjuster))
    });
    if let Some((model, of, adjuster)) = leading {
        let held = adjuster.held.as_ref().map(Exact::to_f64);
        let line = formula.lines.get(of.line);
        with.held_back_g = held.map(|held| to_7(held * per_cent));
        with.curve_of = line.map(|line| line.name.to_string());
        let far = reach(of, held, adjuster.blend.most);
        let found = match (&adjuster.titrated, foreseen.and_then(|outlook| outlook.before.as_ref())) {
            (Some(titrated), Some(before)) => curve_read(adjuster, titrated, before, far, POINTS),
            _ => curve(adjuster, far, POINTS, model),
        };
        with.curve = points(&found, per_cent);
    }
    let step = Exact::ratio(1, 100);
    let decimals = batch.to_step(&step);
    Some(PhJson {
        schema: "stillroom.ph/1".to_string(),
        formula: formula.name.to_string(),
        batch_g: if decimals == *batch { batch.to_fixed(2) } else { batch.to_significant(10) },
        ph: with,
    })
}

/// How far a curve goes: over the window and over what is held back, with some room.
fn reach(of: &AdjusterOutlook, held: Option<f64>, most: f64) -> f64 {
    let doses = [of.doses.near, of.doses.middle, of.doses.far, held];
    let far = doses.into_iter().flatten().fold(0.0, f64::max);
    if far > 0.0 { (far * 1.2).min(most) } else { most.min(25.0) }
}

fn points(curve: &Curve, per_cent: f64) -> Vec<PhPoint> {
    curve.points.iter().map(|(dose, ph)| PhPoint { grams: to_7(dose * per_cent), ph: to_7(*ph) }).collect()
}

/// Seven decimals: what is reproducible, and more than anything means.
fn to_7(value: f64) -> f64 {
    (value * 1e7).round() / 1e7
}

fn to_3(value: f64) -> f64 {
    (value * 1e3).round() / 1e3
}

/// Eight significant digits.
fn significant(value: f64) -> f64 {
    format!("{value:.7e}").parse().unwrap_or(value)
}
