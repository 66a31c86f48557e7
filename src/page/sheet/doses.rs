//! What to add next, by what was read: a table for a page that cannot ask. Each figure in it is what the bench says of
//! such a batch; the page looks up, takes the smaller of two that it lies between, and has no model of its own.
//!
//! The bench draws what may be so anew for each reading, and a few explanations stand for all: whether a rare one is
//! among them, as that the base is twice as strong, changes how much is safe by a fifth from one reading to the next.
//! No curve through a few rows follows that. So before anything was added, the table has a row for each hundredth that
//! a meter shows, wherever something is to be added.

use crate::batch::advise::Course;
use crate::batch::{Do, Setting, View, adjuster_of, adjuster_per_gram, contents, course};
use crate::chemistry::{Activity, equilibrium};
use crate::diagnostic::{Place, Span};
use crate::model::{Batch, Event, Formula, Happened, Named, Reading};
use crate::quantity::Exact;
use crate::resolve::Resolver;
use crate::sheet::Plan;
use crate::sheet::ph::Outlook;
use rayon::prelude::*;
use serde::Serialize;

/// The table: by what was added in all, nothing first.
#[derive(Clone, Debug, Serialize)]
pub struct Doses {
    /// What follows once so much was added.
    pub added: Vec<AfterAdded>,
}

/// What follows once so much was added.
#[derive(Clone, Debug, Serialize)]
pub struct AfterAdded {
    /// In all, in grams.
    pub grams: f64,
    /// By the reading then, which is taken alone: what was read before it narrows what the bench says, and a table of
    /// all that can be read has no end.
    pub read: Vec<Dose>,
}

/// What the bench says of a reading.
#[derive(Clone, Debug, Serialize)]
pub struct Dose {
    /// The reading.
    pub ph: f64,
    /// `add`, `inside`, `back`, or `other` for what only words say.
    pub says: &'static str,
    /// What to add, in grams.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub grams: Option<f64>,
    /// The reading expected then, and the range in which it is as good as sure to lie.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub then: Option<[f64; 3]>,
    /// In words, where it is no addition.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub words: Option<String>,
}

/// How far the first reading may lie from the forecast at the least and at the most, for the table to hold it.
const FIRST: (f64, f64) = (0.75, 1.75);
/// How far a later reading may lie from what is foreseen of it.
const LATER: f64 = 0.75;
/// The steps of the readings: what the bench knows of the earlier ones makes it bolder than a table of one reading, so
/// that the smaller of two is enough once something went in.
const STEP: f64 = 0.1;
/// And before anything was added, where something is to be.
const FINE: f64 = 0.01;
/// What was added in all, as shares of what leads to the middle.
const SHARES: [f64; 4] = [0.4, 0.7, 0.95, 1.2];
/// More acts than any formula has: a way that does not end is no way.
const ACTS: usize = 600;

impl Doses {
    /// The table of a formula; none where nothing is weighed to a pH, or nobody knows what its adjuster does.
    #[must_use]
    pub fn of(
        resolver: &Resolver<'_>,
        formula: &Formula,
        plan: &Plan,
        outlook: Option<&Outlook>,
        place: Place,
    ) -> Option<Doses> {
        formula.window.as_ref()?;
        let bench = Bench::of(resolver, formula, plan, place)?;
        let may_be_off = outlook.map_or(FIRST.1, |of| of.before_uncertainty * 1.5).clamp(FIRST.0, FIRST.1);
        let first = bench.row(0.0, may_be_off)?;
        let first = bench.finer(first);
        let middle = bench.to_middle(outlook, formula, plan, &first.read)?;
        let later = SHARES.par_iter().map(|share| bench.row(bench.to_step(middle * share), LATER));
        let later: Vec<Option<AfterAdded>> = later.collect();
        let later = later.into_iter().flatten().filter(|row| row.grams > 0.0 && !row.read.is_empty());
        Some(Doses { added: std::iter::once(first).chain(later).collect() })
    }
}

/// A batch that is at the pH, and what the bench says of it.
struct Bench<'r, 's> {
    resolver: &'r Resolver<'s>,
    batch: Batch,
    setting: Setting<'s>,
    place: Place,
    adjuster: smol_str::SmolStr,
    step: f64,
}

impl<'r, 's> Bench<'r, 's> {
    /// A batch of which everything before the pH went in as planned, in the order in which the bench asks for it.
    fn of(resolver: &'r Resolver<'s>, formula: &Formula, plan: &Plan, place: Place) -> Option<Bench<'r, 's>> {
        let mut batch = empty(formula, plan, place);
        for _ in 0..ACTS {
            let next = View::of(resolver, &batch)?.next;
            let what = match next.what {
                Do::Weigh => Happened::Weighed(named(&next.material?, place), next.grams?),
                Do::Heat => Happened::Heated(next.celsius?),
                Do::Cool => Happened::Cooled(next.celsius?),
                Do::Wait => Happened::Waited(next.seconds.unwrap_or(Exact::ONE)),
                Do::Read => {
                    let setting = Setting::of(resolver, &batch)?;
                    let adjuster = adjuster_of(&setting)?;
                    let step = plan.finest.to_f64();
                    return Some(Bench { resolver, batch, setting, place, adjuster, step });
                }
                _ => return None,
            };
            batch.events.push(event(what, place));
        }
        None
    }

    /// The reading that is foreseen once so much was added; none where nobody knows what the adjuster does.
    fn foreseen(&self, grams: f64) -> Option<f64> {
        let beaker = contents(self.resolver, &self.setting, &self.batch, self.batch.events.len());
        let adjuster = adjuster_per_gram(self.resolver, &self.setting, &self.batch)?;
        if !adjuster.is_active() {
            return None;
        }
        Some(equilibrium(&beaker.without_adjuster.plus(&adjuster, grams), Activity::Davies)?.ph)
    }

    /// What leads to the middle of the window, in grams: as foreseen, else by what the bench adds first of all.
    fn to_middle(&self, outlook: Option<&Outlook>, formula: &Formula, plan: &Plan, first: &[Dose]) -> Option<f64> {
        let of = outlook.into_iter().flat_map(|outlook| &outlook.adjusters);
        let own = |line: usize| formula.lines.get(line).is_some_and(|line| line.name == self.adjuster);
        let dose = of.filter(|of| own(of.line)).find_map(|of| of.doses.middle.or(of.doses.near).or(of.doses.far));
        let foreseen = dose.map(|dose| dose * plan.batch.to_f64() / 100.0).filter(|grams| *grams > self.step);
        let most = || first.iter().filter_map(|dose| dose.grams).fold(0.0, f64::max);
        foreseen.or_else(|| Some(most()).filter(|grams| *grams > 0.0))
    }

    fn to_step(&self, grams: f64) -> f64 {
        to_7((grams / self.step).round() * self.step)
    }

    /// What the bench says of readings near to what is foreseen, once so much is in.
    fn row(&self, grams: f64, far: f64) -> Option<AfterAdded> {
        let foreseen = self.foreseen(grams)?;
        let mut readings = readings(foreseen, far, STEP);
        // Either side of an edge of the window something else is said: nothing lies between the two.
        let window = self.setting.formula.window.as_ref().map(|window| window.to_f64());
        let edges = window.iter().flat_map(|window| [window.low, window.high]).flatten();
        let beside = edges.flat_map(|edge| [edge - FINE, edge, edge + FINE]).map(to_2);
        readings.extend(beside.filter(|edge| (edge - foreseen).abs() <= far));
        Some(AfterAdded { grams, read: self.doses(grams, readings)? })
    }

    /// The same row with each hundredth of a pH between two readings of which one at least asks for an addition.
    fn finer(&self, row: AfterAdded) -> AfterAdded {
        let asks = |dose: &Dose| dose.says == "add";
        let pairs = row.read.iter().zip(row.read.iter().skip(1));
        let between = pairs.filter(|(one, other)| asks(one) || asks(other)).flat_map(|(one, other)| {
            let steps = ((other.ph - one.ph) / FINE).round().clamp(1.0, 100.0) as u32;
            (1..steps).map(move |step| to_2(one.ph + FINE * f64::from(step)))
        });
        let mut read = self.doses(row.grams, between.collect()).unwrap_or_default();
        read.extend(row.read);
        read.sort_by(|one, other| one.ph.total_cmp(&other.ph));
        AfterAdded { grams: row.grams, read }
    }

    /// What the bench says of some readings once so much is in, from the lowest to the highest.
    fn doses(&self, grams: f64, mut readings: Vec<f64>) -> Option<Vec<Dose>> {
        readings.sort_by(f64::total_cmp);
        readings.dedup();
        let course = course(self.resolver, &self.setting, &self.read(grams, *readings.first()?)?)?;
        Some(readings.par_iter().filter_map(|ph| self.at(grams, *ph, &course)).collect())
    }

    /// The batch once so much is in, and read.
    fn read(&self, grams: f64, ph: f64) -> Option<Batch> {
        let mut batch = self.batch.clone();
        if grams > 0.0 {
            let what = Happened::Added(named(&self.adjuster, self.place), exact(grams)?, None);
            batch.events.push(event(what, self.place));
        }
        let read = exact(ph)?;
        let reading = Reading { low: read.clone(), high: read, by_strip: false, diluted: false };
        batch.events.push(event(Happened::Read(reading), self.place));
        Some(batch)
    }

    fn at(&self, grams: f64, ph: f64, course: &Course) -> Option<Dose> {
        let view = View::by(self.resolver, &self.read(grams, ph)?, course)?;
        let is_adjuster = view.next.material.as_ref() == Some(&self.adjuster);
        let addition = view.advice.as_ref().and_then(|advice| advice.next);
        let words = || Some(view.next.why.clone());
        let dose = |says, grams, then, words| Some(Dose { ph: to_2(ph), says, grams, then, words });
        match (view.next.what, view.next.grams.as_ref().map(Exact::to_f64)) {
            (Do::Add, Some(grams)) if is_adjuster => {
                let then = addition.map(|of| [to_2(of.reading), to_2(of.low), to_2(of.high)]);
                dose("add", Some(to_7(grams)), then, addition.is_none().then(|| view.next.why.clone()))
            }
            (Do::Add, Some(grams)) => {
                let material = view.next.material.as_deref().unwrap_or_default();
                dose("back", None, None, Some(format!("{} g of `{material}`: {}", short(grams), view.next.why)))
            }
            (Do::Read | Do::CheckMeter | Do::Stop, _) => dose("other", None, None, words()),
            // Whatever comes after the pH: it is where it is to be.
            _ => dose("inside", Some(0.0), None, None),
        }
    }
}

fn readings(middle: f64, far: f64, step: f64) -> Vec<f64> {
    let first = ((middle - far) / step).floor();
    let last = ((middle + far) / step).ceil();
    let count = (last - first).clamp(1.0, 100.0) as u32;
    let all = (0..=count).map(|number| to_2((first + f64::from(number)) * step));
    all.filter(|ph| (0.0..=14.0).contains(ph)).collect()
}

fn empty(formula: &Formula, plan: &Plan, place: Place) -> Batch {
    Batch {
        id: formula.id,
        name: formula.name.clone(),
        place,
        formula: Some(named(&formula.name, place)),
        version: None,
        code: None,
        started: None,
        size: Some(plan.batch.clone()),
        lots: Vec::new(),
        events: Vec::new(),
        plan: None,
        struck: Vec::new(),
        unread: Vec::new(),
    }
}

fn named(name: &smol_str::SmolStr, place: Place) -> Named {
    Named { text: name.clone(), place }
}

fn event(what: Happened, place: Place) -> Event {
    Event { what, said: smol_str::SmolStr::default(), on: None, at: None, by: None, place }
}

/// Where the formula stands.
#[must_use]
pub fn place_of(formula: &Formula) -> Place {
    Place { file: formula.id.file, span: Span { start: 0, end: 0 } }
}

/// A figure that was rounded to seven decimals, as it is.
fn exact(figure: f64) -> Option<Exact> {
    Exact::parse(&format!("{figure:.4}"))
}

fn short(grams: f64) -> String {
    let text = format!("{grams:.4}");
    text.trim_end_matches('0').trim_end_matches('.').to_string()
}

fn to_2(figure: f64) -> f64 {
    (figure * 100.0).round() / 100.0
}

fn to_7(figure: f64) -> f64 {
    (figure * 1e7).round() / 1e7
}
