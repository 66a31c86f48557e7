//! The pH of a formula foreseen: from lines and strengths to mixtures, doses to a window, and how sure it all is.
//!
//! [`Beaker::of`] sees a formula as 100 g of the finished batch. [`Way::doses`] says how much of an adjuster leads to
//! a window. [`outlook`] gathers all of it with its uncertainty, for a sheet; checks ask for less.

mod beaker;
mod curve;
mod doses;
mod ground;
mod outlook;
pub mod spread;

pub use beaker::{Adjuster, Beaker, LeftOut};
pub use curve::{Curve, curve};
pub use doses::{Doses, Way, Window};
pub use ground::{GAS, Ground, Undissolved};
pub use outlook::{AdjusterOutlook, FreeAcid, Outlook, Range, outlook};
