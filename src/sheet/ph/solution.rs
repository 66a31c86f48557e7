//! A formula as the chemistry sees it: 100 g of the finished batch, and what each adjuster does to it.

use super::doses::Direction;
use super::solvent::Solvents;
use super::titrated::{GIVES_WAY, Titrated};
use super::unadjusted::MODEL;
use crate::chemistry::{Activity, Blend, Equilibrium, Mixture, equilibrium};
use crate::model::{DeclId, Formula, Line, LineAmount, LineMaterial, Substance};
use crate::quantity::Exact;
use crate::resolve::{InWater, Resolver, substance_of};
use crate::syntax::vocabulary::MaterialPhase;
use std::sync::Arc;

/// 100 g of a formula, finished and without adjuster.
#[derive(Debug)]
pub struct Solution {
    /// What the pH model knows of it, as it is weighed.
    pub all: InWater,
    /// The mixture once what hydrolyses has done so: the batch as it is sold, which doses are worked out for.
    pub rest: Mixture,
    /// The lines that are weighed to the pH, those of which the model knows something.
    pub adjusters: Vec<Adjuster>,
    /// Whether there are lines weighed to the pH of which it knows nothing.
    pub has_unknown_adjuster: bool,
    /// The lines weighed to the pH that would drive gas out: nobody knows how much of them it takes.
    pub gas_adjusters: Vec<usize>,
    /// What alcohol and glycols do to every pKa in it.
    pub solvents: Solvents,
    /// What the model left out.
    pub left_out: Vec<LeftOut>,
    /// The pH that beaker tests of it read; the model has been brought to one of them.
    pub read_at: Vec<f64>,
    /// The adjusters whose beaker test says the opposite of what they are: it is not gone by.
    pub contradicted: Vec<usize>,
    /// What that took of strong base, or below nought of strong acid, in mol.
    pub put_in: f64,
}

/// A line that is weighed to the pH. A dose is in grams per 100 g of batch.
#[derive(Debug)]
pub struct Adjuster {
    /// The number of its line.
    pub line: usize,
    /// The batch without it and what a gram does; the most is all of the line its weight comes out of.
    pub blend: Blend,
    /// What is held back for it, in percent of the batch.
    pub held: Option<Exact>,
    /// What a beaker test with it showed.
    pub titrated: Option<Titrated>,
}

/// Something without acid-base data.
#[derive(Clone, Debug)]
pub struct LeftOut {
    /// The material, as the line calls it.
    pub material: String,
    /// How much of the batch the model knows nothing of, in percent.
    pub percent: Exact,
    /// Whether it belongs into the oil, where it takes no part.
    pub in_oil: bool,
    /// How much acid or base it could be, in mol in 100 g of batch.
    pub could_be: f64,
}

/// So little acid in 100 g of batch, in mol, that the gas it drives out is nothing one would see: what a surfactant or a
/// gum brings by the way (common practice, no source).
const TRACE_OF_ACID: f64 = 1e-4;

impl Solution {
    /// The beaker of a formula. None where its total is not known, or it has no water or nothing that takes part.
    #[must_use]
    pub fn of(resolver: &Resolver<'_>, formula: &Formula) -> Option<Solution> {
        if !formula.total_known {
            return None;
        }
        let mut solution = Solution {
            all: InWater::default(),
            rest: Mixture::default(),
            adjusters: Vec::new(),
            has_unknown_adjuster: false,
            gas_adjusters: Vec::new(),
            solvents: Solvents::default(),
            left_out: Vec::new(),
            read_at: Vec::new(),
            contradicted: Vec::new(),
            put_in: 0.0,
        };
        for line in formula.lines.iter().filter(|line| line.amount != LineAmount::AtBench) {
            let (Some(percent), Some(of)) = (&line.percent, resolver.line_in_water(line)) else { return None };
            solution.all.add(&of, percent.to_f64());
            if of.unknown.is_positive() {
                solution.leave_out(line, &percent.hundredth() * &of.unknown, percent.to_f64() * of.could_be);
            }
        }
        take_up(resolver, formula, &mut solution.all.mixture);
        let water = solution.all.mixture.water_kg * 1000.0;
        solution.solvents = Solvents::of(resolver, formula, water, solution.all.solvents);
        solution.all.mixture.solvent = solution.solvents.moved;
        solution.rest = match &solution.all.later {
            Some(later) => solution.all.mixture.plus(later, 1.0),
            None => solution.all.mixture.clone(),
        };
        for (number, line) in formula.lines.iter().enumerate() {
            if line.amount == LineAmount::AtBench {
                solution.add_adjuster(resolver, formula, number, line);
            }
        }
        solution.go_by_titrations(formula);
        let takes_part = solution.all.mixture.is_active()
            || solution.all.later.is_some()
            || solution.adjusters.iter().any(|adjuster| adjuster.blend.per_unit.is_active());
        (solution.all.mixture.water_kg > 0.0 && takes_part && has_free_water(resolver, formula)).then_some(solution)
    }

    fn leave_out(&mut self, line: &Line, percent: Exact, could_be: f64) {
        match self.left_out.iter_mut().find(|known| known.material == line.name.as_str()) {
            Some(known) => {
                known.percent = &known.percent + &percent;
                known.could_be += could_be;
            }
            None => {
                self.left_out.push(LeftOut { material: line.name.to_string(), percent, in_oil: is_oil(line), could_be })
            }
        }
    }

    fn add_adjuster(&mut self, resolver: &Resolver<'_>, formula: &Formula, number: usize, line: &Line) {
        let source = formula.reserve_of(line).and_then(|at| formula.lines.get(at));
        let held = source.and_then(|source| source.hold_back.as_ref()).and_then(|held| held.percent.clone());
        let source = source.or_else(|| formula.lines.iter().find(|line| line.amount == LineAmount::QuantumSatis));
        let (Some(of), Some(source)) = (resolver.line_in_water(line), source) else { return };
        let (Some(replaced), Some(most)) = (resolver.line_in_water(source), source.percent.as_ref()) else { return };
        if of.unknown >= Exact::whole(50) || !of.mixture.is_active() {
            self.has_unknown_adjuster = true;
            return;
        }
        if of.carbonate > 0.0 && self.all.drives_gas_out > TRACE_OF_ACID
            || self.all.carbonate > 0.0 && of.drives_gas_out > 0.0
        {
            self.has_unknown_adjuster = true;
            self.gas_adjusters.push(number);
            return;
        }
        let per_unit = of.mixture.plus(&replaced.mixture, -1.0);
        let blend = Blend { start: self.rest.clone(), per_unit, most: most.to_f64() };
        let titrated = line.titrated.as_ref().map(|titration| Titrated::of(formula, titration));
        self.adjusters.push(Adjuster { line: number, blend, held, titrated });
    }

    /// Brings the model to what was read in a beaker: as much strong acid or base is put in as is missing at the reading
    /// nearest to the middle of the window, and what is left at the other readings is kept beside them.
    fn go_by_titrations(&mut self, formula: &Formula) {
        if self.adjusters.iter().all(|of| of.titrated.is_none()) {
            return;
        }
        self.leave_contradicted();
        let window = formula.sound_window().map(|window| window.to_f64());
        let aim = window.and_then(|window| window.middle().or(window.low).or(window.high)).unwrap_or(7.0);
        self.read_at = self.adjusters.iter().filter_map(|of| of.titrated.as_ref()).flat_map(Titrated::read).collect();
        let far = |of: &Adjuster| {
            let read = of.titrated.as_ref()?.read().map(|ph| (ph - aim).abs()).reduce(f64::min)?;
            Some((read, of.titrated.as_ref()?.lacking(of, aim, MODEL)?))
        };
        let nearest = self.adjusters.iter().filter_map(far).min_by(|a, b| a.0.total_cmp(&b.0));
        if let Some((_, moles)) = nearest {
            self.put_in = moles;
            self.rest.put_ion(moles.signum(), moles.abs());
            self.adjusters.iter_mut().for_each(|of| of.blend.start = self.rest.clone());
        }
        let Some(before) = self.at_rest(MODEL) else { return };
        for of in &mut self.adjusters {
            let Some(mut titrated) = of.titrated.take() else { continue };
            let by_model = Direction::of(of, &before, MODEL);
            titrated.hold_against(|ph| by_model.by_model(ph));
            of.titrated = Some(titrated);
        }
    }

    /// A base that lowers the pH in the beaker was another bottle, or the readings are another batch's.
    fn leave_contradicted(&mut self) {
        let Some(before) = self.at_rest(MODEL) else { return };
        for of in &mut self.adjusters {
            let way = of.blend.leads(&before, MODEL);
            if of.titrated.as_ref().is_some_and(|titrated| !titrated.goes(way)) {
                of.titrated = None;
                self.contradicted.push(of.line);
            }
        }
    }

    /// Whether carbonate meets acid in it, so that gas leaves and no pH can be foreseen.
    #[must_use]
    pub fn gives_off_gas(&self) -> bool {
        self.all.carbonate > 0.0 && self.all.drives_gas_out > TRACE_OF_ACID
    }

    /// The state before adjustment, once what hydrolyses has done so; none where gas leaves.
    #[must_use]
    pub fn at_rest(&self, model: Activity) -> Option<Equilibrium> {
        if self.gives_off_gas() { None } else { equilibrium(&self.rest, model) }
    }

    /// The pH that a beaker test read before anything went in, and how far it may be off.
    #[must_use]
    pub fn before_read(&self) -> Option<(f64, f64)> {
        self.adjusters.iter().filter_map(|of| of.titrated.as_ref()).find_map(|of| Some((of.before()?, of.give())))
    }

    /// The state before adjustment as it is weighed, where something in it is yet to hydrolyse.
    #[must_use]
    pub fn fresh(&self, model: Activity) -> Option<Equilibrium> {
        let hydrolyses = self.all.later.is_some() && !self.gives_off_gas();
        if hydrolyses { equilibrium(&self.all.mixture, model) } else { None }
    }

    /// How much of the batch the model knows nothing of and that is no oil, in percent.
    #[must_use]
    pub fn missing(&self) -> Exact {
        self.left_out.iter().filter(|of| !of.in_oil).map(|of| of.percent.clone()).sum()
    }

    /// The acid or base that what was left out could bring, in mol.
    #[must_use]
    pub fn could_be_missing(&self) -> f64 {
        self.left_out.iter().filter(|of| !of.in_oil).map(|of| of.could_be).sum()
    }

    /// The same at a pH: near one that a beaker test read, no more than what a buffer gives way on the way from there.
    #[must_use]
    pub fn could_be_missing_at(&self, ph: f64) -> f64 {
        let nearest = self.read_at.iter().map(|read| (read - ph).abs()).reduce(f64::min);
        match nearest {
            Some(far) => (self.could_be_missing() + self.put_in.abs()) * (GIVES_WAY * far).min(1.0),
            None => self.could_be_missing(),
        }
    }
}

/// Lets glycols, alcohol and whatever else of the formula a substance says it dissolves in take up what water does not.
/// Oil is left out: what goes into it is not known without how the two share it.
fn take_up(resolver: &Resolver<'_>, formula: &Formula, mixture: &mut Mixture) {
    let Some(composition) = &formula.composition else { return };
    let known: Vec<(u64, Arc<Substance>)> = mixture
        .families
        .iter()
        .filter(|family| family.constants.saturation().is_some())
        .filter_map(|family| Some((family.id, resolver.substance(substance_of(family.id))?)))
        .collect();
    for (family, substance) in known {
        let Some(mass) = substance.molar_mass.as_ref().map(Exact::to_f64) else { continue };
        for (solvent, most, _) in substance.dissolves.iter().filter(|(name, ..)| name != "water" && name != "oil") {
            let is_it = |of: &Substance| match solvent.as_str() {
                "alcohol" | "ethanol" => of.is_ethanol(),
                name => of.name == name,
            };
            let shares =
                composition.parts.iter().filter(|(id, _)| resolver.substance(**id).is_some_and(|of| is_it(&of)));
            let grams: f64 = shares.map(|(_, share)| share.middle().to_f64()).sum();
            mixture.take_elsewhere(family, grams * most.to_f64() / 100.0 / mass);
        }
    }
}

impl Adjuster {
    /// The mixture at a dose.
    #[must_use]
    pub fn at(&self, dose: f64) -> Mixture {
        self.blend.at(dose)
    }
}

/// Whether there is water in it that is not bound in a crystal.
fn has_free_water(resolver: &Resolver<'_>, formula: &Formula) -> bool {
    let is_wet =
        |id: &DeclId| resolver.substance(*id).is_some_and(|substance| substance.physical_water().is_positive());
    formula.composition.as_ref().is_none_or(|composition| composition.parts.keys().any(is_wet))
}

fn is_oil(line: &Line) -> bool {
    matches!(&line.material, Some(LineMaterial::Material(material)) if material.phase == Some(MaterialPhase::Oil))
}
