//! A formula in percent as one picture, to share with those one teaches.

mod content;
mod drawing;
mod layout;
mod letters;
mod lines;
mod parts;
mod pen;

pub use content::{Card, CardLine, CardPhase};
pub use drawing::{DrawnCard, TooHigh};
pub use layout::CardSize;
