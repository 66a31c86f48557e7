//! The sheet of a formula: the weights on the scale, the pH that is foreseen, and the figures that are printed.

mod plan;

pub mod ph;

pub use plan::{Order, Plan, PlanLine, plan};
