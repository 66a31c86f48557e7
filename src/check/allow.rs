//! `allow`: what it quiets, and what it does not.

use crate::diagnostic::{CATALOGUE, Code, Diagnostic, Family, Place};
use crate::model::{Allowance, Formula, Line};
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
///
/// An `allow` on a line quiets what is told because of that line, wherever the fault stands. One on the formula quiets
/// what is told of the whole of it; of a code that is told of materials it quiets one of them, since one reason does
/// not speak for all, and least of all for those that come into the formula after it was written.
pub fn quiet(
    formula: &Formula,
    faults: Vec<Diagnostic>,
    used: &mut FxHashSet<Place>,
) -> (Vec<Diagnostic>, Vec<Allowed>) {
    if formula.allows.is_empty() {
        return (faults, Vec::new());
    }
    let mut left = Vec::new();
    let mut allowed = Vec::new();
    let on_line = |fault: &Diagnostic| formula.allows.iter().find(|allow| quiets_of_line(formula, allow, fault));
    let materials: Vec<(Code, &str)> = faults
        .iter()
        .filter(|fault| !is_of_the_whole(fault.code) && on_line(fault).is_none())
        .filter_map(|fault| Some((fault.code, line_of(formula, fault)?.name.as_str())))
        .collect();
    for fault in &faults {
        let wide = || formula.allows.iter().find(|allow| allow.line.is_none() && speaks_of(allow, fault));
        let Some(allow) = on_line(fault).or_else(wide) else {
            left.push(fault.clone());
            continue;
        };
        used.insert(allow.place);
        let mut told: Vec<&str> =
            materials.iter().filter(|(code, _)| *code == fault.code).map(|(_, name)| *name).collect();
        told.sort_unstable();
        told.dedup();
        let is_of_one =
            allow.line.is_some() || is_of_the_whole(fault.code) || told.len() <= 1 || line_of(formula, fault).is_none();
        match (is_of_one, allow.reason()) {
            (true, Some(because)) => {
                allowed.push(Allowed { diagnostic: fault.clone(), because: because.to_string() });
            }
            // The reason is still to be written: that is told, as an error, in the place of the fault.
            (true, None) => {}
            (false, _) => {
                let said = format!("this allows one material, and {} are told of: allow each on its line", told.len());
                left.push(fault.clone().and(allow.place, said));
            }
        }
    }
    (left, allowed)
}

/// Whether an allowance is one of a fault's code, and has a reason.
fn speaks_of(allow: &Allowance, fault: &Diagnostic) -> bool {
    !allow.stray
        && allow.because.is_some()
        && Code::from_name(&allow.code) == Some(fault.code)
        && fault.code.entry().allowable
}

/// Whether an allowance on a line quiets a fault: one that points at that line, first or among others.
fn quiets_of_line(formula: &Formula, allow: &Allowance, fault: &Diagnostic) -> bool {
    let line = allow.line.and_then(|line| formula.lines.get(line));
    line.is_some_and(|line| speaks_of(allow, fault) && places(fault).any(|place| is_within(line, place)))
}

/// Where an `allow` for a fault would stand.
#[cfg(feature = "editor")]
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum AllowAt {
    /// Below a line, by its number.
    Line(usize),
    /// In the formula.
    Formula,
}

/// Where an `allow` in a formula's own text quiets a fault that is told of it, and no other where that can be: below the
/// line that it points at. One in the formula quiets more of the same code, of what is told of the whole.
#[cfg(feature = "editor")]
#[must_use]
pub fn allow_at(formula: &Formula, fault: &Diagnostic, told: &[Diagnostic]) -> Option<AllowAt> {
    let own = formula.own_span?;
    let is_own = |line: &Line| line.whole.file == own.file && own.span.holds(line.whole.span);
    let line = places(fault).find_map(|place| formula.lines.iter().position(|line| is_within(line, place)));
    if let Some(line) = line.filter(|line| formula.lines.get(*line).is_some_and(is_own)) {
        return Some(AllowAt::Line(line));
    }
    if line.is_some() && !is_of_the_whole(fault.code) {
        // Of a base's line a variant may speak where it is the only one that is told of.
        let others = told.iter().filter(|other| other.code == fault.code && *other != fault);
        return (others.count() == 0).then_some(AllowAt::Formula);
    }
    Some(AllowAt::Formula)
}

/// The line that a fault is about: that of its first place, or else the first that it points at.
fn line_of<'f>(formula: &'f Formula, fault: &Diagnostic) -> Option<&'f Line> {
    places(fault).find_map(|place| formula.lines.iter().find(|line| is_within(line, place)))
}

fn places(fault: &Diagnostic) -> impl Iterator<Item = Place> + '_ {
    std::iter::once(fault.primary.place).chain(fault.secondary.iter().map(|label| label.place))
}

fn is_within(line: &Line, at: Place) -> bool {
    let within = |place: Place| place.file == at.file && place.span.holds(at.span);
    within(line.whole) || within(line.place) || within(line.amount_place)
}

/// Codes that are told of lines and are about the formula all the same: the size of its batch, its scale, its steps.
fn is_of_the_whole(code: Code) -> bool {
    OF_WEIGHTS.contains(&code) || matches!(code, Code::StepMissingLine | Code::ReserveShort | Code::ReserveUnused)
}

/// Allowances of a formula without a reason, or with the place for one only.
pub fn no_reason(formula: &Formula, faults: &mut Vec<Diagnostic>) {
    for allow in formula.allows.iter().filter(|allow| allow.reason().is_none() && own(formula, allow)) {
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
    for allow in formula.allows.iter().filter(|allow| allow.reason().is_some() && own(formula, allow)) {
        if known.used.contains(&allow.place) {
            continue;
        }
        let fault = |message: String| Diagnostic::new(Code::AllowUnused, allow.place, message);
        let code = Code::from_name(&allow.code);
        faults.push(match code.map(Code::entry) {
            None => {
                let near = nearest(&allow.code, CATALOGUE.iter().map(|entry| entry.name));
                let help = near.first().map_or(
                    "Each diagnostic is told with its name: write that of the one that is meant.".to_string(),
                    |near| format!("Did you mean `{near}`?"),
                );
                fault(format!("There is no diagnostic called `{}`.", allow.code)).help(help)
            }
            Some(entry) if !entry.allowable => fault(format!("`{}` cannot be allowed.", entry.name))
                .help("Faults of judgement can be allowed; those of arithmetic, names and syntax have to be mended."),
            // Whether there is something to allow shows once it can be asked.
            Some(entry) if known.hidden || (!known.weighed && OF_WEIGHTS.contains(&entry.code)) => continue,
            // A label is not asked for by a check.
            Some(entry) if entry.family == Family::Label => continue,
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

/// Allowances of a formula that quieted nothing of its labels, once all of them have been asked for.
pub fn unused_of_labels(formula: &Formula, used: &FxHashSet<Place>, faults: &mut Vec<Diagnostic>) {
    for allow in formula.allows.iter().filter(|allow| allow.reason().is_some() && own(formula, allow)) {
        let Some(entry) = Code::from_name(&allow.code).map(Code::entry) else { continue };
        if entry.family == Family::Label && entry.allowable && !used.contains(&allow.place) {
            let message = format!("`{}` is allowed here, and the labels give nothing to allow.", entry.name);
            faults.push(Diagnostic::new(Code::AllowUnused, allow.place, message).help("Take it out."));
        }
    }
}
