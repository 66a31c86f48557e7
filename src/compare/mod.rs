//! What changed between two versions of a formula, in the maker's terms.
//!
//! [`Meaning`] is a formula in names and figures alone. [`compared`] holds those of two sessions side by side;
//! [`changes`] says of one pair what was edited, what follows from it, and what is told that was not.

mod asks;
mod change;
mod header;
mod line;
mod lines;
mod made;
mod material;
mod meaning;
mod pair;
mod portray;
mod row;
mod version;
mod whole;
mod words;

pub use change::{Change, Kind, Value};
pub use made::plan_and_made;
pub use material::material_meaning;
pub use meaning::{
    AmountMeaning, Foreseen, LineMeaning, MaterialMeaning, Meaning, Named, PartMeaning, PhaseMeaning, Told,
};
pub use pair::{Compared, MaterialCompared, Status, compared, materials_apart};
pub use row::{Row, in_one_line};
pub use version::version_not_bumped;
pub use whole::changes;
