//! A label on its millimetres: what of it fits, and what is told of that which does not.

use super::layout::{Heights, Layout, Paragraph, Stay, lay_out};
use super::market_label::MarketLabel;
use super::net::{Panel, letters_in};
use crate::diagnostic::{Code, Diagnostic};
use crate::model::Formula;
use crate::quantity::Exact;
use crate::syntax::vocabulary::Market;

/// The least height of letters in the United States, in micrometres: 1/16 inch is 1.5875 mm (21 CFR 701.3(b), 740.2).
const US_LEAST: i64 = 1_590;

/// The least height of letters elsewhere, in micrometres: a floor of our own, where the law asks that it be legible.
const OWN_LEAST: i64 = 1_200;

/// How high the letters of a label have to be.
#[must_use]
pub fn heights(label: &MarketLabel) -> Heights {
    with_letters(label, label.net.letters_in.as_ref())
}

/// The same with letters of the net quantity so many inches high.
fn with_letters(label: &MarketLabel, letters: Option<&Exact>) -> Heights {
    Heights {
        least: if label.market == Market::Us { US_LEAST } else { OWN_LEAST },
        net_figures: label.net.figure_mm.as_ref().filter(|_| label.net.needed).map(micrometres),
        net_letters: letters.map(|inches| micrometres(&(inches * &Exact::ratio(254, 10)))),
    }
}

/// A length in mm as whole micrometres, brought up; the greatest there is where it is more than that.
fn micrometres(mm: &Exact) -> i64 {
    let whole = (mm * &Exact::whole(1_000)).up_to_step(&Exact::whole(1));
    whole.to_u32().map_or(i64::from(u32::MAX), i64::from)
}

/// A label laid out on its panel, and what is told where not all of it fits.
#[must_use]
pub fn fit(formula: &Formula, label: &MarketLabel, panel: &Panel) -> (Layout, Option<Diagnostic>) {
    let heights = heights(label);
    let paragraphs = label.paragraphs(formula.title.as_deref());
    let layout = lay_out(micrometres(&panel.width), micrometres(&panel.height), &paragraphs, &heights);
    let fault = (!layout.left_out.is_empty()).then(|| told(formula, label, panel, &layout, heights.least));
    (layout, fault)
}

fn told(formula: &Formula, label: &MarketLabel, panel: &Panel, layout: &Layout, least: i64) -> Diagnostic {
    let (width, height) = (&panel.width, &panel.height);
    let needs = match layout.would_need {
        Some(letters) => format!("would need letters of {} mm", mm(letters)),
        None => "does not hold it at any size".to_string(),
    };
    let message = format!(
        "A label of {width} x {height} mm in `{}` {needs}, and {} mm is the least.",
        label.market.word(),
        mm(least)
    );
    let floor = match label.market {
        Market::Us => "Letters are measured by a small o.",
        _ => "Letters are measured by a small o; the floor is our own, as the law asks only that it be legible.",
    };
    let larger = large_enough(formula, label, panel);
    let help = match &layout.lines {
        Some(_) => {
            let larger = larger.map(|size| format!(" One of {size} holds it all.")).unwrap_or_default();
            format!("Left out: {}.{larger} {floor}", elsewhere(label.market, &layout.left_out))
        }
        None => {
            let larger = larger.map(|size| format!(", as {size}")).unwrap_or_default();
            format!("Not even what has to stand on the container fits: take a larger label{larger}. {floor}")
        }
    };
    let at =
        formula.markets.iter().find(|(known, _)| *known == label.market).map_or(formula.place, |(_, place)| *place);
    let fault = Diagnostic::new(Code::LabelLettersSmall, at, message).help(help);
    match label.market {
        Market::Us => fault.source(Some("21 CFR 701.3(b), 740.2".to_string())),
        _ => fault,
    }
}

/// The longest side of a label that is proposed, in mm.
const LONGEST: i64 = 500;

/// The first label of about the same shape, in steps of its tenth, on which all of it has room. None where that would be
/// larger than a label is.
fn large_enough(formula: &Formula, label: &MarketLabel, panel: &Panel) -> Option<String> {
    let paragraphs = label.paragraphs(formula.title.as_deref());
    let side = |side: &Exact, tenths: i64| (side * &Exact::ratio(tenths, 10)).up_to_step(&Exact::whole(1));
    let sizes =
        (11_i64..=300).map(|tenths| Panel { width: side(&panel.width, tenths), height: side(&panel.height, tenths) });
    let longest = Exact::whole(LONGEST);
    let mut sizes = sizes.take_while(|size| size.width <= longest && size.height <= longest);
    let holds = |size: &Panel| {
        let letters = label.net.letters_in.as_ref().map(|_| letters_in(size));
        let heights = with_letters(label, letters.as_ref());
        let layout = lay_out(micrometres(&size.width), micrometres(&size.height), &paragraphs, &heights);
        layout.lines.is_some() && layout.left_out.is_empty()
    };
    let found = sizes.find(holds)?;
    Some(format!("{} x {} mm", found.width, found.height))
}

/// What was left out, each with where it may go.
fn elsewhere(market: Market, left_out: &[Paragraph]) -> String {
    let one = |paragraph: &Paragraph| {
        let to = match (paragraph.stay, market) {
            (Stay::Leaflet, Market::Eu | Market::Uk) => {
                "to a leaflet, with the sign of the hand and the book on the label"
            }
            (Stay::Leaflet, _) => "to a leaflet",
            _ => "to the outer pack",
        };
        format!("{} ({to})", paragraph.item)
    };
    left_out.iter().map(one).collect::<Vec<_>>().join(", ")
}

/// A length in mm as it is told of, to the hundredth.
fn mm(micrometres: i64) -> String {
    Exact::ratio(micrometres, 1_000).down_to_step(&Exact::ratio(1, 100)).to_string()
}
