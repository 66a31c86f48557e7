//! The pH of a formula foreseen: from lines and strengths to mixtures, doses to a window, and how sure it all is.
//!
//! [`Solution::of`] sees a formula as 100 g of the finished batch. [`Direction::doses`] says how much of an adjuster leads to
//! a window. [`outlook`] gathers all of it with its uncertainty, for a sheet; checks ask for less of
//! the same [`Unadjusted`] formula.

mod curve;
mod doses;
mod outlook;
mod solution;
mod solvent;
mod titrated;
mod told;
mod unadjusted;
pub mod uncertainty;
mod validity;

pub use curve::{Band, Curve, band, curve, curve_for_eyes, curve_read};
pub use doses::{Direction, Doses};
pub use outlook::{AdjusterOutlook, FreeAcid, Outlook, outlook};
pub use solution::{Adjuster, LeftOut, Solution};
pub use solvent::Solvents;
pub use titrated::Titrated;
pub use told::{PhUncertainty, VAGUE, is_wide};
pub use unadjusted::{MODEL, Unadjusted};
pub use validity::{GAS, Undissolved, Validity};
