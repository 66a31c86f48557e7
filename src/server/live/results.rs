//! What a formula of a text comes to: sheet, pH, label and cost, each as it stands in its part of the page.

use super::LiveOrder;
use crate::cost::of as cost_of;
use crate::page::{PhDrawing, prose};
use crate::quantity::Exact;
use crate::render::{BatchCostJson, LabelJson, Summary, ph_json, sheet};
use crate::server::pages::formula as page;
use crate::session::{FormulaReport, LabelOrder, NoLabels, Report};
use crate::sheet::plan;
use crate::workspace::Sources;
use maud::{Markup, html};
use serde::Serialize;

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
        let of = Asked { sources, report, found, asked };
        LiveResults {
            formula: Some(found.formula.name.to_string()),
            title: found.formula.title.as_ref().map(ToString::to_string),
            sheet: of.sheet().into_string(),
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

struct Asked<'a, 's> {
    sources: &'a Sources,
    report: &'a Report<'s>,
    found: &'a FormulaReport,
    asked: &'a LiveOrder,
}

impl Asked<'_, '_> {
    /// That there is nothing to weigh or to print while errors stand.
    fn blocked(&self, what: &str) -> Option<Markup> {
        let errors = Summary::of(&self.found.diagnostics).errors;
        let them = if errors == 1 { "1 error stands".to_string() } else { format!("{errors} errors stand") };
        self.found.is_blocked().then(|| sentence(&format!("{what} while {them}: see what is wrong under “Faults”.")))
    }

    fn sheet(&self) -> Markup {
        if let Some(words) = self.blocked("There is no sheet") {
            return words;
        }
        match sheet(self.sources, self.report, self.found, &self.asked.order) {
            Some(sheet) => page::sheet(&sheet),
            None => {
                sentence("It cannot be weighed yet: say how much it makes, as `makes 100 g`, or ask for a batch above.")
            }
        }
    }

    fn ph(&self) -> Markup {
        let formula = &self.found.formula;
        let batch = plan(formula, &self.asked.order).map_or(Exact::HUNDRED, |plan| plan.batch);
        let outlook = self.found.outlook(&self.report.resolver);
        match ph_json(formula, outlook.as_ref(), &batch) {
            Some(json) => page::ph(&json, PhDrawing::of(formula, outlook.as_ref(), &batch, 0.0).as_ref()),
            None => sentence("Nothing in it has a pH to foresee: no water, or no substance with acid-base data."),
        }
    }

    fn label(&self) -> Markup {
        if let Some(words) = self.blocked("There is no label") {
            return words;
        }
        match self.report.labels(self.found, &self.asked.order, &LabelOrder::default()) {
            Ok(labels) => page::label(&LabelJson::new(self.sources, &labels), &labels.drugs),
            Err(why) => sentence(match why {
                NoLabels::Stock => "It is `product stock`: for the bench, not for skin, and has no label.",
                NoLabels::NoMarket => {
                    "It says of no market that it is sold there: add `market eu`, and its label stands here."
                }
                NoLabels::Rejected | NoLabels::NotKnown => "What is in it is not known, so it has no label.",
            }),
        }
    }

    fn cost(&self) -> Markup {
        if let Some(words) = self.blocked("There is no cost") {
            return words;
        }
        match cost_of(&self.report.resolver, &self.found.formula, &self.asked.order, None) {
            Some(cost) => page::cost(&BatchCostJson::new(&cost, Vec::new())),
            None => sentence("It cannot be priced before it can be weighed."),
        }
    }
}

fn sentence(words: &str) -> Markup {
    html! { p .none { (prose(words)) } }
}
