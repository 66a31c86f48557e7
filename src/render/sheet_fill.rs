//! What a sheet says of the jars: what goes into each, how many there will be, their code, and how long it keeps.

use super::number::{grams, step_text};
use crate::cost::{Fill, content_words};
use crate::label::best_before;
use crate::model::{Duration, Formula};
use crate::quantity::Exact;
use crate::resolve::Resolver;
use crate::sheet::{BatchOrder, Plan};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// What a batch is filled into.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct SheetFill {
    /// The container; none where none is known that holds so much.
    pub container: Option<String>,
    /// What the label says is in it: `50 mL`.
    pub content: String,
    /// What is filled in beyond that, in percent.
    pub overfill_percent: String,
    /// What goes into each, in grams, to the finest scale.
    pub each_g: String,
    /// The same, exact.
    pub each_g_exact: String,
    /// How many were asked for; none where the batch was asked for by its weight.
    pub planned: Option<String>,
    /// How many there is enough for.
    pub filled: String,
    /// What stays in the pot, in percent of the batch.
    pub loss_percent: String,
    /// What is left over then, in grams.
    pub left_over_g: String,
}

/// How long a product keeps.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct SheetKeeps {
    /// How long unopened: `12 months`.
    pub lasts: String,
    /// How long once open.
    pub opened: Option<String>,
    /// The end of which month, or which day, it keeps to; none where the sheet says no day on which it is made.
    pub best_before: Option<String>,
    /// The day on which it is made.
    pub made_on: Option<String>,
}

impl SheetFill {
    /// What a planned batch is filled into.
    #[must_use]
    pub fn of(resolver: &Resolver<'_>, formula: &Formula, order: &BatchOrder, plan: &Plan) -> Option<SheetFill> {
        let fill = Fill::of(resolver, formula, order, plan)?;
        let to_step = |weight: &Exact| grams(&weight.to_step(&plan.finest), &plan.finest);
        Some(SheetFill {
            container: fill.container.map(|name| name.to_string()),
            content: content_words(&fill.content),
            overfill_percent: fill.overfill.to_string(),
            each_g: to_step(&fill.filled.each),
            each_g_exact: fill.filled.each.to_fraction(),
            planned: fill.filled.asked.as_ref().map(step_text),
            filled: step_text(&fill.filled.count),
            loss_percent: fill.loss.to_string(),
            left_over_g: to_step(&fill.filled.remains),
        })
    }

    /// `47.50 g into each: 12 of 50 mL`, and what else is to be known.
    #[must_use]
    pub fn words(&self) -> String {
        let SheetFill { content, each_g, filled, .. } = self;
        let into = self.container.as_ref().map(|name| format!(" (`{name}`)")).unwrap_or_default();
        let over = match self.overfill_percent.as_str() {
            "0" => String::new(),
            over => format!(", {over} % over its content"),
        };
        let enough = match &self.planned {
            Some(planned) if planned == filled => format!("{filled} are filled"),
            Some(planned) => format!("{planned} were planned, and there is enough for {filled}"),
            None => format!("there is enough for {filled}"),
        };
        let pot = match self.loss_percent.as_str() {
            "0" => String::new(),
            loss => format!(", with {loss} % left in the pot"),
        };
        format!("{each_g} g into each of {content}{into}{over}; {enough}{pot}, and {} g left over.", self.left_over_g)
    }
}

impl SheetKeeps {
    /// How long a formula says that it keeps, and to when where the day is known on which it is made.
    #[must_use]
    pub fn of(formula: &Formula, made_on: Option<&str>) -> Option<SheetKeeps> {
        let lasts = formula.label.lasts.as_ref()?;
        Some(SheetKeeps {
            lasts: time_words(lasts),
            opened: formula.label.opened.as_ref().map(time_words),
            best_before: made_on.and_then(|day| best_before(day, lasts)),
            made_on: made_on.map(ToString::to_string),
        })
    }

    /// In a sentence.
    #[must_use]
    pub fn words(&self) -> String {
        let opened = self.opened.as_ref().map(|opened| format!(", and {opened} once open")).unwrap_or_default();
        let date = match (&self.best_before, &self.made_on) {
            (Some(date), Some(day)) => format!(": made on {day}, best used before the end of {date}"),
            _ => String::new(),
        };
        format!("Keeps {} unopened{opened}{date}.", self.lasts)
    }
}

/// Months by the calendar, all else in days.
fn time_words(time: &Duration) -> String {
    match time {
        Duration::Months(months) if *months == Exact::ONE => "1 month".to_string(),
        Duration::Months(months) => format!("{months} months"),
        Duration::Seconds(seconds) => {
            let days = seconds.over(&Exact::whole(86_400)).unwrap_or(Exact::ZERO);
            format!("{} days", days.to_significant(4))
        }
    }
}

/// The code of a batch that is made on a day, as the maker calls batches.
#[must_use]
pub fn batch_code(resolver: &Resolver<'_>, formula: &Formula, made_on: Option<&str>) -> Option<String> {
    resolver.maker(formula.id.file)?.code?.on(made_on?)
}
