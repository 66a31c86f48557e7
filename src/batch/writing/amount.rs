//! Figures as a frozen plan writes them: as decimals, exactly where a decimal says them.

use crate::model::{AmountIs, Basis, Line};
use crate::quantity::Exact;

/// The most digits that a figure of the language may have.
const DIGITS: u32 = 28;

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
