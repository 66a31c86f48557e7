//! The codes of batches: those that records have, and one for a new batch that no other has.

use crate::model::CodePattern;
use crate::syntax::tree::{BatchEntry, Item};
use crate::workspace::Sources;
use smol_str::SmolStr;
use std::collections::BTreeSet;

/// The codes that stand in the records of files: each batch's own, and those on its jars.
#[must_use]
pub fn codes(sources: &Sources) -> BTreeSet<SmolStr> {
    let items = sources.files.iter().flat_map(|source| &source.tree.items);
    let batches = items.filter_map(|item| if let Item::Batch(batch) = item { Some(batch) } else { None });
    let entries = batches.flat_map(|batch| &batch.entries);
    let said = entries.filter_map(|statement| match &statement.entry {
        BatchEntry::Code(code) | BatchEntry::Filled(_, _, Some(code)) => Some(code.value.clone()),
        _ => None,
    });
    said.collect()
}

/// The code of a batch begun on a day: as the maker's pattern has it, and where that is taken with the next number after
/// it, `BC-261120-2`. None where the day is none.
#[must_use]
pub fn free_code(pattern: &CodePattern, day: &str, taken: &BTreeSet<SmolStr>) -> Option<String> {
    let code = pattern.on(day)?;
    if !taken.contains(code.as_str()) {
        return Some(code);
    }
    // One more than all that are taken is free.
    let numbered = (2..=taken.len() + 2).map(|number| format!("{code}-{number}"));
    numbered.into_iter().find(|code| !taken.contains(code.as_str()))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::diagnostic::{FileId, Place, Span};
    use crate::model::CodePart;

    #[test]
    fn a_code_is_like_no_other() {
        let place = Place { file: FileId(0), span: Span::new(0, 0) };
        let parts = vec![CodePart::Text("BC-".into()), CodePart::ShortYear, CodePart::Month, CodePart::Day];
        let pattern = CodePattern { parts, place };
        let mut taken: BTreeSet<SmolStr> = BTreeSet::new();
        let mut made = Vec::new();
        for _ in 0..3 {
            let code = free_code(&pattern, "2026-11-20", &taken).unwrap();
            taken.insert(SmolStr::new(&code));
            made.push(code);
        }
        assert_eq!(made, ["BC-261120", "BC-261120-2", "BC-261120-3"]);
        taken.remove("BC-261120-2");
        assert_eq!(free_code(&pattern, "2026-11-20", &taken).as_deref(), Some("BC-261120-2"));
        assert_eq!(free_code(&pattern, "2026-11-21", &taken).as_deref(), Some("BC-261121"));
        assert_eq!(free_code(&pattern, "no day", &taken), None);
    }
}
