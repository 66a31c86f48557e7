//! The files of a client: those under its folders, those it has open elsewhere, and what lies over them unsaved.

use super::addresses::path_of;
use super::client::Client;
use super::documents::Documents;
use crate::session::{FileChange, Session};
use crate::workspace::World;
use lsp_server::{Notification, Request, RequestId};
use lsp_types::notification::{
    DidChangeTextDocument, DidChangeWatchedFiles, DidChangeWorkspaceFolders, DidCloseTextDocument, DidOpenTextDocument,
    DidSaveTextDocument, Notification as _,
};
use lsp_types::request::{RegisterCapability, Request as _};
use lsp_types::{
    DidChangeTextDocumentParams, DidChangeWatchedFilesParams, DidChangeWatchedFilesRegistrationOptions,
    DidChangeWorkspaceFoldersParams, DidCloseTextDocumentParams, DidOpenTextDocumentParams, DidSaveTextDocumentParams,
    FileChangeType, FileSystemWatcher, GlobPattern, Registration, RegistrationParams,
};
use serde::de::DeserializeOwned;
use std::collections::BTreeSet;
use std::path::{Path, PathBuf};

/// What the server asks of the machine that it runs on.
#[derive(Clone, Copy)]
pub struct Surroundings<'w> {
    /// The files.
    pub world: &'w dyn World,
    /// Every file of formulas under a folder, those left out of git left out.
    pub files_under: &'w dyn Fn(&Path) -> Vec<PathBuf>,
    /// A folder in which the files of the shelf can be read, by [`shelf_texts`](super::known::shelf_texts).
    pub shelf: Option<&'w Path>,
}

/// What became of a file since the session was last looked at.
#[derive(Default)]
struct Changed {
    /// Documents that were opened, changed or closed.
    documents: BTreeSet<PathBuf>,
    /// Files that were written by somebody else.
    on_disk: BTreeSet<PathBuf>,
    /// Whether files may have come or gone on disk.
    listing: bool,
    /// Whether there may be others than before: on disk, or documents that were opened or closed.
    files: bool,
}

/// The files of a client.
pub struct Workroom<'w> {
    surroundings: Surroundings<'w>,
    session: Session<'w>,
    /// The folders it has open.
    roots: Vec<PathBuf>,
    /// The files under them.
    listed: BTreeSet<PathBuf>,
    /// The files of the session.
    named: BTreeSet<PathBuf>,
    changed: Changed,
}

impl<'w> Workroom<'w> {
    /// The files under the folders that a client has open.
    #[must_use]
    pub fn open(surroundings: &Surroundings<'w>, client: &Client) -> Workroom<'w> {
        let session = Session::open(surroundings.world, &[], None);
        let changed = Changed { listing: true, files: true, ..Changed::default() };
        let (listed, named) = (BTreeSet::new(), BTreeSet::new());
        Workroom { surroundings: *surroundings, session, roots: client.roots.clone(), listed, named, changed }
    }

    /// Begins anew with the same files: whatever was known of them is forgotten.
    pub fn reopen(&mut self, documents: &Documents) {
        self.session = Session::open(self.surroundings.world, &[], None);
        self.named.clear();
        let documents = documents.all().map(|(path, _)| path.clone()).collect();
        self.changed = Changed { documents, listing: true, files: true, ..Changed::default() };
    }

    /// The files, as they stood when last settled.
    #[must_use]
    pub fn session(&self) -> &Session<'w> {
        &self.session
    }

    /// Takes in what a client tells. What is not written as it should be, or not known, is passed over.
    pub fn note(&mut self, note: &Notification, documents: &mut Documents, client: &Client) {
        match note.method.as_str() {
            DidOpenTextDocument::METHOD => {
                if let Some(DidOpenTextDocumentParams { text_document }) = read(note) {
                    self.changed.documents.insert(documents.open(text_document, client.encoding));
                    self.changed.files = true;
                }
            }
            DidChangeTextDocument::METHOD => {
                if let Some(DidChangeTextDocumentParams { text_document, content_changes }) = read(note) {
                    let path = documents.change(&text_document, content_changes, client.encoding);
                    self.changed.documents.extend(path);
                }
            }
            DidCloseTextDocument::METHOD => {
                if let Some(DidCloseTextDocumentParams { text_document }) = read(note) {
                    self.changed.documents.extend(documents.close(&text_document.uri));
                    self.changed.files = true;
                }
            }
            DidSaveTextDocument::METHOD => {
                if let Some(DidSaveTextDocumentParams { text_document, .. }) = read(note) {
                    self.on_disk(path_of(&text_document.uri));
                }
            }
            DidChangeWatchedFiles::METHOD => {
                let Some(DidChangeWatchedFilesParams { changes }) = read(note) else { return };
                for change in changes {
                    let path = path_of(&change.uri);
                    self.changed.listing |= change.typ != FileChangeType::CHANGED || !is_formulas(&path);
                    self.changed.files |= self.changed.listing;
                    self.on_disk(path);
                }
            }
            DidChangeWorkspaceFolders::METHOD => {
                let Some(DidChangeWorkspaceFoldersParams { event }) = read(note) else { return };
                let gone: Vec<PathBuf> = event.removed.iter().map(|folder| path_of(&folder.uri)).collect();
                self.roots.retain(|root| !gone.contains(root));
                self.roots.extend(event.added.iter().map(|folder| path_of(&folder.uri)));
                (self.changed.listing, self.changed.files) = (true, true);
            }
            _ => {}
        }
    }

    fn on_disk(&mut self, path: PathBuf) {
        // A file that is not known may be one that a `use` found wanting.
        self.changed.on_disk.insert(path);
    }

    /// Brings the session to what was taken in.
    pub fn settle(&mut self, documents: &Documents) {
        let changed = std::mem::take(&mut self.changed);
        if changed.listing {
            let files_under = self.surroundings.files_under;
            self.listed = self.roots.iter().flat_map(|root| files_under(root)).collect();
        }
        let mut changes: Vec<FileChange> = changed.on_disk.into_iter().map(FileChange::OnDisk).collect();
        for path in changed.documents {
            changes.push(match documents.at(&path) {
                Some(document) => FileChange::Text(path, document.text().to_string()),
                None => FileChange::Forgotten(path),
            });
        }
        if changes.is_empty() && !changed.files {
            return;
        }
        if !changed.files {
            // The same files as before: none is looked for among thousands.
            self.session.update(changes, None);
            return;
        }
        // What is open of the shelf is the shelf's, and no file of its own.
        let on_shelf = |path: &PathBuf| self.surroundings.shelf.is_some_and(|folder| path.starts_with(folder));
        let open = documents.all().map(|(path, _)| path).filter(|path| !on_shelf(path));
        let named: BTreeSet<PathBuf> = self.listed.iter().chain(open).cloned().collect();
        let is_same = named == self.named;
        if changes.is_empty() && is_same {
            return;
        }
        let paths: Option<Vec<PathBuf>> = (!is_same).then(|| named.iter().cloned().collect());
        self.named = named;
        self.session.update(changes, paths);
    }
}

/// The parameters of what a client tells, where they are as they should be.
fn read<P: DeserializeOwned>(note: &Notification) -> Option<P> {
    serde_json::from_value(note.params.clone()).ok()
}

fn is_formulas(path: &Path) -> bool {
    path.extension().is_some_and(|extension| extension == "still")
}

/// Asks a client to tell of files that others write: formulas, and what leaves files out.
#[must_use]
pub fn watching() -> Request {
    let pattern = |pattern: &str| FileSystemWatcher { glob_pattern: GlobPattern::String(pattern.into()), kind: None };
    let options = DidChangeWatchedFilesRegistrationOptions {
        watchers: ["**/*.still", "**/.gitignore", "**/.ignore"].map(pattern).to_vec(),
    };
    let registration = Registration {
        id: "files".to_string(),
        method: DidChangeWatchedFiles::METHOD.to_string(),
        register_options: serde_json::to_value(options).ok(),
    };
    let params = RegistrationParams { registrations: vec![registration] };
    Request::new(RequestId::from("watch files".to_string()), RegisterCapability::METHOD.to_string(), params)
}
