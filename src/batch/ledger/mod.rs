//! What is in the beaker, worked out once from plan and record: what was to go in, what went in, what is still to come.
//!
//! [`Ledger::of`] plays a record, event by event. What is taken out takes its share of everything with it, and what is
//! still to come is then the share that stayed.

mod finished;
mod growth;
mod line;
mod reserve;

pub use line::{LedgerEntry, LedgerLine};
pub use reserve::Reserve;

use super::weights::Weights;
use crate::diagnostic::Place;
use crate::model::{Batch, Formula, Happened, LineAmount, Named};
use crate::quantity::Exact;
use crate::sheet::Plan;
use smol_str::SmolStr;

/// A record beside its plan. Weights are in grams.
#[derive(Clone, Debug)]
pub struct Ledger {
    /// The lines of the formula, in its order; lines of one material are one.
    pub lines: Vec<LedgerLine>,
    /// What went in that is no line of the formula.
    pub strangers: Vec<LedgerEntry>,
    /// What is held back, line by line.
    pub reserves: Vec<Reserve>,
    /// What went in of the lines after a reserve was overdrawn, to make a right batch of a larger size of it.
    pub set_right: Vec<LedgerEntry>,
    /// The water that evaporates and is topped up: the line that is held back of, else the water that fills up.
    pub water: Option<SmolStr>,
    /// Whether it was heated and not brought to a tared weight since, and not filled yet.
    pub heated: bool,
    /// The weight that it was topped up to, where that was done by the scale.
    pub topped_to: Option<Exact>,
    /// What is in the beaker, material by material.
    pub weights: Weights,
    /// The share of the batch that stays, less what was taken out of it: 1 where nothing was.
    pub stays: Exact,
    /// The weight of the whole batch, as planned.
    pub batch: Exact,
    /// The finest step of its scales.
    pub step: Exact,
    /// Which reserve each adjuster comes out of.
    sources: Vec<(SmolStr, usize)>,
    /// What was topped up, by sum, of a batch that holds nothing back.
    topped_up: Exact,
}

impl Ledger {
    /// The ledger of a batch as it stands.
    #[must_use]
    pub fn of(formula: &Formula, plan: &Plan, batch: &Batch) -> Ledger {
        Ledger::after(formula, plan, batch, batch.events.len())
    }

    /// The ledger once so many events have happened.
    #[must_use]
    pub fn after(formula: &Formula, plan: &Plan, batch: &Batch, events: usize) -> Ledger {
        let mut ledger = Ledger::planned(formula, plan);
        for (number, event) in batch.events.iter().take(events).enumerate() {
            ledger.play(number, &event.what, event.place);
        }
        ledger
    }

    /// The plan, nothing weighed yet.
    fn planned(formula: &Formula, plan: &Plan) -> Ledger {
        let mut ledger = Ledger {
            lines: Vec::new(),
            strangers: Vec::new(),
            reserves: Vec::new(),
            set_right: Vec::new(),
            water: None,
            heated: false,
            topped_to: None,
            weights: Weights::default(),
            stays: Exact::ONE,
            batch: plan.total.clone(),
            step: plan.finest.clone(),
            sources: Vec::new(),
            topped_up: Exact::ZERO,
        };
        for (line, weight) in formula.lines.iter().zip(&plan.lines) {
            let at_bench = line.amount == LineAmount::AtBench;
            let first = weight.held.as_ref().map(|held| held.first_weighing.clone());
            let planned = first.or(weight.printed.clone()).filter(|_| !at_bench);
            let percent = line.percent.clone().filter(|_| !at_bench).unwrap_or(Exact::ZERO);
            if let Some(held) = &weight.held {
                ledger.hold_back(&line.name, &held.held_back, &weight.step);
            }
            match ledger.lines.iter_mut().find(|known| known.name == line.name) {
                Some(known) => known.join(planned, &percent),
                None => ledger.lines.push(LedgerLine::new(line.name.clone(), planned, percent, weight.step.clone())),
            }
        }
        ledger.water = water_of(formula, &ledger);
        ledger.sources = sources(formula, &ledger);
        ledger
    }

    fn hold_back(&mut self, material: &SmolStr, held: &Exact, step: &Exact) {
        match self.reserves.iter_mut().find(|reserve| reserve.material == *material) {
            Some(reserve) => reserve.hold(held),
            None => self.reserves.push(Reserve::new(material.clone(), held.clone(), step.clone())),
        }
    }

    fn play(&mut self, event: usize, what: &Happened, place: Place) {
        match what {
            Happened::Weighed(material, grams) => self.enter(event, material, grams, place, false),
            Happened::Added(material, grams, because) => {
                self.enter(event, material, grams, place, because.is_some());
            }
            Happened::ToppedUp { to: Some(to), .. } => {
                self.topped_to = Some(to.clone());
                self.heated = false;
            }
            Happened::ToppedUp { material, grams: Some(grams), .. } => self.top_up(&material.text, grams),
            Happened::Heated(_) => self.heated = true,
            Happened::Filled { .. } => {
                self.heated = false;
                self.close(None);
            }
            _ => {}
        }
        let before = self.in_beaker(what);
        if let Some(share) = self.weights.take(what) {
            self.keep(&share);
        }
        self.settle(what, &before);
    }

    /// What is in the beaker of what a statement tops up.
    fn in_beaker(&self, what: &Happened) -> Exact {
        let Happened::ToppedUp { material, .. } = what else { return Exact::ZERO };
        self.weights.parts.get(&material.text).cloned().unwrap_or(Exact::ZERO)
    }

    /// Each reserve with what was weighed too much of its line, or too little, and with what the scale says of it.
    fn settle(&mut self, what: &Happened, before: &Exact) {
        let by_scale = &self.in_beaker(what) - before;
        for reserve in &mut self.reserves {
            if let Happened::ToppedUp { material, to: Some(_), .. } = what
                && material.text == reserve.material
            {
                reserve.settle(&by_scale);
            }
            reserve.let_steam(self.heated && self.water.as_ref() == Some(&reserve.material));
            if let Some(line) = self.lines.iter().find(|line| line.name == reserve.material) {
                reserve.weigh_before(line.off(&self.stays), line.entries.last());
            }
        }
    }

    /// Nothing more is weighed of a line that holds back, once it was topped up, or of all such lines; of one of which
    /// nothing is in yet that is told by itself.
    fn close(&mut self, material: Option<&str>) {
        for reserve in self.reserves.iter().filter(|reserve| material.is_none_or(|name| reserve.material == name)) {
            let begun = |line: &&mut LedgerLine| line.name == reserve.material && !line.entries.is_empty();
            self.lines.iter_mut().filter(begun).for_each(LedgerLine::close);
        }
    }

    /// A share of the beaker stays, the rest was taken out.
    fn keep(&mut self, share: &Exact) {
        self.stays = line::scaled(&self.stays, share);
        self.lines.iter_mut().for_each(|line| line.keep(share));
        self.reserves.iter_mut().for_each(|reserve| reserve.keep(share));
        self.topped_up = line::scaled(&self.topped_up, share);
    }

    fn enter(&mut self, event: usize, material: &Named, grams: &Exact, place: Place, correction: bool) {
        let entry = LedgerEntry { event, material: material.clone(), grams: grams.clone(), place, correction };
        let line = self.lines.iter().find(|line| line.name == material.text);
        let is_complete = line.is_some_and(|line| !line.missing().is_positive());
        let is_more = is_complete && self.reserves.iter().any(|reserve| reserve.material == material.text);
        let right = if correction || is_more { self.sets_right(&material.text) } else { Exact::ZERO };
        let line = self.lines.iter_mut().find(|line| line.name == material.text);
        match line {
            // Over the reserve, a line that stands too thin is set right first; only what is more than that is a
            // correction of its own.
            Some(line) if right.is_positive() => {
                let more = grams - &right;
                let own = if more > self.step { right } else { grams.clone() };
                line.set_right(&own);
                self.set_right.push(LedgerEntry { grams: own, ..entry.clone() });
                if more > self.step {
                    let more = LedgerEntry { grams: more, ..entry };
                    if correction { self.draw(more) } else { line.weigh(more) }
                }
            }
            // What is weighed to the pH comes out of what is held back, and so does what sets a batch right.
            Some(line) if line.planned.is_none() || correction => {
                if line.planned.is_none() {
                    line.weigh(entry.clone());
                }
                self.draw(entry);
            }
            Some(line) => line.weigh(entry),
            None if correction => self.draw(entry),
            None => self.strangers.push(entry),
        }
    }

    /// Takes something out of the reserve of its line, or, for what has none of its own, of the first adjuster's.
    fn draw(&mut self, entry: LedgerEntry) {
        if self.reserves.is_empty() {
            // Nothing is held back: all of it goes over.
            let of = self.water.clone().or_else(|| self.lines.first().map(|line| line.name.clone()));
            self.reserves.push(Reserve::new(of.unwrap_or_default(), Exact::ZERO, self.step.clone()));
        }
        let own = self.sources.iter().find(|(adjuster, _)| *adjuster == entry.material.text);
        let source = own.or(self.sources.first()).map_or(0, |(_, reserve)| *reserve);
        if let Some(reserve) = self.reserves.get_mut(source) {
            reserve.draw(entry);
        }
    }

    fn top_up(&mut self, material: &str, grams: &Exact) {
        self.close(Some(material));
        let own = self.reserves.iter().position(|reserve| reserve.material == material).unwrap_or(0);
        match self.reserves.get_mut(own) {
            Some(reserve) => reserve.top_up(grams),
            None => self.topped_up = &self.topped_up + grams,
        }
    }

    /// What an adjuster, or a correction, comes out of.
    #[must_use]
    pub fn reserve_of(&self, adjuster: &str) -> Option<&Reserve> {
        let own = self.sources.iter().find(|(name, _)| name == adjuster).or(self.sources.first());
        self.reserves.get(own.map_or(0, |(_, reserve)| *reserve))
    }

    /// The step of a line's scale; of what is no line, the finest.
    #[must_use]
    pub fn step_of(&self, name: &str) -> &Exact {
        self.lines.iter().find(|line| line.name == name).map_or(&self.step, |line| &line.step)
    }

    /// A weight as it is printed: to the finest step of the scales.
    #[must_use]
    pub fn grams(&self, weight: &Exact) -> String {
        weight.to_fixed(self.step.decimals().unwrap_or(2))
    }

    /// What is held back in all.
    #[must_use]
    pub fn held_back(&self) -> Exact {
        self.reserves.iter().map(|reserve| reserve.held_back().clone()).sum()
    }

    /// What was taken out of the reserves so far.
    #[must_use]
    pub fn used(&self) -> Exact {
        self.reserves.iter().map(|reserve| reserve.used().clone()).sum()
    }

    /// What of the reserves went in with the weighing of their lines already; below nought what was weighed too little.
    #[must_use]
    pub fn weighed_before(&self) -> Exact {
        self.reserves.iter().map(|reserve| reserve.weighed_before().clone()).sum()
    }

    /// What is left of the reserves.
    #[must_use]
    pub fn left(&self) -> Exact {
        self.reserves.iter().map(Reserve::left).sum()
    }

    /// The room that is left for adjuster.
    #[must_use]
    pub fn room(&self) -> Exact {
        self.reserves.iter().map(Reserve::room).sum()
    }

    /// What was topped up, by sum.
    #[must_use]
    pub fn topped_up(&self) -> Exact {
        let each = self.reserves.iter().map(|reserve| reserve.topped_up().clone());
        each.chain([self.topped_up.clone()]).sum()
    }

    /// Whether anything was taken out of a reserve.
    #[must_use]
    pub fn is_drawn_on(&self) -> bool {
        self.reserves.iter().any(|reserve| !reserve.drawn.is_empty())
    }

    /// What is still to be weighed of all lines, the top-up left out.
    #[must_use]
    pub fn to_come(&self) -> Exact {
        let missing = self.lines.iter().map(LedgerLine::missing);
        let lacking = if self.is_trifle() { Vec::new() } else { self.lacking() };
        missing.chain(lacking.into_iter().map(|(_, grams)| grams)).sum()
    }

    /// The weight of the batch, less the share that was taken out of it.
    #[must_use]
    pub fn size(&self) -> Exact {
        line::scaled(&self.batch, &self.stays)
    }

    /// What the finished batch comes to, larger where it went over its reserve.
    #[must_use]
    pub fn whole(&self) -> Exact {
        let over = if self.is_trifle() { None } else { self.growth() };
        &self.size() + &over.unwrap_or_else(|| self.over())
    }

    /// After heat: what the beaker is to weigh once it is topped up. None where nothing was heated since it was last
    /// brought to a weight, or no water is there to evaporate.
    #[must_use]
    pub fn top_up_to(&self) -> Option<Exact> {
        let _ = self.water.as_ref().filter(|_| self.heated)?;
        let to = &self.whole() - &self.to_come();
        to.is_positive().then_some(to)
    }

    /// What is still to be topped up.
    #[must_use]
    pub fn to_top_up(&self) -> Exact {
        if self.topped_to.is_none() {
            return self.reserves.iter().map(Reserve::to_top_up).sum();
        }
        // Once the scale has said what the beaker weighs, the rest is what the weight of the batch leaves.
        let rest = &(&self.whole() - &self.to_come()) - &self.weights.total();
        if rest <= &self.step * &Exact::whole(2) { Exact::ZERO } else { rest }
    }

    /// What is still to be topped up of each material: of each reserve its own, and what the scale says is missing of the
    /// water.
    #[must_use]
    pub fn top_ups(&self) -> Vec<(SmolStr, Exact)> {
        let mut all: Vec<(SmolStr, Exact)> =
            self.reserves.iter().map(|reserve| (reserve.material.clone(), reserve.to_top_up())).collect();
        if self.topped_to.is_some() {
            let by_sum: Exact =
                all.iter().filter(|(name, _)| self.water.as_ref() != Some(name)).map(|(_, grams)| grams.clone()).sum();
            let rest = (&self.to_top_up() - &by_sum).max(Exact::ZERO);
            match all.iter_mut().find(|(name, _)| self.water.as_ref() == Some(name)) {
                Some((_, grams)) => *grams = rest,
                None => all.extend(self.water.clone().map(|water| (water, rest))),
            }
        }
        all.retain(|(_, grams)| grams.is_positive());
        all
    }
}

/// The water that evaporates: what is held back of, water itself before any other, else the water that fills up.
fn water_of(formula: &Formula, ledger: &Ledger) -> Option<SmolStr> {
    let held = |name: &str| ledger.reserves.iter().find(|reserve| reserve.material == name);
    let own = held("water").or(ledger.reserves.last()).map(|reserve| reserve.material.clone());
    own.or_else(|| {
        let fills = |line: &&crate::model::Line| line.amount == LineAmount::QuantumSatis && line.name == "water";
        formula.lines.iter().find(fills).map(|line| line.name.clone())
    })
}

/// The reserve that each adjuster comes out of.
fn sources(formula: &Formula, ledger: &Ledger) -> Vec<(SmolStr, usize)> {
    let of = |adjuster: &crate::model::Line| {
        let line = formula.reserve_of(adjuster).and_then(|at| formula.lines.get(at))?;
        let reserve = ledger.reserves.iter().position(|reserve| reserve.material == line.name)?;
        Some((adjuster.name.clone(), reserve))
    };
    formula.adjusters().filter_map(of).collect()
}
