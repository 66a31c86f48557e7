//! The ingredient declaration of what is in a jar, for a market on a day.

use super::allergen::{Allergens, allergens};
use super::entry::{Entry, Part};
use super::formed::as_formed;
use super::jar::Jar;
use super::name::scent_of;
use super::order::{ExactlyOne, Ordered, in_order};
use super::settle::{Settling, settling};
use super::shades::Shades;
use super::strength::is_undisclosed;
use super::tally::Tally;
use crate::quantity::Exact;
use crate::resolve::Resolver;
use crate::shelf;
use crate::syntax::vocabulary::Market;
use smol_str::SmolStr;
use std::collections::BTreeSet;

/// The ingredient declaration of a market.
#[derive(Clone, Debug)]
pub struct Declaration {
    /// The market.
    pub market: Market,
    /// Whether it says what was added or what stands after the reaction.
    pub basis: DeclaredBasis,
    /// Why it does not say what formed, where the formula asks for that: what `declare as formed` cannot be followed for.
    pub not_formed: Option<String>,
    /// The entries in the order of print.
    pub entries: Vec<Entry>,
    /// The colourants of a range of shades that it may contain.
    pub may_contain: Vec<String>,
    /// The pairs of names whose order is not proven: the first and the second.
    pub unproven: Vec<(String, String)>,
    /// The figures that would settle them.
    pub settles: Vec<Settling>,
    /// The materials of which something is not disclosed.
    pub undisclosed: Vec<SmolStr>,
    /// The substances that have no name in this market.
    pub nameless: Vec<SmolStr>,
    /// The allergens on it, in the order of print.
    pub named: Vec<String>,
    /// What else there is to say of it.
    pub notes: Vec<Note>,
}

/// What a declaration speaks of.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum DeclaredBasis {
    /// What was added.
    AsAdded,
    /// What stands after acid and base have met.
    AsFormed,
}

impl DeclaredBasis {
    /// The words for it.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            DeclaredBasis::AsAdded => "as added",
            DeclaredBasis::AsFormed => "as formed",
        }
    }
}

/// A remark on a declaration.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Note {
    /// What kind it is of.
    pub code: NoteCode,
    /// What it speaks of: a name of the label, a substance, a market.
    pub what: String,
}

/// The kinds of remarks.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum NoteCode {
    /// Exactly 1 %: bound in one market and free in another.
    ExactlyOnePercent,
    /// More or less than 1 %, nobody knows.
    StraddlesOnePercent,
    /// An allergen exactly at its threshold: not named.
    AllergenAtThreshold,
    /// An allergen that stands under a name of its own, and not under that of its group.
    AllergenUnderOwnName,
    /// Scents or wholes in a market that has no rule on allergens yet.
    AllergensNoRuleYet,
    /// A colourant without a name in the United States.
    UsColourName,
    /// A market of which the shelf has no rules: allergens and limits were not looked at.
    MarketNotChecked,
    /// The order is proven for as much adjuster as is foreseen, not for all that is held back.
    AdjusterForeseen,
}

impl NoteCode {
    /// The word for it in JSON.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            NoteCode::ExactlyOnePercent => "exactly-one-percent",
            NoteCode::StraddlesOnePercent => "straddles-one-percent",
            NoteCode::AllergenAtThreshold => "allergen-at-threshold",
            NoteCode::AllergenUnderOwnName => "allergen-under-own-name",
            NoteCode::AllergensNoRuleYet => "allergens-no-rule-yet",
            NoteCode::UsColourName => "us-colour-name",
            NoteCode::MarketNotChecked => "market-not-checked",
            NoteCode::AdjusterForeseen => "adjuster-foreseen",
        }
    }
}

impl Declaration {
    /// Whether the order is lawful whatever the shares are within their intervals.
    #[must_use]
    pub fn is_proven(&self) -> bool {
        self.unproven.is_empty()
    }

    /// The line as it is printed.
    #[must_use]
    pub fn text(&self) -> String {
        let names: Vec<&str> = self.entries.iter().map(|entry| entry.name.as_str()).collect();
        let mut text = format!("Ingredients: {}", names.join(", "));
        if !self.may_contain.is_empty() {
            text.push_str(". May contain: ");
            text.push_str(&self.may_contain.join(", "));
        }
        text
    }
}

/// The declaration of what is in a jar. `names` are those of the session, or of the batch where it has its own. Where the
/// order hangs on how much adjuster goes in, what is foreseen of it may prove it.
#[must_use]
pub fn declaration(names: &Resolver<'_>, jar: &Jar, market: Market, day: &str) -> Declaration {
    let declared = declare(names, jar, market, day);
    if declared.is_proven() || jar.reserves.is_empty() {
        return declared;
    }
    let foreseen = Jar::foreseen(names, &jar.formula).map(|jar| declare(names, &jar, market, day));
    match foreseen.filter(Declaration::is_proven) {
        Some(mut foreseen) => {
            let what = |name: &SmolStr| Note { code: NoteCode::AdjusterForeseen, what: name.to_string() };
            foreseen.notes.extend(jar.adjusters.iter().map(what));
            foreseen
        }
        None => declared,
    }
}

/// What a market says of exactly 1 %. One of which nothing is known is taken for the stricter.
fn exactly_one(market: Market) -> ExactlyOne {
    if market == Market::Us { ExactlyOne::Free } else { ExactlyOne::Bound }
}

fn declare(names: &Resolver<'_>, jar: &Jar, market: Market, day: &str) -> Declaration {
    let one = exactly_one(market);
    let mut tally = Tally::of(names, jar, market);
    let formed = jar.formula.label.as_formed.then(|| as_formed(names, &tally, jar.formula.id.file, market));
    let (entries, basis, not_formed) = match formed {
        Some(Ok(entries)) => (entries, DeclaredBasis::AsFormed, None),
        Some(Err(why)) => (tally.entries.clone(), DeclaredBasis::AsAdded, Some(why)),
        None => (tally.entries.clone(), DeclaredBasis::AsAdded, None),
    };
    let found = allergens(names, jar, &entries, market, day);
    let shades = Shades::of(names, &jar.formula, &entries, market);
    tally.nameless.extend(shades.nameless);
    tally.without_us_name.extend(shades.without_us_name);
    let ordered = in_order(entries.into_iter().chain(found.entries.iter().cloned()).collect(), one);
    let name = |at: usize| ordered.entries.get(at).map(|entry| entry.name.clone()).unwrap_or_default();
    let is_named = |entry: &&Entry| entry.part == Part::Allergen || found.in_entries.contains(&entry.name);
    let undisclosed: BTreeSet<SmolStr> = jar
        .mixtures()
        .flatten()
        .filter(|portion| portion.share.is_positive() && is_undisclosed(&portion.material))
        .map(|portion| portion.material.name.clone())
        .collect();
    Declaration {
        market,
        basis,
        not_formed,
        may_contain: shades.names,
        unproven: ordered.unproven.iter().map(|(first, then)| (name(*first), name(*then))).collect(),
        settles: settling(names, &tally, &ordered, one),
        undisclosed: undisclosed.into_iter().collect(),
        nameless: tally.nameless.clone(),
        named: ordered.entries.iter().filter(is_named).map(|entry| entry.name.clone()).collect(),
        notes: notes(names, jar, &tally, &ordered, &found, market),
        entries: ordered.entries,
    }
}

fn notes(
    names: &Resolver<'_>,
    jar: &Jar,
    tally: &Tally,
    ordered: &Ordered,
    found: &Allergens,
    market: Market,
) -> Vec<Note> {
    let mut notes = Vec::new();
    let mut say = |code: NoteCode, of: &mut dyn Iterator<Item = String>| {
        notes.extend(of.map(|what| Note { code, what }));
    };
    let by_weight = || ordered.entries.iter().filter(|entry| matches!(entry.part, Part::Ordered | Part::Free));
    let name = |entry: &Entry| entry.name.clone();
    let is_one = |entry: &&Entry| entry.share.is_point() && entry.share.low == Exact::ONE;
    let straddles = |entry: &&Entry| entry.share.low < Exact::ONE && entry.share.high > Exact::ONE;
    say(NoteCode::ExactlyOnePercent, &mut by_weight().filter(is_one).map(name));
    say(NoteCode::StraddlesOnePercent, &mut by_weight().filter(straddles).map(name));
    say(NoteCode::AllergenAtThreshold, &mut found.at_threshold.iter().cloned());
    say(NoteCode::AllergenUnderOwnName, &mut found.under_own_name.iter().cloned());
    let has_sources = || {
        let mut portions = jar.mixtures().flatten().filter(|portion| portion.share.is_positive());
        portions.any(|portion| scent_of(names, &portion.material).is_some() || !portion.material.brings.is_empty())
    };
    let is_open = market == Market::Us && !found.is_ruled && has_sources();
    say(NoteCode::AllergensNoRuleYet, &mut is_open.then(|| market.word().to_string()).into_iter());
    say(NoteCode::UsColourName, &mut tally.without_us_name.iter().map(ToString::to_string));
    let is_unknown = !shelf::has_rules(market);
    say(NoteCode::MarketNotChecked, &mut is_unknown.then(|| market.word().to_string()).into_iter());
    notes
}
