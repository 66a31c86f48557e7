//! From bytes to text: the encodings that spreadsheets and notes are kept in.

use encoding_rs::{Encoding, UTF_8, UTF_16BE, UTF_16LE, WINDOWS_1252};

/// How a text was written down, where that is worth a word.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Decoded {
    /// The text, with line ends of one kind.
    pub text: String,
    /// The encoding that was taken, where it is not plainly UTF-8.
    pub taken_for: Option<&'static str>,
    /// Whether something in it was no letter of that encoding.
    pub damaged: bool,
}

/// Reads bytes as text: by a byte-order mark, else as UTF-8 where they are that, else as UTF-16 where every second
/// byte is nought, else as Windows-1252, in which every byte is a letter.
pub fn decoded(bytes: &[u8]) -> Decoded {
    let (encoding, body) = match Encoding::for_bom(bytes) {
        Some((encoding, length)) => (encoding, bytes.get(length..).unwrap_or_default()),
        None => (without_mark(bytes), bytes),
    };
    let (text, damaged) = encoding.decode_without_bom_handling(body);
    let taken_for = match encoding {
        other if other == UTF_8 => None,
        other if other == WINDOWS_1252 => Some("Windows-1252"),
        _ => Some("UTF-16"),
    };
    Decoded { text: text.replace("\r\n", "\n").replace('\r', "\n"), taken_for, damaged }
}

fn without_mark(bytes: &[u8]) -> &'static Encoding {
    match noughts(bytes) {
        (even, odd, pairs) if pairs > 1 && odd * 2 > pairs && even * 4 < pairs => UTF_16LE,
        (even, odd, pairs) if pairs > 1 && even * 2 > pairs && odd * 4 < pairs => UTF_16BE,
        _ if std::str::from_utf8(bytes).is_ok() => UTF_8,
        _ => WINDOWS_1252,
    }
}

/// How many first and second bytes of the pairs are nought, and how many pairs there are.
fn noughts(bytes: &[u8]) -> (usize, usize, usize) {
    let mut pairs = 0usize;
    let (mut even, mut odd) = (0usize, 0usize);
    for pair in bytes.chunks_exact(2) {
        pairs += 1;
        even += usize::from(pair.first() == Some(&0));
        odd += usize::from(pair.last() == Some(&0));
    }
    (even, odd, pairs)
}
