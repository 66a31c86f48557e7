//! A text in the one layout, as `fmt` lays it out: `{text}`. Nothing is written; the page saves it when she does.

use crate::diagnostic::FileId;
use crate::keeping::FileVersion;
use crate::server::answer::Told;
use crate::server::refusal::Refusal;
use crate::server::workroom::Workroom;
use crate::syntax::{format, parse};
use serde::Deserialize;
use serde_json::json;

/// What is to be laid out.
#[derive(Deserialize)]
pub struct Asked {
    text: String,
}

/// Lays it out, where it parses.
pub fn done(_: &Workroom, _: Option<FileVersion>, asked: Asked) -> Result<Told, Refusal> {
    match parse(FileId(u32::MAX), &asked.text).faults.as_slice() {
        [] => Told::new(&json!({ "text": format(&asked.text) })),
        _ => Err(Refusal::wrong("What has faults in its words is left as it is: mend those first.")),
    }
}
