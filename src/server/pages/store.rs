//! The page of the store.

use crate::server::answer::Page;
use crate::server::refusal::Refusal;
use crate::server::routes::Asked;
use crate::server::workroom::Workroom;
use maud::html;

/// The page.
pub fn show(_: &Workroom, _: &Asked) -> Result<Page, Refusal> {
    Ok(Page::new("store", "store", html! {}))
}
