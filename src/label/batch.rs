//! What a batch record says of the jars: their code, what they hold, when the batch was begun, and whether it may be sold.

use super::gone::GoneHeader;
use super::net::Nominal;
use crate::batch::{Setting, Weights};
use crate::model::{Batch, CodePattern, Composition, ContainerFill, Happened};
use crate::quantity::Exact;
use crate::resolve::Resolver;
use smol_str::SmolStr;

/// A batch as its labels have it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct LabelledBatch {
    /// Its name.
    pub name: SmolStr,
    /// The code on the jars; none where nothing says it.
    pub code: Option<String>,
    /// The day it was begun.
    pub started: Option<SmolStr>,
    /// What the jars hold, each size once, in the order they were filled.
    pub fills: Vec<Nominal>,
    /// Whether it may be sold.
    pub state: BatchState,
    /// The lines of its plan of which nothing is in yet.
    pub waiting: Vec<SmolStr>,
    /// What its version's header said of the label, where that is gone from the files.
    pub header_gone: Option<GoneHeader>,
}

/// Whether a batch may be sold.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum BatchState {
    /// It was released.
    Released,
    /// Nobody has said so yet.
    NotReleased,
    /// It may not, for this reason.
    Rejected(SmolStr),
}

impl LabelledBatch {
    /// What a record says; the last word on it counts. Where no code stands on the jars yet, it is the
    /// record's own, else by the maker's pattern.
    #[must_use]
    pub fn of(batch: &Batch, pattern: Option<&CodePattern>) -> LabelledBatch {
        let mut labelled = LabelledBatch {
            name: batch.name.clone(),
            code: None,
            started: batch.started.clone(),
            fills: Vec::new(),
            waiting: Vec::new(),
            state: BatchState::NotReleased,
            header_gone: None,
        };
        for event in &batch.events {
            match &event.what {
                Happened::Filled { each, code, .. } => {
                    labelled.code = code.as_ref().map(ToString::to_string).or(labelled.code);
                    let fill = each.as_ref().map(nominal).filter(|fill| !labelled.fills.contains(fill));
                    labelled.fills.extend(fill);
                }
                Happened::Released => labelled.state = BatchState::Released,
                Happened::Rejected(why) => labelled.state = BatchState::Rejected(why.clone()),
                _ => {}
            }
        }
        let by_pattern = || pattern?.on(batch.started.as_deref()?);
        labelled.code = labelled.code.or_else(|| batch.code.as_ref().map(ToString::to_string)).or_else(by_pattern);
        labelled
    }
}

fn nominal(each: &ContainerFill) -> Nominal {
    match each {
        ContainerFill::Grams(grams) => Nominal::Grams(grams.clone()),
        ContainerFill::Millilitres(volume) => Nominal::Millilitres(volume.clone()),
    }
}

/// What a batch is made of as statements are asked for by: adjuster is set aside, as it is in a formula, so that an acid
/// that only sets the pH is no reason for one. None where nothing is in it, or something of it is not known.
#[must_use]
pub fn counted(resolver: &Resolver<'_>, batch: &Batch, setting: &Setting<'_>) -> Option<Composition> {
    let weights = Weights::of(batch);
    let whole = weights.total();
    let is_adjuster = |name: &str| setting.formula.adjusters().any(|line| line.name == name);
    let mut found = Composition::default();
    for (name, grams) in weights.parts.iter().filter(|(name, grams)| grams.is_positive() && !is_adjuster(name)) {
        let percent = (grams * &Exact::HUNDRED).over(&whole)?;
        let thing = setting.resolver(resolver).weighs_out(batch.id.file, name)?;
        if !thing.put_into(&mut found, &percent) {
            return None;
        }
    }
    (!found.parts.is_empty() && !found.is_oversized()).then_some(found)
}
