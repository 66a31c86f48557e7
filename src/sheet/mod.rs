//! The sheet of a formula: the weights on the scale, the pH that is foreseen, and the figures that are printed.

mod figures;
mod plan;

pub mod ph;

pub use figures::{
    ActiveFigures, Caution, LineFigures, PhaseFigures, SheetFigures, StepPiece, StepWeight, SubstanceFigures,
    WeighedPart, cautions, cautions_of, steps,
};
pub use plan::{BatchOrder, HeldWeight, Plan, PlanLine, plan};
