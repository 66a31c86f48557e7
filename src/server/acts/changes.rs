//! Whether anything on the disk has changed since the page last asked.

use crate::server::answer::Told;
use crate::server::refusal::Refusal;
use crate::server::routes::Asked;
use crate::server::workroom::Workroom;
use serde_json::json;

/// A number that is another one after any change.
pub fn told(workroom: &Workroom, _: &Asked) -> Result<Told, Refusal> {
    Told::new(&json!({ "now": workroom.changes() }))
}
