//! What a plan frozen into a record does not say: what its materials are for, what the formula asks of itself; and, of an
//! older plan, what the product is and where it is sold. Asked of the files, where they have the same still.

use crate::batch::{is_version, with_facts};
use crate::model::{Batch, Formula, Line, LineMaterial};
use crate::resolve::Resolver;
use std::sync::Arc;

/// Premixes within premixes are followed as deep as this.
const DEPTH: usize = 32;

/// The formula that a batch is held to.
pub(super) struct Promised {
    /// With all that it promises.
    pub formula: Formula,
    /// The formula in the files, where it is of the version of the batch.
    pub declared: Option<Arc<Formula>>,
}

/// The formula of a batch with all that it is held to. The plan goes before the formula in the files, which says what the
/// plan does not, where it is of the version of the batch.
pub(super) fn as_promised(session: &Resolver<'_>, batch: &Batch, formula: &Arc<Formula>) -> Promised {
    // The formula of a plan goes by the number of its record.
    if formula.id != batch.id {
        return Promised { formula: Formula::clone(formula), declared: Some(Arc::clone(formula)) };
    }
    let mut promised = Formula::clone(formula);
    for line in &mut promised.lines {
        equip(session, batch, line, DEPTH);
    }
    let declared = session.formula_of_batch(batch).map(|declared| Arc::clone(&declared.formula));
    let declared = declared.filter(|declared| is_version(batch, declared));
    if let Some(declared) = &declared {
        if promised.products.is_empty() {
            promised.products.clone_from(&declared.products);
        }
        if promised.markets.is_empty() {
            promised.markets.clone_from(&declared.markets);
        }
        promised.date.clone_from(&declared.date);
        promised.water_activity.clone_from(&declared.water_activity);
        promised.header_at_fault.clone_from(&declared.header_at_fault);
        promised.ensures.clone_from(&declared.ensures);
    }
    Promised { formula: promised, declared }
}

/// A line with what the files say of its material.
fn equip(session: &Resolver<'_>, batch: &Batch, line: &mut Line, depth: usize) {
    let equipped = match &line.material {
        Some(LineMaterial::Material(material)) => LineMaterial::Material(with_facts(session, batch, material)),
        Some(LineMaterial::Premix(premix)) => {
            let Some(depth) = depth.checked_sub(1) else { return };
            let mut inner = Formula::clone(premix);
            inner.lines.iter_mut().for_each(|line| equip(session, batch, line, depth));
            LineMaterial::Premix(Arc::new(inner))
        }
        None => return,
    };
    line.material = Some(equipped);
}
