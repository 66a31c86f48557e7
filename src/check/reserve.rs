//! Water held back, and what uses it. Whether it is enough is asked in `ph_reserve`.

use super::context::CheckContext;
use super::ph_reserve::needed;
use crate::diagnostic::{Code, Diagnostic, Sureness};
use crate::model::Line;
use crate::quantity::Exact;

/// The reserve of a formula: missing, ambiguous, over its line, or unused. Where one of the first three is told,
/// the others are silent.
pub fn reserves(context: &CheckContext<'_, '_>, faults: &mut Vec<Diagnostic>) {
    let formula = context.formula;
    if !formula.total_known {
        return;
    }
    let holding: Vec<&Line> = formula.lines.iter().filter(|line| line.hold_back.is_some()).collect();
    let adjusters: Vec<&Line> = formula.adjusters().collect();
    let before = faults.len();
    for adjuster in &adjusters {
        faults.extend(missing_or_ambiguous(context, adjuster, &holding));
    }
    for line in &holding {
        faults.extend(over_line(line));
    }
    if faults.len() > before {
        return;
    }
    for (at, line) in formula.lines.iter().enumerate() {
        let used = adjusters.iter().any(|adjuster| formula.reserve_of(adjuster) == Some(at));
        if let Some(held) = line.hold_back.as_ref().filter(|_| !used) {
            let message = format!("{} of `{}` is held back and nothing uses it.", held.written, line.name);
            faults.push(
                Diagnostic::new(Code::ReserveUnused, held.place, message)
                    .help("Add a `q.s. to pH` line that comes out of it, or take `hold back` out."),
            );
        }
    }
}

fn missing_or_ambiguous(context: &CheckContext<'_, '_>, adjuster: &Line, holding: &[&Line]) -> Option<Diagnostic> {
    if holding.is_empty() {
        let message =
            format!("`{}` is weighed to the pH, and nothing is held back for it to come out of.", adjuster.name);
        let fault = Diagnostic::new(Code::ReserveMissing, adjuster.mark, message);
        let filling = context.formula.lines.iter().filter(|line| line.amount == crate::model::LineAmount::QuantumSatis);
        return Some(match filling.max_by(|a, b| a.percent.cmp(&b.percent)) {
            Some(line) if line.percent.as_ref().is_some_and(|percent| *percent > Exact::whole(10)) => {
                let (figure, how) = match needed(context, adjuster) {
                    Some(figure) => (figure, ", by the pH foreseen"),
                    // A tenth is where makers begin; what is not used is topped up, so too much is never wrong.
                    None => (Exact::whole(10), ", more for a strong acid and a weak base"),
                };
                fault
                    .and(line.mark, "the line that fills up")
                    .help(format!("Hold part of it back: `{}  q.s.  hold back {figure} %`{how}.", line.name))
                    .fix(line.mark, line.with_amount(&format!("q.s.  hold back {figure} %")), Sureness::NeedsALook)
            }
            Some(line) => fault
                .and(line.mark, "the line that fills up")
                .help(format!("Hold part of it back: `{}  q.s.  hold back 5 %`.", line.name)),
            None => fault.help("Hold part of the water back: `water … hold back 10 %`."),
        });
    }
    match adjuster.from.as_deref() {
        Some((name, place)) if !holding.iter().any(|line| line.name == *name) => {
            let message = format!("`{}` is to come out of `{name}`, of which nothing is held back.", adjuster.name);
            let fault = Diagnostic::new(Code::ReserveAmbiguous, *place, message);
            Some(point_at(fault, holding).help(format!("Write `hold back …` on `{name}`, or name a line that has it.")))
        }
        None if holding.len() > 1 => {
            let message =
                format!("`{}` could come out of {} lines that hold something back.", adjuster.name, holding.len());
            let first = holding.first().map(|line| line.name.to_string()).unwrap_or_default();
            let fault = Diagnostic::new(Code::ReserveAmbiguous, adjuster.mark, message);
            Some(point_at(fault, holding).help(format!("Say which: `{}  q.s. to pH  from {first}`.", adjuster.name)))
        }
        _ => None,
    }
}

fn point_at(fault: Diagnostic, holding: &[&Line]) -> Diagnostic {
    let held = holding.iter().filter_map(|line| line.hold_back.as_ref());
    held.fold(fault, |fault, held| fault.and(held.place, "held back here"))
}

fn over_line(line: &Line) -> Option<Diagnostic> {
    let held = line.hold_back.as_ref()?;
    let (asked, there): (&Exact, &Exact) = (held.percent.as_ref()?, line.percent.as_ref()?);
    if asked <= there {
        return None;
    }
    let message = format!("`{}` is {there} % of the batch, and {asked} % of the batch is held back.", line.name);
    Some(
        Diagnostic::new(Code::ReserveOverLine, held.place, message)
            .and(line.mark, format!("{there} % in all"))
            .help(format!("`hold back` is a percentage of the whole batch: it can be at most {there} % here.")),
    )
}
