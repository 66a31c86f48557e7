//! The way back from past the far edge: some acid or base that leads there, out of what is held back.

use super::contents::{adjuster_per_gram, contents, in_water_of};
use super::ledger::{Ledger, Reserve};
use super::made::{Finished, finished};
use super::setting::Setting;
use crate::chemistry::{Activity, Blend, Equilibrium, Mixture, equilibrium};
use crate::model::{Batch, DeclId, Line, LineAmount};
use crate::quantity::Exact;
use crate::resolve::{NameSet, Resolver};
use smol_str::SmolStr;

const MODEL: Activity = Activity::Davies;

/// What leads back into the window, and how much of it.
#[derive(Clone, Debug)]
pub struct WayBack {
    /// The material.
    pub material: SmolStr,
    /// Whether it is a line of the formula's own.
    pub is_line: bool,
    /// Whether it is one that is weighed to the pH.
    pub is_adjuster: bool,
    /// How much, in grams, to the step of its scale.
    pub grams: Exact,
    /// The reading that it is to lead to: the middle of the window, or the edge that was gone past where there is none.
    pub aim: f64,
    /// What is left of the reserve that it comes out of.
    pub left: Exact,
    /// Whether it is more than that.
    pub over_reserve: bool,
    /// The actives, and what this material brings, in the finished batch.
    pub after: Vec<Finished>,
}

/// Why a material that was named leads nowhere.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum NoWay {
    /// Neither the file nor the shelf has it.
    Unknown(SmolStr),
    /// It moves the pH further out, or not at all.
    LeadsAway(SmolStr),
    /// Not within a tenth of the batch.
    TooWeak(SmolStr),
    /// Weights and chemistry say nothing of this batch.
    Unforeseen,
}

impl NoWay {
    /// Why, for the bench.
    #[must_use]
    pub fn words(&self) -> String {
        match self {
            NoWay::Unknown(name) => {
                format!("Neither this file nor the shelf knows `{name}`, so nothing leads back by it.")
            }
            NoWay::LeadsAway(name) => {
                format!("`{name}` does not lead back: it takes the pH further out, or leaves it.")
            }
            NoWay::TooWeak(name) => format!("`{name}` does not lead back, not with a tenth of the batch of it."),
            NoWay::Unforeseen => {
                "What leads back cannot be foreseen: too little of this batch has acid-base data.".into()
            }
        }
    }
}

/// The dose that brings the last reading back to the middle of the window, or to the edge that it went past where there
/// is no middle: of `with`, or else of the formula's other line that is weighed to the pH, or else of the line of its own
/// of which least does it. What weights and chemistry
/// say of the pH now is set right by the reading, so that only the way from there is foreseen.
///
/// # Errors
/// Why nothing leads back.
pub fn way_back(
    resolver: &Resolver<'_>,
    setting: &Setting<'_>,
    batch: &Batch,
    ledger: &Ledger,
    reading: f64,
    with: Option<&str>,
) -> Result<WayBack, NoWay> {
    let bench = Bench::of(resolver, setting, batch, reading).ok_or(NoWay::Unforeseen)?;
    let names = setting.resolver(resolver);
    let step = |name: &str| ledger.step_of(name);
    let (name, id, grams) = match with {
        Some(name) => {
            let unknown = || NoWay::Unknown(SmolStr::new(name));
            let id = names.scopes.find_or_on_shelf(batch.id.file, NameSet::Weighable, name).ok_or_else(unknown)?;
            let dose = bench.dose(names, id, name, ledger)?.to_step(step(name));
            (SmolStr::new(name), id, dose)
        }
        None => {
            let dose = |line: &Line| {
                let id = names.scopes.find(batch.id.file, NameSet::Weighable, &line.name)?;
                let grams = bench.dose(names, id, &line.name, ledger).ok()?.to_step(step(&line.name));
                grams.is_positive().then(|| (line.name.clone(), id, grams))
            };
            let lines = setting.formula.lines.iter().filter(|line| line.amount != LineAmount::AtBench);
            // What the formula has for it goes first; else what takes least disturbs the batch least.
            let own = setting.formula.adjusters().find_map(dose);
            own.or_else(|| lines.filter_map(dose).min_by(|one, other| one.2.cmp(&other.2))).ok_or(NoWay::Unforeseen)?
        }
    };
    if !grams.is_positive() {
        return Err(NoWay::LeadsAway(name));
    }
    let dose = Some((name.as_str(), id, &grams));
    let left = ledger.reserve_of(&name).map_or(Exact::ZERO, Reserve::left);
    Ok(WayBack {
        is_line: setting.formula.lines.iter().any(|line| line.name == name),
        is_adjuster: setting.formula.adjusters().any(|line| line.name == name),
        aim: bench.aim,
        over_reserve: grams > left,
        left,
        after: finished(names, &setting.formula, batch, ledger, dose, &[&name], Some(bench.aim)),
        grams,
        material: name,
    })
}

/// The beaker, where it reads, and where it is to read.
struct Bench {
    start: Mixture,
    found: Equilibrium,
    aim: f64,
    reading: f64,
}

impl Bench {
    fn of(resolver: &Resolver<'_>, setting: &Setting<'_>, batch: &Batch, reading: f64) -> Option<Bench> {
        let window = setting.formula.window.as_ref()?;
        let edges = (window.low.as_ref().map(Exact::to_f64), window.high.as_ref().map(Exact::to_f64));
        let aim = match edges {
            (Some(low), Some(high)) => f64::midpoint(low, high),
            (Some(edge), None) | (None, Some(edge)) => edge,
            (None, None) => return None,
        };
        let now = contents(resolver, setting, batch, batch.events.len());
        let start = now.without_adjuster.plus(&adjuster_per_gram(resolver, setting, batch)?, now.adjuster_grams);
        let found = equilibrium(&start, MODEL)?;
        Some(Bench { start, found, aim, reading })
    }

    /// How much of something leads to the aim, in grams.
    fn dose(&self, names: &Resolver<'_>, id: DeclId, name: &str, ledger: &Ledger) -> Result<Exact, NoWay> {
        let leads_away = || NoWay::LeadsAway(SmolStr::new(name));
        let of = in_water_of(names, id).ok_or_else(leads_away)?;
        let blend =
            Blend { start: self.start.clone(), per_unit: of.mixture.clone(), most: ledger.batch.to_f64() / 10.0 };
        let by = self.aim - self.reading;
        if blend.leads(&self.found, MODEL) * by <= 0.0 {
            return Err(leads_away());
        }
        let dose = blend.dose(self.found.ph + by, MODEL).filter(|dose| *dose > 0.0);
        dose.map(|dose| Exact::ratio((dose * 1e6).round() as i64, 1_000_000))
            .ok_or_else(|| NoWay::TooWeak(SmolStr::new(name)))
    }
}
