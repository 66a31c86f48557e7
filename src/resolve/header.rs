//! The header of a formula, worked out.

use super::definition::Definition;
use super::figure::{Evaluator, WINDOW};
use super::{Bounds, Figure, Resolver};
use crate::diagnostic::{Code, Diagnostic, FileId, Place};
use crate::model::{Formula, HeaderLine, LabelText, MakesSize, PhRange, Scale};
use crate::quantity::{Dimension, Exact};
use crate::syntax::tree::{
    Expression, FormulaStatement, Header, HeaderField, Item, Makes, Name, Text, VariantStatement,
};

/// Works a name of a header line out.
pub type HeaderNames<'n> = dyn Fn(FileId, &Name, &mut Vec<Diagnostic>) -> Option<Figure> + 'n;

impl<'s> Resolver<'s> {
    /// Fills the header of a formula in.
    pub(super) fn fill_header(
        &self,
        definition: &Definition<'s>,
        formula: &mut Formula,
        figures: &HeaderNames<'_>,
        faults: &mut Vec<Diagnostic>,
    ) {
        for (file, header) in &definition.header {
            let evaluator = self.evaluator(*file);
            let mut names = |name: &Name, faults: &mut Vec<Diagnostic>| figures(*file, name, faults);
            let mut want = |expression: &Expression, what: &str, wanted: &[Dimension], faults: &mut Vec<Diagnostic>| {
                evaluator.want(expression, what, wanted, &mut names, faults)
            };
            let place = Place { file: *file, span: header.span };
            let before = faults.len();
            if let Some(text) = label_text(&header.field) {
                formula.texts.push(LabelText { line: line_of(&header.field), text: text.value.clone(), place });
            }
            match &header.field {
                HeaderField::Title(text) => formula.title = Some(text.value.clone()),
                HeaderField::Version(text) => formula.version = Some(text.value.clone()),
                HeaderField::Product(products) => {
                    formula.products = products.iter().map(|(product, _)| *product).collect()
                }
                HeaderField::Market(markets) => {
                    formula.markets =
                        markets.iter().map(|(market, span)| (*market, Place { file: *file, span: *span })).collect();
                }
                HeaderField::Makes(makes) => {
                    formula.makes = { makes_size(&evaluator, makes, ("`makes`", true), &mut names, faults) }
                }
                HeaderField::Density(density) => {
                    let figure = want(density, "`density`", &[Dimension::Density], faults);
                    if figure.as_ref().is_some_and(Exact::is_zero) {
                        faults.push(super::bounds::zero(place, "A density"));
                    }
                    let figure = figure.filter(|figure| !figure.is_zero());
                    formula.density = evaluator.within(&Bounds::density(), density.span(), figure, faults);
                }
                HeaderField::Scale(scale) => {
                    let step = want(&scale.step, "`scale`", &[Dimension::Mass], faults);
                    let max = scale.max.as_ref().map(|max| want(max, "`up to`", &[Dimension::Mass], faults));
                    if step.as_ref().is_some_and(Exact::is_zero) {
                        faults.push(super::bounds::zero(place, "A scale's step"));
                    }
                    let max_known = max.as_ref().is_none_or(Option::is_some);
                    if let (Some(step), Some(Some(max))) = (&step, &max)
                        && max < step
                    {
                        faults.push(less_than_a_step(place, step, max));
                    }
                    if let Some(step) = step.filter(|step| step.is_positive() && max_known) {
                        formula.scales.push(Scale { step, max: max.flatten() });
                    }
                }
                HeaderField::Meter(error) => {
                    let figure = want(error, "`meter`", &[Dimension::Plain], faults);
                    formula.meter = evaluator.within(&Bounds::meter(), error.span(), figure, faults);
                }
                HeaderField::Window(range) => {
                    let ends = evaluator.range(range, WINDOW, &[Dimension::Plain], &mut names, faults);
                    let ends = evaluator.ends_within(&Bounds::ph(), range, ends, faults);
                    formula.window = ends.map(|range| PhRange { range, place });
                }
                HeaderField::Date(date) => formula.date = Some(date.clone()),
                HeaderField::WaterActivity(activity) => {
                    let figure = want(activity, "`water-activity`", &[Dimension::Plain], faults);
                    formula.water_activity =
                        evaluator.within(&Bounds::water_activity(), activity.span(), figure, faults);
                }
                HeaderField::Lasts(time, because) => {
                    formula.label.lasts = evaluator.duration(time, "`lasts`", &mut names, faults);
                    formula.label.lasts_because = because.as_ref().map(|because| because.value.clone());
                }
                HeaderField::Opened(time) => {
                    formula.label.opened = evaluator.duration(time, "`opened`", &mut names, faults);
                }
                HeaderField::Warning(text) => formula.warnings.push(text.value.clone()),
                HeaderField::Function(text) => formula.label.function = Some(text.value.clone()),
                HeaderField::Directions(text) => formula.label.directions = Some(text.value.clone()),
                HeaderField::DeclareAsFormed => formula.label.as_formed = true,
                field => self.fill_selling(&evaluator, (field, place), &mut formula.selling, &mut names, faults),
            }
            if faults.len() > before || unread(&header.field, formula) {
                formula.header_at_fault.push(line_of(&header.field));
            }
        }
    }
}

impl Resolver<'_> {
    /// Where a formula says its version: in its own declaration, else, of a variant, where its name stands.
    #[must_use]
    pub fn version_place(&self, formula: &Formula) -> Place {
        let is_version = |header: &&Header| matches!(header.field, HeaderField::Version(_));
        let own = match self.scopes.item(formula.id) {
            Some(Item::Formula(declared)) => {
                let mut headers = declared.statements.iter().filter_map(|statement| match statement {
                    FormulaStatement::Header(header) => Some(header),
                    _ => None,
                });
                headers.rfind(is_version)
            }
            Some(Item::Variant(declared)) => {
                let mut headers = declared.statements.iter().filter_map(|statement| match statement {
                    VariantStatement::Header(header) => Some(header),
                    _ => None,
                });
                headers.rfind(is_version)
            }
            _ => None,
        };
        own.map_or(formula.place, |header| Place { file: formula.id.file, span: header.span })
    }
}

/// The fault of a scale that does not even carry what it shows.
fn less_than_a_step(place: Place, step: &Exact, max: &Exact) -> Diagnostic {
    let message = format!("A scale that reads {step} g carries more than {max} g.");
    Diagnostic::new(Code::FigureImpossible, place, message)
        .help("The step stands first, then what it carries: `scale 0.01 g up to 600 g`.")
}

/// Whether a header line gave no figure: its fault has been told where it was parsed.
fn unread(field: &HeaderField, formula: &Formula) -> bool {
    match field {
        HeaderField::Makes(_) => formula.makes.is_none(),
        HeaderField::Density(_) => formula.density.is_none(),
        HeaderField::Window(_) => formula.window.is_none(),
        HeaderField::Scale(_) => formula.scales.is_empty(),
        _ => false,
    }
}

/// A batch size in base units; none where a fault has been told. Beside it what asks for it, and whether it has a
/// place: a command's argument has none.
pub fn makes_size(
    evaluator: &Evaluator<'_>,
    makes: &Makes,
    (what, placed): (&str, bool),
    names: &mut super::figure::Lookup<'_>,
    faults: &mut Vec<Diagnostic>,
) -> Option<MakesSize> {
    let figure = evaluator.quantity(&makes.quantity)?;
    let place = Place { file: evaluator.file, span: makes.quantity.span };
    let (mut grams, mut millilitres) = (None, None);
    match figure.dimension {
        Dimension::Mass => grams = Some(figure.value.clone()),
        Dimension::Volume => millilitres = Some(figure.value.clone()),
        other => {
            faults.push(evaluator.mismatch(makes.quantity.span, what, &[Dimension::Mass, Dimension::Volume], other));
            return None;
        }
    }
    let plus = match &makes.plus {
        Some(plus) => {
            let figure = evaluator.want(plus, "`plus`", &[Dimension::Percent], names, faults);
            Some(evaluator.within(&Bounds::overfill(), plus.span(), figure, faults)?)
        }
        None => None,
    };
    let count = match &makes.count {
        Some(number) => Some(number.value.clone()?),
        None => None,
    };
    if count.as_ref().is_some_and(|count| count.decimals() != Some(0)) {
        let place = Place { file: evaluator.file, span: makes.span };
        faults.push(Diagnostic::new(Code::UnitMismatch, place, "Containers are counted in whole numbers."));
        return None;
    }
    if figure.value.is_zero() || count.as_ref().is_some_and(Exact::is_zero) {
        let fault = Diagnostic::new(Code::AmountZero, place, "A batch of nought cannot be weighed.");
        faults.push(fault.help("Write how much the formula makes."));
        return None;
    }
    Some(MakesSize { count, grams, millilitres, plus, place: placed.then_some(place) })
}

/// The text of a header line that the label is to say.
fn label_text(field: &HeaderField) -> Option<&Text> {
    match field {
        HeaderField::Title(text)
        | HeaderField::Function(text)
        | HeaderField::Directions(text)
        | HeaderField::Warning(text) => Some(text),
        _ => None,
    }
}

/// Which line of the head a field is.
fn line_of(field: &HeaderField) -> HeaderLine {
    match field {
        HeaderField::Title(_) => HeaderLine::Title,
        HeaderField::Version(_) => HeaderLine::Version,
        HeaderField::Product(_) => HeaderLine::Product,
        HeaderField::Market(_) => HeaderLine::Market,
        HeaderField::Makes(_) => HeaderLine::Makes,
        HeaderField::Density(_) => HeaderLine::Density,
        HeaderField::Scale(_) => HeaderLine::Scale,
        HeaderField::Meter(_) => HeaderLine::Meter,
        HeaderField::Window(_) => HeaderLine::Ph,
        HeaderField::Date(_) => HeaderLine::Date,
        HeaderField::WaterActivity(_) => HeaderLine::WaterActivity,
        HeaderField::Lasts(..) => HeaderLine::Lasts,
        HeaderField::Opened(_) => HeaderLine::Opened,
        HeaderField::Function(_) => HeaderLine::Function,
        HeaderField::Directions(_) => HeaderLine::Directions,
        HeaderField::Warning(_) => HeaderLine::Warning,
        HeaderField::DeclareAsFormed => HeaderLine::Declare,
        HeaderField::MayContain(_) => HeaderLine::MayContain,
        HeaderField::PackedIn(_) => HeaderLine::PackedIn,
        HeaderField::Loss(_) => HeaderLine::Loss,
        HeaderField::Labour(_) => HeaderLine::Labour,
        HeaderField::Fee(_) => HeaderLine::Fee,
        HeaderField::Margin(_) => HeaderLine::Margin,
        HeaderField::SellsAt(_) => HeaderLine::SellsAt,
        HeaderField::Vat(_) => HeaderLine::Vat,
    }
}
