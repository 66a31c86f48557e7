//! Whether a batch may go out: what of its faults stands against that.

use crate::batch::is_in;
use crate::diagnostic::{Code, Diagnostic, Family, Level, Place};
use crate::model::{Batch, Happened, PhRange};
use crate::resolve::Resolver;
use crate::workspace::LineIndex;

/// A batch that was released with an error open, as one whose last reading is outside its window. What happened after
/// the release could not stand against it, and of one that was rejected since nothing has to be said.
pub fn unfit(
    resolver: &Resolver<'_>,
    batch: &Batch,
    window: Option<&PhRange>,
    own: &[Diagnostic],
) -> Option<Diagnostic> {
    let (at, released) = batch.events.iter().enumerate().find(|(_, event)| matches!(event.what, Happened::Released))?;
    let is_rejected = |event: &crate::model::Event| matches!(event.what, Happened::Rejected(_));
    if batch.events.iter().skip(at).any(is_rejected) {
        return None;
    }
    let before = own.iter().filter(|fault| fault.primary.place.span.start < released.place.span.start);
    let open: Vec<&Diagnostic> = before.filter(|fault| stands_against(fault)).collect();
    let fault = match worst(open.iter().copied()) {
        Some(worst) => with_errors(resolver, batch, released.place, worst, open.len()),
        None => outside(batch, released.place, window?, at)?,
    };
    Some(fault.help(
        "Put the record right if it is a slip of the pen; else write `rejected because \"…\"` after it, and call back what \
         is out.",
    ))
}

/// Released with errors open, of which this is the worst.
fn with_errors(resolver: &Resolver<'_>, batch: &Batch, at: Place, worst: &Diagnostic, open: usize) -> Diagnostic {
    let place = worst.primary.place;
    let (line, _) = LineIndex::new(resolver.sources.text(place.file)).line_column(place.span.start);
    let (name, code) = (&batch.name, worst.code);
    let message = match open {
        1 => format!("`{name}` is released with an error open: `{code}` in line {line}."),
        more => format!("`{name}` is released with {more} errors open, the worst `{code}` in line {line}."),
    };
    Diagnostic::new(Code::BatchReleasedUnfit, at, message).and(place, "this is open")
}

/// Released with nothing told against it, and the last reading before that out of the window.
fn outside(batch: &Batch, at: Place, window: &PhRange, event: usize) -> Option<Diagnostic> {
    let (_, reading, place) = batch.readings().take_while(|(number, ..)| *number < event).last()?;
    if is_in(batch, Some(window), reading) {
        return None;
    }
    let message = format!(
        "`{}` is released, and its last reading of {} is out of {}.",
        batch.name,
        reading.middle(),
        window.words()
    );
    Some(
        Diagnostic::new(Code::BatchReleasedUnfit, at, message)
            .and(place, "the last reading")
            .and(window.place, "the window"),
    )
}

/// The worst of some faults that stand against a release; of equal ones the first.
pub fn worst<'f>(faults: impl Iterator<Item = &'f Diagnostic>) -> Option<&'f Diagnostic> {
    faults.filter(|fault| stands_against(fault)).min_by_key(|fault| rank(fault.code))
}

/// Whether a fault of a batch, as it stands in a file, stands against releasing it: an error that speaks of what is in the
/// jars. What cannot be judged any more, and what was sold, does not.
fn stands_against(fault: &Diagnostic) -> bool {
    let other = matches!(
        fault.code,
        Code::BatchSoldOver | Code::BatchReleasedUnfit | Code::BatchVersionGone | Code::BatchFormulaMissing
    );
    fault.level == Level::Error && !other
}

/// What weighs most comes first: the law, what spoils, what harms, the pH, then how the record is kept.
fn rank(code: Code) -> u8 {
    match code.family() {
        Family::Rule => 0,
        Family::Preservation => 1,
        Family::Usage => 2,
        Family::Ph => 3,
        _ if code == Code::BatchPhOutside => 3,
        Family::Ensure => 4,
        _ => 5,
    }
}
