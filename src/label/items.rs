//! What has to stand on a label, and what of it on the container and what on the outer pack.

use super::answer::{Answer, Origin};
use super::gone::GoneHeader;
use super::life::{Life, LifeKind};
use super::net::Net;
use super::statement::Statement;
use crate::syntax::vocabulary::Market;

/// What stands where something is not asked for.
pub const NOT_ASKED: &str = "not asked";

/// The name of the item that holds the ingredients.
pub const INGREDIENTS: &str = "ingredients";

/// Something that a label has to say.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Item {
    /// What it is called.
    pub item: &'static str,
    /// What it says; none where nobody knows, so that a blank stands for it.
    pub text: Option<String>,
    /// Whether it stands on the container.
    pub container: bool,
    /// Whether it stands on the outer pack.
    pub outer: bool,
    /// Who asks for it.
    pub source: &'static str,
}

impl Item {
    /// Its text, or a blank with its name.
    #[must_use]
    pub fn or_blank(&self) -> String {
        self.text.clone().unwrap_or_else(|| format!("____ {}", self.item))
    }

    /// Whether anything of it is printed at all.
    #[must_use]
    pub fn is_asked(&self) -> bool {
        self.text.as_deref() != Some(NOT_ASKED)
    }
}

/// What a label says, before it is laid out.
pub struct LabelFacts<'f> {
    /// What the product is called.
    pub title: Option<&'f str>,
    /// What it is for.
    pub function: Option<&'f str>,
    /// The ingredient declaration.
    pub ingredients: Option<&'f str>,
    /// What a container holds.
    pub net: &'f Net,
    /// How long it keeps.
    pub life: &'f Life,
    /// What it states.
    pub statements: &'f [Statement],
    /// Who answers for it.
    pub answer: &'f Answer,
    /// The code of the batch.
    pub batch_code: Option<&'f str>,
    /// The header of the batch's version, where it is gone: its warnings are asked for, and nobody knows them.
    pub gone: Option<&'f GoneHeader>,
}

/// The items of a market's label, in the order of its law.
#[must_use]
pub fn items(market: Market, facts: &LabelFacts<'_>) -> Vec<Item> {
    match market {
        Market::Eu => european(facts, &EU),
        Market::Uk => european(facts, &UK),
        Market::Us => american(facts),
        Market::Ca | Market::Au => elsewhere(facts),
    }
}

/// Who asks for each item, in the order of Article 19(1)(a) to (g).
struct Sources {
    who: &'static str,
    content: &'static str,
    life: &'static str,
    precautions: &'static str,
    batch: &'static str,
    function: &'static str,
    ingredients: &'static str,
}

const EU: Sources = Sources {
    who: "Regulation (EC) No 1223/2009, Art. 19(1)(a)",
    content: "Regulation (EC) No 1223/2009, Art. 19(1)(b)",
    life: "Regulation (EC) No 1223/2009, Art. 19(1)(c)",
    precautions: "Regulation (EC) No 1223/2009, Art. 19(1)(d); on a leaflet by Art. 19(2), from memory",
    batch: "Regulation (EC) No 1223/2009, Art. 19(1)(e)",
    function: "Regulation (EC) No 1223/2009, Art. 19(1)(f)",
    ingredients: "Regulation (EC) No 1223/2009, Art. 19(1)(g)",
};

const UK: Sources = Sources {
    who: "Regulation (EC) No 1223/2009 as retained, Art. 19(1)(a), as amended by SI 2019/696, Schedule 34",
    content: "Regulation (EC) No 1223/2009 as retained, Art. 19(1)(b)",
    life: "Regulation (EC) No 1223/2009 as retained, Art. 19(1)(c)",
    precautions: "Regulation (EC) No 1223/2009 as retained, Art. 19(1)(d); on a leaflet by Art. 19(2), from memory",
    batch: "Regulation (EC) No 1223/2009 as retained, Art. 19(1)(e)",
    function: "Regulation (EC) No 1223/2009 as retained, Art. 19(1)(f)",
    ingredients: "Regulation (EC) No 1223/2009 as retained, Art. 19(1)(g)",
};

fn european(facts: &LabelFacts<'_>, sources: &Sources) -> Vec<Item> {
    let needed = facts.net.needed;
    let function = facts.function.map(str::to_string).or_else(|| Some(facts.gone?.blank("function")));
    vec![
        both("responsible person", facts.answer.who.clone(), sources.who),
        origin(facts.answer, sources.who),
        Item { container: needed, outer: needed, ..both("nominal content", facts.net.text.clone(), sources.content) },
        life(facts.life, sources.life),
        precautions(facts, "precautions", sources.precautions),
        both("batch number", facts.batch_code.map(str::to_string), sources.batch),
        both("function", function, sources.function),
        Item { container: false, ..both(INGREDIENTS, facts.ingredients.map(str::to_string), sources.ingredients) },
    ]
}

fn american(facts: &LabelFacts<'_>) -> Vec<Item> {
    let identity = facts.title.or(facts.function).map(str::to_string);
    vec![
        both("identity", identity, "21 CFR 701.11"),
        both("net quantity", facts.net.text.clone(), "15 U.S.C. 1453; 21 CFR 701.13"),
        both("name and place of business", facts.answer.who.clone(), "21 CFR 701.12"),
        both(
            "contact for adverse events",
            facts.answer.contact.clone(),
            "FD&C Act, section 609(a), in a published summary",
        ),
        origin(facts.answer, "19 CFR part 134, from memory"),
        precautions(facts, "warnings", "21 CFR 740.2"),
        both("batch number", facts.batch_code.map(str::to_string), "common practice, no source"),
        Item { container: false, ..both(INGREDIENTS, facts.ingredients.map(str::to_string), "21 CFR 701.3(b)") },
    ]
}

/// A market whose law nobody here has looked up: what every label says.
fn elsewhere(facts: &LabelFacts<'_>) -> Vec<Item> {
    const SOURCE: &str = "common practice, no source";
    vec![
        both("name and address", facts.answer.who.clone(), SOURCE),
        origin(facts.answer, SOURCE),
        both("net quantity", facts.net.text.clone(), SOURCE),
        life(facts.life, SOURCE),
        precautions(facts, "warnings", SOURCE),
        both("batch number", facts.batch_code.map(str::to_string), SOURCE),
        Item { container: false, ..both(INGREDIENTS, facts.ingredients.map(str::to_string), SOURCE) },
    ]
}

fn both(item: &'static str, text: Option<String>, source: &'static str) -> Item {
    Item { item, text, container: true, outer: true, source }
}

fn not_asked(item: &'static str, source: &'static str) -> Item {
    Item { container: false, outer: false, ..both(item, Some(NOT_ASKED.to_string()), source) }
}

fn origin(answer: &Answer, source: &'static str) -> Item {
    const ITEM: &str = "country of origin";
    match &answer.origin {
        Origin::NotAsked => not_asked(ITEM, source),
        Origin::Asked(country) => both(ITEM, Some(country.clone()), source),
        Origin::Unknown => both(ITEM, None, source),
    }
}

fn life(life: &Life, source: &'static str) -> Item {
    match life.kind {
        LifeKind::NoneRequired => not_asked("durability", source),
        _ => both("durability", life.words(), source),
    }
}

fn precautions(facts: &LabelFacts<'_>, item: &'static str, source: &'static str) -> Item {
    let asked = facts.statements.iter().filter(|said| !said.is_direction).map(|said| as_sentence(&said.text));
    let texts: Vec<String> = asked.chain(facts.gone.map(|gone| gone.blank("warnings"))).collect();
    if texts.is_empty() { not_asked(item, source) } else { both(item, Some(texts.join(" ")), source) }
}

/// A statement as a sentence among others: with a stop where it has none.
fn as_sentence(text: &str) -> String {
    let text = text.trim();
    if text.ends_with(['.', '!', '?']) { text.to_string() } else { format!("{text}.") }
}
