//! The lines that are weighed at the bench until the pH is right, and the water that is held back for them.

use super::basis::{Given, LineMeaning, Sum};
use super::ph::{Window, window};
use super::read::{Table, TableLine};
use super::rows::Row;
use crate::quantity::Exact;
use std::collections::BTreeSet;

/// So much of a batch is held back, in percent, where a table brings a pH and does not say of what.
pub const HELD_BACK: i64 = 3;

/// What is brought to which pH.
pub struct Dosing {
    /// The window of the formula, where there is one.
    pub window: Option<Window>,
    /// The lines that are written as `q.s. to pH`, by their numbers.
    to_ph: BTreeSet<usize>,
    /// The line that is held back for them.
    held: Option<usize>,
    /// Whether it is known of some line that wants it what it is.
    is_known: bool,
}

impl Dosing {
    /// Lines are written so where it is known what they are, which pH is wanted, and which water is held back.
    pub fn of(table: &Table, lines: &[(&TableLine, LineMeaning)], sum: &Sum) -> Dosing {
        let rows: Vec<&Row> = table.rows.iter().map(|read| &read.row).collect();
        let numbered = || lines.iter().zip(&sum.lines).enumerate();
        let to_ph: BTreeSet<usize> = numbered()
            .filter(|(_, ((_, meaning), line))| line.given == Given::ToPh && meaning.is_known)
            .map(|(number, _)| number)
            .collect();
        let enough = |given: &Given| share(given, sum).is_some_and(|share| share >= Exact::whole(HELD_BACK));
        let waters = numbered().filter(|(_, ((_, meaning), line))| meaning.is_water && enough(&line.given));
        let water = waters.min_by_key(|(_, (_, line))| line.given != Given::Rest).map(|(number, _)| number);
        let is_known = !to_ph.is_empty();
        let held = water.filter(|_| is_known);
        let window = window(&rows, table.marks, held.is_some());
        match (&window, held) {
            (Some(_), Some(_)) => Dosing { window, to_ph, held, is_known },
            _ => Dosing { window, to_ph: BTreeSet::new(), held: None, is_known },
        }
    }

    /// Whether a line is written as `q.s. to pH`.
    pub fn is_to_ph(&self, number: usize) -> bool {
        self.to_ph.contains(&number)
    }

    /// Whether a line is held back for those.
    pub fn is_held(&self, number: usize) -> bool {
        self.held == Some(number)
    }

    /// Why a line is not written so.
    pub fn why_not(&self) -> String {
        let lacks = match (&self.window, self.held) {
            (_, held) if held.is_some() || !self.is_known => "it has to be known what it is",
            (Some(_), _) => "water must be held back for it, as in `water q.s. hold back 3 %`",
            (None, _) => "the formula needs a pH window and water held back",
        };
        format!("to write it as `q.s. to pH`, {lacks}")
    }
}

/// The percent of a line.
fn share(given: &Given, sum: &Sum) -> Option<Exact> {
    let whole = sum.whole.as_ref()?;
    let amount = match given {
        Given::Figure(value) => value.clone(),
        Given::Rest => whole - &sum.figures,
        Given::ToPh | Given::Nothing(_) => return None,
    };
    (&amount * &Exact::HUNDRED).over(whole)
}
