//! `stillroom stock`.

use super::arguments::{StockArguments, StoreFormat};
use super::input::{day, did_you_mean, here, pretty};
use super::out::Destination;
use super::store_files::{NOT_WHOLE, formula_names, named_or_here, tell_left_out, unopened};
use super::stream::tell_line;
use super::{Failure, Outcome};
use std::collections::BTreeSet;
use stillroom::model::{Formula, LineMaterial};
use stillroom::render::{StockJson, shown, stock_markdown, stock_text};
use stillroom::resolve::{Resolver, declared, is_formula};
use stillroom::store::{StoreRoom, Thing, make_formulas};
use stillroom::workspace::{Disk, load};

/// Prints what is on hand. What cannot be read is named, and the rest is counted.
///
/// # Errors
/// Wrong arguments, or input that cannot be read: then after all that could be.
pub fn run(arguments: &StockArguments) -> Result<Outcome, Failure> {
    let ask = &arguments.ask;
    let out = Destination::of(ask.out.as_deref())?;
    let on = ask.on.as_deref().map(day).transpose()?;
    let input = named_or_here(&ask.paths)?;
    let loaded = load(&Disk, &input.files, input.given).seen_from(here());
    let resolver = Resolver::new(&loaded.sources, &mut Vec::new());
    make_formulas(&resolver);
    let mut left_out = unopened(&input.unread, &loaded);
    let room = StoreRoom::of_files(&resolver, on.as_deref(), &mut left_out);
    let within = ask.formula.as_deref().map(|name| things_of(&resolver, name)).transpose()?;
    let pass = |thing: &Thing| within.as_ref().is_none_or(|within| within.contains(thing));
    let stock = StockJson::new(&loaded.sources, &room, &left_out, &pass);
    tell_left_out(&left_out);
    let text = match ask.format {
        StoreFormat::Text => stock_text(&stock, arguments.verbose),
        StoreFormat::Markdown => stock_markdown(&stock, arguments.verbose),
        StoreFormat::Json => pretty(&stock)?,
    };
    out.write(&text, &loaded.sources)?;
    if left_out.is_empty() {
        return Ok(Outcome::Clean);
    }
    tell_line(NOT_WHOLE);
    Ok(Outcome::Errors)
}

/// What a formula is made of and packed in, through premixes, those among them.
fn things_of(resolver: &Resolver<'_>, name: &str) -> Result<BTreeSet<Thing>, Failure> {
    let all = resolver.sources.files.iter().flat_map(|source| declared(source, is_formula));
    let mut waiting: Vec<std::sync::Arc<Formula>> = all
        .filter_map(|id| resolver.formula(id))
        .map(|resolved| std::sync::Arc::clone(&resolved.formula))
        .filter(|formula| formula.name == name)
        .collect();
    if waiting.is_empty() && !formula_names(resolver.sources).any(|known| known == name) {
        let hint = did_you_mean(name, formula_names(resolver.sources));
        return Err(Failure(format!("There is no formula `{}`.{hint}", shown(name))));
    }
    let mut things = BTreeSet::new();
    while let Some(formula) = waiting.pop() {
        let packed = formula.selling.packed_in.iter();
        things.extend(packed.map(|packing| Thing { name: packing.name.clone(), is_container: true }));
        for line in &formula.lines {
            let is_new = things.insert(Thing::weighable(&line.name));
            if let Some(LineMaterial::Premix(premix)) = line.material.as_ref().filter(|_| is_new) {
                waiting.push(std::sync::Arc::clone(premix));
            }
        }
    }
    Ok(things)
}
