//! `stillroom why`.

use super::arguments::{WhyArguments, WhyFormat};
use super::input::{day, did_you_mean, input, pretty, stderr_is_terminal, style};
use super::stream::{print, tell, tell_line};
use super::{Failure, Outcome, bench, cost, sheet};
use stillroom::render::{Summary, WhyJson, Whys, human, shown, shown_path};
use stillroom::session::Session;
use stillroom::sheet::BatchOrder;
use stillroom::why::{Derivation, names, why};

/// Prints how a figure came about.
///
/// # Errors
/// Wrong arguments, a name that there is not, or input that cannot be read.
pub fn run(arguments: &WhyArguments) -> Result<Outcome, Failure> {
    let ask = &arguments.ask;
    let into = arguments.currency.as_deref().map(cost::currency).transpose()?;
    let session = input(std::slice::from_ref(&ask.path))?;
    if let Some(record) = ask.batch.as_deref().filter(|_| arguments.name == "cost")
        && cost::has_record(session.sources(), record)
    {
        return of_record(&session, arguments, record);
    }
    let order = sheet::order(ask)?;
    let report = session.check_for_sheet(&order);
    let formulas =
        report.formulas.iter().filter(|one| ask.formula.as_ref().is_none_or(|name| one.formula.name == *name));
    let mut known: Vec<String> = Vec::new();
    let mut answers: Vec<WhyJson> = Vec::new();
    for formula in formulas {
        known.extend(names(&report.resolver, &formula.formula));
        let mut found = why(&report.resolver, formula, &order, &arguments.name);
        if into.is_some() && arguments.name == "cost" {
            let priced = stillroom::cost::of(&report.resolver, &formula.formula, &order, into);
            found = priced.iter().flat_map(stillroom::why::cost).collect();
        }
        let names_a_line = formula.formula.lines.iter().any(|line| line.name == arguments.name);
        if formula.is_blocked() && (names_a_line || arguments.name == "cost") {
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

/// How the cost of a batch came about, by its record.
fn of_record(session: &Session<'_>, arguments: &WhyArguments, name: &str) -> Result<Outcome, Failure> {
    let report = session.check(&BatchOrder::default());
    let into = arguments.currency.as_deref().map(cost::currency).transpose()?;
    let on = arguments.ask.on.as_deref().map(day).transpose()?;
    let batches = bench::chosen(session.sources(), &report, &arguments.ask.path, Some(name))?;
    let priced =
        batches.iter().filter_map(|batch| stillroom::cost::of_batch(&report.resolver, batch, on.as_deref(), into));
    let told = |cost: stillroom::cost::Cost| {
        let found: Vec<Derivation> = stillroom::why::cost(&cost);
        WhyJson::new(session.sources(), &cost.formula, &arguments.name, &found)
    };
    let answers: Vec<WhyJson> = priced.map(told).collect();
    if answers.is_empty() {
        tell(&human(session.sources(), &report.diagnostics, style(stderr_is_terminal())));
        return Ok(Outcome::Errors);
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
