//! The documents that a client has open, each with its version and text.

use super::addresses::path_of;
use super::positions::{Encoding, Positions};
use lsp_types::{TextDocumentContentChangeEvent, TextDocumentItem, Uri, VersionedTextDocumentIdentifier};
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

/// A text that is open at the client.
#[derive(Clone, Debug)]
pub struct Document {
    /// Its address, as the client wrote it.
    pub address: Uri,
    /// The client's number of it.
    pub version: i32,
    /// The text as the client has it, with a byte-order mark where it has one.
    whole: String,
    /// Its lines.
    pub positions: Positions,
}

impl Document {
    /// A document as it was opened.
    #[must_use]
    pub fn new(opened: TextDocumentItem, encoding: Encoding) -> Document {
        let TextDocumentItem { uri, version, text, .. } = opened;
        let positions = Positions::new(&text, encoding);
        Document { address: uri, version, whole: text, positions }
    }

    /// The text, without a byte-order mark.
    #[must_use]
    pub fn text(&self) -> &str {
        self.whole.strip_prefix('\u{feff}').unwrap_or(&self.whole)
    }

    /// Carries out changes, one after the other: of a stretch, or of the whole. A stretch out of range is brought into it.
    pub fn change(&mut self, version: i32, changes: Vec<TextDocumentContentChangeEvent>, encoding: Encoding) {
        for change in changes {
            match change.range {
                None => self.whole = change.text,
                Some(range) => {
                    let span = self.positions.span(self.text(), range);
                    let mark = self.whole.len() - self.text().len();
                    self.whole.replace_range(span.start as usize + mark..span.end as usize + mark, &change.text);
                }
            }
            self.positions = Positions::new(&self.whole, encoding);
        }
        self.version = version;
    }
}

/// All documents that are open, by the paths of their addresses.
#[derive(Debug, Default)]
pub struct Documents {
    open: BTreeMap<PathBuf, Document>,
}

impl Documents {
    /// Opens a document; where it is open, it is opened anew.
    pub fn open(&mut self, opened: TextDocumentItem, encoding: Encoding) -> PathBuf {
        let path = path_of(&opened.uri);
        self.open.insert(path.clone(), Document::new(opened, encoding));
        path
    }

    /// Changes a document, where it is open, and gives its path.
    pub fn change(
        &mut self,
        which: &VersionedTextDocumentIdentifier,
        changes: Vec<TextDocumentContentChangeEvent>,
        encoding: Encoding,
    ) -> Option<PathBuf> {
        let path = path_of(&which.uri);
        self.open.get_mut(&path)?.change(which.version, changes, encoding);
        Some(path)
    }

    /// Closes a document, where it is open, and gives its path.
    pub fn close(&mut self, address: &Uri) -> Option<PathBuf> {
        let path = path_of(address);
        self.open.remove(&path).map(|_| path)
    }

    /// The document of a path.
    #[must_use]
    pub fn at(&self, path: &Path) -> Option<&Document> {
        self.open.get(path)
    }

    /// Every document with its path.
    pub fn all(&self) -> impl Iterator<Item = (&PathBuf, &Document)> {
        self.open.iter()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use lsp_types::{Position, Range};

    fn opened(text: &str) -> Document {
        let uri: Uri = "file:///a.still".parse().expect("an address");
        Document::new(TextDocumentItem::new(uri, "stillroom".into(), 1, text.into()), Encoding::Utf16)
    }

    fn change(range: Option<((u32, u32), (u32, u32))>, text: &str) -> TextDocumentContentChangeEvent {
        let at = |(line, character)| Position::new(line, character);
        let range = range.map(|(start, end)| Range { start: at(start), end: at(end) });
        TextDocumentContentChangeEvent { range, range_length: None, text: text.into() }
    }

    #[test]
    fn changes_are_carried_out_one_after_the_other() {
        let mut document = opened("one 🧴 two\r\nthree\r\n");
        let changes = vec![
            change(Some(((0, 4), (0, 6))), "é"),
            change(Some(((0, 6), (1, 0))), "2\n"),
            change(Some(((9, 0), (9, 9))), "end"),
        ];
        document.change(2, changes, Encoding::Utf16);
        assert_eq!((document.version, document.text()), (2, "one é 2\nthree\r\nend"));
        document.change(3, vec![change(None, "anew"), change(Some(((0, 2), (0, 1))), "X")], Encoding::Utf16);
        assert_eq!(document.text(), "aXew");
    }

    #[test]
    fn a_byte_order_mark_stays_and_is_no_text() {
        let mut document = opened("\u{feff}makes");
        document.change(2, vec![change(Some(((0, 1), (0, 2))), "M")], Encoding::Utf16);
        assert_eq!((document.text(), document.whole.as_str()), ("Makes", "\u{feff}Makes"));
    }
}
