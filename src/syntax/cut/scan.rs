//! How far things reach: text in quotation marks, comments, and a statement up to its end or its block.

use super::MAX_NESTING;
use crate::syntax::invisible::after_unseen;

/// The offset of the quotation mark that closes the one at `at`; none where it is not closed on its line.
pub fn closing_quote(bytes: &[u8], at: usize) -> Option<usize> {
    let mut end = at + 1;
    loop {
        match bytes.get(end)? {
            b'"' => return Some(end),
            b'\n' => return None,
            b'\\' if bytes.get(end + 1) != Some(&b'\n') => end += 2,
            _ => end += 1,
        }
    }
}

/// The offset after the text in quotation marks that opens at `at`; where it is not closed on its line, after the mark.
pub fn after_text(bytes: &[u8], at: usize) -> usize {
    closing_quote(bytes, at).unwrap_or(at) + 1
}

/// The offset of the line end after `at`.
pub fn line_end(bytes: &[u8], at: usize) -> usize {
    bytes.get(at..).and_then(|rest| rest.iter().position(|byte| *byte == b'\n')).map_or(bytes.len(), |n| at + n)
}

/// The offset after the blanks and line ends at `at`; what nobody sees is a blank there.
pub fn after_blanks(text: &str, at: usize) -> usize {
    let bytes = text.as_bytes();
    let is_blank = |byte: &u8| matches!(byte, b' ' | b'\t' | b'\n' | b'\r');
    let mut end = at;
    loop {
        end += bytes.get(end..).map_or(0, |rest| rest.iter().take_while(|byte| is_blank(byte)).count());
        match bytes.get(end) {
            Some(0x0b | 0x0c | 0x80..) => match after_unseen(text, end) {
                after if after > end => end = after,
                _ => return end,
            },
            _ => return end,
        }
    }
}

/// Whether no more brackets stand open at once in a text than may.
#[must_use]
pub fn nests_within_limit(text: &str) -> bool {
    let mut open = 0usize;
    text.bytes().all(|byte| {
        match byte {
            b'(' | b'{' => open += 1,
            b')' | b'}' => open = open.saturating_sub(1),
            _ => {}
        }
        open <= MAX_NESTING
    })
}

/// How far a statement reaches.
#[derive(Clone, Copy, Debug)]
pub struct Extent {
    /// Its last byte but for its block.
    pub end: usize,
    /// Whether the last of it is a brace that opens a block.
    pub opens: bool,
    /// Where its first line ends, where it goes on over more.
    pub first_line: Option<usize>,
    /// Whether it goes on after the comma, or in the bracket, with which it stops.
    pub unfinished: bool,
    /// Whether its round brackets pair.
    pub pairs: bool,
    /// The bracket that is one too deep.
    pub too_deep: Option<usize>,
}

/// Finds the end of the statement that starts at `start`, `depth` blocks deep.
///
/// It ends at the line's end, before a comment and before a brace. In round brackets and after a comma it goes on, and
/// after the sign of a `group` too; unless it is to stay on its line. Braces that close again on their line are a part
/// of it where no block is opened by a statement like this.
pub fn extent(bytes: &[u8], start: usize, depth: usize, one_line: bool, opens_block: impl Fn() -> bool) -> Extent {
    let mut scan =
        Extent { end: start, opens: false, first_line: None, unfinished: false, pairs: true, too_deep: None };
    let is_group = bytes.get(start..).is_some_and(|rest| rest.starts_with(b"group"));
    let (mut at, mut brackets, mut goes_on) = (start, 0usize, false);
    while let Some(&byte) = bytes.get(at) {
        let ends = brackets == 0 && !goes_on;
        match byte {
            b'\n' | b'\r' | b'#' if ends => break,
            b'\n' | b'\r' | b'#' => {
                scan.first_line.get_or_insert(scan.end);
                if one_line {
                    break;
                }
                at = if byte == b'#' { line_end(bytes, at) } else { at + 1 };
                continue;
            }
            b' ' | b'\t' => {
                at += 1;
                continue;
            }
            b'{' if scan.first_line.is_none() => match after_braces(bytes, at, depth) {
                Some(after) if !opens_block() => at = after,
                _ => {
                    scan.opens = true;
                    scan.end = at + 1;
                    break;
                }
            },
            b'}' => break,
            // Nothing that goes on over lines opens a block.
            b'{' => {
                goes_on = true;
                break;
            }
            b'"' => at = after_text(bytes, at),
            b'(' => {
                if depth + brackets >= MAX_NESTING {
                    scan.too_deep.get_or_insert(at);
                }
                brackets += 1;
                at += 1;
            }
            b')' => {
                scan.pairs &= brackets > 0;
                brackets = brackets.saturating_sub(1);
                at += 1;
            }
            _ => at = after_word(bytes, at),
        }
        goes_on = byte == b',' || byte == b'=' && is_group;
        scan.end = at;
    }
    scan.pairs &= brackets == 0;
    scan.unfinished = brackets > 0 || goes_on;
    scan
}

/// The offset after the brace that closes the one at `at`, where it does so on the same line and no brace in between is
/// too deep.
fn after_braces(bytes: &[u8], at: usize, depth: usize) -> Option<usize> {
    let (mut at, mut open) = (at, 0usize);
    loop {
        match bytes.get(at)? {
            b'\n' | b'\r' | b'#' => return None,
            b'"' => at = after_text(bytes, at),
            byte => {
                at += 1;
                open = match byte {
                    b'{' => open + 1,
                    b'}' => open - 1,
                    _ => open,
                };
                if open == 0 {
                    return Some(at);
                }
                if depth + open > MAX_NESTING {
                    return None;
                }
            }
        }
    }
}

/// The offset after a byte and those after it that mean nothing to how far a statement reaches.
fn after_word(bytes: &[u8], at: usize) -> usize {
    let plain = |byte: &u8| {
        !matches!(byte, b' ' | b'\t' | b'\n' | b'\r' | b'#' | b'{' | b'}' | b'"' | b'(' | b')' | b',' | b'=')
    };
    match bytes.get(at) {
        Some(b',' | b'=') => at + 1,
        _ => bytes.get(at..).map_or(at, |rest| at + rest.iter().take_while(|byte| plain(byte)).count()),
    }
}
