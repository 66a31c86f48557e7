//! The sheet beside the text: `workspace/executeCommand` with the command `stillroom.showSheet` and one argument,
//! `{ "uri": …, "formula": NAME }`, `{ "uri": …, "batch": NAME }`, or `{ "uri": …, "position": … }` for what the cursor is
//! in, or only `{ "uri": … }` for the first formula of the file. The answer is `{ "title": …, "markdown": … }`, for the
//! client to show beside the text; where there is no sheet, an error says why.

use super::refusal::Refusal;
use super::standing::Standing;
use crate::batch::View;
use crate::diagnostic::{FileId, Level};
use crate::model::DeclId;
use crate::render::{DiagnosticJson, RecordJson, markdown, sheet, shown};
use crate::session::FormulaReport;
use crate::sheet::BatchOrder;
use crate::syntax::tree::Item;
use lsp_types::{ExecuteCommandParams, Position, Uri};
use serde::Deserialize;
use serde_json::{Value, json};

/// The command that gives a sheet.
pub const SHOW_SHEET: &str = "stillroom.showSheet";

/// Which sheet is asked for.
#[derive(Debug, Deserialize)]
struct Which {
    uri: Uri,
    formula: Option<String>,
    batch: Option<String>,
    position: Option<Position>,
}

/// Carries out a command.
///
/// # Errors
/// A command that is not known, and what has no sheet.
pub fn execute(standing: &Standing<'_>, asked: ExecuteCommandParams) -> Result<Option<Value>, Refusal> {
    if asked.command != SHOW_SHEET {
        return Err(Refusal::failed(format!("There is no command `{}` here.", shown(&asked.command))));
    }
    let which = asked.arguments.into_iter().next().unwrap_or_default();
    let which: Which = serde_json::from_value(which).map_err(|error| Refusal::invalid(error.to_string()))?;
    let file = standing.file(&which.uri)?;
    let id = find(standing, file, &which)?;
    let (title, markdown) = match standing.report.resolver.scopes.item(id) {
        Some(Item::Batch(_)) => of_record(standing, id)?,
        _ => of_formula(standing, id)?,
    };
    Ok(Some(json!({ "title": title, "markdown": markdown })))
}

/// The declaration that is asked for.
fn find(standing: &Standing<'_>, file: FileId, which: &Which) -> Result<DeclId, Refusal> {
    let items = standing.session.sources().home(file).map(|source| source.tree.items.as_slice()).unwrap_or_default();
    let offset = which.position.map(|position| standing.offset(file, position));
    let is_formula = |item: &Item| matches!(item, Item::Formula(_) | Item::Variant(_));
    let is_record = |item: &Item| matches!(item, Item::Batch(_));
    let is_called = |item: &Item, name: &str| item.name().is_some_and(|own| own.text == name);
    let is_it = |item: &&Item| match (&which.formula, &which.batch, offset) {
        (Some(name), _, _) => is_formula(item) && is_called(item, name),
        (None, Some(name), _) => is_record(item) && is_called(item, name),
        (None, None, Some(offset)) => {
            let span = item.span();
            (is_formula(item) || is_record(item)) && span.start as usize <= offset && offset <= span.end as usize
        }
        (None, None, None) => is_formula(item),
    };
    let first = || items.iter().position(is_formula).filter(|_| which.formula.is_none() && which.batch.is_none());
    let at = items.iter().position(|item| is_it(&item)).or_else(first);
    let item = at.and_then(|at| u32::try_from(at).ok());
    item.map(|item| DeclId { file, item }).ok_or_else(|| {
        let name = which.formula.as_ref().or(which.batch.as_ref());
        Refusal::failed(match name {
            Some(name) => format!("There is no `{}` in this file.", shown(name)),
            None => "There is no formula in this file, so there is no sheet to show.".to_string(),
        })
    })
}

fn of_formula(standing: &Standing<'_>, id: DeclId) -> Result<(String, String), Refusal> {
    let report = standing.report.formulas.iter().find(|report| report.formula.id == id);
    let report = report.ok_or_else(|| Refusal::failed("It cannot be weighed yet: see the faults."))?;
    if report.is_blocked() {
        return Err(Refusal::failed(why_not(report)));
    }
    let made = sheet(standing.session.sources(), standing.report, report, &BatchOrder::default());
    let made = made.ok_or_else(|| Refusal::failed(why_not(report)))?;
    Ok((format!("Sheet of {}", shown(&report.formula.name)), markdown(&made)))
}

/// Why a formula has no sheet: its first error, or that nothing says how much is made.
fn why_not(report: &FormulaReport) -> String {
    let error = report.diagnostics.iter().find(|fault| fault.level == Level::Error);
    match error {
        Some(fault) => format!("There is no sheet yet. {}", shown(&fault.message)),
        None => "There is no sheet yet: nothing says how much is made. Add `makes`.".to_string(),
    }
}

fn of_record(standing: &Standing<'_>, id: DeclId) -> Result<(String, String), Refusal> {
    let unknown = || Refusal::failed("The batch cannot be held against a formula: see the faults.");
    let resolver = &standing.report.resolver;
    let batch = resolver.batch(id).ok_or_else(unknown)?;
    let view = View::of(resolver, &batch).ok_or_else(unknown)?;
    let digest = view.setting.digest(resolver, &batch);
    let own: Vec<_> = standing.report.of_batch(&batch).cloned().collect();
    let faults = DiagnosticJson::all(standing.session.sources(), &own);
    let record = RecordJson::new(&batch, &view, digest, faults);
    Ok((format!("Record of {}", shown(&batch.name)), record.markdown()))
}
