//! An entry of a declaration.

use crate::quantity::Interval;
use smol_str::SmolStr;

/// Where an entry stands in the line.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Part {
    /// By weight: it may be one whose place the law fixes.
    Ordered,
    /// Surely one that may stand in any order, behind those.
    Free,
    /// An allergen named out of a scent or a whole, in whose weight it is counted.
    Allergen,
    /// A colourant.
    Colourant,
}

impl Part {
    /// The word for it in JSON.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Part::Ordered => "ordered",
            Part::Free => "free",
            Part::Allergen => "allergen",
            Part::Colourant => "colourant",
        }
    }
}

/// An entry of a declaration: a printed name, and how much stands behind it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Entry {
    /// The name as it is printed.
    pub name: String,
    /// The substances behind it, by their names, in the order of the alphabet.
    pub substances: Vec<SmolStr>,
    /// Where it stands.
    pub part: Part,
    /// How much of it there is, in percent.
    pub share: Interval,
    /// Whether it surely has to be named.
    pub sure: bool,
}
