//! The page of a bench.

use crate::server::answer::Page;
use crate::server::refusal::Refusal;
use crate::server::routes::Asked;
use crate::server::workroom::Workroom;
use maud::html;

/// The page of one, by its file and its name.
pub fn show(workroom: &Workroom, file: &str, name: &str, _: &Asked) -> Result<Page, Refusal> {
    let file = workroom.inside(file)?;
    let found = workroom.read(&file)?;
    let mut page = Page::new(name, "bench", html! { pre { (found.text) } });
    page.version = Some(found.version);
    Ok(page)
}
