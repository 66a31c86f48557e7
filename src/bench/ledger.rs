//! A record held against a plan: what was to go in, and what went in.

use crate::diagnostic::Place;
use crate::model::{Batch, Formula, Happened, LineAmount, Named};
use crate::plan::Plan;
use crate::quantity::Exact;
use smol_str::SmolStr;

/// A record beside its plan. Weights are in grams.
#[derive(Clone, Debug)]
pub struct Ledger {
    /// The lines of the formula, in its order; lines of one material are one.
    pub lines: Vec<LedgerLine>,
    /// What went in that is no line of the formula.
    pub strangers: Vec<Entry>,
    /// What was taken out of the reserve: adjuster, and corrections with their reason.
    pub from_reserve: Vec<Entry>,
    /// What is held back in all.
    pub held_back: Exact,
    /// The line it is held back of.
    pub holding: Option<SmolStr>,
    /// What was topped up, by sum.
    pub topped_up: Exact,
    /// The weight that it was topped up to, where that was done by the scale.
    pub topped_to: Option<Exact>,
    /// What was taken out of the whole.
    pub removed: Exact,
    /// The weight of the whole batch, as planned.
    pub batch: Exact,
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
    /// The step of its scale.
    pub step: Exact,
    /// Each time it was weighed.
    pub entries: Vec<Entry>,
}

/// Something put in.
#[derive(Clone, Debug)]
pub struct Entry {
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
        self.entries.iter().map(|entry| entry.grams.clone()).sum()
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
            held_back: Exact::ZERO,
            holding: None,
            topped_up: Exact::ZERO,
            topped_to: None,
            removed: Exact::ZERO,
            batch: plan.total.clone(),
        };
        for (line, weight) in formula.lines.iter().zip(&plan.lines) {
            let at_bench = line.amount == LineAmount::AtBench;
            let planned = weight.first_weighing.clone().or(weight.printed.clone()).filter(|_| !at_bench);
            if let Some(held) = &weight.held_back {
                ledger.held_back = &ledger.held_back + held;
                ledger.holding = Some(line.name.clone());
            }
            match ledger.lines.iter_mut().find(|known| known.name == line.name) {
                Some(known) => {
                    known.planned = known.planned.as_ref().zip(planned).map(|(one, other)| one + &other);
                }
                None => ledger.lines.push(LedgerLine {
                    name: line.name.clone(),
                    phase: line.phase,
                    planned,
                    step: weight.step.clone(),
                    entries: Vec::new(),
                }),
            }
        }
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
            Happened::ToppedUp { grams, to: false, .. } => self.topped_up = &self.topped_up + grams,
            Happened::ToppedUp { grams, to: true, .. } => self.topped_to = Some(grams.clone()),
            Happened::Removed(grams, _) => self.removed = &self.removed + grams,
            _ => {}
        }
    }

    fn enter(&mut self, event: usize, material: &Named, grams: &Exact, place: Place, correction: bool) {
        let entry = Entry { event, material: material.clone(), grams: grams.clone(), place, correction };
        match self.lines.iter_mut().find(|line| line.name == material.text) {
            // What is weighed to the pH comes out of what is held back, and so does what sets a batch right.
            Some(line) if line.planned.is_none() || correction => {
                if line.planned.is_none() {
                    line.entries.push(entry.clone());
                }
                self.from_reserve.push(entry);
            }
            Some(line) => line.entries.push(entry),
            None if correction => self.from_reserve.push(entry),
            None => self.strangers.push(entry),
        }
    }

    /// What was taken out of the reserve so far.
    #[must_use]
    pub fn used(&self) -> Exact {
        self.from_reserve.iter().map(|entry| entry.grams.clone()).sum()
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

    /// What is still to be topped up.
    #[must_use]
    pub fn to_top_up(&self) -> Exact {
        if self.topped_to.is_some() { Exact::ZERO } else { (&self.left() - &self.topped_up).max(Exact::ZERO) }
    }
}
