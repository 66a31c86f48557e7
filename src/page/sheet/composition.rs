//! What a batch is made of, as a drawing: a bar for each substance, as long as its share, and the range of what is one.

use crate::page::plot::{at, for_xml};
use crate::page::prose;
use crate::quantity::Exact;
use crate::render::{Sheet, SubstanceShare, free_acid_words, share_words};
use maud::{Markup, html};

const WIDE: f64 = 680.0;
const ROW: f64 = 26.0;
/// Where the bars begin.
const BARS: f64 = 290.0;
/// How far their figures stand off them, and how wide one of these is, about.
const OFF: f64 = 8.0;
const LETTER: f64 = 8.6;
/// The most rows that are drawn; the table has all.
const ROWS: usize = 24;
/// The most letters of a name that have room.
const LETTERS: usize = 34;

/// The composition of a sheet as a drawing; none where it has none.
#[must_use]
pub fn composition(sheet: &Sheet) -> Option<Markup> {
    let rows: Vec<&SubstanceShare> = sheet.substances.iter().take(ROWS).collect();
    let most = rows.iter().filter_map(|of| figure(&of.percent_high)).fold(0.0, f64::max);
    if rows.is_empty() || most <= 0.0 {
        return None;
    }
    let letters = rows.iter().map(|of| figures(of).chars().count()).max().unwrap_or(0);
    // The longest bar leaves room for the longest figures.
    let longest = WIDE - BARS - OFF - LETTER * letters as f64;
    let name = format!("composition-{}", sheet.formula);
    let title = for_xml(&format!("{}: what it is made of", sheet.title.as_deref().unwrap_or(&sheet.formula)));
    let high = ROW * rows.len() as f64 + 8.0;
    Some(html! {
        svg.drawing viewBox={ "0 0 " (at(WIDE)) " " (at(high)) } role="img" aria-labelledby={ (name) "-title " (name) "-words" } {
            title id={ (name) "-title" } { (title) }
            desc id={ (name) "-words" } { "A bar for each substance, by the root of its share, so that small ones are seen. The figures stand in the table." }
            @for (number, of) in rows.iter().enumerate() { (row(of, number, longest / most.sqrt())) }
        }
    })
}

/// A bar is as long as the root of its share, times `scale`: by the share itself all but water would be a hair.
fn row(of: &SubstanceShare, number: usize, scale: f64) -> Markup {
    let y = ROW * number as f64 + 4.0;
    let long = |share: &str| figure(share).unwrap_or(0.0).max(0.0).sqrt() * scale;
    let (low, high) = (long(&of.percent_low), long(&of.percent_high));
    html! {
        text x=(at(BARS - 12.0)) y=(at(y + 15.0)) text-anchor="end" { (short(of.inci.as_deref().unwrap_or(&of.substance))) }
        rect.bar-range x=(at(BARS)) y=(at(y + 2.0)) width=(at(high)) height=(at(ROW - 10.0)) rx="2" {}
        rect.bar x=(at(BARS)) y=(at(y + 2.0)) width=(at(low)) height=(at(ROW - 10.0)) rx="2" {}
        text.strong x=(at(BARS + high + OFF)) y=(at(y + 15.0)) { (figures(of)) }
    }
}

fn figures(of: &SubstanceShare) -> String {
    format!("{} %", share_words(&of.percent_low, &of.percent_high))
}

fn short(name: &str) -> String {
    let name = for_xml(name);
    match name.char_indices().nth(LETTERS) {
        Some((end, _)) => format!("{}…", name.get(..end).unwrap_or_default().trim_end()),
        None => name,
    }
}

fn figure(percent: &str) -> Option<f64> {
    Exact::parse(percent).map(|exact| exact.to_f64())
}

/// What is said of free acid and salt, where a line asks for an acid.
pub(super) fn free_acid(sheet: &Sheet) -> Markup {
    html! { @for words in free_acid_words(sheet) { p { (prose(&words)) } } }
}
