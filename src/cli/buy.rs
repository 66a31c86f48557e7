//! `stillroom buy`.

use super::arguments::{BuyArguments, StoreFormat};
use super::cost::currency;
use super::input::{day, did_you_mean, here, pretty, stderr_is_terminal, style};
use super::out::Destination;
use super::store_files::{NOT_WHOLE, formula_names, named_or_here, tell_left_out, unopened};
use super::stream::{tell, tell_line};
use super::{Failure, Outcome};
use stillroom::model::Planned;
use stillroom::render::{BuyJson, WeighedPlans, buy_markdown, buy_text, human, shown};
use stillroom::resolve::Resolver;
use stillroom::session::Session;
use stillroom::sheet::BatchOrder;
use stillroom::store::StoreRoom;
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
    let room = StoreRoom::of_files(resolver, on.as_deref(), &mut left_out);
    tell_left_out(&left_out);
    let planned = planned(resolver, ask.formula.as_deref())?;
    let weighed = WeighedPlans::of(&session, &report, planned);
    if !weighed.faults.is_empty() {
        tell(&human(session.sources(), &weighed.faults, style(stderr_is_terminal())));
    }
    let buy = BuyJson::for_plans(&report, &room, &weighed, into, left_out.is_empty());
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
