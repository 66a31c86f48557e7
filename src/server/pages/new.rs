//! Where a formula is begun: from a kind, from a table that the maker has, or as a variant of another.

use crate::bring::Kind;
use crate::server::answer::Page;
use crate::server::refusal::Refusal;
use crate::server::routes::Asked;
use crate::server::workroom::Workroom;
use maud::{Markup, html};

/// The page. With `?of=FILE&formula=NAME` it begins with a variant of that formula.
///
/// # Errors
/// A file that is none of the folder.
pub fn show(workroom: &Workroom, asked: &Asked) -> Result<Page, Refusal> {
    let base = match (asked.get("of"), asked.get("formula")) {
        (Some(file), Some(formula)) => Some((workroom.inside(file)?, formula.as_str())),
        _ => None,
    };
    let body = html! {
        link rel="stylesheet" href="/assets/formula.css";
        div #notice .said .notice role="status" hidden {}
        @if let Some((file, formula)) = &base { (variant(file.name(), formula)) }
        div .beside { (from_kind()) (from_table()) }
        div #made .card hidden {}
    };
    let mut page = Page::new("New formula", "new", body);
    page.scripts = &["new.js"];
    Ok(page)
}

fn name(id: &str, example: &str) -> Markup {
    let help = format!("{id}-help");
    html! {
        div .field {
            label for=(id) { "Name" }
            input id=(id) name="name" type="text" required autocomplete="off" autocapitalize="off" spellcheck="false"
                aria-describedby=(help);
            p id=(help) .soft { "Small letters and hyphens, as " code { (example) } "." }
        }
    }
}

fn variant(file: &str, formula: &str) -> Markup {
    html! {
        section .card aria-labelledby="variant-title" {
            h2 #variant-title { "A variant" }
            p { "It takes everything from " code { (formula) } " but what you say differently." }
            form data-how="variant" {
                input type="hidden" name="file" value=(file);
                input type="hidden" name="formula" value=(formula);
                (name("variant-name", "night-cream"))
                fieldset {
                    legend { "Where it stands" }
                    p { label { input type="radio" name="place" value="same" checked; " in the same file, below it" } }
                    p { label { input type="radio" name="place" value="own"; " in a file of its own, which uses " code { (file) } } }
                }
                button .first type="submit" { "Begin the variant" }
            }
        }
    }
}

fn from_kind() -> Markup {
    html! {
        section .card aria-labelledby="kind-title" {
            h2 #kind-title { "From a kind" }
            form data-how="kind" {
                (name("kind-name", "day-cream"))
                div .field {
                    label for="kind" { "Kind" }
                    select #kind name="kind" aria-describedby="kind-help" {
                        @for kind in Kind::ALL { option value=(kind.word()) { (kind.word()) } }
                    }
                    ul #kind-help .soft { @for kind in Kind::ALL { li { (kind.is()) } } }
                }
                button .first type="submit" { "Begin it" }
            }
        }
    }
}

fn from_table() -> Markup {
    html! {
        section .card aria-labelledby="table-title" {
            h2 #table-title { "From what you have" }
            p { "Paste a table out of a spreadsheet, or a note: phase, name, percent or grams." }
            form data-how="table" {
                (name("table-name", "rose-gel"))
                div .field {
                    label for="table" { "Table or note" }
                    textarea #table .code name="table" rows="10" required spellcheck="false" autocapitalize="off" {}
                }
                div .field {
                    label for="figures" { "The figures are" }
                    select #figures name="figures" {
                        option value="" { "as the table says" }
                        option value="percent" { "percent" }
                        option value="grams" { "grams" }
                    }
                }
                p { label { input type="checkbox" name="rest" value="yes"; " the water takes the rest up to 100 %" } }
                button .first type="submit" { "Bring it in" }
            }
        }
    }
}
