//! `stillroom shelf NAME --in PATH`.

use super::arguments::{ShelfArguments, ShelfFormat};
use super::input::{did_you_mean, input_with_quiet_past, pretty};
use super::stream::print;
use super::{Failure, Outcome};
use std::path::Path;
use stillroom::lookup::called;
use stillroom::model::{Formula, LineMaterial};
use stillroom::render::{FormulaSwapsJson, SwapsJson, shown, shown_path, swaps_text};
use stillroom::session::{Report, Session, swaps};
use stillroom::sheet::BatchOrder;

/// Prints what comes of the formulas of a file with each candidate in the place of a material.
///
/// # Errors
/// No one name, a formula or a line that there is not, or input that cannot be read.
pub fn run(arguments: &ShelfArguments, path: &Path) -> Result<Outcome, Failure> {
    let name = match arguments.words.as_slice() {
        [name] => name.trim().to_lowercase(),
        _ => return Err(Failure("`--in` asks about one material: `stillroom shelf NAME --in PATH`.".to_string())),
    };
    let mut session = input_with_quiet_past(&[path.to_path_buf()])?;
    let order = BatchOrder::default();
    let asked = with_a_line(&session, arguments, path, &name, &order)?;
    let mut formulas = Vec::new();
    for formula in asked {
        let file = session.sources().path(formula.file);
        let found = swaps(&mut session, formula, &name, &order);
        formulas.extend(found.map(|found| FormulaSwapsJson::new(&found, file)));
    }
    let answer = SwapsJson { schema: "stillroom.swaps/1".to_string(), material: name, formulas };
    match arguments.format {
        ShelfFormat::Json => print(&pretty(&answer)?),
        ShelfFormat::Text => print(&swaps_text(&answer)),
    }
    Ok(Outcome::Clean)
}

/// The formulas asked for that have a line of the material, in the order they stand.
fn with_a_line(
    session: &Session<'_>,
    arguments: &ShelfArguments,
    path: &Path,
    name: &str,
    order: &BatchOrder,
) -> Result<Vec<stillroom::model::DeclId>, Failure> {
    let report = session.check(order);
    let named = |formula: &Formula| arguments.formula.as_ref().is_none_or(|wanted| formula.name == *wanted);
    let asked: Vec<&Formula> = report.formulas.iter().map(|of| &*of.formula).filter(|formula| named(formula)).collect();
    if asked.is_empty() {
        return Err(Failure(no_formula(&report, arguments, path)));
    }
    let with: Vec<&Formula> = asked.iter().copied().filter(|formula| has_line(formula, name)).collect();
    if with.is_empty() {
        return Err(Failure(no_line(&asked, path, name)));
    }
    Ok(with.into_iter().map(|formula| formula.id).collect())
}

fn has_line(formula: &Formula, name: &str) -> bool {
    let is_material = |material: &LineMaterial| matches!(material, LineMaterial::Material(_));
    formula.lines.iter().any(|line| line.name == name && line.material.as_ref().is_some_and(is_material))
}

fn no_formula(report: &Report<'_>, arguments: &ShelfArguments, path: &Path) -> String {
    let path = shown_path(path);
    match &arguments.formula {
        Some(name) => {
            let hint = did_you_mean(name, report.formulas.iter().map(|of| of.formula.name.as_str()));
            format!("`{path}` has no formula `{}`.{hint}", shown(name))
        }
        None => format!("`{path}` has no formula to try it in."),
    }
}

/// Why nothing of that name can be swapped: a premix is no material, and a name may be meant for another.
fn no_line(asked: &[&Formula], path: &Path, name: &str) -> String {
    let lines = || asked.iter().flat_map(|formula| &formula.lines);
    if lines().any(|line| line.name == name && matches!(line.material, Some(LineMaterial::Premix(_)))) {
        return format!("`{}` is a premix: ask about a material in it.", shown(name));
    }
    let hint = did_you_mean(name, lines().map(|line| line.name.as_str()));
    let on_shelf = if called(name).is_empty() { "" } else { " Without `--in`, the shelf says what could stand in." };
    format!("No formula of `{}` has a line of `{}`.{hint}{on_shelf}", shown_path(path), shown(name))
}
