//! What a session is about once names are looked up: plain data, no text to parse, no I/O.

mod batch;
mod composition;
mod duration;
mod formula;
mod header_line;
mod material;
mod premix;
mod rule;
mod steps;
mod substance;

pub use batch::{
    Batch, ContainerFill, Event, FrozenLine, FrozenPlan, FrozenPremix, FrozenTarget, Happened, Lot, Named, Reading,
    Struck, Unread,
};
pub use composition::Composition;
pub use duration::Duration;
pub use formula::{
    Allowance, AmountIs, Basis, Bound, Demand, Ensured, Formula, HeldBack, LabelFacts, LabelText, Line, LineAmount,
    LineMaterial, MakesSize, Phase, Scale, Target, Titration, Used,
};
pub use header_line::HeaderLine;
pub use material::{Avoid, Avoided, Component, Material, MeasuredPh, PhRange, Stated, Temperature, Usage, ph_words};
pub use premix::materials_of;
pub use rule::{Ask, Clause, Counting, Rule, Subject, When};
pub use steps::{Portion, Step, StepMark, StepName, Steps};
pub use substance::{AcidBase, AcidGroups, Binds, MovesPka, Preserves, Salt, Substance};

use crate::diagnostic::FileId;

/// A declaration: its file, and its number in that file (for the shelf, its number in the index).
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct DeclId {
    /// The file.
    pub file: FileId,
    /// The number.
    pub item: u32,
}
