//! A session: files with their trees and names, every check over them, and what came of it.

mod acceptance;
mod assessor;
mod bearing;
mod carried;
mod findings;
mod labels;
mod live;
mod memory;
mod moved;
mod report;
mod run;
mod settled;
mod swap_line;
mod swaps;

pub use acceptance::{Acceptance, acceptance};
pub use assessor::{
    AssessedMaterial, AssessedSubstance, AssessorFile, MissingFact, NamedSubstance, Presence, ReadRule, RuleFound,
};
pub use findings::Findings;
pub use labels::{LabelOrder, Labels, NoLabels, says_itself};
pub use live::{FileChange, Session};
pub use report::{CheckedFormula, FormulaReport, Report, check, check_to_foresee, check_without_forecast};
pub use swap_line::Kept;
pub use swaps::{Outcome, Swapped, Swaps, swaps};
