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
}

impl Reserve {
    /// What is held back of a line, nothing taken out of it yet.
    pub(super) fn new(material: SmolStr, held_back: Exact) -> Reserve {
        Reserve {
            material,
            drawn: Vec::new(),
            overdrawn_by: None,
            held_back,
            used: Exact::ZERO,
            topped_up: Exact::ZERO,
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

    /// What is left of it: nought where it is used up, or more than that.
    #[must_use]
    pub fn left(&self) -> Exact {
        (&self.held_back - &self.used).max(Exact::ZERO)
    }

    /// By how much it was overdrawn.
    #[must_use]
    pub fn over(&self) -> Exact {
        (&self.used - &self.held_back).max(Exact::ZERO)
    }

    /// What is still to be topped up of it, by sum.
    #[must_use]
    pub fn to_top_up(&self) -> Exact {
        (&self.left() - &self.topped_up).max(Exact::ZERO)
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

    /// A share of the beaker stays, so that share of the reserve is what it needs.
    pub(super) fn keep(&mut self, share: &Exact) {
        self.held_back = scaled(&self.held_back, share);
        self.used = scaled(&self.used, share);
        self.topped_up = scaled(&self.topped_up, share);
    }
}
