//! The lines of two versions held side by side: added, removed, moved, and what changed in those that stayed.

use super::change::{Change, ChangeKind};
use super::line::same_amount;
use super::meaning::{AmountMeaning, LineMeaning};

/// How a line that is weighed to the pH says its amount.
const AT_BENCH: &str = "q.s. to pH";

/// The changes of the lines.
#[must_use]
pub fn lines(old: &[LineMeaning], new: &[LineMeaning]) -> Vec<Change> {
    let pairs = paired(old, new);
    let still = staying(&pairs);
    let mut changes = Vec::new();
    for (at, line) in old.iter().enumerate() {
        if !pairs.iter().any(|(was, _)| *was == at) {
            changes.extend(one_sided(ChangeKind::LineRemoved, line, at));
        }
    }
    for (at, line) in new.iter().enumerate() {
        let Some((was, before)) =
            pairs.iter().find(|(_, is)| *is == at).and_then(|(was, _)| Some((*was, old.get(*was)?)))
        else {
            changes.extend(one_sided(ChangeKind::LineAdded, line, at));
            continue;
        };
        if before.phase != line.phase || !still.contains(&was) {
            let moved = Change::new(ChangeKind::LineMoved, &line.material).within(&line.phase);
            changes.push(moved.words(Some(&before.phase), Some(&line.phase)).positions(Some(was + 1), Some(at + 1)));
        }
        let positions = (Some(was + 1), Some(at + 1));
        changes.extend(within(before, line).into_iter().map(|change| change.positions(positions.0, positions.1)));
    }
    changes
}

/// Each line of before with its line of now, by their numbers: of one material, in one phase where there is one.
fn paired(old: &[LineMeaning], new: &[LineMeaning]) -> Vec<(usize, usize)> {
    let mut pairs: Vec<(usize, usize)> = Vec::new();
    for same_phase in [true, false] {
        for (at, line) in new.iter().enumerate() {
            if pairs.iter().any(|(_, is)| *is == at) {
                continue;
            }
            let fits = |(was, before): &(usize, &LineMeaning)| {
                before.material == line.material
                    && (!same_phase || before.phase == line.phase)
                    && !pairs.iter().any(|(taken, _)| taken == was)
            };
            if let Some((was, _)) = old.iter().enumerate().find(fits) {
                pairs.push((was, at));
            }
        }
    }
    pairs.sort_by_key(|(_, is)| *is);
    pairs
}

/// The lines of before that need not be moved: the longest run that stands in the same order now.
fn staying(pairs: &[(usize, usize)]) -> Vec<usize> {
    // The best run that ends with each pair, and the pair before it in that run.
    let mut best: Vec<(usize, Option<usize>)> = Vec::new();
    for (at, (was, _)) in pairs.iter().enumerate() {
        let earlier = pairs.iter().zip(&best).take(at).enumerate();
        let before = earlier
            .filter(|(_, ((other, _), _))| other < was)
            .max_by_key(|(number, (_, (length, _)))| (*length, std::cmp::Reverse(*number)));
        best.push(match before {
            Some((number, (_, (length, _)))) => (length + 1, Some(number)),
            None => (1, None),
        });
    }
    let longest = best.iter().enumerate().max_by_key(|(number, (length, _))| (*length, std::cmp::Reverse(*number)));
    let mut at = longest.map(|(number, _)| number);
    let mut still = Vec::new();
    while let Some((number, (was, _))) = at.and_then(|number| Some((number, pairs.get(number)?))) {
        still.push(*was);
        at = best.get(number).and_then(|(_, before)| *before);
    }
    still
}

/// A line that stands on one side only.
fn one_sided(kind: ChangeKind, line: &LineMeaning, at: usize) -> Vec<Change> {
    let added = kind == ChangeKind::LineAdded;
    let on_side = |change: Change| {
        let mut change = change.within(&line.phase);
        if !added {
            (change.old, change.new) = (change.new, change.old);
            change.grams = (line.grams.clone(), None);
        } else {
            change.grams = (None, line.grams.clone());
        }
        change
    };
    let amount = Change::new(kind, &line.material);
    let amount = match &line.percent {
        Some(percent) => amount.figures(None, Some(percent), "%"),
        None => amount.words(None, (line.kind == AmountMeaning::AtBench).then_some(AT_BENCH)),
    };
    let position = Some(at + 1);
    let mut all = vec![on_side(amount).positions(position.filter(|_| !added), position.filter(|_| added))];
    // What else a new line says; of one that is gone that goes without saying.
    if added {
        let change = |kind| Change::new(kind, &line.material).within(&line.phase).positions(None, position);
        if let Some((held, unit)) = &line.held_back {
            all.push(change(ChangeKind::Reserve).figures(None, Some(held), unit));
        }
        if let Some(from) = &line.from {
            all.push(change(ChangeKind::Adjuster).about("from").words(None, Some(from)));
        }
    }
    all
}

/// What changed within a line.
fn within(old: &LineMeaning, new: &LineMeaning) -> Vec<Change> {
    let change = |kind| Change::new(kind, &new.material).within(&new.phase);
    let mut all = Vec::new();
    let follows = same_amount(old, new);
    let (was_at_bench, is_at_bench) = (old.kind == AmountMeaning::AtBench, new.kind == AmountMeaning::AtBench);
    if was_at_bench != is_at_bench {
        let amount = change(ChangeKind::Adjuster).figures(old.percent.as_ref(), new.percent.as_ref(), "%");
        let words = super::change::Value::Words(AT_BENCH.to_string());
        all.push(match was_at_bench {
            true => Change { old: Some(words), ..amount },
            false => Change { new: Some(words), ..amount },
        });
    } else if old.percent != new.percent {
        // What is asked for by its active has been edited there, and the line follows.
        let asked_by_active = matches!(new.kind, AmountMeaning::Of(_)) && old.kind == new.kind;
        let mut amount = change(ChangeKind::Amount).figures(old.percent.as_ref(), new.percent.as_ref(), "%");
        amount.grams = (old.grams.clone(), new.grams.clone());
        all.push(amount.following(follows || asked_by_active));
    }
    all.extend(active(old, new, follows));
    if old.held_back != new.held_back {
        all.push(reserve(old, new));
    }
    if old.from != new.from {
        all.push(change(ChangeKind::Adjuster).about("from").words(old.from.as_deref(), new.from.as_deref()));
    }
    if old.titrated != new.titrated {
        let (was, is) = (old.titrated.as_deref(), new.titrated.as_deref());
        all.push(change(ChangeKind::Adjuster).about("titrated").words(was, is));
    }
    if old.because != new.because {
        all.push(change(ChangeKind::Statement).about("because").words(old.because.as_deref(), new.because.as_deref()));
    }
    all
}

/// How much active the line brings. One asked for by it has been edited there.
fn active(old: &LineMeaning, new: &LineMeaning, follows: bool) -> Option<Change> {
    let (Some((of, was)), Some((substance, is))) = (&old.active, &new.active) else { return None };
    if of != substance || was == is {
        return None;
    }
    let asked_for = matches!(new.kind, AmountMeaning::Of(_));
    let change = Change::new(ChangeKind::Active, &new.material).about(substance).within(&new.phase);
    Some(change.figures(Some(was), Some(is), "%").following(follows || !asked_for))
}

fn reserve(old: &LineMeaning, new: &LineMeaning) -> Change {
    let change = Change::new(ChangeKind::Reserve, &new.material).within(&new.phase);
    let unit = |held: &Option<(crate::quantity::Exact, &'static str)>| held.as_ref().map(|(_, unit)| *unit);
    match (unit(&old.held_back), unit(&new.held_back)) {
        // A share of the batch before and a weight now, or the other way round: each with its unit.
        (Some(was), Some(is)) if was != is => {
            let words = |held: &Option<(crate::quantity::Exact, &'static str)>| {
                held.as_ref().map(|(figure, unit)| format!("{} {unit}", super::words::figure(figure)))
            };
            change.words(words(&old.held_back).as_deref(), words(&new.held_back).as_deref())
        }
        (was, is) => {
            let figure =
                |held: &Option<(crate::quantity::Exact, &'static str)>| held.as_ref().map(|(held, _)| held.clone());
            let (before, now) = (figure(&old.held_back), figure(&new.held_back));
            change.figures(before.as_ref(), now.as_ref(), was.or(is).unwrap_or("%"))
        }
    }
}
