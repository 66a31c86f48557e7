//! A field as it is told of: in the documents, and wherever one asks what a word is.

use crate::diagnostic::Level;
use crate::syntax::vocabulary::{Borne, Charge, Doing, Market, MaterialPhase, Microbe, Product};

/// A field of a block, or a form that a field may take.
#[derive(Clone, Copy, Debug)]
pub struct Field {
    /// The word that opens it; empty where a name does, or where it is a part of a statement.
    pub word: &'static str,
    /// How it is written, in Markdown.
    pub form: &'static str,
    /// Where it stands, and how often.
    pub stands: &'static str,
    /// What its values are and what it says; a closed list of words by its name: `{markets}`.
    pub(super) means: &'static str,
    /// What holds where it is left out.
    pub default: &'static str,
    /// The codes that look at it.
    pub checks: &'static str,
}

impl Field {
    /// What its values are and what it says, with the words of the closed lists.
    #[must_use]
    pub fn meaning(&self) -> String {
        let mut text = self.means.to_string();
        for (name, words) in lists() {
            if text.contains(name) {
                let words: Vec<String> = words.iter().map(|word| format!("`{word}`")).collect();
                text = text.replace(name, &words.join(", "));
            }
        }
        text
    }
}

/// The closed lists of words, by what stands for them in a meaning.
fn lists() -> [(&'static str, Vec<&'static str>); 9] {
    let (sites, kinds): (Vec<&str>, Vec<&str>) =
        Product::WORDS.iter().partition(|word| Product::from_word(word).is_some_and(Product::is_site));
    [
        ("{kinds}", kinds),
        ("{sites}", sites),
        ("{markets}", Market::WORDS.to_vec()),
        ("{phases}", MaterialPhase::WORDS.to_vec()),
        ("{microbes}", Microbe::WORDS.to_vec()),
        ("{charges}", Charge::WORDS.to_vec()),
        ("{doings}", Doing::WORDS.to_vec()),
        ("{borne}", Borne::WORDS.to_vec()),
        ("{levels}", [Level::Error, Level::Warning, Level::Note].map(Level::word).to_vec()),
    ]
}
