//! `stillroom card`.

use super::arguments::{AskArguments, CardArguments, CardFormat};
use super::input::{input_with_quiet_past, stderr_is_terminal, stdout_is_terminal, style};
use super::out::Destination;
use super::sheet::{choose, diagnostics_of, may_have_a_formula};
use super::stream::{tell, tell_line};
use super::{Failure, Outcome};
use stillroom::page::{Card, DrawnCard};
use stillroom::render::{Summary, human, shown, shown_path};
use stillroom::session::{FormulaReport, says_itself};
use stillroom::sheet::BatchOrder;

/// So many names are listed where a file has several formulas.
const NAMED: usize = 12;

/// Draws a formula as a picture.
///
/// # Errors
/// Wrong arguments, several formulas where none was named, or input that cannot be read.
pub fn run(arguments: &CardArguments) -> Result<Outcome, Failure> {
    let format = format(arguments)?;
    let out = Destination::of(arguments.out.as_deref())?;
    if matches!(out, Destination::Screen) && format == CardFormat::Png && stdout_is_terminal() {
        return Err(Failure(
            "A PNG is a picture, which a terminal cannot show: give it a file with `--out card.png`, or pipe it on."
                .to_string(),
        ));
    }
    let session = input_with_quiet_past(std::slice::from_ref(&arguments.path))?;
    let report = session.check(&BatchOrder::default());
    let ask = AskArguments::as_it_stands(&arguments.path, arguments.formula.as_deref());
    let chosen = choose(&report, &ask)?;
    if chosen.is_empty() && !may_have_a_formula(session.sources()) {
        let path = shown_path(&arguments.path);
        return Err(Failure(format!("`{path}` has no formula, so there is no card to draw.")));
    }
    if chosen.len() > 1 {
        return Err(several(&chosen));
    }
    let mut told = diagnostics_of(&report, &chosen, !chosen.is_empty());
    told.retain(|fault| !says_itself(fault));
    tell(&human(session.sources(), &told, style(stderr_is_terminal())));
    let summary = Summary::of(&told);
    if summary.errors > 0 {
        tell_line(&format!("{}.", summary.words()));
    }
    let Some(of) = chosen.first().filter(|of| !of.is_blocked()) else { return Ok(Outcome::Errors) };
    let Some(card) = Card::of(&report, of) else {
        tell_line(&format!("`{}` cannot be drawn yet: `stillroom check` says why.", shown(&of.formula.name)));
        return Ok(Outcome::Errors);
    };
    let drawn = DrawnCard::of(&card, !arguments.without_figures);
    match format {
        CardFormat::Svg => out.write(drawn.svg(), session.sources())?,
        CardFormat::Png => out.write_bytes(&drawn.png().map_err(too_high)?, session.sources())?,
    }
    Ok(if summary.errors > 0 { Outcome::Errors } else { Outcome::Clean })
}

/// What is asked for, or what the name of the file asks for.
///
/// # Errors
/// A name that asks for another picture than is drawn.
fn format(arguments: &CardArguments) -> Result<CardFormat, Failure> {
    let Some(path) = arguments.out.as_ref() else { return Ok(arguments.format.unwrap_or(CardFormat::Svg)) };
    // What a shell opened has no ending, nor has `card`.
    let Some(ending) = path.extension() else { return Ok(arguments.format.unwrap_or(CardFormat::Svg)) };
    let named = [("svg", CardFormat::Svg), ("png", CardFormat::Png)];
    let named = named.into_iter().find(|(word, _)| ending.eq_ignore_ascii_case(word)).map(|(_, format)| format);
    match (named, arguments.format) {
        (Some(named), None) => Ok(named),
        (Some(named), Some(asked)) if named == asked => Ok(asked),
        _ => {
            let word = if arguments.format.or(named) == Some(CardFormat::Png) { "png" } else { "svg" };
            Err(Failure(format!(
                "A card is a drawing, `.svg`, or a picture, `.png`, and `{}` is named as something else: write `--out {}`.",
                shown_path(path),
                shown_path(&path.with_extension(word))
            )))
        }
    }
}

fn several(chosen: &[&FormulaReport]) -> Failure {
    let names: Vec<String> = chosen.iter().take(NAMED).map(|of| format!("`{}`", shown(&of.formula.name))).collect();
    let more = match chosen.len().saturating_sub(NAMED) {
        0 => String::new(),
        more => format!(" and {more} more"),
    };
    Failure(format!(
        "A card is of one formula, and there are {}: {}{more}. Say which with `--formula NAME`.",
        chosen.len(),
        names.join(", ")
    ))
}

fn too_high(stillroom::page::TooHigh(size): stillroom::page::TooHigh) -> Failure {
    Failure(format!(
        "The picture would be {} x {} pixels, more than can be looked at. As a drawing it has no limit: `--format svg`.",
        size.width, size.height
    ))
}
