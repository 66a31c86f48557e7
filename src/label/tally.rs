//! Everything in the jar under the names that a market has for it, summed name by name.

use super::entry::{Entry, Part};
use super::jar::{Jar, Portion, Spread};
use super::name::{Lacking, printed_name, scent_of};
use super::order::by_alphabet;
use super::strength::{room_of, strengths};
use crate::model::DeclId;
use crate::quantity::{Exact, Interval};
use crate::resolve::Resolver;
use crate::syntax::vocabulary::Market;
use smol_str::SmolStr;
use std::collections::{BTreeMap, BTreeSet};

/// What a part of a material gives to an entry.
#[derive(Clone, Debug)]
pub(super) struct Given {
    /// The name that it is printed under.
    pub name: String,
    /// The same in small letters: names that differ in capitals alone are one.
    pub key: String,
    /// The material.
    pub material: SmolStr,
    /// How much of the material there is, in percent of the whole.
    pub of: Exact,
    /// The substance; none where it is a scent as a whole.
    pub substance: Option<DeclId>,
    /// The names of the substances behind it.
    pub substances: Vec<SmolStr>,
    /// How much it is, in percent of the whole.
    pub share: Interval,
    /// What the other parts of the material leave for it at their least, in percent of the whole, where it has no figure of
    /// its own.
    pub room: Option<Exact>,
    is_colourant: bool,
    lacks: Option<Lacking>,
}

impl Given {
    fn under(self, name: String) -> Given {
        Given { key: name.to_lowercase(), name, ..self }
    }
}

/// The jar by the names of a market.
pub(super) struct Tally {
    /// What each mixture gives.
    pub given: Spread<Vec<Given>>,
    /// An entry for each name, in the order of the alphabet.
    pub entries: Vec<Entry>,
    /// The substances that have no name.
    pub nameless: Vec<SmolStr>,
    /// The colourants that have none in the United States.
    pub without_us_name: Vec<SmolStr>,
}

impl Tally {
    /// The jar by the names of a market.
    pub fn of(names: &Resolver<'_>, jar: &Jar, market: Market) -> Tally {
        let given = jar.each(|mixture| given(names, mixture, market));
        let mut by_name: BTreeMap<&str, Vec<&Given>> = BTreeMap::new();
        for one in given.all().flatten().filter(|one| one.share.high.is_positive()) {
            by_name.entry(&one.key).or_default().push(one);
        }
        let entries = by_name.iter().map(|(key, together)| entry(&given, key, together)).collect();
        let lacking = |what: Lacking| {
            let those = by_name.values().flatten().filter(|one| one.lacks == Some(what));
            let names: BTreeSet<SmolStr> = those.flat_map(|one| one.substances.iter().cloned()).collect();
            names.into_iter().collect()
        };
        let (nameless, without_us_name) = (lacking(Lacking::Name), lacking(Lacking::UsColourName));
        Tally { entries, nameless, without_us_name, given }
    }
}

/// All that stands under one name.
fn entry(given: &Spread<Vec<Given>>, key: &str, together: &[&Given]) -> Entry {
    let sum = |of: &[Given], is_it: &dyn Fn(&Given) -> bool| {
        of.iter().filter(|one| is_it(one)).fold(Interval::zero(), |sum, one| &sum + &one.share)
    };
    let spelt = |name: &str| given.total(|mixture| sum(mixture, &|one| one.name == name)).middle();
    // Spelt as the larger share has it.
    let spellings: BTreeSet<&str> = together.iter().map(|one| one.name.as_str()).collect();
    let name = spellings
        .into_iter()
        .max_by(|one, other| spelt(one).cmp(&spelt(other)).then_with(|| by_alphabet(other, one)))
        .unwrap_or_default();
    let substances: BTreeSet<SmolStr> = together.iter().flat_map(|one| one.substances.iter().cloned()).collect();
    // What is a colourant and something else under one name stands where the other has to.
    let is_colourant = together.iter().all(|one| one.is_colourant);
    Entry {
        name: name.to_string(),
        substances: substances.into_iter().collect(),
        part: if is_colourant { Part::Colourant } else { Part::Ordered },
        share: given.total(|mixture| sum(mixture, &|one| one.key == key)),
        sure: true,
    }
}

/// What a mixture gives to the entries of a market.
fn given(names: &Resolver<'_>, mixture: &[Portion], market: Market) -> Vec<Given> {
    let mut given = Vec::new();
    for portion in mixture {
        let material = &portion.material;
        let name_of = |id: DeclId| names.substance(id).map(|substance| substance.name.clone());
        let blank = Given {
            name: String::new(),
            key: String::new(),
            material: material.name.clone(),
            of: portion.share.clone(),
            substance: None,
            substances: Vec::new(),
            share: Interval::point(portion.share.clone()),
            room: None,
            is_colourant: false,
            lacks: None,
        };
        if let Some(scent) = scent_of(names, material) {
            let substances = material.contains.iter().filter_map(|part| name_of(part.substance)).collect();
            given.push(Given { substances, ..blank }.under(scent.name(market).to_string()));
            continue;
        }
        for (part, strength) in strengths(material) {
            let Some(substance) = names.substance(part.substance) else { continue };
            let printed = printed_name(&substance, &material.roles, market);
            let part = Given {
                substance: Some(part.substance),
                substances: vec![substance.name.clone()],
                share: strength.times(&portion.share.hundredth()),
                room: room_of(material, part).map(|room| &room * &portion.share.hundredth()),
                is_colourant: printed.is_colourant,
                lacks: printed.lacks,
                ..blank.clone()
            };
            given.push(part.under(printed.text));
        }
    }
    given
}
