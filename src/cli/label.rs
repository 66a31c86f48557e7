//! `stillroom label`.

use super::arguments::{AskArguments, LabelArguments, LabelFormat, SheetSize};
use super::input::{day, did_you_mean, input_with_quiet_past, pretty, stderr_is_terminal, style};
use super::out::Destination;
use super::sheet::{choose, diagnostics_of, may_have_a_formula, size};
use super::stream::{tell, tell_line};
use super::{Failure, Outcome};
use stillroom::diagnostic::{Diagnostic, Level};
use stillroom::label::Panel;
use stillroom::model::{Batch, Happened};
use stillroom::page::{LabelPage, label_drawing, label_html};
use stillroom::quantity::Exact;
use stillroom::render::{
    LabelJson, LabelTiling, LabelsJson, Summary, human, label_markdown, label_text, shown, shown_path,
};
use stillroom::session::{LabelOrder, Labels, NoLabels, Report, Session, says_itself};
use stillroom::sheet::BatchOrder;
use stillroom::syntax::tree::Item;
use stillroom::syntax::vocabulary::Market;
use stillroom::workspace::Sources;

/// Prints the labels of a file's formulas, or of a batch.
///
/// # Errors
/// Wrong arguments, or input that cannot be read.
pub fn run(arguments: &LabelArguments) -> Result<Outcome, Failure> {
    let out = Destination::of(arguments.out.as_deref())?;
    let ask = label_order(arguments)?;
    let session = input_with_quiet_past(std::slice::from_ref(&arguments.path))?;
    let on = arguments.on.as_deref().map(day).transpose()?;
    let record = arguments.batch.as_deref().filter(|name| is_record(session.sources(), name));
    let makes = match (&arguments.batch, record) {
        (Some(text), None) => {
            Some(size("--batch", text).map_err(|failure| no_such_batch(session.sources(), text, &failure))?)
        }
        _ => None,
    };
    let of = arguments.formula.as_deref().map(Into::into);
    let order = BatchOrder { makes, of, on, ..BatchOrder::default() };
    let report = session.check(&order);
    let printed = match record {
        Some(name) => of_batch(&session, &report, arguments, &order, &ask, name)?,
        None => of_formulas(&session, &report, arguments, &order, &ask)?,
    };
    let text = written(session.sources(), arguments, &ask, &printed)?;
    if let Some(text) = text {
        out.write(&text, session.sources())?;
    }
    Ok(if printed.errors { Outcome::Errors } else { Outcome::Clean })
}

/// Labels to be printed.
struct Printed {
    /// Those of each product.
    labels: Vec<Labels>,
    /// Whether there are several products, so that JSON has a list.
    several: bool,
    /// Whether errors were told, or some label is not printed.
    errors: bool,
}

/// Whether a record of a batch of that name stands in the files that were named.
pub(super) fn is_record(sources: &Sources, name: &str) -> bool {
    records(sources).any(|known| known == name)
}

/// What is told of a `--batch` that is neither a record nor a size. One without a figure was meant for a name.
pub(super) fn no_such_batch(sources: &Sources, text: &str, failure: &Failure) -> Failure {
    if text.contains(|letter: char| letter.is_ascii_digit()) && text.starts_with(|letter: char| letter.is_ascii_digit())
    {
        return Failure(format!("`--batch {}` is neither a batch of the file nor a size. {failure}", shown(text)));
    }
    let known: Vec<&str> = records(sources).collect();
    let which = match (did_you_mean(text, known.iter().copied()), known.as_slice()) {
        (near, _) if !near.is_empty() => near,
        (_, []) => {
            " It has none: give a size, as `--batch 12x30g`, or write the record with `stillroom record`.".to_string()
        }
        (_, known) => {
            let names: Vec<String> = known.iter().take(5).map(|name| format!("`{}`", shown(name))).collect();
            format!(" It has {}.", names.join(", "))
        }
    };
    Failure(format!("`--batch {}`: the file has no batch of that name.{which}", shown(text)))
}

/// The names of the records in the files that were named.
fn records(sources: &Sources) -> impl Iterator<Item = &str> {
    let items = sources.files.iter().filter(|source| source.named).flat_map(|source| &source.tree.items);
    items.filter_map(|item| match item {
        Item::Batch(batch) => Some(batch.name.text.as_str()),
        _ => None,
    })
}

/// The labels of the formulas asked for.
fn of_formulas(
    session: &Session<'_>,
    report: &Report<'_>,
    arguments: &LabelArguments,
    order: &BatchOrder,
    ask: &LabelOrder,
) -> Result<Printed, Failure> {
    let named = AskArguments {
        path: arguments.path.clone(),
        formula: arguments.formula.clone(),
        batch: None,
        scale: Vec::new(),
        on: None,
    };
    let chosen = choose(report, &named)?;
    if chosen.is_empty() && !may_have_a_formula(session.sources()) {
        return Err(Failure(format!(
            "`{}` has no formula, so there is no label to print.",
            shown_path(&arguments.path)
        )));
    }
    let mut told = diagnostics_of(report, &chosen, named.formula.is_some() && !chosen.is_empty());
    told.retain(|fault| !says_itself(fault));
    let for_skin: Vec<_> = chosen.iter().filter(|formula| !formula.formula.is_stock()).collect();
    let mut said: Vec<String> = Vec::new();
    let mut labels = Vec::new();
    for formula in for_skin.iter().filter(|formula| !formula.is_blocked()) {
        match report.labels(formula, order, ask) {
            Ok(found) => labels.push(found),
            Err(why) => said.push(none(&formula.formula.name, why)),
        }
    }
    if for_skin.is_empty() {
        said.extend(chosen.iter().map(|formula| none(&formula.formula.name, NoLabels::Stock)));
    }
    Ok(tell_all(session.sources(), told, said, labels, for_skin.len() > 1))
}

/// The labels of a batch.
fn of_batch(
    session: &Session<'_>,
    report: &Report<'_>,
    arguments: &LabelArguments,
    order: &BatchOrder,
    ask: &LabelOrder,
    name: &str,
) -> Result<Printed, Failure> {
    let chosen = super::bench::chosen(session.sources(), report, &arguments.path, Some(name))?;
    let Some(batch) = chosen.first() else { return Err(Failure(String::new())) };
    let mut told: Vec<Diagnostic> = report.of_batch(batch).cloned().collect();
    let blocked = report.formulas.iter().find(|of| {
        batch.plan.is_none()
            && of.is_blocked()
            && batch.formula.as_ref().is_some_and(|name| name.text == of.formula.name)
    });
    if let Some(formula) = blocked {
        told.extend(formula.diagnostics.iter().cloned());
        return Ok(tell_all(session.sources(), told, Vec::new(), Vec::new(), false));
    }
    let (labels, said) = match report.labels_of_batch(batch, order, ask) {
        Ok(labels) => (vec![labels], Vec::new()),
        Err(NoLabels::Rejected) => (Vec::new(), vec![rejected(batch)]),
        Err(why) => (Vec::new(), vec![none(&batch.name, why)]),
    };
    Ok(tell_all(session.sources(), told, said, labels, false))
}

/// Tells what is wrong, with the files and with the labels, and what is not printed.
fn tell_all(
    sources: &Sources,
    mut told: Vec<Diagnostic>,
    mut said: Vec<String>,
    labels: Vec<Labels>,
    several: bool,
) -> Printed {
    for of in &labels {
        let drugs = of.drugs.iter().map(|(_, fault)| fault).filter(|fault| !told.contains(fault)).cloned();
        let drugs: Vec<Diagnostic> = drugs.filter(|fault| !told.iter().any(|known| known.code == fault.code)).collect();
        told.extend(drugs);
        told.extend(of.faults.iter().cloned());
        said.extend(of.drugs.iter().map(|(market, _)| {
            format!(
                "`{}` has no label for `{}`: what it says of itself makes a drug of it there, which has another label \
                 altogether.",
                of.formula.name,
                market.word()
            )
        }));
    }
    tell(&human(sources, &told, style(stderr_is_terminal())));
    said.iter().for_each(|words| tell_line(words));
    let summary = Summary::of(&told);
    if summary.errors > 0 {
        tell_line(&format!("{}.", summary.words()));
    }
    let errors = told.iter().any(|fault| fault.level == Level::Error) || !said.is_empty();
    let labels = labels.into_iter().filter(|of| !of.labels.is_empty()).collect();
    Printed { labels, several, errors }
}

fn none(name: &str, why: NoLabels) -> String {
    match why {
        NoLabels::Stock => format!("`{name}` is `product stock`: it is for the bench, not for skin, and has no label."),
        NoLabels::NoMarket => {
            format!(
                "`{name}` has no label, as it says of no market that it is sold there: add `market eu`, or ask with `--market eu`."
            )
        }
        NoLabels::Rejected => format!("`{name}` was rejected: it has no label for a jar."),
        NoLabels::NotKnown => {
            format!("`{name}` has no label, as what is in it is not known: `stillroom check` says why.")
        }
    }
}

fn rejected(batch: &Batch) -> String {
    let why = batch.events.iter().rev().find_map(|event| match &event.what {
        Happened::Rejected(why) => Some(why),
        _ => None,
    });
    let why = why.map(|why| format!(" (“{}”)", shown(why))).unwrap_or_default();
    format!("`{}` was rejected{why}: it has no label for a jar.", batch.name)
}

fn written(
    sources: &Sources,
    arguments: &LabelArguments,
    ask: &LabelOrder,
    printed: &Printed,
) -> Result<Option<String>, Failure> {
    if printed.labels.is_empty() {
        return Ok(None);
    }
    let all: Vec<LabelJson> = printed.labels.iter().map(|of| LabelJson::new(sources, of)).collect();
    let join = |texts: Vec<String>, between: &str| Some(texts.join(between));
    Ok(match arguments.format {
        LabelFormat::Text => join(all.iter().map(label_text).collect(), "\n"),
        LabelFormat::Markdown => join(all.iter().map(label_markdown).collect(), "\n---\n\n"),
        LabelFormat::Html => Some(page(sources, arguments, ask, &printed.labels)),
        LabelFormat::Json => Some(match all.as_slice() {
            [only] if !printed.several => pretty(only)?,
            _ => pretty(&LabelsJson { schema: "stillroom.labels/1".to_string(), labels: all })?,
        }),
        LabelFormat::Svg => drawn(arguments, ask, &printed.labels, &all)?,
    })
}

/// The labels as a page: of a size with a sheet of each, on A4 where no other paper was asked for.
fn page(sources: &Sources, arguments: &LabelArguments, ask: &LabelOrder, labels: &[Labels]) -> String {
    let tiling = ask.panel.is_some().then(|| tiling(arguments.sheet.unwrap_or(SheetSize::A4), arguments.copies));
    let on = ask.panel.as_ref().zip(tiling.as_ref());
    let pages: Vec<LabelPage> = labels.iter().map(|of| LabelPage::of(sources, of, on)).collect();
    label_html(&pages, tiling.as_ref())
}

/// A sheet of paper, and how many labels go on it.
fn tiling(paper: SheetSize, copies: Option<usize>) -> LabelTiling {
    let tiling = match paper {
        SheetSize::A4 => LabelTiling::A4,
        SheetSize::Letter => LabelTiling::LETTER,
    };
    LabelTiling { copies, ..tiling }
}

/// One label as a drawing, or a sheet of them; none where not even what has to stand on it fits, which has been told.
fn drawn(
    arguments: &LabelArguments,
    ask: &LabelOrder,
    labels: &[Labels],
    all: &[LabelJson],
) -> Result<Option<String>, Failure> {
    let ([of], [json], Some(panel)) = (labels, all, &ask.panel) else {
        return Err(Failure("A drawing is of one label: say which formula with `--formula NAME`.".to_string()));
    };
    let [layout] = of.layouts.as_slice() else {
        let markets: Vec<&str> = of.labels.iter().map(|label| label.market.word()).collect();
        return Err(Failure(format!(
            "A drawing is of one label, and there is one for each market: say which with `--market {}`.",
            markets.join("` or `--market ")
        )));
    };
    let Some(lines) = &layout.lines else { return Ok(None) };
    let drawing = label_drawing(panel, lines, json);
    let Some(paper) = arguments.sheet else { return Ok(Some(drawing.svg())) };
    let tiling = tiling(paper, arguments.copies);
    drawing.tiled(&tiling).map(Some).ok_or_else(|| {
        let (across, down) = tiling.holds(drawing.width, drawing.height);
        match (across * down, arguments.copies) {
            (0, _) | (_, None) => Failure(format!(
                "`--size {}`: not one label of this size fits on a sheet of this paper with the edge that printers leave. \
                 Without `--sheet` it is drawn alone.",
                shown(arguments.size.as_deref().unwrap_or_default())
            )),
            (most, Some(asked)) => {
                Failure(format!("`--copies {asked}`: a sheet of this paper holds from 1 to {most} labels of this size."))
            }
        }
    })
}

/// The market and the size of the command line.
fn label_order(arguments: &LabelArguments) -> Result<LabelOrder, Failure> {
    let market = arguments.market.as_deref().map(market).transpose()?;
    let panel = arguments.size.as_deref().map(panel).transpose()?;
    if panel.is_none() && arguments.format == LabelFormat::Svg {
        return Err(Failure("`--format svg` draws a label of a size: add `--size 60x40mm`.".to_string()));
    }
    if arguments.sheet.is_some() && !matches!(arguments.format, LabelFormat::Svg | LabelFormat::Html) {
        return Err(Failure("`--sheet` is for drawings: add `--format svg`, or `html`.".to_string()));
    }
    Ok(LabelOrder { market, panel })
}

fn market(text: &str) -> Result<Market, Failure> {
    Market::from_word(text).ok_or_else(|| {
        let known: Vec<String> = Market::WORDS.iter().map(|word| format!("`{word}`")).collect();
        Failure(format!("`--market {}`: a market is one of {}.", shown(text), known.join(", ")))
    })
}

/// `60x40mm`: how wide and how high, in mm.
fn panel(text: &str) -> Result<Panel, Failure> {
    let refused = |why: &str| Failure(format!("`--size {}`: {why}", shown(text)));
    let written = || refused("a size is written as width and height in millimetres, `60x40mm`.");
    let plain: String = text.chars().filter(|letter| !letter.is_whitespace()).collect::<String>().to_lowercase();
    let sides = plain.strip_suffix("mm").ok_or_else(written)?;
    let (width, height) = sides.split_once(['x', '×']).ok_or_else(written)?;
    let side = |text: &str| Exact::parse(text).ok_or_else(written);
    let (width, height) = (side(width)?, side(height)?);
    let (least, most) = Panel::SIDES;
    let out_of_range = || refused(&format!("the sides of a label are from {least} to {most} mm."));
    Panel::of(width, height).ok_or_else(out_of_range)
}
