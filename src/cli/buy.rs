//! `stillroom buy`.

use super::arguments::{BuyArguments, StoreFormat};
use super::cost::currency;
use super::input::{day, did_you_mean, here, pretty, stderr_is_terminal, style};
use super::out::Destination;
use super::store_files::{NOT_WHOLE, formula_names, named_or_here, store_room, tell_left_out, unopened};
use super::stream::{tell, tell_line};
use super::{Failure, Outcome};
use stillroom::diagnostic::{Diagnostic, Level};
use stillroom::model::Planned;
use stillroom::render::{BuyJson, Buying, PlannedJson, buy_markdown, buy_text, human, shown};
use stillroom::resolve::Resolver;
use stillroom::session::{Report, Session};
use stillroom::sheet::{BatchOrder, plan};
use stillroom::store::{Needs, PlannedBatch, ShoppingList};
use stillroom::workspace::Disk;

/// Prints what to buy. What is planned of a formula with errors is told of and left out.
///
/// # Errors
/// Wrong arguments, nothing planned, or input that cannot be read: then after all that could be.
pub fn run(arguments: &BuyArguments) -> Result<Outcome, Failure> {
    let ask = &arguments.ask;
    let out = Destination::of(ask.out.as_deref())?;
    let on = ask.on.as_deref().map(day).transpose()?;
    let into = arguments.currency.as_deref().map(currency).transpose()?;
    let session = opened(arguments)?;
    let order = BatchOrder { on: on.clone(), ..BatchOrder::default() };
    let report = session.check(&order);
    let resolver = &report.resolver;
    let mut left_out = unopened(&[], session.loaded());
    let room = store_room(resolver, on.as_deref(), &mut left_out);
    tell_left_out(&left_out);
    let planned = planned(resolver, ask.formula.as_deref())?;
    let weighed = Weighed::of(&session, &report, planned);
    if !weighed.faults.is_empty() {
        tell(&human(session.sources(), &weighed.faults, style(stderr_is_terminal())));
    }
    let needs = Needs::of(resolver, &room, &weighed.batches);
    let mut list = ShoppingList::for_needs(resolver, &room, &needs, into);
    list.complete &= weighed.notes.is_empty() && needs.notes.is_empty() && left_out.is_empty();
    let notes = [weighed.notes.clone(), needs.notes.clone(), room.notes.clone()].concat();
    let make_first = &needs.make_first;
    let buy = BuyJson::new(Buying { planned: weighed.told, room: &room, list: &list, make_first, notes });
    if !weighed.batches.is_empty() {
        let text = match ask.format {
            StoreFormat::Text => buy_text(&buy),
            StoreFormat::Markdown => buy_markdown(&buy),
            StoreFormat::Json => pretty(&buy)?,
        };
        out.write(&text, session.sources())?;
    }
    weighed.notes.iter().for_each(|note| tell_line(&shown(note)));
    if !left_out.is_empty() {
        tell_line(NOT_WHOLE);
    }
    Ok(if left_out.is_empty() && weighed.notes.is_empty() { Outcome::Clean } else { Outcome::Errors })
}

/// The files named and all they use; those that have a planned formula are looked at as if they were named too, so that
/// what is wrong with it is known.
fn opened(arguments: &BuyArguments) -> Result<Session<'static>, Failure> {
    let input = named_or_here(&arguments.ask.paths)?;
    let session = Session::open(Disk, &input.files, input.given.clone()).seen_from(here());
    let homes: Vec<_> = {
        let resolver = Resolver::new(session.sources(), &mut Vec::new());
        let homes = resolver.planned().into_iter().filter_map(|planned| session.sources().home(planned.formula.file));
        homes.filter(|source| !source.named).map(|source| source.absolute.clone()).collect()
    };
    if homes.is_empty() {
        return Ok(session);
    }
    Ok(Session::open(Disk, &[input.files, homes].concat(), input.given).seen_from(here()))
}

/// The batches that are planned, or those of one formula.
fn planned(resolver: &Resolver<'_>, formula: Option<&str>) -> Result<Vec<Planned>, Failure> {
    let all = resolver.planned();
    let Some(name) = formula else {
        if all.is_empty() {
            let help = "Write what is to be made at the end of a file: `planned NAME 24 x 30 mL`.";
            return Err(Failure(format!("Nothing is planned here. {help}")));
        }
        return Ok(all);
    };
    let own: Vec<Planned> = all.into_iter().filter(|planned| planned.name == name).collect();
    if own.is_empty() {
        let known = formula_names(resolver.sources).any(|known| known == name);
        let hint = if known { String::new() } else { did_you_mean(name, formula_names(resolver.sources)) };
        return Err(Failure(format!("Nothing is planned of `{}`.{hint}", shown(name))));
    }
    Ok(own)
}

/// What is planned, weighed out.
#[derive(Default)]
struct Weighed {
    /// Each batch that can be weighed.
    batches: Vec<PlannedBatch>,
    /// Each batch, as it is told of.
    told: Vec<PlannedJson>,
    /// What is wrong with the others.
    faults: Vec<Diagnostic>,
    /// Which those are, in sentences.
    notes: Vec<String>,
}

impl Weighed {
    fn of(session: &Session<'_>, report: &Report<'_>, planned: Vec<Planned>) -> Weighed {
        let mut weighed = Weighed::default();
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
