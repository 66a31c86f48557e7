//! What stands as a request is answered: the files, what is known of them, and the documents that are open.

use super::addresses::{address_of, path_of};
use super::client::Client;
use super::documents::{Document, Documents};
use super::known::Known;
use super::occurrences::Names;
use super::positions::Positions;
use super::refusal::Refusal;
use crate::diagnostic::{FileId, Place, Span};
use crate::session::{Report, Session};
use lsp_types::{Location, Position, Range, TextDocumentPositionParams, Uri};
use rustc_hash::FxHashMap;
use std::cell::RefCell;
use std::rc::Rc;

/// What stands as a request is answered. It is one state of all texts: nothing changes while it lasts.
pub struct Standing<'s> {
    /// The files.
    pub session: &'s Session<'s>,
    /// What came of them.
    pub report: &'s Report<'s>,
    /// Who asks.
    pub client: &'s Client,
    /// What is kept from one state to the next.
    pub known: &'s Known,
    /// The documents that are open, by their files.
    open: FxHashMap<FileId, &'s Document>,
    /// The lines of the files that were asked for.
    lines: RefCell<FxHashMap<FileId, Rc<Positions>>>,
}

impl<'s> Standing<'s> {
    /// One state of all texts.
    #[must_use]
    pub fn new(
        session: &'s Session<'s>,
        report: &'s Report<'s>,
        documents: &'s Documents,
        client: &'s Client,
        known: &'s Known,
    ) -> Standing<'s> {
        let open = documents.all().filter_map(|(path, document)| Some((session.file_at(path)?, document))).collect();
        Standing { session, report, client, known, open, lines: RefCell::default() }
    }

    /// The names of all texts.
    #[must_use]
    pub fn names(&self) -> Names<'_> {
        Names { sources: self.session.sources(), scopes: &self.report.resolver.scopes, surveys: &self.known.surveys }
    }

    /// The text of a file, of the shelf too.
    #[must_use]
    pub fn text(&self, file: FileId) -> &'s str {
        self.session.sources().text(file)
    }

    /// The file of an address.
    ///
    /// # Errors
    /// An address that is none of a file here.
    pub fn file(&self, address: &Uri) -> Result<FileId, Refusal> {
        let unknown = || Refusal::failed("The server does not know this file.");
        let path = path_of(address);
        self.known.shelf_file(&path).or_else(|| self.session.file_at(&path)).ok_or_else(unknown)
    }

    /// The file and the offset that a request is about.
    ///
    /// # Errors
    /// An address that is none of a file here.
    pub fn at(&self, asked: &TextDocumentPositionParams) -> Result<(FileId, usize), Refusal> {
        let file = self.file(&asked.text_document.uri)?;
        Ok((file, self.offset(file, asked.position)))
    }

    /// The document of a file, where it is open.
    #[must_use]
    pub fn document(&self, file: FileId) -> Option<&'s Document> {
        self.open.get(&file).copied()
    }

    /// The lines of a file.
    #[must_use]
    pub fn positions(&self, file: FileId) -> Rc<Positions> {
        let mut lines = self.lines.borrow_mut();
        let known = lines.entry(file).or_insert_with(|| {
            Rc::new(match self.document(file) {
                Some(document) => document.positions.clone(),
                None => Positions::new(self.text(file), self.client.encoding),
            })
        });
        Rc::clone(known)
    }

    /// The offset of a position.
    #[must_use]
    pub fn offset(&self, file: FileId, position: Position) -> usize {
        self.positions(file).offset(self.text(file), position)
    }

    /// The position of an offset.
    #[must_use]
    pub fn position(&self, file: FileId, offset: usize) -> Position {
        self.positions(file).position(self.text(file), offset)
    }

    /// The span of a range.
    #[must_use]
    pub fn span(&self, file: FileId, range: Range) -> Span {
        self.positions(file).span(self.text(file), range)
    }

    /// The range of a place in its file.
    #[must_use]
    pub fn range(&self, place: Place) -> Range {
        self.positions(place.file).range(self.text(place.file), place.span)
    }

    /// The address of a file, as the client wrote it where it is open; of one of the shelf, where it can be read.
    #[must_use]
    pub fn address(&self, file: FileId) -> Option<Uri> {
        match self.document(file) {
            Some(document) => Some(document.address.clone()),
            None => match self.session.sources().home(file) {
                Some(source) => address_of(&source.absolute),
                None => address_of(&self.known.shelf_path(file)?),
            },
        }
    }

    /// A place of a file on disk.
    #[must_use]
    pub fn location(&self, place: Place) -> Option<Location> {
        Some(Location { uri: self.address(place.file)?, range: self.range(place) })
    }
}
