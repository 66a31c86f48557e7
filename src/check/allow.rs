//! `allow`: what it quiets, and what it does not.

use crate::diagnostic::{CATALOGUE, Code, Diagnostic, Place};
use crate::model::{Allowance, Formula};
use crate::syntax::nearest;
use rustc_hash::FxHashSet;

/// A diagnostic that an `allow` took off the list, with the reason.
#[derive(Clone, Debug)]
pub struct Allowed {
    /// The diagnostic.
    pub diagnostic: Diagnostic,
    /// The reason.
    pub because: String,
}

/// Takes what the formula allows off the list. The places of the allowances that quieted something go to `used`.
pub fn quiet(
    formula: &Formula,
    faults: Vec<Diagnostic>,
    used: &mut FxHashSet<Place>,
) -> (Vec<Diagnostic>, Vec<Allowed>) {
    let mut left = Vec::new();
    let mut allowed = Vec::new();
    for fault in faults {
        let by = formula.allows.iter().find(|allow| quiets(formula, allow, &fault));
        match by.and_then(|allow| allow.because.as_ref().map(|because| (allow, because))) {
            Some((allow, because)) => {
                used.insert(allow.place);
                allowed.push(Allowed { diagnostic: fault, because: because.to_string() });
            }
            None => left.push(fault),
        }
    }
    (left, allowed)
}

fn quiets(formula: &Formula, allow: &Allowance, fault: &Diagnostic) -> bool {
    if allow.stray
        || allow.because.is_none()
        || Code::from_name(&allow.code) != Some(fault.code)
        || !fault.code.entry().allowable
    {
        return false;
    }
    match allow.line.and_then(|line| formula.lines.get(line)) {
        Some(line) => {
            let at = fault.primary.place;
            let within = |place: Place| place.file == at.file && place.span.holds(at.span);
            within(line.whole) || within(line.place) || within(line.amount_place)
        }
        None => allow.line.is_none(),
    }
}

/// Allowances of a formula without a reason.
pub fn no_reason(formula: &Formula, faults: &mut Vec<Diagnostic>) {
    for allow in formula.allows.iter().filter(|allow| allow.because.is_none() && own(formula, allow)) {
        faults.push(
            Diagnostic::new(Code::AllowNoReason, allow.place, format!("`{}` is allowed without a reason.", allow.code))
                .help(format!("Say why: `allow {} because \"…\"`. The sheet prints it.", allow.code)),
        );
    }
}

/// What is known of a formula's faults when its allowances are looked at.
pub struct FormulaFaults<'k> {
    /// The allowances of the session that quieted something.
    pub used: &'k FxHashSet<Place>,
    /// Whether some fault of arithmetic, names or syntax bears on the formula, or on a variant of it: what would have
    /// been allowed may not have been asked.
    pub hidden: bool,
    /// Whether the formula has weights: without them nothing is asked of the scale.
    pub weighed: bool,
}

/// The codes that only the weights of a batch bring up.
const OF_WEIGHTS: [Code; 4] = [Code::BelowScale, Code::ScaleOverloaded, Code::ActiveOffTarget, Code::PhStepCoarse];

/// Allowances of a formula that quieted nothing anywhere.
pub fn unused(formula: &Formula, known: &FormulaFaults<'_>, faults: &mut Vec<Diagnostic>) {
    for allow in formula.allows.iter().filter(|allow| allow.because.is_some() && own(formula, allow)) {
        if known.used.contains(&allow.place) {
            continue;
        }
        let fault = |message: String| Diagnostic::new(Code::AllowUnused, allow.place, message);
        let code = Code::from_name(&allow.code);
        faults.push(match code.map(Code::entry) {
            None => {
                let near = nearest(&allow.code, CATALOGUE.iter().map(|entry| entry.name));
                let help = near.first().map_or("`stillroom explain` lists them all.".to_string(), |near| {
                    format!("Did you mean `{near}`?")
                });
                fault(format!("There is no diagnostic called `{}`.", allow.code)).help(help)
            }
            Some(entry) if !entry.allowable => fault(format!("`{}` cannot be allowed.", entry.name))
                .help("Faults of judgement can be allowed; those of arithmetic, names and syntax have to be mended."),
            // Whether there is something to allow shows once it can be asked.
            Some(entry) if known.hidden || (!known.weighed && OF_WEIGHTS.contains(&entry.code)) => continue,
            Some(entry) => {
                fault(format!("`{}` is allowed here, and there is nothing to allow.", entry.name)).help("Take it out.")
            }
        });
    }
}

/// Whether an allowance stands in the formula itself, not in the base of a variant.
fn own(formula: &Formula, allow: &Allowance) -> bool {
    formula.own_span.is_some_and(|place| place.file == allow.place.file && place.span.holds(allow.place.span))
}
