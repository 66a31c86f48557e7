//! The checker: each check a small function over a formula as it is resolved, in a file for its family.
//!
//! [`session::check`](crate::session::check) runs a whole session. A new check is a function, an entry in [`CHECKS`], an entry in the catalogue
//! (`src/diagnostic/code.rs`) with its page, and a case in `tests/`.

pub(crate) mod allow;
mod amount;
mod as_made;
pub(crate) mod caution;
mod claim_words;
mod claims;
mod container;
mod contents;
mod context;
mod emulsifier;
mod ensure;
mod exemption;
mod foreseen;
mod gas;
pub(crate) mod growth;
mod heat;
mod liquids;
mod market;
mod mixing;
mod no_solvent;
pub(crate) mod ounce;
mod ph_foreseen;
mod ph_notes;
mod ph_reach;
mod ph_reserve;
mod ph_step;
mod polymers;
mod preservation;
mod preserving;
mod rancid;
pub(crate) mod reading;
pub(crate) mod records;
pub(crate) mod release;
mod reserve;
mod rule;
mod rule_adjuster;
mod rule_text;
mod scale;
mod scent;
mod steps;
mod strength;
mod together;
mod total;
pub(crate) mod unused;
mod usage;
mod version;
mod wet_hands;
pub(crate) mod window;

pub use usage::{Total, totals};

pub use context::CheckContext;
pub(crate) use context::CheckOptions;

use crate::diagnostic::Diagnostic;

/// A check of one formula.
pub type Check = fn(&CheckContext<'_, '_>, &mut Vec<Diagnostic>);

/// What some checks say, none of it graver than the facts it rests on.
pub(crate) fn run(context: &CheckContext<'_, '_>, checks: &[Check]) -> Vec<Diagnostic> {
    let mut found = Vec::new();
    for check in checks {
        check(context, &mut found);
    }
    found.into_iter().map(|fault| context.resolver.as_sure_as_its_facts(fault)).collect()
}

/// What a formula says of itself that makes a medicine or a drug of it.
pub(crate) fn drug_claim(context: &CheckContext<'_, '_>) -> Vec<Diagnostic> {
    run(context, &[claims::medicinal])
}

/// Every check of a formula.
pub const CHECKS: &[Check] = &[
    total::qs_twice,
    total::over_or_under,
    total::nothing_left,
    reserve::reserves,
    amount::line_twice,
    usage::over_and_under,
    scent::over,
    scent::phototoxic,
    window::missing,
    window::reversed,
    window::none,
    window::clash_or_partial,
    window::narrow,
    ph_foreseen::too_acid,
    ph_reach::unreachable,
    ph_reserve::short,
    ph_step::coarse,
    gas::forms,
    ph_notes::unpredictable,
    ph_notes::beyond_model,
    ph_notes::drifts,
    ph_notes::contradicted,
    ph_notes::begin_apart,
    heat::clash,
    heat::too_low,
    mixing::phase_clash,
    emulsifier::missing,
    mixing::solubility,
    no_solvent::in_oil,
    mixing::hlb,
    preservation::none,
    preservation::gap,
    preservation::free_acids,
    preservation::chelator,
    wet_hands::fed,
    rancid::antioxidant,
    together::apart,
    polymers::collapse,
    strength::ignored,
    strength::off_target,
    ounce::makes,
    container::too_small,
    scale::density_missing,
    scale::batch_size_missing,
    scale::missing,
    scale::too_small_or_below,
    scale::overloaded,
    version::missing,
    steps::unknown_names,
    steps::unknown_parts,
    steps::missing_lines,
    ensure::broken,
    market::unknown,
    market::in_part,
    market::kind_missing,
    rule::rules,
    rule_adjuster::not_counted,
    claims::medicinal,
];
