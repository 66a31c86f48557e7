//! What a batch is filled into: how much goes into each, how many were asked for, and what one of them is packed in.

use super::packs::NoPrice;
use crate::model::{Container, Content, Formula, MakesSize};
use crate::quantity::Exact;
use crate::resolve::Resolver;
use smol_str::SmolStr;

/// What a batch is filled into.
#[derive(Clone, Debug)]
pub(super) struct Vessel {
    /// What it holds by name.
    pub content: Content,
    /// What is filled in beyond that, in percent.
    pub overfill: Exact,
    /// How many were asked for; none where the batch was asked for by its weight.
    pub asked: Option<Exact>,
    /// What one is packed in, each by its name.
    pub packing: Vec<(SmolStr, Result<Container, NoPrice>)>,
}

impl Vessel {
    /// What a formula is filled into, where `makes` asks for the batch; none where nothing says.
    pub fn of(resolver: &Resolver<'_>, formula: &Formula, makes: Option<&MakesSize>) -> Option<Vessel> {
        let packed = packed_in(resolver, formula);
        let counted = makes.filter(|makes| makes.count.is_some());
        if let Some(content) = counted.and_then(content_of) {
            return Some(Vessel::with(
                resolver,
                formula,
                content,
                counted.and_then(|makes| makes.count.clone()),
                packed,
            ));
        }
        // `makes 500 mL` is one container, where one is known that holds so much.
        if let Some(content) = makes.filter(|makes| makes.millilitres.is_some()).and_then(content_of) {
            let asked = Some(Exact::ONE);
            let vessel = Vessel::with(resolver, formula, content, asked, packed.clone());
            return Some(vessel).filter(|vessel| vessel.packing.iter().any(|(_, known)| known.is_ok()));
        }
        // A batch by weight goes into what it is packed in, or into what the formula is otherwise filled into.
        let own = formula.makes.as_ref().filter(|own| own.count.is_some()).and_then(content_of);
        let mut holding = packed.iter().filter_map(|container| container.holds.clone());
        let content = own.or_else(|| holding.next().filter(|_| holding.next().is_none()))?;
        Some(Vessel::with(resolver, formula, content, None, packed))
    }

    /// What was filled, by a record.
    pub fn filled(resolver: &Resolver<'_>, formula: &Formula, content: Content, asked: Option<Exact>) -> Vessel {
        Vessel::with(resolver, formula, content, asked, packed_in(resolver, formula))
    }

    fn with(
        resolver: &Resolver<'_>,
        formula: &Formula,
        content: Content,
        asked: Option<Exact>,
        packed: Vec<Container>,
    ) -> Vessel {
        let packing: Vec<(SmolStr, Result<Container, NoPrice>)> = match packed.is_empty() {
            false => packed.into_iter().map(|container| (container.name.clone(), Ok(container))).collect(),
            true => vec![the_one_that_holds(resolver, formula, &content)],
        };
        let known = packing.iter().filter_map(|(_, container)| container.as_ref().ok());
        let overfill = known.filter_map(|container| container.overfill.clone()).next().unwrap_or(Exact::ZERO);
        Vessel { content, overfill, asked, packing }
    }

    /// What goes into one, in grams; none where that is a volume and no density is known.
    pub fn grams(&self, density: Option<&Exact>) -> Option<Exact> {
        let nominal = self.content.grams(density)?;
        Some(&nominal * &(&Exact::ONE + &self.overfill.hundredth()))
    }

    /// The container that holds something else than what goes into it by name.
    pub fn other_size(&self) -> Option<(&SmolStr, &Content)> {
        let known = self.packing.iter().filter_map(|(name, container)| Some((name, container.as_ref().ok()?)));
        let mut holding = known.filter_map(|(name, container)| Some((name, container.holds.as_ref()?)));
        let first = holding.next()?;
        let all_differ = std::iter::once(first).chain(holding).all(|(_, holds)| *holds != self.content);
        all_differ.then_some(first)
    }
}

/// What a container holds, in words: `50 mL`.
#[must_use]
pub fn content_words(content: &Content) -> String {
    match content {
        Content::Grams(grams) => format!("{grams} g"),
        Content::Millilitres(millilitres) => format!("{millilitres} mL"),
    }
}

fn content_of(makes: &MakesSize) -> Option<Content> {
    let grams = || makes.grams.clone().map(Content::Grams);
    makes.millilitres.clone().map(Content::Millilitres).or_else(grams)
}

fn packed_in(resolver: &Resolver<'_>, formula: &Formula) -> Vec<Container> {
    formula.selling.packed_in.iter().filter_map(|packing| resolver.container(packing.id)).collect()
}

/// The one container that holds exactly so much, of those that the file of the formula reaches, else of all.
fn the_one_that_holds(
    resolver: &Resolver<'_>,
    formula: &Formula,
    content: &Content,
) -> (SmolStr, Result<Container, NoPrice>) {
    let mut all = resolver.containers();
    all.retain(|container| container.holds.as_ref() == Some(content));
    let near: Vec<_> = resolver.scopes.reached(formula.id.file).collect();
    if all.iter().any(|container| near.contains(&container.id.file)) {
        all.retain(|container| near.contains(&container.id.file));
    }
    let several = all.len() > 1;
    let names: Vec<String> = all.iter().map(|container| container.name.to_string()).collect();
    match all.pop() {
        Some(only) if !several => (only.name.clone(), Ok(only)),
        Some(_) => (SmolStr::from(names.join(" or ")), Err(NoPrice::Several)),
        None => (SmolStr::from(content_words(content)), Err(NoPrice::Unknown)),
    }
}
