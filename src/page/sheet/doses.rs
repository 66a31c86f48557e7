//! What to add next, by what was read: a table for a page that cannot ask. Each figure in it is what the bench says of
//! such a batch; the page looks up, and has no model of its own.
//!
//! The bench draws what may be so anew for each reading, and a few explanations stand for all: whether a rare one is
//! among them, as that the base is twice as strong, changes how much is safe by a fifth from one reading to the next.
//! No curve through a few rows follows that. So before anything was added, the table has a row for each hundredth that
//! a meter shows, wherever something is to be added.
//!
//! Once something went in, the bench goes by what was read before it too: a reading that rose far tells of a strong
//! base, and less of it is safe. So a later row is for what was read first, what went in and what is read now. A page
//! takes the smallest figure of all the rows that its own three lie between, and [`Doses::kept`] of it, or says nothing where
//! one of them says nothing: what is added cannot be taken out. `tests/program/pages.rs` holds that against the bench.

use crate::batch::{AtPh, Do, Setting, View, adjuster_of, adjuster_per_gram, contents};
use crate::chemistry::{Activity, equilibrium};
use crate::diagnostic::{Place, Span};
use crate::model::{Batch, Event, Formula, Happened, Named, Reading};
use crate::quantity::{Exact, Range};
use crate::resolve::Resolver;
use crate::sheet::Plan;
use crate::sheet::ph::Outlook;
use rayon::prelude::*;
use serde::Serialize;

/// The table: by what was added in all, nothing first.
#[derive(Clone, Debug, Serialize)]
pub struct Doses {
    /// Whether the adjuster takes the pH up.
    pub up: bool,
    /// The share of the smallest figure that is taken between rows, by how often it was read; the last for more readings.
    pub kept: [f64; 3],
    /// What follows once so much was added.
    pub added: Vec<AfterAdded>,
    /// What leads back from past the window once so much was added.
    pub past: Vec<AfterAdded>,
}

/// What follows once so much was added.
#[derive(Clone, Debug, Serialize)]
pub struct AfterAdded {
    /// In all, in grams.
    pub grams: f64,
    /// What was read before anything was added; none where nothing was yet.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub first: Option<f64>,
    /// By the reading then.
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
const LATER: f64 = 0.65;
/// How far the first and a later reading may differ in how far they lie from that.
const FITS: f64 = 0.4;
/// The steps of the readings before anything was added, where nothing is to be,
const STEP: f64 = 0.1;
/// and where something is: the first by which there are no more than so many.
const FINE: [f64; 3] = [0.01, 0.02, 0.05];
const MOST_FINE: f64 = 150.0;
/// What a meter shows.
const HUNDREDTH: f64 = 0.01;
/// How many first readings there are, for what comes after them, and how far they may lie from what is foreseen: as a
/// share of how far the table holds one, and at the least.
const FIRSTS: u32 = 8;
const FIRST_SHARE: f64 = 0.6;
const FIRST_LEAST: f64 = 0.4;
/// The steps of a later reading that is this near to the window, and farther off.
const NEAR: f64 = 0.3;
const LATER_STEPS: (f64, f64) = (0.05, 0.1);
/// What was added in all, as shares of what leads to the middle.
const SHARES: [f64; 8] = [0.2, 0.4, 0.55, 0.7, 0.85, 1.0, 1.15, 1.35];
/// How far past the window a reading may be for the table to say what leads back, and how far from what is foreseen.
const PAST: [f64; 6] = [0.05, 0.1, 0.2, 0.3, 0.5, 0.8];
const PAST_FORESEEN: f64 = 1.0;
/// See [`Doses::kept`]: the rare explanations make more of one reading than of its neighbours, and what was read between
/// the first and the last of three is not in the table.
const KEPT: [f64; 3] = [0.85, 0.85, 0.75];
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
        let bench = &bench;
        let first = bench.first(may_be_off)?;
        let middle = bench.to_middle(outlook, formula, plan, &first.read)?;
        let firsts = firsts(&first.read, bench.foreseen(0.0)?, (may_be_off * FIRST_SHARE).max(FIRST_LEAST));
        let weights = SHARES.map(|share| bench.to_step(middle * share));
        let mut weights: Vec<f64> = weights.into_iter().filter(|grams| *grams > 0.0).collect();
        weights.dedup();
        let later: Vec<(Vec<AfterAdded>, Option<AfterAdded>)> =
            weights.par_iter().filter_map(|grams| bench.later(*grams, &firsts)).collect();
        let (later, past): (Vec<_>, Vec<_>) = later.into_iter().unzip();
        let added = std::iter::once(first).chain(later.into_iter().flatten()).collect();
        let past = bench.past(0.0, &bench.start).into_iter().chain(past.into_iter().flatten()).collect();
        Some(Doses { up: bench.way > 0.0, kept: KEPT, added, past })
    }
}

/// The first readings that the later rows are for: those near to what is foreseen that ask for an addition, evenly.
fn firsts(read: &[Dose], foreseen: f64, far: f64) -> Vec<f64> {
    let asks = read.iter().filter(|dose| dose.says == "add" && (dose.ph - foreseen).abs() <= far);
    let (low, high) = asks.fold((f64::MAX, f64::MIN), |(low, high), dose| (dose.ph.min(low), dose.ph.max(high)));
    if low > high {
        return Vec::new();
    }
    let mut all: Vec<f64> =
        (0..=FIRSTS).map(|number| to_2(low + (high - low) * f64::from(number) / f64::from(FIRSTS))).collect();
    all.dedup();
    all
}

/// A batch that is at the pH, and what the bench says of it.
struct Bench<'r, 's> {
    resolver: &'r Resolver<'s>,
    /// The batch, and the same as if it was read: what the others begin from.
    batch: Batch,
    start: AtPh<'r, 's>,
    setting: Setting<'s>,
    place: Place,
    adjuster: smol_str::SmolStr,
    step: f64,
    window: Range<f64>,
    /// Which way the adjuster moves the pH: up, 1, or down, -1.
    way: f64,
}

impl<'r, 's> Bench<'r, 's> {
    /// A batch of which everything before the pH went in as planned, in the order in which the bench asks for it.
    fn of(resolver: &'r Resolver<'s>, formula: &Formula, plan: &Plan, place: Place) -> Option<Bench<'r, 's>> {
        let window = formula.window.as_ref()?.to_f64();
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
                    let start = AtPh::of(resolver, read(batch.clone(), Exact::ONE, place))?;
                    let way = start.way()?.signum();
                    return Some(Bench { resolver, batch, start, setting, place, adjuster, step, window, way });
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

    /// Whether a reading is short of the window, as the adjuster comes to it.
    fn is_short(&self, ph: f64) -> bool {
        let (near, _) = self.window.edges_towards(self.way);
        near.is_some_and(|near| (near - ph) * self.way > HUNDREDTH / 2.0)
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

    /// What the bench says before anything was added, of readings near to what is foreseen: each hundredth of a pH
    /// between two readings of which one at least asks for an addition.
    fn first(&self, far: f64) -> Option<AfterAdded> {
        let foreseen = self.foreseen(0.0)?;
        let coarse = self.doses(0.0, self.with_edges(readings(foreseen, far, STEP), foreseen, far), &self.start)?;
        let asks = |dose: &Dose| dose.says == "add";
        let pairs = coarse.iter().zip(coarse.iter().skip(1)).filter(|(one, other)| asks(one) || asks(other));
        let far: f64 = pairs.clone().map(|(one, other)| other.ph - one.ph).sum();
        let fine = FINE.into_iter().find(|step| far / step <= MOST_FINE).unwrap_or(STEP);
        let between = pairs.flat_map(|(one, other)| {
            let steps = ((other.ph - one.ph) / fine).round().clamp(1.0, 100.0) as u32;
            (1..steps).map(move |step| to_2(one.ph + fine * f64::from(step)))
        });
        let mut read = self.doses(0.0, between.collect(), &self.start).unwrap_or_default();
        read.extend(coarse);
        read.sort_by(|one, other| one.ph.total_cmp(&other.ph));
        Some(AfterAdded { grams: 0.0, first: None, read })
    }

    /// Readings, with those beside the edges of the window: on either side of one something else is said.
    fn with_edges(&self, mut readings: Vec<f64>, foreseen: f64, far: f64) -> Vec<f64> {
        let edges = [self.window.low, self.window.high].into_iter().flatten();
        let beside = edges.flat_map(|edge| [edge - HUNDREDTH, edge, edge + HUNDREDTH]).map(to_2);
        readings.extend(beside.filter(|edge| (edge - foreseen).abs() <= far));
        readings
    }
}

impl<'r, 's> Bench<'r, 's> {
    /// What the bench says once so much was added: of readings that are short of the window, for each first reading; and
    /// of those past it.
    fn later(&self, grams: f64, firsts: &[f64]) -> Option<(Vec<AfterAdded>, Option<AfterAdded>)> {
        let (before, foreseen) = (self.foreseen(0.0)?, self.foreseen(grams)?);
        let readings = self.short(foreseen);
        let at_ph = self.start.beside(self.read(firsts.first().copied(), grams, foreseen)?)?;
        let row = |first: &f64| {
            // A meter that is off, and a batch that is not what it should be, show in both readings alike.
            let fits = |ph: &&f64| ((**ph - foreseen) - (first - before)).abs() <= FITS;
            let dose = |ph: &f64| {
                let (grams, _) = at_ph.addition(&[exact(*first)?, exact(*ph)?])?;
                Some(Dose { ph: *ph, says: "add", grams: Some(to_7(grams.to_f64())), then: None, words: None })
            };
            AfterAdded { grams, first: Some(*first), read: readings.iter().filter(fits).filter_map(dose).collect() }
        };
        let rows = firsts.iter().map(row).filter(|row| !row.read.is_empty()).collect();
        Some((rows, self.past(grams, &at_ph)))
    }

    /// Readings on the near side of the window, closer to one another where it is near.
    fn short(&self, foreseen: f64) -> Vec<f64> {
        let way = self.way;
        let (Some(edge), _) = self.window.edges_towards(way) else { return Vec::new() };
        let (near, far) = LATER_STEPS;
        let close = (1..=(NEAR / near).round() as u32).map(|step| near * f64::from(step));
        let off = (1..=20).map(|step| NEAR + far * f64::from(step));
        let all = std::iter::once(HUNDREDTH).chain(close).chain(off).map(|short| to_2(edge - way * short));
        let mut all: Vec<f64> = all.filter(|ph| (ph - foreseen).abs() <= LATER).collect();
        all.sort_by(f64::total_cmp);
        all
    }

    /// What the bench says of readings past the window, once so much was added.
    fn past(&self, grams: f64, from: &AtPh<'_, '_>) -> Option<AfterAdded> {
        let foreseen = self.foreseen(grams)?;
        let way = self.way;
        let (_, Some(edge)) = self.window.edges_towards(way) else { return None };
        let readings =
            PAST.map(|past| to_2(edge + way * past)).into_iter().filter(|ph| (ph - foreseen).abs() <= PAST_FORESEEN);
        let read = self.doses(grams, readings.collect(), from)?;
        Some(AfterAdded { grams, first: None, read: read.into_iter().filter(|dose| dose.says == "back").collect() })
    }

    /// What the bench says of some readings once so much is in, from the lowest to the highest.
    fn doses(&self, grams: f64, mut readings: Vec<f64>, from: &AtPh<'_, '_>) -> Option<Vec<Dose>> {
        readings.sort_by(f64::total_cmp);
        readings.dedup();
        let at_ph = from.beside(self.read(None, grams, *readings.first()?)?)?;
        Some(readings.par_iter().filter_map(|ph| self.at(*ph, &at_ph)).collect())
    }

    /// The batch once it was read, so much is in, and it was read again.
    fn read(&self, first: Option<f64>, grams: f64, ph: f64) -> Option<Batch> {
        let mut batch = self.batch.clone();
        if let Some(first) = first {
            batch = read(batch, exact(first)?, self.place);
        }
        if grams > 0.0 {
            let what = Happened::Added(named(&self.adjuster, self.place), exact(grams)?, None);
            batch.events.push(event(what, self.place));
        }
        Some(read(batch, exact(ph)?, self.place))
    }

    fn at(&self, ph: f64, at_ph: &AtPh<'_, '_>) -> Option<Dose> {
        if self.is_short(ph)
            && let Some((grams, of)) = at_ph.addition(&[exact(ph)?])
        {
            let then = Some([of.reading, of.low, of.high].map(to_2));
            return Some(Dose { ph: to_2(ph), says: "add", grams: Some(to_7(grams.to_f64())), then, words: None });
        }
        let (next, advice) = at_ph.next(&[exact(ph)?]);
        let is_adjuster = next.material.as_ref() == Some(&self.adjuster);
        let dose = |says, grams, then, words| Some(Dose { ph: to_2(ph), says, grams, then, words });
        match (next.what, next.grams.as_ref().map(Exact::to_f64)) {
            (Do::Add, Some(grams)) if is_adjuster => {
                let then = advice.next.map(|of| [to_2(of.reading), to_2(of.low), to_2(of.high)]);
                dose("add", Some(to_7(grams)), then, then.is_none().then_some(next.why))
            }
            (Do::Add, Some(grams)) => {
                let material = next.material.as_deref().unwrap_or_default();
                dose("back", Some(to_7(grams)), None, Some(format!("{} g of `{material}`: {}", short(grams), next.why)))
            }
            (Do::Read | Do::CheckMeter | Do::Stop, _) => dose("other", None, None, Some(next.why)),
            // Whatever comes after the pH: it is where it is to be.
            _ => dose("inside", Some(0.0), None, None),
        }
    }
}

fn read(mut batch: Batch, ph: Exact, place: Place) -> Batch {
    let reading = Reading { low: ph.clone(), high: ph, by_strip: false, diluted: false };
    batch.events.push(event(Happened::Read(reading), place));
    batch
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
