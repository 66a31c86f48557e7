//! The text of a file, with its version: `/text?file=FILE`.

use crate::server::answer::Told;
use crate::server::refusal::Refusal;
use crate::server::routes::Asked;
use crate::server::workroom::Workroom;
use serde_json::json;

/// The text of a file as it is on the disk.
pub fn told(workroom: &Workroom, asked: &Asked) -> Result<Told, Refusal> {
    let file = workroom.inside(asked.get("file").map(String::as_str).unwrap_or_default())?;
    let found = workroom.read(&file)?;
    Ok(Told::new(&json!({ "file": file.name(), "text": found.text, "version": found.version.digits() }))?
        .of(found.version))
}
