//! The code that a new batch is given, as the maker calls batches, and unlike any beside it.

use super::draft::{Draft, Frozen};
use crate::batch::writing::quoted;
use crate::batch::{codes, free_code};
use crate::model::CodePattern;
use crate::session::Report;
use crate::workspace::load_alone;
use smol_str::SmolStr;
use std::collections::BTreeSet;
use std::path::{Path, PathBuf};

/// The code of a new batch as a statement, where one is proposed; and what is to be told of it.
pub struct Proposed {
    /// `code "…"`.
    pub statement: Option<String>,
    /// What is told beside it; empty where there is nothing to tell.
    pub note: String,
}

/// The code that a new batch is given: none where the maker has no way of calling batches, where the day is not said, or
/// where the statement with which it is begun is its code.
pub fn proposed(
    draft: &Draft<'_>,
    report: &Report<'_>,
    frozen: &Frozen,
    day: Option<&str>,
    statement: Option<&str>,
) -> Proposed {
    let none = |note: &str| Proposed { statement: None, note: note.to_string() };
    let own = || report.resolver.maker(report.resolver.sources.files.first()?.id)?.code;
    let Some(pattern) = own().or_else(|| frozen.pattern.clone()) else { return none("") };
    if statement.and_then(|text| text.split_whitespace().next()) == Some("code") {
        return none("");
    }
    let Some(day) = day else {
        return none("The batch has no code: say on which day it is begun, with `--on DATE`.\n");
    };
    let mut taken = codes(report.resolver.sources);
    taken.extend(frozen.codes.iter().cloned());
    taken.extend(codes(&load_alone(&draft.world(), &beside(draft.path), None).sources));
    of_pattern(&pattern, day, &taken)
}

fn of_pattern(pattern: &CodePattern, day: &str, taken: &BTreeSet<SmolStr>) -> Proposed {
    let (plain, code) = (pattern.on(day), free_code(pattern, day, taken));
    let note = match (&plain, &code) {
        (Some(plain), Some(code)) if plain != code => {
            format!("The code is {}: {} is another batch's.\n", quoted(code), quoted(plain))
        }
        _ => String::new(),
    };
    Proposed { statement: code.map(|code| format!("code {}", quoted(&code))), note }
}

/// The other files of a record's folder: other records may lie there. A folder that cannot be read has none.
#[allow(clippy::disallowed_methods, reason = "the folder of a file that was named is looked at")]
fn beside(record: &Path) -> Vec<PathBuf> {
    let folder = record.parent().filter(|folder| !folder.as_os_str().is_empty()).unwrap_or(Path::new("."));
    let Ok(entries) = std::fs::read_dir(folder) else { return Vec::new() };
    let all = entries.filter_map(|entry| Some(entry.ok()?.path()));
    let is_text = |path: &PathBuf| path.extension().is_some_and(|extension| extension == "still") && path.is_file();
    let mut files: Vec<PathBuf> = all.filter(|path| path != record).filter(is_text).collect();
    files.sort();
    files
}
