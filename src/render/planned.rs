//! What is planned, weighed out: what the shopping list is made for.

use super::buy::{BuyJson, Buying, PlannedJson};
use crate::diagnostic::{Diagnostic, Level};
use crate::model::Planned;
use crate::quantity::Currency;
use crate::session::{Report, Session};
use crate::sheet::{BatchOrder, plan};
use crate::store::{Needs, PlannedBatch, ShoppingList, StoreRoom};

/// What is planned, weighed out.
#[derive(Default)]
pub struct WeighedPlans {
    /// Each batch that can be weighed.
    pub batches: Vec<PlannedBatch>,
    /// Each batch, as it is told of.
    pub told: Vec<PlannedJson>,
    /// What is wrong with the others.
    pub faults: Vec<Diagnostic>,
    /// Which those are, in sentences.
    pub notes: Vec<String>,
}

impl WeighedPlans {
    /// Weighs out what is planned, each with the formula that the report has of it.
    #[must_use]
    pub fn of(session: &Session<'_>, report: &Report<'_>, planned: Vec<Planned>) -> WeighedPlans {
        let mut weighed = WeighedPlans::default();
        for planned in planned {
            let makes = words(session, &planned);
            let order = BatchOrder { makes: Some(planned.makes.clone()), ..BatchOrder::default() };
            let found = report.formulas.iter().find(|of| of.formula.id == planned.formula);
            let is_blocked = found.is_none_or(|of| of.is_blocked());
            let is_told = weighed.told.iter().any(|told| told.formula == planned.name);
            if let Some(of) = found.filter(|_| is_blocked && !is_told) {
                weighed.faults.extend(of.diagnostics.iter().filter(|fault| fault.level == Level::Error).cloned());
            }
            let plan = found.filter(|_| !is_blocked).and_then(|of| Some((of, plan(&of.formula, &order)?)));
            weighed.told.push(PlannedJson {
                formula: planned.name.to_string(),
                makes: makes.clone(),
                grams_exact: plan.as_ref().map(|(_, plan)| plan.total.to_fraction()),
            });
            match plan {
                Some((of, plan)) => {
                    weighed.batches.push(PlannedBatch { formula: std::sync::Arc::clone(&of.formula), plan, planned });
                }
                None => weighed.notes.push(left_out(&planned, &makes, is_blocked)),
            }
        }
        weighed.notes.dedup();
        weighed
    }
}

impl BuyJson {
    /// The shopping list for what is planned. `is_whole` is false where something could not be read, so that something may
    /// be missing.
    #[must_use]
    pub fn for_plans(
        report: &Report<'_>,
        room: &StoreRoom,
        weighed: &WeighedPlans,
        into: Option<Currency>,
        is_whole: bool,
    ) -> BuyJson {
        let resolver = &report.resolver;
        let needs = Needs::of(resolver, room, &weighed.batches);
        let mut list = ShoppingList::for_needs(resolver, room, &needs, into);
        list.complete &= weighed.notes.is_empty() && needs.notes.is_empty() && is_whole;
        let notes = [weighed.notes.clone(), needs.notes.clone(), needs.at_most.clone(), room.notes.clone()].concat();
        let make_first = &needs.make_first;
        BuyJson::new(Buying { planned: weighed.told.clone(), room, list: &list, make_first, notes })
    }
}

fn left_out(planned: &Planned, makes: &str, is_blocked: bool) -> String {
    let name = &planned.name;
    match (is_blocked, planned.makes.millilitres.is_some()) {
        (true, _) => format!("`{name}` has errors, and nothing is bought for it."),
        (false, true) => {
            format!("`{name}` {makes} is by volume, and its `density` is not known: nothing is bought for it.")
        }
        (false, false) => format!("`{name}` {makes} cannot be weighed, and nothing is bought for it."),
    }
}

/// How much is planned, as it is written.
fn words(session: &Session<'_>, planned: &Planned) -> String {
    let said = session.sources().at(planned.place).split_whitespace().collect::<Vec<_>>().join(" ");
    let rest = said.strip_prefix("planned").map(str::trim_start).unwrap_or_default();
    rest.strip_prefix(planned.name.as_str()).unwrap_or(rest).trim().to_string()
}
