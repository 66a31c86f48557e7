//! What alcohol and glycols do to the pKa of all that is dissolved beside them.

use crate::chemistry;
use crate::model::{Formula, MovesPka};
use crate::quantity::Interval;
use crate::resolve::Resolver;

/// How far glycols and alcohols of which nobody has said so may move a pKa, for each percent of the batch (common practice,
/// no source: what is known of others lies between 0 and 0.03).
const UNKNOWN: f64 = 0.02;
/// Percent of glycols and alcohols in the batch above which acids are no longer what they are in water.
pub const SOLVENT_FROM: f64 = 10.0;

/// The solvents beside the water of a formula.
#[derive(Clone, Copy, Debug, Default)]
pub struct Solvents {
    /// How far they move every pKa.
    pub moved: chemistry::Solvent,
    /// How far a pKa may be off by what is not sure of that.
    pub off: f64,
    /// Of those that nobody has said that of, how much there is, in percent of the batch.
    pub unknown: f64,
}

impl Solvents {
    /// Those of a formula, with so much water in 100 g, and so much of glycols and alcohols in percent.
    #[must_use]
    pub fn of(resolver: &Resolver<'_>, formula: &Formula, water: f64, percent: f64) -> Solvents {
        let Some(composition) = &formula.composition else { return Solvents::default() };
        let known: Vec<(f64, Vec<MovesPka>)> = composition
            .parts
            .iter()
            .map(|(id, share)| (share.middle().to_f64(), resolver.moves_pka(*id)))
            .filter(|(_, moves)| !moves.is_empty())
            .collect();
        let said: f64 = known.iter().map(|(share, _)| share).sum();
        let unknown = (percent - said).max(0.0);
        let liquid = water + said + unknown;
        let mut found = Solvents { unknown, ..Solvents::default() };
        if percent > SOLVENT_FROM {
            found.off = UNKNOWN * unknown;
        }
        for (share, moves) in &known {
            let at = 100.0 * share / liquid;
            if at.is_finite() {
                let (acids, acids_off) = at_share(moves, at, |of| &of.acids);
                let (bases, bases_off) = at_share(moves, at, |of| &of.bases);
                found.moved.acids += acids;
                found.moved.bases += bases;
                found.off += acids_off.max(bases_off);
            }
        }
        found
    }
}

/// How far a solvent moves a pKa at a share of it, and how far that may be off: on straight lines between the shares that
/// are known, from nothing at none. Past the last of them it goes on as it came, and may as well have stopped there.
fn at_share(moves: &[MovesPka], at: f64, of: impl Fn(&MovesPka) -> &Interval) -> (f64, f64) {
    let (mut before, mut last) = ((0.0, 0.0, 0.0), (0.0, 0.0, 0.0));
    for row in moves {
        let (low, high) = (of(row).low.to_f64(), of(row).high.to_f64());
        let here = (row.share.to_f64(), f64::midpoint(low, high), (high - low) / 2.0);
        (before, last) = (last, here);
        if at <= here.0 {
            break;
        }
    }
    let way = (at - before.0) / (last.0 - before.0);
    if !way.is_finite() {
        return (last.1, last.2);
    }
    let moved = before.1 + way * (last.1 - before.1);
    let off = before.2 + way * (last.2 - before.2);
    (moved, if way > 1.0 { off + (moved - last.1).abs() } else { off })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quantity::Exact;

    /// By hand, on straight lines from nothing.
    #[test]
    fn between_two_shares_it_goes_straight() {
        let row = |share: i64, low: i64, high: i64| {
            let ends = || Interval::new(Exact::ratio(low, 10), Exact::ratio(high, 10));
            MovesPka { share: Exact::whole(share), acids: ends(), bases: ends() }
        };
        let moves = [row(10, 1, 3), row(30, 5, 7)];
        for (at, moved, off) in
            [(0.0, 0.0, 0.0), (5.0, 0.1, 0.05), (20.0, 0.4, 0.1), (30.0, 0.6, 0.1), (40.0, 0.8, 0.3)]
        {
            let found = at_share(&moves, at, |of| &of.acids);
            assert!((found.0 - moved).abs() < 1e-12 && (found.1 - off).abs() < 1e-12, "{at}: {found:?}");
        }
    }
}
