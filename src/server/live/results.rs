//! What a formula of a text comes to: sheet, pH, label and cost, each as it stands in its part of the page.

use super::LiveOrder;
use crate::page::{FormulaResults, prose};
use crate::session::{FormulaReport, Report};
use crate::workspace::Sources;
use maud::{Markup, html};
use serde::Serialize;

/// What helps where the weights are not known.
const UNWEIGHED: &str = "It cannot be weighed yet: say how much it makes, as `makes 100 g`, or ask for a batch above.";

/// Where the text has no such formula, and all of it can be read.
const NO_FORMULA: &str = "The text has no formula of this name.";

/// Where it has none, and something in it cannot be read.
const UNREAD: &str =
    "The formula cannot be read as its text stands, so nothing of it is shown: see what is wrong under “Faults”.";

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
    /// The sheet as it is printed from the page, or why there is none.
    pub paper: String,
}

impl LiveResults {
    /// All that a formula comes to.
    #[must_use]
    pub fn of(sources: &Sources, report: &Report<'_>, found: Option<&FormulaReport>, asked: &LiveOrder) -> LiveResults {
        let Some(found) = found else { return LiveResults::none(NO_FORMULA) };
        let of = FormulaResults { sources, report, found, order: &asked.order };
        let sheet = of.sheet(UNWEIGHED).into_string();
        LiveResults {
            formula: Some(found.formula.name.to_string()),
            title: found.formula.title.as_ref().map(ToString::to_string),
            paper: of.paper().map_or_else(|| sheet.clone(), Markup::into_string),
            sheet,
            ph: of.ph().into_string(),
            label: of.label().into_string(),
            cost: of.cost().into_string(),
        }
    }

    /// Of a text in which something cannot be read, so that nobody knows which formula it is.
    #[must_use]
    pub fn unread() -> LiveResults {
        LiveResults::none(UNREAD)
    }

    fn none(why: &str) -> LiveResults {
        let words = sentence(why).into_string();
        LiveResults {
            formula: None,
            title: None,
            sheet: words.clone(),
            ph: words.clone(),
            label: words.clone(),
            cost: words.clone(),
            paper: words,
        }
    }
}

fn sentence(words: &str) -> Markup {
    html! { p .none { (prose(words)) } }
}
