//! The batch as made, as a formula: each line the share of the whole that went in, at the statement that put it in.

use super::facts::{Promised, as_promised, with_facts};
use crate::batch::{Ledger, LedgerLine, Setting, Weights, by_buffers, lies_in};
use crate::diagnostic::{Code, Diagnostic, Place};
use crate::model::{Batch, Composition, Formula, Happened, Line, LineAmount, LineMaterial, PhRange};
use crate::quantity::{Exact, Range};
use crate::resolve::{NameSet, Resolver};
use crate::syntax::nearest;
use rustc_hash::{FxHashMap, FxHashSet};
use smol_str::SmolStr;

/// Digits of a share: no scale of a workshop knows more.
const DIGITS: u32 = 4;

/// A batch as made.
pub(super) struct AsMade {
    /// It, as a formula.
    pub formula: Formula,
    /// Whether every line is what was planned, as far as a scale can tell, and the pH where it was to be.
    pub as_planned: bool,
    /// What was planned of each line, in percent.
    planned: FxHashMap<SmolStr, Exact>,
    /// The lines that are weighed to the pH.
    adjusters: FxHashSet<SmolStr>,
    /// Where the lines stand of which nothing is in yet, and where the record begins.
    waiting: (Vec<Place>, Place),
}

impl AsMade {
    /// A batch as made; of one that is not filled, as it will be once the rest is in. None where nothing is in yet, or
    /// the record does not tell all that is.
    pub fn of(session: &Resolver<'_>, batch: &Batch, setting: &Setting<'_>, ledger: &Ledger) -> Option<AsMade> {
        if ledger.weights.parts.is_empty() || !batch.unread.is_empty() {
            return None;
        }
        let weights = named_as_lines(&setting.resolver(session).scopes, batch, ledger, weights(batch, ledger));
        let whole = weights.total();
        if !whole.is_positive() {
            return None;
        }
        let Promised { formula: promised, declared } = as_promised(session, batch, &setting.formula);
        let mut made = AsMade {
            as_planned: true,
            planned: FxHashMap::default(),
            waiting: (Vec::new(), batch.place),
            adjusters: promised.adjusters().map(|line| line.name.clone()).collect(),
            formula: Formula { lines: Vec::new(), ..promised.clone() },
        };
        for (name, grams) in weights.parts.iter().filter(|(_, grams)| !grams.is_zero()) {
            let percent = (grams * &Exact::HUNDRED).over(&whole)?;
            let own = promised.lines.iter().find(|line| line.name == *name);
            let asked = ledger.lines.iter().find(|line| line.name == *name && line.planned.is_some());
            // What is weighed to the pH is planned by nobody; what is no line at all was not to be there.
            made.as_planned &= own.is_some();
            let percent = made.settle(asked, percent, ledger, &whole);
            let material = own.map_or_else(|| stranger(session, setting, batch, name), |line| line.material.clone());
            let phase = own.map_or(promised.phases.len().saturating_sub(1), |line| line.phase);
            let place = place_of(batch, name).unwrap_or_else(|| {
                let place = own.map_or(batch.place, |line| line.place);
                made.waiting.0.push(place);
                place
            });
            made.formula.lines.push(line(name, material, phase, percent, place));
        }
        let is_in = |line: &&LedgerLine| weights.parts.get(&line.name).is_some_and(Exact::is_positive);
        made.as_planned &= ledger.lines.iter().filter(|line| line.percent.is_positive()).all(|line| is_in(&line));
        made.as_planned &= batch.lots.iter().all(|lot| lot.assay.is_none());
        made.formula.composition = composition(&made.formula.lines);
        made.formula.total_known = made.formula.composition.is_some();
        made.formula.place = filled_at(batch).unwrap_or(batch.place);
        made.read(batch);
        if let Some(declared) = declared.filter(|_| !made.as_planned) {
            made.formula.ensures = setting.resolver(session).ensured_as(&declared, &made.formula);
        }
        Some(made)
    }

    /// What a line comes to: what was planned of it, where it is that as far as weighing can tell.
    fn settle(&mut self, asked: Option<&LedgerLine>, percent: Exact, ledger: &Ledger, whole: &Exact) -> Exact {
        let rounded = rounded(&percent);
        let Some(line) = asked else { return rounded };
        let drawn = ledger.reserves.iter().find(|reserve| reserve.material == line.name);
        let used = drawn.and_then(|reserve| (reserve.used() * &Exact::HUNDRED).over(&ledger.size()));
        let planned = (&line.percent - &used.unwrap_or(Exact::ZERO)).max(Exact::ZERO);
        let is_right = is_right(&percent, &planned, line, ledger, whole);
        self.as_planned &= is_right;
        self.planned.insert(line.name.clone(), line.percent.clone());
        if is_right && drawn.is_none() { planned } else { rounded }
    }

    /// The pH that it was filled at in place of the window.
    fn read(&mut self, batch: &Batch) {
        let Some((_, reading, place)) = batch.readings().last().filter(|_| batch.is_filled()) else { return };
        let counts = self.formula.window.as_ref().map(|window| by_buffers(batch, window, reading));
        let reading = counts.as_ref().unwrap_or(reading);
        self.as_planned &= self.formula.window.is_none() || lies_in(self.formula.window.as_ref(), reading);
        self.formula.window =
            Some(PhRange { range: Range::new(Some(reading.low.clone()), Some(reading.high.clone())), place });
    }

    /// The line that a fault of it speaks of.
    pub fn subject(&self, fault: &Diagnostic) -> Option<&Line> {
        super::known::subject(&self.formula, fault)
    }

    /// Whether a line holds more than was planned, or less. None where it is as planned, or was planned by nobody.
    pub fn off(&self, line: &Line) -> Option<std::cmp::Ordering> {
        let order = line.percent.as_ref()?.cmp(self.planned.get(&line.name)?);
        (order != std::cmp::Ordering::Equal).then_some(order)
    }

    /// Whether a fault is only that an adjuster is in it. Rules count the lines without it, and nobody asks for a least
    /// amount of it.
    pub fn is_of_adjuster_alone(&self, fault: &Diagnostic) -> bool {
        let of_rule = fault.code.family() == crate::diagnostic::Family::Rule
            || matches!(fault.code, Code::UsageUnder | Code::PhWindowClash);
        of_rule && self.subject(fault).is_some_and(|line| self.adjusters.contains(&line.name))
    }
}

impl AsMade {
    /// A fault of what the formula asks of itself stands there: told at the reading, or at the line of which it speaks
    /// that is furthest off, with what was asked beside it.
    pub fn at_statement(&self, names: &Resolver<'_>, mut fault: Diagnostic) -> Diagnostic {
        let (waiting, start) = &self.waiting;
        if waiting.contains(&fault.primary.place) {
            let line = std::mem::replace(&mut fault.primary.place, *start);
            return fault.and(line, "the line");
        }
        if fault.code != Code::EnsureBroken {
            return fault;
        }
        let reading = self.formula.window.as_ref().map(|window| window.place);
        let by_ph = reading.filter(|reading| fault.secondary.iter().any(|label| label.place == *reading));
        let words: FxHashSet<&str> = fault
            .message
            .split(|c: char| !c.is_ascii_alphanumeric() && c != '-')
            .filter(|word| !word.is_empty())
            .collect();
        let spoken_of = self.formula.lines.iter().filter(|line| {
            let brings = |id| words.contains(names.substance_name(id).as_str());
            words.contains(line.name.as_str())
                || matches!(&line.material, Some(LineMaterial::Material(of)) if of.contains.iter().any(|part| brings(part.substance)))
        });
        let off = |line: &&Line| {
            let planned = self.planned.get(&line.name).cloned().unwrap_or(Exact::ZERO);
            line.percent.as_ref().map(|percent| (percent - &planned).abs())
        };
        let line = spoken_of.max_by_key(off).map(|line| line.mark);
        let asked = std::mem::replace(&mut fault.primary.place, by_ph.or(line).unwrap_or(self.formula.place));
        fault.secondary.retain(|label| Some(label.place) != by_ph);
        fault.and(asked, "asked for here")
    }
}

/// What is in the beaker; of a batch that is not filled with what is still to come, that which sets it right among it.
fn weights(batch: &Batch, ledger: &Ledger) -> Weights {
    if batch.is_filled() {
        return ledger.weights.clone();
    }
    let mut weights = ledger.finished(None);
    if !ledger.is_trifle() {
        for (name, grams) in ledger.lacking() {
            weights.put(&name, &grams);
        }
    }
    weights
}

/// What stands under a name that is nearly a line's and nothing else's counts as that line: the name is told of.
fn named_as_lines(scopes: &crate::resolve::Scopes<'_>, batch: &Batch, ledger: &Ledger, weights: Weights) -> Weights {
    let lines: FxHashSet<&str> = ledger.lines.iter().map(|line| line.name.as_str()).collect();
    let is_known = |name: &SmolStr| {
        lines.contains(name.as_str()) || scopes.find(batch.id.file, NameSet::Weighable, name).is_some()
    };
    if weights.parts.keys().all(is_known) {
        return weights;
    }
    let mut named = Weights::default();
    for (name, grams) in &weights.parts {
        let near = if is_known(name) { Vec::new() } else { nearest(name, lines.iter().copied()) };
        named.put(near.first().copied().unwrap_or(name), grams);
    }
    named
}

/// Whether a share is what was planned, as far as weighing can tell: within 1 % of itself, or a step of its scale, as for
/// `batch-weight-off`; and thinned by what is no more than a trifle over the reserve.
fn is_right(percent: &Exact, planned: &Exact, line: &LedgerLine, ledger: &Ledger, whole: &Exact) -> bool {
    let step = (&line.step * &Exact::HUNDRED).over(whole).unwrap_or(Exact::ZERO);
    let allowed = planned.hundredth().max(step);
    let over = ledger.over();
    let thinned = match over.is_positive() && ledger.is_trifle() {
        true => (planned * &ledger.size()).over(&(&ledger.size() + &over)).unwrap_or_else(|| planned.clone()),
        false => planned.clone(),
    };
    *percent >= &thinned - &allowed && *percent <= planned + &allowed
}

fn rounded(percent: &Exact) -> Exact {
    Exact::parse(&percent.to_significant(DIGITS)).unwrap_or_else(|| percent.clone())
}

fn line(name: &SmolStr, material: Option<LineMaterial>, phase: usize, percent: Exact, place: Place) -> Line {
    Line {
        name: name.clone(),
        place,
        whole: place,
        amount_place: place,
        mark: place,
        phase,
        faulty: material.is_none(),
        material,
        written: SmolStr::new(format!("{percent} %")),
        asked: Some(percent.clone()),
        uses: Vec::new(),
        amount: LineAmount::Percent(percent.clone()),
        target: None,
        percent: Some(percent),
        hold_back: None,
        from: None,
        titrated: None,
        because: None,
        near: Vec::new(),
    }
}

/// What a name of the record that is no line weighs out.
fn stranger(session: &Resolver<'_>, setting: &Setting<'_>, batch: &Batch, name: &str) -> Option<LineMaterial> {
    Some(match setting.resolver(session).weighs_out(batch.id.file, name)? {
        LineMaterial::Material(material) => LineMaterial::Material(with_facts(session, batch, &material)),
        premix => premix,
    })
}

/// What lines come to; none where somebody knows not what one of them is.
fn composition(lines: &[Line]) -> Option<Composition> {
    let mut all = Composition::default();
    for line in lines {
        if !line.material.as_ref()?.put_into(&mut all, line.percent.as_ref()?) {
            return None;
        }
    }
    (!all.is_oversized()).then_some(all)
}

/// The last statement that put something in; none where nothing did yet.
fn place_of(batch: &Batch, name: &str) -> Option<Place> {
    let is_it = |named: &str| named == name || !nearest(named, [name].into_iter()).is_empty();
    let last =
        batch.events.iter().rev().find(|event| event.what.puts_in().is_some_and(|material| is_it(&material.text)));
    last.map(|event| event.place)
}

fn filled_at(batch: &Batch) -> Option<Place> {
    let filled = |event: &&crate::model::Event| matches!(event.what, Happened::Filled { .. });
    batch.events.iter().find(filled).map(|event| event.place)
}
