//! Who makes, in what it is sold, and what money is worth.

use super::DeclId;
use crate::diagnostic::Place;
use crate::quantity::{Exact, Money};
use crate::syntax::vocabulary::Market;
use smol_str::SmolStr;

/// `container NAME { … }`.
#[derive(Clone, Debug)]
pub struct Container {
    /// Which declaration.
    pub id: DeclId,
    /// Its name.
    pub name: SmolStr,
    /// Where the name stands.
    pub place: Place,
    /// What it holds; none for a lid or a sticker.
    pub holds: Option<Content>,
    /// What is filled in beyond that, in percent.
    pub overfill: Option<Exact>,
    /// How it is bought, as it stands.
    pub packs: Vec<ContainerPack>,
}

/// A weight or a volume.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Content {
    /// Grams.
    Grams(Exact),
    /// Millilitres.
    Millilitres(Exact),
}

impl Content {
    /// Its grams at a density in g/mL; none where that is asked for and not known.
    #[must_use]
    pub fn grams(&self, density: Option<&Exact>) -> Option<Exact> {
        match self {
            Content::Grams(grams) => Some(grams.clone()),
            Content::Millilitres(millilitres) => Some(millilitres * density?),
        }
    }
}

/// So many containers bought together.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ContainerPack {
    /// What they cost.
    pub price: Money,
    /// How many there are: a whole number over nought.
    pub count: Exact,
    /// Where it stands.
    pub place: Place,
}

/// So much of a material bought together.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Pack {
    /// What it costs.
    pub price: Money,
    /// How much it is, over nought.
    pub size: Content,
    /// Where it stands: `18.40 EUR per 500 g`.
    pub place: Place,
}

/// `rate M = M on DATE`: so much of one money was worth so much of another, both over nought.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Rate {
    /// The one side.
    pub of: Money,
    /// What it is worth.
    pub worth: Money,
    /// The day.
    pub on: SmolStr,
    /// Where it stands.
    pub place: Place,
}

/// `maker { … }`.
#[derive(Clone, Debug)]
pub struct Maker {
    /// Which declaration.
    pub id: DeclId,
    /// The whole block.
    pub place: Place,
    /// The name on the label.
    pub name: Option<SmolStr>,
    /// Where the maker is.
    pub address: Option<SmolStr>,
    /// How the maker is reached.
    pub contact: Option<SmolStr>,
    /// The country of the maker.
    pub country: Option<SmolStr>,
    /// Who answers for the product in a market, and where that is said.
    pub responsible: Vec<(Market, SmolStr, Place)>,
    /// How batches are called.
    pub code: Option<CodePattern>,
}

impl Maker {
    /// Who is named as answering for the product in a market.
    #[must_use]
    pub fn responsible_in(&self, market: Market) -> Option<&SmolStr> {
        self.responsible.iter().find(|(of, ..)| *of == market).map(|(_, text, _)| text)
    }
}

/// `code "BC-{yy}{mm}{dd}"`.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct CodePattern {
    /// Its parts in order.
    pub parts: Vec<CodePart>,
    /// Where it stands.
    pub place: Place,
}

/// A part of a code.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum CodePart {
    /// As it is written.
    Text(SmolStr),
    /// `{yyyy}`.
    Year,
    /// `{yy}`: the last two figures of the year.
    ShortYear,
    /// `{mm}`.
    Month,
    /// `{dd}`.
    Day,
}

impl CodePattern {
    /// The code of a batch begun on a day, written `2026-11-20`; none where that is no such day.
    #[must_use]
    pub fn on(&self, day: &str) -> Option<String> {
        let (year, month, date) = (day.get(..4)?, day.get(5..7)?, day.get(8..10)?);
        let mut code = String::new();
        for part in &self.parts {
            code.push_str(match part {
                CodePart::Text(text) => text,
                CodePart::Year => year,
                CodePart::ShortYear => year.get(2..)?,
                CodePart::Month => month,
                CodePart::Day => date,
            });
        }
        Some(code)
    }
}
