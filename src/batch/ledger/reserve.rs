//! What is held back of a line: what was taken out of it, and what is left of it for the top-up.

use super::line::{LedgerEntry, scaled};
use crate::quantity::Exact;
use smol_str::SmolStr;

/// What is held back of one line, in grams. After a loss, all of it is the share that stayed.
#[derive(Clone, Debug)]
pub struct Reserve {
    /// The line it is held back of.
    pub material: SmolStr,
    /// Everything taken out of it: adjuster, and corrections with their reason.
    pub drawn: Vec<LedgerEntry>,
    /// The entry that took out more than there was.
    pub overdrawn_by: Option<LedgerEntry>,
    held_back: Exact,
    used: Exact,
    topped_up: Exact,
    weighed_before: Exact,
    by_scale: Exact,
    steams: bool,
    step: Exact,
}

impl Reserve {
    /// What is held back of a line, nothing taken out of it yet.
    pub(super) fn new(material: SmolStr, held_back: Exact, step: Exact) -> Reserve {
        Reserve {
            material,
            drawn: Vec::new(),
            overdrawn_by: None,
            held_back,
            used: Exact::ZERO,
            topped_up: Exact::ZERO,
            weighed_before: Exact::ZERO,
            by_scale: Exact::ZERO,
            steams: false,
            step,
        }
    }

    /// What is held back of the line.
    #[must_use]
    pub fn held_back(&self) -> &Exact {
        &self.held_back
    }

    /// What was taken out of it so far.
    #[must_use]
    pub fn used(&self) -> &Exact {
        &self.used
    }

    /// What was topped up of it, by sum.
    #[must_use]
    pub fn topped_up(&self) -> &Exact {
        &self.topped_up
    }

    /// What of it went in with the weighing of its line already; below nought what was weighed too little there, which
    /// adds to it.
    #[must_use]
    pub fn weighed_before(&self) -> &Exact {
        &self.weighed_before
    }

    /// What was topped up of it in all: by sum, and by the scale less what evaporated.
    #[must_use]
    pub fn topped_up_in_all(&self) -> Exact {
        &self.topped_up + &self.by_scale
    }

    /// What is left of it: nought where it is used up, or more than that.
    #[must_use]
    pub fn left(&self) -> Exact {
        (&(&self.held_back - &self.weighed_before) - &self.used).max(Exact::ZERO)
    }

    /// The room that is left in it for adjuster: what is left of it, but that water weighed too much for what goes into the
    /// air takes none of it before the scale has said what is left of that, and what evaporated by then makes room.
    #[must_use]
    pub fn room(&self) -> Exact {
        let before =
            if self.steams { self.weighed_before.clone().min(Exact::ZERO) } else { self.weighed_before.clone() };
        let taken = &(&before + &self.used) + &self.evaporated();
        (&self.held_back - &taken).max(Exact::ZERO)
    }

    /// Whether water goes into the air of it, and the scale has not said yet how much.
    #[must_use]
    pub fn steams(&self) -> bool {
        self.steams
    }

    /// By how much it was overdrawn: by what was taken out of it, and by what was weighed too much of its line. Of that a
    /// step of the scale is nothing; and after heat nobody knows what is left of it in the beaker before the scale says.
    #[must_use]
    pub fn over(&self) -> Exact {
        let is_nothing = self.steams || self.weighed_before.abs() <= self.step;
        let before = if is_nothing { Exact::ZERO } else { self.weighed_before.clone() };
        let went_in = &(&self.used + &before) + &self.evaporated();
        (&went_in - &self.held_back).max(Exact::ZERO)
    }

    /// What evaporated of it beyond what was put back by the scale: nought, or below it.
    fn evaporated(&self) -> Exact {
        self.by_scale.clone().min(Exact::ZERO)
    }

    /// What is still to be topped up of it, by sum.
    #[must_use]
    pub fn to_top_up(&self) -> Exact {
        (&self.left() - &self.topped_up_in_all()).max(Exact::ZERO)
    }

    pub(super) fn hold(&mut self, more: &Exact) {
        self.held_back = &self.held_back + more;
    }

    pub(super) fn draw(&mut self, entry: LedgerEntry) {
        self.used = &self.used + &entry.grams;
        if self.overdrawn_by.is_none() && self.over().is_positive() {
            self.overdrawn_by = Some(entry.clone());
        }
        self.drawn.push(entry);
    }

    pub(super) fn top_up(&mut self, grams: &Exact) {
        self.topped_up = &self.topped_up + grams;
    }

    /// The scale said what is in the beaker: so much more of its line than the weights that went in, or less.
    pub(super) fn settle(&mut self, grams: &Exact) {
        self.by_scale = &self.by_scale + grams;
        self.steams = false;
    }

    /// Whether water goes into the air of it that nobody knows yet.
    pub(super) fn let_steam(&mut self, steams: bool) {
        self.steams = steams;
    }

    /// What was weighed of its line beyond what was to be, or too little of it; `by` is the last weighing of it. Of what
    /// holds nothing back the weighing is judged by itself.
    pub(super) fn weigh_before(&mut self, grams: Exact, by: Option<&LedgerEntry>) {
        if self.held_back.is_zero() {
            return;
        }
        self.weighed_before = grams;
        if !self.over().is_positive() {
            self.overdrawn_by = None;
        } else if self.overdrawn_by.is_none() {
            self.overdrawn_by = by.or(self.drawn.last()).cloned();
        }
    }

    /// A share of the beaker stays, so that share of the reserve is what it needs.
    pub(super) fn keep(&mut self, share: &Exact) {
        self.held_back = scaled(&self.held_back, share);
        self.used = scaled(&self.used, share);
        self.topped_up = scaled(&self.topped_up, share);
        self.by_scale = scaled(&self.by_scale, share);
    }
}
