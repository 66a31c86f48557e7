//! Batch records, and the plan frozen into one.

use super::Item;
use super::formula::Header;
use super::literal::{Name, Number, Quantity, Text};
use super::phase::{Amount, Tail};
use crate::diagnostic::Span;
use smol_str::SmolStr;

/// `batch NAME { … }`.
#[derive(Clone, Debug)]
pub struct Batch {
    /// Its name.
    pub name: Name,
    /// Its entries in the order of the bench.
    pub entries: Vec<BatchStatement>,
    /// The whole block.
    pub span: Span,
}

impl Batch {
    /// The plan frozen into it; the last, where there are several.
    #[must_use]
    pub fn plan(&self) -> Option<&FrozenPlan> {
        self.entries.iter().rev().find_map(|entry| match &entry.entry {
            BatchEntry::Plan(plan) => Some(plan),
            _ => None,
        })
    }
}

impl BatchEntry {
    /// The name of the formula, where the statement says of which the record is.
    #[must_use]
    pub fn formula(&self) -> Option<&Name> {
        if let BatchEntry::Formula(name, _) = self { Some(name) } else { None }
    }

    /// The material that a statement speaks of.
    #[must_use]
    pub fn material(&self) -> Option<&Name> {
        match self {
            BatchEntry::Lot { material, .. }
            | BatchEntry::Weighed(material, _)
            | BatchEntry::Added(material, ..)
            | BatchEntry::ToppedUp { material, .. } => Some(material),
            _ => None,
        }
    }
}

/// A statement of a batch record, with its stamps.
#[derive(Clone, Debug)]
pub struct BatchStatement {
    /// What happened.
    pub entry: BatchEntry,
    /// `on DATE`.
    pub on: Option<SmolStr>,
    /// `at TIME`.
    pub at: Option<SmolStr>,
    /// `by "…"`.
    pub by: Option<Text>,
    /// The statement without its stamps.
    pub entry_span: Span,
    /// The whole statement.
    pub span: Span,
}

/// What happened at the bench.
#[derive(Clone, Debug)]
pub enum BatchEntry {
    /// `formula NAME version "…"`.
    Formula(Name, Option<Text>),
    /// `code "…"`.
    Code(Text),
    /// `started DATE`.
    Started(SmolStr),
    /// `size W`.
    Size(Quantity),
    /// `lot MATERIAL "…" …`.
    Lot {
        /// The material.
        material: Name,
        /// The lot's code.
        code: Text,
        /// Its assay.
        assay: Option<Quantity>,
        /// When it was opened.
        opened: Option<SmolStr>,
        /// When it expires.
        expires: Option<SmolStr>,
    },
    /// `calibrated pH A reads B`.
    Calibrated(Number, Number),
    /// `weighed MATERIAL W`.
    Weighed(Name, Quantity),
    /// `added MATERIAL W [because "…"]`.
    Added(Name, Quantity, Option<Text>),
    /// `removed W because "…"`.
    Removed(Quantity, Text),
    /// `reading pH …`.
    Reading {
        /// The reading, or the lower end of a strip's.
        low: Number,
        /// The upper end of a strip's.
        high: Option<Number>,
        /// `by strip`.
        by_strip: bool,
        /// `at T`.
        at: Option<Quantity>,
        /// `diluted A in B`.
        diluted: Option<(Number, Number)>,
    },
    /// `topped-up MATERIAL W`, `to W` of the whole, or both.
    ToppedUp {
        /// The material.
        material: Name,
        /// How much, or to which weight.
        weight: Quantity,
        /// Whether the weight is the whole batch's.
        to: bool,
        /// The weight of the whole, where how much went in is written beside it.
        whole: Option<Quantity>,
    },
    /// `waited T`.
    Waited(Quantity),
    /// `heated T`.
    Heated(Quantity),
    /// `cooled T`.
    Cooled(Quantity),
    /// `yield W`.
    Yield(Quantity),
    /// `filled N x Q [as "…"]`.
    Filled(Number, Quantity, Option<Text>),
    /// `retained N`.
    Retained(Number),
    /// `sold N [to "…"]`.
    Sold(Number, Option<Text>),
    /// `released`.
    Released,
    /// `rejected because "…"`.
    Rejected(Text),
    /// `observed "…"`.
    Observed(Text),
    /// `complaint "…"`.
    Complaint(Text),
    /// `note "…"`.
    Note(Text),
    /// `struck STATEMENT because "…"`: nothing of it is read any more.
    Struck(Box<Struck>),
    /// `plan { … }`.
    Plan(FrozenPlan),
    /// Something that did not parse.
    Broken,
}

/// A statement that was struck out.
#[derive(Clone, Debug)]
pub struct Struck {
    /// Its words as they were written, its stamps among them, each blank one.
    pub statement: SmolStr,
    /// Why.
    pub because: Text,
}

/// `plan { … }`: the formula of a batch as it was resolved when the record began.
#[derive(Clone, Debug, Default)]
pub struct FrozenPlan {
    /// `title`, `version`, `pH …`, `scale …` and `meter …`, as the formula had them.
    pub header: Vec<Header>,
    /// The phases, in the order of the bench.
    pub phases: Vec<PlanPhase>,
    /// The lines.
    pub lines: Vec<FrozenPlanLine>,
    /// `step "…"`: the steps, in the order of the bench.
    pub steps: Vec<Text>,
    /// `premix NAME …`: the premixes, each by its own lines.
    pub premixes: Vec<PlanPremix>,
    /// `contains …` and `material …`, `substance …`: the materials and substances that are not the shelf's, as if each
    /// were declared in the file.
    pub declared: Vec<Item>,
    /// `digest "…"`: of the formula.
    pub digest: Option<Text>,
    /// `compiler "…"`: the version of the program that froze it.
    pub compiler: Option<Text>,
    /// `shelf "…"`: the edition of the shelf it rested on.
    pub shelf: Option<Text>,
    /// Whether something in it did not parse; its fault has been told.
    pub is_faulty: bool,
    /// The whole block.
    pub span: Span,
}

/// `phase NAME` in a frozen plan, and what it opens with.
#[derive(Clone, Debug)]
pub struct PlanPhase {
    /// Its name.
    pub name: Name,
    /// The number of its first line.
    pub first: usize,
    /// `heat to T`.
    pub heat: Option<Quantity>,
    /// `cool to T`.
    pub cool: Option<Quantity>,
}

/// `premix NAME "…" MATERIAL PERCENT AMOUNT, …` in a frozen plan.
#[derive(Clone, Debug)]
pub struct PlanPremix {
    /// Its name.
    pub name: Name,
    /// What it was called on a sheet.
    pub title: Option<Text>,
    /// Its lines.
    pub parts: Vec<FrozenPlanLine>,
}

/// `MATERIAL PERCENT AMOUNT` in a frozen plan, or `MATERIAL q.s. to pH`.
#[derive(Clone, Debug)]
pub struct FrozenPlanLine {
    /// The material.
    pub material: Name,
    /// Its percentage as supplied; none for what is weighed at the bench.
    pub percent: Option<Quantity>,
    /// Its amount as the formula had it.
    pub amount: Amount,
    /// What followed.
    pub tail: Tail,
}
