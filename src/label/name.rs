//! What a substance is called on the label of a market: by what the material it comes in is there for.

use crate::model::{Material, Substance};
use crate::resolve::Resolver;
use crate::syntax::vocabulary::{Mark, Market, Role};

/// What a nanomaterial bears behind its name in the European Union and Great Britain.
const NANO: &str = " (nano)";

/// What a pigment is there for besides its colour: then it goes by its own name.
const OTHER_USES: &[Role] =
    &[Role::UvFilter, Role::Opacifier, Role::Filler, Role::Powder, Role::Abrasive, Role::Active, Role::Antioxidant];

/// A name for the label.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct PrintedName {
    /// As it is printed.
    pub text: String,
    /// Whether it is a colourant, and stands behind all others.
    pub is_colourant: bool,
    /// What is wrong with it.
    pub lacks: Option<Lacking>,
}

/// What a substance lacks for a label.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Lacking {
    /// Any name.
    Name,
    /// A name as a colourant in the United States.
    UsColourName,
}

/// A perfume or an aroma: one entry for all that is in it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Scent {
    /// It scents.
    Fragrance,
    /// It gives a taste.
    Flavour,
    /// It does both.
    Both,
}

impl Scent {
    /// What it is called. In Europe one of the two words does for both (Regulation (EC) No 1223/2009, Article 19(1)(g)); in
    /// the United States what is both is named by both (21 CFR 701.3(a)).
    pub fn name(self, market: Market) -> &'static str {
        match (self, market) {
            (Scent::Fragrance, Market::Us) => "Fragrance",
            (Scent::Flavour, Market::Us) => "Flavor",
            (Scent::Both, Market::Us) => "Fragrance/Flavor",
            (Scent::Fragrance, _) => "Parfum",
            (Scent::Flavour | Scent::Both, _) => "Aroma",
        }
    }
}

/// Whether a material is there for its scent or taste alone: whatever serves otherwise too is declared by its own name.
/// A mixture that does not say what it is for is a scent where all that is in it is.
pub(super) fn scent_of(names: &Resolver<'_>, material: &Material) -> Option<Scent> {
    let roles = material.roles.as_slice();
    if roles.is_empty() {
        let smells = |id| names.substance(id).is_some_and(|of| of.marks.contains(&Mark::Fragrance));
        let all = material.contains.len() > 1 && material.contains.iter().all(|part| smells(part.substance));
        return all.then_some(Scent::Fragrance);
    }
    if !roles.iter().all(|role| matches!(role, Role::Fragrance | Role::Flavour)) {
        return None;
    }
    Some(match (roles.contains(&Role::Fragrance), roles.contains(&Role::Flavour)) {
        (true, true) => Scent::Both,
        (false, true) => Scent::Flavour,
        _ => Scent::Fragrance,
    })
}

/// What water is called.
pub(super) fn water_name(market: Market) -> &'static str {
    if market == Market::Us { "Water" } else { "Aqua" }
}

/// What a substance is called, in a material of these roles.
pub(super) fn printed_name(substance: &Substance, roles: &[Role], market: Market) -> PrintedName {
    if is_colourant(substance, roles) {
        return colour_name(substance, market);
    }
    let own = match market {
        Market::Us => substance.us_name.as_ref().or(substance.inci.as_ref()),
        // A pigment that is listed under its number, and is no colourant here, has its other name.
        _ => substance.inci.as_ref().filter(|inci| !is_colour_index(inci)).or(match &substance.inci {
            Some(inci) => substance.us_name.as_ref().or(Some(inci)),
            None => None,
        }),
    };
    let plain = own.map(|own| tidy(own)).filter(|own| !own.is_empty());
    let is_plain_water = |name: &str| name.eq_ignore_ascii_case("aqua") || name.eq_ignore_ascii_case("water");
    let text = match plain {
        Some(name) if substance.is_water() && is_plain_water(&name) => Some(water_name(market).to_string()),
        Some(name) => Some(name),
        None => substance.is_water().then(|| water_name(market).to_string()),
    };
    match text {
        Some(text) => PrintedName { text: with_nano(text, substance, market), is_colourant: false, lacks: None },
        None => nameless(substance, false),
    }
}

/// A colourant goes by its number, and in the United States by the name that its regulations give it.
fn colour_name(substance: &Substance, market: Market) -> PrintedName {
    let us = substance.us_name.as_ref().filter(|_| market == Market::Us);
    let number = substance.colour_index.as_ref().map(|number| colour_index(number));
    let inci = substance.inci.as_ref().map(|inci| tidy(inci)).filter(|inci| !inci.is_empty());
    let lacks = (market == Market::Us && us.is_none()).then_some(Lacking::UsColourName);
    match us.map(|us| tidy(us)).filter(|us| !us.is_empty()).or(number).or(inci) {
        Some(text) => PrintedName { text: with_nano(text, substance, market), is_colourant: true, lacks },
        None => nameless(substance, true),
    }
}

fn nameless(substance: &Substance, is_colourant: bool) -> PrintedName {
    let text = format!("[no name: {}]", substance.name);
    PrintedName { text, is_colourant, lacks: Some(Lacking::Name) }
}

/// Whether a substance is there for its colour: by the roles of its material, where they say so.
fn is_colourant(substance: &Substance, roles: &[Role]) -> bool {
    let is_marked = substance.marks.contains(&Mark::Colourant);
    match roles {
        [Role::Colourant] => is_marked || substance.colour_index.is_some(),
        // Of a clay or a powder that colours too, what is a colourant by itself does it.
        roles => is_marked && (roles.contains(&Role::Colourant) || !roles.iter().any(|role| OTHER_USES.contains(role))),
    }
}

/// `CI 77891`, whether it is written with its letters or without.
fn colour_index(number: &str) -> String {
    format!("CI {}", tidy(without_letters(number).unwrap_or(number)))
}

/// The number behind the letters, large or small; none where there are no letters.
fn without_letters(name: &str) -> Option<&str> {
    let (letters, number) = name.trim().split_at_checked(2)?;
    letters.eq_ignore_ascii_case("CI").then(|| number.trim())
}

fn is_colour_index(name: &str) -> bool {
    without_letters(name)
        .is_some_and(|number| !number.is_empty() && number.chars().all(|digit| digit.is_ascii_digit() || digit == ':'))
}

/// Article 19(1)(g) of Regulation (EC) No 1223/2009 asks for the word; no rule of another market does.
fn with_nano(name: String, substance: &Substance, market: Market) -> String {
    let plain = name.strip_suffix(NANO).unwrap_or(&name);
    let asked = substance.marks.contains(&Mark::Nano) && matches!(market, Market::Eu | Market::Uk);
    if asked { format!("{plain}{NANO}") } else { name }
}

/// A name without the blanks that a line break leaves in it.
pub(super) fn tidy(name: &str) -> String {
    name.split_whitespace().collect::<Vec<_>>().join(" ")
}
