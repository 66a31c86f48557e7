//! Acids and bases in water: what no exact arithmetic can hold. Nothing of it goes into a weight on a sheet.
//!
//! A [`Mixture`] is water, families of acids and bases, and bare ions. [`equilibrium`] finds its pH: the charges of
//! all species have to add to nothing, and at one activity of hydrogen ions they do. [`Blend::dose`] asks the other
//! way round how much of something leads to a pH. Molalities, 25 °C, the ion product of water 13.995; `docs/ph.md`
//! tells the model and how it was checked.

mod activity;
mod balance;
mod dose;
mod equilibrium;
mod forms;
mod free;
pub mod interaction;
mod limit;
mod metals;
mod mixture;
mod settled;

pub use activity::{Activity, Medium};
pub use balance::{Complex, PKW};
pub use dose::{Blend, brought_to, buffer_capacity, is_beyond};
pub use equilibrium::{Equilibrium, complexes, equilibrium, species, undissolved};
pub use free::{free_share, undissociated};
pub use mixture::{AcidFamily, Binding, Constants, Ion, Mixture, Solvent, WATER_KG_PER_MOL};
