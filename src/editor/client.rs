//! What the client can do, and which folders it has open.

use super::addresses::path_of;
use super::positions::Encoding;
use lsp_types::{ClientCapabilities, InitializeParams};
use std::path::PathBuf;

/// A client, as it made itself known.
#[derive(Clone, Debug, Default)]
pub struct Client {
    /// What it can do.
    pub capabilities: ClientCapabilities,
    /// How it counts within a line.
    pub encoding: Encoding,
    /// The folders it has open.
    pub roots: Vec<PathBuf>,
}

impl Client {
    /// The client of an `initialize`.
    #[must_use]
    #[allow(deprecated, reason = "older clients name one folder only, in a field of its own")]
    pub fn new(params: InitializeParams) -> Client {
        let offered = params.capabilities.general.as_ref().and_then(|general| general.position_encodings.clone());
        let encoding = Encoding::agreed(&offered.unwrap_or_default());
        let folders = params.workspace_folders.unwrap_or_default();
        let mut roots: Vec<PathBuf> = folders.iter().map(|folder| path_of(&folder.uri)).collect();
        if roots.is_empty() {
            roots.extend(params.root_uri.iter().map(path_of));
        }
        Client { capabilities: params.capabilities, encoding, roots }
    }

    /// Whether it can watch files for the server.
    #[must_use]
    pub fn watches_files(&self) -> bool {
        let workspace = self.capabilities.workspace.as_ref();
        let watched = workspace.and_then(|workspace| workspace.did_change_watched_files);
        watched.and_then(|watched| watched.dynamic_registration).unwrap_or(false)
    }

    /// Whether it shows further places beside a diagnostic.
    #[must_use]
    pub fn shows_related(&self) -> bool {
        let text = self.capabilities.text_document.as_ref();
        let published = text.and_then(|text| text.publish_diagnostics.as_ref());
        published.and_then(|published| published.related_information).unwrap_or(false)
    }
}
