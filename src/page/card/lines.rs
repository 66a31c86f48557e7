//! Text cut into lines by the widths of its letters, so that no line is longer than it has room.

use super::letters::{Face, Letters};
use crate::render::shown;
use unicode_width::UnicodeWidthChar as _;

/// A text as it stands on the card: what is unseen in it is shown, and spaces stand one by one.
pub(super) fn visible(text: &str) -> String {
    shown(text).split(' ').filter(|word| !word.is_empty()).collect::<Vec<&str>>().join(" ")
}

/// The lines of a text, each at most so wide. A word that is wider than a line is cut within.
pub(super) fn lines(letters: &Letters, text: &str, face: Face, size: f64, room: f64) -> Vec<String> {
    let space = letters.width(" ", face, size);
    let mut done: Vec<String> = Vec::new();
    let (mut line, mut wide) = (String::new(), 0.0);
    let text = visible(text);
    for word in text.split(' ') {
        for piece in pieces(letters, word, face, size, room) {
            let own = letters.width(piece.text, face, size);
            let before = if line.is_empty() || piece.is_within { 0.0 } else { space };
            if !line.is_empty() && (piece.is_within || wide + before + own > room) {
                done.push(std::mem::take(&mut line));
                wide = 0.0;
            } else if before > 0.0 {
                line.push(' ');
                wide += before;
            }
            line.push_str(piece.text);
            wide += own;
        }
    }
    if !line.is_empty() {
        done.push(line);
    }
    done
}

struct Piece<'t> {
    text: &'t str,
    /// Whether it goes on with a word that did not fit.
    is_within: bool,
}

/// A word in as many pieces as it needs.
fn pieces<'t>(letters: &Letters, word: &'t str, face: Face, size: f64, room: f64) -> Vec<Piece<'t>> {
    if letters.width(word, face, size) <= room {
        return vec![Piece { text: word, is_within: false }];
    }
    let mut all: Vec<Piece<'t>> = Vec::new();
    let (mut from, mut wide) = (0, 0.0);
    for (at, letter) in word.char_indices() {
        let own = letters.of(letter, face) * size;
        // A mark stays with the letter that it stands over.
        if wide + own > room && at > from && letter.width() != Some(0) {
            all.push(Piece { text: word.get(from..at).unwrap_or_default(), is_within: from > 0 });
            (from, wide) = (at, 0.0);
        }
        wide += own;
    }
    all.push(Piece { text: word.get(from..).unwrap_or_default(), is_within: from > 0 });
    all
}

#[cfg(test)]
mod tests {
    use super::{Face, Letters, lines};

    #[test]
    fn no_line_is_wider_than_its_room_and_nothing_is_lost() {
        let letters = Letters::new();
        let long = "w".repeat(300);
        for text in [
            "",
            "one",
            "Sodium hydroxide stock, 2 %",
            &long,
            "a\u{301}\u{301} שלום \u{202e}x <&\"> 漢字漢字漢字漢字漢字",
        ] {
            for room in [60.0, 140.0, 400.0] {
                let cut = lines(&letters, text, Face::Plain, 30.0, room);
                assert!(cut.iter().all(|line| letters.width(line, Face::Plain, 30.0) <= room + 0.001), "{cut:?}");
                let bare = |text: &str| text.replace(' ', "");
                assert_eq!(bare(&cut.concat()), bare(&super::visible(text)));
            }
        }
    }
}
