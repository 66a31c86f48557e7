//! What a filled batch leaves over: what there was, less what is in the containers.

use super::ledger::Ledger;
use super::setting::{Setting, is_version};
use crate::model::{Batch, ContainerFill, Happened};
use crate::quantity::Exact;
use crate::resolve::Resolver;

/// What there was to fill, and what of it is in the containers, in grams.
#[derive(Clone, Debug)]
pub struct Filling {
    /// What there was: the yield, where one is written down, else what was in the beaker.
    pub there: Exact,
    /// Whether that is the yield.
    pub is_yield: bool,
    /// What is in the containers, or why nobody knows.
    pub filled: Result<Exact, UnknownFill>,
}

/// Why nobody knows what is in the containers.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum UnknownFill {
    /// They hold a volume, and no density is known.
    NoDensity,
    /// How many there are, or what one holds, is at fault, and has been told of.
    AtFault,
}

impl Filling {
    /// What a batch was filled into; none before it is.
    #[must_use]
    pub fn of(session: &Resolver<'_>, setting: &Setting<'_>, batch: &Batch, ledger: &Ledger) -> Option<Filling> {
        if !batch.is_filled() {
            return None;
        }
        let came_out = came_out(batch);
        let is_yield = came_out.is_some();
        let there = came_out.unwrap_or_else(|| ledger.weights.total());
        let density = density(session, setting, batch);
        let all = batch.events.iter().filter_map(|event| match &event.what {
            Happened::Filled { count, each, .. } => Some(in_grams(count, each.as_ref(), density.as_ref())),
            _ => None,
        });
        Some(Filling { there, is_yield, filled: all.sum() })
    }

    /// What is left over; below nought where more was filled than there was.
    #[must_use]
    pub fn left_over(&self) -> Option<Exact> {
        self.filled.as_ref().ok().map(|filled| &self.there - filled)
    }
}

/// The yield, less what was taken out of it since; none where none is written down.
#[must_use]
pub fn came_out(batch: &Batch) -> Option<Exact> {
    batch.events.iter().fold(None, |yielded: Option<Exact>, event| match &event.what {
        Happened::Yield(grams) => Some(grams.clone()),
        Happened::Removed(grams, _) => yielded.map(|yielded| (&yielded - grams).max(Exact::ZERO)),
        _ => yielded,
    })
}

fn in_grams(count: &Exact, each: Option<&ContainerFill>, density: Option<&Exact>) -> Result<Exact, UnknownFill> {
    if count.decimals() != Some(0) {
        return Err(UnknownFill::AtFault);
    }
    match each.ok_or(UnknownFill::AtFault)? {
        ContainerFill::Grams(grams) => Ok(count * grams),
        ContainerFill::Millilitres(volume) => Ok(&(count * volume) * density.ok_or(UnknownFill::NoDensity)?),
    }
}

/// The density: as the plan keeps it; of an older plan, which does not, as the formula has it that is of its version.
fn density(session: &Resolver<'_>, setting: &Setting<'_>, batch: &Batch) -> Option<Exact> {
    setting.formula.density.clone().or_else(|| {
        let declared = session.formula_of_batch(batch)?;
        declared.formula.density.clone().filter(|_| is_version(batch, &declared.formula))
    })
}
