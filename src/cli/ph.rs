//! `stillroom ph`.

use super::arguments::{ActivityModel, PhArguments, PhFormat};
use super::input::{input_with_quiet_past, pretty, stderr_is_terminal, style};
use super::sheet::{choose, diagnostics_of, may_have_a_formula, order};
use super::stream::{print, tell};
use super::{Failure, Outcome};
use stillroom::chemistry::Activity;
use stillroom::page::{PhDrawing, ph_svg};
use stillroom::quantity::Exact;
use stillroom::render::{PhJson, PhsJson, Summary, human, ph_csv, ph_json, ph_text, shown_path};
use stillroom::resolve::Resolver;
use stillroom::session::FormulaReport;
use stillroom::sheet::ph::{MODEL, outlook};
use stillroom::sheet::{BatchOrder, plan};

/// Prints what is foreseen of the pH of a file's formulas. A formula that breaks its window is foreseen all the same.
///
/// # Errors
/// Wrong arguments, input that cannot be read, or a picture asked for where there is no curve.
pub fn run(arguments: &PhArguments) -> Result<Outcome, Failure> {
    let ask = &arguments.ask;
    let order = order(ask)?;
    let session = input_with_quiet_past(std::slice::from_ref(&ask.path))?;
    let report = session.check_to_foresee(&order);
    let chosen = choose(&report, ask)?;
    let told = diagnostics_of(&report, &chosen, ask.formula.is_some() && !chosen.is_empty());
    tell(&human(session.sources(), &told, style(stderr_is_terminal())));
    if chosen.is_empty() && !may_have_a_formula(session.sources()) {
        let path = shown_path(&ask.path);
        return Err(Failure(format!("`{path}` has no formula, so there is no pH to foresee.")));
    }
    let foreseen: Vec<Foreseen> = chosen
        .iter()
        .filter_map(|formula| foresee(&report.resolver, formula, &order, model(arguments.activity)))
        .collect();
    let errors = Summary::of(&told).errors;
    if foreseen.is_empty() && errors == 0 {
        let path = shown_path(&ask.path);
        return Err(Failure(format!(
            "`{path}` has nothing of which a pH can be foreseen: no water, or no substance with acid-base data."
        )));
    }
    if !foreseen.is_empty() {
        print(&written(&foreseen, arguments.format, chosen.len() > 1)?);
    }
    Ok(if errors > 0 { Outcome::Errors } else { Outcome::Clean })
}

fn model(asked: ActivityModel) -> Activity {
    match asked {
        ActivityModel::Davies => Activity::Davies,
        ActivityModel::Best => Activity::Best,
        ActivityModel::Ideal => Activity::Ideal,
    }
}

/// What is foreseen of a formula.
struct Foreseen {
    json: PhJson,
    /// None where there is no curve.
    drawing: Option<PhDrawing>,
}

/// The forecast of a formula, of its batch, or of 100 g where it says none.
fn foresee(resolver: &Resolver<'_>, report: &FormulaReport, order: &BatchOrder, model: Activity) -> Option<Foreseen> {
    let batch = plan(&report.formula, order).map_or(Exact::HUNDRED, |plan| plan.batch);
    // By the model that checks go by, it is what the checks foresaw.
    let foreseen = match model == MODEL {
        true => report.outlook(resolver),
        false => outlook(resolver, &report.formula, model),
    };
    Some(Foreseen {
        json: ph_json(&report.formula, foreseen.as_ref(), &batch)?,
        drawing: PhDrawing::of(&report.formula, foreseen.as_ref(), &batch, 0.0),
    })
}

fn written(foreseen: &[Foreseen], format: PhFormat, several: bool) -> Result<String, Failure> {
    let all = || foreseen.iter().map(|of| &of.json);
    Ok(match format {
        PhFormat::Text => all().map(ph_text).collect::<Vec<_>>().join("\n"),
        PhFormat::Csv => {
            // One head for all of them.
            let bodies = all().map(ph_csv).enumerate();
            bodies
                .map(|(at, csv)| csv.lines().skip(at.min(1)).fold(String::new(), |text, line| text + line + "\n"))
                .collect()
        }
        PhFormat::Svg => {
            let [only] = foreseen else {
                return Err(Failure("A picture is of one formula: choose it with `--formula`.".to_string()));
            };
            only.drawing.as_ref().map(ph_svg).ok_or_else(|| {
                let why = match only.json.ph.ph.beaker_test.first() {
                    Some(untold) => untold.trim_end_matches(':').to_string(),
                    None => {
                        format!("`{}` has no line `q.s. to pH` of which a curve could be drawn.", only.json.formula)
                    }
                };
                Failure(why)
            })?
        }
        PhFormat::Json => match foreseen {
            [only] if !several => pretty(&only.json)?,
            _ => pretty(&PhsJson { schema: "stillroom.phs/1".to_string(), formulas: all().cloned().collect() })?,
        },
    })
}
