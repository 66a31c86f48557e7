//! A batch record: what really happened at the bench, in its order.

use super::{DeclId, PhRange, Phase, Scale, Step, Titration};
use crate::diagnostic::Place;
use crate::quantity::Exact;
use crate::syntax::vocabulary::{Market, Product};
use smol_str::SmolStr;

/// A batch record.
#[derive(Clone, Debug)]
pub struct Batch {
    /// Which declaration.
    pub id: DeclId,
    /// Its name.
    pub name: SmolStr,
    /// Where the name stands.
    pub place: Place,
    /// The formula it names.
    pub formula: Option<Named>,
    /// The version of it.
    pub version: Option<Named>,
    /// The code on its jars.
    pub code: Option<SmolStr>,
    /// The day it was started: `2026-11-20`.
    pub started: Option<SmolStr>,
    /// Its weight in grams.
    pub size: Option<Exact>,
    /// The lots used.
    pub lots: Vec<Lot>,
    /// What happened, in the order of the bench.
    pub events: Vec<Event>,
    /// The plan frozen into it.
    pub plan: Option<FrozenPlan>,
    /// What was struck out: it stays to be read, and counts for nothing.
    pub struck: Vec<Struck>,
    /// The statements that say nothing, as they do not parse or a figure of theirs is at fault.
    pub unread: Vec<Unread>,
}

/// A statement that could not be read.
#[derive(Clone, Debug)]
pub struct Unread {
    /// Where it stands.
    pub place: Place,
    /// The material it speaks of, where that much is known.
    pub material: Option<SmolStr>,
}

/// A statement that was struck out.
#[derive(Clone, Debug)]
pub struct Struck {
    /// Its words, as they were written.
    pub statement: SmolStr,
    /// Why it was struck out.
    pub because: SmolStr,
    /// The day of that, where it is stamped.
    pub on: Option<SmolStr>,
    /// The hour of that, where it is stamped.
    pub at: Option<SmolStr>,
    /// Who struck it out, where it is stamped.
    pub by: Option<SmolStr>,
    /// The line of the file that it stands on.
    pub line: usize,
    /// Where it stands.
    pub place: Place,
}

/// A word of a record, and where it stands.
#[derive(Clone, Debug)]
pub struct Named {
    /// The word.
    pub text: SmolStr,
    /// Where it stands.
    pub place: Place,
}

/// A lot of a material.
#[derive(Clone, Debug)]
pub struct Lot {
    /// The material.
    pub material: Named,
    /// The code on it.
    pub code: SmolStr,
    /// Its strength as measured, in percent of the active.
    pub assay: Option<Exact>,
    /// The day it was opened.
    pub opened: Option<SmolStr>,
    /// The day it expires.
    pub expires: Option<SmolStr>,
    /// Where it stands.
    pub place: Place,
}

/// Something that happened.
#[derive(Clone, Debug)]
pub struct Event {
    /// What.
    pub what: Happened,
    /// The same as it was written, without its stamps: its figures to the digits that were read.
    pub said: SmolStr,
    /// The day, where it is stamped.
    pub on: Option<SmolStr>,
    /// The hour, where it is stamped.
    pub at: Option<SmolStr>,
    /// Who, where it is stamped.
    pub by: Option<SmolStr>,
    /// Where it stands.
    pub place: Place,
}

/// What happened. Weights are in grams; a figure at fault leaves the whole event out.
#[derive(Clone, Debug)]
pub enum Happened {
    /// The meter read a buffer.
    Calibrated {
        /// The pH of the buffer.
        buffer: Exact,
        /// What the meter showed.
        reads: Exact,
    },
    /// A line was weighed in.
    Weighed(Named, Exact),
    /// Adjuster was added, or a correction with its reason.
    Added(Named, Exact, Option<SmolStr>),
    /// Something was taken out of the whole.
    Removed(Exact, SmolStr),
    /// The pH was read.
    Read(Reading),
    /// The rest of the water was put in.
    ToppedUp {
        /// The material.
        material: Named,
        /// How much of it, where that was weighed.
        grams: Option<Exact>,
        /// The weight of the whole that it was brought to, where the scale said so.
        to: Option<Exact>,
    },
    /// Time was left to it, in seconds.
    Waited(Exact),
    /// It was heated to so many degrees Celsius.
    Heated(Exact),
    /// It was cooled to so many degrees Celsius.
    Cooled(Exact),
    /// What came out.
    Yield(Exact),
    /// Containers were filled.
    Filled {
        /// How many.
        count: Exact,
        /// What each holds; none where that is at fault.
        each: Option<ContainerFill>,
        /// The code on them.
        code: Option<SmolStr>,
    },
    /// Some were kept.
    Retained(Exact),
    /// Some were sold.
    Sold(Exact, Option<SmolStr>),
    /// It may be sold.
    Released,
    /// It may not.
    Rejected(SmolStr),
    /// Something was seen.
    Observed(SmolStr),
    /// Somebody complained.
    Complaint(SmolStr),
    /// Something was written down.
    Note(SmolStr),
}

/// What a container was filled with.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum ContainerFill {
    /// By weight, in grams.
    Grams(Exact),
    /// By volume, in millilitres.
    Millilitres(Exact),
}

impl Happened {
    /// What it puts into the beaker; none where it puts in nothing.
    #[must_use]
    pub fn puts_in(&self) -> Option<&Named> {
        match self {
            Happened::Weighed(material, _) | Happened::Added(material, ..) | Happened::ToppedUp { material, .. } => {
                Some(material)
            }
            _ => None,
        }
    }
}

/// A reading of the pH.
#[derive(Clone, Debug)]
pub struct Reading {
    /// The reading, or the lower end of a strip's.
    pub low: Exact,
    /// The upper end; the same for a meter.
    pub high: Exact,
    /// Whether it was read from a strip.
    pub by_strip: bool,
    /// Whether a diluted sample was read.
    pub diluted: bool,
}

impl Reading {
    /// The middle of what was read.
    #[must_use]
    pub fn middle(&self) -> Exact {
        &(&self.low + &self.high) * &Exact::ratio(1, 2)
    }
}

/// The plan as it stood when the record was begun.
#[derive(Clone, Debug)]
pub struct FrozenPlan {
    /// What the formula was called on a sheet.
    pub title: Option<SmolStr>,
    /// Its version.
    pub version: Option<SmolStr>,
    /// What it makes, and where on the body that goes; empty where the plan does not say.
    pub products: Vec<Product>,
    /// Where it is sold; empty where the plan does not say.
    pub markets: Vec<(Market, Place)>,
    /// Its density in g/mL.
    pub density: Option<Exact>,
    /// Its phases, in the order of the bench; empty where the plan says nothing of them.
    pub phases: Vec<Phase>,
    /// Its steps, in the order of the bench; empty where the plan says nothing of them.
    pub steps: Vec<Step>,
    /// Each line with its percentage as supplied; none for what is weighed at the bench.
    pub lines: Vec<FrozenLine>,
    /// Each premix with its own lines.
    pub premixes: Vec<FrozenPremix>,
    /// The digest of the formula.
    pub digest: Option<SmolStr>,
    /// The pH window.
    pub window: Option<PhRange>,
    /// The error of the meter.
    pub meter: Option<Exact>,
    /// The scales.
    pub scales: Vec<Scale>,
    /// Whether something in it did not parse: no batch goes by what is left of it.
    pub is_faulty: bool,
}

/// A premix of a frozen plan.
#[derive(Clone, Debug)]
pub struct FrozenPremix {
    /// The number it is known by.
    pub id: DeclId,
    /// Its name.
    pub name: Named,
    /// What it was called on a sheet.
    pub title: Option<SmolStr>,
    /// Its lines.
    pub lines: Vec<FrozenLine>,
}

/// A line of a frozen plan.
#[derive(Clone, Debug)]
pub struct FrozenLine {
    /// The material.
    pub material: Named,
    /// The number of its phase, where the plan says.
    pub phase: Option<usize>,
    /// Its percentage as supplied.
    pub percent: Option<Exact>,
    /// Whether it is weighed to the pH.
    pub at_bench: bool,
    /// Whether it fills up to 100 %.
    pub fills: bool,
    /// What it was asked for by, where that is not the material as supplied.
    pub by: Option<FrozenTarget>,
    /// What is held back of it, in percent of the batch.
    pub held_back: Option<Exact>,
    /// The line its weight comes out of, for what is weighed to the pH.
    pub from: Option<SmolStr>,
    /// What a beaker test with it showed, for what is weighed to the pH.
    pub titrated: Option<Titration>,
}

/// What a frozen line was asked for by.
#[derive(Clone, Debug)]
pub enum FrozenTarget {
    /// Its active.
    Active,
    /// A substance in it.
    Of(Named),
}

impl FrozenPlan {
    /// Whether every line of it says its percentage, or is weighed to the pH: a batch then goes by it.
    #[must_use]
    pub fn is_complete(&self) -> bool {
        !self.is_faulty && self.lines.iter().all(|line| line.at_bench || line.percent.is_some())
    }
}

impl Batch {
    /// Whether containers have been filled: what is judged at the end is judged from then on.
    #[must_use]
    pub fn is_filled(&self) -> bool {
        self.events.iter().any(|event| matches!(event.what, Happened::Filled { .. }))
    }

    /// The readings of the pH, with the number of the event that each is.
    pub fn readings(&self) -> impl DoubleEndedIterator<Item = (usize, &Reading, Place)> {
        self.events.iter().enumerate().filter_map(|(number, event)| match &event.what {
            Happened::Read(reading) => Some((number, reading, event.place)),
            _ => None,
        })
    }
}
