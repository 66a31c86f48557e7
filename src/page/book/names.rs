//! The file of each page: small letters, digits and hyphens behind the word for what it is, so that no system has
//! another use for it, and no two are one where capitals do not count.

use std::collections::BTreeSet;

/// The letters of a name that stay; a file system takes 255 bytes, with what a page is written as before it has its name.
const LETTERS: usize = 100;

/// The files that are given away.
#[derive(Debug, Default)]
pub(super) struct FileNames {
    taken: BTreeSet<String>,
}

impl FileNames {
    /// A file for the page of a thing of this kind and name that no other page has.
    pub(super) fn give(&mut self, kind: &str, name: &str) -> String {
        let plain = plain(name);
        let stem = if plain.is_empty() { kind.to_string() } else { format!("{kind}-{plain}") };
        let mut file = format!("{stem}.html");
        let mut number = 2_usize;
        while !self.taken.insert(file.clone()) {
            file = format!("{stem}-{number}.html");
            number += 1;
        }
        file
    }
}

/// A name in small letters, digits and single hyphens.
fn plain(name: &str) -> String {
    let mut out = String::new();
    for letter in name.chars() {
        let letter = letter.to_ascii_lowercase();
        if letter.is_ascii_alphanumeric() {
            out.push(letter);
        } else if !out.is_empty() && !out.ends_with('-') {
            out.push('-');
        }
        if out.len() >= LETTERS {
            break;
        }
    }
    out.trim_end_matches('-').to_string()
}

#[cfg(test)]
mod tests {
    use super::FileNames;

    #[test]
    fn no_two_pages_have_one_file() {
        let mut names = FileNames::default();
        let mut give = |name: &str| names.give("formula", name);
        assert_eq!(give("day-cream"), "formula-day-cream.html");
        assert_eq!(give("Day-Cream"), "formula-day-cream-2.html");
        assert_eq!(give("day-cream"), "formula-day-cream-3.html");
        assert_eq!(give("day-cream-2"), "formula-day-cream-2-2.html");
    }

    #[test]
    fn whatever_a_name_is_its_file_can_be_made() {
        let mut names = FileNames::default();
        let mut give = |name: &str| names.give("batch", name);
        assert_eq!(give("con"), "batch-con.html");
        assert_eq!(give("../../etc"), "batch-etc.html");
        assert_eq!(give("\u{202e}<b>&\"'"), "batch-b.html");
        assert_eq!(give("\u{5d0}"), "batch.html");
        assert_eq!(give(""), "batch-2.html");
        assert!(give(&"a".repeat(400)).len() < 120);
    }
}
