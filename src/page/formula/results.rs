//! What a formula comes to, or why there is nothing of it: sheet, pH, label and cost.

use crate::cost::of as cost_of;
use crate::diagnostic::{Diagnostic, Level};
use crate::page::{PhDrawing, SheetPage, prose, sheet_paper};
use crate::quantity::Exact;
use crate::render::{BatchCostJson, LabelJson, Summary, ph_json, sheet, shown};
use crate::session::{FormulaReport, LabelOrder, NoLabels, Report};
use crate::sheet::{BatchOrder, plan};
use crate::workspace::{LineIndex, Sources};
use maud::{Markup, html};

/// So many errors are told where the weights would stand; all of them stand under the text.
const TOLD: usize = 3;

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
    /// That there are no figures while errors stand: what was worked out beside an error would be taken for good.
    fn blocked(&self, what: &str) -> Option<Markup> {
        let while_they_stand = self.while_errors_stand()?;
        Some(sentence(&format!("{what} {while_they_stand}: see what is wrong under “Faults”.")))
    }

    fn while_errors_stand(&self) -> Option<String> {
        let errors = Summary::of(&self.found.diagnostics).errors;
        let them = if errors == 1 { "1 error stands".to_string() } else { format!("{errors} errors stand") };
        self.found.is_blocked().then(|| format!("while {them}"))
    }

    /// The same with the errors themselves, the first few of them.
    fn withheld(&self, what: &str) -> Option<Markup> {
        let blocked = sentence(&format!("{what} {}:", self.while_errors_stand()?));
        let errors = || self.found.diagnostics.iter().filter(|fault| fault.level == Level::Error);
        let more = errors().count().saturating_sub(TOLD);
        Some(html! {
            (blocked)
            ul .said {
                @for fault in errors().take(TOLD) {
                    li .error {
                        span .level { "Error" } " " span .place { (self.place(fault)) } ": " (prose(&fault.message))
                        @if let Some(help) = &fault.help { span .help { (prose(help)) } }
                    }
                }
            }
            @if more > 0 { p .soft { "And " (more) " more." } }
            p .soft { "Weights, pH, label and cost come back once it is mended. Nothing is weighed by a text with an error." }
        })
    }

    /// The line of a fault; with its file, where that is another than the formula's.
    fn place(&self, fault: &Diagnostic) -> String {
        let place = fault.primary.place;
        let ((line, _), _) = LineIndex::new(self.sources.text(place.file)).span(place.span);
        match place.file == self.found.formula.id.file {
            true => format!("line {line}"),
            false => format!("{}, line {line}", shown(&self.sources.path(place.file))),
        }
    }

    /// The sheet as it is printed; none where there is nothing to weigh by.
    #[must_use]
    pub fn paper(&self) -> Option<Markup> {
        let sheet = sheet(self.sources, self.report, self.found, self.order).filter(|_| !self.found.is_blocked())?;
        Some(sheet_paper(&SheetPage::to_print(&self.report.resolver, self.found, sheet)))
    }

    /// The weights; else `unweighed`, what helps where they are not known.
    #[must_use]
    pub fn sheet(&self, unweighed: &str) -> Markup {
        if let Some(words) = self.withheld("No weights are shown") {
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
        if let Some(words) = self.blocked("No pH is shown") {
            return words;
        }
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
        if let Some(words) = self.blocked("No label is shown") {
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
        if let Some(words) = self.blocked("No cost is shown") {
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
