//! Offsets of a text, in bytes, and positions as a client counts them: lines, and units of the encoding agreed on.

use crate::diagnostic::Span;
use line_index::{LineCol, LineIndex, TextSize, WideEncoding, WideLineCol};
use lsp_types::{Position, PositionEncodingKind, Range};

/// What a client counts within a line.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Encoding {
    /// Bytes.
    Utf8,
    /// Units of 16 bits: what every client knows.
    #[default]
    Utf16,
    /// Characters.
    Utf32,
}

impl Encoding {
    /// The one that is least work of those a client knows.
    #[must_use]
    pub fn agreed(offered: &[PositionEncodingKind]) -> Encoding {
        let knows = |kind: &PositionEncodingKind| offered.contains(kind);
        if knows(&PositionEncodingKind::UTF8) {
            Encoding::Utf8
        } else if knows(&PositionEncodingKind::UTF32) && !knows(&PositionEncodingKind::UTF16) {
            Encoding::Utf32
        } else {
            Encoding::Utf16
        }
    }

    /// The encoding as the protocol names it.
    #[must_use]
    pub fn kind(self) -> PositionEncodingKind {
        match self {
            Encoding::Utf8 => PositionEncodingKind::UTF8,
            Encoding::Utf16 => PositionEncodingKind::UTF16,
            Encoding::Utf32 => PositionEncodingKind::UTF32,
        }
    }

    fn wide(self) -> Option<WideEncoding> {
        match self {
            Encoding::Utf8 => None,
            Encoding::Utf16 => Some(WideEncoding::Utf16),
            Encoding::Utf32 => Some(WideEncoding::Utf32),
        }
    }
}

/// The byte-order mark, which a client may send and no tree knows of.
const MARK: char = '\u{feff}';

/// The lines of one text. Offsets are those of the text without a byte-order mark, as everywhere in the library;
/// positions are those of the text as the client has it.
#[derive(Clone, Debug)]
pub struct Positions {
    index: LineIndex,
    encoding: Encoding,
    /// The bytes of the byte-order mark.
    mark: usize,
}

impl Positions {
    /// Reads the lines of a text once.
    #[must_use]
    pub fn new(text: &str, encoding: Encoding) -> Positions {
        let mark = if text.starts_with(MARK) { MARK.len_utf8() } else { 0 };
        Positions { index: LineIndex::new(text), encoding, mark }
    }

    /// The position of an offset; past the end, that of the end. `text` is the text without its byte-order mark.
    #[must_use]
    pub fn position(&self, text: &str, offset: usize) -> Position {
        let offset = TextSize::try_from(floor(text, offset) + self.mark).unwrap_or(self.index.len());
        let Some(at) = self.index.try_line_col(offset.min(self.index.len())) else { return Position::default() };
        match self.encoding.wide().and_then(|wide| self.index.to_wide(wide, at)) {
            Some(WideLineCol { line, col }) => Position::new(line, col),
            None => Position::new(at.line, at.col),
        }
    }

    /// The positions of both ends of a span.
    #[must_use]
    pub fn range(&self, text: &str, span: Span) -> Range {
        let Span { start, end } = span;
        Range { start: self.position(text, start as usize), end: self.position(text, end as usize) }
    }

    /// The offset of a position. Past the end of a line it is that end, past the last line the end of the text, and
    /// within a character its beginning. `text` is the text without its byte-order mark.
    #[must_use]
    pub fn offset(&self, text: &str, position: Position) -> usize {
        let Some(line) = self.index.line(position.line) else { return text.len() };
        let (start, end) = (usize::from(line.start()), usize::from(line.end()));
        let at = match self.encoding.wide() {
            None => position.character,
            Some(wide) => {
                let at = WideLineCol { line: position.line, col: position.character };
                self.index.to_utf8(wide, at).map_or(u32::MAX, |LineCol { col, .. }| col)
            }
        };
        let (start_in_text, end_in_text) = (start.saturating_sub(self.mark), end.saturating_sub(self.mark));
        let line_text = text.get(start_in_text..end_in_text).unwrap_or_default();
        let line_end =
            start + line_text.trim_end_matches('\n').trim_end_matches('\r').len() + start_in_mark(start, self.mark);
        let offset = start.saturating_add(at as usize).min(line_end);
        floor(text, offset.saturating_sub(self.mark))
    }

    /// The span of a range, its ends put in order.
    #[must_use]
    pub fn span(&self, text: &str, range: Range) -> Span {
        let (one, other) = (self.offset(text, range.start), self.offset(text, range.end));
        Span::new(one.min(other), one.max(other))
    }
}

/// The first line holds the mark as well.
fn start_in_mark(start: usize, mark: usize) -> usize {
    if start == 0 { mark } else { 0 }
}

/// The beginning of the character at an offset, or the end of the text.
fn floor(text: &str, offset: usize) -> usize {
    let mut offset = offset.min(text.len());
    while !text.is_char_boundary(offset) {
        offset -= 1;
    }
    offset
}

#[cfg(test)]
mod tests {
    use super::*;

    const TEXT: &str = "title \"Crème 🧴 dorée\"\r\nmakes 30 g\r\n\r\nlast 中";

    fn both_ways(encoding: Encoding, text: &str) {
        let positions = Positions::new(text, encoding);
        let bare = text.strip_prefix(MARK).unwrap_or(text);
        for (offset, letter) in bare.char_indices().chain([(bare.len(), ' ')]) {
            // Between the two halves of a line end there is no position.
            if letter != '\n' || !bare[..offset].ends_with('\r') {
                assert_eq!(positions.offset(bare, positions.position(bare, offset)), offset, "{encoding:?} {offset}");
            }
        }
    }

    #[test]
    fn every_offset_has_a_position_and_comes_back() {
        for encoding in [Encoding::Utf8, Encoding::Utf16, Encoding::Utf32] {
            both_ways(encoding, TEXT);
            both_ways(encoding, &format!("{MARK}{TEXT}"));
            both_ways(encoding, "");
        }
    }

    /// Counted by hand: `è` is one unit of 16 bits and two bytes, the bottle two units and four bytes.
    #[test]
    fn letters_outside_ascii_are_counted_as_the_client_counts_them() {
        let at = TEXT.find("dorée").expect("it is there");
        let column = |encoding| Positions::new(TEXT, encoding).position(TEXT, at).character;
        assert_eq!((column(Encoding::Utf8), column(Encoding::Utf16), column(Encoding::Utf32)), (19, 16, 15));
        let marked = format!("{MARK}{TEXT}");
        assert_eq!(Positions::new(&marked, Encoding::Utf16).position(TEXT, at).character, 17);
    }

    #[test]
    fn what_is_out_of_range_is_brought_into_it() {
        let positions = Positions::new(TEXT, Encoding::Utf16);
        let offset = |line, character| positions.offset(TEXT, Position::new(line, character));
        assert_eq!(offset(9, 0), TEXT.len());
        assert_eq!(offset(1, 99), TEXT.find("\r\n\r\n").expect("an empty line"));
        assert_eq!(offset(u32::MAX, u32::MAX), TEXT.len());
        assert_eq!(offset(0, u32::MAX), TEXT.find("\r\n").expect("the end of the first line"));
        let bottle = TEXT.find('🧴').expect("a bottle");
        assert_eq!(offset(0, 14), bottle, "within a character");
    }

    #[test]
    fn a_client_that_offers_nothing_counts_in_sixteen_bits() {
        assert_eq!(Encoding::agreed(&[]), Encoding::Utf16);
        assert_eq!(Encoding::agreed(&[PositionEncodingKind::UTF16, PositionEncodingKind::UTF8]), Encoding::Utf8);
        assert_eq!(Encoding::agreed(&[PositionEncodingKind::UTF32]), Encoding::Utf32);
    }
}
