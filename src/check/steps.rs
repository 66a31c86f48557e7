//! The steps and the lines they speak of.

use super::context::CheckContext;
use crate::diagnostic::{Code, Diagnostic, Place, Sureness};
use crate::model::{Formula, HeaderLine, Line, Portion, StepName, Steps};
use crate::syntax::nearest;

/// Every name in the steps, `pH` left out.
fn names<'f>(context: &'f CheckContext<'_, '_>) -> impl Iterator<Item = StepName<'f>> {
    context.formula.steps.iter().flat_map(Steps::names).filter(|name| name.name != "pH")
}

fn place(context: &CheckContext<'_, '_>, name: &StepName<'_>) -> Place {
    let step = name.step.place;
    name.place(context.resolver.sources.text(step.file))
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
    let mut removed: Vec<&str> = Vec::new();
    for found in names(context) {
        let name = found.name;
        if let Some((_, at)) = formula.removed.iter().find(|(gone, _)| gone == name)
            && !formula.lines.iter().any(|line| line.name == name)
            && !is_own(formula, found.step.place)
        {
            if !removed.contains(&name) {
                removed.push(name);
                faults.push(removed_and_spoken_of(context, name, *at));
            }
            continue;
        }
        if formula.lines.iter().any(|line| answers(line, name))
            || formula.broken_words.iter().any(|broken| broken == name)
        {
            continue;
        }
        let place = place(context, &found);
        if name.is_empty() {
            let fault = Diagnostic::new(Code::StepUnknownName, place, "The braces in this step are empty.");
            faults.push(fault.help("Write the name of a line between them; a brace itself is written `{{`."));
            continue;
        }
        let near = nearest(name, formula.lines.iter().map(|line| line.name.as_str()));
        let fault = Diagnostic::new(
            Code::StepUnknownName,
            place,
            format!("The step speaks of `{name}{}`, which is no line of this formula.", words(found.portion)),
        );
        faults.push(match near.as_slice() {
            [only] => {
                let braced = format!("{{{only}{}}}", known(found.portion));
                // A near name may be another line's; the same one in capitals is its own.
                let same = name.eq_ignore_ascii_case(only);
                let sureness = if same { Sureness::Safe } else { Sureness::NeedsALook };
                fault.help(format!("Did you mean `{braced}`?")).fix(place, braced, sureness)
            }
            [first, ..] => fault.help(format!("Did you mean `{{{first}{}}}`?", known(found.portion))),
            [] => fault.help("Add the line, or write the word without braces."),
        });
    }
    if formula.window.is_some() || !formula.lacks(HeaderLine::Ph) {
        return;
    }
    for found in formula.steps.iter().flat_map(Steps::names).filter(|name| name.name == "pH") {
        let message = "The step speaks of `{pH}`, and the formula has no pH window.";
        faults.push(
            Diagnostic::new(Code::StepUnknownName, place(context, &found), message)
                .help("Add `pH 4.5 to 5.5` to the head of the formula, or write the words out."),
        );
    }
}

/// Whether a place stands in the formula itself, not in the base of a variant.
fn is_own(formula: &Formula, place: Place) -> bool {
    formula.own_span.is_some_and(|own| own.file == place.file && own.span.holds(place.span))
}

/// A material that a variant takes out, and that the steps of its base still speak of.
fn removed_and_spoken_of(context: &CheckContext<'_, '_>, name: &str, at: Place) -> Diagnostic {
    let variant = &context.formula.name;
    let message = format!("`{variant}` removes `{name}`, and the steps of its base still speak of it.");
    let fault = Diagnostic::new(Code::StepUnknownName, at, message);
    let spoken = names(context).filter(|found| found.name == name).map(|found| place(context, &found));
    let fault = spoken.take(8).fold(fault, |fault, place| fault.and(place, "the base's step"));
    fault.help(format!(
        "Give `{variant}` steps of its own, `steps {{ \"…\" }}`: all of the base's as they are to be without `{name}`."
    ))
}

/// The words after a name that belong to it where no line has it: `{our rose water}`.
fn words(portion: Portion<'_>) -> String {
    if matches!(portion, Portion::Unknown(_)) { portion.written() } else { String::new() }
}

/// What stands after a name, where it says something of a line.
fn known(portion: Portion<'_>) -> String {
    if matches!(portion, Portion::Unknown(_)) { String::new() } else { portion.written() }
}

/// `{water first}` and `{water rest}` of a line that holds nothing back, and other words after a name.
pub fn unknown_parts(context: &CheckContext<'_, '_>, faults: &mut Vec<Diagnostic>) {
    let formula = context.formula;
    for found in names(context).filter(|found| found.portion != Portion::Line) {
        let StepName { name, portion, .. } = found;
        let mut lines = formula.lines.iter().filter(|line| line.name == name).peekable();
        // A line at fault may have lost what it holds back; a name without a line is told of by itself.
        if lines.peek().is_none() || lines.clone().any(|line| line.faulty) {
            continue;
        }
        let holds_back = lines.any(|line| line.hold_back.is_some());
        let place = place(context, &found);
        let fault = |message: String| Diagnostic::new(Code::StepUnknownPart, place, message);
        faults.push(match portion {
            Portion::Unknown(word) => unknown_word(fault, name, word, place, holds_back),
            _ if holds_back => continue,
            _ => {
                let part = if portion == Portion::First { "the first weighing" } else { "the rest" };
                let braced = format!("{{{name}}}");
                fault(format!("The step speaks of {part} of `{name}`, and nothing of it is held back."))
                    .help(format!("Write `{braced}`, or hold some of it back: `{name} … hold back 5 %`."))
                    .fix(place, braced, Sureness::NeedsALook)
            }
        });
    }
}

/// A word after a name that says nothing of a line.
fn unknown_word(
    fault: impl Fn(String) -> Diagnostic,
    name: &str,
    word: &str,
    place: Place,
    holds_back: bool,
) -> Diagnostic {
    let fault = fault(format!("In `{{{name} {word}}}` the word `{word}` says nothing of a line."));
    let near = nearest(word, ["first", "rest"].into_iter());
    match (holds_back, near.first()) {
        (true, Some(near)) => {
            let braced = format!("{{{name} {near}}}");
            fault.help(format!("Did you mean `{braced}`?")).fix(place, braced, Sureness::NeedsALook)
        }
        (true, None) => fault.help(format!(
            "Write `{{{name} first}}` for the first weighing, or `{{{name} rest}}` for what is held back."
        )),
        (false, _) => {
            let braced = format!("{{{name}}}");
            fault.help(format!("Write `{braced}`; nothing of it is held back, so it is weighed in one.")).fix(
                place,
                braced,
                Sureness::NeedsALook,
            )
        }
    }
}

/// Lines that no step speaks of, where there are steps. A name that misspells a line excuses that line.
pub fn missing_lines(context: &CheckContext<'_, '_>, faults: &mut Vec<Diagnostic>) {
    let formula = context.formula;
    if formula.steps.is_none() {
        return;
    }
    let mut spoken: Vec<&str> = Vec::new();
    for StepName { name, .. } in names(context) {
        if !formula.lines.iter().any(|line| answers(line, name)) {
            spoken.extend(nearest(name, formula.lines.iter().map(|line| line.name.as_str())));
        }
        spoken.push(name);
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
