//! The page of a formula: its text on one side, and on the other all that follows from it.

mod body;
mod cost;
mod difference;
mod label;
mod ph;
mod sheet;
mod show;

pub use cost::cost;
pub use difference::difference;
pub use label::label;
pub use ph::ph;
pub use sheet::sheet;
pub use show::show;
