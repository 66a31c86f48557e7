//! What a filled batch leaves over, as it is printed.

use crate::batch::{UnknownFill, View};
use crate::quantity::Exact;

/// What is left over: in grams, and in words.
#[derive(Default)]
pub(super) struct LeftOverText {
    /// In grams; none before it is filled, and where nobody knows.
    pub grams: Option<String>,
    /// In words, or why nobody knows; none before it is filled.
    pub words: Option<String>,
}

impl LeftOverText {
    /// What a batch leaves over.
    pub fn new(view: &View<'_>) -> LeftOverText {
        let Some(filling) = &view.filling else { return LeftOverText::default() };
        let grams = |weight: &Exact| view.ledger.grams(weight);
        let filled = match &filling.filled {
            Ok(filled) => filled,
            Err(unknown) => {
                let why = match unknown {
                    UnknownFill::NoDensity => {
                        "it was filled by volume, and no density is known; write `density` into the formula, or what \
                         each holds in grams"
                    }
                    UnknownFill::AtFault => "how many there are, or what each holds, cannot be",
                };
                return LeftOverText { grams: None, words: Some(format!("what is left over is not known: {why}")) };
            }
        };
        let left = &filling.there - filled;
        let there = match filling.is_yield {
            true => format!("the {} g that came out", grams(&filling.there)),
            false => format!("{} g", grams(&filling.there)),
        };
        let rest = match (left.is_positive(), left.is_negative()) {
            (true, _) => format!("{} g are left over", grams(&left)),
            (_, true) => format!("{} g more than there was by the record", grams(&left.abs())),
            _ => "nothing is left over".to_string(),
        };
        let words = format!("filled: {} g of {there}; {rest}", grams(filled));
        LeftOverText { grams: Some(grams(&left)), words: Some(words) }
    }
}

/// What a batch leaves over, in words; none before it is filled.
#[must_use]
pub fn left_over_words(view: &View<'_>) -> Option<String> {
    LeftOverText::new(view).words
}
