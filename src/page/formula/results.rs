//! What a formula comes to, or why there is nothing of it: sheet, pH, label and cost.

use crate::cost::of as cost_of;
use crate::page::{PhDrawing, prose};
use crate::quantity::Exact;
use crate::render::{BatchCostJson, LabelJson, Summary, ph_json, sheet};
use crate::session::{FormulaReport, LabelOrder, NoLabels, Report};
use crate::sheet::{BatchOrder, plan};
use crate::workspace::Sources;
use maud::{Markup, html};

/// A formula of a report, and the batch that is asked for.
#[derive(Clone, Copy)]
pub struct FormulaResults<'a, 's> {
    /// The files.
    pub sources: &'a Sources,
    /// What was found of them.
    pub report: &'a Report<'s>,
    /// The formula among that.
    pub found: &'a FormulaReport,
    /// The batch.
    pub order: &'a BatchOrder,
}

impl FormulaResults<'_, '_> {
    /// That there is nothing to weigh or to print while errors stand.
    fn blocked(&self, what: &str) -> Option<Markup> {
        let errors = Summary::of(&self.found.diagnostics).errors;
        let them = if errors == 1 { "1 error stands".to_string() } else { format!("{errors} errors stand") };
        self.found.is_blocked().then(|| sentence(&format!("{what} while {them}: see what is wrong under “Faults”.")))
    }

    /// The weights; else `unweighed`, what helps where they are not known.
    #[must_use]
    pub fn sheet(&self, unweighed: &str) -> Markup {
        if let Some(words) = self.blocked("There is no sheet") {
            return words;
        }
        match sheet(self.sources, self.report, self.found, self.order) {
            Some(sheet) => super::sheet(&sheet),
            None => sentence(unweighed),
        }
    }

    /// The pH as it is foreseen.
    #[must_use]
    pub fn ph(&self) -> Markup {
        let formula = &self.found.formula;
        let batch = plan(formula, self.order).map_or(Exact::HUNDRED, |plan| plan.batch);
        let outlook = self.found.outlook(&self.report.resolver);
        match ph_json(formula, outlook.as_ref(), &batch) {
            Some(json) => super::ph(&json, PhDrawing::of(formula, outlook.as_ref(), &batch, 0.0).as_ref()),
            None => sentence("Nothing in it has a pH to foresee: no water, or no substance with acid-base data."),
        }
    }

    /// The label of each market.
    #[must_use]
    pub fn label(&self) -> Markup {
        if let Some(words) = self.blocked("There is no label") {
            return words;
        }
        match self.report.labels(self.found, self.order, &LabelOrder::default()) {
            Ok(labels) => super::label(&LabelJson::new(self.sources, &labels), &labels.drugs),
            Err(why) => sentence(match why {
                NoLabels::Stock => "It is `product stock`: for the bench, not for skin, and has no label.",
                NoLabels::NoMarket => {
                    "It says of no market that it is sold there: add `market eu`, and its label stands here."
                }
                NoLabels::Rejected | NoLabels::NotKnown => "What is in it is not known, so it has no label.",
            }),
        }
    }

    /// What a batch costs.
    #[must_use]
    pub fn cost(&self) -> Markup {
        if let Some(words) = self.blocked("There is no cost") {
            return words;
        }
        match cost_of(&self.report.resolver, &self.found.formula, self.order, None) {
            Some(cost) => super::cost(&BatchCostJson::new(&cost, Vec::new())),
            None => sentence("It cannot be priced before it can be weighed."),
        }
    }
}

fn sentence(words: &str) -> Markup {
    html! { p .none { (prose(words)) } }
}
