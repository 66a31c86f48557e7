//! What has to hold of any bytes at all, one target a file. A target panics where it does not.
//!
//! `tests/fuzz.rs` tries each on its corpus and on edits of it; `guided/` goes on from there by what is reached.

pub mod fixes;
pub mod format;
pub mod records;
mod session;
pub mod text;
pub mod words;

/// Parts what is done from the text that it is done to.
const PARTING: &str = "\n----\n";

/// The lines before the parting, and the text after it, where there is one.
fn parted(data: &str) -> (Vec<&str>, Option<&str>) {
    match data.split_once(PARTING) {
        Some((lines, text)) => (lines.lines().collect(), Some(text)),
        None => (data.lines().collect(), None),
    }
}

/// The words of a line as a shell has them: those in quotation marks are one.
fn shell_words(line: &str) -> Vec<String> {
    let mut words = Vec::new();
    let mut word: Option<String> = None;
    let mut quoted = false;
    for character in line.chars() {
        match character {
            '\'' => {
                quoted = !quoted;
                word.get_or_insert_default();
            }
            ' ' if !quoted => words.extend(word.take()),
            _ => word.get_or_insert_default().push(character),
        }
    }
    words.extend(word);
    words
}
