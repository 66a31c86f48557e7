//! The versions of a formula that git has: `/versions`.

use super::Writing;
use crate::keeping::FileVersion;
use crate::server::answer::Told;
use crate::server::live::version_choices;
use crate::server::refusal::Refusal;
use crate::server::workroom::Workroom;
use serde_json::json;

/// The versions that can be chosen, the latest first.
pub fn versions(workroom: &Workroom, _: Option<FileVersion>, of: Writing) -> Result<Told, Refusal> {
    let file = of.inside(workroom)?;
    let all = version_choices(file.path(), &of.name).map_err(|error| Refusal::wrong(error.to_string()))?;
    Told::new(&json!({ "versions": all }))
}
