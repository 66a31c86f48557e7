//! Text that is fit to be read: what a file, a path or an argument has in it never reaches a terminal raw.
//!
//! A control character moves the cursor, colours what stands beside it or wipes it out; a control of direction makes
//! text read otherwise than it is written (Unicode Standard Annex 9); a character of no width makes two names look like
//! one. Each is shown as `\u{202e}`, a line break within a text as `\n` and a tab as `\t`, so that no text can forge a
//! line of output or a column.

use serde::Serialize;
use serde::de::DeserializeOwned;
use serde_json::Value;
use std::borrow::Cow;
use std::fmt::Write as _;
use std::path::Path;

/// Whether a character is none that a reader would see: a control, a control of direction, one of no width, or a line
/// break that is none to a terminal. Joiners and variation selectors stay: scripts and signs are written with them.
#[must_use]
pub fn is_unseen(letter: char) -> bool {
    letter.is_control()
        || matches!(letter,
            // Controls of direction (Unicode Standard Annex 9, section 2).
            '\u{61c}' | '\u{200e}' | '\u{200f}' | '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}'
            // Line and paragraph separators.
            | '\u{2028}' | '\u{2029}'
            // Format characters and fillers that nothing shows of (Unicode, General_Category=Cf and
            // Default_Ignorable_Code_Point).
            | '\u{ad}' | '\u{34f}' | '\u{115f}' | '\u{1160}' | '\u{17b4}' | '\u{17b5}' | '\u{180e}' | '\u{200b}'
            | '\u{2060}'..='\u{2065}' | '\u{206a}'..='\u{206f}' | '\u{3164}' | '\u{feff}' | '\u{ffa0}'
            | '\u{fff0}'..='\u{fffb}' | '\u{1bca0}'..='\u{1bca3}' | '\u{1d173}'..='\u{1d17a}'
            | '\u{e0000}'..='\u{e0fff}')
}

/// A text within a line: nothing in it is left raw, no line break and no tab either.
#[must_use]
pub fn shown(text: &str) -> Cow<'_, str> {
    replaced(text, text.char_indices().filter(|(_, letter)| is_unseen(*letter)))
}

/// A path within a line.
#[must_use]
pub fn shown_path(path: &Path) -> String {
    shown(&path.to_string_lossy()).into_owned()
}

/// A text of several lines: their ends and tabs stay, and nothing else is left raw.
#[must_use]
pub fn shown_lines(text: &str) -> Cow<'_, str> {
    replaced(text, hidden_in_file(text))
}

/// What must not be shown as it is of a text of several lines, and where it stands.
pub(super) fn hidden_in_file(text: &str) -> impl Iterator<Item = (usize, char)> {
    text.char_indices().filter(|(at, letter)| match letter {
        '\n' | '\t' => false,
        // Before a line feed it is the end of a line; alone it would wipe the line out.
        '\r' => !text.get(at + 1..).is_some_and(|rest| rest.starts_with('\n')),
        other => is_unseen(*other),
    })
}

fn replaced(text: &str, hidden: impl Iterator<Item = (usize, char)>) -> Cow<'_, str> {
    let mut out = String::new();
    let mut done = 0;
    for (at, letter) in hidden {
        out.push_str(text.get(done..at).unwrap_or_default());
        push_escape(&mut out, letter);
        done = at + letter.len_utf8();
    }
    if done == 0 {
        return Cow::Borrowed(text);
    }
    out.push_str(text.get(done..).unwrap_or_default());
    Cow::Owned(out)
}

/// The visible form of a character.
pub(super) fn push_escape(out: &mut String, letter: char) {
    match letter {
        '\n' => out.push_str("\\n"),
        '\t' => out.push_str("\\t"),
        // Writing to a string cannot fail.
        other => {
            let _ = write!(out, "\\u{{{:x}}}", u32::from(other));
        }
    }
}

/// JSON that means the same, with everything unseen in its strings written as `\u202e`.
#[must_use]
pub fn shown_json(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for letter in text.chars() {
        // Between the strings there are line ends only, and within them those are escaped already.
        if is_unseen(letter) && letter != '\n' {
            for unit in letter.encode_utf16(&mut [0; 2]) {
                let _ = write!(out, "\\u{unit:04x}");
            }
        } else {
            out.push(letter);
        }
    }
    out
}

/// Data with every text in it made fit for a line, so that a writer of lines cannot forget one.
#[must_use]
pub fn shown_data<T: Serialize + DeserializeOwned + Clone>(data: &T) -> T {
    with_texts(data, &|_, text| shown(text).into_owned())
}

/// Data with every text in it replaced, by the name of its field.
pub(super) fn with_texts<T: Serialize + DeserializeOwned + Clone>(data: &T, by: &dyn Fn(&str, &str) -> String) -> T {
    let changed = serde_json::to_value(data).map(|mut value| {
        replace(&mut value, "", by);
        value
    });
    // All that is printed is read back as it was written: it is what `--format json` prints.
    changed.and_then(serde_json::from_value).unwrap_or_else(|_| data.clone())
}

fn replace(value: &mut Value, field: &str, by: &dyn Fn(&str, &str) -> String) {
    match value {
        Value::String(text) => *text = by(field, text),
        Value::Array(all) => all.iter_mut().for_each(|one| replace(one, field, by)),
        Value::Object(fields) => fields.iter_mut().for_each(|(field, one)| replace(one, field, by)),
        Value::Null | Value::Bool(_) | Value::Number(_) => {}
    }
}

/// Text that may go to a terminal as it is. What is unseen in whatever becomes one is shown; only what was drawn keeps
/// its colours, since all that was drawn had been shown so before. It does not become a text again by itself.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Screen(String);

impl Screen {
    /// What the drawing library made of texts that were fit for a terminal.
    #[cfg(feature = "terminal")]
    pub(super) fn drawn(text: String) -> Screen {
        Screen(text)
    }

    /// The text.
    #[must_use]
    pub fn as_str(&self) -> &str {
        &self.0
    }

    /// The same, followed by more.
    #[must_use]
    pub fn and(mut self, more: impl Into<Screen>) -> Screen {
        self.0.push_str(&more.into().0);
        self
    }
}

impl From<&str> for Screen {
    fn from(text: &str) -> Screen {
        Screen(shown_lines(text).into_owned())
    }
}

impl From<String> for Screen {
    fn from(text: String) -> Screen {
        Screen::from(text.as_str())
    }
}

/// What a stream takes: a text, of which nothing goes through raw, or what was drawn.
pub trait OnScreen {
    /// As it may go to a terminal.
    fn on_screen(&self) -> Cow<'_, str>;
}

impl OnScreen for str {
    fn on_screen(&self) -> Cow<'_, str> {
        shown_lines(self)
    }
}

impl OnScreen for String {
    fn on_screen(&self) -> Cow<'_, str> {
        shown_lines(self)
    }
}

impl OnScreen for Screen {
    fn on_screen(&self) -> Cow<'_, str> {
        Cow::Borrowed(&self.0)
    }
}

#[cfg(test)]
mod tests {
    use super::{Screen, shown, shown_json, shown_lines};

    #[test]
    fn what_is_unseen_is_shown_and_the_rest_left() {
        for (text, wanted) in [
            ("Rosenwasser 5 % – für Öl\u{a0}∙ ☀\u{fe0f}", "Rosenwasser 5 % – für Öl\u{a0}∙ ☀\u{fe0f}"),
            ("a\u{1b}[2Jb", "a\\u{1b}[2Jb"),
            ("a\nb\tc\rd", "a\\nb\\tc\\u{d}d"),
            ("\u{0}\u{7f}\u{85}\u{9b}", "\\u{0}\\u{7f}\\u{85}\\u{9b}"),
            ("\u{202e}x\u{2066}\u{200f}\u{61c}", "\\u{202e}x\\u{2066}\\u{200f}\\u{61c}"),
            ("\u{2028}\u{200b}\u{feff}\u{e0041}", "\\u{2028}\\u{200b}\\u{feff}\\u{e0041}"),
        ] {
            assert_eq!(shown(text), wanted);
        }
    }

    #[test]
    fn lines_keep_their_ends() {
        assert_eq!(shown_lines("a\r\nb\n\tc\rd\u{1b}"), "a\r\nb\n\tc\\u{d}d\\u{1b}");
        assert_eq!(Screen::from("a\u{1b}[31m").as_str(), "a\\u{1b}[31m");
    }

    #[test]
    fn json_means_the_same() {
        let texts = ["\u{7f}\u{9b}31m\u{202e}\u{2028}", "\u{e0041}\u{1}\n \\ \" é"];
        let written = serde_json::to_string_pretty(&texts).unwrap();
        let safe = shown_json(&written);
        assert_eq!(serde_json::from_str::<[String; 2]>(&safe).unwrap(), texts);
        assert!(safe.contains("\\u007f\\u009b31m\\u202e\\u2028") && safe.contains("\\udb40\\udc41"), "{safe}");
    }
}
