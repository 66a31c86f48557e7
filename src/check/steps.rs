//! The steps and the lines they speak of.

use super::context::CheckContext;
use crate::diagnostic::{Code, Diagnostic, Place, Sureness};
use crate::model::{HeaderLine, Line, StepMark};
use crate::syntax::nearest;
use smol_str::SmolStr;

/// Every name in the steps, with its place.
fn names<'f>(context: &'f CheckContext<'_, '_>) -> impl Iterator<Item = (&'f SmolStr, Place)> {
    let steps = context.formula.steps.iter().flatten();
    steps.flat_map(|step| &step.marks).filter_map(|mark| match mark {
        StepMark::Name(name, place) => Some((name, *place)),
        StepMark::Text(_) | StepMark::Ph(_) => None,
    })
}

/// Whether a line answers to a name in a step: to its own, and, where it is at fault, to the nearest names offered.
fn answers(line: &Line, name: &str) -> bool {
    line.name == name || (line.faulty && line.near.iter().any(|near| near == name))
}

/// Names in steps that no line has, and `{pH}` without a window.
pub fn unknown_names(context: &CheckContext<'_, '_>, faults: &mut Vec<Diagnostic>) {
    let formula = context.formula;
    if formula.unbased {
        return;
    }
    for (name, place) in names(context) {
        if formula.lines.iter().any(|line| answers(line, name)) || formula.broken_words.contains(name) {
            continue;
        }
        if name.is_empty() {
            let fault = Diagnostic::new(Code::StepUnknownName, place, "The braces in this step are empty.");
            faults.push(fault.help("Write the name of a line between them; a brace itself is written `{{`."));
            continue;
        }
        let near = nearest(name, formula.lines.iter().map(|line| line.name.as_str()));
        let fault = Diagnostic::new(
            Code::StepUnknownName,
            place,
            format!("The step speaks of `{name}`, which is no line of this formula."),
        );
        faults.push(match near.as_slice() {
            [only] => {
                let braced = format!("{{{only}}}");
                // A near name may be another line's; the same one in capitals is its own.
                let same = name.eq_ignore_ascii_case(only);
                let sureness = if same { Sureness::Safe } else { Sureness::NeedsALook };
                fault.help(format!("Did you mean `{braced}`?")).fix(place, braced, sureness)
            }
            [first, ..] => fault.help(format!("Did you mean `{{{first}}}`?")),
            [] => fault.help("Add the line, or write the word without braces."),
        });
    }
    if formula.window.is_some() || !formula.lacks(HeaderLine::Ph) {
        return;
    }
    for mark in formula.steps.iter().flatten().flat_map(|step| &step.marks) {
        if let StepMark::Ph(place) = mark {
            faults.push(
                Diagnostic::new(
                    Code::StepUnknownName,
                    *place,
                    "The step speaks of `{pH}`, and the formula has no pH window.",
                )
                .help("Add `pH 4.5 to 5.5` to the head of the formula, or write the words out."),
            );
        }
    }
}

/// Lines that no step speaks of, where there are steps. A name that misspells a line excuses that line.
pub fn missing_lines(context: &CheckContext<'_, '_>, faults: &mut Vec<Diagnostic>) {
    let formula = context.formula;
    if formula.steps.is_none() {
        return;
    }
    let mut spoken: Vec<SmolStr> = Vec::new();
    for (name, _) in names(context) {
        if !formula.lines.iter().any(|line| answers(line, name)) {
            let near = nearest(name, formula.lines.iter().map(|line| line.name.as_str()));
            spoken.extend(near.into_iter().map(SmolStr::new));
        }
        spoken.push(name.clone());
    }
    for line in &formula.lines {
        if !spoken.iter().any(|name| answers(line, name)) {
            faults.push(
                Diagnostic::new(
                    Code::StepMissingLine,
                    line.place,
                    format!("No step says what to do with `{}`.", line.name),
                )
                .help(format!("Write `{{{}}}` into the step that adds it.", line.name)),
            );
        }
    }
}
