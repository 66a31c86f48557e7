//! What is wrong with the labels of a product, each fault once for all the markets that it is of.

use super::answer::NOBODY;
use super::life::LifeKind;
use super::market_label::MarketLabel;
use super::settle::Settling;
use crate::diagnostic::{Code, Diagnostic, Place};
use crate::model::{Duration, Formula, Line, LineMaterial, Material, materials_of};
use crate::quantity::Exact;
use crate::resolve::Resolver;
use crate::syntax::vocabulary::Market;
use std::sync::Arc;

/// How many pairs of names a message has.
const PAIRS: usize = 2;

/// What is wrong with the labels of a formula, or of a batch of it.
#[must_use]
pub fn faults(names: &Resolver<'_>, formula: &Formula, labels: &[MarketLabel]) -> Vec<Diagnostic> {
    let mut found = Vec::new();
    nameless(names, formula, labels, &mut found);
    colours(names, formula, labels, &mut found);
    unproven(formula, labels, &mut found);
    undisclosed(formula, labels, &mut found);
    found.extend(life(formula, labels));
    found.extend(maker(formula, labels));
    exactly_one(names, formula, labels, &mut found);
    found.extend(formed(formula, labels));
    found
}

/// The things that labels have, in the order they are met, each with the markets it is of.
fn by_market<'l, T: PartialEq>(
    labels: &'l [MarketLabel],
    of: impl Fn(&'l MarketLabel) -> Vec<T>,
) -> Vec<(T, Vec<Market>)> {
    let mut found: Vec<(T, Vec<Market>)> = Vec::new();
    for label in labels {
        for thing in of(label) {
            match found.iter_mut().find(|(known, _)| *known == thing) {
                Some((_, markets)) => markets.push(label.market),
                None => found.push((thing, vec![label.market])),
            }
        }
    }
    found
}

/// A substance without any name.
fn nameless(names: &Resolver<'_>, formula: &Formula, labels: &[MarketLabel], found: &mut Vec<Diagnostic>) {
    for (substance, markets) in by_market(labels, |label| label.declaration.nameless.clone()) {
        let message = format!(
            "`{substance}` has no name for the label of {}: it stands there as `[no name: {substance}]`.",
            words(&markets)
        );
        let fault = Diagnostic::new(Code::LabelNameMissing, place_of(names, formula, &substance), message);
        found.push(
            fault.help(format!("Ask for its INCI name and write it into `substance {substance}`: `inci \"…\"`.")),
        );
    }
}

/// A colourant without a name in the United States.
fn colours(names: &Resolver<'_>, formula: &Formula, labels: &[MarketLabel], found: &mut Vec<Diagnostic>) {
    for (substance, _) in by_market(labels, |label| label.declaration.without_us_name().collect()) {
        let message = format!("`{substance}` is a colourant without a name in the United States.");
        let fault = Diagnostic::new(Code::LabelColourNameMissing, place_of(names, formula, substance), message);
        found.push(
            fault
                .help(format!(
                    "Only colours listed there may be used. Write the listed name into `substance {substance}` as `us \"…\"`, \
                     or leave `us` out of `market`."
                ))
                .source(Some("21 CFR parts 73, 74 and 82, from memory".to_string())),
        );
    }
}

/// An order that is not proven, with the figures that would settle it.
fn unproven(formula: &Formula, labels: &[MarketLabel], found: &mut Vec<Diagnostic>) {
    let of = |label: &MarketLabel| {
        let declaration = &label.declaration;
        let is_open = !declaration.unproven.is_empty();
        is_open.then(|| (declaration.unproven.clone(), declaration.settles.clone())).into_iter().collect::<Vec<_>>()
    };
    for ((pairs, settles), markets) in by_market(labels, of) {
        let mut named: Vec<String> =
            pairs.iter().take(PAIRS).map(|(first, then)| format!("`{first}` before `{then}`")).collect();
        if pairs.len() > PAIRS {
            named.push(format!("{} more", pairs.len() - PAIRS));
        }
        let message =
            format!("The order of the ingredients in {} is not proven: {}.", words(&markets), named.join(", "));
        let told: Vec<String> = settles.iter().map(settled_by).collect();
        let help = match told.is_empty() {
            true => "Ask the suppliers for narrower figures; of a batch the record settles how much adjuster went in."
                .into(),
            false => told.join(" "),
        };
        let at = markets.first().map_or(formula.place, |market| market_place(formula, *market));
        let sources: Vec<&str> = markets.iter().filter_map(|market| order_source(*market)).collect();
        let source = (!sources.is_empty()).then(|| sources.join("; "));
        found.push(Diagnostic::new(Code::LabelOrderUnproven, at, message).help(help).source(source));
    }
}

fn settled_by(settles: &Settling) -> String {
    let Settling { first, then, material, substance, bound } = settles;
    format!("`{first}` before `{then}`: {} for `{substance}` in `{material}` settles it.", bound.words())
}

fn order_source(market: Market) -> Option<&'static str> {
    match market {
        Market::Eu => Some("Regulation (EC) No 1223/2009, Art. 19(1)(g)"),
        Market::Uk => Some("Regulation (EC) No 1223/2009 as retained, Art. 19(1)(g)"),
        Market::Us => Some("21 CFR 701.3(a), (f)"),
        Market::Ca | Market::Au => None,
    }
}

/// A material that does not say all that is in it.
fn undisclosed(formula: &Formula, labels: &[MarketLabel], found: &mut Vec<Diagnostic>) {
    for (material, _) in by_market(labels, |label| label.declaration.undisclosed.clone()) {
        let line = line_with(formula, |known| known.name == material);
        let at = line.map_or(formula.place, |line| line.mark);
        let message = format!("`{material}` does not say all that it is made of, so the ingredients are not whole.");
        found.push(
            Diagnostic::new(Code::LabelUndisclosed, at, message)
                .help("Ask the supplier for all that is in it, and write it into `contains`."),
        );
    }
}

/// How long it keeps, where the label has to say it and nobody does.
fn life(formula: &Formula, labels: &[MarketLabel]) -> Option<Diagnostic> {
    // Where no rules are known, none is asked for.
    let asks = |label: &&MarketLabel| matches!(label.market, Market::Eu | Market::Uk) && label.gone.is_none();
    let missing = labels.iter().filter(asks).filter(|label| label.life.kind == LifeKind::Missing);
    let markets: Vec<Market> = missing.map(|label| label.market).collect();
    if markets.is_empty() {
        return None;
    }
    let retained = if markets == [Market::Uk] { " as retained" } else { "" };
    let (message, help) = match &formula.label.lasts {
        None => (
            format!("The label of {} has to say how long it keeps, and there is no `lasts`.", words(&markets)),
            "A stability trial of the product says it: `lasts 24 months because \"trial …\"`. Raw materials do not.",
        ),
        Some(lasts) => (
            format!("It keeps {} unopened, and how long once it is open is not said.", time(lasts)),
            "Over 30 months the label has the open jar with its months: write `opened 12 months`, by your trial.",
        ),
    };
    Some(
        Diagnostic::new(Code::LabelLifeMissing, formula.place, message)
            .help(help)
            .source(Some(format!("Regulation (EC) No 1223/2009{retained}, Art. 19(1)(c)"))),
    )
}

fn time(of: &Duration) -> String {
    match of {
        Duration::Months(months) => format!("{months} months"),
        Duration::Seconds(seconds) => {
            let days = seconds.over(&Exact::whole(86_400)).unwrap_or_else(|| seconds.clone());
            format!("{} days", days.down_to_step(&Exact::whole(1)))
        }
    }
}

/// Who answers for it, where nobody says.
fn maker(formula: &Formula, labels: &[MarketLabel]) -> Option<Diagnostic> {
    let missing = by_market(labels, |label| label.answer.missing.clone());
    let (first, markets) = missing.first()?;
    let all: Vec<&str> = missing.iter().map(|(field, _)| field.as_str()).collect();
    let markets: Vec<Market> = match missing.len() {
        1 => markets.clone(),
        _ => labels.iter().filter(|label| !label.answer.missing.is_empty()).map(|label| label.market).collect(),
    };
    let markets_in = words(&markets);
    let message = match all.contains(&NOBODY) {
        true => format!("Who answers for it in {markets_in} is not said: there is no `maker`."),
        false => format!("Who answers for it in {markets_in} is not all said: {} in `maker`.", missing_words(&all)),
    };
    let help = match first.strip_prefix("`responsible ") {
        Some(_) => {
            let word = first.trim_end_matches('`');
            format!("Somebody in the market answers for it: write {word} \"name, street, town\"` into `maker`.")
        }
        None if all.contains(&NOBODY) => {
            "Write `maker` once, with its `name \"…\"`, `address \"…\"`, `contact \"…\"` and `country \"…\"`."
                .to_string()
        }
        None => "Write it into `maker`: the label says it.".to_string(),
    };
    let at = markets.first().map_or(formula.place, |market| market_place(formula, *market));
    Some(Diagnostic::new(Code::LabelMakerMissing, at, message).help(help))
}

fn missing_words(fields: &[&str]) -> String {
    match fields {
        [one] => format!("no {one}"),
        [most @ .., last] => format!("no {} and no {last}", most.join(", no ")),
        [] => String::new(),
    }
}

/// What stands at exactly 1 %, where that is neither bound nor free.
fn exactly_one(names: &Resolver<'_>, formula: &Formula, labels: &[MarketLabel], found: &mut Vec<Diagnostic>) {
    let asks = |label: &MarketLabel| matches!(label.market, Market::Eu | Market::Uk);
    let entries = |label: &'_ MarketLabel| -> Vec<(String, Option<String>)> {
        let those = label
            .declaration
            .entries
            .iter()
            .filter(|entry| asks(label) && label.declaration.exactly_one().any(|name| name == entry.name));
        those.map(|entry| (entry.name.clone(), entry.substances.first().map(ToString::to_string))).collect()
    };
    for ((name, substance), markets) in by_market(labels, entries) {
        let at = substance.map_or(formula.place, |substance| place_of(names, formula, &substance));
        let message =
            format!("`{name}` stands at exactly 1 %, which the law of {} neither binds nor frees.", words(&markets));
        found.push(
            Diagnostic::new(Code::LabelExactlyOne, at, message)
                .help("It keeps its place by weight, which is right by either reading. A hair more or less settles it.")
                .source(markets.first().and_then(|market| order_source(*market)).map(str::to_string)),
        );
    }
}

/// Why what forms is not declared, where the formula asks for that.
fn formed(formula: &Formula, labels: &[MarketLabel]) -> Option<Diagnostic> {
    let why = labels.iter().find_map(|label| label.declaration.not_formed.as_ref())?;
    let message = format!("Salts are declared as added: {why}.");
    Some(Diagnostic::new(Code::LabelFormedUnclear, formula.place, message).help(
        "Take `declare as formed` out. It follows from the amounts with one acid of one step, one strong base and \
                   a declared salt.",
    ))
}

/// Where the line stands that brings a substance.
fn place_of(names: &Resolver<'_>, formula: &Formula, substance: &str) -> Place {
    let brings = |material: &Material| {
        let mut parts = material.contains.iter().map(|part| part.substance);
        parts.any(|part| names.substance(part).is_some_and(|known| known.name == substance))
    };
    line_with(formula, brings).map_or(formula.place, |line| line.mark)
}

/// The first line with a material that passes, by itself or through a premix.
fn line_with(formula: &Formula, is_it: impl Fn(&Material) -> bool) -> Option<&Line> {
    let has = |line: &&Line| match &line.material {
        Some(LineMaterial::Material(material)) => is_it(material),
        Some(LineMaterial::Premix(premix)) => {
            let inner: Vec<Arc<Material>> = materials_of(premix).into_iter().map(|(material, _)| material).collect();
            inner.iter().any(|material| is_it(material))
        }
        None => false,
    };
    formula.lines.iter().find(has)
}

/// Where a market stands in the head, or the formula where it does not.
fn market_place(formula: &Formula, market: Market) -> Place {
    formula.markets.iter().find(|(known, _)| *known == market).map_or(formula.place, |(_, place)| *place)
}

fn word(market: Market) -> String {
    format!("`{}`", market.word())
}

/// `eu`, or `eu` and `us`.
fn words(markets: &[Market]) -> String {
    let all: Vec<String> = markets.iter().map(|market| word(*market)).collect();
    match all.as_slice() {
        [most @ .., last] if !most.is_empty() => format!("{} and {last}", most.join(", ")),
        _ => all.concat(),
    }
}
