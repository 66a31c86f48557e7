//! What is in the jar: raw materials with their shares, of a formula or of a batch as it was recorded.

use crate::batch::{Setting, Weights, is_version, with_facts};
use crate::model::{Batch, Formula, Line, LineMaterial, Material, materials_of};
use crate::quantity::{Exact, Interval};
use crate::resolve::Resolver;
use crate::sheet::ph::{MODEL, outlook};
use crate::syntax::nearest;
use smol_str::SmolStr;
use std::sync::Arc;

/// A raw material with its share.
#[derive(Clone, Debug)]
pub struct Portion {
    /// The material.
    pub material: Arc<Material>,
    /// Its share in percent of the whole.
    pub share: Exact,
}

/// What is held back until the bench: one mixture for each way in which it may be used up, and anything in between.
#[derive(Clone, Debug)]
pub struct Reserve {
    /// The mixtures. Each is as much as is held back.
    pub ends: Vec<Vec<Portion>>,
}

/// What is in a jar.
#[derive(Clone, Debug)]
pub struct Jar {
    /// The formula it is of: for its products, markets, and what its header says.
    pub formula: Arc<Formula>,
    /// What surely is in it.
    pub base: Vec<Portion>,
    /// What is decided at the bench; empty for a batch.
    pub reserves: Vec<Reserve>,
    /// The names of the adjusters that are not weighed yet.
    pub adjusters: Vec<SmolStr>,
    /// Of a batch, the lines of its plan of which nothing is in: where there are any, what is declared is not all that the
    /// jar is to hold.
    pub waiting: Vec<SmolStr>,
}

impl Jar {
    /// What a formula makes. Each adjuster is anything between none and all that is held back for it, in place of the
    /// material that is held back. None where what is in it is not known.
    #[must_use]
    pub fn of_formula(formula: &Arc<Formula>) -> Option<Jar> {
        if !formula.total_known {
            return None;
        }
        let mut jar = Jar {
            formula: Arc::clone(formula),
            base: Vec::new(),
            reserves: Vec::new(),
            adjusters: formula.adjusters().map(|line| line.name.clone()).collect(),
            waiting: Vec::new(),
        };
        let mut drawn: Vec<(usize, Vec<&Line>)> = Vec::new();
        for adjuster in formula.adjusters() {
            let reserve = formula.reserve_of(adjuster)?;
            match drawn.iter_mut().find(|(known, _)| *known == reserve) {
                Some((_, adjusters)) => adjusters.push(adjuster),
                None => drawn.push((reserve, vec![adjuster])),
            }
        }
        for (at, line) in formula.lines.iter().enumerate() {
            let Some(percent) = &line.percent else { continue };
            let Some((_, adjusters)) = drawn.iter().find(|(reserve, _)| *reserve == at) else {
                jar.base.extend(portions(line.material.as_ref()?, percent)?);
                continue;
            };
            let held = line.hold_back.as_ref()?.percent.clone()?.min(percent.clone());
            jar.base.extend(portions(line.material.as_ref()?, &(percent - &held))?);
            let ways = std::iter::once(line).chain(adjusters.iter().copied());
            let ends: Option<Vec<Vec<Portion>>> = ways.map(|way| portions(way.material.as_ref()?, &held)).collect();
            jar.reserves.push(Reserve { ends: ends? });
        }
        Some(jar)
    }

    /// The same with its one adjuster between the least and the most that is foreseen of it, where that is narrower than
    /// all that is held back. None where nothing narrower is foreseen.
    #[must_use]
    pub fn foreseen(resolver: &Resolver<'_>, formula: &Arc<Formula>) -> Option<Jar> {
        let mut adjusters = formula.adjusters();
        let adjuster = adjusters.next()?;
        if adjusters.next().is_some() {
            return None;
        }
        let line = formula.lines.get(formula.reserve_of(adjuster)?)?;
        let held = line.hold_back.as_ref()?.percent.clone()?;
        let seen = outlook(resolver, formula, MODEL)?;
        let [near, _, far] = &seen.adjusters.first()?.ranges;
        let least = near.as_ref().and_then(|dose| in_steps(dose.low?, f64::floor)).unwrap_or(Exact::ZERO);
        let most = far.as_ref().and_then(|dose| in_steps(dose.high?, f64::ceil)).unwrap_or_else(|| held.clone());
        let most = most.min(held.clone());
        if least > most || least.is_zero() && most == held {
            return None;
        }
        let mut jar = Jar::of_formula(formula)?;
        let end = |adjusting: &Exact| -> Option<Vec<Portion>> {
            let mut end = portions(line.material.as_ref()?, &(&held - adjusting))?;
            end.extend(portions(adjuster.material.as_ref()?, adjusting)?);
            Some(end)
        };
        jar.reserves = vec![Reserve { ends: vec![end(&least)?, end(&most)?] }];
        Some(jar)
    }

    /// What a batch holds, by its record: each lot as it was measured, adjuster and corrections with it, and what was
    /// taken out taken from all alike. None where nothing is in it, or something of it is not known. Gives back the names
    /// as the batch has them beside it, where it has its own.
    #[must_use]
    pub fn of_batch<'s>(resolver: &Resolver<'s>, batch: &Batch) -> Option<(Jar, Setting<'s>)> {
        let setting = Setting::of(resolver, batch)?;
        let weights = Weights::of(batch);
        let whole = weights.total();
        let mut base = Vec::new();
        for (name, grams) in weights.parts.iter().filter(|(_, grams)| grams.is_positive()) {
            let percent = (grams * &Exact::HUNDRED).over(&whole)?;
            let known = setting.resolver(resolver).weighs_out(batch.id.file, name);
            let lines = || setting.formula.lines.iter();
            let meant = || {
                let near = nearest(name, lines().map(|line| line.name.as_str())).first().copied()?;
                lines().find(|line| line.name == near)?.material.clone()
            };
            for portion in portions(&known.or_else(meant)?, &percent)? {
                let material = with_facts(resolver, batch, &portion.material);
                base.push(Portion { material, ..portion });
            }
        }
        if base.is_empty() {
            return None;
        }
        let is_line = |name: &str| setting.formula.lines.iter().any(|line| line.name == name);
        // A name that no line has may be one mistyped.
        let means = |name: &str, line: &Line| {
            name == line.name || !is_line(name) && !nearest(name, [line.name.as_str()].into_iter()).is_empty()
        };
        let is_in = |line: &Line| weights.parts.iter().any(|(name, _)| means(name, line));
        let planned = setting.formula.lines.iter().filter(|line| line.percent.as_ref().is_some_and(Exact::is_positive));
        let waiting = planned.filter(|line| !is_in(line));
        let jar = Jar {
            formula: Arc::new(as_declared(resolver, batch, &setting.formula)),
            base,
            reserves: Vec::new(),
            adjusters: Vec::new(),
            waiting: waiting.map(|line| line.name.clone()).collect(),
        };
        Some((jar, setting))
    }

    /// Every mixture that is told of: what surely is in, and each way of using up what is held back.
    pub fn mixtures(&self) -> impl Iterator<Item = &[Portion]> {
        let ends = self.reserves.iter().flat_map(|reserve| &reserve.ends);
        std::iter::once(&self.base).chain(ends).map(Vec::as_slice)
    }

    /// Something of each mixture.
    pub(super) fn each<T>(&self, of: impl Fn(&[Portion]) -> T) -> Spread<T> {
        let reserves = self.reserves.iter().map(|reserve| reserve.ends.iter().map(|end| of(end)).collect()).collect();
        Spread { base: of(&self.base), reserves }
    }

    /// How much of something there is, from what each mixture has of it.
    pub(super) fn spread(&self, of: impl Fn(&[Portion]) -> Interval) -> Interval {
        self.each(of).total(Interval::clone)
    }
}

/// Something of each mixture in a jar.
pub(super) struct Spread<T> {
    /// Of what surely is in it.
    pub base: T,
    /// Of each way of using up what is held back.
    reserves: Vec<Vec<T>>,
}

impl<T> Spread<T> {
    /// That of every mixture.
    pub fn all(&self) -> impl Iterator<Item = &T> {
        std::iter::once(&self.base).chain(self.reserves.iter().flatten())
    }

    /// How much there is in all: what is held back is used up in any of its ways, or in anything between them.
    pub fn total(&self, of: impl Fn(&T) -> Interval) -> Interval {
        self.reserves.iter().fold(of(&self.base), |sum, ends| {
            let ends: Vec<Interval> = ends.iter().map(&of).collect();
            let low = ends.iter().map(|end| &end.low).min().cloned().unwrap_or(Exact::ZERO);
            let high = ends.iter().map(|end| &end.high).max().cloned().unwrap_or(Exact::ZERO);
            &sum + &Interval::new(low, high)
        })
    }
}

/// The raw materials of `percent` of something, through premixes. None where a premix is not known.
fn portions(of: &LineMaterial, percent: &Exact) -> Option<Vec<Portion>> {
    match of {
        LineMaterial::Material(material) => {
            let known = !material.faulty;
            known.then(|| vec![Portion { material: Arc::clone(material), share: percent.clone() }])
        }
        LineMaterial::Premix(premix) => {
            let share = percent.hundredth();
            let inner = materials_of(premix).into_iter();
            inner.map(|(material, within)| Some(Portion { material, share: &within? * &share })).collect()
        }
    }
}

/// The formula of a batch with what its plan does not keep: where it is sold, and what its header says of the label.
fn as_declared(resolver: &Resolver<'_>, batch: &Batch, formula: &Arc<Formula>) -> Formula {
    let mut made = Formula::clone(formula);
    let declared = resolver.formula_of_batch(batch).map(|declared| Arc::clone(&declared.formula));
    let Some(declared) = declared.filter(|declared| is_version(batch, declared)) else { return made };
    if made.products.is_empty() {
        made.products.clone_from(&declared.products);
    }
    if made.markets.is_empty() {
        made.markets.clone_from(&declared.markets);
    }
    made.label.clone_from(&declared.label);
    made.texts.clone_from(&declared.texts);
    made.selling.clone_from(&declared.selling);
    made.steps.clone_from(&declared.steps);
    made.allows.clone_from(&declared.allows);
    made.own_span = declared.own_span;
    made.place = declared.place;
    made
}

/// A dose that is foreseen, in whole thousandths of a percent: a forecast knows no more.
fn in_steps(dose: f64, to_whole: fn(f64) -> f64) -> Option<Exact> {
    let steps = to_whole(dose * 1000.0);
    (steps.is_finite() && steps.abs() < 1e9).then(|| Exact::ratio(steps as i64, 1000).max(Exact::ZERO))
}
