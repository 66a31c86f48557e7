//! The workroom: formulas with their state, batches under way and what each waits for, what is planned and missing.

use crate::server::address;
use crate::server::answer::Page;
use crate::server::refusal::Refusal;
use crate::server::routes::Asked;
use crate::server::workroom::Workroom;
use crate::sheet::BatchOrder;
use maud::html;

/// The page.
pub fn show(workroom: &Workroom, _: &Asked) -> Result<Page, Refusal> {
    let formulas: Vec<(String, String)> = workroom.saved(|session| {
        let report = session.check(&BatchOrder::default());
        let link = |id: crate::diagnostic::FileId, name: &str| {
            let file = workroom.name_of(&session.sources().home(id)?.absolute)?;
            Some((name.to_string(), address::formula(&file, name)))
        };
        report.formulas.iter().filter_map(|found| link(found.formula.id.file, &found.formula.name)).collect()
    });
    let body = html! {
        section aria-labelledby="formulas" {
            h2 id="formulas" { "Formulas" }
            ul { @for (name, address) in &formulas { li { a href=(address) { (name) } } } }
        }
    };
    Ok(Page { here: "/", scripts: &["watch.js"], ..Page::new("Workroom", "workroom", body) })
}
