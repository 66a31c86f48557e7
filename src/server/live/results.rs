//! What a formula of a text comes to: sheet, pH, label and cost, each as it stands in its part of the page.

use super::LiveOrder;
use crate::page::{FormulaResults, prose};
use crate::session::{FormulaReport, Report};
use crate::workspace::Sources;
use maud::{Markup, html};
use serde::Serialize;

/// What helps where the weights are not known.
const UNWEIGHED: &str = "It cannot be weighed yet: say how much it makes, as `makes 100 g`, or ask for a batch above.";

/// The parts of the page that follow the text, as markup.
#[derive(Clone, Debug, Serialize)]
pub struct LiveResults {
    /// The formula that they are of; none where the text has none.
    pub formula: Option<String>,
    /// What it is called.
    pub title: Option<String>,
    /// The weights, or why there are none.
    pub sheet: String,
    /// The pH.
    pub ph: String,
    /// The label.
    pub label: String,
    /// The cost.
    pub cost: String,
}

impl LiveResults {
    /// All that a formula comes to.
    #[must_use]
    pub fn of(sources: &Sources, report: &Report<'_>, found: Option<&FormulaReport>, asked: &LiveOrder) -> LiveResults {
        let Some(found) = found else { return LiveResults::none() };
        let of = FormulaResults { sources, report, found, order: &asked.order };
        LiveResults {
            formula: Some(found.formula.name.to_string()),
            title: found.formula.title.as_ref().map(ToString::to_string),
            sheet: of.sheet(UNWEIGHED).into_string(),
            ph: of.ph().into_string(),
            label: of.label().into_string(),
            cost: of.cost().into_string(),
        }
    }

    fn none() -> LiveResults {
        let words = sentence("The text has no formula of this name.").into_string();
        LiveResults {
            formula: None,
            title: None,
            sheet: words.clone(),
            ph: words.clone(),
            label: words.clone(),
            cost: words,
        }
    }
}

fn sentence(words: &str) -> Markup {
    html! { p .none { (prose(words)) } }
}
