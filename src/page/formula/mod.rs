//! What a formula comes to, each part as it stands in a page that shows several: sheet, pH, label, cost, and what is
//! different between two versions.

mod cost;
#[cfg(feature = "git")]
mod difference;
mod label;
mod ph;
mod results;
mod sheet;

pub use cost::cost;
#[cfg(feature = "git")]
pub use difference::difference;
pub use label::label;
pub use ph::ph;
pub use results::FormulaResults;
pub use sheet::sheet;
