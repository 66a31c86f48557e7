//! The versions of a formula: what changed between two of them, in the maker's terms, and which commits of a repository
//! changed it.
//!
//! [`FormulaMeaning`] is a formula in names and figures alone. [`compared`] holds those of two sessions side by side;
//! [`changes`] says of one pair what was edited, what follows from it, and what is told that was not. [`walk`] goes back
//! through the commits, [`log`] tells what each of them changed, and [`recover`] finds versions that are gone from the files.

mod change;
mod demands;
mod describe;
mod header;
mod line;
mod lines;
mod log;
mod lost;
mod made;
mod material;
mod meaning;
mod pair;
mod row;
mod sold;
mod state;
mod version;
mod walk;
mod whole;
mod words;

pub use change::{Change, ChangeKind, Value};
pub use log::{Track, VersionEntry, log};
pub use lost::{Recovered, Recovery, is_any_lost, lost_plan, recover, recover_for};
pub use made::plan_and_made;
pub use material::material_meaning;
pub use meaning::{
    AmountMeaning, FindingMeaning, ForecastMeaning, FormulaMeaning, LineMeaning, MaterialMeaning, NamedText,
    PartMeaning, PhaseMeaning, SoldMeaning,
};
pub use pair::{Compared, MaterialCompared, Status, compared, materials_apart};
pub use row::{ChangeRow, in_one_line};
pub use state::{FileStates, Past};
pub use version::version_not_bumped;
pub use walk::{CommitStep, walk};
pub use whole::changes;
