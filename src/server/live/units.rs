//! Places in a text as a browser counts them: in units of UTF-16.

/// A text whose bytes can be told as units of UTF-16, and the other way round.
pub struct Units<'t> {
    text: &'t str,
    /// Byte and unit at which each line begins; none for a text in which they are the same.
    lines: Option<Vec<(usize, usize)>>,
}

impl<'t> Units<'t> {
    /// Looks through a text once.
    #[must_use]
    pub fn of(text: &'t str) -> Units<'t> {
        if text.is_ascii() {
            return Units { text, lines: None };
        }
        let (mut byte, mut unit) = (0, 0);
        let mut lines = Vec::new();
        for line in text.split_inclusive('\n') {
            lines.push((byte, unit));
            byte += line.len();
            unit += line.encode_utf16().count();
        }
        lines.push((byte, unit));
        Units { text, lines: Some(lines) }
    }

    /// The unit at which a byte stands; of one within a character, where that begins.
    #[must_use]
    pub fn at_byte(&self, byte: usize) -> usize {
        let Some(lines) = &self.lines else { return byte.min(self.text.len()) };
        let (start, unit) = before(lines, |(start, _)| *start <= byte);
        let letters = self.text.get(start..).unwrap_or_default().char_indices();
        let passed = letters.take_while(|(at, letter)| start + at + letter.len_utf8() <= byte);
        unit + passed.map(|(_, letter)| letter.len_utf16()).sum::<usize>()
    }

    /// The byte at which a unit stands; of one within a character, where that begins.
    #[must_use]
    pub fn at_unit(&self, wanted: usize) -> usize {
        let Some(lines) = &self.lines else { return wanted.min(self.text.len()) };
        let (start, mut unit) = before(lines, |(_, unit)| *unit <= wanted);
        let mut byte = start;
        for letter in self.text.get(start..).unwrap_or_default().chars() {
            unit += letter.len_utf16();
            if unit > wanted {
                break;
            }
            byte += letter.len_utf8();
        }
        byte
    }
}

/// The last line that begins no later.
fn before(lines: &[(usize, usize)], is_passed: impl Fn(&(usize, usize)) -> bool) -> (usize, usize) {
    let at = lines.partition_point(is_passed).saturating_sub(1);
    lines.get(at).copied().unwrap_or_default()
}

#[cfg(test)]
mod tests {
    use super::Units;

    #[test]
    fn both_ways_agree_with_the_standard_library() {
        for text in ["", "abc\nd", "ä\n\u{1f33f} b\r\n水\te\u{301}\n", "\u{1f33f}\n\u{1f33f}"] {
            let units = Units::of(text);
            for (byte, letter) in text.char_indices().chain([(text.len(), ' ')]) {
                let unit = text[..byte].encode_utf16().count();
                assert_eq!(units.at_byte(byte), unit, "{text:?} {byte}");
                assert_eq!(units.at_unit(unit), byte, "{text:?} {unit}");
                if byte < text.len() && letter.len_utf16() == 2 {
                    assert_eq!((units.at_byte(byte + 1), units.at_unit(unit + 1)), (unit, byte));
                }
            }
            assert_eq!(units.at_unit(1_000), text.len());
            assert_eq!(units.at_byte(1_000), text.encode_utf16().count());
        }
    }
}
