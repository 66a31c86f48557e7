//! A whole text saved: `{file, text}`, over the version in `If-Match`; without one it is a new file.

use crate::keeping::{FileVersion, save};
use crate::server::answer::Told;
use crate::server::refusal::Refusal;
use crate::server::workroom::Workroom;
use serde::Deserialize;
use serde_json::json;

/// What is to be saved.
#[derive(Deserialize)]
pub struct Asked {
    /// The file, from the folder.
    file: String,
    /// All of its text.
    text: String,
}

/// Saves it, whole or not at all.
pub fn done(workroom: &Workroom, version: Option<FileVersion>, asked: Asked) -> Result<Told, Refusal> {
    let file = match version {
        Some(_) => workroom.inside(&asked.file)?,
        None => workroom.inside_to_be(&asked.file)?,
    };
    let saved = save(&workroom.keeper(), file.path(), version.as_ref(), &asked.text);
    let version = saved.map_err(|why| workroom.refusal(why, &file, &asked.text))?;
    Ok(Told::new(&json!({ "file": file.name(), "version": version.digits() }))?.of(version))
}
