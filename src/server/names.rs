//! Names that are typed into a page.

use crate::render::shown;
use crate::syntax::{MAX_NAME, RESERVED};

/// Whether a text is a name of the language.
///
/// # Errors
/// Why it is none, in a sentence.
pub fn is_name(text: &str) -> Result<(), String> {
    let is_part =
        |part: &str| !part.is_empty() && part.bytes().all(|byte| byte.is_ascii_lowercase() || byte.is_ascii_digit());
    let is_plain = text.starts_with(|first: char| first.is_ascii_lowercase()) && text.split('-').all(is_part);
    if text.is_empty() {
        return Err("Give it a name.".to_string());
    }
    if !is_plain {
        return Err(format!(
            "`{}` is no name: a name is of small letters, digits and single hyphens, a letter first, as `day-cream`.",
            shown(text)
        ));
    }
    if text.len() > MAX_NAME {
        return Err(format!("A name has {MAX_NAME} letters at most, and this one has {}.", text.len()));
    }
    if RESERVED.contains(&text) {
        return Err(format!("`{text}` is a word of the language, and no name."));
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::is_name;

    #[test]
    fn only_names_of_the_language_are_taken() {
        for name in ["a", "day-cream", "gel2", "c-2-b"] {
            assert_eq!(is_name(name), Ok(()));
        }
        let long = "a".repeat(101);
        for name in
            ["", " ", "Day", "day cream", "-a", "a-", "a--b", "2a", "ä", "a/b", "../a", "a.b", "water\u{202e}", &long]
        {
            assert!(is_name(name).is_err(), "{name}");
        }
    }
}
