//! What the lines of a table come to, and what it says itself that they do.

use super::Writer;
use crate::bring::Unsure;
use crate::bring::amount::{Stated, Unit};
use crate::bring::basis::{Basis, Sum};
use crate::bring::comment::kept;
use crate::bring::read::{Entry, Table};
use crate::quantity::Exact;

/// What a row of totals says that it all comes to: the last that does.
pub(super) fn stated_total(table: &Table) -> Option<(Exact, Unit)> {
    let totals = table.rows.iter().filter_map(|read| match &read.entry {
        Entry::Total(amounts) => Some(amounts),
        _ => None,
    });
    let figures = totals.flatten().filter_map(|amount| match &amount.stated {
        Stated::Figure(value, unit) | Stated::Rest(Some((value, unit))) => Some((value.clone(), unit.clone())),
        _ => None,
    });
    let mut last = None;
    for (value, unit) in figures {
        match (&last, &unit) {
            (Some((_, Unit::Grams)), Unit::Percent) => {}
            _ => last = Some((value, unit)),
        }
    }
    last
}

impl Writer<'_> {
    /// Tells what the lines come to, and what is not sure of it.
    pub(super) fn tell_sum(&mut self, has_water: bool) {
        let Sum { basis, figures, whole, has_rest, .. } = self.sum.clone();
        let doubts = std::mem::take(&mut self.sum.doubts);
        self.told.append(&mut self.sum.told);
        for heading in &self.table.passed_over {
            let says =
                format!("The column `{}` has figures too; they stand beside the lines as comments", kept(heading));
            self.unsure.insert(0, Unsure { line: 0, says: says + "." });
        }
        doubts.into_iter().rev().for_each(|says| self.unsure.insert(0, Unsure { line: 0, says }));
        if self.sum.lines.is_empty() {
            let says = "No line of a material was found: all of it stands as comments.".to_string();
            return self.unsure.insert(0, Unsure { line: 0, says });
        }
        let shown = |value: &Exact| {
            if value.decimals().is_some_and(|places| places <= 6) {
                value.to_significant(12)
            } else {
                value.to_significant(6)
            }
        };
        let told = match (basis, has_rest, &whole) {
            (Basis::Weights, false, _) if self.stays_grams => {
                let so_far = "without the lines that have no amount; they stay grams until those are decided";
                format!("The weights come to {} g {so_far}.", shown(&figures))
            }
            (Basis::Weights, false, _) => {
                format!("The weights come to {} g; each line is its share of that.", shown(&figures))
            }
            (Basis::Weights, true, Some(whole)) => {
                format!("The weights come to {} g; the rest up to {} g is `q.s.`", shown(&figures), shown(whole))
            }
            (Basis::Weights, true, None) => format!("The weights come to {} g beside the rest.", shown(&figures)),
            (_, rest, _) => {
                let percent = if basis == Basis::Shares { &figures * &Exact::HUNDRED } else { figures.clone() };
                let missing = &Exact::HUNDRED - &percent;
                match rest {
                    true => {
                        format!("The figures come to {} %; the rest, {} %, is `q.s.`", shown(&percent), shown(&missing))
                    }
                    false if missing.is_zero() => "The figures come to exactly 100 %.".to_string(),
                    false => {
                        let (by, word) = (missing.abs(), if missing.is_negative() { "too much" } else { "missing" });
                        let mend = match has_water {
                            true => " Write `q.s.` for the water, and it takes what is left.",
                            false => "",
                        };
                        let says = format!("The figures come to {} %: {} % {word}.", shown(&percent), shown(&by));
                        self.unsure.insert(0, Unsure { line: 0, says: format!("{says}{mend}") });
                        says
                    }
                }
            }
        };
        self.told.push(told);
        self.tell_stated_total();
    }

    /// Where a row of totals says something else than the lines come to.
    fn tell_stated_total(&mut self) {
        let Some((stated, unit)) = stated_total(self.table) else { return };
        let all = match (self.sum.basis, self.sum.has_rest) {
            (Basis::Percent, true) => Exact::HUNDRED,
            (Basis::Weights, true) => return,
            _ => self.sum.figures.clone(),
        };
        let weights = self.sum.basis == Basis::Weights;
        let comparable = match unit {
            Unit::Grams => weights,
            Unit::Percent => !weights,
            Unit::Unwritten => true,
            _ => false,
        };
        if comparable && stated != all && self.sum.basis != Basis::Shares {
            let says = format!(
                "The table's own total is {}, and its lines come to {}.",
                stated.to_significant(12),
                all.to_significant(12)
            );
            self.unsure.insert(0, Unsure { line: 0, says });
        }
    }
}
