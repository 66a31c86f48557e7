//! A material of the formula in the record: what is asked of it, and what went in.

use crate::diagnostic::Place;
use crate::model::Named;
use crate::quantity::Exact;
use smol_str::SmolStr;

/// A material of the formula. Weights are in grams.
#[derive(Clone, Debug)]
pub struct LedgerLine {
    /// Its name.
    pub name: SmolStr,
    /// What is weighed of it at first, by the plan; none for what is weighed to the pH.
    pub planned: Option<Exact>,
    /// What is asked of it in all, less what a loss made needless; none for what is weighed to the pH.
    pub asked: Option<Exact>,
    /// Its percentage of the batch; nought for what is weighed to the pH.
    pub percent: Exact,
    /// The step of its scale.
    pub step: Exact,
    /// Each time it was weighed.
    pub entries: Vec<LedgerEntry>,
    /// What was weighed of it in all.
    weighed: Exact,
    /// What is left in the beaker of what was weighed.
    in_beaker: Exact,
    /// What is left in the beaker of what went in to set a batch right that is over its reserve.
    righted: Exact,
    /// Whether nothing more is weighed of it: it was topped up, or filled.
    closed: bool,
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
    /// A line of which nothing was weighed yet.
    pub(super) fn new(name: SmolStr, planned: Option<Exact>, percent: Exact, step: Exact) -> LedgerLine {
        LedgerLine {
            name,
            asked: planned.clone(),
            planned,
            percent,
            step,
            entries: Vec::new(),
            weighed: Exact::ZERO,
            in_beaker: Exact::ZERO,
            righted: Exact::ZERO,
            closed: false,
        }
    }

    /// Joins a further line of the same material to it.
    pub(super) fn join(&mut self, planned: Option<Exact>, percent: &Exact) {
        self.percent = &self.percent + percent;
        self.planned = self.planned.as_ref().zip(planned).map(|(one, other)| one + &other);
        self.asked.clone_from(&self.planned);
    }

    /// What was weighed of it.
    #[must_use]
    pub fn weighed(&self) -> Exact {
        self.weighed.clone()
    }

    /// What is still to be weighed of it: nought where it is there, or nearly.
    #[must_use]
    pub fn missing(&self) -> Exact {
        let Some(asked) = self.asked.as_ref().filter(|_| !self.closed) else { return Exact::ZERO };
        let missing = asked - &self.weighed;
        // A line that is off by less than a hundredth and was weighed is a line that was weighed a little off.
        let little = asked * &Exact::ratio(1, 100);
        if !self.entries.is_empty() && missing <= little.max(self.step.clone()) { Exact::ZERO } else { missing }
    }

    /// What was weighed of it beyond what was to be, of a batch of which this much stays; below nought what was weighed too
    /// little. What is still to be weighed counts as in.
    pub(super) fn off(&self, stays: &Exact) -> Exact {
        let Some(planned) = &self.planned else { return Exact::ZERO };
        let off = &(&self.in_beaker + &self.missing()) - &(planned * stays);
        // Less than a thousandth of a step is what losses were rounded by.
        if &off.abs() * &Exact::whole(1000) <= self.step { Exact::ZERO } else { off }
    }

    /// Nothing more is weighed of it: what was weighed too little is the top-up's.
    pub(super) fn close(&mut self) {
        self.closed = true;
    }

    pub(super) fn weigh(&mut self, entry: LedgerEntry) {
        self.weighed = &self.weighed + &entry.grams;
        self.in_beaker = &self.in_beaker + &entry.grams;
        self.entries.push(entry);
    }

    pub(super) fn set_right(&mut self, grams: &Exact) {
        self.righted = &self.righted + grams;
    }

    /// What went in of its material as a correction of its own, beside what was weighed of it and what set a batch right.
    pub(super) fn corrected(&self, in_beaker: &Exact) -> Exact {
        (&(in_beaker - &self.in_beaker) - &self.righted).max(Exact::ZERO)
    }

    /// What it has beyond its share of a batch of which this much stays: to set it right, or by a heavy hand.
    pub(super) fn beyond(&self, stays: &Exact) -> Exact {
        let own = self.planned.as_ref().map_or(Exact::ZERO, |planned| &self.in_beaker - &(planned * stays));
        &self.righted + &own.max(Exact::ZERO)
    }

    /// What went in of it to set a batch right.
    pub(super) fn righted(&self) -> &Exact {
        &self.righted
    }

    /// A share of the beaker stays: what is to come of the line is that share of what was to come.
    pub(super) fn keep(&mut self, share: &Exact) {
        let missing = self.missing();
        if missing.is_positive() {
            self.asked = Some(&self.weighed + &scaled(&missing, share));
        }
        self.in_beaker = scaled(&self.in_beaker, share);
        self.righted = scaled(&self.righted, share);
    }
}

/// A share of a weight. Each loss multiplies digits; a billionth of a gram is below any scale.
pub(super) fn scaled(weight: &Exact, share: &Exact) -> Exact {
    let kept = weight * share;
    if kept.is_oversized() { kept.to_step(&Exact::ratio(1, 1_000_000_000)) } else { kept }
}
