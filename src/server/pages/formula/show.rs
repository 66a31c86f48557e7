//! The page of a formula, as it is shown first.

use super::body::{FormulaBody, FormulaFiles, FormulaState};
use super::versions::VersionsKept;
use crate::server::address;
use crate::server::answer::Page;
use crate::server::live::{LiveOrder, LiveText, as_in_a_field};
use crate::server::refusal::Refusal;
use crate::server::routes::Asked;
use crate::server::workroom::Workroom;

/// The page of a formula, by its file and its name.
///
/// # Errors
/// What is no `.still` file of the folder, or cannot be read.
pub fn show(workroom: &Workroom, file: &str, name: &str, _: &Asked) -> Result<Page, Refusal> {
    let file = workroom.inside(file)?;
    let found = workroom.read(&file)?;
    let field = as_in_a_field(&found.text);
    let mut text = LiveText::open(workroom.live_world(), file.path(), workroom.folder());
    let results = text.results(&found.text, name, &LiveOrder::default());
    // The page is of the formula that is asked for; a text without it is shown all the same, so that it can be mended.
    let title = results.title.clone().or(results.formula.clone()).unwrap_or_else(|| name.to_string());
    let name = results.formula.as_deref().unwrap_or(name);
    let own = address::formula(file.name(), name);
    let kept = VersionsKept::of(&file, &own);
    let files = FormulaFiles::of(file.name(), name);
    let body = FormulaBody {
        state: FormulaState { file: file.name(), name, version: found.version.digits() },
        text: &field,
        results: &results,
        variant: &address::variant(file.name(), name),
        no_versions: kept.why_not.as_deref(),
        begin_versions: kept.begin.as_deref(),
        files: &files,
    };
    let mut page = Page::new(title, "formula desk", body.markup());
    page.lead = maud::html! {
        p { a href=(address::text(file.name())) { code { (crate::page::named(file.name())) } } }
    };
    page.scripts = &["formula.js"];
    page.version = Some(found.version);
    Ok(page)
}
