//! A rule with every name looked up and every figure worked out.

use super::{Bound, DeclId};
use crate::diagnostic::{Level, Place};
use crate::quantity::Exact;
use crate::syntax::vocabulary::{Market, Product};
use smol_str::SmolStr;
use std::sync::Arc;

/// A limit, a demand or a statement, with its source.
#[derive(Clone, Debug)]
pub struct Rule {
    /// Which declaration.
    pub id: DeclId,
    /// Its name.
    pub name: SmolStr,
    /// Where the name stands.
    pub place: Place,
    /// Where it applies; everywhere where it names no market.
    pub markets: Vec<Market>,
    /// To which products it applies: one of these sets of words must be among the formula's; to all where empty.
    pub products: Vec<Vec<Product>>,
    /// The first day it applies.
    pub from: Option<SmolStr>,
    /// The last day it applies.
    pub until: Option<SmolStr>,
    /// What must hold for it to apply; all of them.
    pub whens: Vec<When>,
    /// What it asks.
    pub clauses: Vec<Clause>,
    /// How grave a breach is.
    pub level: Level,
    /// Why.
    pub because: Option<SmolStr>,
    /// Who says so.
    pub source: Option<SmolStr>,
    /// Who says so in a market that has a source of its own.
    pub own_sources: Vec<(Market, SmolStr)>,
}

impl Rule {
    /// Whether it is in force on a day. Days are ISO 8601, so they compare as they are written.
    #[must_use]
    pub fn in_force(&self, day: &str) -> bool {
        self.from.as_deref().is_none_or(|from| from <= day) && self.until.as_deref().is_none_or(|until| day <= until)
    }

    /// The rule as it binds what is sold in some markets: on the word of each of them that it is of.
    #[must_use]
    pub fn sold_in(self: Arc<Rule>, sold: &[Market]) -> Arc<Rule> {
        if self.own_sources.is_empty() {
            return self;
        }
        let own = |market: &Market| self.own_sources.iter().find(|(known, _)| known == market).map(|(_, own)| own);
        let mut said: Vec<&SmolStr> = Vec::new();
        for market in sold.iter().filter(|market| self.markets.contains(market)) {
            said.extend(own(market).or(self.source.as_ref()).filter(|source| !said.contains(source)));
        }
        let source =
            (!said.is_empty()).then(|| said.iter().map(|source| source.as_str()).collect::<Vec<_>>().join("; "));
        Arc::new(Rule { source: source.map(SmolStr::from), ..(*self).clone() })
    }

    /// What it limits, asks or forbids, and what it waits for. What it only has named on the label is left out.
    pub fn subjects(&self) -> impl Iterator<Item = &Subject> {
        let asked = self.clauses.iter().filter_map(|clause| match &clause.ask {
            Ask::Limit(subject, _, _) | Ask::Within(subject, _) | Ask::Forbid(subject) => Some(subject),
            Ask::Ph(_) | Ask::Declare(_, _) | Ask::Print(_) => None,
        });
        asked.chain(self.whens.iter().filter_map(|when| match when {
            When::Above(subject, _) | When::Below(subject, _) | When::Within(subject, _) => Some(subject),
            When::Ph(_) => None,
        }))
    }

    /// Whether it is meant for such a product.
    #[must_use]
    pub fn is_for(&self, products: &[Product]) -> bool {
        self.products.is_empty() || self.products.iter().any(|set| set.iter().all(|word| products.contains(word)))
    }
}

/// The substances that a name in a rule speaks of.
#[derive(Clone, Debug)]
pub struct Subject {
    /// The substance's or group's name.
    pub name: SmolStr,
    /// The substances.
    pub members: Vec<DeclId>,
}

/// What must hold for a rule to apply.
#[derive(Clone, Debug)]
pub enum When {
    /// The pH lies in a range.
    Ph(Bound),
    /// There is more of something than this, in percent.
    Above(Subject, Exact),
    /// There is less of something than this.
    Below(Subject, Exact),
    /// There is as much of something as this.
    Within(Subject, Bound),
}

/// One thing that a rule asks, and where it stands.
#[derive(Clone, Debug)]
pub struct Clause {
    /// What is asked.
    pub ask: Ask,
    /// Where it stands.
    pub place: Place,
}

/// What a rule asks.
#[derive(Clone, Debug)]
pub enum Ask {
    /// At most so much of something, in percent.
    Limit(Subject, Exact, Counting),
    /// A pH within a range.
    Ph(Bound),
    /// As much of something as this, in percent.
    Within(Subject, Bound),
    /// Nothing of something.
    Forbid(Subject),
    /// Something named on the label above this, in percent.
    Declare(Subject, Exact),
    /// A statement on the label.
    Print(SmolStr),
}

/// How a limit counts.
#[derive(Clone, Debug)]
pub enum Counting {
    /// Each by its own weight.
    Own,
    /// Each, and its salts, as the acid.
    AsAcid,
    /// Each, and its salts, as a named substance.
    As(DeclId, SmolStr),
}
