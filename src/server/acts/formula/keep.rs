//! A text saved, and committed where that is asked for: `/keep`.

use super::Writing;
use crate::keeping::{FileVersion, save};
use crate::server::acts::commit::commit;
use crate::server::address;
use crate::server::answer::Told;
use crate::server::live::{LiveText, as_in_file};
use crate::server::refusal::Refusal;
use crate::server::workroom::Workroom;
use serde::Deserialize;
use serde_json::json;

/// What is to be saved.
#[derive(Clone, Debug, Deserialize)]
pub struct Keeping {
    /// The text in the page.
    #[serde(flatten)]
    pub of: Writing,
    /// What the commit says; none where it is only saved.
    pub message: Option<String>,
}

/// Saves a text over the version that was read, and commits it. Without a version it is a new file: one that is there is
/// not written over.
pub fn keep(workroom: &Workroom, version: Option<FileVersion>, asked: Keeping) -> Result<Told, Refusal> {
    let Keeping { of, message } = &asked;
    // Of a file that is gone there is nothing to write over: that is told as any other change of it.
    let file = of.inside(workroom).or_else(|_| workroom.inside_to_be(&of.file))?;
    let message = message.as_deref().map(str::trim);
    if message == Some("") {
        return Err(Refusal::wrong("A commit says what changed: write it under “What changed”. Nothing was saved."));
    }
    // Of another version nothing is taken over: it is refused below.
    let was = workroom.read(&file).map(|found| found.text).unwrap_or_default();
    let text = as_in_file(&was, &of.text);
    let kept = save(&workroom.keeper(), file.path(), version.as_ref(), &text);
    let kept = kept.map_err(|why| workroom.refusal(why, &file, &of.text))?;
    let (said, committed) = match message {
        None => ("Saved.".to_string(), None),
        Some(message) => match commit(workroom.folder(), &file, message) {
            Ok(id) => (format!("Saved, and committed as {id}."), Some(id)),
            Err(why) => (format!("Saved, and not committed: {why}"), None),
        },
    };
    let mut live = LiveText::open(workroom.live_world(), file.path(), workroom.folder());
    let name = live.name_of(&text, &of.name).unwrap_or_else(|| of.name.clone());
    Ok(Told::new(&json!({
        "file": file.name(),
        "version": kept.digits(),
        "name": name,
        "address": address::formula(file.name(), &name),
        "message": said,
        "committed": committed,
        "failed": message.is_some() && committed.is_none(),
    }))?
    .of(kept))
}
