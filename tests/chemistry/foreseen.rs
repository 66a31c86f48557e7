//! What is foreseen of the first formula of a text.

use crate::common;
use stillroom::chemistry::Activity;
use stillroom::session::check;
use stillroom::sheet::BatchOrder;
use stillroom::sheet::ph::{Outlook, outlook};

pub fn foreseen(text: &str) -> Outlook {
    let folder = common::folder(&[("recipe.still", text.as_bytes())]);
    let loaded = folder.load();
    let report = check(&loaded.sources, &BatchOrder::default(), false);
    let found = &report.formulas[0];
    let told: Vec<String> = found.diagnostics.iter().map(|of| format!("{}: {}", of.code, of.message)).collect();
    outlook(&report.resolver, &found.formula, Activity::Davies).unwrap_or_else(|| panic!("{text}\n{told:?}"))
}
