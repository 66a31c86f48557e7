//! A record held against a plan: what was to go in, and what went in.

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
    /// What was taken out of the reserve: adjuster, and corrections with their reason.
    pub from_reserve: Vec<LedgerEntry>,
    /// What is held back in all.
    pub held_back: Exact,
    /// The line it is held back of.
    pub holding: Option<SmolStr>,
    /// What went in of the lines after the reserve was overdrawn, to make a right batch of a larger size of it.
    pub set_right: Vec<LedgerEntry>,
    /// The water that evaporates and is topped up: the line that is held back of, else the water that fills up.
    pub water: Option<SmolStr>,
    /// Whether it was heated and not brought to a tared weight since, and not filled yet.
    pub heated: bool,
    /// What was topped up, by sum.
    pub topped_up: Exact,
    /// The weight that it was topped up to, where that was done by the scale.
    pub topped_to: Option<Exact>,
    /// What was taken out of the whole.
    pub removed: Exact,
    /// The weight of the whole batch, as planned.
    pub batch: Exact,
    /// The finest step of its scales.
    pub step: Exact,
    /// What the beaker weighs now, by the record.
    pub in_beaker: Exact,
    /// What was taken out of the reserve so far.
    used: Exact,
}

/// A material of the formula.
#[derive(Clone, Debug)]
pub struct LedgerLine {
    /// Its name.
    pub name: SmolStr,
    /// The number of its first phase.
    pub phase: usize,
    /// What is weighed of it at first; none for what is weighed to the pH.
    pub planned: Option<Exact>,
    /// Its percentage of the batch; nought for what is weighed to the pH, or makes room for it.
    pub percent: Exact,
    /// The step of its scale.
    pub step: Exact,
    /// Each time it was weighed.
    pub entries: Vec<LedgerEntry>,
    /// What was weighed of it in all.
    weighed: Exact,
    /// What went in of it to set a batch right that is over its reserve.
    righted: Exact,
}

/// Something put in.
#[derive(Clone, Debug)]
pub struct LedgerEntry {
    /// The number of the event.
    pub event: usize,
    /// What.
    pub material: Named,
    /// How much.
    pub grams: Exact,
    /// Where the statement stands.
    pub place: Place,
    /// Whether it stands there as a correction, with its reason.
    pub correction: bool,
}

impl LedgerLine {
    /// What was weighed of it.
    #[must_use]
    pub fn weighed(&self) -> Exact {
        self.weighed.clone()
    }

    fn weigh(&mut self, entry: LedgerEntry) {
        self.weighed = &self.weighed + &entry.grams;
        self.entries.push(entry);
    }

    /// What is still to be weighed of it: nought where it is there, or nearly.
    #[must_use]
    pub fn missing(&self) -> Exact {
        let Some(planned) = &self.planned else { return Exact::ZERO };
        let missing = planned - &self.weighed();
        // A line that is off by less than a hundredth and was weighed is a line that was weighed a little off.
        let little = planned * &Exact::ratio(1, 100);
        if !self.entries.is_empty() && missing <= little.max(self.step.clone()) { Exact::ZERO } else { missing }
    }
}

impl Ledger {
    /// The ledger of a batch.
    #[must_use]
    pub fn of(formula: &Formula, plan: &Plan, batch: &Batch) -> Ledger {
        let mut ledger = Ledger {
            lines: Vec::new(),
            strangers: Vec::new(),
            from_reserve: Vec::new(),
            set_right: Vec::new(),
            held_back: Exact::ZERO,
            holding: None,
            water: None,
            heated: false,
            topped_up: Exact::ZERO,
            topped_to: None,
            removed: Exact::ZERO,
            batch: plan.total.clone(),
            step: plan.finest.clone(),
            in_beaker: Weights::of(batch).total(),
            used: Exact::ZERO,
        };
        for (line, weight) in formula.lines.iter().zip(&plan.lines) {
            let at_bench = line.amount == LineAmount::AtBench;
            let first = weight.held.as_ref().map(|held| held.first_weighing.clone());
            let planned = first.or(weight.printed.clone()).filter(|_| !at_bench);
            if let Some(held) = &weight.held {
                ledger.held_back = &ledger.held_back + &held.held_back;
                ledger.holding = Some(line.name.clone());
            }
            let holds = weight.held.is_some();
            let percent = line.percent.clone().filter(|_| !at_bench).unwrap_or(Exact::ZERO);
            if holds || (ledger.water.is_none() && line.amount == LineAmount::QuantumSatis && line.name == "water") {
                ledger.water = Some(line.name.clone());
            }
            match ledger.lines.iter_mut().find(|known| known.name == line.name) {
                Some(known) => {
                    known.percent = &known.percent + &percent;
                    known.planned = known.planned.as_ref().zip(planned).map(|(one, other)| one + &other);
                }
                None => ledger.lines.push(LedgerLine {
                    name: line.name.clone(),
                    phase: line.phase,
                    planned,
                    percent,
                    step: weight.step.clone(),
                    entries: Vec::new(),
                    weighed: Exact::ZERO,
                    righted: Exact::ZERO,
                }),
            }
        }
        // What makes room for the adjuster has no share of its own, whatever other lines there are of it.
        let room = ledger.lines.iter_mut().filter(|line| Some(&line.name) == ledger.holding.as_ref());
        room.for_each(|line| line.percent = Exact::ZERO);
        for (number, event) in batch.events.iter().enumerate() {
            ledger.put(number, &event.what, event.place);
        }
        ledger
    }

    fn put(&mut self, event: usize, what: &Happened, place: Place) {
        match what {
            Happened::Weighed(material, grams) => self.enter(event, material, grams, place, false),
            Happened::Added(material, grams, because) => {
                self.enter(event, material, grams, place, because.is_some());
            }
            Happened::ToppedUp { to: Some(to), .. } => {
                self.topped_to = Some(to.clone());
                self.heated = false;
            }
            Happened::ToppedUp { grams: Some(grams), .. } => self.topped_up = &self.topped_up + grams,
            Happened::Heated(_) => self.heated = true,
            Happened::Filled { .. } => self.heated = false,
            Happened::Removed(grams, _) => self.removed = &self.removed + grams,
            _ => {}
        }
    }

    fn enter(&mut self, event: usize, material: &Named, grams: &Exact, place: Place, correction: bool) {
        let entry = LedgerEntry { event, material: material.clone(), grams: grams.clone(), place, correction };
        let right = if correction { self.to_set_right(&material.text) } else { Exact::ZERO };
        let line = self.lines.iter_mut().find(|line| line.name == material.text);
        match line {
            // Over the reserve, a line that stands too thin is set right first; only what is more than that is a
            // correction of its own.
            Some(line) if right.is_positive() => {
                let more = grams - &right;
                let own = if more > self.step { right } else { grams.clone() };
                line.righted = &line.righted + &own;
                self.set_right.push(LedgerEntry { grams: own, ..entry.clone() });
                if more > self.step {
                    self.draw(LedgerEntry { grams: more, ..entry });
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

    fn draw(&mut self, entry: LedgerEntry) {
        self.used = &self.used + &entry.grams;
        self.from_reserve.push(entry);
    }

    /// What was taken out of the reserve so far.
    #[must_use]
    pub fn used(&self) -> Exact {
        self.used.clone()
    }

    /// What is left of the reserve: nought where it is used up, or more than that.
    #[must_use]
    pub fn left(&self) -> Exact {
        (&self.held_back - &self.used()).max(Exact::ZERO)
    }

    /// By how much the reserve was overdrawn.
    #[must_use]
    pub fn over(&self) -> Exact {
        (&self.used() - &self.held_back).max(Exact::ZERO)
    }

    /// By how much the batch has to grow, over its weight, for water and adjuster together to have their share of it:
    /// they are what the percentages of the lines leave, and have too much by what went over. None where nothing did, or
    /// the lines leave no room at all.
    #[must_use]
    pub fn growth(&self) -> Option<Exact> {
        let room = &Exact::HUNDRED - &self.lines.iter().map(|line| line.percent.clone()).sum::<Exact>();
        let growth = (&self.over() * &Exact::HUNDRED).over(&room.max(Exact::ZERO))?;
        growth.is_positive().then_some(growth)
    }

    /// What a line takes in all to be right in the larger batch, beyond what was planned of it.
    fn share_of_growth(&self, line: &LedgerLine) -> Exact {
        self.growth().map_or(Exact::ZERO, |growth| (&line.percent.hundredth() * &growth).to_step(&self.step))
    }

    /// What of that is still to go in.
    fn to_set_right(&self, name: &str) -> Exact {
        let Some(line) = self.lines.iter().find(|line| line.name == name) else { return Exact::ZERO };
        let beyond = line.planned.as_ref().map_or(Exact::ZERO, |planned| &line.weighed() - planned);
        let given = &line.righted + &beyond.max(Exact::ZERO);
        (&self.share_of_growth(line) - &given).max(Exact::ZERO)
    }

    /// Over the reserve: what is still to be weighed in of each line for a right batch of a larger size.
    #[must_use]
    pub fn lacking(&self) -> Vec<(SmolStr, Exact)> {
        let lacking = self.lines.iter().map(|line| (line.name.clone(), self.to_set_right(&line.name)));
        lacking.filter(|(_, grams)| *grams >= self.step).collect()
    }

    /// Whether a batch that went over its reserve has been made a right one of a larger size.
    #[must_use]
    pub fn is_set_right(&self) -> bool {
        self.growth().is_some() && self.lacking().is_empty()
    }

    /// What is planned of a line, in the larger batch that it may have become.
    #[must_use]
    pub fn planned_now(&self, line: &LedgerLine) -> Option<Exact> {
        Some(line.planned.as_ref()? + &self.share_of_growth(line))
    }

    /// What is still to be weighed of all lines, the top-up left out.
    #[must_use]
    pub fn to_come(&self) -> Exact {
        let missing = self.lines.iter().map(LedgerLine::missing);
        missing.chain(self.lacking().into_iter().map(|(_, grams)| grams)).sum()
    }

    /// What the whole batch comes to, larger where it went over its reserve, less what was taken out of it.
    fn whole(&self) -> Exact {
        &(&self.batch + &self.growth().unwrap_or_else(|| self.over())) - &self.removed
    }

    /// After heat: what the beaker is to weigh once it is topped up. None where nothing was heated since it was last
    /// brought to a weight, or no water is there to evaporate.
    #[must_use]
    pub fn top_up_to(&self) -> Option<Exact> {
        let _ = self.water.as_ref().filter(|_| self.heated)?;
        let to = &self.whole() - &self.to_come();
        to.is_positive().then_some(to)
    }

    /// What is still to be topped up, by sum.
    #[must_use]
    pub fn to_top_up(&self) -> Exact {
        if self.topped_to.is_none() {
            return (&self.left() - &self.topped_up).max(Exact::ZERO);
        }
        // Once the scale has said what the beaker weighs, the rest is what the weight of the batch leaves.
        let rest = &(&self.whole() - &self.to_come()) - &self.in_beaker;
        if rest <= &self.step * &Exact::whole(2) { Exact::ZERO } else { rest }
    }
}
