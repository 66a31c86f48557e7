//! What stage a batch is at, and what to do next.

use super::ledger::{Ledger, LedgerLine};
use super::meter::is_set_anew;
use crate::model::{Batch, Formula, Happened, LineAmount, PhRange, Reading};
use crate::quantity::Exact;
use smol_str::SmolStr;

/// The stage of a batch.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Stage {
    /// Lines are weighed in.
    Weighing,
    /// The pH is brought to its window.
    Adjusting,
    /// The last reading lies beyond the far edge of the window.
    PastWindow,
    /// More adjuster went in than was held back for it.
    OverReserve,
    /// What comes after the pH: the rest of the lines, the top-up, the last reading.
    Finishing,
    /// Containers are filled.
    Filled,
    /// It may be sold.
    Released,
    /// It may not.
    Rejected,
}

impl Stage {
    /// Its word in output.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Stage::Weighing => "weighing",
            Stage::Adjusting => "adjusting",
            Stage::PastWindow => "past-window",
            Stage::OverReserve => "over-reserve",
            Stage::Finishing => "finishing",
            Stage::Filled => "filled",
            Stage::Released => "released",
            Stage::Rejected => "rejected",
        }
    }
}

/// What to do.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Do {
    /// Weigh a line in.
    Weigh,
    /// Add some adjuster.
    Add,
    /// Read the pH.
    Read,
    /// Leave it to itself.
    Wait,
    /// Top up with what is left of the water.
    TopUp,
    /// Fill.
    Fill,
    /// Set it right before anything else.
    Stop,
    /// Nothing.
    Done,
}

impl Do {
    /// Its word in output.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Do::Weigh => "weigh",
            Do::Add => "add",
            Do::Read => "read",
            Do::Wait => "wait",
            Do::TopUp => "top-up",
            Do::Fill => "fill",
            Do::Stop => "stop",
            Do::Done => "done",
        }
    }
}

/// The next thing to do.
#[derive(Clone, Debug)]
pub struct Next {
    /// What.
    pub what: Do,
    /// Of which material.
    pub material: Option<SmolStr>,
    /// How much, in grams.
    pub grams: Option<Exact>,
    /// Why.
    pub why: String,
}

/// Where a batch stands.
#[derive(Clone, Debug)]
pub struct State {
    /// The stage.
    pub stage: Stage,
    /// What is next.
    pub next: Next,
    /// The last reading.
    pub last: Option<Reading>,
    /// Whether something went in after it, or the meter was set anew.
    pub stale: bool,
}

/// Where a batch stands. `beyond` says whether the last reading lies past the far edge, by the way its adjuster leads.
#[must_use]
pub fn state(formula: &Formula, batch: &Batch, ledger: &Ledger, beyond: bool) -> State {
    let last = batch.readings().last().map(|(number, reading, _)| (number, reading.clone()));
    let anew = last.as_ref().is_some_and(|(number, _)| is_set_anew(batch, *number));
    let stale = anew || last.as_ref().is_some_and(|(number, _)| is_stale(batch, *number));
    let last = last.map(|(_, reading)| reading);
    let inside = last.as_ref().is_some_and(|reading| lies_in(formula.window.as_ref(), reading));
    let at = At { formula, batch, ledger, inside, beyond, stale, anew, read: last.is_some() };
    let stage = at.stage();
    State { stage, next: at.next(stage), last, stale }
}

/// Whether anything went in after an event.
#[must_use]
pub fn is_stale(batch: &Batch, event: usize) -> bool {
    let later = batch.events.iter().skip(event + 1);
    later
        .map(|event| &event.what)
        .any(|what| matches!(what, Happened::Weighed(..) | Happened::Added(..) | Happened::ToppedUp { .. }))
}

/// Whether a reading lies in a window: all of it, for a strip's.
#[must_use]
pub fn lies_in(window: Option<&PhRange>, reading: &Reading) -> bool {
    window.is_some_and(|window| {
        window.low.as_ref().is_none_or(|low| *low <= reading.low)
            && window.high.as_ref().is_none_or(|high| reading.high <= *high)
    })
}

/// Why it is read again though nothing went in.
const ANEW: &str = "The meter was set anew after the last reading: read the pH once more.";

struct At<'a> {
    formula: &'a Formula,
    batch: &'a Batch,
    ledger: &'a Ledger,
    inside: bool,
    beyond: bool,
    stale: bool,
    anew: bool,
    read: bool,
}

impl At<'_> {
    fn has(&self, test: impl Fn(&Happened) -> bool) -> bool {
        self.batch.events.iter().any(|event| test(&event.what))
    }

    /// The phase up to whose end everything is in before the pH is brought to its window.
    fn adjusting_phase(&self) -> Option<usize> {
        self.formula.window.as_ref()?;
        self.formula.lines.iter().find(|line| line.amount == LineAmount::AtBench).map(|line| line.phase)
    }

    /// The first line that is still to be weighed, of the phases up to one, or of all.
    fn waiting(&self, up_to: Option<usize>) -> Option<&LedgerLine> {
        self.ledger
            .lines
            .iter()
            .filter(|line| up_to.is_none_or(|phase| line.phase <= phase))
            .find(|line| line.missing().is_positive())
    }

    fn stage(&self) -> Stage {
        if self.has(|what| matches!(what, Happened::Rejected(_))) {
            return Stage::Rejected;
        }
        if self.has(|what| matches!(what, Happened::Released)) {
            return Stage::Released;
        }
        if self.batch.is_filled() {
            return Stage::Filled;
        }
        if self.ledger.over().is_positive() && !self.ledger.is_set_right() {
            return Stage::OverReserve;
        }
        let Some(phase) = self.adjusting_phase() else {
            return if self.waiting(None).is_some() { Stage::Weighing } else { Stage::Finishing };
        };
        if self.waiting(Some(phase)).is_some() && self.ledger.from_reserve.is_empty() {
            return Stage::Weighing;
        }
        match (self.inside, self.beyond) {
            (true, _) => Stage::Finishing,
            (false, true) => Stage::PastWindow,
            (false, false) => Stage::Adjusting,
        }
    }

    fn next(&self, stage: Stage) -> Next {
        let say = |what: Do, why: &str| Next { what, material: None, grams: None, why: why.to_string() };
        match stage {
            Stage::Released => say(Do::Done, "The batch is released."),
            Stage::Rejected => say(Do::Done, "The batch is rejected."),
            Stage::Filled => say(Do::Done, "The batch is filled: release it, or reject it."),
            Stage::OverReserve => say(
                Do::Stop,
                "More went in than was held back: the batch is over its weight, and everything in it too thin.",
            ),
            Stage::PastWindow | Stage::Adjusting if self.anew => say(Do::Read, ANEW),
            Stage::PastWindow => {
                say(Do::Stop, "The pH is past the window: more of this adjuster only takes it further.")
            }
            Stage::Weighing => match self.waiting(self.adjusting_phase()) {
                Some(line) => weigh(line),
                None => say(Do::Done, "Everything is weighed."),
            },
            Stage::Adjusting if !self.read || self.stale => {
                say(Do::Read, "Stir, wait a minute, and read the pH before more goes in.")
            }
            Stage::Adjusting => self.add(),
            Stage::Finishing => self.finish(),
        }
    }

    /// Some adjuster; how much is for the advice to say.
    fn add(&self) -> Next {
        let adjuster = self.formula.lines.iter().find(|line| line.amount == LineAmount::AtBench);
        Next {
            what: Do::Add,
            material: adjuster.map(|line| line.name.clone()),
            grams: None,
            why: "The reading is not in the window yet.".to_string(),
        }
    }

    fn finish(&self) -> Next {
        if self.formula.window.is_some() && self.anew {
            return Next { what: Do::Read, material: None, grams: None, why: ANEW.to_string() };
        }
        if let Some(line) = self.waiting(None) {
            return weigh(line);
        }
        if let Some(next) = self.top_up_by_scale() {
            return next;
        }
        let left = self.ledger.to_top_up();
        if left.is_positive() {
            let material = self.ledger.holding.clone();
            let why = "What was held back and not used goes in, so that the batch comes to its weight.".to_string();
            return Next { what: Do::TopUp, material, grams: Some(left), why };
        }
        if self.formula.window.is_some() && (self.stale || !self.read) {
            let why = "Read the pH once more: something went in after the last reading.".to_string();
            return Next { what: Do::Read, material: None, grams: None, why };
        }
        let why = "Everything is in, and the pH is in its window.".to_string();
        Next { what: Do::Fill, material: None, grams: None, why }
    }

    /// After heat nobody knows what evaporated, so that the scale has to say what is missing. What was topped up by sum
    /// already stays as it is.
    fn top_up_by_scale(&self) -> Option<Next> {
        let to = self.ledger.top_up_to().filter(|_| !self.ledger.topped_up.is_positive())?;
        let grams = |weight: &Exact| weight.to_fixed(self.ledger.step.decimals().unwrap_or(2));
        let material = self.ledger.water.clone()?;
        let why = format!(
            "It was heated, so what evaporated goes back too: add {material} until the beaker holds {} g by the scale, not \
             by sum, and write down both, `topped-up {material} … g to {0} g`.",
            grams(&to)
        );
        Some(Next { what: Do::TopUp, material: Some(material), grams: Some(self.ledger.to_top_up()), why })
    }
}

fn weigh(line: &LedgerLine) -> Next {
    let why =
        if line.entries.is_empty() { "It is next in the formula." } else { "Some of it is in; this is the rest." };
    Next { what: Do::Weigh, material: Some(line.name.clone()), grams: Some(line.missing()), why: why.to_string() }
}
