//! The page of a formula: its text on one side, and on the other all that follows from it. And that of a whole file.

mod body;
mod file;
mod parts;
mod show;
mod versions;

pub use file::show as show_file;
pub use show::show;
