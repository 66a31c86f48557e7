//! The plan that a record rests on, written out so that the record stands alone.

use super::own::own;
use super::quoted;
use crate::model::{AmountIs, Basis, Formula, Line, LineAmount, Scale};
use crate::plan::Plan;
use crate::quantity::Exact;
use crate::resolve::Resolver;
use crate::shelf::EDITION;
use std::fmt::Write as _;

/// The most digits that a figure of the language may have.
const DIGITS: u32 = 28;

/// `plan { … }` of a formula, as one statement; none where a percentage is not known.
#[must_use]
pub fn freeze(resolver: &Resolver<'_>, formula: &Formula) -> Option<String> {
    if !formula.total_known || formula.incomplete {
        return None;
    }
    let mut out = String::from("plan {\n");
    // Writing to a string cannot fail.
    for (word, text) in [("title", &formula.title), ("version", &formula.version)] {
        if let Some(text) = text {
            let _ = writeln!(out, "{word} {}", quoted(text));
        }
    }
    for scale in &formula.scales {
        let _ = writeln!(out, "scale {}", scale_text(scale));
    }
    if let Some(meter) = &formula.meter {
        let _ = writeln!(out, "meter {}", decimal(meter));
    }
    if let Some(window) = &formula.window {
        let range = match (&window.low, &window.high) {
            (Some(low), Some(high)) => Some(format!("{} to {}", decimal(low), decimal(high))),
            (Some(low), None) => Some(format!("at least {}", decimal(low))),
            (None, Some(high)) => Some(format!("at most {}", decimal(high))),
            (None, None) => None,
        };
        if let Some(range) = range {
            let _ = writeln!(out, "pH {range}");
        }
    }
    let mut phase = None;
    for line in &formula.lines {
        if phase.replace(line.phase) != Some(line.phase)
            && let Some(opened) = formula.phases.get(line.phase)
        {
            let _ = writeln!(out, "phase {}", opened.name);
        }
        let _ = writeln!(out, "{}", line_text(line, formula.basis)?);
    }
    for statement in own(resolver, formula)? {
        let _ = writeln!(out, "{statement}");
    }
    let _ = writeln!(out, "digest \"{}\"", resolver.digest(formula));
    let _ = writeln!(out, "compiler \"{}\"", env!("CARGO_PKG_VERSION"));
    let _ = writeln!(out, "shelf \"{EDITION}\"");
    out.push('}');
    Some(out)
}

/// The size of a batch as its finest scale shows it.
#[must_use]
pub fn size_text(plan: &Plan) -> String {
    format!("{} g", plan.batch.to_fixed(plan.finest.decimals().unwrap_or(2)))
}

fn scale_text(scale: &Scale) -> String {
    match &scale.max {
        Some(max) => format!("{} g up to {} g", decimal(&scale.step), decimal(max)),
        None => format!("{} g", decimal(&scale.step)),
    }
}

/// A line: its name, its percentage as supplied, its amount, what waits of it and where its weight comes from.
fn line_text(line: &Line, basis: Basis) -> Option<String> {
    let mut text = line.name.to_string();
    if line.amount != LineAmount::AtBench {
        let _ = write!(text, " {} %", decimal(line.percent.as_ref()?));
    }
    let _ = write!(text, " {}", amount_text(line, basis)?);
    if let Some(held) = &line.hold_back {
        // A weight stands against the formula's own batch; here it is a share of this one.
        let _ = write!(text, " hold back {} %", decimal(held.percent.as_ref()?));
    }
    if let Some((from, _)) = &line.from {
        let _ = write!(text, " from {from}");
    }
    Some(text)
}

/// The amount as the line writes it; where it names a figure, the figure, since the name stays behind.
pub(super) fn amount_text(line: &Line, basis: Basis) -> Option<String> {
    if line.uses.is_empty() {
        // An amount in brackets may run over lines.
        return Some(line.written.split_whitespace().collect::<Vec<_>>().join(" "));
    }
    let unit = match basis {
        Basis::Weight => "g",
        Basis::Parts => "parts",
        Basis::Percent | Basis::Mixed => "%",
    };
    let of = match &line.target {
        None => String::new(),
        Some(target) if target.is == AmountIs::Active => " active".to_string(),
        Some(_) => format!(" of {}", line.written.rsplit_once(" of ")?.1),
    };
    Some(format!("{} {unit}{of}", decimal(line.asked.as_ref()?)))
}

/// A figure as a decimal: exactly where one says it, else to as many digits as the language reads, half to even.
pub(super) fn decimal(figure: &Exact) -> String {
    let most = most_decimals(figure);
    match figure.decimals().filter(|decimals| *decimals <= most) {
        Some(decimals) => figure.to_fixed(decimals),
        None => {
            let text = figure.to_fixed(most);
            if text.contains('.') { text.trim_end_matches('0').trim_end_matches('.').to_string() } else { text }
        }
    }
}

/// Whether a decimal says a figure exactly.
pub(super) fn is_decimal(figure: &Exact) -> bool {
    figure.decimals().is_some_and(|decimals| decimals <= most_decimals(figure))
}

fn most_decimals(figure: &Exact) -> u32 {
    let whole = figure.abs().down_to_step(&Exact::ONE).to_fixed(0).len();
    DIGITS.saturating_sub(u32::try_from(whole).unwrap_or(DIGITS))
}

#[cfg(test)]
mod tests {
    use super::decimal;
    use crate::quantity::Exact;

    #[test]
    fn a_figure_is_exact_where_a_decimal_is_and_reads_back_where_none_is() {
        for (figure, wanted) in [
            (Exact::ratio(17, 20), "0.85"),
            (Exact::ratio(25, 1), "25"),
            (Exact::ratio(60, 7), "8.571428571428571428571428571"),
            (Exact::ratio(1, 3), "0.333333333333333333333333333"),
            (Exact::ratio(2, 3), "0.666666666666666666666666667"),
            (Exact::ratio(200, 3), "66.66666666666666666666666667"),
        ] {
            assert_eq!(decimal(&figure), wanted);
            assert!(Exact::parse(wanted).is_some());
        }
    }
}
