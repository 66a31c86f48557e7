//! A folder as it stood in a commit.

use gix::ObjectId;
use gix::objs::tree::EntryKind;
use std::collections::BTreeMap;

/// What stands in a folder, by name.
pub(super) struct Folder(pub(super) BTreeMap<Vec<u8>, (EntryKind, ObjectId)>);

impl Folder {
    pub(super) fn read(tree: &gix::Tree<'_>) -> Option<Folder> {
        let entries = tree.iter().map(|entry| {
            let entry = entry.ok()?;
            Some((entry.filename().to_vec(), (entry.kind(), entry.object_id())))
        });
        entries.collect::<Option<BTreeMap<_, _>>>().map(Folder)
    }
}
