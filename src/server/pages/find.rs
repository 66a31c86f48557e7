//! The search of a page: one box, and what it finds.

use maud::{Markup, html};

/// A search, sent by Enter or its button.
pub struct Find<'f> {
    /// The page that answers.
    pub address: &'f str,
    /// The name under which the words stand in the address.
    pub key: &'f str,
    /// What was asked for.
    pub asked: &'f str,
    /// What may be asked for, in a few words.
    pub hint: &'f str,
}

impl Find<'_> {
    /// As it stands on the page.
    pub fn markup(&self) -> Markup {
        html! {
            form.row role="search" method="get" action=(self.address) {
                div.field {
                    label for="find" { "Find" }
                    input id="find" type="search" name=(self.key) value=(self.asked) autocomplete="off" spellcheck="false"
                        aria-describedby="find-hint";
                    small id="find-hint" { (self.hint) }
                }
                button type="submit" { "Search" }
            }
        }
    }
}

/// Whether a text has every word that was asked for, whatever their case.
pub fn matches(asked: &str, text: &str) -> bool {
    let text = text.to_lowercase();
    asked.to_lowercase().split_whitespace().all(|word| text.contains(word))
}

#[cfg(test)]
mod tests {
    use super::matches;

    #[test]
    fn every_word_has_to_be_there() {
        assert!(matches("", "glycerin") && matches("GLY", "glycerin") && matches("acid lactic", "lactic-acid-88"));
        assert!(!matches("lactic oil", "lactic-acid-88"));
    }
}
