//! The curve of a titration as a drawing: smooth, with how far it may be off, the window, the doses to its edges and its
//! middle, the end of what is held back, and what was read at the bench.

use super::foreseen::PhDrawing;
use super::plot::{Plot, at, ticks};
use crate::render::shown;
use maud::{Markup, PreEscaped, html};

/// The size of the drawing, in its own units.
const WIDE: f64 = 680.0;
const HIGH: f64 = 430.0;
/// How wide a letter of a label is, about.
const LETTER: f64 = 8.0;

/// A reading at the bench.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CurveReading {
    /// The adjuster that was in, in grams.
    pub grams: f64,
    /// The pH that was read.
    pub ph: f64,
}

/// The curve as a part of a page that has the stylesheet, with what was read on it.
#[must_use]
pub fn curve(of: &PhDrawing, readings: &[CurveReading]) -> Markup {
    let name = format!("curve-{}", of.of.formula);
    html! {
        svg.drawing viewBox={ "0 0 " (at(WIDE)) " " (at(HIGH)) } role="img" aria-labelledby={ (name) "-title " (name) "-words" } {
            title id={ (name) "-title" } { (heading(of)) }
            desc id={ (name) "-words" } { (curve_words(of, readings)) }
            (drawn(of, readings, 26.0, &name))
        }
    }
}

/// The curve as a picture in a file of its own.
#[must_use]
pub fn ph_svg(of: &PhDrawing) -> String {
    let head = html! {
        svg.drawing xmlns="http://www.w3.org/2000/svg" viewBox={ "0 0 " (at(WIDE)) " " (at(HIGH + 30.0)) }
            width=(at(WIDE)) height=(at(HIGH + 30.0)) role="img" aria-labelledby="title words" {
            title id="title" { (heading(of)) }
            desc id="words" { (curve_words(of, &[])) }
            style { (PreEscaped(include_str!("assets/drawing-alone.css"))) (PreEscaped(include_str!("assets/drawing.css"))) }
            rect.paper width="100%" height="100%" {}
            text.title x="56" y="26" { (short(&heading(of))) }
            g transform="translate(0 30)" { (drawn(of, &[], 26.0, "curve")) }
        }
    };
    head.into_string() + "\n"
}

/// Text of a file within a drawing. What XML 1.0 has no way to write is a mark.
pub(super) fn for_xml(text: &str) -> String {
    shown(text).replace(['\u{fffe}', '\u{ffff}'], "\u{fffd}")
}

/// As much of a line as has room above the drawing.
fn short(line: &str) -> String {
    const ROOM: usize = 68;
    match line.char_indices().nth(ROOM) {
        Some((end, _)) => format!("{}…", line.get(..end).unwrap_or_default().trim_end()),
        None => line.to_string(),
    }
}

fn heading(of: &PhDrawing) -> String {
    for_xml(&format!("{}: the pH over {}", of.title, of.called))
}

/// What the curve shows, in words.
#[must_use]
pub fn curve_words(of: &PhDrawing, readings: &[CurveReading]) -> String {
    let mut words = Vec::new();
    let ph = &of.of.ph.ph;
    if let (Some((_, first)), Some((most, last))) = (of.curve.first(), of.curve.last()) {
        let way = if last >= first { "rises" } else { "falls" };
        words.push(match ph.before {
            Some(before) => format!("Foreseen from pH {before:.2} on, it {way} to {last:.2} with {most:.2} g."),
            None => format!("It {way} to pH {last:.2} with {most:.2} g; where it begins is not foreseen closely."),
        });
    }
    if let Some(window) = window_words(of) {
        words.push(format!("The window is {window}."));
    }
    let doses = doses(of);
    if let Some((first, others)) = doses.split_first() {
        let others = others.iter().map(|dose| format!("the {} {}", dose.place, dose.words));
        let all = std::iter::once(format!("The {} takes {}", first.place, first.words)).chain(others);
        words.push(format!("{}.", all.collect::<Vec<String>>().join(", ")));
    }
    if let Some(held) = of.of.ph.held_back_g {
        words.push(format!("{held:.2} g are held back for it."));
    }
    let read: Vec<String> =
        readings.iter().map(|read| format!("pH {:.2} with {:.2} g in", read.ph, read.grams)).collect();
    if !read.is_empty() {
        words.push(format!("Read at the bench: {}.", read.join(", ")));
    }
    for_xml(&words.join(" "))
}

fn window_words(of: &PhDrawing) -> Option<String> {
    match &of.of.ph.ph.window {
        [Some(low), Some(high)] => Some(format!("pH {low} to {high}")),
        [Some(low), None] => Some(format!("pH {low} or over")),
        [None, Some(high)] => Some(format!("pH {high} or under")),
        [None, None] => None,
    }
}

/// A dose as it is drawn.
struct Dose {
    /// `near edge`.
    place: &'static str,
    grams: f64,
    ph: f64,
    range: Option<(f64, f64)>,
    /// `3.22 g (2.63 to 3.75)`.
    words: String,
    is_middle: bool,
}

fn doses(of: &PhDrawing) -> Vec<Dose> {
    let Some(told) = of.adjuster() else { return Vec::new() };
    let [low, high] = of.window();
    let rises = of.curve.first().zip(of.curve.last()).is_none_or(|(first, last)| last.1 >= first.1);
    let (near, far) = if rises { (low, high) } else { (high, low) };
    let middle = low.zip(high).map(|(low, high)| f64::midpoint(low, high));
    let all = [
        ("near edge", told.grams_near, told.grams_near_range, near),
        ("middle", told.grams_mid, told.grams_mid_range, middle),
        ("far edge", told.grams_far, told.grams_far_range, far),
    ];
    let one = |(place, grams, range, ph): (_, Option<f64>, Option<[Option<f64>; 2]>, _)| {
        let (grams, ph) = grams.zip(ph)?;
        let range = range.and_then(|[low, high]| low.zip(high));
        let words = match range {
            Some((low, high)) => format!("{grams:.2} g ({low:.2} to {high:.2})"),
            None => format!("{grams:.2} g"),
        };
        Some(Dose { place, grams, ph, range, words, is_middle: place == "middle" })
    };
    all.into_iter().filter_map(one).collect()
}

fn plot(of: &PhDrawing, readings: &[CurveReading], top: f64) -> Plot {
    let window = of.window();
    let all = || {
        let curve = of.curve.iter().map(|(_, ph)| *ph);
        curve.chain(window.into_iter().flatten()).chain(readings.iter().map(|read| read.ph)).filter(|ph| ph.is_finite())
    };
    let (mut low, mut high) = (all().fold(f64::MAX, f64::min), all().fold(f64::MIN, f64::max));
    // Far past the window there is nothing that anyone aims at: the window and the way to it are to be seen.
    const PAST: f64 = 2.2;
    let others = || {
        window.into_iter().flatten().chain(readings.iter().map(|read| read.ph)).chain(of.curve.first().map(|of| of.1))
    };
    if window.iter().any(Option::is_some) {
        high = high.min(others().fold(f64::MIN, f64::max) + PAST);
        low = low.max(others().fold(f64::MAX, f64::min) - PAST);
    }
    // Some room, and to the half.
    let low = ((low - 0.45) * 2.0).floor() / 2.0;
    let high = ((high + 0.25) * 2.0).ceil() / 2.0;
    let most = readings.iter().map(|read| read.grams * 1.05).fold(of.most, f64::max);
    Plot { across: (56.0, WIDE - 20.0), down: (top, HIGH - 58.0), x: (0.0, most), y: (low, high.max(low + 1.0)) }
}

/// All that is drawn; `name` is what the clip is called.
fn drawn(of: &PhDrawing, readings: &[CurveReading], top: f64, name: &str) -> Markup {
    let plot = plot(of, readings, top);
    let (left, right) = plot.across;
    let (head, foot) = plot.down;
    html! {
        clipPath id={ (name) "-clip" } {
            rect x=(at(left)) y=(at(head)) width=(at(right - left)) height=(at(foot - head)) {}
        }
        (window(of, &plot))
        (grid(of, &plot))
        g clip-path={ "url(#" (name) "-clip)" } {
            path.band d=(plot.between(&of.band[0], &of.band[1])) {}
            (drops(of, &plot))
            path.curve d=(plot.smooth(&of.curve)) {}
        }
        (held(of, &plot))
        (marks(of, &plot))
        (window_label(of, &plot))
        (before(of, &plot))
        (read(readings, &plot))
    }
}

fn grid(of: &PhDrawing, plot: &Plot) -> Markup {
    let (left, right) = plot.across;
    let (head, foot) = plot.down;
    let (up, decimals_up) = ticks(plot.y.0, plot.y.1, 6.0);
    let (along, decimals) = ticks(plot.x.0, plot.x.1, 7.0);
    html! {
        @for ph in &up {
            @let y = plot.top(*ph);
            path.grid d={ "M" (at(left)) " " (at(y)) "H" (at(right)) } {}
            text.soft x=(at(left - 8.0)) y=(at(y + 4.8)) text-anchor="end" { (format!("{ph:.decimals_up$}")) }
        }
        @for grams in &along {
            @let x = plot.left(*grams);
            path.axis d={ "M" (at(x)) " " (at(foot)) "v5" } {}
            text.soft x=(at(x)) y=(at(foot + 21.0)) text-anchor="middle" { (format!("{grams:.decimals$}")) }
        }
        path.axis d={ "M" (at(left)) " " (at(head)) "V" (at(foot)) "H" (at(right)) } {}
        text.soft x=(at(left)) y=(at(head - 9.0)) text-anchor="end" { "pH" }
        text.soft x=(at(f64::midpoint(left, right))) y=(at(foot + 46.0)) text-anchor="middle" { (axis_words(of)) }
    }
}

fn axis_words(of: &PhDrawing) -> String {
    const MOST: usize = 48;
    let called =
        if of.called.chars().count() > MOST { of.of.ph.curve_of.as_deref().unwrap_or_default() } else { &of.called };
    let called = if called.chars().count() > MOST { "the adjuster" } else { called };
    for_xml(&format!("g of {called} in {} g of batch", of.of.batch_g))
}

fn window(of: &PhDrawing, plot: &Plot) -> Markup {
    let [low, high] = of.window();
    if low.is_none() && high.is_none() {
        return html! {};
    }
    let (left, right) = plot.across;
    let (top, bottom) = (plot.top(high.unwrap_or(plot.y.1)), plot.top(low.unwrap_or(plot.y.0)));
    html! {
        rect.window x=(at(left)) y=(at(top)) width=(at(right - left)) height=(at((bottom - top).max(0.0))) {}
        @for edge in [low, high].into_iter().flatten() {
            path.window-edge d={ "M" (at(left)) " " (at(plot.top(edge))) "H" (at(right)) } {}
        }
    }
}

/// The window in words, at the end where the curve is not in it.
fn window_label(of: &PhDrawing, plot: &Plot) -> Markup {
    let Some(words) = window_words(of) else { return html! {} };
    let [low, high] = of.window();
    let (top, bottom) = (plot.top(high.unwrap_or(plot.y.1)), plot.top(low.unwrap_or(plot.y.0)));
    let y = if bottom - top >= 20.0 { f64::midpoint(top, bottom) + 4.8 } else { top - 6.0 };
    let told = doses(of);
    let first = told.iter().map(|dose| plot.left(dose.grams)).fold(plot.across.1, f64::min);
    let last = told.iter().map(|dose| plot.left(dose.grams)).fold(plot.across.0, f64::max);
    let at_left = first - plot.across.0 >= plot.across.1 - last;
    let (x, anchor) = if at_left { (plot.across.0 + 8.0, "start") } else { (plot.across.1 - 8.0, "end") };
    html! { text.window-words x=(at(x)) y=(at(y)) text-anchor=(anchor) { (words) } }
}

/// Where it begins, where that is foreseen closely.
fn before(of: &PhDrawing, plot: &Plot) -> Markup {
    let Some((before, (_, first))) = of.of.ph.ph.before.zip(of.curve.first()) else { return html! {} };
    let falls = of.curve.last().is_some_and(|(_, last)| last < first);
    let y = plot.top(*first) + if falls { -10.0 } else { 26.0 };
    let inside = y.clamp(plot.down.0 + 12.0, plot.down.1 - 6.0);
    html! { text x=(at(plot.across.0 + 8.0)) y=(at(inside)) { "pH " (format!("{before:.2}")) " before any" } }
}

/// The lines from the curve down to the grams, and the ranges.
fn drops(of: &PhDrawing, plot: &Plot) -> Markup {
    html! {
        @for dose in doses(of) {
            @let (x, y) = (plot.left(dose.grams), plot.top(dose.ph));
            path.drop d={ "M" (at(x)) " " (at(y)) "V" (at(plot.down.1)) } {}
            @if let Some((low, high)) = dose.range {
                @let (from, till) = (plot.left(low), plot.left(high));
                path.range d={ "M" (at(from)) " " (at(y - 4.0)) "v8m0 -4H" (at(till)) "m0 -4v8" } {}
            }
        }
    }
}

/// The doses, with their grams at the foot: each on a height of its own, so that none runs over another.
fn marks(of: &PhDrawing, plot: &Plot) -> Markup {
    let (left, right) = plot.across;
    let told = doses(of);
    let last = told.len().saturating_sub(1);
    html! {
        @for (number, dose) in told.iter().enumerate() {
            @let (x, y) = (plot.left(dose.grams), plot.top(dose.ph));
            @let words = format!("{:.2} g", dose.grams);
            @let wide = words.chars().count() as f64 * LETTER + 8.0;
            @let before = x - left > wide && (number != last || right - x < wide);
            @let row = if before { number } else { last - number };
            @let (place, anchor) = if before { (x - 6.0, "end") } else { (x + 6.0, "start") };
            @if dose.is_middle { circle.middle-dose cx=(at(x)) cy=(at(y)) r="6" {} }
            @else { circle.edge-dose cx=(at(x)) cy=(at(y)) r="5" {} }
            text.strong x=(at(place)) y=(at(plot.down.1 - 8.0 - 19.0 * row as f64)) text-anchor=(anchor) { (words) }
        }
    }
}

fn held(of: &PhDrawing, plot: &Plot) -> Markup {
    let Some(grams) = of.of.ph.held_back_g else { return html! {} };
    let words = format!("{grams:.2} g held back");
    let (head, foot) = plot.down;
    if grams > plot.x.1 {
        return html! {
            text.held-words x=(at(plot.across.1)) y=(at(head - 9.0)) text-anchor="end" { (words) ", further on →" }
        };
    }
    let x = plot.left(grams);
    let wide = words.chars().count() as f64 * LETTER;
    let (place, anchor) = if x - plot.across.0 > wide { (x + 4.0, "end") } else { (x - 4.0, "start") };
    html! {
        path.held d={ "M" (at(x)) " " (at(head)) "V" (at(foot)) } {}
        text.held-words x=(at(place)) y=(at(head - 9.0)) text-anchor=(anchor) { (words) }
    }
}

fn read(readings: &[CurveReading], plot: &Plot) -> Markup {
    let points: Vec<(f64, f64)> = readings.iter().map(|read| (read.grams, read.ph)).collect();
    html! {
        @if points.len() > 1 { path.reading-line d=(plot.smooth(&points)) {} }
        @for (grams, ph) in &points {
            @let (x, y) = (plot.left(*grams), plot.top(*ph));
            circle.reading cx=(at(x)) cy=(at(y)) r="5.5" {}
            text.strong x=(at(x - 9.0)) y=(at(y - 9.0)) text-anchor=(if x - plot.across.0 < 50.0 { "start" } else { "end" }) { (format!("{ph:.2}")) }
        }
    }
}
