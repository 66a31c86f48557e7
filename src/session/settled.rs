//! What came of a formula by itself, before anything that is told elsewhere bears on it.

use super::findings::in_order;
use super::report::{CheckedFormula, FormulaReport};
use crate::check::allow::{self, Allowed};
use crate::diagnostic::{Diagnostic, Level, Place};
use crate::model::Formula;
use crate::resolve::Resolved;
use crate::sheet::Plan;
use crate::sheet::ph::Unadjusted;
use crate::workspace::Sources;
use rustc_hash::FxHashSet;
use std::sync::{Arc, Mutex, PoisonError};

/// What the checks of one formula came to.
pub(super) struct Checked {
    pub found: Vec<Diagnostic>,
    pub plan: Option<Plan>,
    pub remark: Option<String>,
    pub unpreserved: Option<String>,
    pub unadjusted: Option<Unadjusted>,
}

/// What came of a formula by itself.
pub(super) struct Settled {
    pub formula: Arc<Formula>,
    /// What is told of it and is not allowed, in the order it was found.
    pub left: Vec<Diagnostic>,
    /// Whether any of that is an error.
    pub errs: bool,
    /// Whether any of that is an error that cannot be allowed.
    pub hides: bool,
    /// The places of the allowances that quieted something.
    pub quieted: Vec<Place>,
    pub plan: Option<Plan>,
    allowed: Vec<Allowed>,
    remark: Option<String>,
    unpreserved: Option<String>,
    unadjusted: Option<Unadjusted>,
    /// The report that was made of it last, with what else bore on it then.
    reported: Mutex<Option<(Vec<Diagnostic>, FormulaReport)>>,
}

/// Whether a fault keeps others from being found that an allowance may be meant for.
pub(super) fn hides(fault: &Diagnostic) -> bool {
    fault.level == Level::Error && !fault.code.entry().allowable
}

impl Settled {
    /// What is told of a formula, and what it allows of that.
    pub fn new(resolved: &Resolved, checked: Checked) -> Settled {
        let Checked { found, plan, remark, unpreserved, unadjusted } = checked;
        let mut faults = resolved.faults.clone();
        faults.extend(found);
        let mut quieted = FxHashSet::default();
        let (mut left, allowed) = allow::quiet(&resolved.formula, faults, &mut quieted);
        allow::no_reason(&resolved.formula, &mut left);
        let mut quieted: Vec<Place> = quieted.into_iter().collect();
        quieted.sort_unstable();
        Settled {
            formula: Arc::clone(&resolved.formula),
            errs: left.iter().any(|fault| fault.level == Level::Error),
            hides: left.iter().any(hides),
            left,
            quieted,
            plan,
            allowed,
            remark,
            unpreserved,
            unadjusted,
            reported: Mutex::new(None),
        }
    }

    /// The same of a formula that only stands elsewhere now: each diagnostic and each place as `fault` and `place` have
    /// it. Its formula is still the one that stood where it was. None where one of them has none, or where what is foreseen
    /// is kept, which has places of its own.
    pub fn moved(
        &self,
        fault: impl Fn(&Diagnostic) -> Option<Diagnostic>,
        place: impl Fn(Place) -> Option<Place>,
    ) -> Option<Settled> {
        if self.unadjusted.is_some() {
            return None;
        }
        let allowed =
            |one: &Allowed| Some(Allowed { diagnostic: fault(&one.diagnostic)?, because: one.because.clone() });
        Some(Settled {
            formula: Arc::clone(&self.formula),
            left: self.left.iter().map(&fault).collect::<Option<_>>()?,
            errs: self.errs,
            hides: self.hides,
            quieted: self.quieted.iter().map(|at| place(*at)).collect::<Option<_>>()?,
            plan: self.plan.clone(),
            allowed: self.allowed.iter().map(allowed).collect::<Option<_>>()?,
            remark: self.remark.clone(),
            unpreserved: self.unpreserved.clone(),
            unadjusted: None,
            reported: Mutex::new(None),
        })
    }

    /// The report of the formula, with what else bears on it. Where that is what it was the last time, so is the report.
    pub fn report(this: Arc<Settled>, sources: &Sources, bearing: Vec<Diagnostic>) -> FormulaReport {
        let shared = match Arc::try_unwrap(this) {
            Ok(own) => {
                let Settled { formula, left, plan, allowed, remark, unpreserved, unadjusted, .. } = own;
                let diagnostics = in_order(sources, left.into_iter().chain(bearing).collect());
                let all = CheckedFormula { formula, plan, diagnostics, allowed, remark, unpreserved, unadjusted };
                return FormulaReport::new(all);
            }
            Err(shared) => shared,
        };
        let mut last = shared.reported.lock().unwrap_or_else(PoisonError::into_inner);
        match &*last {
            Some((before, report)) if *before == bearing => report.clone(),
            _ => {
                let report = FormulaReport::new(shared.with(sources, &bearing));
                *last = Some((bearing, report.clone()));
                report
            }
        }
    }

    fn with(&self, sources: &Sources, bearing: &[Diagnostic]) -> CheckedFormula {
        CheckedFormula {
            formula: Arc::clone(&self.formula),
            plan: self.plan.clone(),
            diagnostics: in_order(sources, self.left.iter().chain(bearing).cloned().collect()),
            allowed: self.allowed.clone(),
            remark: self.remark.clone(),
            unpreserved: self.unpreserved.clone(),
            unadjusted: self.unadjusted.clone(),
        }
    }
}
