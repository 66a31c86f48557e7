//! What no text of law that was read settles, and what is not covered: told beside a label where it bears on it, never on
//! it.

use super::contents::Bearing;
use super::{Answer, Net};
use crate::model::Formula;
use crate::shelf;
use crate::syntax::vocabulary::Market;

/// What a label is looked at for.
pub struct Doubts<'d> {
    /// The market.
    pub market: Market,
    /// The formula.
    pub formula: &'d Formula,
    /// What is in it.
    pub bearing: &'d Bearing,
    /// The net quantity.
    pub net: &'d Net,
    /// Who answers for it.
    pub answer: &'d Answer,
    /// The names that stand at exactly 1 %.
    pub exactly_one: &'d [String],
    /// Whether salts are printed as they form.
    pub as_formed: bool,
    /// The rules of which it cannot be shown that they apply, whose statements are printed all the same.
    pub unproven_rules: &'d [String],
}

/// The cautions that bear on a label, in the order in which the questions are kept.
#[must_use]
pub fn cautions(doubts: &Doubts<'_>) -> Vec<String> {
    let mut said = Vec::new();
    said.extend(exactly_one(doubts));
    said.extend(as_added(doubts));
    said.extend(essential_oils(doubts));
    said.extend(allergens(doubts));
    said.extend(second_unit(doubts));
    said.extend(carried_over(doubts));
    said.extend(not_covered(doubts.market));
    said.extend(colour(doubts));
    said.extend(swells(doubts));
    said.extend(union_is_enough(doubts));
    said.extend(function(doubts));
    said.extend(content(doubts));
    said.extend(doubts.unproven_rules.iter().map(|rule| {
        format!(
            "That `{rule}` applies cannot be shown, so its statement is printed: what is told of the formula says what is open."
        )
    }));
    said
}

fn is_european(market: Market) -> bool {
    matches!(market, Market::Eu | Market::Uk)
}

/// Question 1: what is exactly 1 % is in neither class of Art. 19(1)(g).
fn exactly_one(doubts: &Doubts<'_>) -> Option<String> {
    let names = doubts.exactly_one;
    (is_european(doubts.market) && !names.is_empty()).then(|| {
        format!(
            "{} at exactly 1 %: the law orders what is more and frees what is less. Here it is kept in its place.",
            names.join(", ")
        )
    })
}

/// Question 2: whether an acid and its base are declared as added or as the salt.
fn as_added(doubts: &Doubts<'_>) -> Option<String> {
    doubts.bearing.forms_salt.then(|| {
        let basis = if doubts.as_formed { "as they formed" } else { "as they were added" };
        format!(
            "Acid and base are declared {basis}. The text says “at the time they are added”; that the salt is declared is \
             widely done, and no text that was read settles it."
        )
    })
}

/// Question 3: whether an essential oil that scents is a perfume, or declared by its name.
fn essential_oils(doubts: &Doubts<'_>) -> Option<String> {
    let names = &doubts.bearing.essential;
    (is_european(doubts.market) && !names.is_empty()).then(|| {
        format!(
            "{}: an essential oil that scents counts as perfume here, by its role. Many print its own name; no text that \
             was read settles it, nor whether a group of allergens is named beside it.",
            quoted(names)
        )
    })
}

/// Questions 4 and 5: the lists of allergens in Great Britain and in the United States.
fn allergens(doubts: &Doubts<'_>) -> Option<String> {
    let said = match doubts.market {
        Market::Uk => {
            "Allergens of Great Britain: the older list of 24 is taken to stand, as Regulation (EU) 2023/1545 is no \
             retained law. This was read in a summary only."
        }
        Market::Us => {
            "Allergens: a rule is ordered by the Act of 2022, and none that is final was found. None is named."
        }
        Market::Eu | Market::Ca | Market::Au => return None,
    };
    doubts.bearing.is_scented.then(|| said.to_string())
}

/// Question 6: whether the largest whole unit is asked for beside the ounces.
fn second_unit(doubts: &Doubts<'_>) -> Option<String> {
    doubts.net.second_unit.as_ref().map(|second| {
        format!(
            "From one pound or one pint a second declaration in the largest whole unit is asked for (21 CFR 701.13(j), from \
             memory): add it, as “{second}”."
        )
    })
}

/// Question 7: whether what a material was dissolved in or preserved with is an ingredient.
fn carried_over(doubts: &Doubts<'_>) -> Option<String> {
    let names = &doubts.bearing.carried;
    (!names.is_empty()).then(|| {
        format!(
            "{}: what comes along in it, as a carrier or a preservative, is declared here. Whether it may be left out is \
             not settled.",
            quoted(names)
        )
    })
}

/// Question 8: what is not looked at in a market.
fn not_covered(market: Market) -> Option<String> {
    if !shelf::has_rules(market) {
        return Some(format!(
            "The shelf has no rules of `{}`: allergens, limits and statements were not checked for it.",
            market.word()
        ));
    }
    Some(match market {
        Market::Us => "Laws of single states, as California's, are not covered.".to_string(),
        _ => "National languages and marks for sorting waste are not covered.".to_string(),
    })
}

/// Question 9: certified lots and the purity of colours.
fn colour(doubts: &Doubts<'_>) -> Option<String> {
    doubts.bearing.is_coloured.then(|| match doubts.market {
        Market::Us => {
            "Colours: many need a lot that is certified (21 CFR parts 74 and 82). Ask for its certificate.".to_string()
        }
        _ => "Colours: the purity that the law asks of them is not checked. Ask the supplier for it.".to_string(),
    })
}

/// Question 10: what swells, is whipped or dries in the jar.
fn swells(doubts: &Doubts<'_>) -> Option<String> {
    const WORDS: [&str; 9] = ["whip", "swell", "swollen", "dries", "dried", "drying", "cure", "curing", "beat"];
    let steps = doubts.formula.steps.iter().flat_map(|steps| &steps.steps).map(|step| step.text.to_lowercase());
    let named = doubts.formula.title.iter().map(|title| title.to_lowercase());
    let changes = |text: &String| {
        let mut words = text.split(|letter: char| !letter.is_alphabetic());
        words.any(|word| WORDS.iter().any(|known| word == *known || word.starts_with(known) && *known == "whip"))
    };
    steps.chain(named).any(|text| changes(&text)).then(|| {
        "What is whipped, swells or dries changes its volume and weight: the net quantity holds for the day it is filled."
            .to_string()
    })
}

/// W3: for a time, who answers for it in the Union is enough in Great Britain.
fn union_is_enough(doubts: &Doubts<'_>) -> Option<String> {
    doubts.answer.leans_on_union.then(|| {
        "Who answers for it in the Union is enough in Great Britain until 31 December 2027 (guidance of 4 May 2023); from \
         then on `responsible uk` is asked for."
            .to_string()
    })
}

/// The function is asked for unless the look of the product makes it plain, which nobody here can see.
fn function(doubts: &Doubts<'_>) -> Option<String> {
    (is_european(doubts.market) && doubts.formula.label.function.is_none()).then(|| {
        "No `function` is given: leave it out where the product makes plain what it is for, else write it in."
            .to_string()
    })
}

/// What a container holds is known where containers are counted, or one is named that says what it holds.
fn content(doubts: &Doubts<'_>) -> Option<String> {
    doubts.net.text.is_none().then(|| {
        "What a container holds is not said: write `makes 12 x 30 mL`, or `packed in` a container that `holds` it."
            .to_string()
    })
}

fn quoted(names: &[String]) -> String {
    names.iter().map(|name| format!("`{name}`")).collect::<Vec<_>>().join(", ")
}
