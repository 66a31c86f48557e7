//! Diagnostics as the client gets them: pushed as they change, with the version of the text that they are about.

use super::standing::Standing;
use crate::diagnostic::{Code, Diagnostic, FileId, Level};
use crate::render::shown;
use lsp_types::{
    DiagnosticRelatedInformation, DiagnosticSeverity, DiagnosticTag, NumberOrString, PublishDiagnosticsParams, Uri,
};
use rustc_hash::FxHashMap;
use serde_json::json;
use std::collections::BTreeMap;
use std::path::PathBuf;
use std::sync::Arc;

/// What the client was told of each file, in the order of the files.
#[derive(Default)]
pub struct Published {
    told: Vec<Told>,
}

/// What the client was told of a file.
struct Told {
    path: PathBuf,
    /// Its address; none where its path has none.
    address: Option<Uri>,
    /// The version of the document; none where it is not open.
    version: Option<i32>,
    faults: Arc<Vec<Diagnostic>>,
    /// The files that the faults point at, each with the number of its last change: a place that stays the same may be
    /// another line.
    seen: Vec<(FileId, Option<u64>)>,
}

impl Published {
    /// What the client does not know yet: every file whose diagnostics are others than before, and every document that
    /// has another version.
    pub fn news(&mut self, standing: &Standing<'_>) -> Vec<PublishDiagnosticsParams> {
        let by_file: FxHashMap<FileId, &Arc<Vec<Diagnostic>>> =
            standing.report.diagnostics.by_file().iter().map(|(file, faults)| (*file, faults)).collect();
        let none = Arc::default();
        let mut news = self.in_order(standing);
        for (source, told) in standing.session.sources().files.iter().zip(&mut self.told) {
            let found = by_file.get(&source.id).copied().unwrap_or(&none);
            let document = standing.document(source.id);
            let version = document.map(|document| document.version);
            if let Some(document) = document.filter(|document| told.address.as_ref() != Some(&document.address)) {
                told.address = Some(document.address.clone());
            }
            let Some(address) = &told.address else { continue };
            let same_faults = Arc::ptr_eq(found, &told.faults) || **found == *told.faults;
            let seen = if same_faults { seen_now(standing, &told.seen) } else { seen(standing, found) };
            let is_same = same_faults && seen == told.seen;
            if !is_same || (version.is_some() && version != told.version) {
                let diagnostics = found.iter().map(|fault| self::told(standing, fault)).collect();
                news.push(PublishDiagnosticsParams { uri: address.clone(), diagnostics, version });
            }
            told.faults = Arc::clone(found);
            (told.version, told.seen) = (version, seen);
        }
        news
    }

    /// Brings what was told into the order of the files, where they are others than before, and takes back what was told
    /// of files that are gone.
    fn in_order(&mut self, standing: &Standing<'_>) -> Vec<PublishDiagnosticsParams> {
        let files = &standing.session.sources().files;
        if files.iter().map(|source| &source.absolute).eq(self.told.iter().map(|told| &told.path)) {
            return Vec::new();
        }
        let told = std::mem::take(&mut self.told).into_iter();
        let mut before: BTreeMap<PathBuf, Told> = told.map(|told| (told.path.clone(), told)).collect();
        self.told = files
            .iter()
            .map(|source| {
                before.remove(&source.absolute).unwrap_or_else(|| {
                    let (path, address) = (source.absolute.clone(), standing.address(source.id));
                    Told { path, address, version: None, faults: Arc::default(), seen: Vec::new() }
                })
            })
            .collect();
        let gone = before.into_values().filter(|told| !told.faults.is_empty());
        let empty = |uri| PublishDiagnosticsParams { uri, diagnostics: Vec::new(), version: None };
        gone.filter_map(|told| told.address).map(empty).collect()
    }
}

/// The files that faults point at, each with the number of its last change.
fn seen(standing: &Standing<'_>, faults: &[Diagnostic]) -> Vec<(FileId, Option<u64>)> {
    let places = faults.iter().flat_map(|fault| {
        std::iter::once(fault.primary.place.file).chain(fault.secondary.iter().map(|label| label.place.file))
    });
    let mut files: Vec<FileId> = places.collect();
    files.sort_unstable();
    files.dedup();
    files.into_iter().map(|file| (file, standing.session.change_number(file))).collect()
}

/// The same files as they are numbered now.
fn seen_now(standing: &Standing<'_>, seen: &[(FileId, Option<u64>)]) -> Vec<(FileId, Option<u64>)> {
    seen.iter().map(|(file, _)| (*file, standing.session.change_number(*file))).collect()
}

/// A diagnostic as the client gets it.
#[must_use]
pub fn told(standing: &Standing<'_>, fault: &Diagnostic) -> lsp_types::Diagnostic {
    lsp_types::Diagnostic {
        range: standing.range(fault.primary.place),
        severity: Some(match fault.level {
            Level::Error => DiagnosticSeverity::ERROR,
            Level::Warning => DiagnosticSeverity::WARNING,
            Level::Note => DiagnosticSeverity::INFORMATION,
        }),
        code: Some(NumberOrString::String(fault.code.entry().name.to_string())),
        code_description: None,
        source: Some("stillroom".to_string()),
        message: words(fault),
        related_information: related(standing, fault),
        tags: is_unused(fault.code).then(|| vec![DiagnosticTag::UNNECESSARY]),
        data: Some(json!({ "allowable": fault.code.entry().allowable, "mended": fault.fix.is_some() })),
    }
}

/// The message, and what to do.
fn words(fault: &Diagnostic) -> String {
    let help = fault.help.as_deref().map(|help| format!("\n{}", shown(help)));
    let source = fault.source.as_deref().map(|source| format!("\n{}", shown(source)));
    format!("{}{}{}", shown(&fault.message), help.unwrap_or_default(), source.unwrap_or_default())
}

/// The further places, for a client that shows them.
fn related(standing: &Standing<'_>, fault: &Diagnostic) -> Option<Vec<DiagnosticRelatedInformation>> {
    if !standing.client.shows_related() {
        return None;
    }
    let place = |label: &crate::diagnostic::Label| {
        let location = standing.location(label.place)?;
        Some(DiagnosticRelatedInformation { location, message: shown(&label.text).into_owned() })
    };
    let places: Vec<_> = fault.secondary.iter().filter_map(place).collect();
    (!places.is_empty()).then_some(places)
}

/// Whether a code says that something is there for nothing.
fn is_unused(code: Code) -> bool {
    code.entry().name.contains("unused")
}
