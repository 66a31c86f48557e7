//! Files and declarations of the shelf by their names, and what a declaration says.

use super::entry::{ShelfEntry, ShelfKind, everyday_key};
use super::index::{ENTRIES, EVERYDAY_NAMES, FILES};
use crate::diagnostic::{FileId, Span};
use crate::syntax::parse_slice;
use crate::syntax::tree::Item;
use std::sync::OnceLock;

impl ShelfEntry {
    /// Where the whole declaration stands.
    #[must_use]
    pub fn span(&self) -> Span {
        Span { start: self.start, end: self.end }
    }
}

/// The number of a file of the shelf.
#[must_use]
pub fn file_by_name(name: &str) -> Option<FileId> {
    FILES.iter().position(|file| file.name == name).and_then(|at| u32::try_from(at).ok()).map(FileId)
}

/// The entry of a name, by its number, where it stands in one of the files that pass. The index is sorted by kind, then
/// name.
#[must_use]
pub fn find(kind: ShelfKind, name: &str, file_passes: impl FnOnce(u32) -> bool) -> Option<u32> {
    let at = ENTRIES.partition_point(|entry| (entry.kind, entry.name) < (kind, name));
    let entry = ENTRIES.get(at)?;
    let found = entry.kind == kind && entry.name == name && file_passes(entry.file);
    found.then(|| u32::try_from(at).unwrap_or(u32::MAX))
}

/// The entry of a name in any file, by its number.
#[must_use]
pub fn find_anywhere(kind: ShelfKind, name: &str) -> Option<u32> {
    find(kind, name, |_| true)
}

/// The materials that are called so every day, by their numbers: by an `also`, or by their own name written apart,
/// together or in capitals. A plural leads where its singular does. Several materials may share such a name.
#[must_use]
pub fn called_every_day(name: &str) -> &'static [u32] {
    let found = |key: &str| {
        let at = EVERYDAY_NAMES.binary_search_by(|(known, _)| (*known).cmp(key)).ok()?;
        EVERYDAY_NAMES.get(at).map(|(_, entries)| *entries)
    };
    let key = everyday_key(name);
    found(&key).or_else(|| found(key.strip_suffix('s')?)).unwrap_or_default()
}

/// A declaration of the shelf, parsed the first time it is asked for.
#[must_use]
pub fn item(entry: u32) -> Option<&'static Item> {
    static PARSED: OnceLock<Vec<OnceLock<Option<Item>>>> = OnceLock::new();
    let cells = PARSED.get_or_init(|| ENTRIES.iter().map(|_| OnceLock::new()).collect());
    let cell = cells.get(entry as usize)?;
    cell.get_or_init(|| {
        let entry = ENTRIES.get(entry as usize)?;
        let text = FILES.get(entry.file as usize)?.text.get(entry.span().range())?;
        parse_slice(FileId(entry.file), text, entry.start as usize).tree.items.into_iter().next()
    })
    .as_ref()
}
