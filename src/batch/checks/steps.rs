//! The steps of a frozen plan: each name in braces is a line of the plan, or the bench cannot say at which line the step
//! is due, nor what it weighs.

use super::context::BatchContext;
use crate::diagnostic::{Code, Diagnostic, Level};
use crate::model::{StepName, Steps};
use crate::syntax::nearest;

/// Names in the steps of a plan that no line of it has, and `{pH}` where it has no window. The steps of a formula are
/// told of where they stand. Nothing that was weighed is wrong by it: it is a warning, and no edit is offered, since a
/// plan is a record.
pub fn unknown_names(context: &BatchContext<'_, '_>, faults: &mut Vec<Diagnostic>) {
    let formula = &context.setting.formula;
    if formula.id != context.batch.id {
        return;
    }
    let is_known = |name: &str| match name {
        "pH" => formula.window.is_some(),
        _ => formula.lines.iter().any(|line| line.name == name),
    };
    for found in formula.steps.iter().flat_map(Steps::names).filter(|found| !is_known(found.name)) {
        faults.push(unknown(context, &found));
    }
}

fn unknown(context: &BatchContext<'_, '_>, found: &StepName<'_>) -> Diagnostic {
    let step = found.step.place;
    let place = found.place(context.resolver.sources.text(step.file));
    let batch = &context.batch.name;
    let (message, help) = match found.name {
        "pH" => (
            format!("A step in the plan of `{batch}` speaks of `{{pH}}`, and the plan has no pH window."),
            "Write the window of the batch into the plan: `pH 4.5 to 5.5`.".to_string(),
        ),
        "" => (
            format!("The braces in a step of the plan of `{batch}` are empty."),
            "Write the name of a line of the plan between them.".to_string(),
        ),
        name => {
            let lines = context.setting.formula.lines.iter().map(|line| line.name.as_str());
            let near = nearest(name, lines).first().map(|near| format!("Did you mean `{{{near}}}`? "));
            (
                format!("A step in the plan of `{batch}` speaks of `{name}`, which is no line of the plan."),
                format!(
                    "{}The bench shows a step beside the lines that it names: put the name of the line into the braces.",
                    near.unwrap_or_default()
                ),
            )
        }
    };
    Diagnostic::new(Code::StepUnknownName, place, message).at_level(Level::Warning).help(help)
}
