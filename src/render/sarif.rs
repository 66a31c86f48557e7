//! Diagnostics as SARIF 2.1.0 (OASIS, Static Analysis Results Interchange Format), for code hosts and editors.

use super::DiagnosticJson;
use crate::diagnostic::{CATALOGUE, Diagnostic, Level};
use crate::workspace::Sources;
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
    let results: Vec<Value> = DiagnosticJson::all(sources, diagnostics).iter().map(result).collect();
    json!({
        "$schema": "https://docs.oasis-open.org/sarif/sarif/v2.1.0/errata01/os/schemas/sarif-schema-2.1.0.json",
        "version": "2.1.0",
        "runs": [{
            "tool": { "driver": { "name": "stillroom", "version": env!("CARGO_PKG_VERSION"), "rules": rules } },
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

fn rule(entry: &crate::diagnostic::Entry) -> Value {
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

fn result(one: &DiagnosticJson) -> Value {
    let help = one.help.as_ref().map(|help| format!(" {help}")).unwrap_or_default();
    let location = |file: &Option<String>, region: Value| json!({ "artifactLocation": { "uri": file.clone().unwrap_or_default() }, "region": region });
    let related: Vec<Value> = one
        .related
        .iter()
        .enumerate()
        .map(|(number, place)| {
            let region = region((place.line, place.column), (place.end_line, place.end_column));
            json!({
                "id": number,
                "message": { "text": place.message },
                "physicalLocation": location(&place.file, region),
            })
        })
        .collect();
    let here = region((one.line, one.column), (one.end_line, one.end_column));
    json!({
        "ruleId": one.code,
        "level": one.level,
        "message": { "text": format!("{}{help}", one.message) },
        "locations": [{ "physicalLocation": location(&one.file, here) }],
        "relatedLocations": related,
    })
}
