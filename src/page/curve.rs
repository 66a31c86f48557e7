//! The curve of a titration as a drawing: smooth, with how far it may be off, the window, the doses to its edges and its
//! middle, the end of what is held back, and what was read at the bench.

use super::curve_labels::labels;
use super::foreseen::PhDrawing;
use super::labels::{LETTERS, width};
use super::plot::{Plot, at, for_xml};
use super::titration::{CurveReading, Dose, HIGH, LEFT, WIDE, doses, plot, seen, ticks_along, ticks_up, window_words};
use maud::{Markup, PreEscaped, html};

/// How high the letters of the title are, as the stylesheet has them.
const TITLE: f64 = 18.0;

/// The curve as a part of a page that has the stylesheet, with what was read on it.
#[must_use]
pub fn curve(of: &PhDrawing, readings: &[CurveReading]) -> Markup {
    let name = format!("curve-{}", of.of.formula);
    html! {
        svg.drawing.titration viewBox={ "0 0 " (at(WIDE)) " " (at(HIGH)) } role="img" aria-labelledby={ (name) "-title " (name) "-words" } {
            title id={ (name) "-title" } { (heading(of)) }
            desc id={ (name) "-words" } { (curve_words(of, readings)) }
            (drawn(of, readings, &name))
        }
    }
}

/// The curve as a picture in a file of its own.
#[must_use]
pub fn ph_svg(of: &PhDrawing) -> String {
    let head = html! {
        svg.drawing.titration xmlns="http://www.w3.org/2000/svg" viewBox={ "0 0 " (at(WIDE)) " " (at(HIGH + 30.0)) }
            width=(at(WIDE)) height=(at(HIGH + 30.0)) role="img" aria-labelledby="title words" {
            title id="title" { (heading(of)) }
            desc id="words" { (curve_words(of, &[])) }
            style { (PreEscaped(include_str!("assets/drawing-alone.css"))) (PreEscaped(include_str!("assets/drawing.css"))) }
            rect.paper width="100%" height="100%" {}
            text.title x=(at(LEFT)) y="26" { (short(&heading(of), (WIDE - LEFT) * LETTERS / TITLE)) }
            g transform="translate(0 30)" { (drawn(of, &[], "curve")) }
        }
    };
    head.into_string() + "\n"
}

/// As much of a line as has room in so many units of the drawing.
pub(super) fn short(line: &str, room: f64) -> String {
    if width(line, "") <= room {
        return line.to_string();
    }
    let cut = |end: usize| format!("{}…", line.get(..end).unwrap_or_default().trim_end());
    let ends = line.char_indices().map(|(end, _)| end);
    let fits = ends.map(cut).take_while(|cut| width(cut, "") <= room);
    fits.last().unwrap_or_default()
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

/// All that is drawn; `name` is what the clip is called.
fn drawn(of: &PhDrawing, readings: &[CurveReading], name: &str) -> Markup {
    let plot = plot(of, readings);
    let (left, right) = plot.across;
    let (head, foot) = plot.down;
    let told = seen(doses(of), &plot);
    html! {
        clipPath id={ (name) "-clip" } {
            rect x=(at(left)) y=(at(head)) width=(at(right - left)) height=(at(foot - head)) {}
        }
        (window(of, &plot))
        (grid(&plot))
        g clip-path={ "url(#" (name) "-clip)" } {
            path.band d=(plot.between(&of.band[0], &of.band[1])) {}
            (drops(&told, &plot))
            path.curve d=(plot.smooth(&of.curve)) {}
        }
        (held(of, &plot))
        (marks(&told, &plot))
        (read(readings, &plot))
        (labels(of, readings, &plot).drawn())
    }
}

/// The lines of the figures, and the axes.
fn grid(plot: &Plot) -> Markup {
    let (left, right) = plot.across;
    let (head, foot) = plot.down;
    html! {
        @for (ph, _) in &ticks_up(plot) {
            path.grid d={ "M" (at(left)) " " (at(plot.top(*ph))) "H" (at(right)) } {}
        }
        @for (grams, _) in &ticks_along(plot) {
            path.axis d={ "M" (at(plot.left(*grams))) " " (at(foot)) "v5" } {}
        }
        path.axis d={ "M" (at(left)) " " (at(head)) "V" (at(foot)) "H" (at(right)) } {}
    }
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

/// The lines from the curve down to the grams, and the ranges.
fn drops(told: &[Dose], plot: &Plot) -> Markup {
    html! {
        @for dose in told {
            @let (x, y) = (plot.left(dose.grams), plot.top(dose.ph));
            path.drop d={ "M" (at(x)) " " (at(y)) "V" (at(plot.down.1)) } {}
            @if let Some((low, high)) = dose.range {
                @let (from, till) = (plot.left(low), plot.left(high));
                path.range d={ "M" (at(from)) " " (at(y - 4.0)) "v8m0 -4H" (at(till)) "m0 -4v8" } {}
            }
        }
    }
}

fn marks(told: &[Dose], plot: &Plot) -> Markup {
    html! {
        @for dose in told {
            @let (x, y) = (plot.left(dose.grams), plot.top(dose.ph));
            @if dose.is_middle { circle.middle-dose cx=(at(x)) cy=(at(y)) r="6" {} }
            @else { circle.edge-dose cx=(at(x)) cy=(at(y)) r="5" {} }
        }
    }
}

fn held(of: &PhDrawing, plot: &Plot) -> Markup {
    let held = of.of.ph.held_back_g.filter(|grams| *grams <= plot.x.1);
    let (head, foot) = plot.down;
    html! {
        @if let Some(grams) = held { path.held d={ "M" (at(plot.left(grams))) " " (at(head)) "V" (at(foot)) } {} }
    }
}

fn read(readings: &[CurveReading], plot: &Plot) -> Markup {
    let points: Vec<(f64, f64)> = readings.iter().map(|read| (read.grams, read.ph)).collect();
    html! {
        @if points.len() > 1 { path.reading-line d=(plot.smooth(&points)) {} }
        @for (grams, ph) in &points {
            circle.reading cx=(at(plot.left(*grams))) cy=(at(plot.top(*ph))) r="5.5" {}
        }
    }
}
