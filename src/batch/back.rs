//! The way back from past the far edge: some acid or base that leads there, out of what is held back.

use super::contents::{Contents, adjuster_per_gram, contents, in_water_of};
use super::ledger::{Ledger, Reserve};
use super::made::{Finished, finished};
use super::setting::Setting;
use crate::batch::advise::{Addition, Course, Lead, NotLed, Situation, near};
use crate::chemistry::{Activity, Blend, Equilibrium, Mixture, brought_to, equilibrium};
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
    /// How much now, in grams, to the step of its scale.
    pub grams: Exact,
    /// What all of the way takes, in grams: less than the first one time in 20, and more than the last one in 20.
    pub whole: (Exact, Exact),
    /// Whether it is only part of the way, as all of it might go past the other edge.
    pub is_part: bool,
    /// The reading that it is to lead to, with what that is as good as surely between.
    pub foreseen: Addition,
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
    /// A step of its scale may be too much already.
    TooFine(SmolStr),
    /// The readings cannot come from these weights, so that nobody knows what is in the beaker.
    InDoubt,
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
            NoWay::TooFine(name) => {
                format!("A step of the scale of `{name}` may be more than leads back: take a weaker solution of it.")
            }
            NoWay::InDoubt => {
                "What leads back cannot be foreseen while the readings cannot come from this formula and these weights."
                    .into()
            }
            NoWay::Unforeseen => {
                "What leads back cannot be foreseen: too little of this batch has acid-base data.".into()
            }
        }
    }
}

/// What is known of a batch that stands past its window.
pub(super) struct Past<'a, 's> {
    /// The names of the session.
    pub resolver: &'a Resolver<'s>,
    /// The formula and its plan.
    pub setting: &'a Setting<'s>,
    /// The record.
    pub batch: &'a Batch,
    /// The record beside the plan.
    pub ledger: &'a Ledger,
    /// What the advisor is told of it, and the chemistry of that; none where nothing is weighed to a pH.
    pub told: Option<(&'a Course, &'a Situation)>,
    /// Whether an explanation without a gross fault fits the readings.
    pub honest: bool,
    /// The last reading, less what the meter is known to show too much.
    pub reading: f64,
}

impl Past<'_, '_> {
    /// What brings the batch back to the middle of its window, or inside the edge that it went past where there is no
    /// middle: of `with`, or else of the formula's other line that is weighed to the pH, or else of the line of its own of
    /// which least does it.
    ///
    /// # Errors
    /// Why nothing leads back.
    pub fn way_back(&self, with: Option<&str>) -> Result<WayBack, NoWay> {
        let Past { resolver, setting, batch, ledger, .. } = *self;
        let beaker = Beaker::of(self).ok_or(NoWay::Unforeseen)?;
        let names = setting.resolver(resolver);
        let find = |name: &str| names.scopes.find(batch.id.file, NameSet::Weighable, name);
        match with {
            Some(name) => {
                let unknown = || NoWay::Unknown(SmolStr::new(name));
                let id = names.scopes.find_or_on_shelf(batch.id.file, NameSet::Weighable, name).ok_or_else(unknown)?;
                self.led_by(&beaker, name, id)
            }
            None => {
                let about = |line: &Line| {
                    let dose = beaker.about(names, find(&line.name)?, &line.name, ledger).ok()?;
                    Some((line.name.clone(), dose))
                };
                let lines = setting.formula.lines.iter().filter(|line| line.amount != LineAmount::AtBench);
                // What the formula has for it goes first; else what takes least disturbs the batch least.
                let own = setting.formula.adjusters().find_map(about);
                let least = || lines.filter_map(about).min_by(|one, other| one.1.total_cmp(&other.1));
                let (name, _) = own.or_else(least).ok_or(NoWay::Unforeseen)?;
                self.led_by(&beaker, &name, find(&name).ok_or(NoWay::Unforeseen)?)
            }
        }
    }

    /// How much of a material leads back.
    fn led_by(&self, beaker: &Beaker, name: &str, id: DeclId) -> Result<WayBack, NoWay> {
        let Past { resolver, setting, batch, ledger, .. } = *self;
        let names = setting.resolver(resolver);
        let about = beaker.about(names, id, name, ledger)?;
        if !self.honest {
            return Err(NoWay::InDoubt);
        }
        let (course, situation) = self.told.ok_or(NoWay::Unforeseen)?;
        let of = in_water_of(names, id).ok_or(NoWay::Unforeseen)?;
        let step = ledger.step_of(name);
        let lead = Lead { per_gram: &of.mixture, about, most: most_of(ledger), step: step.to_f64() };
        let led = course.back(situation, &lead).map_err(|why| match why {
            NotLed::TooWeak => NoWay::TooWeak(SmolStr::new(name)),
            NotLed::TooFine => NoWay::TooFine(SmolStr::new(name)),
            NotLed::Unforeseen => NoWay::Unforeseen,
        })?;
        let to_step = |grams: f64| Exact::ratio((grams * 1e6).round() as i64, 1_000_000).to_step(step);
        let grams = to_step(led.addition.grams);
        let dose = Some((name, id, &grams));
        let left = ledger.reserve_of(name).map_or(Exact::ZERO, Reserve::room);
        Ok(WayBack {
            is_line: setting.formula.lines.iter().any(|line| line.name == name),
            is_adjuster: setting.formula.adjusters().any(|line| line.name == name),
            foreseen: led.addition,
            whole: (to_step(led.least), to_step(led.most)),
            is_part: led.is_part,
            over_reserve: grams > left,
            left,
            after: finished(names, &setting.formula, batch, ledger, dose, &[name], Some(led.addition.reading)),
            material: SmolStr::new(name),
            grams,
        })
    }
}

/// The most of anything that leads back, in grams: a tenth of the batch (common practice, no source).
fn most_of(ledger: &Ledger) -> f64 {
    ledger.batch.to_f64() / 10.0
}

/// The beaker as it would be if the reading were right: with as much strong base or acid as that takes. Which way a
/// material leads, and about how far, is told of it; how much is weighed is foreseen under every explanation.
struct Beaker {
    start: Mixture,
    found: Equilibrium,
    aim: f64,
}

impl Beaker {
    fn of(past: &Past<'_, '_>) -> Option<Beaker> {
        let Past { resolver, setting, batch, .. } = *past;
        let window = setting.formula.window.as_ref()?;
        if window.low.is_none() && window.high.is_none() {
            return None;
        }
        let Contents { without_adjuster, adjuster_grams } = contents(resolver, setting, batch, batch.events.len());
        let whole = without_adjuster.plus(&adjuster_per_gram(resolver, setting, batch)?, adjuster_grams);
        let start = brought_to(&whole, past.reading, MODEL).map_or(whole, |(_, brought)| brought);
        let found = equilibrium(&start, MODEL)?;
        Some(Beaker { start, found, aim: near(window.to_f64()) })
    }

    /// About how much of something leads to the aim, in grams.
    fn about(&self, names: &Resolver<'_>, id: DeclId, name: &str, ledger: &Ledger) -> Result<f64, NoWay> {
        let leads_away = || NoWay::LeadsAway(SmolStr::new(name));
        let of = in_water_of(names, id).ok_or_else(leads_away)?;
        let blend = Blend { start: self.start.clone(), per_unit: of.mixture.clone(), most: most_of(ledger) };
        if blend.leads(&self.found, MODEL) * (self.aim - self.found.ph) <= 0.0 {
            return Err(leads_away());
        }
        let dose = blend.dose(self.aim, MODEL).filter(|dose| *dose > 0.0);
        dose.ok_or_else(|| NoWay::TooWeak(SmolStr::new(name)))
    }
}
