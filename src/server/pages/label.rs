//! The label of a formula as it is printed: its size is asked for in millimetres, and it is drawn true to them.

use crate::diagnostic::{Diagnostic, Level};
use crate::page::{label_body, named, prose};
use crate::render::LABEL_DEFERENCE;
use crate::server::address;
use crate::server::answer::Page;
use crate::server::files::{FormulaFile, LabelAsked, OneFormula};
use crate::server::inside::Inside;
use crate::server::refusal::Refusal;
use crate::server::routes::Asked;
use crate::server::workroom::Workroom;
use crate::syntax::vocabulary::Market;
use maud::{Markup, html};

/// The page.
///
/// # Errors
/// What is no `.still` file of the folder, and no formula of it.
pub fn show(workroom: &Workroom, file: &str, name: &str, asked: &Asked) -> Result<Page, Refusal> {
    let file = workroom.inside(file)?;
    let (order, wrong) = match LabelAsked::of(asked) {
        Ok(order) => (order, None),
        Err(why) => (LabelAsked::default(), Some(why)),
    };
    let shown = OneFormula::open(workroom, &file, name).label(&order, |labels, page| {
        let title = page.labels.title.clone().unwrap_or_else(|| page.labels.formula.clone());
        let faults = [drugs(&labels.drugs), told(&labels.faults)];
        (title, html! { @for told in &faults { (told) } (label_body(&[page])) })
    });
    let (title, body) = match shown {
        Ok((title, body)) => (title, body),
        // What has no label by itself may have one once a market is chosen.
        Err(why) if why.status().as_u16() == 400 => {
            (name.to_string(), html! { p.said.warning role="status" { (prose(why.sentence())) } })
        }
        Err(why) => return Err(why),
    };
    let body = html! {
        link rel="stylesheet" href="/assets/label.css";
        (size(&file, name, asked, wrong.as_deref()))
        div.on-letter[order.on_letter].on-a4[!order.on_letter] { (body) }
        p.soft { (LABEL_DEFERENCE) }
    };
    let lead = html! {
        p { "Label of " a href=(address::formula(file.name(), name)) { (named(name)) } ", as it is saved." }
    };
    Ok(Page { lead, scripts: &["label.js"], ..Page::new(title, "label-page desk", body) })
}

/// The size, the paper and the market, as they are asked for.
fn size(file: &Inside, name: &str, asked: &Asked, wrong: Option<&str>) -> Markup {
    let text = |key: &str| asked.get(key).map(String::as_str).unwrap_or_default();
    let papers = [("a4", "A4"), ("letter", "Letter")];
    let markets = std::iter::once(("", "those of the formula".to_string()));
    let markets = markets.chain(Market::WORDS.iter().map(|word| (*word, word.to_uppercase())));
    let choice = |id: &str, title: &str, all: Vec<(&str, String)>| {
        html! {
            div.field {
                label for=(id) { (title) }
                select id=(id) name=(id) {
                    @for (value, words) in &all { option value=(value) selected[text(id) == *value] { (words) } }
                }
            }
        }
    };
    html! {
        section.card.screen-only aria-labelledby="size-title" {
            h2 #size-title { "Size of the label" }
            form method="get" action=(address::label(file.name(), name)) {
                div.size {
                    @for (id, title) in [("width", "Width, mm"), ("height", "Height, mm")] {
                        div.field {
                            label for=(id) { (title) }
                            input id=(id) name=(id) type="text" inputmode="decimal" autocomplete="off" value=(text(id))
                                aria-invalid=[wrong.map(|_| "true")] aria-describedby=(if wrong.is_some() { "size-wrong" } else { "size-help" });
                        }
                    }
                    (choice("paper", "Paper", papers.map(|(value, words)| (value, words.to_string())).to_vec()))
                    (choice("market", "Market", markets.collect()))
                }
                @if let Some(why) = wrong { p #size-wrong.said.error role="alert" { (prose(why)) } }
                p #size-help.soft { "Measure the jar where the label goes. Left empty, the text is shown without a sheet to print." }
                div.row {
                    button.first type="submit" { "Lay it out" }
                    button type="submit" formaction=(address::formula_file(file.name(), name, FormulaFile::Label.word())) {
                        "Download the label"
                    }
                }
            }
        }
    }
}

/// The markets that have none, as what it says of itself makes a drug of it there.
fn drugs(of: &[(Market, Diagnostic)]) -> Markup {
    html! {
        @if !of.is_empty() {
            ul.said.screen-only {
                @for (market, fault) in of {
                    li.error { span.level { "No label for " (market.word().to_uppercase()) } ": " (prose(&fault.message)) }
                }
            }
        }
    }
}

/// What is wrong with the labels, as what does not fit.
fn told(of: &[Diagnostic]) -> Markup {
    html! {
        @if !of.is_empty() {
            ul.said.screen-only aria-label="Faults of the label" {
                @for fault in of {
                    li class=(fault.level.word()) {
                        span.level { (named_level(fault.level)) } ": " (prose(&fault.message))
                        @if let Some(help) = &fault.help { span.help { (prose(help)) } }
                    }
                }
            }
        }
    }
}

fn named_level(level: Level) -> &'static str {
    match level {
        Level::Error => "Error",
        Level::Warning => "Warning",
        Level::Note => "Note",
    }
}
