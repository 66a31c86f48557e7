//! Diagnostics as SARIF 2.1.0 (OASIS, Static Analysis Results Interchange Format), for code hosts and editors.

use super::DiagnosticJson;
use crate::diagnostic::{CATALOGUE, Diagnostic, FileId, Level};
use crate::workspace::Sources;
use percent_encoding::{AsciiSet, NON_ALPHANUMERIC, utf8_percent_encode};
use serde_json::{Value, json};

/// The whole log: one run, with every rule of the catalogue that is met.
#[must_use]
pub fn sarif(sources: &Sources, diagnostics: &[Diagnostic]) -> Value {
    let met: Vec<&str> = {
        let mut codes: Vec<&str> = diagnostics.iter().map(|one| one.code.entry().name).collect();
        codes.sort_unstable();
        codes.dedup();
        codes
    };
    let rules: Vec<Value> = CATALOGUE.iter().filter(|entry| met.contains(&entry.name)).map(rule).collect();
    let told = DiagnosticJson::all_from_root(sources, diagnostics);
    let results: Vec<Value> = diagnostics.iter().zip(&told).map(|(of, one)| result(sources, of, one)).collect();
    json!({
        "$schema": "https://docs.oasis-open.org/sarif/sarif/v2.1.0/errata01/os/schemas/sarif-schema-2.1.0.json",
        "version": "2.1.0",
        "runs": [{
            "tool": { "driver": { "name": "stillroom", "version": env!("CARGO_PKG_VERSION"), "rules": rules } },
            // Where the root lies is the reader's to know: a path of this machine says nothing there.
            "originalUriBaseIds": {
                ROOT: { "description": { "text": "The root of the repository." } },
                SHELF: { "description": { "text": "The shelf that is built into stillroom." } },
            },
            "columnKind": "unicodeCodePoints",
            "results": results,
        }],
    })
}

fn level(level: Level) -> &'static str {
    match level {
        Level::Error => "error",
        Level::Warning => "warning",
        Level::Note => "note",
    }
}

fn rule(entry: &crate::diagnostic::CatalogueEntry) -> Value {
    let sentence = entry.page.lines().nth(2).unwrap_or("");
    json!({
        "id": entry.name,
        "shortDescription": { "text": sentence },
        "help": { "text": entry.page, "markdown": entry.page },
        "defaultConfiguration": { "level": level(entry.level) },
    })
}

fn region(from: (usize, usize), to: (usize, usize)) -> Value {
    json!({ "startLine": from.0, "startColumn": from.1, "endLine": to.0, "endColumn": to.1 })
}

/// The root that addresses are seen from, as code hosts call it.
const ROOT: &str = "%SRCROOT%";
/// What is built into the program has no address in a repository.
const SHELF: &str = "SHELF";

/// All but what RFC 3986 leaves as it is, and the stroke between the parts of a path.
const ENCODED: &AsciiSet = &NON_ALPHANUMERIC.remove(b'-').remove(b'.').remove(b'_').remove(b'~').remove(b'/');

/// A file by its address: its path from the root, percent-encoded.
fn artifact(sources: &Sources, file: FileId, path: Option<&String>) -> Value {
    let base = if sources.home(file).is_some() { ROOT } else { SHELF };
    let path = path.map_or("", String::as_str);
    json!({ "uri": utf8_percent_encode(path, ENCODED).to_string(), "uriBaseId": base })
}

fn result(sources: &Sources, of: &Diagnostic, one: &DiagnosticJson) -> Value {
    let help = one.help.as_ref().map(|help| format!(" {help}")).unwrap_or_default();
    let location = |file: FileId, path: &Option<String>, region: Value| json!({ "artifactLocation": artifact(sources, file, path.as_ref()), "region": region });
    let related: Vec<Value> = of
        .secondary
        .iter()
        .zip(&one.related)
        .enumerate()
        .map(|(number, (label, place))| {
            let region = region((place.line, place.column), (place.end_line, place.end_column));
            json!({
                "id": number,
                "message": { "text": place.message },
                "physicalLocation": location(label.place.file, &place.file, region),
            })
        })
        .collect();
    let here = region((one.line, one.column), (one.end_line, one.end_column));
    json!({
        "ruleId": one.code,
        "level": one.level,
        "message": { "text": format!("{}{help}", one.message) },
        "locations": [{ "physicalLocation": location(of.primary.place.file, &one.file, here) }],
        "relatedLocations": related,
    })
}
