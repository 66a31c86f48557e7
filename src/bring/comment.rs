//! What the table says, as comments and strings of the language: whole, on one line, and with nothing in it that hides.

use std::fmt::Write as _;

/// A cell as it may stand in a comment: line ends as strokes, and every character that nobody sees by its number.
pub fn kept(cell: &str) -> String {
    let mut kept = String::with_capacity(cell.len());
    for letter in cell.trim().chars() {
        match letter {
            '\n' => kept.push_str(" / "),
            '\t' => kept.push(' '),
            hidden if is_hidden(hidden) => {
                // A string takes whatever is written to it.
                let _ = write!(kept, "<U+{:04X}>", u32::from(hidden));
            }
            plain => kept.push(plain),
        }
    }
    kept
}

/// Whether a character shows nothing and yet does something: controls, marks of direction, marks of no width.
fn is_hidden(letter: char) -> bool {
    letter.is_control()
        || matches!(
            letter,
            '\u{ad}' | '\u{34f}' | '\u{61c}' | '\u{180e}' | '\u{200b}'..='\u{200f}' | '\u{2028}'..='\u{202e}'
                | '\u{2060}'..='\u{206f}' | '\u{3164}' | '\u{feff}' | '\u{fff9}'..='\u{fffb}'
        )
}

/// A text as a string of the language; none where it could not stand there as it is.
pub fn string(text: &str) -> Option<String> {
    const LONGEST: usize = 200;
    let fits = text.chars().count() <= LONGEST && !text.contains(|c: char| is_hidden(c) || c == '\n' || c == '\t');
    fits.then(|| format!("\"{}\"", text.replace('\\', "\\\\").replace('"', "\\\"")))
}

/// A name of the language made of a text: small letters, digits and single hyphens, a letter first.
pub fn slug(text: &str) -> String {
    const LONGEST: usize = 48;
    let mut slug = String::new();
    for letter in text.chars().flat_map(char::to_lowercase) {
        let letters = plain_letters(letter);
        match letters {
            "" if !slug.ends_with('-') && !slug.is_empty() => slug.push('-'),
            _ => slug.push_str(letters),
        }
        if slug.len() >= LONGEST {
            break;
        }
    }
    let slug = slug.trim_matches('-');
    match slug.starts_with(|c: char| c.is_ascii_lowercase()) {
        true => slug.to_string(),
        false if slug.is_empty() => "material".to_string(),
        false => format!("m{slug}"),
    }
}

/// A small letter without its marks; nothing where it is none of ours.
fn plain_letters(letter: char) -> &'static str {
    const ASCII: &str = "abcdefghijklmnopqrstuvwxyz0123456789";
    if let Some(at) = ASCII.find(letter) {
        return ASCII.get(at..=at).unwrap_or("");
    }
    match letter {
        'à' | 'á' | 'â' | 'ã' | 'å' | 'ā' | 'ą' => "a",
        'ä' | 'æ' => "ae",
        'ç' | 'ć' | 'č' => "c",
        'ď' | 'đ' | 'ð' => "d",
        'è' | 'é' | 'ê' | 'ë' | 'ē' | 'ę' | 'ě' => "e",
        'ì' | 'í' | 'î' | 'ï' | 'ī' => "i",
        'ł' => "l",
        'ñ' | 'ń' | 'ň' => "n",
        'ò' | 'ó' | 'ô' | 'õ' | 'ø' | 'ō' => "o",
        'ö' | 'œ' => "oe",
        'ř' => "r",
        'ś' | 'š' => "s",
        'ß' => "ss",
        'ť' => "t",
        'ù' | 'ú' | 'û' | 'ū' | 'ů' => "u",
        'ü' => "ue",
        'ý' | 'ÿ' => "y",
        'ź' | 'ž' | 'ż' => "z",
        _ => "",
    }
}
