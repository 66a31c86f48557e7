//! `may contain`: the colourants of a range of shades, behind all that is in every one of them.

use super::entry::Entry;
use super::name::{Lacking, printed_name};
use crate::model::Formula;
use crate::resolve::Resolver;
use crate::syntax::vocabulary::{Market, Role};
use smol_str::SmolStr;

/// The colourants of a range, by the names of a market.
#[derive(Default)]
pub(super) struct Shades {
    /// Their names, as they stand in the formula.
    pub names: Vec<String>,
    /// The substances among them that have no name.
    pub nameless: Vec<SmolStr>,
    /// Those that have none in the United States.
    pub without_us_name: Vec<SmolStr>,
}

impl Shades {
    /// The colourants of a formula's range. What is in every shade stands in the line already.
    pub fn of(names: &Resolver<'_>, formula: &Formula, entries: &[Entry], market: Market) -> Shades {
        let mut shades = Shades::default();
        let meant = formula.selling.may_contain.iter().flat_map(|shade| &shade.substances);
        for substance in meant.filter_map(|id| names.substance(*id)) {
            let printed = printed_name(&substance, &[Role::Colourant], market);
            let known = shades.names.iter().chain(entries.iter().map(|entry| &entry.name));
            if known.map(|name| name.to_lowercase()).any(|name| name == printed.text.to_lowercase()) {
                continue;
            }
            match printed.lacks {
                Some(Lacking::Name) => shades.nameless.push(substance.name.clone()),
                Some(Lacking::UsColourName) => shades.without_us_name.push(substance.name.clone()),
                None => {}
            }
            shades.names.push(printed.text);
        }
        shades
    }
}
