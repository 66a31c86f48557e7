//! `stillroom why`.

use super::arguments::{WhyArguments, WhyFormat};
use super::input::{did_you_mean, input, pretty, stderr_is_terminal, style};
use super::stream::{print, tell, tell_line};
use super::{Failure, Outcome, sheet};
use stillroom::render::{Summary, WhyJson, Whys, human, shown, shown_path};
use stillroom::why::{names, why};

/// Prints how a figure came about.
///
/// # Errors
/// Wrong arguments, a name that there is not, or input that cannot be read.
pub fn run(arguments: &WhyArguments) -> Result<Outcome, Failure> {
    let ask = &arguments.ask;
    let order = sheet::order(ask)?;
    let session = input(std::slice::from_ref(&ask.path))?;
    let report = session.check_for_sheet(&order);
    let formulas =
        report.formulas.iter().filter(|one| ask.formula.as_ref().is_none_or(|name| one.formula.name == *name));
    let mut known: Vec<String> = Vec::new();
    let mut answers: Vec<WhyJson> = Vec::new();
    for formula in formulas {
        known.extend(names(&report.resolver, &formula.formula));
        let found = why(&report.resolver, formula, &order, &arguments.name);
        if formula.is_blocked() && formula.formula.lines.iter().any(|line| line.name == arguments.name) {
            tell(&human(session.sources(), &formula.diagnostics, style(stderr_is_terminal())));
            tell_line(&format!(
                "`{}` cannot be weighed: {}.",
                formula.formula.name,
                Summary::of(&formula.diagnostics).words()
            ));
            return Ok(Outcome::Errors);
        }
        if !found.is_empty() {
            answers.push(WhyJson::new(session.sources(), &formula.formula.name, &arguments.name, &found));
        }
    }
    if answers.is_empty() {
        let hint = did_you_mean(&arguments.name, known.iter().map(String::as_str));
        let path = shown_path(&ask.path);
        return Err(Failure(format!("`{path}` has no figure called `{}`.{hint}", shown(&arguments.name))));
    }
    print(&written(&answers, arguments.format)?);
    Ok(Outcome::Clean)
}

fn written(answers: &[WhyJson], format: WhyFormat) -> Result<String, Failure> {
    let several = answers.len() > 1;
    Ok(match format {
        WhyFormat::Text => {
            let one = |answer: &WhyJson| match several {
                true => format!("{}\n\n{}", answer.formula, answer.text()),
                false => answer.text(),
            };
            answers.iter().map(one).collect::<Vec<_>>().join("\n")
        }
        WhyFormat::Markdown => answers.iter().map(WhyJson::markdown).collect::<Vec<_>>().join("\n"),
        WhyFormat::Json => match answers {
            [only] => pretty(only)?,
            several => pretty(&Whys { schema: "stillroom.whys/1".to_string(), answers: several.to_vec() })?,
        },
    })
}
