//! From a formula to the weights on the scale.
//!
//! Percentages are exact; only what is printed is rounded, by the rules of *Exactness* in `docs/language.md`.

use crate::model::{Formula, LineAmount, MakesSize, Scale};
use crate::quantity::Exact;
use crate::resolve::{batch_grams, finest};
use smol_str::SmolStr;

/// What is asked of a formula beside what it says itself: the batch and the scales of the command line.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct BatchOrder {
    /// The batch, in place of the formula's `makes`.
    pub makes: Option<MakesSize>,
    /// The formula that the batch is of, so that others keep their own `makes`; none where it is of every one.
    pub of: Option<SmolStr>,
    /// The scales, in place of the formula's.
    pub scales: Vec<Scale>,
    /// The day rules are read on, in place of the formula's `date`.
    pub on: Option<SmolStr>,
}

impl BatchOrder {
    /// The day that rules are read on, and who says so: `--on`, else the formula's `date`, else the shelf's edition.
    /// Never today: the same input gives the same output tomorrow.
    #[must_use]
    pub fn day(&self, formula: &Formula) -> (SmolStr, &'static str) {
        match (&self.on, &formula.date) {
            (Some(on), _) => (on.clone(), "`--on`"),
            (None, Some(date)) => (date.clone(), "the formula's `date`"),
            (None, None) => (SmolStr::new_static(crate::shelf::EDITION_DATE), "the edition of the shelf"),
        }
    }

    /// The batch asked for.
    #[must_use]
    pub fn makes<'o>(&'o self, formula: &'o Formula) -> Option<&'o MakesSize> {
        let is_of_it = self.of.as_ref().is_none_or(|name| *name == formula.name);
        self.makes.as_ref().filter(|_| is_of_it).or(formula.makes.as_ref())
    }

    /// The scales it is weighed on; 0.01 g where none is declared.
    #[must_use]
    pub fn scales(&self, formula: &Formula) -> Vec<Scale> {
        let scales = if self.scales.is_empty() { &formula.scales } else { &self.scales };
        if scales.is_empty() { vec![Scale { step: Exact::ratio(1, 100), max: None }] } else { scales.clone() }
    }
}

/// The weights of a batch.
#[derive(Clone, Debug)]
pub struct Plan {
    /// The batch asked for, brought to whole steps of the finest scale. The exact grams are shares of it.
    pub batch: Exact,
    /// What the printed weights add to.
    pub total: Exact,
    /// The finest step.
    pub finest: Exact,
    /// Each line of the formula, in its order.
    pub lines: Vec<PlanLine>,
}

/// The weight of a line.
#[derive(Clone, Debug)]
pub struct PlanLine {
    /// Its exact share of the batch; none for what is weighed at the bench.
    pub exact: Option<Exact>,
    /// Its weight as printed.
    pub printed: Option<Exact>,
    /// The step of the scale it goes on.
    pub step: Exact,
    /// Whether it is too heavy for every scale.
    pub overloaded: bool,
    /// What is held back of it, where anything is.
    pub held: Option<Box<HeldWeight>>,
}

/// What is held back of a line.
#[derive(Clone, Debug)]
pub struct HeldWeight {
    /// What is held back, as printed.
    pub held_back: Exact,
    /// What is weighed first: the printed weight less what is held back.
    pub first_weighing: Exact,
}

/// Plans a batch. None where its size, a density, or a percentage of the formula is not known.
#[must_use]
pub fn plan(formula: &Formula, order: &BatchOrder) -> Option<Plan> {
    if !formula.total_known {
        return None;
    }
    let scales = order.scales(formula);
    let finest = finest(&scales);
    let batch = batch_grams(order.makes(formula)?, formula.density.as_ref(), &finest)?;
    let mut lines: Vec<PlanLine> = formula
        .lines
        .iter()
        .map(|line| {
            let exact = line.percent.as_ref().map(|percent| &percent.hundredth() * &batch);
            let (scale, overloaded) = scale_for(&scales, exact.as_ref());
            PlanLine { exact, printed: None, step: scale.step.clone(), overloaded, held: None }
        })
        .collect();
    let filling = formula.lines.iter().position(|line| line.amount == LineAmount::QuantumSatis);
    match (scales.len(), filling) {
        (1, Some(filling)) => fill_up(&mut lines, filling, &batch),
        (1, None) => largest_remainder(&mut lines, &batch, &finest),
        _ => each_on_its_own(&mut lines),
    }
    for (line, written) in lines.iter_mut().zip(&formula.lines) {
        hold_back(line, written.hold_back.as_ref().and_then(|held| held.percent.as_ref()), &batch);
    }
    let total = lines.iter().filter_map(|line| line.printed.as_ref()).sum();
    Some(Plan { batch, total, finest, lines })
}

/// The finest scale that carries a weight, or the one that carries most where none does.
fn scale_for<'s>(scales: &'s [Scale], weight: Option<&Exact>) -> (&'s Scale, bool) {
    static FALLBACK: Scale = Scale { step: Exact::ONE, max: None };
    let carries = |scale: &&Scale| match (&scale.max, weight) {
        (Some(max), Some(weight)) => max >= weight,
        _ => true,
    };
    if let Some(scale) = scales.iter().filter(carries).min_by(|a, b| a.step.cmp(&b.step)) {
        return (scale, false);
    }
    (scales.iter().max_by(|a, b| a.max.cmp(&b.max)).unwrap_or(&FALLBACK), true)
}

/// Each line half to even, and the `q.s.` line what is left.
fn fill_up(lines: &mut [PlanLine], filling: usize, batch: &Exact) {
    let mut others = Exact::ZERO;
    for (at, line) in lines.iter_mut().enumerate() {
        if at != filling {
            line.printed = line.exact.as_ref().map(|exact| exact.to_step(&line.step));
            others = line.printed.as_ref().map_or(others.clone(), |printed| &others + printed);
        }
    }
    if let Some(line) = lines.get_mut(filling) {
        line.printed = Some(batch - &others);
    }
}

/// Every line cut down to whole steps, and the steps still missing one each to the largest cut-off parts.
fn largest_remainder(lines: &mut [PlanLine], batch: &Exact, step: &Exact) {
    let mut cut: Vec<(Exact, usize)> = Vec::new();
    let mut total = Exact::ZERO;
    for (at, line) in lines.iter_mut().enumerate() {
        let Some(exact) = &line.exact else { continue };
        let down = exact.down_to_step(step);
        cut.push((exact - &down, at));
        total = &total + &down;
        line.printed = Some(down);
    }
    cut.sort_by(|(a, a_at), (b, b_at)| b.cmp(a).then(a_at.cmp(b_at)));
    let missing = (batch - &total).over(step).and_then(|steps| steps.to_u32()).unwrap_or(0);
    for (_, at) in cut.into_iter().take(missing as usize) {
        if let Some(line) = lines.get_mut(at) {
            line.printed = line.printed.as_ref().map(|printed| printed + step);
        }
    }
}

/// With several scales each line prints to its own scale's step.
fn each_on_its_own(lines: &mut [PlanLine]) {
    for line in lines {
        line.printed = line.exact.as_ref().map(|exact| exact.to_step(&line.step));
    }
}

fn hold_back(line: &mut PlanLine, percent: Option<&Exact>, batch: &Exact) {
    if let (Some(percent), Some(printed)) = (percent, &line.printed) {
        // Rounding never holds back more than there is.
        let held = (&percent.hundredth() * batch).to_step(&line.step).min(printed.clone());
        line.held = Some(Box::new(HeldWeight { first_weighing: printed - &held, held_back: held }));
    }
}
