//! Diagnostics as the client gets them: pushed as they change, with the version of the text that they are about.

use super::standing::Standing;
use crate::diagnostic::{Code, Diagnostic, FileId, Level};
use crate::render::shown;
use lsp_types::{
    DiagnosticRelatedInformation, DiagnosticSeverity, DiagnosticTag, NumberOrString, PublishDiagnosticsParams, Uri,
};
use rustc_hash::FxHashMap;
use std::collections::BTreeMap;

/// What the client was told of each file, by its address.
#[derive(Default)]
pub struct Published {
    told: BTreeMap<Uri, (Option<i32>, Vec<lsp_types::Diagnostic>)>,
}

impl Published {
    /// What the client does not know yet: every file whose diagnostics are others than before, and every document that
    /// has another version.
    pub fn news(&mut self, standing: &Standing<'_>) -> Vec<PublishDiagnosticsParams> {
        let mut by_file: FxHashMap<FileId, Vec<&Diagnostic>> = FxHashMap::default();
        for fault in &standing.report.diagnostics {
            by_file.entry(fault.primary.place.file).or_default().push(fault);
        }
        let mut before = std::mem::take(&mut self.told);
        let mut news = Vec::new();
        for source in &standing.session.sources().files {
            let version = standing.document(source.id).map(|document| document.version);
            let found = by_file.remove(&source.id).unwrap_or_default();
            let Some(address) = standing.address(source.id) else { continue };
            let now: Vec<_> = found.into_iter().map(|fault| told(standing, fault)).collect();
            let (version_before, told_before) = before.remove(&address).unwrap_or_default();
            if told_before != now || (version.is_some() && version != version_before) {
                news.push(PublishDiagnosticsParams { uri: address.clone(), diagnostics: now.clone(), version });
            }
            self.told.insert(address, (version, now));
        }
        let gone = before.into_iter().filter(|(_, (_, told))| !told.is_empty());
        news.extend(gone.map(|(uri, _)| PublishDiagnosticsParams { uri, diagnostics: Vec::new(), version: None }));
        news
    }
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
        data: None,
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
